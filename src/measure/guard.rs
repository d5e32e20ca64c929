//! The width of the doubtful zone at a limit, and the uncertainty that would settle a value.

use super::judge::{JudgeError, conformance_probability, resolved_rule, steps_up};
use super::{Rule, VerdictWord, judge};
use crate::quantity::{Exact, Length};
use crate::statistics::normal_quantile;
use crate::tolerance::{Limits, Surface};

/// Largest uncertainty that is searched for, in smallest steps.
const UNCERTAINTY_SEARCHED_MAX: f64 = 1e10;

/// A limit so many standard uncertainties away takes less than 1e-17 from a probability.
const NEGLIGIBLE_FROM: f64 = 8.5;

/// How far inside each limit a value must lie to be GO; none when no value at all can be proved
/// inside with this uncertainty.
///
/// Formula: g = factor u (guard); the least g with pc(lower + g) >= confidence (probability),
///          which is z u in a wide tolerance; 0 (simple)
/// Symbols: u standard uncertainty in smallest steps; pc conformance probability; z normal
///          quantile of the confidence.
/// Valid:   as [`judge`]; the same for both limits, by symmetry.
/// Rounding: up to a whole step.
/// Source:  JCGM 106:2012 clause 7 and 8; ISO 14253-1:2017.
/// Checked: tests/tables/guard_growth.csv; tests/logic/measure_judge.rs.
/// Errors:  as [`judge`].
pub fn guard_band<Q: Exact>(
    limits: &Limits<Q>,
    standard_uncertainty: Option<f64>,
    rule: Rule,
) -> Result<Option<Q>, JudgeError> {
    let rule = resolved_rule(Some(rule), standard_uncertainty)?;
    let width = limits.tolerance().map(Exact::units);
    let guard = match (rule, standard_uncertainty) {
        (Rule::Guard { factor }, Some(u)) => Some(steps_up(factor * u)),
        (Rule::Probability { confidence }, Some(u)) => probability_guard(limits, u, confidence),
        _ => Some(0),
    };
    Ok(guard
        .filter(|guard| width.is_none_or(|width| guard * 2 <= width))
        .map(Q::from_units))
}

/// How far beyond a limit a value may lie and still be DOUBT; from there on it is NO-GO.
///
/// Formula: d = factor u (guard); z u (probability); 0 (simple)
/// Symbols: u standard uncertainty in smallest steps; z normal quantile of the confidence.
/// Valid:   as [`judge`]; the same beyond both limits.
/// Rounding: up to a whole step.
/// Source:  JCGM 106:2012 clause 7 and 8; ISO 14253-1:2017; the NO-GO of [`judge`], solved.
/// Checked: tests/logic/measure_judge.rs.
/// Errors:  as [`judge`].
pub fn doubt_beyond<Q: Exact>(
    standard_uncertainty: Option<f64>,
    rule: Rule,
) -> Result<Q, JudgeError> {
    let rule = resolved_rule(Some(rule), standard_uncertainty)?;
    let steps = match (rule, standard_uncertainty) {
        (Rule::Guard { factor }, Some(u)) => steps_up(factor * u),
        (Rule::Probability { confidence }, Some(u)) => {
            normal_quantile(confidence).map_or(0, |z| steps_up(z * u))
        }
        _ => 0,
    };
    Ok(Q::from_units(steps))
}

/// The least guard in steps that gives the confidence; none when even the middle has less.
fn probability_guard<Q: Exact>(limits: &Limits<Q>, u: f64, confidence: f64) -> Option<i64> {
    let proved = |guard: i64| {
        let value = match (limits.lower(), limits.upper()) {
            (Some(lower), _) => lower.units() + guard,
            (None, Some(upper)) => upper.units() - guard,
            (None, None) => return false,
        };
        conformance_probability(Q::from_units(value), limits, u) >= confidence
    };
    let z = normal_quantile(confidence).ok()?;
    let usual = whole_steps_above(z * u);
    let width = limits.tolerance().map(Exact::units);
    let far = width.map(|width| Length::from_nm(width - usual).as_nm_f64());
    // A second limit can only ask for more, so the one-sided guard, where it is enough, is the
    // least; far away the second limit asks for nothing.
    if far.is_some_and(|far| far > NEGLIGIBLE_FROM * u) || proved(usual) {
        return Some(usual);
    }
    // One-sided: a step more for the last bit of the quantile.
    let mut proved_at = width.map_or(usual + 1, |width| width / 2);
    if !proved(proved_at) {
        return None;
    }
    let mut failed_at = usual.min(proved_at - 1);
    while proved_at - failed_at > 1 {
        let middle = failed_at + (proved_at - failed_at) / 2;
        if proved(middle) {
            proved_at = middle;
        } else {
            failed_at = middle;
        }
    }
    Some(proved_at)
}

#[allow(clippy::cast_possible_truncation)]
fn whole_steps_above(steps: f64) -> i64 {
    steps.ceil() as i64
}

/// The largest standard uncertainty (smallest steps) under which this value would be GO, or
/// NO-GO when it lies beyond a limit; none when no uncertainty above zero would settle it (a
/// value on its limit) or the rule asks for none.
///
/// Formula: u with pc(u) = confidence, or beyond / z; margin / factor or (beyond - 1) / factor
/// Symbols: margin steps inside the nearest limit; beyond steps outside; z normal quantile of the
///          confidence; pc conformance probability.
/// Valid:   0.5 < confidence < 1; 0 < factor <= 10; searched up to 1e10 steps.
/// Rounding: none.
/// Source:  ISO 14253-1:2017; JCGM 106:2012 clause 7, solved for u.
/// Checked: tests/logic/measure_remedy.rs.
/// Errors:  none.
pub fn largest_proving_uncertainty<Q: Exact>(
    value: Q,
    limits: &Limits<Q>,
    rule: Rule,
) -> Option<f64> {
    let exact = judge(value, limits, Surface::Length, Some(0.0), Some(rule)).ok()?;
    let steps = |distance: i64| Length::from_nm(distance).as_nm_f64();
    let beyond = exact.beyond.units();
    let distance = if beyond > 0 {
        beyond
    } else {
        exact.to_nearest_limit.units().abs()
    };
    let bound = |distance: f64, factor: f64| (distance / factor).min(UNCERTAINTY_SEARCHED_MAX);
    let largest = match rule {
        Rule::Simple => return None,
        Rule::Guard { factor } if beyond > 0 => bound(steps(beyond - 1), factor),
        Rule::Guard { factor } => bound(steps(distance), factor),
        Rule::Probability { confidence } => {
            let z = normal_quantile(confidence).ok()?;
            let highest = bound(steps(distance), z);
            if beyond > 0 {
                highest
            } else {
                let proves = |u: f64| conformance_probability(value, limits, u) >= confidence;
                bisected(highest, proves)
            }
        }
    };
    (largest > 0.0 && exact.verdict != VerdictWord::Doubt).then_some(largest)
}

/// The largest u up to `highest` that still proves; the proof only fails as u grows.
fn bisected(highest: f64, proves: impl Fn(f64) -> bool) -> f64 {
    if proves(highest) {
        return highest;
    }
    let (mut good, mut bad) = (0.0, highest);
    for _ in 0..60 {
        let middle = f64::midpoint(good, bad);
        if proves(middle) {
            good = middle;
        } else {
            bad = middle;
        }
    }
    good
}
