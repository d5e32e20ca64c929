//! A limit that holds for one session only, because a half is made to suit its measured mate.

use crate::pair::Measured;
use crate::quantity::Length;

/// One half of a pair is made to suit the other, which is measured: what its limits follow from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Suit {
    /// The feature of the plan whose size is made to suit.
    pub feature: String,
    /// The measured half, as the plan's pair names it (`B`, `housing.toml#bore`).
    pub mate: String,
    /// Which of the two is measured.
    pub measured: Measured,
    /// The fit that is intended; empty: that of the two features' own limits.
    pub fit: String,
    /// The least clearance that is intended; negative: interference.
    pub least: Length,
    /// The largest.
    pub most: Length,
    /// The measured size at 20 °C; of several points the middle of the smallest and the largest.
    pub size: Length,
    /// Its standard uncertainty, rounded up to whole nanometres; none: not known.
    pub u: Option<Length>,
    /// Half of the way from the smallest to the largest of its points.
    pub form: Length,
    /// Where the size comes from: `typed`, or the record's file and the part.
    pub source: String,
    /// Only what lies in the half's own class, too, counts.
    pub keep_class: bool,
}
