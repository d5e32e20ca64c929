//! Cutting a metric thread: the hole before tapping, the depth, and how the tool is fed in.
//!
//! What rests on no source says so.

use std::fmt;

use super::remaining::Aim;
use super::temperature::with_correction;
use crate::quantity::Length;
use crate::tolerance::{Limits, ThreadMember, ThreadProfile};

/// Most passes that are planned (chosen).
const PASSES_MAX: u8 = 100;

/// What a drill's size means for the minor diameter of a tapped hole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DrillFit {
    /// Inside the limits.
    Inside,
    /// Below the least minor diameter.
    TooSmall,
    /// Above the largest minor diameter.
    TooLarge,
}

/// A drill held against the limits of the minor diameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrillVerdict {
    /// The drill, taken as the hole's size.
    pub drill: Length,
    /// Where it lies.
    pub fit: DrillFit,
    /// Percentage of thread that the hole leaves; 100 is the basic minor diameter.
    pub percentage: f64,
    /// By how much the hole may come out larger and still be inside; none without an upper limit.
    pub may_grow: Option<Length>,
}

/// How deep a thread is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ThreadDepth {
    /// On the radius: how far the tool goes in.
    pub radial: Length,
    /// On the diameter.
    pub on_diameter: Length,
    /// The rule with its source.
    pub rule: &'static str,
}

/// How the tool is fed in, by the angle between slide and the square to the axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum InfeedSet {
    /// Square to the axis, both flanks cut.
    Radial,
    /// Compound slide at 29.5 degrees: one flank cuts, the other is shaved by half a degree.
    Compound29_5,
    /// Compound slide at 30 degrees, along one flank.
    Compound30,
}

/// The way of a slide for a radial depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SlideTravel {
    /// Along the slide.
    pub along_slide: Length,
    /// The part of it along the part's axis.
    pub along_axis: Length,
}

/// One pass of the tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InfeedPass {
    /// Counted from 1.
    pub number: u8,
    /// Radial depth reached.
    pub reached: Length,
    /// Radial depth of this pass.
    pub step: Length,
}

/// The form of the tool's nose, and what flat stays at the crest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ToolNose {
    /// Radius of the nose; external threads.
    pub radius: Option<Length>,
    /// Least root radius; external threads of property class 8.8 and above.
    pub least_radius: Option<Length>,
    /// Largest flat of the nose; internal threads.
    pub flat: Option<Length>,
    /// Flat of the basic profile at the crest.
    pub crest_flat: Length,
}

/// Why nothing can be said about cutting a thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ThreadingError {
    /// Nominal diameter and pitch leave no thread.
    NoThread {
        /// The nominal diameter.
        nominal: Length,
        /// The pitch.
        pitch: Length,
    },
    /// A hole that is not above zero and below the nominal diameter.
    HoleOutOfRange {
        /// The hole.
        hole: Length,
        /// The nominal diameter.
        nominal: Length,
    },
    /// A depth or a first cut that is not above zero and at most 10 m.
    DepthOutOfRange {
        /// What was given.
        found: Length,
    },
    /// No pass, or more than 100.
    PassesOutOfRange {
        /// How many.
        found: u64,
    },
}

/// Percentage of thread that a hole leaves.
///
/// Formula: 100 (d - hole) / (d - D1), d - D1 = 5 sqrt(3)/8 P = 1.082532 P
/// Symbols: d nominal diameter, D1 basic minor diameter, P pitch.
/// Valid:   0 < hole < d; above 100 the hole is smaller than D1.
/// Rounding: none; D1 to 1 nm.
/// Source:  common practice counts 100 % at basic D1; no source.
/// Checked: tests/tables/threading.csv.
/// Errors:  NoThread, HoleOutOfRange.
pub fn thread_percentage(profile: &ThreadProfile, hole: Length) -> Result<f64, ThreadingError> {
    check_profile(profile)?;
    let nominal = profile.nominal;
    if hole <= Length::ZERO || hole >= nominal {
        return Err(ThreadingError::HoleOutOfRange { hole, nominal });
    }
    let full = nominal - profile.minor_diameter().to_nm();
    Ok(100.0 * (nominal - hole).as_nm_f64() / full.as_nm_f64())
}

/// A drill against the limits of the minor diameter, the drill taken as the hole's size.
///
/// # Errors
/// As [`thread_percentage`].
pub fn drill_verdict(
    profile: &ThreadProfile,
    drill: Length,
    minor: &Limits,
) -> Result<DrillVerdict, ThreadingError> {
    let percentage = thread_percentage(profile, drill)?;
    let fit = if minor.lower().is_some_and(|lower| drill < lower) {
        DrillFit::TooSmall
    } else if minor.upper().is_some_and(|upper| drill > upper) {
        DrillFit::TooLarge
    } else {
        DrillFit::Inside
    };
    let left = minor.upper().map(|upper| upper - drill);
    Ok(DrillVerdict {
        drill,
        fit,
        percentage,
        may_grow: left.filter(|left| !left.is_negative()),
    })
}

/// The size to bore before an internal thread is cut with a single point; none without a lower
/// limit.
///
/// Formula: middle (D1 min + D1 max)/2; toward metal D1 min
/// Symbols: D1 min, D1 max limits of the minor diameter.
/// Valid:   limits of an internal minor diameter; without an upper limit D1 min.
/// Rounding: toward metal, which is smaller, to 1 nm.
/// Source:  definition.
/// Checked: tests/logic/measure_threading.rs.
/// Errors:  none.
pub fn bore_target(minor: &Limits, aim: Aim) -> Option<Length> {
    let lower = minor.lower()?;
    Some(match (aim, minor.upper()) {
        (Aim::Middle, Some(upper)) => (lower + upper).div_floor(2),
        _ => lower,
    })
}

/// How deep a thread of the basic profile is cut.
///
/// Formula: external h3 = 17/24 H, internal H1 = 5/8 H, both on the radius
/// Symbols: H = sqrt(3)/2 P height of the triangle.
/// Valid:   from the nominal diameter (external) or basic D1 (internal); root radius H/6 outside.
/// Rounding: once, to 1 nm on the radius.
/// Source:  h3: Machinery's Handbook 27th ed. p.1784 and UNI 4535-64; H1: ISO 68-1 (from memory).
/// Checked: tests/tables/threading.csv.
/// Errors:  NoThread.
pub fn thread_depth(
    profile: &ThreadProfile,
    member: ThreadMember,
) -> Result<ThreadDepth, ThreadingError> {
    check_profile(profile)?;
    let (on_diameter, rule) = match member {
        ThreadMember::External => (
            profile.external_height_on_diameter(),
            "h3 = 17/24 H = 0.613435 P on the radius (Machinery's Handbook 27th ed. p.1784, UNI \
             4535-64)",
        ),
        ThreadMember::Internal => (
            profile.engaged_height_on_diameter(),
            "H1 = 5/8 H = 0.541266 P on the radius (ISO 68-1, from memory)",
        ),
    };
    // Two nanometres on the diameter are one on the radius.
    let on_diameter = on_diameter.rounded_to(Length::from_nm(2));
    Ok(ThreadDepth {
        radial: on_diameter.div_floor(2),
        on_diameter,
        rule,
    })
}

/// The way along the slide for a radial depth.
///
/// Formula: along the slide = depth / cos a; along the axis = depth tan a
/// Symbols: a angle between the slide and the square to the axis: 0, 29.5 or 30 degrees.
/// Valid:   depth above 0 to 10 m.
/// Rounding: once, half to even, to 1 nm.
/// Source:  geometry; 29.5 degrees: common practice, no source.
/// Checked: tests/tables/threading.csv.
/// Errors:  DepthOutOfRange.
pub fn slide_travel(depth: Length, set: InfeedSet) -> Result<SlideTravel, ThreadingError> {
    check_depth(depth)?;
    let angle = set.degrees().to_radians();
    let nm = |factor: f64| with_correction(Length::ZERO, depth.as_nm_f64() * factor);
    Ok(match set {
        InfeedSet::Radial => SlideTravel {
            along_slide: depth,
            along_axis: Length::ZERO,
        },
        _ => SlideTravel {
            along_slide: nm(1.0 / angle.cos()),
            along_axis: nm(angle.tan()),
        },
    })
}

/// Passes with the same area of chip: each takes less depth than the one before.
///
/// Formula: reached(n) = depth sqrt(n / N)
/// Symbols: n number of the pass, N how many; depth radial.
/// Valid:   1 to 100 passes; depth above 0 to 10 m.
/// Rounding: each reached depth once, half to even, to 1 nm; the last is the whole depth.
/// Source:  the area cut from a V grows with the square of its depth (textbooks of machining,
///          from memory).
/// Checked: tests/tables/threading.csv.
/// Errors:  DepthOutOfRange, PassesOutOfRange.
pub fn infeed_passes(depth: Length, passes: u8) -> Result<Vec<InfeedPass>, ThreadingError> {
    check_depth(depth)?;
    if passes == 0 || passes > PASSES_MAX {
        let found = u64::from(passes);
        return Err(ThreadingError::PassesOutOfRange { found });
    }
    let reached = |number: u8| {
        let share = f64::from(number) / f64::from(passes);
        with_correction(Length::ZERO, depth.as_nm_f64() * share.sqrt())
    };
    let pass = |number| InfeedPass {
        number,
        reached: reached(number),
        step: reached(number) - reached(number - 1),
    };
    Ok((1..=passes).map(pass).collect())
}

/// The fewest passes of [`infeed_passes`] whose first is not deeper than `first_cut`.
///
/// Formula: N = ceil((depth / first)^2), from depth / sqrt(N) <= first
/// Symbols: depth radial; first largest radial depth of the first pass.
/// Valid:   both above 0 to 10 m; at most 100 passes come out.
/// Rounding: up, from exact numbers.
/// Source:  [`infeed_passes`], solved for N.
/// Checked: tests/logic/measure_threading.rs.
/// Errors:  DepthOutOfRange, PassesOutOfRange.
pub fn passes_for_first_cut(depth: Length, first_cut: Length) -> Result<u8, ThreadingError> {
    check_depth(depth)?;
    check_depth(first_cut)?;
    let square = |length: Length| i128::from(length.as_nm()) * i128::from(length.as_nm());
    let (whole, first) = (square(depth), square(first_cut));
    let passes = (whole + first - 1) / first;
    match u8::try_from(passes) {
        Ok(passes) if passes <= PASSES_MAX => Ok(passes),
        _ => Err(ThreadingError::PassesOutOfRange {
            found: u64::try_from(passes).unwrap_or(u64::MAX),
        }),
    }
}

/// The form of the tool's nose.
///
/// Formula: external radius H/6, least P/8, crest flat P/8; internal nose flat P/8, crest flat P/4
/// Symbols: H = sqrt(3)/2 P height of the triangle, P pitch.
/// Valid:   basic profile; an internal tool may be sharper, its root has no lower bound.
/// Rounding: once, half to even, to 1 nm.
/// Source:  H/6: Machinery's Handbook 27th ed. p.1784; flats: ISO 68-1, R_min: ISO 965-1 clause 11
///          (both from memory).
/// Checked: tests/tables/threading.csv.
/// Errors:  NoThread.
pub fn tool_nose(
    profile: &ThreadProfile,
    member: ThreadMember,
) -> Result<ToolNose, ThreadingError> {
    check_profile(profile)?;
    let eighth = profile.crest_flat().to_nm();
    Ok(match member {
        ThreadMember::External => ToolNose {
            radius: Some(profile.root_radius().to_nm()),
            least_radius: Some(profile.least_root_radius().to_nm()),
            flat: None,
            crest_flat: eighth,
        },
        ThreadMember::Internal => ToolNose {
            radius: None,
            least_radius: None,
            flat: Some(eighth),
            crest_flat: profile.root_flat().to_nm(),
        },
    })
}

pub(super) fn check_profile(profile: &ThreadProfile) -> Result<(), ThreadingError> {
    let ThreadProfile { nominal, pitch } = *profile;
    let room = profile.design_minor_diameter().to_nm();
    if pitch > Length::ZERO && nominal <= Length::MAX && room > Length::ZERO {
        Ok(())
    } else {
        Err(ThreadingError::NoThread { nominal, pitch })
    }
}

fn check_depth(found: Length) -> Result<(), ThreadingError> {
    if found > Length::ZERO && found <= Length::MAX {
        Ok(())
    } else {
        Err(ThreadingError::DepthOutOfRange { found })
    }
}

impl InfeedSet {
    /// Every set with its word in options and records.
    pub const WORDS: [(Self, &'static str); 3] = [
        (Self::Radial, "radial"),
        (Self::Compound29_5, "29.5"),
        (Self::Compound30, "30"),
    ];

    /// `radial`, `29.5` or `30`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Radial => "radial",
            Self::Compound29_5 => "29.5",
            Self::Compound30 => "30",
        }
    }

    /// The angle between the slide and the square to the axis, degrees.
    pub fn degrees(self) -> f64 {
        match self {
            Self::Radial => 0.0,
            Self::Compound29_5 => 29.5,
            Self::Compound30 => 30.0,
        }
    }
}

impl DrillFit {
    /// `inside`, `too_small` or `too_large`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Inside => "inside",
            Self::TooSmall => "too_small",
            Self::TooLarge => "too_large",
        }
    }
}

impl fmt::Display for DrillVerdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            drill, percentage, ..
        } = self;
        write!(
            f,
            "A hole of {drill} mm leaves {percentage:.0} % of thread and is "
        )?;
        match (self.fit, self.may_grow) {
            (DrillFit::Inside, Some(left)) => write!(
                f,
                "inside the limits of the minor diameter; it may come out larger by {left} mm."
            ),
            (DrillFit::Inside, None) => f.write_str("inside the limits of the minor diameter."),
            (DrillFit::TooSmall, _) => f.write_str(
                "below the limits of the minor diameter: the tap may break (common practice, no \
                 source).",
            ),
            (DrillFit::TooLarge, _) => f.write_str("above the limits of the minor diameter."),
        }
    }
}

impl ThreadingError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NoThread { .. } => "no_thread",
            Self::HoleOutOfRange { .. } => "hole_out_of_range",
            Self::DepthOutOfRange { .. } => "depth_out_of_range",
            Self::PassesOutOfRange { .. } => "passes_out_of_range",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        Some(match self {
            Self::NoThread { .. } => "Give a pitch that leaves a minor diameter.",
            Self::HoleOutOfRange { .. } => "Give a hole smaller than the thread.",
            Self::DepthOutOfRange { .. } => "Give a depth above zero.",
            Self::PassesOutOfRange { .. } => {
                "Plan 1 to 100 passes; a deeper first cut needs fewer."
            }
        })
    }
}

impl fmt::Display for ThreadingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoThread { nominal, pitch } => write!(
                f,
                "A nominal diameter of {nominal} mm with a pitch of {pitch} mm is no thread."
            ),
            Self::HoleOutOfRange { hole, nominal } => write!(
                f,
                "A hole of {hole} mm leaves no thread of {nominal} mm: it must be above zero and \
                 smaller."
            ),
            Self::DepthOutOfRange { found } => {
                write!(
                    f,
                    "A depth of {found} mm is not above zero and at most 10 m."
                )
            }
            Self::PassesOutOfRange { found } => {
                write!(
                    f,
                    "{found} passes cannot be planned: 1 to {PASSES_MAX} can."
                )
            }
        }
    }
}

impl std::error::Error for ThreadingError {}
