//! Limits of size (or of angle): the one or two values that a characteristic must not pass.

use std::fmt;

use crate::quantity::{Exact, Length};

/// Lower and upper limit, at least one of them, lower not above upper; both inclusive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits<Q = Length> {
    lower: Option<Q>,
    upper: Option<Q>,
    derivation: Derivation,
}

/// Where limits come from; small enough to be copied with every verdict. The steps in words are
/// built from it only when somebody asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Derivation {
    /// Stated on the drawing: bare limits or deviations.
    Stated,
}

/// Why a pair of limits is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitsError {
    /// Neither a lower nor an upper limit.
    Neither,
    /// The lower limit is above the upper one.
    Reversed,
}

impl<Q: Exact> Limits<Q> {
    /// Limits with their derivation; refused when both are missing or reversed.
    pub fn new(
        lower: Option<Q>,
        upper: Option<Q>,
        derivation: Derivation,
    ) -> Result<Self, LimitsError> {
        match (lower, upper) {
            (None, None) => Err(LimitsError::Neither),
            (Some(low), Some(high)) if low > high => Err(LimitsError::Reversed),
            _ => Ok(Self {
                lower,
                upper,
                derivation,
            }),
        }
    }

    /// The lower limit, if there is one.
    pub fn lower(&self) -> Option<Q> {
        self.lower
    }

    /// The upper limit, if there is one.
    pub fn upper(&self) -> Option<Q> {
        self.upper
    }

    /// Where they come from.
    pub fn derivation(&self) -> Derivation {
        self.derivation
    }

    /// Whether a value is inside; limits are inclusive.
    pub fn contains(&self, value: Q) -> bool {
        self.lower.is_none_or(|low| low <= value) && self.upper.is_none_or(|high| value <= high)
    }
}

impl fmt::Display for LimitsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Neither => "There is neither a lower nor an upper limit.",
            Self::Reversed => "The lower limit is above the upper limit.",
        })
    }
}

impl std::error::Error for LimitsError {}
