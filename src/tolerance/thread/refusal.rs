//! The words of a refused thread: what the standard has, and what to write instead.

use std::fmt;

use super::class::{ThreadClass, ThreadMember};
use super::error::{ThreadError, ThreadReason};
use super::limits::ThreadElement;
use crate::quantity::Length;

fn list<T: ToString>(items: &[T]) -> String {
    let texts: Vec<String> = items.iter().map(ToString::to_string).collect();
    match texts.split_last() {
        None => String::new(),
        Some((only, [])) => only.clone(),
        Some((last, before)) => format!("{} and {last}", before.join(", ")),
    }
}

impl ThreadReason {
    /// What to do about it, one sentence.
    pub(super) fn hint(&self) -> Option<String> {
        Some(match self {
            Self::UnknownPosition { .. } => {
                "Write G or H for an internal thread, a to h for an external one; AZ, AX and az \
                 for hot-dip galvanizing."
                    .to_owned()
            }
            Self::UnknownGrade { .. } => {
                "Write one digit before the letter, such as 6H or 6g.".to_owned()
            }
            Self::MembersMixed { pitch, crest } => {
                let (internal, external) = match pitch.position.member() {
                    ThreadMember::Internal => (pitch, crest),
                    ThreadMember::External => (crest, pitch),
                };
                format!("For a fit write {internal}/{external}, the internal class first.")
            }
            Self::NotAFit { first, second } => match (first.member(), second.member()) {
                (ThreadMember::External, ThreadMember::Internal) => {
                    format!("Did you mean {second}/{first}?")
                }
                _ => "A fit is an internal class and an external class, such as 6H/6g.".to_owned(),
            },
            Self::GradeNotOfDiameter { class, element } => class.instead(*element),
            Self::StartsNotWhole { pitch, .. } => {
                let two = *pitch * 2;
                format!("For two starts of this pitch write Ph{two}P{}.", pitch)
            }
            Self::StartsDisagree { written, pitch, .. } => {
                let lead = Length::from_nm(pitch.as_nm().saturating_mul(*written));
                format!(
                    "Check the drawing: so many starts of this pitch are Ph{lead}P{}.",
                    pitch
                )
            }
            Self::MissingMark {
                meant: Some(meant), ..
            } => format!("Did you mean {meant}?"),
            Self::MissingMark { mark: 'x', .. } => {
                "Write the pitch behind an x, as in M10x1-6H.".to_owned()
            }
            Self::MissingMark { .. } => {
                "Write class, length and LH each behind a hyphen, as in M10-5g6g-S-LH.".to_owned()
            }
            _ => return self.hint_of_tables(),
        })
    }

    fn hint_of_tables(&self) -> Option<String> {
        Some(match self {
            Self::NoCoarsePitch {
                nominal,
                pitches,
                near,
            } => match (pitches.last(), near.as_slice()) {
                (Some(coarsest), _) => {
                    format!("Write the pitch, such as M{}x{}.", nominal, coarsest)
                }
                (None, []) => "Check the size on the drawing, and write the pitch.".to_owned(),
                (None, near) => {
                    let near: Vec<String> = near.iter().map(|size| format!("M{}", size)).collect();
                    format!(
                        "Check the size on the drawing, or write the pitch; sizes of ISO 261 near \
                         it: {}.",
                        list(&near)
                    )
                }
            },
            Self::OutOfRange { .. } | Self::PitchTooCoarse { .. } => {
                "Check diameter and pitch on the drawing.".to_owned()
            }
            Self::GradeNotTabled {
                tabled, tolerance, ..
            } => match nearest(tabled, tolerance.grade) {
                Some(grade) => {
                    let grades = if tabled.len() == 1 { "grade" } else { "grades" };
                    let position = tolerance.position.text();
                    format!(
                        "Tabled there: {grades} {}; the nearest is {grade}{position}.",
                        list(tabled)
                    )
                }
                None => "Check the class on the drawing; no value is guessed.".to_owned(),
            },
            Self::PositionNotTabled {
                position, defined, ..
            } => {
                let texts: Vec<&str> = defined.iter().map(|one| one.text()).collect();
                match position.next_of(defined) {
                    Some(nearest) => format!(
                        "At this pitch there are the positions {}; the nearest is {}.",
                        list(&texts),
                        nearest.text()
                    ),
                    None => "Check the class on the drawing; no value is guessed.".to_owned(),
                }
            }
            Self::HotDipPair { .. } => {
                "Give one of them oversize only: az with G or H, AZ or AX with h or g.".to_owned()
            }
            Self::Default { reason, .. } => return reason.hint(),
            Self::Coating { error, .. } => return error.hint().map(str::to_owned),
            _ => return None,
        })
    }
}

/// The grade nearest to one that is not there; of two as near, the finer.
fn nearest(grades: &[u8], wanted: u8) -> Option<u8> {
    let mut grades: Vec<u8> = grades.to_vec();
    grades.sort_by_key(|grade| (grade.abs_diff(wanted), *grade));
    grades.first().copied()
}

impl ThreadClass {
    /// What to write in place of a class without that grade.
    fn instead(self, element: ThreadElement) -> String {
        let (mut better, grade) = (self, |grade: u8| match grade {
            3 => 4,
            9 => 8,
            5 | 7 => 6,
            other => other,
        });
        match (element, self.member()) {
            (ThreadElement::Major, _) => {
                better.crest.grade = grade(self.crest.grade);
                let is_alone = self.crest == self.pitch;
                let both = if is_alone {
                    "Write the grade of the major diameter too, such as "
                } else {
                    "Write "
                };
                format!("{both}{better}.")
            }
            (_, ThreadMember::Internal) => {
                better.pitch.grade = self.pitch.grade.clamp(4, 8);
                better.crest.grade = self.crest.grade.clamp(4, 8);
                format!("Write {better}.")
            }
            _ => "Outside, the pitch diameter has the grades 3 to 9.".to_owned(),
        }
    }
}

impl fmt::Display for ThreadReason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownPosition { found } if found.is_empty() => {
                f.write_str("The thread's class has a grade and no position.")
            }
            Self::UnknownPosition { found } => {
                write!(f, "“{found}” is no tolerance position of ISO 965.")
            }
            Self::UnknownGrade { found } => {
                write!(
                    f,
                    "“{found}” is no tolerance grade of ISO 965-1; there are 3 to 9."
                )
            }
            Self::MembersMixed { pitch, crest } => write!(
                f,
                "{pitch}{crest} mixes an internal and an external thread in one class."
            ),
            Self::NotAFit { first, second } => write!(
                f,
                "{first}/{second} is no fit; expected an internal class (capital) and then an \
                 external one (small)."
            ),
            Self::GradeNotOfDiameter { class, element } => {
                write_undefined_grade(f, *class, *element)
            }
            Self::StartsNotWhole { lead, pitch } => write!(
                f,
                "A lead of {} mm is no whole number of starts (1 to 12) of pitch {} mm.",
                lead, pitch
            ),
            Self::StartsDisagree {
                written,
                lead,
                pitch,
            } => write!(
                f,
                "{written} starts are written, and a lead of {} mm at a pitch of {} mm has {}.",
                lead,
                pitch,
                lead.as_nm() / pitch.as_nm().max(1)
            ),
            Self::MissingMark { mark, found, .. } => {
                let mark = if *mark == 'x' { "×" } else { "hyphen" };
                write!(f, "There is no {mark} before “{}”.", found.escape_debug())
            }
            Self::OutOfRange {
                name,
                found,
                allowed,
            } => write!(
                f,
                "The {name} {} mm is outside ISO 965-1, which has tolerances {allowed}.",
                found
            ),
            Self::PitchTooCoarse { nominal, pitch } => write!(
                f,
                "A pitch of {} mm leaves nothing of a diameter of {} mm, once profile and \
                 tolerances are taken off.",
                pitch, nominal
            ),
            _ => self.fmt_of_tables(f),
        }
    }
}

fn write_undefined_grade(
    f: &mut fmt::Formatter<'_>,
    class: ThreadClass,
    element: ThreadElement,
) -> fmt::Result {
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
        "{class} is no class: the {} diameter of an {} thread has no grade {grade}, only {grades} \
         (ISO 965-1).",
        element.word(),
        class.member().word()
    )
}

impl ThreadReason {
    fn fmt_of_tables(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoCoarsePitch {
                nominal, pitches, ..
            } => {
                write!(f, "M{} has no coarse pitch in ISO 261", nominal)?;
                match pitches.as_slice() {
                    [] => f.write_str(", which does not have this size at all."),
                    [one] => write!(f, "; its pitch is {} mm.", one),
                    some => {
                        write!(f, "; its pitches are {} mm.", list(some))
                    }
                }
            }
            Self::GradeNotTabled {
                nominal,
                pitch,
                tolerance,
                element,
                ..
            } => write!(
                f,
                "{tolerance} is not defined at M{}x{}: ISO 965-1 has no grade {} of the {} \
                 diameter at that pitch.",
                nominal,
                pitch,
                tolerance.grade,
                element.word()
            ),
            Self::PositionNotTabled {
                pitch,
                position,
                from,
                ..
            } => {
                write!(
                    f,
                    "Position {} is not defined at a pitch of {} mm",
                    position.text(),
                    pitch
                )?;
                match from {
                    Some(from) if *from > *pitch => {
                        write!(f, ": ISO 965-1 has it from {} mm on.", from)
                    }
                    _ => f.write_str(": ISO 965-1 has no value, and no formula is established."),
                }
            }
            Self::Default { class, reason } => {
                write!(
                    f,
                    "No class is written, and {class}, which then holds, has no limits: "
                )?;
                fmt::Display::fmt(reason, f)
            }
            Self::HotDipPair { internal, external } => write!(
                f,
                "{internal}/{external} is not to be paired: both are oversize for hot-dip \
                 galvanizing, and so little of the flanks would bear that the thread can strip \
                 (ISO 965-5)."
            ),
            Self::Coating { element, error } => {
                write!(f, "The {} diameter: {error}", element.word())
            }
            _ => Ok(()),
        }
    }
}

/// The sentence, and where in the text it points.
impl fmt::Display for ThreadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.reason.fmt(f)
    }
}
