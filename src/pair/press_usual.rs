//! What is taken of a press or shrink fit where nothing is said: friction, clearance for joining,
//! the bore of a bush.

use super::bush_bore::BoreAsked;
use crate::material::{Friction, Joining, Wetness, friction};

/// Clearance for joining by heat or cold, as a share of the diameter (DIN 7190, from memory).
const CLEARANCE_SHARE: f64 = 0.001;
/// The group of materials that creep.
const PLASTIC: &str = "plastic";

/// The clearance that joining by heat or cold usually leaves, mm.
///
/// Formula: S = D/1000
/// Symbols: D joint diameter (mm).
/// Valid:   joints of a small workshop.
/// Rounding: none.
/// Source:  DIN 7190 (from memory).
/// Checked: tests/logic/press.rs.
/// Errors:  none.
pub fn joining_clearance_mm(diameter_mm: f64) -> f64 {
    CLEARANCE_SHARE * diameter_mm
}

/// The usual friction of two groups of materials: against slip as they are joined, and while they
/// are pressed in (what is shrunk is not, but it may have to be).
pub fn usual_friction(
    groups: [&str; 2],
    joining: Option<Joining>,
    wetness: Option<Wetness>,
) -> (Friction, Friction) {
    let way = joining.unwrap_or(Joining::Pressed);
    (
        friction(groups, way, wetness),
        friction(groups, Joining::Pressed, wetness),
    )
}

/// One of the two groups creeps.
pub fn creeps(groups: [&str; 2]) -> bool {
    groups.contains(&PLASTIC)
}

/// The bore of the shaft that the joint is computed with, mm: what is said, else what is measured,
/// else the middle of its limits, else none (solid).
///
/// Formula: b, else m, else (L + U)/2, else 0
/// Symbols: b bore that is said, m bore that is measured, L, U its limits (mm).
/// Valid:   the wall of a bush changes little over the tolerance of its bore.
/// Rounding: none.
/// Source:  chosen.
/// Checked: tests/logic/press.rs.
/// Errors:  none.
pub fn bore_in_joint_mm(
    said_mm: Option<f64>,
    measured_mm: Option<f64>,
    asked: Option<&BoreAsked>,
) -> f64 {
    let middle = asked.map(|bore| f64::midpoint(bore.limits_mm.0, bore.limits_mm.1));
    said_mm.or(measured_mm).or(middle).unwrap_or(0.0)
}
