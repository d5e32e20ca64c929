//! Why a thread's designation gives no limits, and where in its text; the words for it stand in
//! `refusal.rs`.

use super::super::error::Place;
use super::super::limits::LimitsError;
use super::class::{ThreadClass, ThreadMember, ThreadPosition, ThreadTolerance};
use super::limits::ThreadElement;
use super::parser::marks_of;
use crate::quantity::Length;

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
    /// The number of starts in words is not that of lead and pitch.
    StartsDisagree {
        /// The number written.
        written: i64,
        /// The lead.
        lead: Length,
        /// The pitch.
        pitch: Length,
    },
    /// A part without the hyphen before it, or a pitch without the ×.
    MissingMark {
        /// `-` or `x`.
        mark: char,
        /// What stands there instead.
        found: char,
        /// The designation with all marks, if it then is one.
        meant: Option<String>,
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
        /// Of a size that is not there: the next smaller and larger ones.
        near: Vec<Length>,
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
        /// Whether it is the crest's, not the pitch diameter's.
        of_crest: bool,
        /// The positions of the same member that are defined at the pitch.
        defined: Vec<ThreadPosition>,
    },
    /// No class is written, and the one that then holds cannot be had.
    Default {
        /// The class.
        class: ThreadClass,
        /// Why not.
        reason: Box<ThreadReason>,
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

/// How an error names a pitch that is out of range.
pub(super) const PITCH_NAME: &str = "pitch";

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
        self.reason.code()
    }

    /// What to do about it, one sentence.
    pub fn hint(&self) -> Option<String> {
        self.reason.hint()
    }

    /// The same error, pointing into the text where the part stands that the tables refused.
    #[must_use]
    pub(in crate::tolerance) fn pointed_in(mut self, text: &str) -> Self {
        if self.place.is_none()
            && let Some(marks) = marks_of(text)
        {
            let class = |member| match member {
                ThreadMember::Internal => marks.internal,
                ThreadMember::External => marks.external,
            };
            let reason = match &self.reason {
                ThreadReason::Default { reason, .. } => reason,
                reason => reason,
            };
            let part = match reason {
                ThreadReason::OutOfRange { name, .. } if *name == PITCH_NAME => marks.pitch,
                ThreadReason::PitchTooCoarse { .. } => marks.pitch,
                ThreadReason::GradeNotTabled {
                    tolerance, element, ..
                } => {
                    let class = class(tolerance.position.member());
                    class.map(|(pitch, crest)| match element {
                        ThreadElement::Pitch => pitch,
                        _ => crest,
                    })
                }
                ThreadReason::PositionNotTabled {
                    position, of_crest, ..
                } => {
                    let class = class(position.member());
                    class.map(|(pitch, crest)| if *of_crest { crest } else { pitch })
                }
                ThreadReason::HotDipPair { .. } => marks.internal.map(|(pitch, _)| pitch),
                _ => None,
            };
            self.place = Some(Place {
                text: text.to_owned(),
                at: part.unwrap_or(marks.size),
            });
        }
        self
    }
}

impl ThreadReason {
    fn code(&self) -> &'static str {
        match self {
            Self::UnknownPosition { .. } => "unknown_position",
            Self::UnknownGrade { .. } => "unknown_grade",
            Self::MembersMixed { .. } => "members_mixed",
            Self::NotAFit { .. } => "not_a_fit",
            Self::GradeNotOfDiameter { .. } => "class_not_defined",
            Self::StartsNotWhole { .. } | Self::StartsDisagree { .. } => "bad_lead",
            Self::MissingMark { .. } => "bad_callout",
            Self::OutOfRange { .. } => "size_out_of_range",
            Self::PitchTooCoarse { .. } => "pitch_too_coarse",
            Self::NoCoarsePitch { .. } => "no_coarse_pitch",
            Self::GradeNotTabled { .. } => "grade_not_tabled",
            Self::PositionNotTabled { .. } => "position_not_tabled",
            Self::HotDipPair { .. } => "hot_dip_pair",
            Self::Default { reason, .. } => reason.code(),
            Self::Coating { error, .. } => error.code(),
        }
    }

    /// The same, of the crest's position.
    pub(super) fn of_crest(mut self) -> Self {
        if let Self::PositionNotTabled { of_crest, .. } = &mut self {
            *of_crest = true;
        }
        self
    }
}

impl std::error::Error for ThreadError {}
