//! Why a tolerance class is not defined at a size, in the standard's own terms, and which class
//! near it is.

use std::fmt;

use crate::quantity::Length;

use super::class::{ClassKind, Grade, LETTER_COUNT, Letter, ToleranceClass};
use super::tables::Tables;

const ONE_MM: Length = Length::from_mm(1);
const THREE_MM: Length = Length::from_mm(3);
const FIVE_HUNDRED_MM: Length = Length::from_mm(500);
const LARGEST: Length = Length::from_mm(3150);

/// A class that is not defined at a nominal size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClassError {
    /// The nominal size.
    pub nominal: Length,
    /// The class that was asked for.
    pub class: ToleranceClass,
    /// Why it is not defined.
    pub reason: UndefinedReason,
    /// A class near it that is defined at this size.
    pub nearest: Option<ToleranceClass>,
}

/// The reasons for which ISO 286-1 has no limits for a class at a size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UndefinedReason {
    /// Not over 0 and up to 3150 mm.
    SizeOutOfRange,
    /// IT14 to IT18 start over 1 mm.
    GradeToOneMm,
    /// IT01 and IT0 end at 500 mm.
    GradeAbove500,
    /// a, b, A, B are not used up to 1 mm.
    LetterToOneMm,
    /// Hole N with IT9 and coarser is not used up to 1 mm.
    HoleNToOneMm,
    /// j has the grades 5 to 8 only, J the grades 6 to 8.
    GradesOfJ,
    /// j8 ends at 3 mm.
    J8AboveThree,
    /// K coarser than IT8 ends at 3 mm.
    HoleKCoarse,
    /// Holes K to ZC finer than IT3, up to 500 mm: the special rule's delta starts at IT3.
    HoleFinerThanDelta,
    /// The letter is tabled over one size up to another only.
    LetterSizes {
        /// The size that the letter starts over.
        over: Length,
        /// The size that it ends with.
        up_to: Length,
    },
    /// The letter is in none of the tables in use.
    UnknownLetter,
    /// The tables in use have no row for this letter, grade and size.
    NoRow,
}

impl Tables {
    /// The error of an undefined class; the slow path.
    #[cold]
    pub(super) fn class_error(&self, nominal: Length, class: ToleranceClass) -> ClassError {
        ClassError {
            nominal,
            class,
            reason: self.undefined_reason(nominal, class),
            nearest: self.nearest_class(nominal, class),
        }
    }

    fn undefined_reason(&self, nominal: Length, class: ToleranceClass) -> UndefinedReason {
        let (letter, grade) = (class.letter(), class.grade());
        let number = grade.number().unwrap_or(0);
        if nominal <= Length::ZERO || nominal > LARGEST {
            return UndefinedReason::SizeOutOfRange;
        }
        let spans = || self.deviations.iter().filter(|row| row.letter == letter);
        if spans().next().is_none() {
            return UndefinedReason::UnknownLetter;
        }
        if self.grade_row(nominal, grade).is_none() {
            return match number {
                14.. if nominal <= ONE_MM => UndefinedReason::GradeToOneMm,
                0 if nominal > FIVE_HUNDRED_MM => UndefinedReason::GradeAbove500,
                _ => UndefinedReason::NoRow,
            };
        }
        let over = spans().map(|row| row.range.over).min();
        let up_to = spans().filter_map(|row| row.range.up_to).max();
        let sizes = over.zip(up_to);
        let hole = letter.kind() == ClassKind::Hole;
        if letter.is_any_of(&["j"]) {
            let tabled = spans().any(|row| row.holds(grade));
            return match sizes {
                _ if !tabled => UndefinedReason::GradesOfJ,
                Some((over, up_to)) if nominal > up_to => {
                    UndefinedReason::LetterSizes { over, up_to }
                }
                _ => UndefinedReason::J8AboveThree,
            };
        }
        if letter.is_any_of(&["a", "b"]) && nominal <= ONE_MM {
            return UndefinedReason::LetterToOneMm;
        }
        match sizes {
            Some((over, up_to)) if nominal <= over || nominal > up_to => {
                UndefinedReason::LetterSizes { over, up_to }
            }
            _ if hole && letter.is_any_of(&["n"]) && number >= 9 && nominal <= ONE_MM => {
                UndefinedReason::HoleNToOneMm
            }
            _ if hole && letter.is_any_of(&["k"]) && number > 8 && nominal > THREE_MM => {
                UndefinedReason::HoleKCoarse
            }
            _ if hole && letter.is_standard() && number < 3 && nominal <= FIVE_HUNDRED_MM => {
                UndefinedReason::HoleFinerThanDelta
            }
            _ => UndefinedReason::NoRow,
        }
    }

    /// The nearest class that is defined at the size: js for j, else the same letter with the
    /// nearest grade, else the same grade with the nearest letter.
    fn nearest_class(&self, nominal: Length, class: ToleranceClass) -> Option<ToleranceClass> {
        let letter = class.letter();
        let with = |letter, grade| Some(ToleranceClass::new(letter, grade));
        let defined = |near: &ToleranceClass| self.defines(nominal, *near);
        if letter.is_any_of(&["j"]) {
            let symmetric = match letter.kind() {
                ClassKind::Hole => "JS",
                ClassKind::Shaft => "js",
            };
            return with(Letter::standard(symmetric)?, class.grade()).filter(defined);
        }
        let place = class.grade().index();
        let same_letter = Grade::all()
            .filter_map(|grade| with(letter, grade))
            .filter(defined)
            .min_by_key(|near| near.grade().index().abs_diff(place));
        same_letter.or_else(|| {
            let place = usize::from(letter.index());
            let side = place / LETTER_COUNT;
            (side * LETTER_COUNT..(side + 1) * LETTER_COUNT)
                .filter_map(|at| Some((at, with(Letter::at(at)?, class.grade())?)))
                .filter(|(_, near)| defined(near))
                .min_by_key(|(at, _)| at.abs_diff(place))
                .map(|(_, near)| near)
        })
    }
}

impl ClassError {
    /// The error's stable word for machines.
    pub fn code(&self) -> &'static str {
        match self.reason {
            UndefinedReason::SizeOutOfRange => "size_out_of_range",
            UndefinedReason::UnknownLetter => "unknown_class",
            _ => "class_not_defined",
        }
    }

    /// What to do about it, one sentence.
    pub fn hint(&self) -> Option<String> {
        match self.nearest {
            Some(near) => Some(format!(
                "The nearest class defined at this size is {near}; check the drawing."
            )),
            None => Some("Check the nominal size and the class on the drawing.".to_owned()),
        }
    }
}

impl fmt::Display for ClassError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} is not defined at {} mm: ", self.class, self.nominal)?;
        let letter = self.class.letter();
        match self.reason {
            UndefinedReason::SizeOutOfRange => {
                f.write_str("ISO 286-1 tables nominal sizes over 0 and up to 3150 mm only.")
            }
            UndefinedReason::GradeToOneMm => f.write_str(
                "the grades IT14 to IT18 are not used for nominal sizes up to and including 1 mm \
                 (ISO 286-1, table 1).",
            ),
            UndefinedReason::GradeAbove500 => f.write_str(
                "the grades IT01 and IT0 are given for nominal sizes up to 500 mm only \
                 (ISO 286-1, table 1).",
            ),
            UndefinedReason::LetterToOneMm => write!(
                f,
                "the fundamental deviations a and b (A and B) are not used for nominal sizes up \
                 to and including 1 mm (ISO 286-1)."
            ),
            UndefinedReason::HoleNToOneMm => f.write_str(
                "N with grades coarser than IT8 is not used for nominal sizes up to and \
                 including 1 mm (ISO 286-1).",
            ),
            UndefinedReason::GradesOfJ => match letter.kind() {
                ClassKind::Hole => f.write_str(
                    "J exists with the grades 6, 7 and 8 only (ISO 286-1); other grades are \
                     symmetric, JS.",
                ),
                ClassKind::Shaft => f.write_str(
                    "j exists with the grades 5, 6, 7 and 8 only (ISO 286-1); other grades are \
                     symmetric, js.",
                ),
            },
            UndefinedReason::J8AboveThree => f.write_str(
                "j8 is tabled for nominal sizes up to and including 3 mm only (ISO 286-1).",
            ),
            UndefinedReason::HoleKCoarse => f.write_str(
                "K with grades coarser than IT8 is given for nominal sizes up to and including \
                 3 mm only (ISO 286-1).",
            ),
            UndefinedReason::HoleFinerThanDelta => write!(
                f,
                "up to 500 mm the holes K to ZC start at grade IT3, since the delta of their \
                 special rule does (ISO 286-1)."
            ),
            UndefinedReason::LetterSizes { over, up_to } => write!(
                f,
                "the fundamental deviation {letter} is tabled for nominal sizes over {over} and \
                 up to {up_to} mm only."
            ),
            UndefinedReason::UnknownLetter => write!(
                f,
                "{letter} is none of the fundamental deviations of ISO 286-1 or of the house \
                 tables in use."
            ),
            UndefinedReason::NoRow => write!(
                f,
                "the tables in use have no row for {letter} with {} at this size.",
                self.class.grade()
            ),
        }
    }
}

impl std::error::Error for ClassError {}
