//! What can be wrong with a question to this room.

use std::fmt;

/// Why a number cannot be computed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StatisticsError {
    /// A value outside the range where the function is defined or measured.
    OutOfRange {
        /// Which value.
        name: &'static str,
        /// What it was.
        found: f64,
        /// What is allowed, in words.
        allowed: &'static str,
    },
}

impl StatisticsError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::OutOfRange { .. } => "out_of_range",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::OutOfRange { .. } => Some("Give a value in the allowed range."),
        }
    }
}

impl fmt::Display for StatisticsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange {
                name,
                found,
                allowed,
            } => write!(f, "The {name} is {found}; it must be {allowed}."),
        }
    }
}

impl std::error::Error for StatisticsError {}
