//! What a session measures against: the plan's characteristics in measuring order, the gauges,
//! the decision rule. Built from `session_opened`, live and on replay alike.

use std::sync::Arc;

use crate::gauge::GaugeId;
use crate::quantity::{Angle, Length};
use crate::tolerance::{Limits, Surface};

/// The limits of a target: of size or of angle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TargetLimits {
    /// Limits of size.
    Length(Limits<Length>),
    /// Limits of an angle.
    Angle(Limits<Angle>),
}
