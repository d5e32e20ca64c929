//! Cones with a name as cones, and which of them a measured one may be.

use super::taper::{Taper, TaperError};
use crate::tolerance::{ConeShape, NamedCone, named_cones};

/// A cone of the tables with what it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NamedTaper {
    /// The row.
    pub row: &'static NamedCone,
    /// The cone.
    pub taper: Taper,
}

/// The cone that a row of the tables describes.
///
/// # Errors
/// `OutOfRange`; no row of the embedded tables gives it.
pub fn taper_by_name(row: &'static NamedCone) -> Result<NamedTaper, TaperError> {
    let number = |decimal: crate::quantity::Decimal| {
        let parsed = decimal.to_string().parse::<f64>();
        parsed.unwrap_or(f64::NAN)
    };
    let taper = match row.shape {
        ConeShape::Ratio(x) => Taper::of_ratio(number(x))?,
        ConeShape::Angle(degrees) => Taper::of_angle(number(degrees))?,
    };
    Ok(NamedTaper { row, taper })
}

/// The cone with a name whose angle lies nearest.
///
/// Formula: least |a/2 - b/2|
/// Symbols: a whole angle of the cone, b that of a row.
/// Valid:   any cone.
/// Rounding: none.
/// Source:  definition.
/// Checked: tests/logic/taper.rs.
/// Errors:  none; `None` where no row is a cone.
pub fn nearest_named(taper: &Taper) -> Option<NamedTaper> {
    let away = |one: &NamedTaper| {
        let difference = one.taper.half_angle_degrees() - taper.half_angle_degrees();
        difference.abs()
    };
    named_cones()
        .iter()
        .filter_map(|row| taper_by_name(row).ok())
        .min_by(|one, other| away(one).total_cmp(&away(other)))
}
