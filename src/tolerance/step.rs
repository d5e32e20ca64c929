//! The steps that gave a limit, each with its standard, table, row, rule and arithmetic.
//!
//! A step holds values; its words are made only when it is shown (`wording.rs`).

use crate::quantity::{Angle, Length};

use super::class::{Grade, Letter, ToleranceClass};
use super::general::{GeneralClass, GeneralKind};
use super::moved::Move;
use super::rows::{DeviationSymbol, SizeRange};
use super::thread::ThreadStep;

/// Which of two limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LimitSide {
    /// The lower limit.
    Lower,
    /// The upper limit.
    Upper,
}

impl LimitSide {
    /// `lower` or `upper`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Lower => "lower",
            Self::Upper => "upper",
        }
    }
}

/// A rule of ISO 286-1 that is not a plain row of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SpecialRule {
    /// Delta is added to the mirrored shaft deviation: K, M, N to IT8 and P to ZC to IT7.
    Delta,
    /// M6 over 250 to 315 mm: ES is -9 µm, where the rule of delta would give -11 µm.
    HoleM6,
    /// N coarser than IT8, over 3 to 500 mm: ES is 0.
    HoleNCoarse,
    /// k with grades finer than IT4 or coarser than IT7: ei is 0.
    ShaftKOtherGrades,
}

/// One step on the way to a limit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// The nominal size is written in inches.
    FromInch {
        /// The nominal size.
        nominal: Length,
    },
    /// A limit that stands on the drawing.
    StatedLimit {
        /// Which limit.
        side: LimitSide,
        /// Its text with the unit mark of angles.
        limit: Amount,
    },
    /// Deviations that stand on the drawing.
    StatedDeviations {
        /// Upper limit deviation.
        upper: Amount,
        /// Lower limit deviation.
        lower: Amount,
    },
    /// The tolerance of a grade.
    Grade {
        /// The grade.
        grade: Grade,
        /// The row.
        range: SizeRange,
        /// The tolerance.
        tolerance: Length,
        /// Whether a house table has the row.
        house: bool,
        /// Where the row's value comes from.
        source: String,
    },
    /// The fundamental deviation of a letter.
    Deviation {
        /// The letter.
        letter: Letter,
        /// Which deviation the row gives.
        symbol: DeviationSymbol,
        /// The tabled value, without delta.
        value: Length,
        /// The row.
        range: SizeRange,
        /// Finest grade of the row.
        finest: Grade,
        /// Coarsest grade of the row.
        coarsest: Grade,
        /// Whether the row asks for delta.
        add_delta: bool,
        /// Whether a house table has the row.
        house: bool,
        /// Where the row's value comes from.
        source: String,
    },
    /// Delta of a grade.
    Delta {
        /// The grade.
        grade: Grade,
        /// The row.
        range: SizeRange,
        /// Delta.
        delta: Length,
    },
    /// The deviation with delta added.
    WithDelta {
        /// The tabled deviation.
        value: Length,
        /// Delta.
        delta: Length,
    },
    /// js and JS: half the tolerance on each side.
    Symmetric {
        /// The class.
        class: ToleranceClass,
        /// Half the tolerance.
        half: Length,
    },
    /// A rule beyond the plain row.
    Rule(SpecialRule),
    /// The other deviation, from the tabled one and the tolerance.
    OtherDeviation {
        /// The symbol of the tabled deviation.
        known: DeviationSymbol,
        /// The tabled deviation, delta included.
        value: Length,
        /// The grade.
        grade: Grade,
        /// Its tolerance.
        tolerance: Length,
    },
    /// A general tolerance of a size or edge.
    General {
        /// The class.
        class: GeneralClass,
        /// Which table.
        kind: GeneralKind,
        /// The row.
        range: SizeRange,
        /// Plus and minus this.
        plus_minus: Amount,
        /// Whether a house table has the row.
        house: bool,
        /// Where the row's value comes from.
        source: String,
    },
    /// What exceeding a general tolerance means.
    GeneralMeaning,
    /// A limit from nominal and deviation.
    Limit {
        /// Which limit.
        side: LimitSide,
        /// Nominal value.
        nominal: Amount,
        /// The deviation.
        deviation: Amount,
        /// The sum.
        limit: Amount,
    },
    /// The limits were moved.
    Moved {
        /// Why.
        cause: Move,
        /// The lower limit afterwards.
        lower: Option<Length>,
        /// The upper limit afterwards.
        upper: Option<Length>,
    },
    /// Ⓔ stands beside the size.
    Envelope,
    /// A step of a thread's limits.
    Thread(ThreadStep),
}

/// A length or an angle in a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Amount {
    /// A length.
    Length(Length),
    /// An angle.
    Angle(Angle),
}
