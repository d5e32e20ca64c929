//! Capability without a normal distribution: by the quantiles that hold all but 0.27 % of parts.

use super::StatisticsError;
use super::capability::{Index, Limits};
use super::checked::{all_equal, confidence, finite};
use super::fisher::quantile_ranks;
use super::ordered::ascending;
use super::quantile::of_sorted;

/// The shares below the three quantiles; the outer ones are those of three standard deviations.
pub(super) const SHARES: [f64; 3] = [0.00135, 0.5, 0.99865];

/// The quantiles from which indices are made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantiles {
    /// What 0.135 % of the parts lie below.
    pub low: f64,
    /// What half of the parts lie below.
    pub middle: f64,
    /// What 99.865 % of the parts lie below.
    pub high: f64,
}

impl Quantiles {
    /// Those of a normal distribution: the mean and three standard deviations to each side.
    pub fn normal(mean: f64, sigma: f64) -> Self {
        Self {
            low: mean - 3.0 * sigma,
            middle: mean,
            high: mean + 3.0 * sigma,
        }
    }
}

/// The indices of a distribution that is known, not estimated: no interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownIndices {
    /// The width of the limits over that of the distribution; none with one limit.
    pub spread: Option<f64>,
    /// The room below the middle over what the distribution takes there.
    pub below: Option<f64>,
    /// The room above the middle over what the distribution takes there.
    pub above: Option<f64>,
    /// The smaller of the two.
    pub worst: f64,
}

/// The indices of a known distribution from its quantiles.
///
/// Formula: spread (U - L)/(h - l); above (U - m)/(h - m); below (m - L)/(m - l); worst the smaller
/// Symbols: U, L limits; l, m, h quantiles at 0.135 %, 50 %, 99.865 %.
/// Valid:   every distribution with l < m < h.
/// Rounding: none.
/// Source:  ISO 22514-2 (general definition).
/// Checked: tests/tables/capability.json (the percentile cases).
/// Errors:  `AllEqual` where the quantiles coincide.
pub fn known_indices(
    quantiles: &Quantiles,
    limits: &Limits,
) -> Result<KnownIndices, StatisticsError> {
    let Quantiles { low, middle, high } = *quantiles;
    if !(low < middle && middle < high) {
        return Err(StatisticsError::AllEqual);
    }
    let below = limits
        .lower()
        .map(|limit| (middle - limit) / (middle - low));
    let above = limits
        .upper()
        .map(|limit| (limit - middle) / (high - middle));
    let sides = below.iter().chain(above.iter());
    Ok(KnownIndices {
        spread: limits.width().map(|width| width / (high - low)),
        below,
        above,
        worst: sides.copied().fold(f64::INFINITY, f64::min),
    })
}

/// Performance by the quantiles of the values themselves, whatever their distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PercentilePerformance {
    /// How many values there are.
    pub n: usize,
    /// The quantiles, interpolated between neighbours (type 7).
    pub quantiles: Quantiles,
    /// The width of the limits over that of the distribution; none with one limit.
    pub spread: Option<Index>,
    /// The smaller of the two sides.
    pub worst: Index,
    /// The share of the values outside the limits.
    pub outside: f64,
    /// The confidence level of the intervals.
    pub confidence: f64,
}

/// Performance without any model: sorted values give the quantiles and, by their ranks, intervals.
///
/// Formula: as `known_indices`; each quantile lies between two ranks with a binomial probability,
///          the index lies between its extremes over those ranks
/// Symbols: see there.
/// Valid:   so many values that the outer quantiles have ranks: at 95 % 3544 with two limits, 3244
///          with one. The interval is conservative (the quantiles share the doubt).
/// Rounding: none.
/// Source:  ISO 22514-2; ranks: binomial distribution (ISO 16269-7 for the median; from memory).
/// Checked: tests/logic/statistics_capability.rs (simulated).
/// Errors:  `NotFinite`, `TooFew`, `AllEqual`, `OutOfRange`.
pub fn percentile_performance(
    values: &[f64],
    limits: &Limits,
    confidence: f64,
) -> Result<PercentilePerformance, StatisticsError> {
    self::confidence(confidence)?;
    finite(values)?;
    if all_equal(values) && !values.is_empty() {
        return Err(StatisticsError::AllEqual);
    }
    let n = values.len();
    // Three quantiles with two limits, two with one: each gets its part of the doubt.
    let parts = if limits.width().is_some() { 3.0 } else { 2.0 };
    let each = 1.0 - (1.0 - confidence) / parts;
    let places = ranked(&ascending(values), each)?;
    let [low, middle, high] = places.map(|place| place.best);
    let quantiles = Quantiles { low, middle, high };
    let best = known_indices(&quantiles, limits)?;
    let (spread, worst) = extremes(&places, limits);
    let is_outside = |value: &&f64| {
        limits.lower().is_some_and(|limit| **value < limit)
            || limits.upper().is_some_and(|limit| **value > limit)
    };
    Ok(PercentilePerformance {
        n,
        quantiles,
        spread: best
            .spread
            .map(|found| Index::new(n, found, spread.0, spread.1)),
        worst: Index::new(n, best.worst, worst.0, worst.1),
        outside: values.iter().filter(is_outside).count() as f64 / n as f64,
        confidence,
    })
}

/// A quantile of the values, and the values between which the true one lies.
#[derive(Clone, Copy)]
struct Place {
    best: f64,
    low: f64,
    high: f64,
}

/// The three quantiles of sorted values, each with its ranks.
fn ranked(sorted: &[f64], confidence: f64) -> Result<[Place; 3], StatisticsError> {
    let n = sorted.len();
    let mut places = [Place {
        best: 0.0,
        low: 0.0,
        high: 0.0,
    }; 3];
    for (place, share) in places.iter_mut().zip(SHARES) {
        let (Some(low), Some(high)) = quantile_ranks(n, share, confidence) else {
            let needed = (0.5 * (1.0 - confidence)).ln() / (1.0 - SHARES[0]).ln();
            return Err(StatisticsError::TooFew {
                of: "value",
                found: n,
                needed: whole(needed.ceil()),
                for_what: "capability by percentiles",
            });
        };
        *place = Place {
            best: of_sorted(sorted, share),
            low: sorted[low - 1],
            high: sorted[high - 1],
        };
    }
    Ok(places)
}

/// The smallest and largest spread and worst index over all ends of the quantiles.
fn extremes(places: &[Place; 3], limits: &Limits) -> ((f64, f64), (f64, f64)) {
    let (mut spread, mut worst) = (
        (f64::INFINITY, f64::NEG_INFINITY),
        (f64::INFINITY, f64::NEG_INFINITY),
    );
    for corner in 0..8_u32 {
        let end = |at: usize| {
            if corner >> at & 1 == 0 {
                places[at].low
            } else {
                places[at].high
            }
        };
        let corner = Quantiles {
            low: end(0),
            middle: end(1),
            high: end(2),
        };
        // Where the ranks overlap, nothing bounds the index from above.
        let found = known_indices(&corner, limits).ok();
        let width = found.map_or(f64::INFINITY, |found| found.spread.unwrap_or(0.0));
        let least = found.map_or(f64::INFINITY, |found| found.worst);
        spread = (spread.0.min(width), spread.1.max(width));
        worst = (worst.0.min(least), worst.1.max(least));
    }
    (spread, worst)
}

/// A count that was computed with floats.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn whole(count: f64) -> usize {
    count as usize
}
