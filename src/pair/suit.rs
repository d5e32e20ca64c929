//! What the other half must become, so that it suits the half that is measured.

use super::meeting::COVERAGE;
use super::pair_error::PairError;
use crate::quantity::Length;

/// Which half is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measured {
    /// The hole is; the shaft is made to suit it.
    Hole,
    /// The shaft is; the hole is made to suit it.
    Shaft,
}

/// A size between two, both included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Between {
    /// Lower limit.
    pub lower: Length,
    /// Upper limit.
    pub upper: Length,
}

/// Limits for the half that is still to be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MakeToSuit {
    /// With these it keeps the intended clearance with the measured half.
    pub whole: Between,
    /// The same less the guard band at each end.
    pub guarded: Between,
    /// What of `guarded` lies in its own class, too: then it also stays interchangeable.
    pub in_class: Result<Between, OutOfClass>,
}

/// Why no size keeps the clearance and lies in the class of the half, too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OutOfClass {
    /// Every size of the class is too large for the measured half.
    ClassTooLarge {
        /// The class begins here.
        class_lower: Length,
        /// The measured half takes at most this.
        upper: Length,
    },
    /// Every size of the class is too small for it.
    ClassTooSmall {
        /// The class ends here.
        class_upper: Length,
        /// The measured half needs at least this.
        lower: Length,
    },
}

impl OutOfClass {
    /// Why, in a sentence.
    pub fn sentence(&self) -> String {
        match self {
            Self::ClassTooLarge { class_lower, upper } => format!(
                "The class begins at {} mm, and the measured half takes {} mm at most: it can be \
                 made to suit, but not interchangeable.",
                class_lower.to_mm(),
                upper.to_mm()
            ),
            Self::ClassTooSmall { class_upper, lower } => format!(
                "The class ends at {} mm, and the measured half needs {} mm at least: it can be \
                 made to suit, but not interchangeable.",
                class_upper.to_mm(),
                lower.to_mm()
            ),
        }
    }
}

/// The guard band at each end of what the other half may become, for a standard uncertainty (nm).
///
/// Formula: g = k u
/// Symbols: u standard uncertainty of the measured half, or of both (nm); k = 2.
/// Valid:   u of zero and more; less counts as zero.
/// Rounding: up to whole nanometres.
/// Source:  ISO 14253-1; the factor of 2 is that of the older edition's U (JCGM 100).
/// Checked: tests/logic/pair_meeting.rs.
/// Errors:  none.
pub fn guard_of(standard_nm: f64) -> Length {
    let guard = (COVERAGE * standard_nm.max(0.0)).ceil();
    #[allow(clippy::cast_possible_truncation)] // beyond the largest length it stays the largest
    Length::from_nm(guard.min(Length::MAX.as_nm_f64()) as i64)
}

/// Limits for the other half, so that the clearance stays in its range.
///
/// Formula: shaft from B - Cmax + g to B - Cmin - g; hole from S + Cmin + g to S + Cmax - g
/// Symbols: B measured hole, S measured shaft, Cmin, Cmax range of the clearance, g guard band (all
///          nm, exact).
/// Valid:   any sizes; Cmin not above Cmax.
/// Rounding: none: sums.
/// Source:  definition of clearance, ISO 286-1; guard bands ISO 14253-1.
/// Checked: tests/tables/pair_examples.json.
/// Errors:  `Reversed`; `NothingLeft` where two guard bands are wider than the range.
pub fn make_to_suit(
    (measured, size): (Measured, Length),
    (least, most): (Length, Length),
    guard: Length,
    class: Between,
) -> Result<MakeToSuit, PairError> {
    if least > most {
        return Err(PairError::Reversed { least, most });
    }
    let whole = match measured {
        Measured::Hole => Between {
            lower: size - most,
            upper: size - least,
        },
        Measured::Shaft => Between {
            lower: size + least,
            upper: size + most,
        },
    };
    let guarded = Between {
        lower: whole.lower + guard,
        upper: whole.upper - guard,
    };
    if guarded.lower > guarded.upper {
        return Err(PairError::NothingLeft {
            width: most - least,
            guard,
        });
    }
    let in_class = if class.lower > guarded.upper {
        Err(OutOfClass::ClassTooLarge {
            class_lower: class.lower,
            upper: guarded.upper,
        })
    } else if class.upper < guarded.lower {
        Err(OutOfClass::ClassTooSmall {
            class_upper: class.upper,
            lower: guarded.lower,
        })
    } else {
        Ok(Between {
            lower: guarded.lower.max(class.lower),
            upper: guarded.upper.min(class.upper),
        })
    };
    Ok(MakeToSuit {
        whole,
        guarded,
        in_class,
    })
}
