//! Distribution functions with measured limits: the only file that names `statrs`.
//!
//! `statrs` 0.19.1 is fenced for two reasons, both measured against 30-digit references: its
//! normal distribution function carries a relative error of about 4e-11, so another approximation
//! is computed here; its Student quantile goes wrong from about 1e5 degrees of freedom (7e-6) and
//! does not return at 1e8, so above 200 an expansion takes over.
//! `tests/tables/special_functions.csv` holds the references and the measured limits.

use std::f64::consts::{FRAC_1_SQRT_2, FRAC_2_SQRT_PI, SQRT_2};

use statrs::distribution::{ContinuousCDF, StudentsT};
use statrs::function::erf::erfc_inv;

use super::StatisticsError;

/// Up to here `statrs` computes the Student quantile; above, the expansion does (chosen: both
/// agree with the references to 1e-9 there).
const STATRS_DOF_MAX: f64 = 200.0;

/// From here on the tail is zero: the smallest normal floats are reached.
const VANISHED_FROM: f64 = 38.4;

// Cody's rational approximations of erf and erfc, in the order in which they are applied: below
// 0.46875, from there to 4, above 4.
const MIDDLE_A: [f64; 5] = [
    0.185_777_706_184_603_15,
    3.161_123_743_870_565_6,
    113.864_154_151_050_16,
    377.485_237_685_302_1,
    3_209.377_589_138_469_4,
];
const MIDDLE_B: [f64; 5] = [
    1.0,
    23.601_290_952_344_12,
    244.024_637_934_444_17,
    1_282.616_526_077_372_3,
    2_844.236_833_439_171,
];
const SLOPE_C: [f64; 9] = [
    2.153_115_354_744_038_3e-8,
    0.564_188_496_988_670_1,
    8.883_149_794_388_377,
    66.119_190_637_141_63,
    298.635_138_197_400_1,
    881.952_221_241_769,
    1_712.047_612_634_070_7,
    2_051.078_377_826_071_6,
    1_230.339_354_797_997_2,
];
const SLOPE_D: [f64; 9] = [
    1.0,
    15.744_926_110_709_835,
    117.693_950_891_312_5,
    537.181_101_862_009_9,
    1_621.389_574_566_690_3,
    3_290.799_235_733_459_7,
    4_362.619_090_143_247,
    3_439.367_674_143_721_6,
    1_230.339_354_803_749_5,
];
const TAIL_P: [f64; 6] = [
    0.016_315_387_137_302_097,
    0.305_326_634_961_232_36,
    0.360_344_899_949_804_45,
    0.125_781_726_111_229_26,
    0.016_083_785_148_742_275,
    6.587_491_615_298_378e-4,
];
const TAIL_Q: [f64; 6] = [
    1.0,
    2.568_520_192_289_822,
    1.872_952_849_923_460_4,
    0.527_905_102_951_428_5,
    0.060_518_341_312_441_32,
    0.002_335_204_976_268_691_8,
];

/// The polynomial with these coefficients, highest power first.
fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().fold(0.0, |sum, term| sum * x + term)
}

/// Probability above `z`, for `z` at least 0.
fn upper_tail(z: f64) -> f64 {
    let x = z * FRAC_1_SQRT_2;
    if x <= 0.468_75 {
        let ratio = polynomial(&MIDDLE_A, x * x) / polynomial(&MIDDLE_B, x * x);
        return 0.5 - 0.5 * x * ratio;
    }
    if z > VANISHED_FROM {
        return 0.0;
    }
    let bell = 0.5 * (-0.5 * z * z).exp();
    if x <= 4.0 {
        return bell * polynomial(&SLOPE_C, x) / polynomial(&SLOPE_D, x);
    }
    let y = 1.0 / (x * x);
    let ratio = y * polynomial(&TAIL_P, y) / polynomial(&TAIL_Q, y);
    bell * (0.5 * FRAC_2_SQRT_PI - ratio) / x
}

/// Normal distribution function: the probability below `z` standard deviations.
///
/// Formula: P(z) = erfc(-z / sqrt(2)) / 2, by three rational approximations of erf and erfc
/// Symbols: z deviation over standard deviation.
/// Valid:   every z; relative error below 1e-12 down to z = -37 (measured), 0 below -38.4.
/// Rounding: none.
/// Source:  W. J. Cody, Rational Chebyshev approximations for the error function, Math. Comp. 23
///          (1969) 631-637 (coefficients from memory, proved by the table).
/// Checked: tests/tables/special_functions.csv.
/// Errors:  none; not-a-number gives not-a-number.
pub fn normal_cdf(z: f64) -> f64 {
    if z < 0.0 {
        upper_tail(-z)
    } else {
        1.0 - upper_tail(z)
    }
}

/// The normal density at `z`.
pub(super) fn normal_density(z: f64) -> f64 {
    0.5 * FRAC_1_SQRT_2 * FRAC_2_SQRT_PI * (-0.5 * z * z).exp()
}

/// Normal quantile: how many standard deviations lie above the probability `p`.
///
/// Formula: z with P(z) = p, that is -sqrt(2) erfc_inv(2p)
/// Symbols: p probability; z deviation over standard deviation.
/// Valid:   1e-300 <= p <= 1 - 1e-16; relative error below 1e-12 (measured) away from p = 0.5.
/// Rounding: none.
/// Source:  definition.
/// Checked: tests/tables/special_functions.csv.
/// Errors:  OutOfRange.
pub fn normal_quantile(p: f64) -> Result<f64, StatisticsError> {
    if !(1e-300..1.0).contains(&p) {
        return Err(StatisticsError::OutOfRange {
            name: "probability",
            found: p,
            allowed: "at least 1e-300 and below 1",
        });
    }
    // In the lower half, where a small probability keeps its digits.
    let (small, sign) = if p <= 0.5 { (p, -1.0) } else { (1.0 - p, 1.0) };
    Ok(sign * SQRT_2 * erfc_inv(2.0 * small))
}

/// Student quantile: the coverage factor t with probability `p` below it.
///
/// Formula: t with P(t; v) = p; above 200 degrees of freedom
///          t = z + g1/v + g2/v^2 + g3/v^3 + g4/v^4, which ends in the normal quantile
/// Symbols: p probability; v degrees of freedom (infinity allowed); z normal quantile of p;
///          g1 = (z^3 + z)/4, g2 = (5z^5 + 16z^3 + 3z)/96,
///          g3 = (3z^7 + 19z^5 + 17z^3 - 15z)/384,
///          g4 = (79z^9 + 776z^7 + 1482z^5 - 1920z^3 - 945z)/92160.
/// Valid:   v >= 1; 0.001 <= p <= 0.999; relative error below 1e-9 (measured).
/// Rounding: none.
/// Source:  expansion: Abramowitz and Stegun 26.7.5.
/// Checked: tests/tables/special_functions.csv.
/// Errors:  OutOfRange.
pub fn student_quantile(p: f64, degrees_of_freedom: f64) -> Result<f64, StatisticsError> {
    if !(0.001..=0.999).contains(&p) {
        return Err(StatisticsError::OutOfRange {
            name: "probability",
            found: p,
            allowed: "0.001 to 0.999",
        });
    }
    let out_of_range = StatisticsError::OutOfRange {
        name: "number of degrees of freedom",
        found: degrees_of_freedom,
        allowed: "1 or more",
    };
    if degrees_of_freedom.is_nan() || degrees_of_freedom < 1.0 {
        return Err(out_of_range);
    }
    if degrees_of_freedom <= STATRS_DOF_MAX {
        let student = StudentsT::new(0.0, 1.0, degrees_of_freedom).map_err(|_| out_of_range)?;
        return Ok(student.inverse_cdf(p));
    }
    let z = normal_quantile(p)?;
    let s = z * z;
    let terms = [
        z * (s + 1.0) / 4.0,
        z * ((5.0 * s + 16.0) * s + 3.0) / 96.0,
        z * (((3.0 * s + 19.0) * s + 17.0) * s - 15.0) / 384.0,
        z * ((((79.0 * s + 776.0) * s + 1482.0) * s - 1920.0) * s - 945.0) / 92_160.0,
    ];
    let correction = terms
        .iter()
        .rev()
        .fold(0.0, |sum, term| (sum + term) / degrees_of_freedom);
    Ok(z + correction)
}
