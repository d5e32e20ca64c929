//! The texts of a report about all parts together, in one language; English stands in
//! `words_english_batch.rs`. What is handed in is text of the sheet already, with its decimal mark.

use super::words::Pair;
use crate::measure::{CannotHold, LimitAhead, Offset, OffsetAdvice, SamplingAdvice};
use crate::statistics::StatisticsError;

/// The texts about all parts together.
#[derive(Debug, Clone, Copy)]
pub struct BatchWords {
    /// Heading of it all.
    pub heading: &'static str,
    /// Heading of the table of numbers.
    pub heading_numbers: &'static str,
    /// Heading of the table of parts by characteristics.
    pub heading_table: &'static str,
    /// Characteristics from and to, of a table that is broken.
    pub numbered: fn(usize, usize) -> String,
    /// Under the table of parts: what stands in a cell.
    pub key: &'static str,
    /// Number of values.
    pub values: &'static str,
    /// Mean.
    pub mean: &'static str,
    /// Standard deviation, in short.
    pub sd: &'static str,
    /// Smallest and largest, as a heading.
    pub extremes: &'static str,
    /// The largest less the smallest.
    pub range: &'static str,
    /// Capability.
    pub capability: &'static str,
    /// Of a part where not all is measured.
    pub open: &'static str,
    /// So many readings voided.
    pub voided: fn(u32) -> String,
    /// Tests that signal, by their numbers.
    pub signals: fn(&str) -> String,
    /// A value that is in doubt, in short.
    pub in_doubt: &'static str,
    /// Between two numbers.
    pub to: &'static str,
    /// Ways to find an index, and the distributions that end at zero.
    pub ways: &'static [Pair],

    /// Heading of the stretches.
    pub heading_stretches: &'static str,
    /// What a stretch began with.
    pub began: &'static str,
    /// The first stretch.
    pub first_stretch: &'static str,
    /// Lower control limit, centre, upper control limit.
    pub control: [&'static str; 3],
    /// Standard deviation from part to part.
    pub deviation: &'static str,
    /// Limits that rest on few parts.
    pub provisional: &'static str,
    /// Limits that allow for a step of the gauge.
    pub coarse: &'static str,
    /// Where there are no control limits.
    pub no_control: &'static str,
    /// How many earlier stretches are not told.
    pub earlier_stretches: fn(usize) -> String,
    /// A tool was changed; offset given, with its amount.
    pub tool_changed: &'static str,
    /// An offset was given.
    pub offset_applied: fn(&str) -> String,
    /// Before which parts a part was clamped anew, and before how many more.
    pub put_back: fn(&str, usize) -> String,

    /// An offset before anything else, a limit ahead, what cannot be held, how often to measure.
    pub ahead: fn(&LimitAhead) -> String,
    /// The offset to give, or why none.
    pub offset: fn(&OffsetAdvice) -> String,
    /// That a tolerance cannot be held.
    pub cannot_hold: fn(&CannotHold) -> String,
    /// How often to measure.
    pub sampling: fn(&SamplingAdvice) -> String,
    /// The share of measuring: seen, measuring, percent, the parts' own (empty: unknown).
    pub share: fn(&str, &str, &str, &str) -> String,
    /// Share of all parts and confidence in percent, lower and upper end.
    pub interval: fn(&str, &str, &str, &str) -> String,
    /// The gauge's step in standard deviations: too coarse to ask for normal values.
    pub too_coarse: fn(&str) -> String,
    /// The same: fine enough to ask.
    pub fine_enough: fn(&str) -> String,
    /// A test's statistic, probability, and whether the values do not look normal.
    pub anderson_darling: fn(&str, &str, bool) -> String,
    /// The same of the other test.
    pub shapiro_wilk: fn(&str, &str, bool) -> String,
    /// Instead of a probability that small.
    pub tiny: &'static str,

    /// Of a damaged record: so many parts could be read.
    pub damaged: fn(u32) -> String,
    /// So many values are in doubt and count for nothing.
    pub left_out: fn(u32) -> String,
    /// So many cells came in doubt by other records, and the numbers count them still.
    pub doubted_elsewhere: fn(usize) -> String,
    /// One part in so many was measured: so many were not selected, of so many.
    pub sampled: fn(u32, u32, u32) -> String,
    /// Of a position that is asked only where the part was clamped anew: of how many parts it was
    /// not asked, and of how many.
    pub not_rechucked: fn(u32, u32) -> String,
    /// So many parts are open.
    pub still_open: fn(u32) -> String,
    /// No part has a value.
    pub no_value: &'static str,
    /// One value.
    pub one_value: &'static str,
    /// All values are the same.
    pub all_equal: &'static str,
    /// Fewer than 30 values: no index alone.
    pub no_bare_index: &'static str,
    /// The points of a part show its form: no Cp, Cpk.
    pub no_within: &'static str,
    /// The characteristic ends at zero.
    pub ends_at_zero: &'static str,
    /// What could not be found, and why: capability.
    pub no_capability: fn(&str, &StatisticsError) -> String,
    /// Why there is no interval of all parts.
    pub no_interval: fn(&StatisticsError) -> String,
    /// Why there is no test for normal values: its name.
    pub no_test: fn(&str, &StatisticsError) -> String,
    /// Why there is no trend.
    pub no_trend: fn(&StatisticsError) -> String,
    /// Below the table of numbers: fewer parts than a section of their own wants.
    pub few: fn(u32) -> String,
    /// Below the table of numbers: the confidence of intervals, in percent.
    pub intervals: fn(&str) -> String,
    /// Before what to do next, in short.
    pub next: &'static str,
    /// A limit ahead: the limit, whether it is the upper one, the part, the first and the last of
    /// its interval (0: not told).
    pub reaches: fn(&str, bool, u32, u32, u32) -> String,
    /// An offset to give, in a few words, as the dial reads.
    pub give: fn(&Offset) -> String,
    /// Measure every so many parts.
    pub every: fn(u32) -> String,
}
