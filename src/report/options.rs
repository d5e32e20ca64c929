//! How a report is wanted: language, decimal mark, how much of it.

use std::borrow::Cow;

use super::safe::is_plain_number;
use super::words::Words;
use super::words_english::ENGLISH;

/// The mark between whole numbers and decimals, for people. Files for programs always have a
/// point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DecimalMark {
    /// `12.5`.
    #[default]
    Point,
    /// `12,5`.
    Comma,
}

impl DecimalMark {
    /// `point` or `comma`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Point => "point",
            Self::Comma => "comma",
        }
    }

    /// The one of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            "point" => Some(Self::Point),
            "comma" => Some(Self::Comma),
            _ => None,
        }
    }
}

/// How a report is wanted.
#[derive(Debug, Clone, Copy)]
pub struct ReportOptions {
    /// Its texts.
    pub words: &'static Words,
    /// Mark in numbers.
    pub decimal_mark: DecimalMark,
    /// Whether every reading stands in it, and not only those that count.
    pub with_readings: bool,
}

impl Default for ReportOptions {
    fn default() -> Self {
        Self {
            words: &ENGLISH,
            decimal_mark: DecimalMark::Point,
            with_readings: false,
        }
    }
}

impl ReportOptions {
    /// A value of the sheet with the wanted mark. Only plain numbers are changed: angles, words
    /// and everything else stay as they are.
    pub fn number<'t>(&self, text: &'t str) -> Cow<'t, str> {
        if self.decimal_mark == DecimalMark::Comma && is_plain_number(text) {
            Cow::Owned(text.replace('.', ","))
        } else {
            Cow::Borrowed(text)
        }
    }
}

/// Which parts of a record are wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Selection {
    /// Running numbers; none: all.
    pub parts: Option<Vec<u32>>,
    /// Only the part with that serial number.
    pub serial: Option<String>,
}

impl Selection {
    /// Whether a part of that number and serial number is wanted.
    pub fn takes(&self, number: u32, serial: &str) -> bool {
        let is_numbered = self
            .parts
            .as_ref()
            .is_none_or(|parts| parts.contains(&number));
        let is_named = self.serial.as_deref().is_none_or(|wanted| wanted == serial);
        is_numbered && is_named
    }
}
