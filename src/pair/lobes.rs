//! What an indicator over a V-block, or a gauge with two faces, shows of a shape with lobes.

use std::f64::consts::PI;

/// How much of the out-of-roundness an indicator shows over a V-block: the range of its reading
/// over the difference of the largest and the smallest radius.
///
/// Formula: F = |1 + cos(n (90 + v/2))/sin(v/2)|
/// Symbols: n lobes, v angle of the V (degrees); the indicator stands on the bisector above.
/// Valid:   2 lobes and more, small lobes, v above 0 and below 180 degrees.
/// Rounding: none.
/// Source:  geometry of three points of contact; agrees with the table of ISO 4292 (from memory).
/// Checked: tests/tables/v_block.csv; tests/logic/taper.rs (a lobed disc turned in a V).
/// Errors:  none; 0 for a setting that is none.
pub fn v_block_factor(lobes: u32, v_degrees: f64) -> f64 {
    if lobes < 2 || !(v_degrees > 0.0 && v_degrees < 180.0) {
        return 0.0;
    }
    let half = (v_degrees / 2.0).to_radians();
    (1.0 + (f64::from(lobes) * (PI / 2.0 + half)).cos() / half.sin()).abs()
}

/// The same between two parallel faces, as a micrometer has: 2 for an even number of lobes, 0 for
/// an odd one, to which it is blind.
///
/// Formula: F = 1 + cos(n 180 degrees)
/// Symbols: as [`v_block_factor`].
/// Valid:   as there.
/// Rounding: none.
/// Source:  geometry of two points of contact.
/// Checked: tests/tables/v_block.csv.
/// Errors:  none.
pub fn two_point_factor(lobes: u32) -> f64 {
    match lobes {
        ..2 => 0.0,
        lobes if lobes % 2 == 0 => 2.0,
        _ => 0.0,
    }
}
