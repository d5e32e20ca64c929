//! What can be wrong in any TOML file written by hand, before its meaning is asked.

use std::fmt;

use super::pointed::Problem;
use crate::quantity::QuantityError;

/// A fault of the file's form: a key, a type, a word or a number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FileProblem {
    /// The text is not TOML.
    NotToml {
        /// What the TOML reader says.
        message: String,
        /// A decimal comma in a bare number is the likely cause.
        decimal_comma: bool,
    },
    /// A key that this table does not have.
    UnknownKey {
        /// The key as written.
        found: String,
        /// The table (`[[feature]]`).
        table: &'static str,
        /// The key that was probably meant.
        nearest: Option<&'static str>,
        /// Every key that the table has.
        known: &'static [&'static str],
    },
    /// A required key is not there.
    MissingKey {
        /// The key.
        key: &'static str,
        /// The table (`[[feature]]`).
        table: &'static str,
    },
    /// The value is of another type.
    WrongType {
        /// The key.
        key: &'static str,
        /// The type found, in words.
        found: &'static str,
        /// The type expected, in words with an example.
        expected: &'static str,
    },
    /// None of the words that the key takes.
    UnknownWord {
        /// The key.
        key: &'static str,
        /// The word as written.
        found: String,
        /// The word that was probably meant.
        nearest: Option<&'static str>,
        /// Every word that it takes.
        known: Vec<&'static str>,
    },
    /// A number written with an exponent, grouping, base prefix, or as `inf` or `nan`.
    NotPlain {
        /// The key.
        key: &'static str,
        /// The number as written.
        found: String,
    },
    /// The number is no exact quantity.
    BadQuantity {
        /// The key.
        key: &'static str,
        /// Why.
        error: QuantityError,
    },
    /// The value is beyond what makes sense.
    OutOfRange {
        /// The key.
        key: &'static str,
        /// The value as written.
        found: String,
        /// The allowed values, in words.
        expected: &'static str,
    },
    /// A list has too few or too many members.
    WrongCount {
        /// The key.
        key: &'static str,
        /// How many.
        found: usize,
        /// How many are expected, in words.
        expected: &'static str,
    },
    /// A text of nothing but blanks.
    Blank {
        /// The key.
        key: &'static str,
    },
    /// A character that this text may not hold.
    BadCharacter {
        /// The key.
        key: &'static str,
        /// The character.
        found: char,
        /// What it may hold, in words.
        expected: &'static str,
    },
    /// The same name stands twice where names must differ.
    Repeated {
        /// The key.
        key: &'static str,
        /// The name.
        found: String,
        /// The line of the first one.
        first_line: usize,
    },
    /// So many problems that the rest are left out.
    More {
        /// How many are left out.
        count: usize,
    },
}

impl Problem for FileProblem {
    fn code(&self) -> &'static str {
        match self {
            Self::NotToml { .. } => "not_toml",
            Self::UnknownKey { .. } => "unknown_key",
            Self::MissingKey { .. } => "missing_key",
            Self::WrongType { .. } => "wrong_type",
            Self::UnknownWord { .. } => "unknown_word",
            Self::NotPlain { .. } => "number_not_plain",
            Self::BadQuantity { error, .. } => error.code(),
            Self::OutOfRange { .. } => "out_of_range",
            Self::WrongCount { .. } => "wrong_count",
            Self::Blank { .. } => "blank",
            Self::BadCharacter { .. } => "bad_character",
            Self::Repeated { .. } => "repeated",
            Self::More { .. } => "more_problems",
        }
    }

    fn hint(&self) -> Option<String> {
        let say = |text: &str| Some(text.to_owned());
        match self {
            Self::NotToml {
                decimal_comma: true,
                ..
            } => say("A bare number takes a point, as 0.02; a comma only inside quotes."),
            Self::UnknownKey {
                nearest: Some(word),
                ..
            } => Some(format!("Did you mean `{word}`?")),
            Self::UnknownKey { known, .. } => Some(format!("It has: {}.", known.join(", "))),
            Self::MissingKey { key, .. } => Some(format!("Add a line `{key} = …` below.")),
            Self::UnknownWord {
                nearest: Some(word),
                ..
            } => Some(format!("Did you mean \"{word}\"?")),
            Self::UnknownWord { known, .. } => Some(format!("It takes: {}.", known.join(", "))),
            Self::NotPlain { .. } => say("Write all digits with a decimal point, as 0.001."),
            Self::BadQuantity { error, .. } => error.hint().map(str::to_owned),
            Self::WrongCount { .. } => {
                say("Members are parted by commas, so decimals need points.")
            }
            Self::Repeated { .. } => say("Names must differ."),
            Self::More { .. } => say("Mend the ones above first."),
            Self::NotToml { .. }
            | Self::WrongType { .. }
            | Self::OutOfRange { .. }
            | Self::Blank { .. }
            | Self::BadCharacter { .. } => None,
        }
    }
}

impl fmt::Display for FileProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotToml { message, .. } => write!(f, "this is not TOML: {message}."),
            Self::UnknownKey { found, table, .. } => {
                write!(f, "{table} has no key `{}`.", found.escape_debug())
            }
            Self::MissingKey { key, table } => write!(f, "{table} needs the key `{key}`."),
            Self::WrongType {
                key,
                found,
                expected,
            } => write!(f, "`{key}` is {found}; expected {expected}."),
            Self::UnknownWord {
                key, found, known, ..
            } => write!(
                f,
                "`{key}` does not take \"{}\"; expected {}.",
                found.escape_debug(),
                one_of(known)
            ),
            Self::NotPlain { key, found } => write!(
                f,
                "`{key}` is {found}; expected a plain decimal number, so that no digit is lost."
            ),
            Self::BadQuantity { key, error } => write!(f, "`{key}`: {error}"),
            Self::OutOfRange {
                key,
                found,
                expected,
            } => write!(f, "`{key}` is {found}; expected {expected}."),
            Self::WrongCount {
                key,
                found,
                expected,
            } => write!(f, "`{key}` has {found} in its list; expected {expected}."),
            Self::Blank { key } => write!(f, "`{key}` is blank; expected a text."),
            Self::BadCharacter {
                key,
                found,
                expected,
            } => write!(
                f,
                "`{key}` may not hold “{}”; expected {expected}.",
                found.escape_debug()
            ),
            Self::Repeated {
                key,
                found,
                first_line,
            } => write!(
                f,
                "`{key}` \"{found}\" stands twice, first in line {first_line}."
            ),
            Self::More { count: 1 } => f.write_str("1 more problem is not shown."),
            Self::More { count } => write!(f, "{count} more problems are not shown."),
        }
    }
}

/// `"a", "b" or "c"`; a long list only as its count.
fn one_of(words: &[&'static str]) -> String {
    const LISTED_MAX: usize = 8;
    match words {
        [] => "nothing".to_owned(),
        [one] => format!("\"{one}\""),
        many if many.len() > LISTED_MAX => format!("one of its {} words", many.len()),
        [first @ .., last] => format!("\"{}\" or \"{last}\"", first.join("\", \"")),
    }
}
