//! What can be wrong with a question to this room.

use std::fmt;

/// Why a number cannot be computed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StatisticsError {
    /// All values are the same, so nothing can be said about their spread.
    AllEqual,
    /// A value below zero where zero is the natural end.
    BelowZero {
        /// Which value, counted from 0.
        index: usize,
    },
    /// The lower limit does not lie below the upper one.
    LimitsReversed {
        /// The lower limit.
        lower: f64,
        /// The upper limit.
        upper: f64,
    },
    /// Neither a lower nor an upper limit.
    NoLimit,
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
    /// Two lists that should be equally long and are not, or a study with readings missing.
    Ragged {
        /// How many values there are.
        found: usize,
        /// How many there should be.
        needed: usize,
    },
    /// Fewer values, groups or parts than the computation needs.
    TooFew {
        /// What is counted, in words, one of it: `value`, `group`.
        of: &'static str,
        /// How many there are.
        found: usize,
        /// How many are needed.
        needed: usize,
        /// What they are needed for, in words, one thing: `a mean`.
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
            Self::BelowZero { .. } => "below_zero",
            Self::LimitsReversed { .. } => "limits_reversed",
            Self::NoLimit => "no_limit",
            Self::NotFinite { .. } => "not_finite",
            Self::OutOfRange { .. } => "out_of_range",
            Self::Ragged { .. } => "ragged",
            Self::TooFew { .. } => "too_few",
            Self::UnevenSubgroup { .. } => "uneven_subgroup",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::AllEqual => Some("Read with more digits, or take more parts."),
            Self::BelowZero { .. } => {
                Some("Check the sign, or do not treat it as bounded by zero.")
            }
            Self::LimitsReversed { .. } => Some("Give the smaller limit as the lower one."),
            Self::NoLimit => Some("Give a lower limit, an upper limit or both."),
            Self::NotFinite { .. } => Some("Remove that value or read it again."),
            Self::OutOfRange { .. } => Some("Give a value in the allowed range."),
            Self::Ragged { .. } | Self::UnevenSubgroup { .. } => {
                Some("Complete the missing readings.")
            }
            Self::TooFew { .. } => Some("Measure more."),
        }
    }
}

impl fmt::Display for StatisticsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::AllEqual => write!(f, "All values are the same: they show no spread."),
            Self::BelowZero { index } => {
                let number = index.saturating_add(1);
                write!(f, "Value {number} is below zero, where it cannot be.")
            }
            Self::LimitsReversed { lower, upper } => write!(
                f,
                "The lower limit {lower} does not lie below the upper limit {upper}."
            ),
            Self::NoLimit => write!(f, "There is no limit to compare with."),
            Self::NotFinite { index } => {
                write!(f, "Value {} is not a number.", index.saturating_add(1))
            }
            Self::OutOfRange {
                name,
                found,
                allowed,
            } => write!(f, "The {name} is {found}; it must be {allowed}."),
            Self::Ragged { found, needed } => {
                write!(f, "{} where {needed} belong.", there_are(*found, "value"))
            }
            Self::TooFew {
                of,
                found,
                needed,
                for_what,
            } => write!(f, "{}; {for_what} needs {needed}.", there_are(*found, of)),
            Self::UnevenSubgroup {
                index,
                found,
                needed,
            } => write!(
                f,
                "Subgroup {} has {}, but the first has {needed}.",
                index.saturating_add(1),
                counted(*found, "value")
            ),
        }
    }
}

/// `There is 1 value`, `There are 3 values`.
fn there_are(count: usize, of: &str) -> String {
    let verb = if count == 1 { "is" } else { "are" };
    format!("There {verb} {}", counted(count, of))
}

/// `1 value`, `3 values`.
fn counted(count: usize, of: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {of}{ending}")
}

impl std::error::Error for StatisticsError {}
