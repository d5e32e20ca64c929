//! Whether repeated readings of one place drift: a part that is still cooling.

use std::fmt;

use super::repeats::{Repeatability, RepeatabilityOrigin};
use super::shown::micrometres;
use crate::quantity::Length;
use crate::statistics::student_quantile;

/// Readings older than this say nothing about now (chosen: long enough for a few readings by
/// hand, short against the 20 minutes in which a hand-sized part cools).
const WINDOW_MS: u64 = 120_000;
/// Fewer readings are a difference, not a drift (two that differ are "readings disagree").
const READINGS_MIN: usize = 3;
/// Readings closer together than this in all are one grip of the hand (chosen).
const SPAN_MIN_MS: u64 = 10_000;
/// A drift must be so many digital steps: readings flicker between two neighbours.
const STEPS_MIN: i64 = 2;
/// Noise makes such a slope in one case of 500, to either side together (chosen).
const PROBABILITY: f64 = 0.999;
/// The normal quantile of that, for a standard deviation known from a study.
const KNOWN_FACTOR: f64 = 3.09;
const MINUTE_MS: u64 = 60_000;

/// Readings that drift.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Drift {
    /// By how much the fitted line changes over `over_ms`; negative: the readings shrink.
    pub change: Length,
    /// Over which time, ending with the latest reading; a minute at most.
    pub over_ms: u64,
    /// How many readings tell it.
    pub readings: usize,
}

/// Whether repeated readings of one place, each with its time in ms and in order of time, drift
/// by more than repeatability and step explain; none when they do not, or are too few to tell.
///
/// Formula: b = sum (t - tm)(x - xm) / S, S = sum (t - tm)^2; change = b T; drift when
///          |b| T >= max(2 d, 3.09 s T / sqrt(S), t(0.999; n - 2) r T / sqrt(S)),
///          s^2 = s_r^2 + d^2 / 12, r^2 = sum of squared residuals / (n - 2)
/// Symbols: t times, x readings, tm and xm their means; T time from the first to the last; d
///          digital step; s_r repeatability from a study, 0 without one (an assumed one would
///          hide a drift; the residuals speak then); n readings; t(.) Student quantile.
/// Valid:   3 readings or more of the last two minutes, 10 s or more from first to last (chosen).
/// Rounding: change half to even to 1 nm, told over the last minute.
/// Source:  straight line by least squares and the deviation of its slope: textbook.
/// Checked: tests/tables/drift.csv, tests/logic/measure_drift.rs.
/// Errors:  none.
pub fn drift(readings: &[(u64, Length)], repeatability: &Repeatability) -> Option<Drift> {
    let (latest_ms, _) = *readings.last()?;
    let recent: Vec<(u64, Length)> = readings
        .iter()
        .copied()
        .filter(|(at_ms, _)| *at_ms <= latest_ms && latest_ms - at_ms <= WINDOW_MS)
        .collect();
    let (first_ms, first) = *recent.iter().min_by_key(|(at_ms, _)| *at_ms)?;
    let span_ms = latest_ms - first_ms;
    if recent.len() < READINGS_MIN || span_ms < SPAN_MIN_MS {
        return None;
    }
    let points: Vec<(f64, f64)> = recent
        .iter()
        .map(|(at_ms, value)| {
            let since_first_ms = milliseconds(at_ms.saturating_sub(first_ms));
            (since_first_ms, (*value - first).as_nm_f64())
        })
        .collect();
    let line = Line::through(&points)?;
    let step = repeatability.resolution.abs();
    let study_nm = match repeatability.origin {
        RepeatabilityOrigin::Study => repeatability.standard_nm,
        _ => 0.0,
    };
    let known_nm = study_nm.hypot(step.as_nm_f64() / 12.0_f64.sqrt());
    let factor = student_quantile(PROBABILITY, count(points.len()) - 2.0).ok()?;
    let noise_nm = (KNOWN_FACTOR * known_nm).max(factor * line.residual_nm);
    let span = milliseconds(span_ms);
    let explained_nm = noise_nm * span / line.spread_ms;
    let least_nm = (step * STEPS_MIN).as_nm_f64();
    if (line.slope * span).abs() < explained_nm.max(least_nm) {
        return None;
    }
    let over_ms = span_ms.min(MINUTE_MS);
    let change = nearest_nm(line.slope * milliseconds(over_ms));
    (change != Length::ZERO).then_some(Drift {
        change,
        over_ms,
        readings: recent.len(),
    })
}

/// A straight line by least squares. Not that of the statistics: records hold the change to the
/// nanometre and are derived anew, so not even the order of these sums may change.
struct Line {
    /// nm per ms.
    slope: f64,
    /// Root of the sum of squared times about their mean, ms.
    spread_ms: f64,
    /// Standard deviation of the residuals, nm.
    residual_nm: f64,
}

impl Line {
    fn through(points: &[(f64, f64)]) -> Option<Self> {
        let n = count(points.len());
        let mean_t = points.iter().map(|(t, _)| t).sum::<f64>() / n;
        let mean_x = points.iter().map(|(_, x)| x).sum::<f64>() / n;
        let squares: f64 = points.iter().map(|(t, _)| (t - mean_t).powi(2)).sum();
        if squares <= 0.0 {
            return None;
        }
        let products = points.iter().map(|(t, x)| (t - mean_t) * (x - mean_x));
        let slope = products.sum::<f64>() / squares;
        let left: f64 = points
            .iter()
            .map(|(t, x)| (x - mean_x - slope * (t - mean_t)).powi(2))
            .sum();
        Some(Self {
            slope,
            spread_ms: squares.sqrt(),
            residual_nm: (left / (n - 2.0).max(1.0)).sqrt(),
        })
    }
}

#[allow(clippy::cast_precision_loss)] // two minutes of milliseconds
fn milliseconds(time: u64) -> f64 {
    time as f64
}

#[allow(clippy::cast_precision_loss)] // the readings of two minutes
fn count(number: usize) -> f64 {
    number as f64
}

#[allow(clippy::cast_possible_truncation)] // a change between two lengths
fn nearest_nm(nm: f64) -> Length {
    Length::from_nm(nm.round_ties_even() as i64)
}

impl Drift {
    /// Whether the readings shrink; else they grow.
    pub fn is_shrinking(&self) -> bool {
        self.change.is_negative()
    }
}

/// `still cooling: the readings shrink by 3 µm in the last minute`. A part that cools shrinks,
/// its bores too; a gauge that warms in the hand looks the same, and the reverse for growing.
impl fmt::Display for Drift {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let by = micrometres(self.change, 0);
        let time = match self.over_ms {
            MINUTE_MS => "in the last minute".to_owned(),
            less => format!("in the last {} s", (less + 500) / 1_000),
        };
        match self.is_shrinking() {
            true => write!(f, "still cooling: the readings shrink by {by} {time}"),
            false => write!(f, "still warming: the readings grow by {by} {time}"),
        }
    }
}
