//! What cannot be said of a pair, and why.

use std::fmt;

use crate::quantity::{Celsius, Length};

/// Why there is no answer about a pair.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PairError {
    /// A working temperature that is not taken.
    Temperature {
        /// The temperature.
        found: Celsius,
    },
    /// The guard bands leave nothing of the range.
    NothingLeft {
        /// Width of the range of clearances.
        width: Length,
        /// Guard band at each end.
        guard: Length,
    },
    /// The least clearance is more than the largest.
    Reversed {
        /// Least clearance.
        least: Length,
        /// Largest clearance.
        most: Length,
    },
    /// The lower limit of a length in a row is more than its upper one.
    LimitsReversed {
        /// Lower limit.
        lower: Length,
        /// Upper limit.
        upper: Length,
    },
    /// A row of no length, or of too many.
    StackLength {
        /// How many.
        found: usize,
    },
    /// A sum beyond the lengths that are taken.
    TooLong,
}

impl PairError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Temperature { .. } => "out_of_range",
            Self::NothingLeft { .. } => "nothing_left",
            Self::Reversed { .. } => "clearance_reversed",
            Self::LimitsReversed { .. } => "limits_reversed",
            Self::StackLength { .. } => "out_of_range",
            Self::TooLong => "too_long",
        }
    }

    /// What to do next, where the sentence does not say it.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::Temperature { .. } | Self::NothingLeft { .. } | Self::StackLength { .. } => None,
            Self::Reversed { .. } => Some("Give the smaller clearance first."),
            Self::LimitsReversed { .. } => Some("Give the smaller limit first."),
            Self::TooLong => Some("Check the lengths and their unit: together at most 10 m."),
        }
    }
}

impl fmt::Display for PairError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Temperature { found } => write!(
                f,
                "The working temperature is {found} °C; it must be from -200 to 400 °C."
            ),
            Self::NothingLeft { width, guard } => write!(
                f,
                "The clearance may vary by {} mm, and a guard band of {} mm at each end leaves \
                 nothing of it: measure the first half more surely, or choose a wider fit.",
                width.to_mm(),
                guard.to_mm()
            ),
            Self::Reversed { least, most } => write!(
                f,
                "The least clearance, {} mm, is more than the largest, {} mm.",
                least.to_mm(),
                most.to_mm()
            ),
            Self::LimitsReversed { lower, upper } => write!(
                f,
                "The lower limit, {} mm, is more than the upper one, {} mm.",
                lower.to_mm(),
                upper.to_mm()
            ),
            Self::StackLength { found } => write!(
                f,
                "A row of {found} lengths cannot be added up; it must be 1 to 100."
            ),
            Self::TooLong => write!(f, "The lengths together are longer than any that is taken."),
        }
    }
}

impl std::error::Error for PairError {}
