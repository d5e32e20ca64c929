//! What cannot be pressed together as it was said.

use std::fmt;

/// Why there is no answer about a press fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PressError {
    /// A number is not finite, or outside what it can be.
    OutOfRange {
        /// Which number, in words.
        what: &'static str,
        /// What was given.
        found: f64,
        /// What it may be, in words.
        allowed: &'static str,
    },
    /// The hub is no larger than the joint: there is no wall.
    HubTooThin {
        /// Outside diameter of the hub, mm.
        hub_outside_mm: f64,
        /// Diameter of the joint, mm.
        joint_diameter_mm: f64,
    },
    /// The bore of the shaft is no smaller than the joint: there is no wall.
    ShaftTooThin {
        /// Bore of the shaft, mm.
        shaft_bore_mm: f64,
        /// Diameter of the joint, mm.
        joint_diameter_mm: f64,
    },
    /// The least interference is more than the largest.
    Reversed {
        /// Least interference, mm.
        least_mm: f64,
        /// Largest interference, mm.
        most_mm: f64,
    },
}

impl PressError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::OutOfRange { .. } => "out_of_range",
            Self::HubTooThin { .. } => "hub_too_thin",
            Self::ShaftTooThin { .. } => "shaft_too_thin",
            Self::Reversed { .. } => "interference_reversed",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::OutOfRange { .. } => None,
            Self::HubTooThin { .. } => Some("Give the outside diameter of the hub."),
            Self::ShaftTooThin { .. } => Some("Give 0 for a solid shaft."),
            Self::Reversed { .. } => Some("Give the deviations of shaft and hub as low, high."),
        }
    }

    /// The number, if it lies between the two, both included.
    ///
    /// # Errors
    /// `OutOfRange`, also for what is no number.
    pub(super) fn within(
        what: &'static str,
        found: f64,
        (least, most): (f64, f64),
        allowed: &'static str,
    ) -> Result<f64, Self> {
        match (least..=most).contains(&found) {
            true => Ok(found),
            false => Err(Self::OutOfRange {
                what,
                found,
                allowed,
            }),
        }
    }
}

impl fmt::Display for PressError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange {
                what,
                found,
                allowed,
            } => write!(f, "The {what} is {found}; it must be {allowed}."),
            Self::HubTooThin {
                hub_outside_mm,
                joint_diameter_mm,
            } => write!(
                f,
                "The hub's outside diameter is {hub_outside_mm} mm; it must be larger than the \
                 joint of {joint_diameter_mm} mm."
            ),
            Self::ShaftTooThin {
                shaft_bore_mm,
                joint_diameter_mm,
            } => write!(
                f,
                "The shaft's bore is {shaft_bore_mm} mm; it must be smaller than the joint of \
                 {joint_diameter_mm} mm."
            ),
            Self::Reversed { least_mm, most_mm } => write!(
                f,
                "The least interference, {least_mm} mm, is more than the largest, {most_mm} mm."
            ),
        }
    }
}

impl std::error::Error for PressError {}
