//! Distribution functions with measured limits: the only file that names `statrs`.
//!
//! `statrs` 0.19.1 is fenced for two reasons, both measured against 30-digit references:
//! its normal distribution function carries a relative error of about 4e-11, so the normal one
//! is summed here; its Student quantile goes wrong from about 1e5 degrees of freedom (7e-6) and
//! does not return at 1e8, so above [`STATRS_DOF_MAX`] an expansion takes over.
//! `tests/tables/special_functions.csv` holds the references and the measured limits.

use std::f64::consts::{FRAC_1_SQRT_2, PI, SQRT_2};

use statrs::distribution::{ContinuousCDF, StudentsT};
use statrs::function::erf::erfc_inv;

use super::StatisticsError;

/// Up to here `statrs` computes the Student quantile; above, the expansion does (chosen: both
/// agree with the references to 1e-9 there).
const STATRS_DOF_MAX: f64 = 200.0;

/// From here on the tail is taken from the continued fraction.
const TAIL_FROM: f64 = 2.5;

fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() * FRAC_1_SQRT_2 / PI.sqrt()
}

/// Probability above `z`, for `z` at least 0.
fn upper_tail(z: f64) -> f64 {
    if z < TAIL_FROM {
        let mut term = z;
        let mut sum = z;
        let mut odd = 1.0;
        while term > sum * 1e-17 {
            odd += 2.0;
            term *= z * z / odd;
            sum += term;
        }
        0.5 - density(z) * sum
    } else {
        let depth: u32 = if z < 6.0 { 80 } else { 24 };
        let fraction = (1..=depth)
            .rev()
            .fold(z, |below, k| z + f64::from(k) / below);
        density(z) / fraction
    }
}

/// Normal distribution function: the probability below `z` standard deviations.
///
/// Formula: P = 1/2 + f(z) (z + z^3/3 + z^5/15 + ...) in the middle; in the tail
///          P(-z) = f(z) / (z + 1/(z + 2/(z + 3/(z + ...))))
/// Symbols: z deviation over standard deviation; f(z) = exp(-z^2/2) / sqrt(2 pi).
/// Valid:   every z; relative error below 1e-12 down to z = -37 (measured), 0 from about -39.
/// Rounding: none.
/// Source:  series and continued fraction: Abramowitz and Stegun 26.2.11 and 26.2.14.
/// Checked: tests/tables/special_functions.csv.
/// Errors:  none; not-a-number gives not-a-number.
pub fn normal_cdf(z: f64) -> f64 {
    if z < 0.0 {
        upper_tail(-z)
    } else {
        1.0 - upper_tail(z)
    }
}

/// Normal quantile: how many standard deviations lie above the probability `p`.
///
/// Formula: z with P(z) = p; started from erfc_inv, bettered by one step of Newton
/// Symbols: p probability; z deviation over standard deviation.
/// Valid:   1e-300 <= p <= 1 - 1e-16; relative error below 1e-12 (measured) away from p = 0.5.
/// Rounding: none.
/// Source:  definition; Newton's method, textbook.
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
    let start = SQRT_2 * erfc_inv(2.0 * small);
    let z = start + (upper_tail(start.max(0.0)) - small) / density(start);
    Ok(sign * z)
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
