//! What can be wrong with a question to this room.

use std::fmt;

/// Why a number cannot be computed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StatisticsError {
    /// All values are the same, so nothing can be said about their spread.
    AllEqual,
    /// A value that is infinite or no number.
    NotFinite {
        /// Which value, counted from 0.
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
    /// Fewer values than the computation needs.
    TooFew {
        /// How many there are.
        found: usize,
        /// How many are needed.
        needed: usize,
        /// What they are needed for, in words.
        for_what: &'static str,
    },
    /// A subgroup with another number of values than the first one.
    UnevenSubgroup {
        /// Which subgroup, counted from 0.
        index: usize,
        /// How many values it has.
        found: usize,
        /// How many the first one has.
        needed: usize,
    },
}

impl StatisticsError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::AllEqual => "all_equal",
            Self::NotFinite { .. } => "not_finite",
            Self::OutOfRange { .. } => "out_of_range",
            Self::TooFew { .. } => "too_few",
            Self::UnevenSubgroup { .. } => "uneven_subgroup",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::AllEqual => Some("Read with more digits, or take more parts."),
            Self::NotFinite { .. } => Some("Remove that value or read it again."),
            Self::OutOfRange { .. } => Some("Give a value in the allowed range."),
            Self::TooFew { .. } => Some("Measure more."),
            Self::UnevenSubgroup { .. } => Some("Complete the missing readings."),
        }
    }
}

impl fmt::Display for StatisticsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::AllEqual => write!(f, "All values are the same: they show no spread."),
            Self::NotFinite { index } => {
                write!(f, "Value {} is not a number.", index.saturating_add(1))
            }
            Self::OutOfRange {
                name,
                found,
                allowed,
            } => write!(f, "The {name} is {found}; it must be {allowed}."),
            Self::TooFew {
                found,
                needed,
                for_what,
            } => write!(f, "There are {found} values; {for_what} needs {needed}."),
            Self::UnevenSubgroup {
                index,
                found,
                needed,
            } => write!(
                f,
                "Subgroup {} has {found} values, but the first has {needed}.",
                index.saturating_add(1)
            ),
        }
    }
}

impl std::error::Error for StatisticsError {}
