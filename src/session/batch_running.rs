//! What is kept of a row while it grows: sums, control limits, and the watch for signals.
//!
//! The centre line is that of the row in force, since a tool change or an offset moves it. The
//! spread from part to part is not changed by them, so the moving ranges of earlier rows count on:
//! limits need not be learned anew after each tool. Both rest on the first parts of a row
//! ([`BASELINE`]); then the limits stand, and later parts are judged by them. While there are
//! fewer, every part of the row is judged again with each new one.
//!
//! Where a part has several points, its value is their mean, and the spread of these means comes
//! from their own moving ranges: the points of one part lie as far apart as its form, which says
//! nothing about how far parts lie apart.

use super::batch_point::BatchPoint;
use crate::statistics::{
    ControlLimits, LineSums, RunLengths, SignalTest, Signals, StatisticsError, Summary, Sums,
    Watch, individuals_limits,
};

/// So many parts make the limits of a row (ISO 7870-2: some 25 subgroups, from memory).
pub const BASELINE: u32 = 25;
/// With fewer moving ranges there are no limits (chosen: below, the limits are mostly chance).
pub const RANGES_MIN: u32 = 7;
/// With fewer values in their baseline limits are provisional (common practice, no source).
pub const FIRM_FROM: u32 = 20;

/// The tests that need no limits.
const WITHOUT_LIMITS: [SignalTest; 2] = [SignalTest::Trend, SignalTest::Alternating];
/// Stands for a deviation that is not known: nothing lies beyond it.
const FAR: f64 = 1e100;

/// A row of parts between two breaks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatchSegment {
    /// The first part that could belong to it.
    pub from_part: u32,
    /// Place of its first point in the series.
    pub start: usize,
    /// Its control limits; none while there are too few parts for any.
    pub limits: Option<BatchLimits>,
}

/// Control limits of the parts' values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatchLimits {
    /// Centre line and limits, in smallest steps.
    pub location: ControlLimits,
    /// Standard deviation from one part to the next.
    pub deviation: f64,
    /// Parts of this row that the centre rests on.
    pub parts: u32,
    /// Moving ranges that the deviation rests on, of this row and earlier ones.
    pub ranges: u32,
    /// There are fewer than are usual for limits.
    pub is_provisional: bool,
    /// The gauge's steps are coarser than what varies: the deviation is half a step at one point,
    /// so that a single step is no signal.
    pub is_coarse: bool,
}

/// Sums of moving ranges.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Ranges {
    sum: i128,
    count: u32,
}

/// What the limits of a row rest on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Baseline {
    count: u32,
    sum: i128,
    ranges: Ranges,
    last: i64,
    step: i64,
    points: usize,
}

#[derive(Debug, Clone, PartialEq)]
struct RowWatch {
    watch: Watch,
    knows_limits: bool,
}

/// What is kept of a row while it grows; of constant size.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Running {
    all: Sums,
    least: i64,
    largest: i64,
    /// Of the baselines of earlier rows.
    earlier: Ranges,
    closed: usize,
    from_part: u32,
    start: usize,
    baseline: Baseline,
    line: LineSums,
    watch: Option<RowWatch>,
}

impl Default for Running {
    fn default() -> Self {
        Self {
            all: Sums::new(),
            least: 0,
            largest: 0,
            earlier: Ranges::default(),
            closed: 0,
            from_part: 1,
            start: 0,
            baseline: Baseline::default(),
            line: LineSums::new(),
            watch: None,
        }
    }
}

impl Running {
    pub(super) fn first_part(&self) -> u32 {
        self.from_part
    }

    pub(super) fn segment_start(&self) -> usize {
        self.start
    }

    /// How many rows ended before this one.
    pub(super) fn closed(&self) -> usize {
        self.closed
    }

    pub(super) fn line_sums(&self) -> &LineSums {
        &self.line
    }

    pub(super) fn summary(&self) -> Result<Summary, StatisticsError> {
        self.all.summary((self.least, self.largest))
    }

    pub(super) fn summary_but_furthest(&self) -> Result<Summary, StatisticsError> {
        let found = self.summary()?;
        let is_least = found.mean - found.min > found.max - found.mean;
        let mut others = self.all;
        others.remove(if is_least { self.least } else { self.largest });
        others.summary((self.least, self.largest))
    }

    pub(super) fn segment(&self) -> BatchSegment {
        BatchSegment {
            from_part: self.from_part,
            start: self.start,
            limits: self.limits(),
        }
    }

    /// A break: the next point is the first of another row.
    pub(super) fn begin_segment(&mut self, from_part: u32, start: usize) {
        self.closed += usize::from(start > 0);
        self.earlier.sum += self.baseline.ranges.sum;
        self.earlier.count += self.baseline.ranges.count;
        self.from_part = from_part;
        self.start = start;
        self.baseline = Baseline::default();
        self.line = LineSums::new();
        self.watch = None;
    }

    /// Takes the newest of the points in, and marks the signals.
    pub(super) fn take(&mut self, points: &mut [BatchPoint], lengths: RunLengths) {
        let Some(newest) = points.last_mut() else {
            return;
        };
        newest.signals = Signals::default();
        let has_limits = self.baseline.count >= BASELINE;
        let counts = !newest.is_in_doubt && self.count_in(newest);
        if !has_limits {
            return self.judge_again(points, lengths);
        }
        if counts && let Some(row) = &mut self.watch {
            newest.signals = row.take(newest.value);
        }
    }

    /// Puts a point into the sums. False when it is too large for them: it then counts nowhere.
    fn count_in(&mut self, newest: &BatchPoint) -> bool {
        let mut all = self.all;
        if newest.values().iter().any(|value| all.add(*value).is_err()) {
            return false;
        }
        let mut line = self.line;
        if line.add(i64::from(newest.part), newest.value).is_err() {
            return false;
        }
        let is_first = self.all.count() == 0;
        let (least, largest) = (newest.smallest, newest.largest);
        self.least = if is_first {
            least
        } else {
            self.least.min(least)
        };
        self.largest = if is_first {
            largest
        } else {
            self.largest.max(largest)
        };
        (self.all, self.line) = (all, line);
        if self.baseline.count < BASELINE {
            self.baseline.add(newest);
        }
        true
    }

    /// Judges every point of the row by the limits that there are now.
    fn judge_again(&mut self, points: &mut [BatchPoint], lengths: RunLengths) {
        self.watch = RowWatch::of(self.limits().as_ref(), lengths);
        for point in points.iter_mut().skip(self.start) {
            point.signals = match &mut self.watch {
                Some(row) if !point.is_in_doubt => row.take(point.value),
                _ => Signals::default(),
            };
        }
    }

    fn limits(&self) -> Option<BatchLimits> {
        let row = &self.baseline;
        let ranges = Ranges {
            sum: self.earlier.sum + row.ranges.sum,
            count: self.earlier.count + row.ranges.count,
        };
        if ranges.count < RANGES_MIN || row.count == 0 {
            return None;
        }
        let centre = row.sum as f64 / f64::from(row.count);
        let mean_range = ranges.sum as f64 / f64::from(ranges.count);
        let found = individuals_limits(centre, mean_range)
            .ok()?
            .within_deviation;
        let least = row.step as f64 / (2.0 * row.points.max(1) as f64);
        let deviation = found.max(least);
        Some(BatchLimits {
            location: ControlLimits {
                lower: centre - 3.0 * deviation,
                centre,
                upper: centre + 3.0 * deviation,
            },
            deviation,
            parts: row.count,
            ranges: ranges.count,
            is_provisional: ranges.count + 1 < FIRM_FROM,
            is_coarse: found < least,
        })
    }
}

impl Baseline {
    fn add(&mut self, point: &BatchPoint) {
        if self.count > 0 {
            self.ranges.sum += i128::from((point.value - self.last).abs());
            self.ranges.count += 1;
        }
        self.count += 1;
        self.sum += i128::from(point.value);
        self.last = point.value;
        self.step = self.step.max(point.step);
        self.points = self.points.max(point.values().len());
    }
}

impl RowWatch {
    fn of(limits: Option<&BatchLimits>, lengths: RunLengths) -> Option<Self> {
        let (centre, deviation) = match limits {
            Some(limits) => (limits.location.centre, limits.deviation),
            None => (0.0, FAR),
        };
        Some(Self {
            watch: Watch::new(lengths, centre, deviation).ok()?,
            knows_limits: limits.is_some(),
        })
    }

    fn take(&mut self, value: i64) -> Signals {
        let found = self.watch.add(value as f64).unwrap_or_default();
        match self.knows_limits {
            true => found,
            false => found.only(&WITHOUT_LIMITS),
        }
    }
}
