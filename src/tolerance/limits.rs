//! Limits of size (or of angle): the one or two values that a characteristic must not pass.

use std::fmt;

use crate::quantity::{Angle, Exact, Length, Rounding};

use super::class::ToleranceClass;
use super::general::{GeneralClass, GeneralKind};
use super::moved::Move;
use super::surface::Surface;
use super::thread::ThreadKey;

/// How many moves limits can carry, such as one for a coating and one for metal left.
pub(super) const MOVES_MAX: usize = 2;

/// Lower and upper limit, at least one of them, lower not above upper; both inclusive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits<Q = Length> {
    pub(super) lower: Option<Q>,
    pub(super) upper: Option<Q>,
    pub(super) derivation: Derivation,
    pub(super) moves: [Option<Move>; MOVES_MAX],
}

/// Where limits come from; small enough to be copied with every verdict. The steps in words are
/// built from it only when somebody asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Derivation {
    /// Stated on the drawing: bare limits, or one limit.
    Stated,
    /// A nominal size and deviations stated on the drawing.
    Deviations {
        /// Nominal size.
        nominal: Length,
        /// Upper limit deviation.
        upper: Length,
        /// Lower limit deviation.
        lower: Length,
    },
    /// A nominal angle and deviations stated on the drawing.
    AngleDeviations {
        /// Nominal angle.
        nominal: Angle,
        /// Upper limit deviation.
        upper: Angle,
        /// Lower limit deviation.
        lower: Angle,
    },
    /// A tolerance class of ISO 286-1, or of a house table of the same form.
    Class {
        /// Nominal size.
        nominal: Length,
        /// The class.
        class: ToleranceClass,
        /// Whether any of the rows used is of a house table.
        house: bool,
    },
    /// A general tolerance of ISO 2768-1 on a linear size or a broken edge.
    General {
        /// Nominal size.
        nominal: Length,
        /// The general class.
        class: GeneralClass,
        /// Linear size or edge.
        kind: GeneralKind,
        /// Whether the row is of a house table.
        house: bool,
    },
    /// A general tolerance of ISO 2768-1 on an angle.
    GeneralAngle {
        /// Nominal angle.
        nominal: Angle,
        /// Length of the angle's shorter side, which chooses the row.
        shorter_side: Length,
        /// The general class.
        class: GeneralClass,
        /// Whether the row is of a house table.
        house: bool,
    },
    /// A thread's designation.
    Thread(ThreadKey),
}

impl Derivation {
    /// Whether a house table gave any part.
    pub fn is_house(self) -> bool {
        match self {
            Self::Stated
            | Self::Deviations { .. }
            | Self::AngleDeviations { .. }
            | Self::Thread(_) => false,
            Self::Class { house, .. }
            | Self::General { house, .. }
            | Self::GeneralAngle { house, .. } => house,
        }
    }

    /// Whether it is a general tolerance; exceeding one is not automatic rejection when the
    /// function is unimpaired (ISO 2768-1).
    pub fn is_general(self) -> bool {
        matches!(self, Self::General { .. } | Self::GeneralAngle { .. })
    }
}

/// Why a pair of limits is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitsError {
    /// Neither a lower nor an upper limit.
    Neither,
    /// The lower limit is above the upper one.
    Reversed,
    /// Moving the limits left no zone between them; by so much they overlap.
    EmptyZone {
        /// How far the lower limit lies above the upper one.
        overlap: Length,
    },
    /// The least thickness is negative or above the greatest.
    CoatingRange {
        /// The least thickness per surface, as given.
        thin: Length,
        /// The greatest thickness per surface, as given.
        thick: Length,
    },
    /// Metal to be left is negative.
    NegativeAllowance {
        /// The amount as given.
        found: Length,
    },
    /// Metal has no side on that surface, so limits cannot be moved towards it.
    SideUnknown {
        /// The surface.
        surface: Surface,
    },
    /// Moving the limits left no size above zero.
    NothingLeft {
        /// The larger limit that results.
        largest: Length,
    },
    /// More moves than limits carry.
    TooManyMoves,
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
            _ => Ok(Self::ordered(lower, upper, derivation)),
        }
    }

    /// Limits that are in order because of where they come from.
    pub(super) fn ordered(lower: Option<Q>, upper: Option<Q>, derivation: Derivation) -> Self {
        Self {
            lower,
            upper,
            derivation,
            moves: [None; MOVES_MAX],
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

    /// Upper minus lower limit, when there are both.
    pub fn tolerance(&self) -> Option<Q> {
        let (low, high) = (self.lower?, self.upper?);
        Some(Q::from_units(high.units() - low.units()))
    }

    /// The middle between both limits, when there are both; between two steps the even one.
    pub fn middle(&self) -> Option<Q> {
        let sum = i128::from(self.lower?.units()) + i128::from(self.upper?.units());
        let middle = Rounding::HalfEven.divide(sum, 2);
        i64::try_from(middle).ok().map(Q::from_units)
    }

    /// How far a value lies beyond a limit: above the upper one positive, below the lower one
    /// negative, zero inside.
    pub fn beyond(&self, value: Q) -> Q {
        let past = match (self.lower, self.upper) {
            (_, Some(upper)) if value > upper => value.units() - upper.units(),
            (Some(lower), _) if value < lower => value.units() - lower.units(),
            _ => 0,
        };
        Q::from_units(past)
    }

    /// Where they come from.
    pub fn derivation(&self) -> Derivation {
        self.derivation
    }

    /// What has moved them since, in order: metal left for a later operation, a coating, a
    /// measured mate.
    pub fn moves(&self) -> impl Iterator<Item = Move> {
        self.moves.into_iter().flatten()
    }

    /// Whether a value is inside; limits are inclusive.
    pub fn contains(&self, value: Q) -> bool {
        self.lower.is_none_or(|low| low <= value) && self.upper.is_none_or(|high| value <= high)
    }
}

impl LimitsError {
    /// The error's stable word for machines.
    pub fn code(self) -> &'static str {
        match self {
            Self::Neither => "no_limit",
            Self::Reversed => "limits_reversed",
            Self::EmptyZone { .. } => "empty_zone",
            Self::CoatingRange { .. } => "bad_coating",
            Self::NegativeAllowance { .. } => "bad_allowance",
            Self::SideUnknown { .. } => "metal_side_unknown",
            Self::NothingLeft { .. } => "nothing_left",
            Self::TooManyMoves => "too_many_moves",
        }
    }

    /// What to do about it, one sentence.
    pub fn hint(self) -> Option<&'static str> {
        Some(match self {
            Self::Neither => "Give at least one limit, such as 20.000..20.021 or 12.000...",
            Self::Reversed => "Write the smaller limit first.",
            Self::EmptyZone { .. } => {
                "Ask for a coating of narrower thickness, or for wider limits after coating."
            }
            Self::CoatingRange { .. } => "Give the thickness per surface as 0.006..0.010.",
            Self::NegativeAllowance { .. } => "Give the metal to leave as zero or more.",
            Self::SideUnknown { .. } => "Say where the metal is: outside, inside, depth or slot.",
            Self::NothingLeft { .. } => "Check the amount and its unit: millimetres.",
            Self::TooManyMoves => "Apply one allowance and one coating to the finished limits.",
        })
    }
}

impl fmt::Display for LimitsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Neither => f.write_str("There is neither a lower nor an upper limit."),
            Self::Reversed => f.write_str("The lower limit is above the upper limit."),
            Self::EmptyZone { overlap } => write!(
                f,
                "No zone is left: the moved lower limit lies {overlap} mm above the upper one."
            ),
            Self::CoatingRange { thin, thick } => write!(
                f,
                "A coating of {thin} to {thick} mm is none: the least thickness must be zero or \
                 more and not above the greatest."
            ),
            Self::NegativeAllowance { found } => {
                write!(f, "{found} mm cannot be left on: expected zero or more.")
            }
            Self::SideUnknown { surface } => write!(
                f,
                "Metal has no side on a {}, so its limits cannot be moved for metal or coating.",
                surface.word()
            ),
            Self::NothingLeft { largest } => write!(
                f,
                "Nothing is left: the larger limit would be moved to {largest} mm."
            ),
            Self::TooManyMoves => {
                f.write_str("These limits were already moved for an allowance and a coating.")
            }
        }
    }
}

impl std::error::Error for LimitsError {}
