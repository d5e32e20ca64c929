//! Whether a process can hold its limits: indices that come with their intervals.

use super::StatisticsError;
use super::checked::{confidence, enough, finite, in_range, mean_and_squares};
use super::chi_square::chi_square_quantile;
use super::noncentral::noncentrality_at;
use super::special::{normal_cdf, normal_quantile};
use super::within::{Sigma, overall_sigma};

/// Under this number of values an index without its interval says nothing (common practice, no
/// source).
const BARE_FROM: usize = 30;

/// One or two limits of a characteristic.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    lower: Option<f64>,
    upper: Option<f64>,
}

impl Limits {
    /// The limits; at least one, finite, the lower below the upper.
    ///
    /// # Errors
    /// `NoLimit`, `LimitsReversed`, `OutOfRange` for a limit that is no finite number.
    pub fn new(lower: Option<f64>, upper: Option<f64>) -> Result<Self, StatisticsError> {
        for limit in lower.iter().chain(upper.iter()) {
            in_range("limit", *limit, f64::MIN, f64::MAX, "a finite number")?;
        }
        match (lower, upper) {
            (None, None) => Err(StatisticsError::NoLimit),
            (Some(lower), Some(upper)) if lower >= upper => {
                Err(StatisticsError::LimitsReversed { lower, upper })
            }
            (lower, upper) => Ok(Self { lower, upper }),
        }
    }

    /// The lower limit.
    pub fn lower(&self) -> Option<f64> {
        self.lower
    }

    /// The upper limit.
    pub fn upper(&self) -> Option<f64> {
        self.upper
    }

    /// How far the limits lie apart, where there are two.
    pub fn width(&self) -> Option<f64> {
        Some(self.upper? - self.lower?)
    }
}

/// An index with its interval; under 30 values there is only the interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Index {
    /// The best single number; none under 30 values.
    pub estimate: Option<f64>,
    /// The lower end of its interval.
    pub lower: f64,
    /// The upper end of its interval.
    pub upper: f64,
}

impl Index {
    /// The index of `n` values: the estimate stays hidden under 30.
    pub(super) fn new(n: usize, estimate: f64, lower: f64, upper: f64) -> Self {
        Self {
            estimate: (n >= BARE_FROM).then_some(estimate),
            lower,
            upper,
        }
    }
}

/// What a process makes of its limits, as a normal distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Capability {
    /// How many values there are.
    pub n: usize,
    /// Their mean.
    pub mean: f64,
    /// The standard deviation used, and how it was found: it decides whether the indices below
    /// are called Cp, Cpk or Pp, Ppk.
    pub sigma: Sigma,
    /// The confidence level of the intervals.
    pub confidence: f64,
    /// The width of the limits over six standard deviations: Cp or Pp; none with one limit.
    pub spread: Option<Index>,
    /// The distance of the mean above the lower limit over three standard deviations.
    pub below: Option<Index>,
    /// The distance of the mean below the upper limit over three standard deviations.
    pub above: Option<Index>,
    /// The smaller of the two: Cpk or Ppk.
    pub worst: Index,
    /// The share of parts below the lower limit.
    pub outside_below: f64,
    /// The share of parts above the upper limit.
    pub outside_above: f64,
}

impl Capability {
    /// Whether even the upper end of the interval says that the process does not reach `needed`.
    pub fn cannot_reach(&self, needed: f64) -> bool {
        self.worst.upper < needed
    }

    /// Whether even the lower end of the interval says that the process reaches `needed`.
    pub fn surely_reaches(&self, needed: f64) -> bool {
        self.worst.lower >= needed
    }
}

/// The performance of a list of values: Pp, Ppk with the standard deviation of all.
///
/// Formula: as `capability_with`, with the standard deviation of all values
/// Symbols: see there.
/// Valid:   2 values and more from a normal distribution.
/// Rounding: none.
/// Source:  ISO 22514-2.
/// Checked: tests/tables/capability.json.
/// Errors:  `NotFinite`, `TooFew`, `AllEqual`, `OutOfRange`.
pub fn capability(
    values: &[f64],
    limits: &Limits,
    confidence: f64,
) -> Result<Capability, StatisticsError> {
    let sigma = overall_sigma(values)?;
    let (mean, _) = mean_and_squares(values);
    capability_with(mean, values.len(), &sigma, limits, confidence)
}

/// The capability of subgroups with a standard deviation found within them: Cp, Cpk.
///
/// Formula: as `capability_with`, with the mean of all values
/// Symbols: see there.
/// Valid:   2 values and more from a normal distribution, a process without signals.
/// Rounding: none.
/// Source:  ISO 22514-2.
/// Checked: tests/tables/capability.json.
/// Errors:  `NotFinite`, `TooFew`, `OutOfRange`.
pub fn capability_within<G: AsRef<[f64]>>(
    groups: &[G],
    sigma: &Sigma,
    limits: &Limits,
    confidence: f64,
) -> Result<Capability, StatisticsError> {
    let all: Vec<f64> = groups
        .iter()
        .flat_map(|group| group.as_ref())
        .copied()
        .collect();
    finite(&all)?;
    enough(all.len(), 2, "a capability")?;
    let (mean, _) = mean_and_squares(&all);
    capability_with(mean, all.len(), sigma, limits, confidence)
}

/// The capability of a process whose mean and standard deviation were found before.
///
/// Formula: spread (U - L)/6s; above (U - m)/3s; below (m - L)/3s; worst the smaller. Intervals:
///          spread by chi-square, the others by the noncentral t distribution
/// Symbols: U, L limits; m mean of n values; s standard deviation.
/// Valid:   a normal distribution; intervals exact for one limit and s of the same n values. With
///          two limits the lower end is conservative, and so is the upper end: each side gets half
///          of the doubt.
/// Rounding: none.
/// Source:  ISO 22514-2; the intervals as `cp_interval`, `cpk_lower_bound`, `cpk_upper_bound`.
/// Checked: tests/tables/capability.json.
/// Errors:  `TooFew`, `OutOfRange`.
pub fn capability_with(
    mean: f64,
    n: usize,
    sigma: &Sigma,
    limits: &Limits,
    confidence: f64,
) -> Result<Capability, StatisticsError> {
    super::checked::confidence(confidence)?;
    enough(n, 2, "a capability")?;
    in_range("mean", mean, f64::MIN, f64::MAX, "a finite number")?;
    in_range("standard deviation", sigma.value, 1e-150, 1e150, "above 0")?;
    let v = sigma.degrees_of_freedom;
    let doubt = 0.5 * (1.0 - confidence);
    let side = |distance: Option<f64>, doubt: f64| -> Result<Option<Index>, StatisticsError> {
        let Some(distance) = distance else {
            return Ok(None);
        };
        let estimate = distance / (3.0 * sigma.value);
        let lower = cpk_lower_bound(estimate, n, v, 1.0 - doubt)?;
        let upper = cpk_upper_bound(estimate, n, v, 1.0 - doubt)?;
        Ok(Some(Index::new(n, estimate, lower, upper)))
    };
    let (to_lower, to_upper) = (
        limits.lower.map(|limit| mean - limit),
        limits.upper.map(|limit| limit - mean),
    );
    let (below, above) = (side(to_lower, doubt)?, side(to_upper, doubt)?);
    let nearer = match (to_lower, to_upper) {
        (Some(a), Some(b)) => a.min(b),
        (a, b) => a.or(b).unwrap_or(f64::INFINITY),
    };
    let estimate = nearer / (3.0 * sigma.value);
    let share = if limits.width().is_some() { 0.5 } else { 1.0 };
    let worst = Index::new(
        n,
        estimate,
        cpk_lower_bound(estimate, n, v, 1.0 - doubt)?,
        cpk_upper_bound(estimate, n, v, 1.0 - share * doubt)?,
    );
    let spread = match limits.width() {
        Some(width) => {
            let estimate = width / (6.0 * sigma.value);
            let (lower, upper) = cp_interval(estimate, v, confidence)?;
            Some(Index::new(n, estimate, lower, upper))
        }
        None => None,
    };
    Ok(Capability {
        n,
        mean,
        sigma: *sigma,
        confidence,
        spread,
        below,
        above,
        worst,
        outside_below: to_lower.map_or(0.0, |distance| normal_cdf(-distance / sigma.value)),
        outside_above: to_upper.map_or(0.0, |distance| normal_cdf(-distance / sigma.value)),
    })
}

/// The interval of Cp or Pp.
///
/// Formula: C sqrt(q/v) for the chi-square quantiles q at (1 - c)/2 and (1 + c)/2
/// Symbols: C estimate; v degrees of freedom of the standard deviation; c confidence.
/// Valid:   a normal distribution.
/// Rounding: none.
/// Source:  ISO 22514-2.
/// Checked: tests/tables/capability.json (`cp_confidence`).
/// Errors:  `OutOfRange`.
pub fn cp_interval(
    estimate: f64,
    degrees_of_freedom: f64,
    confidence: f64,
) -> Result<(f64, f64), StatisticsError> {
    super::checked::confidence(confidence)?;
    let doubt = 0.5 * (1.0 - confidence);
    let end = |p| -> Result<f64, StatisticsError> {
        let quantile = chi_square_quantile(p, degrees_of_freedom)?;
        Ok(estimate * (quantile / degrees_of_freedom).sqrt())
    };
    Ok((end(doubt)?, end(1.0 - doubt)?))
}

/// The usual approximate interval of Cpk or Ppk, for comparison with other records.
///
/// Formula: C -/+ z sqrt(1/(9n) + C^2/(2(n - 1)))
/// Symbols: C estimate; n number of values; z normal quantile at (1 + c)/2, c confidence.
/// Valid:   a normal distribution; n of 30 and more (common practice, no source).
/// Rounding: none.
/// Source:  ISO 22514-2 (clause from memory).
/// Checked: tests/tables/capability.json (`cpk_confidence`).
/// Errors:  `OutOfRange`, `TooFew`.
pub fn cpk_interval_approximate(
    estimate: f64,
    n: usize,
    confidence: f64,
) -> Result<(f64, f64), StatisticsError> {
    self::confidence(confidence)?;
    enough(n, 2, "an interval")?;
    let z = normal_quantile(0.5 + 0.5 * confidence)?;
    let size = n as f64;
    let half = z * (1.0 / (9.0 * size) + estimate * estimate / (2.0 * (size - 1.0))).sqrt();
    Ok((estimate - half, estimate + half))
}

/// The index that the process has at least, with this confidence.
///
/// Formula: c with P(t'(v, 3 sqrt(n) c) <= 3 sqrt(n) C) = confidence
/// Symbols: C estimate from n values; v degrees of freedom of its standard deviation; t'
///          noncentral t.
/// Valid:   a normal distribution; exact with one limit and v = n - 1, conservative with two.
/// Rounding: none.
/// Source:  distribution of (U - mean)/s; ISO 22514-2 gives an approximation.
/// Checked: tests/tables/capability.json (`cpk_confidence`).
/// Errors:  `OutOfRange`, `TooFew`.
pub fn cpk_lower_bound(
    estimate: f64,
    n: usize,
    degrees_of_freedom: f64,
    confidence: f64,
) -> Result<f64, StatisticsError> {
    bound(estimate, n, degrees_of_freedom, confidence)
}

/// The index that the process has at most, with this confidence.
///
/// Formula: c with P(t'(v, 3 sqrt(n) c) >= 3 sqrt(n) C) = confidence
/// Symbols: C estimate from n values; v degrees of freedom of its standard deviation; t'
///          noncentral t.
/// Valid:   a normal distribution; exact with one limit and v = n - 1. With two limits the smaller
///          index may be either: ask with half of the doubt.
/// Rounding: none.
/// Source:  distribution of (U - mean)/s.
/// Checked: tests/tables/capability_references.json.
/// Errors:  `OutOfRange`, `TooFew`.
pub fn cpk_upper_bound(
    estimate: f64,
    n: usize,
    degrees_of_freedom: f64,
    confidence: f64,
) -> Result<f64, StatisticsError> {
    bound(estimate, n, degrees_of_freedom, 1.0 - confidence)
}

fn bound(estimate: f64, n: usize, v: f64, p: f64) -> Result<f64, StatisticsError> {
    enough(n, 2, "an interval")?;
    let scale = 3.0 * (n as f64).sqrt();
    Ok(noncentrality_at(scale * estimate, v, p)? / scale)
}
