//! The test of Shapiro and Wilk for a normal distribution, as Royston approximates it.

use super::StatisticsError;
use super::checked::{all_equal, enough, finite, sum_of};
use super::ordered::ascending;
use super::special::normal_cdf;

/// The number of values for which the approximation was made.
const VALUES_MIN: usize = 3;
const VALUES_MAX: usize = 5000;

// Royston's polynomials, lowest power first.
const LAST: [f64; 6] = [0.0, 0.221_157, -0.147_981, -2.071_19, 4.434_685, -2.706_056];
const LAST_BUT_ONE: [f64; 6] = [
    0.0, 0.042_981, -0.293_762, -1.752_461, 5.682_633, -3.582_633,
];
const SMALL_MEAN: [f64; 4] = [0.544, -0.399_78, 0.025_054, -6.714e-4];
const SMALL_SD: [f64; 4] = [1.3822, -0.778_57, 0.062_767, -0.002_032_2];
const LARGE_MEAN: [f64; 4] = [-1.5861, -0.310_82, -0.083_751, 0.003_891_5];
const LARGE_SD: [f64; 3] = [-0.4803, -0.082_676, 0.003_030_2];
const SMALL_BOUND: [f64; 2] = [-2.273, 0.459];
/// Up to here the small sample's polynomials hold.
const SMALL_MAX: usize = 11;
/// The probability where W lies below what its approximation knows.
const NONE: f64 = 1e-99;

/// How straight a sample lies on the normal line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShapiroWilk {
    /// The statistic W: 1 for a sample that lies where a normal one is expected.
    pub w: f64,
    /// The probability that normal values give so small a W or a smaller one.
    pub p: f64,
}

/// The test of Shapiro and Wilk by Royston's approximation.
///
/// Formula: W = (sum a_i x_(i))^2 / sum (x_i - mean)^2; ln(1 - W) is taken as normal
/// Symbols: x_(i) sorted values; a_i weights from the normal scores.
/// Valid:   3 to 5000 values; W within 1e-9 of the reference (measured).
/// Rounding: none.
/// Source:  P. Royston, Remark AS R94, Applied Statistics 44 (1995) 547-551 (coefficients from
///          memory, proved by the tables).
/// Checked: tests/tables/normality.json, tests/tables/normality_references.json.
/// Errors:  `NotFinite`, `TooFew`, `OutOfRange` (over 5000 values), `AllEqual`.
pub fn shapiro_wilk(values: &[f64]) -> Result<ShapiroWilk, StatisticsError> {
    let n = values.len();
    enough(n, VALUES_MIN, "the Shapiro-Wilk test")?;
    finite(values)?;
    if n > VALUES_MAX {
        return Err(StatisticsError::OutOfRange {
            name: "number of values",
            found: n as f64,
            allowed: "3 to 5000 for the Shapiro-Wilk test",
        });
    }
    if all_equal(values) {
        return Err(StatisticsError::AllEqual);
    }
    let mut x = ascending(values);
    // Relative to a middle value and to the range, so that neither size nor place costs digits.
    let (middle, range) = (x[n / 2], x[n - 1] - x[0]);
    if !range.is_finite() || range < f64::MIN_POSITIVE {
        return Err(super::checked::beyond(range));
    }
    for value in &mut x {
        *value = (*value - middle) / range;
    }
    let lacking = lacking(&x, &weights(n));
    Ok(ShapiroWilk {
        w: 1.0 - lacking,
        p: probability(lacking, n),
    })
}

/// 1 - W, computed so that it keeps its digits where W is near 1.
fn lacking(x: &[f64], weights: &[f64]) -> f64 {
    let n = x.len();
    let mean = sum_of(x, |value| value) / n as f64;
    let squares = sum_of(x, |value| (value - mean) * (value - mean));
    let spans = weights.iter().enumerate();
    let line: f64 = spans
        .map(|(at, weight)| weight * (x[n - 1 - at] - x[at]))
        .sum();
    let of_weights = 2.0 * weights.iter().map(|weight| weight * weight).sum::<f64>();
    let both = (of_weights * squares).sqrt();
    ((both - line) * (both + line) / (of_weights * squares)).max(0.0)
}

/// The weights of the upper half, largest first; those of the lower half are their negatives.
fn weights(n: usize) -> Vec<f64> {
    if n == 3 {
        return vec![std::f64::consts::FRAC_1_SQRT_2];
    }
    let spread = n as f64 + 0.25;
    let mut scores: Vec<f64> = (1..=n / 2)
        .map(|at| -normal_score((at as f64 - 0.375) / spread))
        .collect();
    let squares = 2.0 * scores.iter().map(|score| score * score).sum::<f64>();
    let root = 1.0 / (n as f64).sqrt();
    let last = scores[0] / squares.sqrt() + rising(&LAST, root);
    let ends = if n > 5 { 2 } else { 1 };
    let mut known = [last, 0.0];
    if ends == 2 {
        known[1] = scores[1] / squares.sqrt() + rising(&LAST_BUT_ONE, root);
    }
    let left = squares
        - 2.0
            * scores[..ends]
                .iter()
                .map(|score| score * score)
                .sum::<f64>();
    let share = 1.0
        - 2.0
            * known[..ends]
                .iter()
                .map(|weight| weight * weight)
                .sum::<f64>();
    let factor = (left / share).sqrt();
    for score in &mut scores {
        *score /= factor;
    }
    scores[..ends].copy_from_slice(&known[..ends]);
    scores
}

/// The normal quantile that belongs to Royston's coefficients: with a better one, W differs by
/// up to 5e-9 from the published algorithm.
///
/// Source: J. D. Beasley, S. G. Springer, Algorithm AS 111, Applied Statistics 26 (1977) 118-121.
fn normal_score(p: f64) -> f64 {
    let q = p - 0.5;
    if q.abs() <= 0.42 {
        let r = q * q;
        let top = ((-25.441_060_496_37 * r + 41.391_197_735_34) * r - 18.615_000_625_29) * r
            + 2.506_628_238_84;
        let bottom = (((3.130_829_098_33 * r - 21.062_241_018_26) * r + 23.083_367_437_43) * r
            - 8.473_510_930_9)
            * r
            + 1.0;
        return q * top / bottom;
    }
    let tail = if q > 0.0 { 1.0 - p } else { p };
    let r = (-tail.ln()).sqrt();
    let top =
        ((2.321_212_768_58 * r + 4.850_141_271_35) * r - 2.297_964_791_34) * r - 2.787_189_311_38;
    let bottom = (1.637_067_818_97 * r + 3.543_889_247_62) * r + 1.0;
    (top / bottom).copysign(q)
}

fn rising(coefficients: &[f64], x: f64) -> f64 {
    coefficients
        .iter()
        .rev()
        .fold(0.0, |sum, term| sum * x + term)
}

/// The probability of so small a W or a smaller one.
fn probability(lacking: f64, n: usize) -> f64 {
    if n == VALUES_MIN {
        // Exact: 6/pi (asin(sqrt(W)) - pi/3).
        let angle = (1.0 - lacking).max(0.0).sqrt().min(1.0).asin();
        let third = std::f64::consts::FRAC_PI_3;
        return ((angle - third) * 6.0 / std::f64::consts::PI).clamp(0.0, 1.0);
    }
    let count = n as f64;
    let mut y = lacking.max(f64::MIN_POSITIVE).ln();
    let (mean, sd) = if n <= SMALL_MAX {
        let bound = rising(&SMALL_BOUND, count);
        if y >= bound {
            return NONE;
        }
        y = -(bound - y).ln();
        (rising(&SMALL_MEAN, count), rising(&SMALL_SD, count).exp())
    } else {
        let logarithm = count.ln();
        (
            rising(&LARGE_MEAN, logarithm),
            rising(&LARGE_SD, logarithm).exp(),
        )
    };
    normal_cdf((mean - y) / sd)
}
