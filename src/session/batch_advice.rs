//! What the row of a characteristic advises: the session's circumstances (limits, guard band, dial,
//! gauge) put into `measure`. From the running sums alone, so that it can be asked at every part.

use super::account::expected_uncertainty;
use super::batch::BatchSeries;
use super::setup::{Target, TargetLimits};
use super::sight::gauge_for;
use super::state::State;
use crate::measure::{
    ADVICE_CONFIDENCE, CannotHold, Dial, LimitAhead, MeasurementShare, OffsetAdvice, Rule,
    SamplingAdvice, cannot_hold, guard_band, limit_ahead, measurement_share, offset_advice,
    process_stands, sampling_advice,
};
use crate::quantity::Length;
use crate::statistics::{
    Capability, Limits as ShapeLimits, Sigma, SigmaMethod, StatisticsError, Summary,
    capability_with,
};

/// A standard deviation that reaches from the mean to zero in fewer than so many steps, with no
/// lower limit above zero, is one of a characteristic bounded by zero (chosen).
const ZERO_IS_NEAR: f64 = 4.0;

/// What advice rests on beside the row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circumstances {
    /// Width of the guard band at each limit.
    pub guard: Length,
    /// Repeatability of the gauge, where it is known.
    pub repeatability: Option<Length>,
    /// The dial that offsets are set on, where it is known.
    pub dial: Option<Dial>,
}

/// Everything that a row advises. Angles have rows and signals, but no advice.
#[derive(Debug, Clone, PartialEq)]
pub struct BatchAdvice {
    /// When a drift reaches a limit.
    pub ahead: Option<LimitAhead>,
    /// The offset to give, or why none.
    pub offset: Option<OffsetAdvice>,
    /// That the tolerance cannot be held.
    pub cannot_hold: Option<CannotHold>,
    /// How often to measure.
    pub sampling: Option<SamplingAdvice>,
    /// What of the spread from part to part measuring makes.
    pub share: Option<MeasurementShare>,
}

impl Circumstances {
    /// Those of a characteristic of the session.
    pub fn of(state: &State, target_index: usize) -> Self {
        let setup = state.setup();
        let target = setup.targets.get(target_index);
        let gauge = target.and_then(|target| setup.gauge(&gauge_for(state, target)?));
        let guard = match target.map(|target| target.limits) {
            Some(TargetLimits::Length(limits)) => {
                let u = expected_uncertainty(state, target_index);
                let usual = if u.is_some() {
                    Rule::PROBABILITY
                } else {
                    Rule::Simple
                };
                let rule = setup.rule.unwrap_or(usual);
                guard_band(&limits, u, rule).ok().flatten()
            }
            _ => None,
        };
        Self {
            guard: guard.unwrap_or(Length::ZERO),
            repeatability: gauge.and_then(|gauge| gauge.repeatability),
            dial: setup.dial,
        }
    }
}

/// What the row of a characteristic advises now.
pub fn batch_advice(series: &BatchSeries, target: &Target, with: &Circumstances) -> BatchAdvice {
    let mut advice = BatchAdvice {
        ahead: None,
        offset: None,
        cannot_hold: None,
        sampling: None,
        share: None,
    };
    let (TargetLimits::Length(limits), Some(newest)) = (target.limits, series.points().last())
    else {
        return advice;
    };
    let sums = series.line_sums();
    if let Ok(line) = sums.line() {
        let ahead = limit_ahead(&line, &limits, with.guard, newest.part);
        advice.ahead = ahead.ok().flatten();
    }
    if let Ok(stands) = process_stands(sums, newest.part) {
        advice.offset = offset_advice(&stands, &limits, target.surface, with.dial);
    }
    let level = ADVICE_CONFIDENCE;
    let found = performance(series, target, level).ok();
    let recent = || series.points().iter().rev().take(SIGNALS_RECENT);
    // One part that fell out of the row is a mishap: the others must say it, too.
    advice.cannot_hold = found.as_ref().and_then(cannot_hold).filter(|_| {
        let others = series.summary_but_furthest();
        let others = others.and_then(|others| performance_of(&others, series, target, level));
        others.is_ok_and(|others| cannot_hold(&others).is_some())
    });
    let has_signals = recent().any(|point| !point.signals.is_empty());
    let all = found.as_ref();
    advice.sampling = Some(sampling_advice(
        advice.ahead.as_ref(),
        all,
        has_signals,
        newest.part,
    ));
    advice.share = share(series, with);
    advice
}

/// Signals among so many parts say that the process is not steady (chosen).
const SIGNALS_RECENT: usize = 25;

fn share(series: &BatchSeries, with: &Circumstances) -> Option<MeasurementShare> {
    let limits = series.segment().limits?;
    let newest = series.points().last()?;
    let readings = u32::try_from(newest.values().len()).unwrap_or(1);
    let step = Length::from_nm(newest.step);
    measurement_share(limits.deviation, with.repeatability, step, readings).ok()
}

/// Performance (Pp, Ppk) of all values so far, from their sums; not of what is bounded by zero.
///
/// # Errors
/// Those of [`capability_with`]; `OutOfRange` for a characteristic that is bounded by zero.
pub(super) fn performance(
    series: &BatchSeries,
    target: &Target,
    confidence: f64,
) -> Result<Capability, StatisticsError> {
    performance_of(&series.summary()?, series, target, confidence)
}

fn performance_of(
    found: &Summary,
    series: &BatchSeries,
    target: &Target,
    confidence: f64,
) -> Result<Capability, StatisticsError> {
    let shape = shape_limits(target)?;
    if is_bounded_by_zero(series, target) {
        return Err(StatisticsError::OutOfRange {
            name: "distance of the values from zero",
            found: found.mean,
            allowed: "far above their spread, to be taken as normal",
        });
    }
    let sigma = Sigma {
        value: found.standard_deviation.unwrap_or_default(),
        degrees_of_freedom: found.count as f64 - 1.0,
        method: SigmaMethod::Overall,
    };
    if sigma.value <= 0.0 {
        return Err(StatisticsError::AllEqual);
    }
    capability_with(found.mean, found.count, &sigma, &shape, confidence)
}

/// The limits as plain numbers in smallest steps.
pub(super) fn shape_limits(target: &Target) -> Result<ShapeLimits, StatisticsError> {
    let (lower, upper) = match target.limits {
        TargetLimits::Length(limits) => (
            limits.lower().map(|limit| limit.as_nm()),
            limits.upper().map(|limit| limit.as_nm()),
        ),
        TargetLimits::Angle(limits) => (
            limits.lower().map(|limit| limit.as_mas()),
            limits.upper().map(|limit| limit.as_mas()),
        ),
        TargetLimits::Check(_) => (None, None),
    };
    ShapeLimits::new(lower.map(|one| one as f64), upper.map(|one| one as f64))
}

/// Whether the characteristic ends at zero (a runout, taken as largest less smallest) or lies so
/// near to it that a normal distribution would reach below.
pub fn is_bounded_by_zero(series: &BatchSeries, target: &Target) -> bool {
    if target.is_difference() {
        return true;
    }
    let lower = shape_limits(target).ok().and_then(|limits| limits.lower());
    let has_room = lower.is_some_and(|lower| lower > 0.0);
    let Ok(found) = series.summary() else {
        return false;
    };
    let deviation = found.standard_deviation.unwrap_or_default();
    !has_room && found.min >= 0.0 && found.mean < ZERO_IS_NEAR * deviation
}
