//! Why a thread's designation gives no limits, in the standard's terms, and what to write instead.

use std::fmt;

use super::super::error::Place;
use super::super::limits::LimitsError;
use super::class::{ThreadClass, ThreadMember, ThreadPosition, ThreadTolerance};
use super::limits::ThreadElement;
use crate::quantity::{Length, LengthUnit};

/// What is wrong with a thread, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ThreadError {
    /// What is wrong.
    pub reason: ThreadReason,
    /// Where in the text, when it is at hand.
    pub place: Option<Place>,
}

/// What is wrong with a thread.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ThreadReason {
    /// Letters that are no tolerance position.
    UnknownPosition {
        /// The letters.
        found: String,
    },
    /// Digits that are no tolerance grade.
    UnknownGrade {
        /// The digits.
        found: String,
    },
    /// One tolerance is internal, the other external.
    MembersMixed {
        /// Of the pitch diameter.
        pitch: ThreadTolerance,
        /// Of the crest.
        crest: ThreadTolerance,
    },
    /// Two classes that are not an internal and an external one, in this order.
    NotAFit {
        /// Before the slash.
        first: ThreadClass,
        /// After it.
        second: ThreadClass,
    },
    /// A diameter has no such grade: 5g alone has no grade for the major diameter.
    GradeNotOfDiameter {
        /// The class as written.
        class: ThreadClass,
        /// The diameter without that grade.
        element: ThreadElement,
    },
    /// The lead is no whole multiple of the pitch.
    StartsNotWhole {
        /// The lead.
        lead: Length,
        /// The pitch.
        pitch: Length,
    },
    /// Not within the standard's diameters or pitches.
    OutOfRange {
        /// Nominal diameter or pitch.
        name: &'static str,
        /// What was written.
        found: Length,
        /// The standard's range, in words.
        allowed: &'static str,
    },
    /// The pitch is so coarse that nothing is left of the diameter.
    PitchTooCoarse {
        /// Nominal diameter.
        nominal: Length,
        /// The pitch.
        pitch: Length,
    },
    /// No pitch is written, and the size has no coarse one.
    NoCoarsePitch {
        /// Nominal diameter.
        nominal: Length,
        /// The pitches of ISO 261 at this size, finest first; empty when the size is not there.
        pitches: Vec<Length>,
    },
    /// The grade is not tabled at that pitch.
    GradeNotTabled {
        /// Nominal diameter.
        nominal: Length,
        /// The pitch.
        pitch: Length,
        /// The tolerance.
        tolerance: ThreadTolerance,
        /// Of which diameter.
        element: ThreadElement,
        /// The grades that are tabled there.
        tabled: Vec<u8>,
    },
    /// The position is not defined at that pitch.
    PositionNotTabled {
        /// The pitch.
        pitch: Length,
        /// The position.
        position: ThreadPosition,
        /// The finest pitch at which it is defined, if the table has it.
        from: Option<Length>,
    },
    /// Both members are oversize for hot-dip galvanizing.
    HotDipPair {
        /// Of the internal thread.
        internal: ThreadClass,
        /// Of the external thread.
        external: ThreadClass,
    },
    /// The limits of a diameter cannot be moved for a coating.
    Coating {
        /// Which diameter.
        element: ThreadElement,
        /// Why.
        error: LimitsError,
    },
}

fn mm(length: Length) -> String {
    length.to_text(LengthUnit::Millimetre, 0)
}

fn list<T: ToString>(items: &[T]) -> String {
    let texts: Vec<String> = items.iter().map(ToString::to_string).collect();
    match texts.split_last() {
        None => String::new(),
        Some((only, [])) => only.clone(),
        Some((last, before)) => format!("{} and {last}", before.join(", ")),
    }
}

impl ThreadClass {
    /// The reason for which a grade is none of its diameter's, wherever the thread.
    ///
    /// Td2 has grades 3 to 9, Td 4, 6 and 8, TD2 and TD1 4 to 8 (ISO 965-1, from memory).
    pub fn undefined_grade(self) -> Option<ThreadReason> {
        let internal = 4..=8;
        let (pitch, crest, crest_element) = match self.member() {
            ThreadMember::Internal => (
                internal.contains(&self.pitch.grade),
                internal.contains(&self.crest.grade),
                ThreadElement::Minor,
            ),
            ThreadMember::External => (
                (3..=9).contains(&self.pitch.grade),
                matches!(self.crest.grade, 4 | 6 | 8),
                ThreadElement::Major,
            ),
        };
        let element = match (pitch, crest) {
            (false, _) => ThreadElement::Pitch,
            (true, false) => crest_element,
            (true, true) => return None,
        };
        let class = self;
        Some(ThreadReason::GradeNotOfDiameter { class, element })
    }
}

impl ThreadError {
    /// The error's stable word for machines.
    pub fn code(&self) -> &'static str {
        match self.reason {
            ThreadReason::UnknownPosition { .. } => "unknown_position",
            ThreadReason::UnknownGrade { .. } => "unknown_grade",
            ThreadReason::MembersMixed { .. } => "members_mixed",
            ThreadReason::NotAFit { .. } => "not_a_fit",
            ThreadReason::GradeNotOfDiameter { .. } => "class_not_defined",
            ThreadReason::StartsNotWhole { .. } => "bad_lead",
            ThreadReason::OutOfRange { .. } => "size_out_of_range",
            ThreadReason::PitchTooCoarse { .. } => "pitch_too_coarse",
            ThreadReason::NoCoarsePitch { .. } => "no_coarse_pitch",
            ThreadReason::GradeNotTabled { .. } => "grade_not_tabled",
            ThreadReason::PositionNotTabled { .. } => "position_not_tabled",
            ThreadReason::HotDipPair { .. } => "hot_dip_pair",
            ThreadReason::Coating { error, .. } => error.code(),
        }
    }

    /// What to do about it, one sentence.
    pub fn hint(&self) -> Option<String> {
        Some(match &self.reason {
            ThreadReason::UnknownPosition { .. } => {
                "Write G or H for an internal thread, a to h for an external one; AZ, AX and az \
                 for hot-dip galvanizing."
                    .to_owned()
            }
            ThreadReason::UnknownGrade { .. } => {
                "Write one digit before the letter, such as 6H or 6g.".to_owned()
            }
            ThreadReason::MembersMixed { pitch, crest } => {
                format!("For a fit write {pitch}/{crest}, the internal class first.")
            }
            ThreadReason::NotAFit { first, second } => match (first.member(), second.member()) {
                (ThreadMember::External, ThreadMember::Internal) => {
                    format!("Did you mean {second}/{first}?")
                }
                _ => "A fit is an internal class and an external class, such as 6H/6g.".to_owned(),
            },
            ThreadReason::GradeNotOfDiameter { class, element } => class.instead(*element),
            ThreadReason::StartsNotWhole { pitch, .. } => {
                let two = mm(*pitch * 2);
                format!("For two starts of this pitch write Ph{two}P{}.", mm(*pitch))
            }
            ThreadReason::NoCoarsePitch { nominal, pitches } if !pitches.is_empty() => {
                let finest = pitches.last().copied().unwrap_or_default();
                format!("Write the pitch, such as M{}x{}.", mm(*nominal), mm(finest))
            }
            ThreadReason::NoCoarsePitch { .. } | ThreadReason::OutOfRange { .. } => {
                "Check the size on the drawing, and write the pitch.".to_owned()
            }
            ThreadReason::PitchTooCoarse { .. } => {
                "Check diameter and pitch on the drawing.".to_owned()
            }
            ThreadReason::GradeNotTabled { tabled, .. } if !tabled.is_empty() => {
                format!("Tabled there: {}.", list(tabled))
            }
            ThreadReason::GradeNotTabled { .. } | ThreadReason::PositionNotTabled { .. } => {
                "Check the class on the drawing; no value is guessed.".to_owned()
            }
            ThreadReason::HotDipPair { .. } => {
                "Give one of them oversize only: az with G or H, AZ or AX with h or g.".to_owned()
            }
            ThreadReason::Coating { error, .. } => return error.hint().map(str::to_owned),
        })
    }
}

impl ThreadClass {
    /// A class that has the missing grade.
    fn instead(self, element: ThreadElement) -> String {
        let (pitch, position) = (self.pitch, self.crest.position.text());
        match (element, self.member()) {
            (ThreadElement::Major, _) => {
                format!("Write both, such as {pitch}6{position}.")
            }
            (_, ThreadMember::Internal) => "Inside there are the grades 4 to 8.".to_owned(),
            _ => "Outside the pitch diameter has the grades 3 to 9.".to_owned(),
        }
    }
}

impl fmt::Display for ThreadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.reason {
            ThreadReason::UnknownPosition { found } if found.is_empty() => {
                f.write_str("The thread's class has a grade and no position.")
            }
            ThreadReason::UnknownPosition { found } => {
                write!(f, "“{found}” is no tolerance position of ISO 965.")
            }
            ThreadReason::UnknownGrade { found } => {
                write!(
                    f,
                    "“{found}” is no tolerance grade of ISO 965-1; there are 3 to 9."
                )
            }
            ThreadReason::MembersMixed { pitch, crest } => write!(
                f,
                "{pitch}{crest} mixes an internal and an external thread in one class."
            ),
            ThreadReason::NotAFit { first, second } => write!(
                f,
                "{first}/{second} is no fit; expected an internal class (capital) and then an \
                 external one (small)."
            ),
            ThreadReason::GradeNotOfDiameter { class, element } => {
                let grade = match element {
                    ThreadElement::Pitch => class.pitch.grade,
                    _ => class.crest.grade,
                };
                let grades = match (class.member(), element) {
                    (ThreadMember::Internal, _) => "4 to 8",
                    (ThreadMember::External, ThreadElement::Pitch) => "3 to 9",
                    _ => "4, 6 and 8",
                };
                write!(
                    f,
                    "{class} is no class: the {} diameter of an {} thread has no grade {grade}, \
                     only {grades} (ISO 965-1).",
                    element.word(),
                    class.member().word()
                )
            }
            ThreadReason::StartsNotWhole { lead, pitch } => write!(
                f,
                "A lead of {} mm is no whole number of starts (1 to 12) of pitch {} mm.",
                mm(*lead),
                mm(*pitch)
            ),
            ThreadReason::OutOfRange {
                name,
                found,
                allowed,
            } => write!(
                f,
                "The {name} {} mm is outside ISO 965-1, which has tolerances {allowed}.",
                mm(*found)
            ),
            ThreadReason::PitchTooCoarse { nominal, pitch } => write!(
                f,
                "A pitch of {} mm leaves nothing of a diameter of {} mm.",
                mm(*pitch),
                mm(*nominal)
            ),
            _ => self.fmt_of_tables(f),
        }
    }
}

impl ThreadError {
    fn fmt_of_tables(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.reason {
            ThreadReason::NoCoarsePitch { nominal, pitches } => {
                write!(f, "M{} has no coarse pitch in ISO 261", mm(*nominal))?;
                match pitches.as_slice() {
                    [] => f.write_str(", which does not have this size at all."),
                    some => {
                        let some: Vec<String> = some.iter().copied().map(mm).collect();
                        write!(f, "; its pitches are {} mm.", list(&some))
                    }
                }
            }
            ThreadReason::GradeNotTabled {
                nominal,
                pitch,
                tolerance,
                element,
                ..
            } => write!(
                f,
                "{tolerance} is not defined at M{}x{}: ISO 965-1 has no grade {} of the {} \
                 diameter at that pitch.",
                mm(*nominal),
                mm(*pitch),
                tolerance.grade,
                element.word()
            ),
            ThreadReason::PositionNotTabled {
                pitch,
                position,
                from,
            } => {
                write!(
                    f,
                    "Position {} is not defined at a pitch of {} mm",
                    position.text(),
                    mm(*pitch)
                )?;
                match from {
                    Some(from) if *from > *pitch => {
                        write!(f, ": ISO 965-1 has it from {} mm on.", mm(*from))
                    }
                    _ => f.write_str(": ISO 965-1 has no value, and no formula is established."),
                }
            }
            ThreadReason::HotDipPair { internal, external } => write!(
                f,
                "{internal}/{external} is not to be paired: both are oversize for hot-dip \
                 galvanizing, and so little of the flanks would bear that the thread can strip \
                 (ISO 965-5)."
            ),
            ThreadReason::Coating { element, error } => {
                write!(f, "The {} diameter: {error}", element.word())
            }
            _ => Ok(()),
        }
    }
}

impl std::error::Error for ThreadError {}
