//! What can be wrong with a question to this room.

use std::fmt;

/// Why a number cannot be computed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StatisticsError {
    /// All values are equal, so that there is no spread to measure by.
    AllEqual {
        /// What needs a spread.
        for_what: &'static str,
    },
    /// A value that is no number, or an infinite one.
    NotFinite {
        /// Where it stands in the list, counted from 0.
        index: usize,
    },
    /// A value outside the range where the function is defined or measured.
    OutOfRange {
        /// Which value.
        name: &'static str,
        /// What it was.
        found: f64,
        /// What is allowed, in words.
        allowed: &'static str,
    },
    /// A subgroup with another number of values than the first one.
    Ragged {
        /// Which subgroup, counted from 0.
        index: usize,
        /// How many values it has.
        found: usize,
        /// How many the first one has.
        needed: usize,
    },
    /// Too few values.
    TooFew {
        /// How many there are.
        found: usize,
        /// How many are needed.
        needed: usize,
        /// What needs them.
        for_what: &'static str,
    },
}

impl StatisticsError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::AllEqual { .. } => "all_equal",
            Self::NotFinite { .. } => "not_finite",
            Self::OutOfRange { .. } => "out_of_range",
            Self::Ragged { .. } => "ragged",
            Self::TooFew { .. } => "too_few",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::AllEqual { .. } => Some("Use a finer gauge or resolution, or more values."),
            Self::NotFinite { .. } => Some("Leave this value out, or take it again."),
            Self::OutOfRange { .. } => Some("Give a value in the allowed range."),
            Self::Ragged { .. } => Some("Give every subgroup the same number of values."),
            Self::TooFew { .. } => Some("Take more values."),
        }
    }
}

impl fmt::Display for StatisticsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::AllEqual { for_what } => {
                write!(
                    f,
                    "All values are equal: there is no spread for {for_what}."
                )
            }
            Self::NotFinite { index } => {
                let place = index.saturating_add(1);
                write!(f, "Value {place} of the list is no finite number.")
            }
            Self::OutOfRange {
                name,
                found,
                allowed,
            } => write!(f, "The {name} is {found}; it must be {allowed}."),
            Self::Ragged {
                index,
                found,
                needed,
            } => {
                let place = index.saturating_add(1);
                write!(
                    f,
                    "Subgroup {place} has {found} values, but the first has {needed}."
                )
            }
            Self::TooFew {
                found,
                needed,
                for_what,
            } => write!(
                f,
                "There are {found} values; {for_what} needs at least {needed}."
            ),
        }
    }
}

impl std::error::Error for StatisticsError {}
