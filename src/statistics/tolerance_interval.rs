//! Statistical tolerance intervals: between which values a share of all parts lies.

use super::StatisticsError;
use super::capability::Limits;
use super::checked::{confidence, enough, in_range, mean_and_sd};
use super::chi_square::chi_square_tails;
use super::noncentral::noncentral_t_quantile;
use super::numeric::{nodes, spaced, zero_near};
use super::special::{normal_cdf, normal_quantile};

/// The most values allowed; the tables reach 1000 (one-sided) and 1e5 (two-sided).
const VALUES_MAX: usize = 10_000_000;
/// Where the deviation of a sample's mean has ended, in its own deviations.
const MEAN_REACH: f64 = 9.0;

/// Which ends an interval has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sides {
    /// Two ends about the mean.
    Both,
    /// Only an upper end.
    Upper,
    /// Only a lower end.
    Lower,
}

/// The values between which a share of all parts lies, with a confidence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToleranceInterval {
    /// How many values there are.
    pub n: usize,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation.
    pub sd: f64,
    /// How many standard deviations the ends lie from the mean.
    pub factor: f64,
    /// The lower end, if the interval has one.
    pub lower: Option<f64>,
    /// The upper end, if the interval has one.
    pub upper: Option<f64>,
}

impl ToleranceInterval {
    /// Whether the interval lies within limits; an end that the interval lacks is not asked for.
    pub fn lies_within(&self, limits: &Limits) -> bool {
        let below = self
            .lower
            .zip(limits.lower())
            .is_none_or(|(end, limit)| end >= limit);
        let above = self
            .upper
            .zip(limits.upper())
            .is_none_or(|(end, limit)| end <= limit);
        below && above
    }
}

fn check(n: usize, share: f64, level: f64) -> Result<(), StatisticsError> {
    enough(n, 2, "a tolerance interval")?;
    in_range(
        "number of values",
        n as f64,
        2.0,
        VALUES_MAX as f64,
        "2 to 10 million",
    )?;
    in_range("share of parts", share, 0.5, 0.9999, "0.5 to 0.9999")?;
    confidence(level)
}

/// Factor of a one-sided tolerance interval, mean and standard deviation unknown.
///
/// Formula: k = t'(confidence; n - 1, z sqrt(n))/sqrt(n), the noncentral t quantile
/// Symbols: n number of values; z normal quantile of the share.
/// Valid:   2 to 1e7 values of a normal distribution; share 0.5 to 0.9999; confidence 0.5 to 0.998;
///          relative error below 1e-9 (measured as far as the tables reach).
/// Rounding: none.
/// Source:  ISO 16269-6 (one-sided, mean and standard deviation unknown; clause from memory).
/// Checked: tests/tables/tolerance_factors.csv, tests/tables/tolerance_intervals.json.
/// Errors:  `TooFew`, `OutOfRange`.
pub fn tolerance_factor_one_sided(
    n: usize,
    share: f64,
    confidence: f64,
) -> Result<f64, StatisticsError> {
    check(n, share, confidence)?;
    let root = (n as f64).sqrt();
    let noncentrality = normal_quantile(share)? * root;
    Ok(noncentral_t_quantile(confidence, (n - 1) as f64, noncentrality)? / root)
}

/// Factor of a two-sided tolerance interval, mean and standard deviation unknown, exact.
///
/// Formula: k with 2 integral from 0 of sqrt(n) f(x sqrt(n)) P(chi-square > (n - 1) r(x)^2/k^2) dx
///          = confidence, where F(x + r) - F(x - r) = share
/// Symbols: n number of values; x error of the mean in standard deviations; f, F normal density
///          and distribution.
/// Valid:   2 to 1e7 values of a normal distribution; share 0.5 to 0.9999; confidence 0.5 to 0.998;
///          relative error below 1e-9 (measured as far as the tables reach).
/// Rounding: none.
/// Source:  ISO 16269-6 (two-sided, exact factors; clause from memory).
/// Checked: tests/tables/tolerance_factors.csv, tests/tables/tolerance_intervals.json.
/// Errors:  `TooFew`, `OutOfRange`.
pub fn tolerance_factor_two_sided(
    n: usize,
    share: f64,
    confidence: f64,
) -> Result<f64, StatisticsError> {
    check(n, share, confidence)?;
    let (root, freedom) = ((n as f64).sqrt(), (n - 1) as f64);
    let centred = normal_quantile(0.5 + 0.5 * share)?;
    let mut pieces = Vec::new();
    for (u, weight) in nodes(&spaced(0.0, MEAN_REACH, 9)) {
        let r = half_width(u / root, share, centred)?;
        let density = 2.0 * super::special::normal_density(u);
        pieces.push((r * r, weight * density));
    }
    // Rising in k, searched from Howe's approximation.
    let near = howe(n, centred, confidence)?;
    zero_near(near, 0.02 * near, 0.0, |k| {
        let held = pieces.iter().map(|(square, weight)| {
            weight * chi_square_tails(freedom * square / (k * k), freedom).1
        });
        held.sum::<f64>() - confidence
    })
}

/// Howe's approximation of the two-sided factor, for comparison with other records.
///
/// Formula: k = z sqrt((n - 1)(1 + 1/n)/q)
/// Symbols: n number of values; z normal quantile of (1 + share)/2; q chi-square quantile at
///          1 - confidence with n - 1 degrees of freedom.
/// Valid:   within 8 % of the exact factor from 2 values, within 1 % from 10 (the table).
/// Rounding: none.
/// Source:  W. G. Howe, J. Amer. Statist. Assoc. 64 (1969) 610-620 (from memory).
/// Checked: tests/tables/tolerance_factors.csv, tests/tables/tolerance_intervals.json.
/// Errors:  `TooFew`, `OutOfRange`.
pub fn tolerance_factor_approximate(
    n: usize,
    share: f64,
    confidence: f64,
) -> Result<f64, StatisticsError> {
    check(n, share, confidence)?;
    howe(n, normal_quantile(0.5 + 0.5 * share)?, confidence)
}

fn howe(n: usize, centred: f64, confidence: f64) -> Result<f64, StatisticsError> {
    let (size, freedom) = (n as f64, (n - 1) as f64);
    let q = super::chi_square::chi_square_quantile(1.0 - confidence, freedom)?;
    Ok(centred * (freedom * (1.0 + 1.0 / size) / q).sqrt())
}

/// The half width about `x` that holds the share of a standard normal distribution.
fn half_width(x: f64, share: f64, centred: f64) -> Result<f64, StatisticsError> {
    zero_near(centred + 0.5 * x * x / (1.0 + x), 0.1, 0.0, |r| {
        // Both tails, which keep their digits.
        (1.0 - share) - (normal_cdf(-x - r) + normal_cdf(x - r))
    })
}

/// Between which values a share of all parts lies, with a confidence.
///
/// Formula: mean -/+ k s with the exact factor of the sides
/// Symbols: s standard deviation; k factor.
/// Valid:   2 to 1e7 values of a normal distribution.
/// Rounding: none.
/// Source:  ISO 16269-6.
/// Checked: tests/tables/tolerance_intervals.json.
/// Errors:  `NotFinite`, `TooFew`, `AllEqual`, `OutOfRange`.
pub fn tolerance_interval(
    values: &[f64],
    sides: Sides,
    share: f64,
    confidence: f64,
) -> Result<ToleranceInterval, StatisticsError> {
    let (mean, sd) = mean_and_sd(values)?;
    let n = values.len();
    let factor = match sides {
        Sides::Both => tolerance_factor_two_sided(n, share, confidence)?,
        Sides::Upper | Sides::Lower => tolerance_factor_one_sided(n, share, confidence)?,
    };
    Ok(ToleranceInterval {
        n,
        mean,
        sd,
        factor,
        lower: (sides != Sides::Upper).then_some(mean - factor * sd),
        upper: (sides != Sides::Lower).then_some(mean + factor * sd),
    })
}
