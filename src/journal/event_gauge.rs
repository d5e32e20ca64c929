//! What is found out about a gauge: checks of its zero, and studies of how far it can be trusted.

use super::event::Sequence;
use crate::quantity::Length;

/// What the check of a gauge's zero came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ZeroChecked {
    /// The reading that was taken on the standard.
    pub reading: Sequence,
    /// Which gauge.
    pub gauge: String,
    /// The setting standard by its id in the register; empty: the gauge's own zero.
    pub standard: String,
    /// What the gauge should have shown.
    pub shows: Length,
    /// By how much it showed more; taken off its readings from here on if the check is good.
    pub offset: Length,
    /// The largest offset that is applied.
    pub bound: Option<Length>,
    /// Within the bound. If not, nothing is applied, and what was measured since the last good
    /// check is in doubt.
    pub good: bool,
}

/// The last check of a gauge before this session, found in the workspace's records.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EarlierZero {
    /// Which gauge.
    pub gauge: String,
    /// The setting standard; empty: the gauge's own zero.
    pub standard: String,
    /// When, RFC 3339.
    pub time: String,
    /// How long before the opening of this session, in milliseconds.
    pub age_ms: u64,
    /// The offset, as in [`ZeroChecked::offset`].
    pub offset: Length,
    /// Whether it was good.
    pub good: bool,
}

/// What a study of a gauge is to measure, and in which order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StudyOpened {
    /// Which gauge.
    pub gauge: String,
    /// The parts, each named; at least one.
    pub parts: Vec<StudyPart>,
    /// Who measures, each named; at least one.
    pub operators: Vec<String>,
    /// How often each measures each part.
    pub trials: u32,
    /// Width of the limits that the gauge is to judge, if it was said.
    pub tolerance: Option<Length>,
    /// Every cell once, in the order of measuring.
    pub order: Vec<StudyCell>,
}

/// A part of a study.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StudyPart {
    /// Its name or number.
    pub name: String,
    /// Its known size, if it has one.
    pub reference: Option<Length>,
    /// The setting standard of the register that it is; empty: none.
    pub standard: String,
}

/// One reading that a study wants: of a part, by an operator, for the n-th time; each from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct StudyCell {
    /// The part, by its place in the study.
    pub part: u32,
    /// Who measures, by the place in the study.
    pub operator: u32,
    /// Which of the repeated readings.
    pub trial: u32,
}
