//! What measurements of many parts teach: how much of a spread measuring makes, and how much an
//! operation (hardening, polishing, plating, pressing) changes a size.

use super::advice::rounded;
use crate::quantity::{Length, Rounding};
use crate::statistics::{Sides, StatisticsError, tolerance_interval};
use crate::tolerance::{MetalSide, Surface};

/// Share of all parts that a learned change holds for, and with which confidence (chosen; common
/// values of ISO 16269-6).
pub const ALLOWANCE_SHARE: f64 = 0.95;
/// See [`ALLOWANCE_SHARE`].
pub const ALLOWANCE_CONFIDENCE: f64 = 0.95;

/// How much of a spread measuring makes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasurementShare {
    /// Standard deviation seen, nm.
    pub seen_nm: f64,
    /// That of measuring, nm.
    pub measurement_nm: f64,
    /// Share of the variance seen that measuring makes; not above 1.
    pub share: f64,
    /// Standard deviation of the parts themselves, nm; none where measuring explains it all.
    pub process_nm: Option<f64>,
}

/// The measurement's share of a spread, and the spread without it.
///
/// Formula: r = u^2/s^2; process = sqrt(s^2 - u^2); u^2 = s_r^2/n + a^2/12
/// Symbols: s standard deviation seen, of means of n readings; s_r repeatability, a step of the
///          gauge.
/// Valid:   s above 0; what a gauge shows too much on all parts alike (its bias) is no spread.
/// Rounding: none.
/// Source:  variances of independent parts add: definition; step: JCGM 100:2008 F.2.2.1.
/// Checked: tests/logic/measure_advice.rs.
/// Errors:  `AllEqual` where nothing spreads.
pub fn measurement_share(
    seen_nm: f64,
    repeatability: Option<Length>,
    step: Length,
    readings: u32,
) -> Result<MeasurementShare, StatisticsError> {
    if seen_nm <= 0.0 || !seen_nm.is_finite() {
        return Err(StatisticsError::AllEqual);
    }
    let n = f64::from(readings.max(1));
    let repeats = repeatability.map_or(0.0, Length::as_nm_f64);
    let steps = step.as_nm_f64();
    let variance = (repeats * repeats + steps * steps / 12.0) / n;
    let left = seen_nm * seen_nm - variance;
    Ok(MeasurementShare {
        seen_nm,
        measurement_nm: variance.sqrt(),
        share: (variance / (seen_nm * seen_nm)).min(1.0),
        process_nm: (left > 0.0).then(|| left.sqrt()),
    })
}

/// What an operation changes a size by, learned from parts measured before and after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LearnedAllowance {
    /// Parts measured both times.
    pub parts: usize,
    /// Mean change of the dimension: negative where it got smaller.
    pub mean: Length,
    /// Standard deviation of the change, nm.
    pub deviation_nm: f64,
    /// The least change of that share of all parts.
    pub least: Length,
    /// The largest.
    pub most: Length,
    /// Share of all parts between them.
    pub share: f64,
    /// Confidence.
    pub confidence: f64,
    /// Where the metal of the dimension is.
    pub surface: Surface,
    /// What to leave on the dimension for it, for the plan's `leave`; none where nothing is to be
    /// left, see [`LearnedAllowance::why_nothing_to_leave`].
    pub leave: Option<Length>,
    /// How far inside its limits the size before must stay, so that the size after is inside for
    /// that share of all parts.
    pub tighten: Length,
}

/// The allowance to leave for an operation.
///
/// Formula: change = after - before; m -/+ k s; leave = metal that comes off on average
/// Symbols: m mean, s standard deviation of the change, k two-sided factor of ISO 16269-6.
/// Valid:   5 parts and more, changes normal.
/// Rounding: `leave` to whole steps, half to even; the interval outward to whole steps.
/// Source:  ISO 16269-6, as [`tolerance_interval`].
/// Checked: tests/tables/tolerance_intervals.json; tests/logic/measure_advice.rs.
/// Errors:  `TooFew` and those of [`tolerance_interval`].
pub fn learned_allowance(
    changes: &[Length],
    surface: Surface,
    step: Length,
) -> Result<LearnedAllowance, StatisticsError> {
    let needed = super::advice::ADVICE_PARTS_MIN;
    if changes.len() < needed {
        return Err(StatisticsError::TooFew {
            of: "part",
            found: changes.len(),
            needed,
            for_what: "an allowance",
        });
    }
    let values: Vec<f64> = changes.iter().map(|change| change.as_nm_f64()).collect();
    let found = tolerance_interval(&values, Sides::Both, ALLOWANCE_SHARE, ALLOWANCE_CONFIDENCE)?;
    let step = step.max(Length::from_nm(1));
    let mean = rounded(found.mean).round_to(step, Rounding::HalfEven);
    let reach = rounded((found.factor * found.sd).ceil());
    let least = (rounded(found.mean) - reach).round_to(step, Rounding::Floor);
    let most = (rounded(found.mean) + reach).round_to(step, Rounding::Ceil);
    let comes_off = match surface.metal_side() {
        MetalSide::Larger => Some(-mean),
        MetalSide::Smaller => Some(mean),
        MetalSide::Neither => None,
    };
    Ok(LearnedAllowance {
        parts: changes.len(),
        mean,
        deviation_nm: found.sd,
        least,
        most,
        share: ALLOWANCE_SHARE,
        confidence: ALLOWANCE_CONFIDENCE,
        surface,
        leave: comes_off.filter(|metal| *metal > Length::ZERO),
        tighten: (mean - least).max(most - mean),
    })
}
