//! One value against its limits, under a decision rule.
//!
//! Nothing here allocates: a verdict is a plain value that can be copied.

use std::fmt;

use super::{Rule, Side, VerdictWord};
use crate::quantity::{Exact, Length};
use crate::statistics::normal_cdf;
use crate::tolerance::{Limits, MetalSide, Surface};

/// Largest standard uncertainty taken, in smallest steps: 2^53 (beyond it, steps have gaps).
const UNCERTAINTY_MAX: f64 = 9_007_199_254_740_992.0;
/// Largest guard factor taken (chosen: five times the older k = 2).
const GUARD_FACTOR_MAX: f64 = 10.0;

/// A verdict on one value, with what a person needs to act on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judgement<Q = Length> {
    /// The verdict under `rule`.
    pub verdict: VerdictWord,
    /// Where the value lies, whatever the verdict: a value inside its limits is `Inside` also
    /// when it is in DOUBT, and one beyond them has its side also when that is not proved.
    pub side: Side,
    /// How far beyond the limit, never negative; zero inside.
    pub beyond: Q,
    /// What to add to the value to reach the middle of the limits (negative: it is too large);
    /// a middle between two steps is rounded half to even. None for one-sided limits.
    pub to_middle: Option<Q>,
    /// What to add to the value to reach the nearest limit: positive below that limit, negative
    /// above it, zero on it. From the middle, to the upper limit.
    pub to_nearest_limit: Q,
    /// Probability of being inside, 0 to 1. None when no uncertainty is known.
    pub conformance_probability: Option<f64>,
    /// The rule that was used.
    pub rule: Rule,
}

/// Why a value cannot be judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum JudgeError {
    /// The rule needs an uncertainty and there is none.
    MissingUncertainty {
        /// The rule asked for.
        rule: &'static str,
    },
    /// A standard uncertainty that is negative, not finite, or absurdly large.
    UncertaintyOutOfRange {
        /// What was given, in smallest steps (nm or milliarcseconds).
        found: f64,
    },
    /// A confidence outside 0.5 to 1.
    ConfidenceOutOfRange {
        /// What was given.
        found: f64,
    },
    /// A guard factor outside 0 to 10.
    GuardFactorOutOfRange {
        /// What was given.
        found: f64,
    },
}

/// Judges a value against limits (both inclusive), with the standard uncertainty u in the
/// quantity's smallest steps (nm, milliarcseconds). Without a rule: `Probability` at 95 % when u
/// is known, else `Simple`.
///
/// Formula: pc = P((upper - value)/u) - P((lower - value)/u), P the normal distribution function;
///          guard band g = factor u (its width: [`guard_band`](super::guard_band))
/// Symbols: value, lower, upper exact; u standard uncertainty; a missing limit gives 1 or 0.
/// Valid:   0.5 <= confidence < 1; 0 <= factor <= 10; u finite, 0 to 2^53 steps; u = 0 decides
///          as `Simple`. NO-GO needs the value beyond a limit and the confidence beyond that
///          same limit, so a wider u never turns DOUBT into GO or NO-GO.
/// Rounding: the guard band up to a whole step (binary noise below 1e-12 of it left out).
/// Source:  ISO 14253-1:2017 (probability); ISO 14253-1:1998 (guard, factor 2); JCGM 106:2012
///          clause 7 (pc) and 8 (simple acceptance).
/// Checked: tests/tables/decisions.csv, tests/tables/conformance.csv.
/// Errors:  MissingUncertainty, UncertaintyOutOfRange, ConfidenceOutOfRange,
///          GuardFactorOutOfRange.
///
/// ```
/// use fitledger::measure::{Side, VerdictWord, judge};
/// use fitledger::quantity::Length;
/// use fitledger::tolerance::{Derivation, Limits, Surface};
/// let (low, high) = (Length::from_um(19_979), Length::from_um(20_000));
/// let limits = Limits::new(Some(low), Some(high), Derivation::Stated)?;
/// let judged = judge(Length::from_um(20_005), &limits, Surface::Outside, Some(2_000.0), None)?;
/// assert_eq!((judged.verdict, judged.side), (VerdictWord::NoGo, Side::MetalOn));
/// assert_eq!(judged.beyond, Length::from_um(5));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn judge<Q: Exact>(
    value: Q,
    limits: &Limits<Q>,
    surface: Surface,
    standard_uncertainty: Option<f64>,
    rule: Option<Rule>,
) -> Result<Judgement<Q>, JudgeError> {
    let rule = resolved_rule(rule, standard_uncertainty)?;
    let beyond = limits.beyond(value).units();
    let probability = standard_uncertainty.map(|u| conformance_probability(value, limits, u));
    let guard = match (rule, standard_uncertainty) {
        (Rule::Guard { factor }, Some(u)) => steps_up(factor * u),
        _ => 0,
    };
    let verdict = match (rule, standard_uncertainty) {
        (Rule::Probability { confidence }, Some(u)) => {
            by_probability(beyond, probability.unwrap_or(0.0), u, confidence)
        }
        (Rule::Guard { .. }, _) => by_guard(value, limits, guard, beyond),
        _ if beyond == 0 => VerdictWord::Go,
        _ => VerdictWord::NoGo,
    };
    let middle = limits.middle().map(Exact::units);
    let to_middle = middle.map(|middle| Q::from_units(middle - value.units()));
    Ok(Judgement {
        verdict,
        side: side(beyond, surface),
        beyond: Q::from_units(beyond.abs()),
        to_middle,
        to_nearest_limit: Q::from_units(to_nearest_limit(value, limits)),
        conformance_probability: probability,
        rule,
    })
}

fn to_nearest_limit<Q: Exact>(value: Q, limits: &Limits<Q>) -> i64 {
    let up = limits.upper().map(|upper| upper.units() - value.units());
    let down = limits.lower().map(|lower| lower.units() - value.units());
    match (up, down) {
        (Some(up), Some(down)) if up.abs() <= down.abs() => up,
        (_, Some(down)) => down,
        (up, None) => up.unwrap_or(0),
    }
}

fn side(beyond: i64, surface: Surface) -> Side {
    match (beyond.signum(), surface.metal_side()) {
        (0, _) => Side::Inside,
        (1, MetalSide::Larger) | (-1, MetalSide::Smaller) => Side::MetalOn,
        (1, MetalSide::Neither) => Side::Above,
        (_, MetalSide::Neither) => Side::Below,
        _ => Side::MetalGone,
    }
}

/// The rule asked for, or the default; with its numbers and the uncertainty checked.
pub(super) fn resolved_rule(rule: Option<Rule>, u: Option<f64>) -> Result<Rule, JudgeError> {
    if let Some(found) = u
        && !(0.0..=UNCERTAINTY_MAX).contains(&found)
    {
        return Err(JudgeError::UncertaintyOutOfRange { found });
    }
    let rule = rule.unwrap_or(if u.is_some() {
        Rule::PROBABILITY
    } else {
        Rule::Simple
    });
    match rule {
        Rule::Probability { confidence } if !(0.5..1.0).contains(&confidence) => {
            Err(JudgeError::ConfidenceOutOfRange { found: confidence })
        }
        Rule::Guard { factor } if !(0.0..=GUARD_FACTOR_MAX).contains(&factor) => {
            Err(JudgeError::GuardFactorOutOfRange { found: factor })
        }
        Rule::Simple => Ok(rule),
        _ if u.is_none() => Err(JudgeError::MissingUncertainty { rule: rule.word() }),
        _ => Ok(rule),
    }
}

/// Probability that the true value is inside, the measured one being `value` with normal u.
///
/// Formula: pc = P((upper - value)/u) - P((lower - value)/u)
/// Symbols: as in [`judge`].
/// Valid:   u finite and at least 0; u = 0 gives 1 inside and 0 outside.
/// Rounding: none.
/// Source:  JCGM 106:2012 clause 7.
/// Checked: tests/tables/conformance.csv.
/// Errors:  none.
pub(super) fn conformance_probability<Q: Exact>(value: Q, limits: &Limits<Q>, u: f64) -> f64 {
    if u <= 0.0 {
        return if limits.contains(value) { 1.0 } else { 0.0 };
    }
    let deviation = |limit: Q| Q::from_units(limit.units() - value.units()).units_f64() / u;
    let to_upper = limits.upper().map_or(f64::INFINITY, deviation);
    let to_lower = limits.lower().map_or(f64::NEG_INFINITY, deviation);
    let inside = if to_lower > 0.0 {
        // Below both limits: the difference of two small tails keeps its digits.
        normal_cdf(-to_lower) - normal_cdf(-to_upper)
    } else {
        normal_cdf(to_upper) - normal_cdf(to_lower)
    };
    inside.clamp(0.0, 1.0)
}

fn by_probability(beyond: i64, inside: f64, u: f64, confidence: f64) -> VerdictWord {
    if beyond == 0 {
        return if inside >= confidence {
            VerdictWord::Go
        } else {
            VerdictWord::Doubt
        };
    }
    let proved_beyond = u <= 0.0 || {
        let distance = Length::from_nm(beyond.abs()).as_nm_f64();
        normal_cdf(distance / u) >= confidence
    };
    if proved_beyond {
        VerdictWord::NoGo
    } else {
        VerdictWord::Doubt
    }
}

fn by_guard<Q: Exact>(value: Q, limits: &Limits<Q>, guard: i64, beyond: i64) -> VerdictWord {
    if beyond.abs() > guard {
        return VerdictWord::NoGo;
    }
    let above_lower = limits
        .lower()
        .is_none_or(|low| value.units() - low.units() >= guard);
    let below_upper = limits
        .upper()
        .is_none_or(|high| high.units() - value.units() >= guard);
    if above_lower && below_upper {
        VerdictWord::Go
    } else {
        VerdictWord::Doubt
    }
}

/// Whole steps, rounded up; what is within 1e-12 of a whole number is that number, because the
/// rest is noise of the binary product.
#[allow(clippy::cast_possible_truncation)]
pub(super) fn steps_up(steps: f64) -> i64 {
    (steps * (1.0 - 1e-12)).ceil() as i64
}

impl JudgeError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::MissingUncertainty { .. } => "missing_uncertainty",
            Self::UncertaintyOutOfRange { .. } => "uncertainty_out_of_range",
            Self::ConfidenceOutOfRange { .. } => "confidence_out_of_range",
            Self::GuardFactorOutOfRange { .. } => "guard_factor_out_of_range",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        Some(match self {
            Self::MissingUncertainty { .. } => {
                "Give an uncertainty or a gauge, or ask for simple acceptance."
            }
            Self::UncertaintyOutOfRange { .. } => "Give a finite uncertainty of zero or more.",
            Self::ConfidenceOutOfRange { .. } => "Give a confidence such as 0.95.",
            Self::GuardFactorOutOfRange { .. } => "Give a factor such as 1.65 or 2.",
        })
    }
}

impl fmt::Display for JudgeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::MissingUncertainty { rule } => {
                write!(
                    f,
                    "The rule “{rule}” needs an uncertainty, and none is known."
                )
            }
            Self::UncertaintyOutOfRange { found } => {
                write!(
                    f,
                    "The standard uncertainty {found} is not a finite number of at least 0."
                )
            }
            Self::ConfidenceOutOfRange { found } => write!(
                f,
                "The confidence {found} is not at least 0.5 and below 1, so it decides nothing."
            ),
            Self::GuardFactorOutOfRange { found } => {
                write!(f, "The guard factor {found} is not between 0 and 10.")
            }
        }
    }
}

impl std::error::Error for JudgeError {}
