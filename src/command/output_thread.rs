//! The answers of `limits` and `fit` for threads as JSON.
//!
//! Beyond the contract's list: `standard`, `class`, `engagement_length` (where it is written in
//! mm), `profile` (the basic profile, for a picture), `lead_angle` (decimal degrees),
//! `stress_area_mm2` (a string with three decimals), `drill`, `before_coating` (the three
//! elements and their `why`) and `making` (with `--making`); a fit has `clearances` of its
//! elements and a `why`.
//! With both pitch diameters measured, a fit has `clearance` on the pitch diameter,
//! `clearance_uncertainty` (standard, null when unknown), `as_intended` (inside the intended
//! range), `intended` (`yes`, `no`, `doubt`: what is proved), `fit` (`clearance`, `interference`,
//! `undecided`), `clearance_square_to_flank` and `axial_play`; with one of them `make_shaft` or
//! `make_hole`.
//! Profile lengths are not exact and carry four decimals.

use serde::Serialize;

use crate::quantity::{Length, LengthUnit, Rounding};
use crate::tolerance::{
    LengthGroup, Limits, ProfileLength, ThreadClearance, ThreadElement, ThreadFitLimits,
    ThreadLimits, ThreadMember, ThreadProfile,
};

use super::output_making::{DrillLine, MakingLine};

/// One member of a thread.
#[derive(Debug, Serialize)]
pub(super) struct ThreadLine {
    pub(super) callout: String,
    pub(super) kind: &'static str,
    pub(super) nominal: String,
    pub(super) pitch: String,
    pub(super) designation: String,
    pub(super) elements: ElementsLine,
    pub(super) tapping_drill: Option<String>,
    pub(super) lead: String,
    pub(super) starts: u8,
    pub(super) hand: &'static str,
    pub(super) engagement: Option<char>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) engagement_length: Option<String>,
    pub(super) flags: Vec<String>,
    pub(super) why: Vec<String>,
    pub(super) standard: &'static str,
    pub(super) class: String,
    pub(super) profile: ProfileLine,
    pub(super) lead_angle: String,
    pub(super) stress_area_mm2: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) drill: Option<DrillLine>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) before_coating: Option<CoatedLine>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) making: Option<MakingLine>,
}

/// Limits of the three diameters; null where the standard has none.
#[derive(Debug, Serialize)]
pub(super) struct ElementsLine {
    pub(super) major: SidesLine,
    pub(super) pitch: SidesLine,
    pub(super) minor: SidesLine,
}

/// Both limits of one diameter.
#[derive(Debug, Serialize)]
pub(super) struct SidesLine {
    pub(super) upper_limit: Option<String>,
    pub(super) lower_limit: Option<String>,
}

/// Limits before a coating.
#[derive(Debug, Serialize)]
pub(super) struct CoatedLine {
    pub(super) major: SidesLine,
    pub(super) pitch: SidesLine,
    pub(super) minor: SidesLine,
    pub(super) why: Vec<String>,
}

/// The basic profile, in mm.
#[derive(Debug, Serialize)]
pub(super) struct ProfileLine {
    /// Height of the fundamental triangle.
    #[serde(rename = "H")]
    triangle_height: String,
    d2: String,
    d1: String,
    /// Of the external thread: its root rounded with H/6.
    d3: String,
    root_radius: String,
    least_root_radius: String,
}

/// Both members of a thread.
#[derive(Debug, Serialize)]
pub(super) struct ThreadFitLine<'a> {
    pub(super) callout: &'a str,
    pub(super) kind: &'static str,
    pub(super) internal: &'a ThreadLine,
    pub(super) external: &'a ThreadLine,
    pub(super) flags: &'a [String],
    pub(super) clearances: ClearancesLine,
    pub(super) why: &'a [String],
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) clearance: Option<String>,
    /// Standard uncertainty; null when it is not known of both.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) clearance_uncertainty: Option<Option<String>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) as_intended: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) intended: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) fit: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) clearance_square_to_flank: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) axial_play: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) make_shaft: Option<SidesLine>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) make_hole: Option<SidesLine>,
}

/// What follows from measured pitch diameters; see [`ThreadFitLine`].
#[derive(Debug, Default)]
pub(super) struct PlayLine {
    pub(super) clearance: Option<String>,
    pub(super) clearance_uncertainty: Option<Option<String>>,
    pub(super) as_intended: Option<bool>,
    pub(super) intended: Option<&'static str>,
    pub(super) fit: Option<&'static str>,
    pub(super) clearance_square_to_flank: Option<String>,
    pub(super) axial_play: Option<String>,
    pub(super) make_shaft: Option<SidesLine>,
    pub(super) make_hole: Option<SidesLine>,
}

/// Clearances of the three diameters.
#[derive(Debug, Serialize)]
pub(super) struct ClearancesLine {
    major: ClearanceLine,
    pitch: ClearanceLine,
    minor: ClearanceLine,
}

/// Least and greatest clearance; negative is interference, null not limited.
#[derive(Debug, Serialize)]
struct ClearanceLine {
    max_clearance: Option<String>,
    min_clearance: Option<String>,
}

impl ElementsLine {
    pub(super) fn new(limits: &ThreadLimits) -> Self {
        let of = |element| SidesLine::new(limits.element(element));
        Self {
            major: of(ThreadElement::Major),
            pitch: of(ThreadElement::Pitch),
            minor: of(ThreadElement::Minor),
        }
    }
}

impl SidesLine {
    pub(super) fn new(limits: &Limits) -> Self {
        Self {
            upper_limit: limits.upper().map(Length::to_mm),
            lower_limit: limits.lower().map(Length::to_mm),
        }
    }
}

impl ProfileLine {
    pub(super) fn new(profile: &ThreadProfile) -> Self {
        Self {
            triangle_height: tenths(profile.triangle_height()),
            d2: tenths(profile.pitch_diameter()),
            d1: tenths(profile.minor_diameter()),
            d3: tenths(profile.design_minor_diameter()),
            root_radius: tenths(profile.root_radius()),
            least_root_radius: tenths(profile.least_root_radius()),
        }
    }
}

/// A length of the profile, to a tenth of a micrometre.
fn tenths(length: ProfileLength) -> String {
    four(length.rounded_to(Length::from_nm(100)))
}

/// A length that is not exact, to a tenth of a micrometre.
pub(super) fn tenth(length: Length) -> String {
    four(length.round_to(Length::from_nm(100), Rounding::HalfEven))
}

/// A length that is not exact: four decimals at least.
pub(super) fn four(length: Length) -> String {
    length.to_text(LengthUnit::Millimetre, 4)
}

impl ClearancesLine {
    pub(super) fn new(fit: &ThreadFitLimits) -> Self {
        let of = |element| ClearanceLine::new(fit.clearance(element));
        Self {
            major: of(ThreadElement::Major),
            pitch: of(ThreadElement::Pitch),
            minor: of(ThreadElement::Minor),
        }
    }
}

impl ClearanceLine {
    fn new(clearance: Option<ThreadClearance>) -> Self {
        Self {
            max_clearance: clearance.and_then(|one| one.max).map(Length::to_mm),
            min_clearance: clearance.map(|one| one.min.to_mm()),
        }
    }
}

/// The contract's word for a member.
pub(super) fn kind_word(member: ThreadMember) -> &'static str {
    match member {
        ThreadMember::Internal => "internal_thread",
        ThreadMember::External => "external_thread",
    }
}

/// The letter of a group of lengths of engagement.
pub(super) fn group_letter(group: Option<LengthGroup>) -> Option<char> {
    group.map(LengthGroup::letter)
}
