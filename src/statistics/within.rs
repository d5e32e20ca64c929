//! The standard deviation of a process: of all values, or of those made close together.

use super::StatisticsError;
use super::checked::{enough, finite, finite_groups, in_range, mean_and_sd, mean_and_squares, sum};
use super::chi_square::unbiasing_factor;
use super::gauge_study_factors::range_factors;

/// How a standard deviation was found; it decides what the indices made of it are called.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SigmaMethod {
    /// All values about their mean: performance, Pp and Ppk.
    Overall,
    /// Mean range of the subgroups over d2.
    MeanRange,
    /// Mean standard deviation of the subgroups over c4.
    MeanDeviation,
    /// Root of the pooled variance of the subgroups.
    Pooled,
    /// Mean difference of neighbours over d2 of two values.
    MovingRange,
}

impl SigmaMethod {
    /// Whether indices made of it tell what the process does over short times: Cp and Cpk.
    pub fn is_within(self) -> bool {
        self != Self::Overall
    }
}

/// A standard deviation with what is known about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sigma {
    /// The standard deviation.
    pub value: f64,
    /// Its degrees of freedom; for the range methods those of the chi-square distribution with
    /// the same relative deviation.
    pub degrees_of_freedom: f64,
    /// How it was found.
    pub method: SigmaMethod,
}

/// The standard deviation of all values.
///
/// Formula: s = sqrt(sum (x - mean)^2/(n - 1))
/// Symbols: x values; n their number.
/// Valid:   2 values and more.
/// Rounding: none.
/// Source:  ISO 3534-1.
/// Checked: tests/tables/capability.json.
/// Errors:  `NotFinite`, `TooFew`, `AllEqual`.
pub fn overall_sigma(values: &[f64]) -> Result<Sigma, StatisticsError> {
    let (_, value) = mean_and_sd(values)?;
    Ok(Sigma {
        value,
        degrees_of_freedom: (values.len() - 1) as f64,
        method: SigmaMethod::Overall,
    })
}

/// The standard deviation within subgroups by the mean range.
///
/// Formula: sigma = mean range/d2(m); degrees of freedom from (d3/d2)^2/k, see `freedom`
/// Symbols: m values in each of k subgroups.
/// Valid:   subgroups of equal size, 2 to 25 (above, the range wastes what is known).
/// Rounding: none.
/// Source:  ISO 7870-2; d2 by integration.
/// Checked: tests/tables/capability.json (`sigma_within_Rbar_over_d2`).
/// Errors:  `NotFinite`, `TooFew`, `UnevenSubgroup`, `AllEqual`, `OutOfRange`.
pub fn sigma_by_range<G: AsRef<[f64]>>(groups: &[G]) -> Result<Sigma, StatisticsError> {
    let size = equal_size(groups)?;
    in_range("size of the subgroups", size as f64, 2.0, 25.0, "2 to 25")?;
    let factors = range_factors(size)?;
    let ranges = groups.iter().map(|group| range(group.as_ref()));
    let mean = sum(ranges) / groups.len() as f64;
    let relative = (factors.d3 / factors.d2).powi(2) / groups.len() as f64;
    sigma(mean / factors.d2, freedom(relative), SigmaMethod::MeanRange)
}

/// The standard deviation within subgroups by their mean standard deviation.
///
/// Formula: sigma = mean of s/c4(m); degrees of freedom from (1 - c4^2)/c4^2/k, see `freedom`
/// Symbols: m values in each of k subgroups.
/// Valid:   subgroups of equal size, 2 and more.
/// Rounding: none.
/// Source:  ISO 7870-2.
/// Checked: tests/tables/capability.json (`sigma_within_sbar_over_c4`).
/// Errors:  `NotFinite`, `TooFew`, `UnevenSubgroup`, `AllEqual`.
pub fn sigma_by_deviation<G: AsRef<[f64]>>(groups: &[G]) -> Result<Sigma, StatisticsError> {
    let size = equal_size(groups)?;
    let c4 = unbiasing_factor((size - 1) as f64)?;
    let deviations = groups.iter().map(|group| {
        let (_, squares) = mean_and_squares(group.as_ref());
        (squares / (size - 1) as f64).sqrt()
    });
    let mean = sum(deviations) / groups.len() as f64;
    let relative = (1.0 - c4 * c4) / (c4 * c4) / groups.len() as f64;
    sigma(mean / c4, freedom(relative), SigmaMethod::MeanDeviation)
}

/// The standard deviation within subgroups by their pooled variance.
///
/// Formula: sigma = sqrt(sum of all squared deviations from the subgroup's mean/(n - k))
/// Symbols: n values in k subgroups.
/// Valid:   subgroups of any size, at least one of two values.
/// Rounding: none.
/// Source:  ISO 22514-2.
/// Checked: tests/tables/capability.json (`sigma_within_pooled`).
/// Errors:  `NotFinite`, `TooFew`, `AllEqual`.
pub fn sigma_pooled<G: AsRef<[f64]>>(groups: &[G]) -> Result<Sigma, StatisticsError> {
    finite_groups(groups)?;
    let filled = groups
        .iter()
        .map(AsRef::as_ref)
        .filter(|group| !group.is_empty());
    let (mut n, mut k, mut squares) = (0, 0, 0.0);
    for group in filled {
        n += group.len();
        k += 1;
        squares += mean_and_squares(group).1;
    }
    enough(n, k + 1, "a spread within groups")?;
    let freedom = (n - k) as f64;
    sigma((squares / freedom).sqrt(), freedom, SigmaMethod::Pooled)
}

/// The standard deviation of single values by the differences of neighbours.
///
/// Formula: sigma = mean |x_(i+1) - x_i|/d2(2); degrees of freedom from the deviation of that mean:
///          ((n - 1) d3^2 + 2 (n - 2) c)/(n - 1)^2/d2^2, c covariance of neighbouring differences
/// Symbols: n number of values in the order made; d2, d3 of two values.
/// Valid:   3 values and more.
/// Rounding: none.
/// Source:  ISO 7870-2; c = (2/pi)(sqrt(3) + pi/6 - 2), own derivation from the absolute moment of
///          two normal values with correlation -1/2.
/// Checked: tests/logic/statistics_capability.rs (simulated).
/// Errors:  `NotFinite`, `TooFew`, `AllEqual`.
pub fn sigma_by_moving_range(values: &[f64]) -> Result<Sigma, StatisticsError> {
    use std::f64::consts::{FRAC_2_PI, PI};
    finite(values)?;
    enough(values.len(), 3, "a moving range")?;
    let steps = (values.len() - 1) as f64;
    let mean = sum(values.windows(2).map(|pair| (pair[1] - pair[0]).abs())) / steps;
    let (d2, variance) = (2.0 / PI.sqrt(), 2.0 - 4.0 / PI);
    let shared = FRAC_2_PI * (3.0_f64.sqrt() + PI / 6.0 - 2.0);
    let of_mean = (steps * variance + 2.0 * (steps - 1.0) * shared) / (steps * steps);
    sigma(
        mean / d2,
        freedom(of_mean / (d2 * d2)),
        SigmaMethod::MovingRange,
    )
}

/// The degrees of freedom of a standard deviation with this squared relative deviation.
///
/// From c4: (1 - c4^2)/c4^2 = 1/(2v) + 1/(8v^2) + ..., so v = 1/(2 relative) + 1/4 nearly.
fn freedom(relative: f64) -> f64 {
    0.5 / relative + 0.25
}

fn sigma(value: f64, freedom: f64, method: SigmaMethod) -> Result<Sigma, StatisticsError> {
    if value <= 0.0 {
        return Err(StatisticsError::AllEqual);
    }
    if !value.is_finite() {
        return Err(super::checked::beyond(value));
    }
    Ok(Sigma {
        value,
        degrees_of_freedom: freedom,
        method,
    })
}

/// The common size of at least one group of finite values.
fn equal_size<G: AsRef<[f64]>>(groups: &[G]) -> Result<usize, StatisticsError> {
    let size = groups.first().map_or(0, |group| group.as_ref().len());
    enough(size, 2, "a spread within groups")?;
    finite_groups(groups)?;
    for (index, group) in groups.iter().map(AsRef::as_ref).enumerate() {
        if group.len() != size {
            return Err(StatisticsError::UnevenSubgroup {
                index,
                found: group.len(),
                needed: size,
            });
        }
    }
    Ok(size)
}

/// The largest minus the smallest.
pub(super) fn range(values: &[f64]) -> f64 {
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    high - low
}
