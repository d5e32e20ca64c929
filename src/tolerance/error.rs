//! What can be wrong with a callout, where in its text, and what may stand there.

use std::fmt;

use crate::quantity::{Length, QuantityError};

use super::limits::LimitsError;
use super::thread::ThreadError;
use super::undefined::ClassError;

/// Why a callout gives no limits. Positions count characters of the text from 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CalloutError {
    /// Nothing but blanks.
    Empty,
    /// More characters than a callout can have.
    TooLong {
        /// How many characters there are.
        found: usize,
        /// How many are allowed.
        allowed: usize,
    },
    /// Something that does not belong there.
    Unexpected {
        /// Where, and in which text.
        place: Place,
        /// What stands there: a character, or nothing at the end of the text.
        found: Option<char>,
        /// What may stand there, in words.
        expected: &'static str,
    },
    /// A number or angle that is none, or is not exact.
    BadNumber {
        /// Where, and in which text.
        place: Place,
        /// What is wrong with it.
        reason: QuantityError,
    },
    /// Letters that are no fundamental deviation.
    UnknownLetter {
        /// Where, and in which text.
        place: Place,
        /// The letters.
        found: String,
        /// Classes near it that exist.
        nearest: Vec<String>,
    },
    /// Digits that are no tolerance grade.
    UnknownGrade {
        /// Where, and in which text.
        place: Place,
        /// The digits.
        found: String,
        /// Classes near it that exist.
        nearest: Vec<String>,
    },
    /// A letter without a grade: neither a class nor a general tolerance is guessed.
    MissingGrade {
        /// Where, and in which text.
        place: Place,
        /// The letters.
        found: String,
    },
    /// Two classes that are not a hole and a shaft, in this order.
    NotAFit {
        /// Where, and in which text.
        place: Place,
        /// Both classes.
        found: String,
        /// The two classes in the right order, when that helps.
        swapped: Option<String>,
    },
    /// Two different units in one callout.
    MixedUnits {
        /// Where the second unit stands, and in which text.
        place: Place,
        /// The second unit.
        found: &'static str,
        /// The first unit.
        expected: &'static str,
    },
    /// Two limits of which the first is above the second.
    ReversedLimits {
        /// Where the second limit stands, and in which text.
        place: Place,
    },
    /// A thread that the standard does not have.
    Thread(ThreadError),
    /// A class that is not defined at the nominal size.
    NotDefined {
        /// Which, where and why, with the nearest class.
        error: ClassError,
        /// Where the class stands, when the callout's text is at hand ([`super::limits_of`]).
        place: Option<Place>,
    },
    /// A bare size, edge or angle, and no general class is in force.
    MissingGeneralClass {
        /// The callout.
        callout: String,
    },
    /// An angle under a general tolerance, and its shorter side is not known.
    MissingShorterSide {
        /// The callout.
        callout: String,
    },
    /// The general class has no value at that size.
    GeneralNotDefined {
        /// The callout.
        callout: String,
        /// The general class's letter.
        class: &'static str,
        /// The size that chooses the row: nominal, or an angle's shorter side.
        size: Length,
        /// The number of the table of ISO 2768-1.
        table: u8,
    },
    /// Deviations that leave no size above zero.
    NothingLeft {
        /// The callout.
        callout: String,
        /// The upper limit that results.
        upper_limit: Length,
    },
    /// Limits that are none.
    BadLimits(LimitsError),
}

/// A character of a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The whole text as given.
    pub text: String,
    /// The character, counted from 0; the text's length for its end.
    pub at: usize,
}

impl CalloutError {
    /// The error's stable word for machines.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Empty => "empty",
            Self::TooLong { .. } => "too_long",
            Self::Unexpected { .. } => "bad_callout",
            Self::BadNumber { reason, .. } => reason.code(),
            Self::UnknownLetter { .. } => "unknown_class",
            Self::UnknownGrade { .. } => "unknown_grade",
            Self::MissingGrade { .. } => "missing_grade",
            Self::NotAFit { .. } => "not_a_fit",
            Self::MixedUnits { .. } => "mixed_units",
            Self::ReversedLimits { .. } => "limits_reversed",
            Self::Thread(error) => error.code(),
            Self::NotDefined { error, .. } => error.code(),
            Self::MissingGeneralClass { .. } => "missing_general_class",
            Self::MissingShorterSide { .. } => "missing_shorter_side",
            Self::GeneralNotDefined { .. } => "general_not_defined",
            Self::NothingLeft { .. } => "nothing_left",
            Self::BadLimits(error) => error.code(),
        }
    }

    /// What to do about it, one sentence.
    pub fn hint(&self) -> Option<String> {
        let text = match self {
            Self::Unexpected { place, .. } if is_thread(&place.text) => {
                "Write a thread such as M10, M10x1-6H, M8-5g6g-S, M20x2-6H/6g, M6x1-5h6h-S-LH or \
                 M16xPh3P1.5-6H."
            }
            Self::Empty | Self::Unexpected { .. } => {
                "Write a callout such as 25 H7, 25 H7/p6, 12 ±0.05, 12 +0.1/-0.02, 12 max, \
                 20.000..20.021, 30° ±0.5°, R2, 1x45° or M10-6H."
            }
            Self::TooLong { .. } => "Give one callout at a time.",
            Self::BadNumber { reason, .. } => return reason.hint().map(str::to_owned),
            Self::UnknownLetter { nearest, .. } | Self::UnknownGrade { nearest, .. } => {
                return did_you_mean(nearest);
            }
            Self::MissingGrade { found, .. } => {
                return Some(format!(
                    "Write the grade, such as {found}7; for a general tolerance of ISO 2768-1 \
                     leave the letter out and give its class (f, m, c, v) as the general one."
                ));
            }
            Self::NotAFit { swapped, .. } => match swapped {
                Some(fit) => return did_you_mean(std::slice::from_ref(fit)),
                None => "A fit is a hole class and a shaft class, such as H7/g6.",
            },
            Self::MixedUnits { .. } => "Write every number of a callout in the same unit.",
            Self::ReversedLimits { .. } => "Write the smaller limit first.",
            Self::Thread(error) => return error.hint(),
            Self::NotDefined { error, .. } => return error.hint(),
            Self::MissingGeneralClass { .. } => {
                "Write a class or deviations beside it, or give the drawing's general class: \
                 f, m, c or v (ISO 2768-1)."
            }
            Self::MissingShorterSide { .. } => {
                "Give the length of the angle's shorter side in millimetres."
            }
            Self::GeneralNotDefined { .. } => {
                "The deviations must be indicated beside the nominal; ask for them."
            }
            Self::NothingLeft { .. } => "Check the signs and the unit of the deviations.",
            Self::BadLimits(error) => return error.hint().map(str::to_owned),
        };
        Some(text.to_owned())
    }

    /// The same error of a callout's limits, pointing at the part of the callout's text that the
    /// tables refused; as it is where it points already, or is about no part.
    #[must_use]
    pub fn pointed_in(self, text: &str) -> Self {
        match self {
            Self::NotDefined { error, place: None } => {
                // A class is read only where its letters and digits stand together as it prints.
                let before = text.find(&error.class.to_string());
                let before = before.and_then(|at| text.get(..at));
                Self::NotDefined {
                    error,
                    place: before.map(|start| Place {
                        text: text.to_owned(),
                        at: start.chars().count(),
                    }),
                }
            }
            Self::Thread(error) => Self::Thread(error.pointed_in(text)),
            other => other,
        }
    }

    /// Where in the text, if the text itself is wrong.
    pub fn place(&self) -> Option<&Place> {
        match self {
            Self::Unexpected { place, .. }
            | Self::BadNumber { place, .. }
            | Self::UnknownLetter { place, .. }
            | Self::UnknownGrade { place, .. }
            | Self::MissingGrade { place, .. }
            | Self::NotAFit { place, .. }
            | Self::MixedUnits { place, .. }
            | Self::ReversedLimits { place } => Some(place),
            Self::Thread(error) => error.place.as_ref(),
            Self::NotDefined { place, .. } => place.as_ref(),
            _ => None,
        }
    }
}

/// Whether a text is a thread's, right or wrong: M and a digit.
fn is_thread(text: &str) -> bool {
    let rest = text.trim_start().strip_prefix(['M', 'm']);
    rest.is_some_and(|rest| rest.trim_start().starts_with(|c: char| c.is_ascii_digit()))
}

/// Two lines for a terminal: the text, and a caret under the character that is wrong. `None`
/// when the error is not about a place in the text. Control characters are shown as blanks,
/// and the blanks before the caret are as wide as the characters above them.
pub fn render_caret(error: &CalloutError) -> Option<String> {
    let place = error.place()?;
    let shown: String = place
        .text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    let columns: usize = place.text.chars().take(place.at).map(columns_of).sum();
    Some(format!("{shown}\n{}^", " ".repeat(columns)))
}

/// How many columns a terminal gives a character: none to a mark that combines with the one
/// before, two to the wide ones of East Asian scripts, one to all others (the main blocks of
/// Unicode's East Asian Width, from memory).
fn columns_of(c: char) -> usize {
    match c as u32 {
        0x0300..=0x036F | 0x200B..=0x200F | 0xFE00..=0xFE0F => 0,
        0x1100..=0x115F | 0x2E80..=0xA4CF | 0xAC00..=0xD7A3 | 0xF900..=0xFAFF => 2,
        0xFE30..=0xFE6F | 0xFF00..=0xFF60 | 0xFFE0..=0xFFE6 | 0x1F300..=0x1FAFF => 2,
        _ => 1,
    }
}

fn did_you_mean(nearest: &[String]) -> Option<String> {
    match nearest {
        [] => None,
        [only] => Some(format!("Did you mean {only}?")),
        [first, second, ..] => Some(format!("Did you mean {first} or {second}?")),
    }
}

fn shown(place: &Place) -> String {
    format!(
        "at character {} of “{}”",
        place.at + 1,
        readable(&place.text)
    )
}

/// A text as it is, but for characters that cannot be seen.
fn readable(text: &str) -> String {
    let shown = |c: char| match c {
        '\'' | '"' | '\\' => c.to_string(),
        _ => c.escape_debug().to_string(),
    };
    text.chars().map(shown).collect()
}

impl fmt::Display for CalloutError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("There is no callout."),
            Self::TooLong { found, allowed } => write!(
                f,
                "The callout has {found} characters; at most {allowed} are read."
            ),
            Self::NotDefined { error, .. } => error.fmt(f),
            Self::BadLimits(error) => error.fmt(f),
            Self::Thread(error) => error.fmt(f),
            Self::MissingGeneralClass { callout } => write!(
                f,
                "{callout} carries no tolerance, and no general tolerance class is in force."
            ),
            Self::MissingShorterSide { callout } => write!(
                f,
                "The general tolerance of the angle {callout} goes by the length of its shorter \
                 side, which is not given (ISO 2768-1, table 3)."
            ),
            Self::GeneralNotDefined {
                callout,
                class,
                size,
                table,
            } => write!(
                f,
                "ISO 2768-1, table {table}, has no general tolerance of class {class} at {size} \
                 mm (for {callout})."
            ),
            Self::NothingLeft {
                callout,
                upper_limit,
            } => write!(
                f,
                "{callout} leaves nothing: its upper limit would be {upper_limit} mm."
            ),
            _ => self.fmt_at_place(f),
        }
    }
}

impl CalloutError {
    /// The sentence of an error that is at a place of the text.
    fn fmt_at_place(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Some(place) = self.place() else {
            return Ok(()); // all others are written by `fmt` itself
        };
        let at = shown(place);
        match self {
            Self::Unexpected {
                found, expected, ..
            } => match found {
                Some(c) => {
                    let c = c.escape_debug();
                    write!(f, "“{c}” does not belong {at}; expected {expected}.")
                }
                None => {
                    let text = readable(&place.text);
                    write!(f, "“{text}” ends too early; expected {expected}.")
                }
            },
            Self::BadNumber { reason, .. } => write!(f, "{reason} (Number {at}.)"),
            Self::UnknownLetter { found, .. } => {
                write!(
                    f,
                    "“{found}” {at} is no fundamental deviation of ISO 286-1."
                )
            }
            Self::UnknownGrade { found, .. } => write!(
                f,
                "“{found}” {at} is no tolerance grade; ISO 286-1 has 01, 0 and 1 to 18."
            ),
            Self::MissingGrade { found, .. } => write!(
                f,
                "“{found}” {at} has no tolerance grade, and none is guessed."
            ),
            Self::NotAFit { found, .. } => write!(
                f,
                "“{found}” {at} is no fit; expected a hole class (capital) and then a shaft class \
                 (small)."
            ),
            Self::MixedUnits {
                found, expected, ..
            } => write!(
                f,
                "The unit {found} {at} differs from the callout's unit {expected}."
            ),
            Self::ReversedLimits { .. } => {
                write!(f, "The upper limit {at} is below the lower one.")
            }
            _ => Ok(()),
        }
    }
}

impl std::error::Error for CalloutError {}

impl From<ClassError> for CalloutError {
    fn from(error: ClassError) -> Self {
        Self::NotDefined { error, place: None }
    }
}

impl From<ThreadError> for CalloutError {
    fn from(error: ThreadError) -> Self {
        Self::Thread(error)
    }
}

impl From<LimitsError> for CalloutError {
    fn from(error: LimitsError) -> Self {
        Self::BadLimits(error)
    }
}
