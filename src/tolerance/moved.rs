//! Limits of earlier states of a part: before a coating, before a later operation takes metal.
//!
//! This file refuses to guess where the metal is; the surface says it.

use crate::quantity::Length;

use super::limits::{Derivation, Limits, LimitsError};
use super::surface::{MetalSide, Surface};
use super::thread::{ThreadElement, ThreadKey};

/// One reason why limits stand elsewhere than the drawing says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Move {
    /// The limits are those before a coating.
    Coating {
        /// Where the metal is.
        surface: Surface,
        /// Least thickness per surface.
        thin: Length,
        /// Greatest thickness per surface.
        thick: Length,
    },
    /// The limits of a thread's pitch diameter are those before a coating.
    FlankCoating {
        /// Where the metal is.
        surface: Surface,
        /// Least thickness per surface.
        thin: Length,
        /// Greatest thickness per surface.
        thick: Length,
    },
    /// The limits are those before a later operation that takes metal.
    Allowance {
        /// Where the metal is.
        surface: Surface,
        /// How much is left on the size (on a diameter: on the diameter).
        amount: Length,
    },
    /// The limits are those that suit a measured mate.
    ToSuit {
        /// By how much the lower limit moved.
        lower_by: Length,
        /// By how much the upper limit moved.
        upper_by: Length,
    },
}

impl Move {
    /// By how much the lower and the upper limit move; `None` where metal has no side.
    pub fn shift(self) -> Option<(Length, Length)> {
        match self {
            Self::Coating {
                surface,
                thin,
                thick,
            } => match surface {
                Surface::Outside => Some((thin * -2, thick * -2)),
                Surface::Inside | Surface::Slot => Some((thick * 2, thin * 2)),
                Surface::Depth | Surface::Step => Some((thick - thin, thin - thick)),
                Surface::Length => None,
            },
            Self::FlankCoating {
                surface,
                thin,
                thick,
            } => match surface {
                Surface::Outside => Some((thin * -4, thick * -4)),
                Surface::Inside => Some((thick * 4, thin * 4)),
                _ => None,
            },
            Self::Allowance { surface, amount } => match surface.metal_side() {
                MetalSide::Larger => Some((amount, amount)),
                MetalSide::Smaller => Some((-amount, -amount)),
                MetalSide::Neither => None,
            },
            Self::ToSuit { lower_by, upper_by } => Some((lower_by, upper_by)),
        }
    }

    fn surface(self) -> Surface {
        match self {
            Self::Coating { surface, .. }
            | Self::FlankCoating { surface, .. }
            | Self::Allowance { surface, .. } => surface,
            Self::ToSuit { .. } => Surface::Length,
        }
    }
}

impl Limits<Length> {
    /// The limits that a part must keep before it is coated, so that it keeps these afterwards.
    ///
    /// Formula: outside: upper - 2 thick, lower - 2 thin; inside and slot: lower + 2 thick,
    ///          upper + 2 thin; depth and step: lower + (thick - thin), upper - (thick - thin);
    ///          a thread's pitch diameter: 4 in place of 2, since a flank moves by t at 30 degrees
    ///          to the axis and so the pitch diameter by 2 t / sin 30.
    /// Symbols: lower, upper limits after coating; thin, thick least and greatest thickness of
    ///          the coat on one surface (nm, exact).
    /// Valid:   a coat on both surfaces of the size, thickness anywhere from thin to thick.
    /// Rounding: none.
    /// Source:  geometry: the condition that every thickness keeps the limits after coating.
    /// Checked: tests/logic/tolerance_limits.rs, by hand.
    /// Errors:  `CoatingRange`, `EmptyZone` (the thickness varies more than the tolerance
    ///          allows), `SideUnknown` (a length), `NothingLeft`, `TooManyMoves`.
    ///
    /// Thickness is per surface. A size between two coated surfaces changes by both: an outside
    /// size grows by 2t, a bore or slot shrinks by 2t, with t anywhere from `thin` to `thick`.
    /// So the maximum-material limit moves by 2 `thick` and the least-material limit by
    /// 2 `thin`, towards less metal. A depth or a step lies between two surfaces that face the
    /// same way: both rise by the coat, and only the difference of the two thicknesses can
    /// change it, so both limits close in by `thick - thin`. A length between faces is refused,
    /// since whether the coat makes it longer (over the faces) or shorter (between them) is not
    /// known: say outside or slot.
    pub fn before_coating(
        &self,
        surface: Surface,
        thin: Length,
        thick: Length,
    ) -> Result<Self, LimitsError> {
        if thin.is_negative() || thick < thin {
            return Err(LimitsError::CoatingRange { thin, thick });
        }
        self.moved(match self.derivation {
            Derivation::Thread(ThreadKey {
                element: ThreadElement::Pitch,
                ..
            }) => Move::FlankCoating {
                surface,
                thin,
                thick,
            },
            _ => Move::Coating {
                surface,
                thin,
                thick,
            },
        })
    }

    /// The limits before a later operation takes `amount` off the size (off the diameter, where
    /// it is one): both move towards more metal. Refused on a length or step, where metal has
    /// no side.
    ///
    /// Formula: outside: both limits + amount; inside, slot, depth: both limits - amount.
    /// Symbols: amount metal left on the size (nm, exact), on the diameter where it is one.
    /// Valid:   amount >= 0 and a surface whose metal has a side.
    /// Rounding: none.
    /// Source:  geometry.
    /// Checked: tests/logic/tolerance_limits.rs, by hand.
    /// Errors:  `NegativeAllowance`, `SideUnknown`, `NothingLeft`, `TooManyMoves`.
    pub fn leaving(&self, surface: Surface, amount: Length) -> Result<Self, LimitsError> {
        if amount.is_negative() {
            return Err(LimitsError::NegativeAllowance { found: amount });
        }
        self.moved(Move::Allowance { surface, amount })
    }

    /// Other limits in place of these, because the part is made to suit its measured mate; these
    /// stay the beginning of the why. A limit that is missing stays so.
    ///
    /// # Errors
    /// `EmptyZone`, `NothingLeft`, `TooManyMoves`.
    pub fn to_suit(&self, lower: Length, upper: Length) -> Result<Self, LimitsError> {
        let by = |limit: Option<Length>, to: Length| limit.map_or(Length::ZERO, |limit| to - limit);
        self.moved(Move::ToSuit {
            lower_by: by(self.lower, lower),
            upper_by: by(self.upper, upper),
        })
    }

    /// The limits moved, with the move kept for the why.
    fn moved(&self, step: Move) -> Result<Self, LimitsError> {
        let (lower_by, upper_by) = step.shift().ok_or(LimitsError::SideUnknown {
            surface: step.surface(),
        })?;
        let mut moved = *self;
        moved.lower = self.lower.map(|limit| limit + lower_by);
        moved.upper = self.upper.map(|limit| limit + upper_by);
        if let (Some(low), Some(high)) = (moved.lower, moved.upper)
            && low > high
        {
            return Err(LimitsError::EmptyZone {
                overlap: low - high,
            });
        }
        let largest = |limits: &Self| limits.upper.or(limits.lower);
        if let (Some(before), Some(after)) = (largest(self), largest(&moved))
            && before > Length::ZERO
            && after <= Length::ZERO
        {
            return Err(LimitsError::NothingLeft { largest: after });
        }
        let free = moved.moves.iter_mut().find(|slot| slot.is_none());
        *free.ok_or(LimitsError::TooManyMoves)? = Some(step);
        Ok(moved)
    }
}
