//! One reading of a gauge: what it showed, exactly, and the bytes it came from.

use std::fmt;
use std::sync::Arc;

use crate::quantity::{Angle, Exact, Length, LengthUnit};

/// The name of a gauge in the register (`mic-25`).
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct GaugeId(Arc<str>);

impl GaugeId {
    /// The id of that name.
    pub fn new(name: &str) -> Self {
        Self(Arc::from(name))
    }

    /// The name.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for GaugeId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

/// What was seen, not what it means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Observed {
    /// A length, or a deviation if the gauge reads deviations.
    Length(Length),
    /// An angle.
    Angle(Angle),
    /// The outcome of trying a limit gauge or a mating part.
    Check {
        /// Which end was tried.
        end: CheckEnd,
        /// What it did.
        outcome: CheckOutcome,
    },
}

/// The end of a limit gauge, or the mating part, that was tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CheckEnd {
    /// The GO end or gauge.
    Go,
    /// The NO-GO end or gauge.
    NoGo,
    /// The mating part (its feel is worth recording but proves nothing).
    Mate,
}

/// What a limit gauge did when it was tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CheckOutcome {
    /// It goes the whole way.
    Goes,
    /// It does not enter.
    DoesNot,
    /// It enters by two turns or fewer, counted while unscrewing (ISO 1502).
    TurnsTwoOrFewer,
    /// It enters by more than two turns.
    TurnsMore,
}

impl CheckEnd {
    /// Every end with its word in records.
    pub const WORDS: [(Self, &'static str); 3] = [
        (Self::Go, "go"),
        (Self::NoGo, "no_go"),
        (Self::Mate, "mate"),
    ];

    /// The end's word.
    pub fn word(self) -> &'static str {
        let mut all = Self::WORDS.iter();
        all.find(|(end, _)| *end == self)
            .map_or("go", |(_, word)| word)
    }

    /// The end of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        let mut all = Self::WORDS.iter();
        all.find(|(_, known)| *known == word).map(|(end, _)| *end)
    }
}

impl CheckOutcome {
    /// Every outcome with its word in records.
    pub const WORDS: [(Self, &'static str); 4] = [
        (Self::Goes, "goes"),
        (Self::DoesNot, "does_not"),
        (Self::TurnsTwoOrFewer, "turns_two_or_fewer"),
        (Self::TurnsMore, "turns_more"),
    ];

    /// The outcome's word.
    pub fn word(self) -> &'static str {
        let mut all = Self::WORDS.iter();
        all.find(|(outcome, _)| *outcome == self)
            .map_or("goes", |(_, word)| word)
    }

    /// The outcome of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        let mut all = Self::WORDS.iter();
        all.find(|(_, known)| *known == word)
            .map(|(outcome, _)| *outcome)
    }

    /// The outcome as people say it.
    pub fn said(self) -> &'static str {
        match self {
            Self::Goes => "goes",
            Self::DoesNot => "does not go",
            Self::TurnsTwoOrFewer => "two turns or fewer",
            Self::TurnsMore => "more than two turns",
        }
    }

    /// Its place in [`CheckOutcome::WORDS`]: the number that stands for it where a session keeps
    /// values.
    pub fn number(self) -> i64 {
        match self {
            Self::Goes => 0,
            Self::DoesNot => 1,
            Self::TurnsTwoOrFewer => 2,
            Self::TurnsMore => 3,
        }
    }

    /// The outcome of that number.
    pub fn from_number(number: i64) -> Option<Self> {
        let mut all = Self::WORDS.iter();
        all.find(|(outcome, _)| outcome.number() == number)
            .map(|(outcome, _)| *outcome)
    }
}

impl Observed {
    /// Which end was tried, if it is a check.
    pub fn end(self) -> Option<CheckEnd> {
        match self {
            Self::Check { end, .. } => Some(end),
            Self::Length(_) | Self::Angle(_) => None,
        }
    }

    /// The value in smallest steps (nm, milliarcseconds), or an outcome's number.
    pub fn value(self) -> i64 {
        match self {
            Self::Length(length) => length.units(),
            Self::Angle(angle) => angle.units(),
            Self::Check { outcome, .. } => outcome.number(),
        }
    }
}

/// How a length was shown: the unit, the decimals, and a sign that a zero may have carried.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Shown {
    /// Unit on the gauge's display or wire.
    pub unit: LengthUnit,
    /// Digits after the decimal mark, trailing zeros included.
    pub decimals: u8,
    /// A minus was sent (kept because `-0.000` has no negative value).
    pub minus: bool,
}

/// Where a reading came from; typed and sent readings look different everywhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Origin {
    /// Sent by a gauge over a line.
    Sent,
    /// Typed by a person.
    Typed,
    /// Made by the simulated gauge.
    Simulated,
    /// Read from a file: it was measured elsewhere.
    Imported,
}

impl Origin {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Sent, Self::Typed, Self::Simulated, Self::Imported];
}

/// The gauge's own word beside a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum GaugeStatus {
    /// Nothing to say.
    Ok,
    /// The battery is low; the value is still valid.
    LowBattery,
    /// Above the gauge's own upper limit; the value is valid.
    LimitHigh,
    /// Below the gauge's own lower limit; the value is valid.
    LimitLow,
    /// Beyond the range upwards; no value.
    OverRange,
    /// Beyond the range downwards; no value.
    UnderRange,
    /// The gauge reports a fault; no value.
    GaugeError,
    /// Nothing measured or connected; no value.
    NoReading,
}

impl GaugeStatus {
    /// Every status with its word in adapters, files and JSON.
    pub const WORDS: [(Self, &'static str); 8] = [
        (Self::Ok, "ok"),
        (Self::LowBattery, "low_battery"),
        (Self::LimitHigh, "limit_high"),
        (Self::LimitLow, "limit_low"),
        (Self::OverRange, "over_range"),
        (Self::UnderRange, "under_range"),
        (Self::GaugeError, "gauge_error"),
        (Self::NoReading, "no_reading"),
    ];

    /// The status's word.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(status, _)| *status == self)
            .map_or("ok", |(_, word)| word)
    }

    /// The status of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::WORDS
            .iter()
            .find(|(_, known)| *known == word)
            .map(|(status, _)| *status)
    }

    /// Whether a value may come with it.
    pub fn carries_value(self) -> bool {
        matches!(
            self,
            Self::Ok | Self::LowBattery | Self::LimitHigh | Self::LimitLow
        )
    }
}

/// One reading, immutable: it is recorded before anything is computed from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reading {
    /// Which gauge.
    pub gauge: GaugeId,
    /// What was seen.
    pub observed: Observed,
    /// How it was shown.
    pub shown: Shown,
    /// The gauge's own word beside it.
    pub status: GaugeStatus,
    /// Where it came from.
    pub origin: Origin,
    /// The bytes of the frame, or the characters typed.
    pub raw: Vec<u8>,
    /// The value was rounded to 1 nm from a count that is no whole number of nanometres.
    pub rounded: bool,
}
