//! From a designation to limits: the standard's defaults, its rows or else its formulas, and the
//! sums.

use super::super::formula;
use super::super::limits::{Derivation, Limits};
use super::super::profile::ProfileLength;
use super::callout::{Engagement, LengthGroup, ThreadCallout};
use super::class::{ThreadClass, ThreadMember, ThreadPosition, ThreadTolerance};
use super::error::{PITCH_NAME, ThreadError, ThreadReason};
use super::flags::{ThreadFlag, ThreadFlags};
use super::limits::{
    ThreadCalloutLimits, ThreadElement, ThreadFitLimits, ThreadLimits, ThreadParts,
};
use super::tables::ThreadTables;
use super::unusual::note_unusual;
use crate::quantity::Length;

/// Largest size that takes the finest default class: up to and including M1.4.
const FINE_TO: Length = Length::from_um(1_400);
const FINEST_PITCH: Length = Length::from_um(200);
const COARSEST_PITCH: Length = Length::from_mm(8);

impl ThreadCallout {
    /// The limits of the designation.
    ///
    /// Errors: a size, pitch, grade or position that the standard does not have.
    pub fn limits(&self, tables: &ThreadTables) -> Result<ThreadCalloutLimits, ThreadError> {
        let found = self.limits_or_reason(tables);
        found.map_err(|reason| ThreadError {
            reason,
            place: None,
        })
    }

    fn limits_or_reason(&self, tables: &ThreadTables) -> Result<ThreadCalloutLimits, ThreadReason> {
        if let (Some(internal), Some(external)) = (self.internal, self.external)
            && internal.is_hot_dip()
            && external.is_hot_dip()
        {
            return Err(ThreadReason::HotDipPair { internal, external });
        }
        let member = |member| {
            let parts = self.parts(tables, member)?;
            let limits = member_limits(tables, &parts);
            limits.map_err(|reason| match parts.class_is_default {
                true => ThreadReason::Default {
                    class: parts.class,
                    reason: Box::new(reason),
                },
                false => reason,
            })
        };
        match (self.internal, self.external) {
            (Some(_), None) => member(ThreadMember::Internal).map(ThreadCalloutLimits::One),
            (None, Some(_)) => member(ThreadMember::External).map(ThreadCalloutLimits::One),
            _ => Ok(ThreadCalloutLimits::Both(ThreadFitLimits {
                internal: member(ThreadMember::Internal)?,
                external: member(ThreadMember::External)?,
            })),
        }
    }

    /// One member, with the standard's defaults for what is not written.
    fn parts(
        &self,
        tables: &ThreadTables,
        member: ThreadMember,
    ) -> Result<ThreadParts, ThreadReason> {
        let nominal = self.nominal;
        if tables.range(nominal).is_none() {
            return Err(ThreadReason::OutOfRange {
                name: "nominal diameter",
                found: nominal,
                allowed: "for diameters over 0.99 up to 355 mm",
            });
        }
        let pitch = match self.pitch.or_else(|| tables.coarse_pitch(nominal)) {
            Some(pitch) => pitch,
            None => {
                return Err(tables.no_coarse_pitch(nominal));
            }
        };
        if !(FINEST_PITCH..=COARSEST_PITCH).contains(&pitch) {
            return Err(ThreadReason::OutOfRange {
                name: PITCH_NAME,
                found: pitch,
                allowed: "for pitches of 0.2 to 8 mm",
            });
        }
        let written = match member {
            ThreadMember::Internal => self.internal,
            ThreadMember::External => self.external,
        };
        let group = |length| Some(tables.engagement_row(nominal, pitch)?.group(length));
        let (engagement, engagement_length) = match self.engagement {
            None => (Some(LengthGroup::Normal), None),
            Some(Engagement::Group(group)) => (Some(group), None),
            Some(Engagement::Groups { internal, external }) => match member {
                ThreadMember::Internal => (Some(internal), None),
                ThreadMember::External => (Some(external), None),
            },
            Some(Engagement::Length(length)) => (group(length), Some(length)),
        };
        Ok(ThreadParts {
            nominal,
            pitch,
            pitch_is_default: self.pitch.is_none(),
            starts: u8::try_from(self.starts()).unwrap_or(1),
            left_hand: self.left_hand,
            class: written.unwrap_or_else(|| default_class(member, nominal, pitch)),
            class_is_default: written.is_none(),
            engagement,
            engagement_length,
        })
    }
}

/// The class that holds when none is written: tolerance quality medium, engagement N (ISO 965-1
/// clause 12, from memory; DIN 13-1 footnote). At a pitch of 0.2 mm only grade 4 is tabled inside.
pub(super) fn default_class(member: ThreadMember, nominal: Length, pitch: Length) -> ThreadClass {
    let small = nominal <= FINE_TO;
    match member {
        ThreadMember::Internal if pitch == FINEST_PITCH => {
            ThreadClass::both(4, ThreadPosition::InternalH)
        }
        ThreadMember::Internal if small => ThreadClass::both(5, ThreadPosition::InternalH),
        ThreadMember::Internal => ThreadClass::both(6, ThreadPosition::InternalH),
        ThreadMember::External if small => ThreadClass::both(6, ThreadPosition::H),
        ThreadMember::External => ThreadClass::both(6, ThreadPosition::G),
    }
}

/// Fundamental deviation of a position at a pitch, and whether the table has it.
pub(super) fn deviation(
    tables: &ThreadTables,
    position: ThreadPosition,
    pitch: Length,
) -> Result<(Length, bool), ThreadReason> {
    // The formulas of ISO 965-4 and -5: 20 P µm is P/50 in equal units, 220 P µm is 11 P/50.
    let hot_dip = match position {
        ThreadPosition::InternalAz => Some(Length::from_um(300) + pitch.div_half_even(50)),
        ThreadPosition::Az => Some(-(Length::from_um(300) + pitch.div_half_even(50))),
        ThreadPosition::InternalAx => Some((pitch * 11).div_half_even(50) - Length::from_um(20)),
        _ => None,
    };
    if let Some(value) = hot_dip {
        return Ok((value, true));
    }
    let found = match tables.deviation_row(pitch) {
        Some(row) => row.value(position).map(|value| (value, true)),
        None => formula::fundamental_deviation(position, pitch).map(|value| (value, false)),
    };
    found.ok_or_else(|| position_not_tabled(tables, position, pitch))
}

fn position_not_tabled(
    tables: &ThreadTables,
    position: ThreadPosition,
    pitch: Length,
) -> ThreadReason {
    let mut rows = tables.deviations.iter();
    let from = rows.find(|row| row.value(position).is_some());
    let member = position.member();
    ThreadReason::PositionNotTabled {
        pitch,
        position,
        from: from.map(|row| row.pitch),
        of_crest: false,
        defined: match tables.deviation_row(pitch) {
            Some(row) => row.defined(member),
            None => {
                let all = ThreadPosition::TEXTS.into_iter().map(|(one, _)| one);
                let mut defined: Vec<ThreadPosition> = all
                    .filter(|one| one.member() == member && !one.is_hot_dip())
                    .collect();
                defined.retain(|one| formula::fundamental_deviation(*one, pitch).is_some());
                defined
            }
        },
    }
}

/// Tolerance of the pitch diameter of one start, and whether a row has it.
pub(super) fn pitch_tolerance(
    tables: &ThreadTables,
    nominal: Length,
    pitch: Length,
    tolerance: ThreadTolerance,
) -> Result<(Length, bool), ThreadReason> {
    let member = tolerance.position.member();
    let missing = |tabled| ThreadReason::GradeNotTabled {
        nominal,
        pitch,
        tolerance,
        element: ThreadElement::Pitch,
        tabled,
    };
    if let Some(row) = tables.pitch_row(member, nominal, pitch) {
        let value = row.value(tolerance.grade);
        return Ok((value.ok_or_else(|| missing(row.grades()))?, true));
    }
    let grades = tables.grades_near(ThreadElement::Pitch, member, pitch);
    let range = tables
        .range(nominal)
        .filter(|_| grades.contains(&tolerance.grade));
    let computed = range.and_then(|range| {
        let up_to = range.up_to?;
        formula::pitch_diameter_tolerance(member, range.over, up_to, pitch, tolerance.grade)
    });
    Ok((computed.ok_or_else(|| missing(grades))?, false))
}

/// Tolerance of the crest, and whether a row has it.
pub(super) fn crest_tolerance(
    tables: &ThreadTables,
    nominal: Length,
    pitch: Length,
    tolerance: ThreadTolerance,
) -> Result<(Length, bool), ThreadReason> {
    let member = tolerance.position.member();
    let element = match member {
        ThreadMember::Internal => ThreadElement::Minor,
        ThreadMember::External => ThreadElement::Major,
    };
    let missing = |tabled| ThreadReason::GradeNotTabled {
        nominal,
        pitch,
        tolerance,
        element,
        tabled,
    };
    if let Some(row) = tables.crest_row(member, pitch) {
        let value = row.value(tolerance.grade);
        return Ok((value.ok_or_else(|| missing(row.grades()))?, true));
    }
    let grades = tables.grades_near(element, member, pitch);
    let computed = grades
        .contains(&tolerance.grade)
        .then(|| formula::crest_tolerance(member, pitch, tolerance.grade))
        .flatten();
    Ok((computed.ok_or_else(|| missing(grades))?, false))
}

/// The factor of a pitch-diameter tolerance for several starts, in hundredths.
///
/// ISO 965-1:2013 clause 9, from memory, unverified.
pub(super) fn starts_factor(starts: u8) -> i64 {
    match starts {
        0 | 1 => 100,
        2 => 112,
        3 => 125,
        4 => 140,
        _ => 160,
    }
}

/// A pitch-diameter tolerance widened for several starts, to whole micrometres.
pub(super) fn widened(tolerance: Length, starts: u8) -> Length {
    let hundredth_um = tolerance.as_nm() * starts_factor(starts);
    Length::from_um((hundredth_um + 50_000).div_euclid(100_000))
}

/// The limits of one member.
///
/// Formula: external: d max = d + es, d min = d max - Td; d2 max = d2 + es, d2 min = d2 max - Td2;
///          d1 max = d1 + es, d3 min = d2 min - (H - 2 R_min); internal: D min = D + EI; D2 min =
///          D2 + EI, D2 max = D2 min + TD2; D1 min = D1 + EI, D1 max = D1 min + TD1
/// Symbols: d, D nominal; d2, D2, d1, D1 basic (exact, with sqrt 3); es, EI fundamental deviation;
///          Td, Td2, TD1, TD2 tolerances (whole µm); H triangle height; R_min = P/8.
/// Valid:   diameters over 0.99 up to 355 mm, pitches 0.2 to 8 mm.
/// Rounding: once, half to even, to 1 µm: adding whole micrometres to an unrounded diameter.
/// Source:  ISO 965-1 (from memory); d3 min Machinery's Handbook 27th ed., ASME B1.13M.
/// Checked: tests/logic/thread_limits.rs.
/// Errors:  a [`ThreadReason`] for what the standard does not have.
fn member_limits(tables: &ThreadTables, parts: &ThreadParts) -> Result<ThreadLimits, ThreadReason> {
    let (nominal, pitch, class) = (parts.nominal, parts.pitch, parts.class);
    let profile = parts.profile();
    if !profile.design_minor_diameter().is_positive() {
        return Err(ThreadReason::PitchTooCoarse { nominal, pitch });
    }
    if let Some(reason) = class.undefined_grade() {
        return Err(reason);
    }
    let (flank, tabled_flank) = deviation(tables, class.pitch.position, pitch)?;
    let (crest, tabled_crest) = if class.crest.position == class.pitch.position {
        (flank, tabled_flank)
    } else {
        deviation(tables, class.crest.position, pitch).map_err(ThreadReason::of_crest)?
    };
    let (single, tabled_pitch) = pitch_tolerance(tables, nominal, pitch, class.pitch)?;
    let (crest_wide, tabled_wide) = crest_tolerance(tables, nominal, pitch, class.crest)?;
    let wide = widened(single, parts.starts);
    let mut flags = ThreadFlags::default();
    flags.note(ThreadFlag::PitchToleranceComputed, !tabled_pitch);
    flags.note(
        ThreadFlag::PitchNotTabled,
        !(tabled_flank && tabled_crest && tabled_wide),
    );
    note_unusual(&mut flags, tables, parts);
    let exact = |length: Length| ProfileLength::from(length);
    let two = |element, lower: Option<Length>, upper: Option<Length>| {
        Limits::ordered(lower, upper, Derivation::Thread(parts.key(element)))
    };
    let (d2, d1) = (profile.pitch_diameter(), profile.minor_diameter());
    // Tolerances are whole micrometres and diameters hold √3, so both limits of one diameter are
    // rounded by the same part of a micrometre: the second need not be divided out again.
    let first = (d2 + exact(flank)).printed();
    let (major, flanks, minor) = match parts.member() {
        ThreadMember::External => {
            let top = nominal + crest;
            let root = d2 + exact(flank - wide) - profile.least_root_drop();
            (
                (Some(top - crest_wide), Some(top)),
                (first - wide, first),
                (Some(root.printed()), Some((d1 + exact(flank)).printed())),
            )
        }
        ThreadMember::Internal => {
            let bore = (d1 + exact(crest)).printed();
            (
                (Some(nominal + flank), None),
                (first, first + wide),
                (Some(bore), Some(bore + crest_wide)),
            )
        }
    };
    // Tolerances can take the last of a thread that its profile alone would leave.
    let least = [major.0, Some(flanks.0), minor.0];
    if least.iter().flatten().any(|limit| *limit <= Length::ZERO) {
        return Err(ThreadReason::PitchTooCoarse { nominal, pitch });
    }
    Ok(ThreadLimits {
        parts: *parts,
        major: two(ThreadElement::Major, major.0, major.1),
        pitch: two(ThreadElement::Pitch, Some(flanks.0), Some(flanks.1)),
        minor: two(ThreadElement::Minor, minor.0, minor.1),
        deviation: flank,
        pitch_tolerance: wide,
        flags,
    })
}
