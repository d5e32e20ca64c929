//! The formulas behind the thread tables, for diameters and pitches that the tables do not have:
//! the one place of this room with floats. Whole micrometres come out. Stress area and lead angle,
//! which are no lengths, stand here too.

use super::profile::ThreadProfile;
use super::thread::ThreadMember;
use crate::quantity::Length;

/// The R40 series of preferred numbers from 100 to 950, as the tables use it (from memory).
const R40: [i64; 40] = [
    100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250, 265, 280,
    300, 315, 335, 355, 375, 400, 425, 450, 475, 500, 530, 560, 600, 630, 670, 710, 750, 800, 850,
    900, 950,
];
/// Below 100 µm whole numbers are used (R'40; from memory). No value of these tables is below 17.
const BELOW_100: [i64; 38] = [
    10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 24, 25, 26, 28, 30, 32, 34, 36, 38, 40, 42,
    45, 48, 50, 53, 56, 60, 63, 67, 71, 75, 80, 85, 90, 95,
];

/// Largest tangent of the lead angle with which a pitch diameter is measured over wires (chosen: up
/// to it the inverse of the formula comes to rest).
pub const STEEPEST_OVER_WIRES: f64 = 0.5;

fn mm(length: Length) -> f64 {
    length.as_nm_f64() / 1e6
}

/// The nearest preferred number of micrometres. Half ways go to the smaller number: of the three
/// such cells of the tables two agree (EI_G at 0.5 mm, es_f at 1 mm) and one does not (2 mm).
fn preferred(um: f64) -> Length {
    let all = BELOW_100.iter().chain(&R40).copied();
    let all = all.chain(R40.iter().map(|value| value * 10));
    #[allow(clippy::cast_precision_loss)] // below 10 000
    let distance = |value: &i64| (*value as f64 - um).abs();
    let nearest = all.min_by(|one, other| distance(one).total_cmp(&distance(other)));
    Length::from_um(nearest.unwrap_or(0))
}

/// Pitch-diameter tolerance of a range of diameters, a pitch and a grade.
///
/// Formula: Td2(6) = 90 P^0.4 d^0.1; grades 3 to 9 are 0.5, 0.63, 0.8, 1, 1.25, 1.6, 2 times it;
///          TD2 grades 4 to 8 are 0.85, 1.06, 1.32, 1.7, 2.12 times Td2(6)
/// Symbols: P pitch, d geometric mean of the range's limits (mm); the tolerance in µm.
/// Valid:   as a substitute where the standard has no row; flagged wherever it is used.
/// Rounding: to the nearest R40 number.
/// Source:  ISO 965-1 (from memory); compared with its tables, which differ by one step at most.
/// Checked: tests/logic/thread_formulas.rs.
/// Errors:  None for a grade without a factor.
pub(super) fn pitch_diameter_tolerance(
    member: ThreadMember,
    over: Length,
    up_to: Length,
    pitch: Length,
    grade: u8,
) -> Option<Length> {
    let factor = match (member, grade) {
        (ThreadMember::External, 3) => 0.5,
        (ThreadMember::External, 4) => 0.63,
        (ThreadMember::External, 5) => 0.8,
        (ThreadMember::External, 6) => 1.0,
        (ThreadMember::External, 7) => 1.25,
        (ThreadMember::External, 8) => 1.6,
        (ThreadMember::External, 9) => 2.0,
        (ThreadMember::Internal, 4) => 0.85,
        (ThreadMember::Internal, 5) => 1.06,
        (ThreadMember::Internal, 6) => 1.32,
        (ThreadMember::Internal, 7) => 1.7,
        (ThreadMember::Internal, 8) => 2.12,
        _ => return None,
    };
    let mean = (mm(over) * mm(up_to)).sqrt();
    Some(preferred(
        factor * 90.0 * mm(pitch).powf(0.4) * mean.powf(0.1),
    ))
}

/// Crest tolerance at a pitch and a grade: major diameter outside, minor diameter inside.
///
/// Formula: Td(6) = 180 P^(2/3) - 3.15/sqrt(P), grades 4 and 8: 0.63 and 1.6 times; TD1(6) =
///          433 P - 190 P^1.22 below 1 mm, else 230 P^0.7; grades 4, 5, 7, 8: 0.63, 0.8, 1.25,
///          1.6 times
/// Symbols: P pitch (mm); the tolerance in µm.
/// Valid:   as a substitute where the standard does not table the pitch; flagged.
/// Rounding: to the nearest R40 number.
/// Source:  Machinery's Handbook 27th ed. p.1819 (BS 3643), the same as ISO 965-1 (from memory).
/// Checked: tests/logic/thread_formulas.rs.
/// Errors:  None for a grade without a factor.
pub(super) fn crest_tolerance(member: ThreadMember, pitch: Length, grade: u8) -> Option<Length> {
    let factor = match (member, grade) {
        (_, 4) => 0.63,
        (ThreadMember::Internal, 5) => 0.8,
        (_, 6) => 1.0,
        (ThreadMember::Internal, 7) => 1.25,
        (_, 8) => 1.6,
        _ => return None,
    };
    let p = mm(pitch);
    let six = match member {
        ThreadMember::External => 180.0 * p.powf(2.0 / 3.0) - 3.15 / p.sqrt(),
        ThreadMember::Internal if p < 1.0 => 433.0 * p - 190.0 * p.powf(1.22),
        ThreadMember::Internal => 230.0 * p.powf(0.7),
    };
    Some(preferred(factor * six))
}

/// Fundamental deviation at a pitch: EI inside (positive), es outside (negative).
///
/// Formula: EI_G = 15 + 11 P; es_g = -(15 + 11 P); es_f = -(30 + 11 P); es_e = -(50 + 11 P);
///          EI_H = es_h = 0
/// Symbols: P pitch (mm); the deviation in µm.
/// Valid:   as a substitute where the standard does not table the pitch; e from 0.5 mm, f from
///          0.35 mm on; no formula is established for a to d.
/// Rounding: to the nearest R40 number.
/// Source:  ISO 965-1 (from memory).
/// Checked: tests/logic/thread_formulas.rs.
/// Errors:  None for a position without a formula.
pub(super) fn fundamental_deviation(
    position: super::thread::ThreadPosition,
    pitch: Length,
) -> Option<Length> {
    use super::thread::ThreadPosition as Position;
    let um = |constant: f64| preferred(constant + 11.0 * mm(pitch));
    Some(match position {
        Position::InternalH | Position::H => Length::ZERO,
        Position::InternalG => um(15.0),
        Position::G => -um(15.0),
        Position::F if pitch >= Length::from_um(350) => -um(30.0),
        Position::E if pitch >= Length::from_um(500) => -um(50.0),
        _ => return None,
    })
}

/// Tangent of the lead angle at the pitch cylinder.
///
/// Formula: tan psi = lead / (pi d2)
/// Symbols: lead = starts x pitch; d2 pitch diameter (both lengths).
/// Valid:   both above zero; a pitch diameter of zero gives no finite number.
/// Rounding: none.
/// Source:  geometry: one turn of the pitch cylinder unrolled.
/// Checked: tests/logic/thread_geometry.rs.
/// Errors:  none.
pub fn lead_angle_tangent(lead: Length, pitch_diameter: Length) -> f64 {
    lead.as_nm_f64() / (std::f64::consts::PI * pitch_diameter.as_nm_f64())
}

/// Nominal stress area of an external thread, square millimetres.
///
/// Formula: A_s = pi/4 ((d2 + d3)/2)^2
/// Symbols: d2, d3 basic pitch diameter and design minor diameter (mm).
/// Valid:   external thread of the basic profile, root radius H/6.
/// Rounding: none; d2 and d3 to 1 nm.
/// Source:  ISO 898-1 (from memory).
/// Checked: tests/tables/stress_area.csv.
/// Errors:  none.
pub fn stress_area_mm2(profile: &ThreadProfile) -> f64 {
    let (d2, d3) = (profile.pitch_diameter(), profile.design_minor_diameter());
    let mean_mm = mm((d2 + d3).to_nm()) / 2.0;
    std::f64::consts::FRAC_PI_4 * mean_mm * mean_mm
}
