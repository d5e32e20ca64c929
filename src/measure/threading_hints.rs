//! What the workshop does when it cuts a thread: relief, lead-in, spring passes. Common practice,
//! marked so.

use std::fmt;

use super::threading::{ThreadingError, check_profile};
use crate::quantity::{Length, Rounding};
use crate::tolerance::{ThreadMember, ThreadProfile};

/// What a workshop rule rests on.
pub const COMMON_PRACTICE: &str = "common practice, no source";

/// To this the diameters and widths of hints are rounded.
const HINT_STEP: Length = Length::from_um(100);

/// What the workshop does; every one is common practice without a source unless it says where
/// it is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ThreadingHint {
    /// The hole comes out larger than the drill.
    DrillsCutOversize,
    /// Passes without further infeed.
    SpringPass,
    /// Why 29.5 and not 30 degrees.
    HalfDegreeLess,
    /// A groove in which the tool runs out.
    Relief {
        /// Width along the axis.
        width: Length,
        /// Diameter of the groove.
        diameter: Length,
    },
    /// A chamfer at the start of an external thread, down to this diameter.
    LeadInExternal {
        /// Diameter at the end face.
        diameter: Length,
    },
    /// A countersink at the start of an internal thread.
    LeadInInternal {
        /// Least diameter at the face.
        least: Length,
        /// Largest diameter at the face.
        largest: Length,
    },
}

/// What the workshop does at such a thread, with its sizes; see [`ThreadingHint`].
///
/// Formula: relief 3 P wide at d3 (external), 4 P wide at D + 0.3 P (internal); chamfer to d3;
///          countersink D to 1.05 D
/// Symbols: P pitch, D nominal diameter, d3 design minor diameter.
/// Valid:   a first guess where the drawing says nothing.
/// Rounding: to 0.1 mm, so that the tool has more room; the countersink inward.
/// Source:  common practice, no source; countersink DIN 76-1 (from memory).
/// Checked: tests/logic/measure_threading.rs.
/// Errors:  NoThread.
pub fn threading_hints(
    profile: &ThreadProfile,
    member: ThreadMember,
) -> Result<Vec<ThreadingHint>, ThreadingError> {
    check_profile(profile)?;
    let ThreadProfile { nominal, pitch } = *profile;
    let up = |length: Length| length.round_to(HINT_STEP, Rounding::Ceil);
    let down = |length: Length| length.round_to(HINT_STEP, Rounding::Floor);
    let root = down(profile.design_minor_diameter().to_nm());
    let of_member = match member {
        ThreadMember::External => [
            ThreadingHint::Relief {
                width: up(pitch * 3),
                diameter: root,
            },
            ThreadingHint::LeadInExternal { diameter: root },
        ],
        ThreadMember::Internal => [
            ThreadingHint::Relief {
                width: up(pitch * 4),
                diameter: up(nominal + (pitch * 3).div_ceil(10)),
            },
            ThreadingHint::LeadInInternal {
                least: nominal,
                largest: (nominal * 105).div_floor(100),
            },
        ],
    };
    let mut all = vec![ThreadingHint::SpringPass, ThreadingHint::HalfDegreeLess];
    all.extend(of_member);
    if member == ThreadMember::Internal {
        all.push(ThreadingHint::DrillsCutOversize);
    }
    Ok(all)
}

impl fmt::Display for ThreadingHint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::DrillsCutOversize => {
                f.write_str("Drills cut oversize: measure the first hole (")?;
            }
            Self::SpringPass => {
                f.write_str("At full depth one or two passes more without infeed (")?;
            }
            Self::HalfDegreeLess => f.write_str(
                "The compound slide stands at 29.5 degrees so that the trailing flank is shaved (",
            )?,
            Self::Relief { width, diameter } => write!(
                f,
                "Thread relief where the drawing gives none: {width} mm wide at {diameter} mm ("
            )?,
            Self::LeadInExternal { diameter } => {
                write!(
                    f,
                    "Chamfer the start at 45 degrees to {diameter} mm or less ("
                )?;
            }
            Self::LeadInInternal { least, largest } => {
                return write!(
                    f,
                    "Countersink the start to {least} to {largest} mm (DIN 76-1, from memory)."
                );
            }
        }
        write!(f, "{COMMON_PRACTICE}).")
    }
}
