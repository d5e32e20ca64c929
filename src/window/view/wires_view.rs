//! Builds the worked example of a measurement over three wires.

use super::WiresView;
use super::bar_view::value;
use super::focus::Focus;
use super::words::Words;
use crate::measure::{LeadAngle, wire_range};
use crate::quantity::{Exact, Length, LengthUnit, Rounding};
use crate::session::Target;
use crate::tolerance::Limits;

/// Numbers of the sum are shown so: finer than a tenth of a micrometre, so that the lead angle's
/// share is seen.
const STEP: Length = Length::from_nm(10);
const STEP_DECIMALS: u8 = 5;
/// What must be found is shown so, inside the limits: no micrometer of the workshop is finer.
const FOUND_STEP: Length = Length::from_um(1);
const FOUND_DECIMALS: u8 = 3;
const HALF: Rounding = Rounding::HalfEven;
const FORMULA: &str = "d2 = M − 3 W + 0.866025 P − c   (c: lead angle)";

/// The worked example of the characteristic in focus; none for what is not measured over wires.
pub(super) fn wires_view(focus: &Focus<'_>, words: Words) -> Option<WiresView> {
    let wires = focus.target.three_wires()?;
    let over = focus.target.over_wires?;
    let limits = focus.target.limits_to_find()?;
    let range = wire_range(&over.profile).ok()?;
    let middle = middle(limits.lower()?, limits.upper()?);
    let found = value(focus).map(Length::from_units);
    let pitch_diameter = match found {
        Some(found) => found,
        None => wires.pitch_diameter(middle, LeadAngle::Corrected).ok()?,
    };
    let m = wires
        .over_wires(pitch_diameter, LeadAngle::Corrected)
        .ok()?;
    let height = over.profile.triangle_height().to_nm();
    let three = wires.wire() * 3;
    // What is left over of the rounded numbers is the lead angle's, so that they add up.
    let rest = rounded(m) - rounded(three) + rounded(height) - rounded(pitch_diameter);
    let sign = if rest < Length::ZERO { '+' } else { '−' };
    let terms = format!(
        "− {} + {} {sign} {}",
        shown(three),
        shown(height),
        shown(rest.abs())
    );
    let sum = match found {
        Some(_) => format!("d2 = {} {terms} = {}", shown(m), shown(pitch_diameter)),
        None => {
            let constant = rounded(three) - rounded(height) + rest;
            format!("d2 = M {terms} = M − {}", shown(constant))
        }
    };
    let wanted = format!(
        "M must be {}, in the middle {}",
        inside(&limits)?,
        mm(middle, HALF)
    );
    let wire = format!(
        "wire W {}, best {}, usable {} to {}",
        wires.wire().to_mm(),
        mm(range.best, HALF),
        mm(range.usual_min, Rounding::Ceil),
        mm(range.usual_max, Rounding::Floor)
    );
    Some(WiresView {
        formula: words.sentence(FORMULA),
        sum: words.sentence(&sum),
        wanted: words.sentence(&wanted),
        wire: words.sentence(&wire),
    })
}

/// `M 16.241 to 16.380`: what must be found over the wires; none for what is not measured so.
pub(super) fn wanted_over_wires(target: &Target, words: Words) -> Option<String> {
    target.over_wires?;
    let limits = inside(&target.limits_to_find()?)?;
    Some(words.sentence(&format!("M {limits}")))
}

/// Limits in steps of a micrometer, rounded inward.
fn inside(limits: &Limits) -> Option<String> {
    let (lower, upper) = (limits.lower()?, limits.upper()?);
    Some(format!(
        "{} to {}",
        mm(lower, Rounding::Ceil),
        mm(upper, Rounding::Floor)
    ))
}

fn mm(length: Length, rounding: Rounding) -> String {
    length
        .round_to(FOUND_STEP, rounding)
        .to_text(LengthUnit::Millimetre, FOUND_DECIMALS)
}

/// In steps of the sum; a gauge's own decimals where the rest is zero.
fn shown(length: Length) -> String {
    let length = rounded(length);
    let decimals = match length == length.round_to(FOUND_STEP, HALF) {
        true => FOUND_DECIMALS,
        false => STEP_DECIMALS,
    };
    length.to_text(LengthUnit::Millimetre, decimals)
}

fn rounded(length: Length) -> Length {
    length.round_to(STEP, HALF)
}

fn middle(lower: Length, upper: Length) -> Length {
    (lower + upper).div_half_even(2)
}
