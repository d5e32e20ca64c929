//! Why a lesson gave no adapter, in sentences.

use std::fmt;

use super::factor::Fit;
use crate::quantity::Length;

/// Why there is no adapter yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TeachProblem {
    /// Not one byte came.
    NothingHeard,
    /// Bytes came, but with no line setting do they agree with the typed sizes.
    NoLine,
    /// One size does not tell how such bytes are to be read.
    OneSize,
    /// No factor that gauges use turns the numbers into the sizes.
    NoFactor,
    /// All sizes but this one agree.
    Mistyped {
        /// As typed.
        typed: Length,
        /// What the gauge read.
        read: Length,
    },
    /// All readings are off by the same length.
    NotZeroed {
        /// Reading less size.
        by: Length,
    },
    /// Several factors fit.
    Ambiguous {
        /// Which.
        factors: Vec<String>,
        /// From this size on they can be told apart.
        larger: Length,
    },
    /// The reading after zeroing carries no sign: a minus would be read as a plus.
    NoSign,
    /// The reading after the unit key fits neither unit.
    UnitUnclear,
    /// Something beside the number changes and is not understood.
    Unexplained,
    /// The reading that was to confirm is not understood, or is another size.
    NotConfirmed {
        /// As typed.
        size: Length,
    },
    /// The size that was to confirm had been used before.
    NotFresh {
        /// As typed.
        size: Length,
    },
    /// The text that was made is refused or reads the presses otherwise.
    NotProven {
        /// What went wrong, in words.
        why: String,
    },
}

impl TeachProblem {
    /// The problem's stable word for machines.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NothingHeard => "teach_nothing_heard",
            Self::NoLine => "teach_no_line",
            Self::OneSize => "teach_one_size",
            Self::NoFactor => "teach_no_factor",
            Self::Mistyped { .. } => "teach_mistyped",
            Self::NotZeroed { .. } => "teach_not_zeroed",
            Self::Ambiguous { .. } => "teach_ambiguous",
            Self::NoSign => "teach_no_sign",
            Self::UnitUnclear => "teach_unit_unclear",
            Self::Unexplained => "teach_unexplained",
            Self::NotConfirmed { .. } => "teach_not_confirmed",
            Self::NotFresh { .. } => "teach_not_fresh",
            Self::NotProven { .. } => "teach_not_proven",
        }
    }

    /// What to do about it, one sentence.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::NothingHeard => {
                "Check cable and power, and whether the gauge must be set to send its data."
            }
            Self::NoLine => {
                "Look up speed and parity of the gauge and give them with --line, or check the \
                 sizes."
            }
            Self::OneSize => "Press on a second, different size.",
            Self::NoFactor => "Check the sizes, and that the gauge shows them.",
            Self::Mistyped { .. } => "Correct that size and press on it again.",
            Self::NotZeroed { .. } => "Zero the gauge and press on the sizes again.",
            Self::Ambiguous { .. } => "Press on a larger size too.",
            Self::NoSign => {
                "Check that the gauge was zeroed on the larger size; its readings cannot be used \
                 where they can be negative."
            }
            Self::UnitUnclear => "Press the unit key once and press the data button again.",
            Self::Unexplained => {
                "Press again on each size without changing the gauge's mode in between."
            }
            Self::NotConfirmed { .. } => "Check that size, or teach it as one more size.",
            Self::NotFresh { .. } => "Confirm on a size that was not used before.",
            Self::NotProven { .. } => "Keep the bytes and write the adapter by hand.",
        }
    }

    /// Whether the bytes are understood and only the sizes or the zero are at fault.
    pub fn is_about_sizes(&self) -> bool {
        matches!(
            self,
            Self::Mistyped { .. } | Self::NotZeroed { .. } | Self::Ambiguous { .. }
        )
    }

    /// How far the bytes were understood; the furthest problem is the one worth telling.
    pub(super) fn rank(&self) -> u8 {
        match self {
            Self::NothingHeard => 0,
            Self::NoLine => 1,
            Self::Unexplained => 2,
            Self::NoFactor => 3,
            Self::OneSize => 4,
            Self::Ambiguous { .. } => 5,
            Self::NotZeroed { .. } => 6,
            Self::Mistyped { .. } => 7,
            Self::UnitUnclear => 8,
            Self::NoSign => 9,
            Self::NotProven { .. } => 10,
            Self::NotConfirmed { .. } | Self::NotFresh { .. } => 11,
        }
    }

    /// The problem worth telling of two.
    pub(super) fn further(self, other: Self) -> Self {
        if other.rank() > self.rank() {
            other
        } else {
            self
        }
    }

    /// What keeps a fit from being one factor.
    pub(super) fn of_fit(fit: &Fit) -> Self {
        let length = |nm: i128| Length::from_nm(i64::try_from(nm).unwrap_or(i64::MAX));
        match fit {
            Fit::Several(factors, larger) => Self::Ambiguous {
                factors: factors.iter().map(|factor| factor.words()).collect(),
                larger: length(*larger),
            },
            Fit::Mistyped(typed, read) => Self::Mistyped {
                typed: length(*typed),
                read: length(*read),
            },
            Fit::Shifted(by) => Self::NotZeroed { by: length(*by) },
            Fit::One(_) | Fit::None => Self::NoFactor,
        }
    }
}

impl fmt::Display for TeachProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Mistyped { typed, read } => write!(
                f,
                "All sizes agree but {} mm, where the gauge read {} mm: a slip in typing?",
                typed.to_mm(),
                read.to_mm()
            ),
            Self::NotZeroed { by } => write!(
                f,
                "All readings are off by the same {} mm: the gauge was not zeroed.",
                by.to_mm()
            ),
            Self::Ambiguous { factors, larger } => write!(
                f,
                "These sizes fit a digit of {}; a size of {} mm and more tells them apart.",
                factors.join(" and of "),
                larger.to_mm()
            ),
            Self::NotConfirmed { size } => write!(
                f,
                "The reading on {} mm does not confirm the adapter.",
                size.to_mm()
            ),
            Self::NotFresh { size } => write!(
                f,
                "{} mm was used for teaching already and confirms nothing.",
                size.to_mm()
            ),
            Self::NotProven { why } => {
                write!(
                    f,
                    "The adapter that was made does not read the presses: {why}"
                )
            }
            plain => f.write_str(plain.plain_sentence()),
        }
    }
}

impl TeachProblem {
    /// The sentence of a problem that names nothing.
    fn plain_sentence(&self) -> &'static str {
        match self {
            Self::NothingHeard => "Nothing came down the line.",
            Self::NoLine => {
                "Bytes came, but at no speed and parity that was tried do they agree with the \
                 sizes."
            }
            Self::OneSize => {
                "These bytes are no text, and one size does not tell how to read them."
            }
            Self::NoFactor => "No scale that gauges use turns the numbers into the sizes.",
            Self::NoSign => "The reading after zeroing came without anything that says minus.",
            Self::UnitUnclear => "The reading after the unit key fits neither millimetre nor inch.",
            _ => "Something beside the number changes and is not understood.",
        }
    }
}

impl std::error::Error for TeachProblem {}
