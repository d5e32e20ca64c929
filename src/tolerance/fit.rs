//! A fit: what a hole and a shaft of one nominal size do together.

use crate::quantity::Length;

use super::resolve::SizeLimits;

/// The kind of a fit (ISO 286-1:2010, 3.3).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FitKind {
    /// There is always clearance (it may be zero).
    Clearance,
    /// There may be clearance or interference.
    Transition,
    /// There is always interference (it may be zero).
    Interference,
}

impl FitKind {
    /// `clearance`, `transition` or `interference`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Clearance => "clearance",
            Self::Transition => "transition",
            Self::Interference => "interference",
        }
    }
}

/// Hole and shaft of a fit with their limits and the clearances that result. A negative
/// clearance is an interference.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FitLimits {
    hole: SizeLimits,
    shaft: SizeLimits,
    max_clearance: Length,
    min_clearance: Length,
}

impl FitLimits {
    /// The fit of a hole and a shaft; `None` when a limit is missing on either.
    pub fn new(hole: SizeLimits, shaft: SizeLimits) -> Option<Self> {
        let max_clearance = hole.limits.upper()? - shaft.limits.lower()?;
        let min_clearance = hole.limits.lower()? - shaft.limits.upper()?;
        Some(Self {
            hole,
            shaft,
            max_clearance,
            min_clearance,
        })
    }

    /// The hole.
    pub fn hole(&self) -> &SizeLimits {
        &self.hole
    }

    /// The shaft.
    pub fn shaft(&self) -> &SizeLimits {
        &self.shaft
    }

    /// Largest hole minus smallest shaft.
    ///
    /// Formula: c_max = H_upper - S_lower
    /// Symbols: H_upper upper limit of the hole, S_lower lower limit of the shaft (nm, exact).
    /// Valid:   any two-sided limits.
    /// Rounding: none.
    /// Source:  definition, ISO 286-1:2010, 3.3 (from memory).
    /// Checked: tests/tables/iso286_fits.csv.
    /// Errors:  none.
    pub fn max_clearance(&self) -> Length {
        self.max_clearance
    }

    /// Smallest hole minus largest shaft.
    ///
    /// Formula: c_min = H_lower - S_upper
    /// Symbols: H_lower lower limit of the hole, S_upper upper limit of the shaft (nm, exact).
    /// Valid:   any two-sided limits.
    /// Rounding: none.
    /// Source:  definition, ISO 286-1:2010, 3.3 (from memory).
    /// Checked: tests/tables/iso286_fits.csv.
    /// Errors:  none.
    pub fn min_clearance(&self) -> Length {
        self.min_clearance
    }

    /// A least clearance of zero or more is a clearance fit; a greatest clearance of zero or
    /// less an interference fit; all others are transition fits.
    pub fn kind(&self) -> FitKind {
        if self.min_clearance >= Length::ZERO {
            FitKind::Clearance
        } else if self.max_clearance <= Length::ZERO {
            FitKind::Interference
        } else {
            FitKind::Transition
        }
    }
}
