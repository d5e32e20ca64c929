//! What can be wrong with the text or the size of a quantity.

use std::fmt;

/// Why a text or number is no quantity of the wanted kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum QuantityError {
    /// Nothing but blanks.
    Empty,
    /// A character that does not belong there; `at` counts characters from 0.
    BadCharacter {
        /// The whole text as given.
        text: String,
        /// Position of the character, counted in characters from 0.
        at: usize,
        /// The character.
        found: char,
        /// What may stand there, in words.
        expected: &'static str,
    },
    /// The text ends where a digit is needed.
    Unfinished {
        /// The whole text as given.
        text: String,
        /// What is missing, in words.
        expected: &'static str,
    },
    /// More digits than any gauge sends (the bound is [`super::Decimal::DIGITS_MAX`]).
    TooManyDigits {
        /// The whole text as given.
        text: String,
    },
    /// The value is no whole number of the smallest step, so it would have to be rounded.
    NotExact {
        /// The value as text with its unit.
        text: String,
        /// The smallest step, in words.
        step: &'static str,
    },
    /// The value is beyond what the program takes for a quantity of this kind.
    OutOfRange {
        /// The value as text with its unit.
        found: String,
        /// The allowed span, in words.
        allowed: &'static str,
    },
}

impl QuantityError {
    /// The error's stable word for machines.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Empty => "empty",
            Self::BadCharacter { .. } => "bad_character",
            Self::Unfinished { .. } => "unfinished_number",
            Self::TooManyDigits { .. } => "too_many_digits",
            Self::NotExact { .. } => "not_exact",
            Self::OutOfRange { .. } => "out_of_range",
        }
    }

    /// What to do about it, one sentence.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::Empty => Some("Give a number, such as 25.021."),
            Self::BadCharacter { .. } | Self::Unfinished { .. } => {
                Some("Write digits with at most one decimal point or comma, such as 25.021.")
            }
            Self::TooManyDigits { .. } => {
                Some("Check the number; no gauge shows that many digits.")
            }
            Self::NotExact { .. } => Some("Give the value in steps that a gauge shows."),
            Self::OutOfRange { .. } => Some("Check the number and its unit."),
        }
    }
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "There is no number."),
            Self::BadCharacter {
                text,
                at,
                found,
                expected,
            } => write!(
                f,
                "“{}” does not belong at character {} of “{}”; expected {expected}.",
                found.escape_debug(),
                at + 1,
                text.escape_debug()
            ),
            Self::Unfinished { text, expected } => {
                write!(
                    f,
                    "“{}” ends too early; expected {expected}.",
                    text.escape_debug()
                )
            }
            Self::TooManyDigits { text } => {
                write!(
                    f,
                    "“{}” has more digits than a measurement can have.",
                    text.escape_debug()
                )
            }
            Self::NotExact { text, step } => {
                write!(
                    f,
                    "{text} is not a whole number of {step}, so it would have to be rounded."
                )
            }
            Self::OutOfRange { found, allowed } => {
                write!(f, "{found} is out of range; allowed is {allowed}.")
            }
        }
    }
}

impl std::error::Error for QuantityError {}
