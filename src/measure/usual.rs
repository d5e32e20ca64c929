//! Numbers that hold where nobody states others; every one is chosen or has its source here.

use crate::quantity::Length;

/// Largest error of a thermometer in a workshop, as a half-width in kelvin (chosen: a contact
/// thermometer with a half-degree error on a part that is not all of one temperature).
pub const THERMOMETER_HALF_WIDTH_K: f64 = 1.0;

/// Least depth that still cuts instead of rubbing, unless a plan says otherwise (common practice,
/// no source: about the edge radius of a sharp insert).
pub const LEAST_CUT: Length = Length::from_um(10);

/// Expansion of a gauge's scale, 1/K: steel (JCGM 100:2008, H.1).
pub const SCALE_EXPANSION_PER_KELVIN: f64 = 11.5e-6;
