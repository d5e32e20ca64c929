//! How much metal is still to come off at a characteristic of the session: for the record while
//! cutting, and for whoever shows where a cut aims.

use super::setup::{Setup, Target, TargetLimits};
use crate::measure::{
    Aim, CutSetting, Dial, DialReads, LEAST_CUT, RemainingMetal, Rule, guard_band, remaining_metal,
};
use crate::quantity::Length;

/// Coarsest graduation of a dial that is taken (chosen: a coarser one is a slip).
const DIAL_STEP_MAX: Length = Length::from_mm(1);

/// Metal between a value at 20 °C and what the cut aims at, under the session's dial and the
/// plan's aim; `u` is the standard uncertainty in nm. None where metal has no side, for angles,
/// and where nothing limits the metal-on side.
pub fn metal_left(
    setup: &Setup,
    target: &Target,
    value: Length,
    u: Option<f64>,
    rule: Rule,
) -> Option<RemainingMetal> {
    let TargetLimits::Length(limits) = target.limits else {
        return None;
    };
    // A gauge too coarse to prove any size may still rough: then the limits themselves count.
    // So it is with a rule that asks for an uncertainty where none is known.
    let guard = guard_band(&limits, u, rule).ok();
    let setting = CutSetting {
        aim: match target.aim {
            crate::plan::Aim::Middle => Aim::Middle,
            crate::plan::Aim::TowardMetal => Aim::TowardMetal,
        },
        guard: guard.flatten().unwrap_or(Length::ZERO),
        leave: Length::ZERO,
        least_cut: target.least_cut.unwrap_or(LEAST_CUT),
        dial: setup.dial,
    };
    remaining_metal(value, &limits, target.surface, &setting).ok()
}

/// `radius 0.02` or `diameter 0.02`: what the dial's numbers are, and one graduation in mm.
pub fn dial_of(text: &str) -> Option<Dial> {
    let (reads, step) = text.split_once([' ', ':'])?;
    let reads = match reads {
        "radius" => DialReads::Radius,
        "diameter" => DialReads::Diameter,
        _ => return None,
    };
    let step = Length::parse_mm(step.trim()).ok()?;
    (step > Length::ZERO && step <= DIAL_STEP_MAX).then_some(Dial { reads, step })
}
