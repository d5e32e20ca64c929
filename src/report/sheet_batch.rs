//! What a report says of all parts together: each part on each characteristic, and the numbers of
//! every characteristic over the parts. Every number is a text in the unit of its characteristic
//! (millimetres, or degrees with decimals), rounded once, so that the same one stands in each
//! form; an empty text says that there is none, and [`BatchFacts::missing`] says why.

use std::sync::Arc;

use crate::session::{BatchSeries, BatchStudy, Target};

/// All parts of a record together; only of a record with two parts and more, one characteristic of
/// which has sizes, and only where no part of it is left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BatchSheet {
    /// Parts begun; the table has a row for each.
    pub parts: u32,
    /// What the numbers stand on, where that is not all there was, a sentence each.
    pub remarks: Vec<String>,
    /// Every part on every characteristic, in the order of their numbers.
    pub rows: Vec<BatchRow>,
    /// The numbers of every characteristic that has sizes, in measuring order.
    pub characteristics: Vec<BatchFacts>,
}

/// A part in the table.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchRow {
    /// Its running number.
    pub part: u32,
    /// Its serial number; empty: none given.
    pub serial: String,
    /// One for each of [`Sheet::asked`](super::Sheet::asked), in its order.
    pub cells: Vec<BatchCell>,
}

/// A characteristic of a part, as it counts in the numbers.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchCell {
    /// [`Asked::number`](super::Asked::number).
    pub number: usize,
    /// `GO`, `NO-GO`, `DOUBT`, `NOTED`, `open` (not all measured) or `not selected`.
    pub standing: String,
    /// The value at 20 °C, of several points their mean; an outcome's word; empty: none yet.
    pub value: String,
    /// The smallest of several points, else empty.
    pub smallest: String,
    /// The largest of several points, else empty.
    pub largest: String,
    /// It rests on a gauge that was found wrong after it: it counts for nothing in the numbers.
    pub is_in_doubt: bool,
    /// The concession that covers it: its line in the part's decisions.
    pub concession: Option<u64>,
    /// Readings of it that were voided; none of them is in the value.
    pub voided: u32,
    /// The tests that signal at this part, by their numbers in [`BatchFacts::signals`].
    pub tests: Vec<u16>,
}

/// The numbers of a characteristic over the parts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BatchFacts {
    /// [`Asked::number`](super::Asked::number).
    pub number: usize,
    /// What all numbers are in: `mm` or `°`.
    pub unit: String,
    /// Lower limit; empty: none.
    pub lower: String,
    /// Upper limit; empty: none.
    pub upper: String,
    /// On how many parts it stands in which way.
    pub stands: BatchStands,
    /// Parts whose value is in doubt and counts for nothing here.
    pub in_doubt: u32,
    /// Values that count: every point of every part.
    pub values: usize,
    /// Their mean.
    pub mean: String,
    /// Their standard deviation.
    pub sd: String,
    /// The smallest.
    pub smallest: String,
    /// The largest.
    pub largest: String,
    /// The largest less the smallest.
    pub range: String,
    /// Capability, one row an index; none where it cannot be said.
    pub indices: Vec<BatchIndex>,
    /// Between which values most parts lie; only of values taken as normal.
    pub interval: Option<BatchInterval>,
    /// Whether the values look normal; none where they are not asked to.
    pub normality: Option<BatchNormality>,
    /// The rows between tool changes and offsets, the one in force last.
    pub stretches: Vec<BatchStretch>,
    /// The parts before which a part was clamped anew; that splits no trend.
    pub put_back: Vec<u32>,
    /// Which tests signal, and where.
    pub signals: Vec<BatchSignal>,
    /// The line through the stretch in force; none below three parts.
    pub trend: Option<BatchTrend>,
    /// Where the drift leads; none without one beyond chance.
    pub ahead: Option<BatchAhead>,
    /// What of the spread measuring makes; none where nothing is known.
    pub share: Option<BatchShare>,
    /// The offset to give on the dimension (of a diameter: on the diameter), with its sign; empty:
    /// none is advised.
    pub offset: String,
    /// The same in a few words, as the dial reads: on the radius it is half of that.
    pub offset_told: String,
    /// Measure every so many parts; 0: nothing is advised.
    pub measure_every: u32,
    /// What to do next, a sentence each with its numbers.
    pub advice: Vec<String>,
    /// What the values are and are not, a sentence each.
    pub remarks: Vec<String>,
    /// Why numbers are missing or weak, a sentence each.
    pub missing: Vec<String>,
    /// What its charts are drawn from: a picture, that has no place in forms for programs.
    pub charted: Option<Arc<BatchCharted>>,
}

impl BatchFacts {
    /// Whether the values differ: a spread is written with as many digits as it takes to see it.
    pub fn has_spread(&self) -> bool {
        self.sd.bytes().any(|byte| matches!(byte, b'1'..=b'9'))
    }
}

/// What charts are drawn from.
#[derive(Debug, Clone, PartialEq)]
pub struct BatchCharted {
    /// The row of values.
    pub series: BatchSeries,
    /// What was asked.
    pub target: Target,
    /// Everything known of it.
    pub study: BatchStudy,
}

/// On how many parts a characteristic stands in which way; together all parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct BatchStands {
    /// GO.
    pub go: u32,
    /// NO-GO.
    pub no_go: u32,
    /// DOUBT, or in doubt since.
    pub doubt: u32,
    /// Recorded; nothing is proved by it.
    pub noted: u32,
    /// Not all measured.
    pub open: u32,
    /// Left out by the sampling plan: nothing is said of them.
    pub not_selected: u32,
}

/// An index of capability with its interval.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchIndex {
    /// `Cp`, `Cpk`, `Pp` or `Ppk`.
    pub name: String,
    /// The index; empty under 30 values, where only the interval says something.
    pub estimate: String,
    /// The lower end of its interval.
    pub lower: String,
    /// The upper end of its interval.
    pub upper: String,
    /// How it was found: `moving_range` (of the stretch in force), `overall` (all values), or the
    /// distribution that ends at zero: `folded_normal`, `log_normal`, `rayleigh`,
    /// `truncated_normal`.
    pub way: String,
    /// Confidence of the interval, such as `0.95`.
    pub confidence: String,
}

/// Between which values most parts lie (ISO 16269-6).
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchInterval {
    /// Its lower end.
    pub lower: String,
    /// Its upper end.
    pub upper: String,
    /// The share of all parts, such as `0.99`.
    pub share: String,
    /// With which confidence.
    pub confidence: String,
}

/// Tests for normal values.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchNormality {
    /// The gauge's step over the standard deviation.
    pub step_over_sd: String,
    /// The step is too coarse to ask: the tests say nothing then.
    pub is_too_coarse: bool,
    /// A squared of Anderson and Darling; empty: too few values.
    pub a2: String,
    /// Its probability.
    pub a2_p: String,
    /// W of Shapiro and Wilk; empty: too few values, or too many.
    pub w: String,
    /// Its probability.
    pub w_p: String,
}

/// Parts between two breaks, with the control limits of their values.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchStretch {
    /// The first part that could belong to it.
    pub from_part: u32,
    /// The last part with a value in it, 0: none yet.
    pub to_part: u32,
    /// Parts with a value that counts.
    pub parts: u32,
    /// What it began with; none of the first one.
    pub breaks: Vec<BatchBreakRow>,
    /// Lower control limit; empty with the others: too few parts for any.
    pub lower_control: String,
    /// Centre line.
    pub centre: String,
    /// Upper control limit.
    pub upper_control: String,
    /// Standard deviation from one part to the next.
    pub deviation: String,
    /// The limits rest on few parts.
    pub is_provisional: bool,
    /// The gauge's steps are coarser than what varies.
    pub is_coarse: bool,
}

/// What a stretch began with.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchBreakRow {
    /// `tool_changed` or `offset_applied`.
    pub kind: String,
    /// The offset as it was set, with its sign; empty: none.
    pub amount: String,
    /// What was said of it; may be empty.
    pub note: String,
}

/// A test that signals.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchSignal {
    /// Its number, 1 to 8 (ISO 8258, Nelson 1984).
    pub test: u16,
    /// What it found, in words.
    pub name: String,
    /// The parts at which it signals, ascending.
    pub parts: Vec<u32>,
}

/// The line through the stretch in force.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchTrend {
    /// Parts that it rests on.
    pub parts: usize,
    /// From one part to the next.
    pub slope: String,
    /// The lower end of its interval.
    pub lower: String,
    /// The upper end of its interval.
    pub upper: String,
    /// Confidence of the interval.
    pub confidence: String,
    /// The interval does not hold zero: chance alone would rarely make such a slope.
    pub is_beyond_chance: bool,
}

/// Where a drift leads.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchAhead {
    /// The limit, less its guard band.
    pub limit: String,
    /// Whether it is the upper one.
    pub is_upper: bool,
    /// The part at which the drift reaches it.
    pub part: u32,
    /// The first part of the interval.
    pub earliest: u32,
    /// The last part of the interval, 0: too far ahead to be told.
    pub latest: u32,
    /// From this part on a single one may lie beyond.
    pub single: u32,
    /// Confidence of the interval.
    pub confidence: String,
}

/// What of a spread measuring makes.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchShare {
    /// The standard deviation seen, from one part to the next.
    pub seen: String,
    /// That of measuring.
    pub measuring: String,
    /// The share of the variance, such as `0.06`.
    pub share: String,
    /// The standard deviation of the parts themselves; empty: measuring explains it all.
    pub parts: String,
}
