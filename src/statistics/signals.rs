//! The eight tests for a process that does not only vary as it always does.
//!
//! The standards differ in the run lengths, so they are settings, and the set that they make is
//! named. The conventions that no standard fixes: a point on a line is not beyond it; a point on
//! the centre line ends a run on one side; equal neighbours end a trend and an alternation; every
//! point that completes a pattern again is reported again; for tests 5 and 6 the reported point
//! itself lies in the zone; test 8 wants points on both sides among the last ones.

use super::StatisticsError;
use super::checked::{fits, refusal_of};

/// One of the eight tests, by its usual number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SignalTest {
    /// 1: a point beyond three standard deviations.
    Beyond = 1,
    /// 2: a run on one side of the centre line.
    OneSide,
    /// 3: a trend, steadily up or steadily down.
    Trend,
    /// 4: alternating up and down.
    Alternating,
    /// 5: most of a few points beyond two standard deviations, on the same side.
    NearLimit,
    /// 6: most of a few points beyond one standard deviation, on the same side.
    OffCentre,
    /// 7: a run within one standard deviation: too quiet.
    Quiet,
    /// 8: a run beyond one standard deviation, on both sides: two processes mixed.
    Mixed,
}

impl SignalTest {
    /// All tests, in the order of their numbers.
    pub const ALL: [Self; 8] = [
        Self::Beyond,
        Self::OneSide,
        Self::Trend,
        Self::Alternating,
        Self::NearLimit,
        Self::OffCentre,
        Self::Quiet,
        Self::Mixed,
    ];

    /// The test's usual number, 1 to 8.
    pub fn number(self) -> u8 {
        self as u8
    }

    fn bit(self) -> u8 {
        1 << (self as u8 - 1)
    }
}

/// So many of so many points.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Share {
    /// How many lie in the zone.
    pub points: u32,
    /// Among how many, in a row; at most 64.
    pub among: u32,
}

/// Run lengths of the tests, in points; none switches a test off. Test 1 is always on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct RunLengths {
    /// Test 2: points in a row on one side.
    pub one_side: Option<u32>,
    /// Test 3: points in a row, steadily up or down (six points are five steps).
    pub trend: Option<u32>,
    /// Test 4: points in a row, alternating (fourteen points are thirteen steps).
    pub alternating: Option<u32>,
    /// Test 5: points beyond two standard deviations.
    pub near_limit: Option<Share>,
    /// Test 6: points beyond one standard deviation.
    pub off_centre: Option<Share>,
    /// Test 7: points in a row within one standard deviation.
    pub quiet: Option<u32>,
    /// Test 8: points in a row beyond one standard deviation, on both sides.
    pub mixed: Option<u32>,
}

/// Whose run lengths are used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TestSet {
    /// All eight tests of L. S. Nelson, Journal of Quality Technology 16(4), 1984, the same in
    /// ISO 8258:1991 (definitions from memory): 9 on one side, trend of 6.
    Nelson,
    /// Tests 1, 2, 5 and 6 with eight points on one side: Western Electric handbook, 1956.
    EightOnOneSide,
    /// Tests 1, 2 and 3 with seven points each: ISO 7870-2:2013, main text (from memory).
    Sevens,
    /// Any other run lengths.
    Own,
}

impl RunLengths {
    /// Tests of Nelson and ISO 8258.
    pub const NELSON: Self = Self {
        one_side: Some(9),
        trend: Some(6),
        alternating: Some(14),
        near_limit: Some(TWO_OF_THREE),
        off_centre: Some(FOUR_OF_FIVE),
        quiet: Some(15),
        mixed: Some(8),
    };
    /// Four tests, with eight points on one side.
    pub const EIGHT_ON_ONE_SIDE: Self = Self {
        one_side: Some(8),
        trend: None,
        alternating: None,
        near_limit: Some(TWO_OF_THREE),
        off_centre: Some(FOUR_OF_FIVE),
        quiet: None,
        mixed: None,
    };
    /// Three tests, with seven points on one side and in a trend.
    pub const SEVENS: Self = Self {
        one_side: Some(7),
        trend: Some(7),
        alternating: None,
        near_limit: None,
        off_centre: None,
        quiet: None,
        mixed: None,
    };

    /// Whose run lengths these are: told from the lengths, so that the name is never wrong.
    pub fn set(&self) -> TestSet {
        let known = [
            (Self::NELSON, TestSet::Nelson),
            (Self::EIGHT_ON_ONE_SIDE, TestSet::EightOnOneSide),
            (Self::SEVENS, TestSet::Sevens),
        ];
        let found = known.iter().find(|(lengths, _)| lengths == self);
        found.map_or(TestSet::Own, |(_, set)| *set)
    }

    fn check(&self) -> Result<(), StatisticsError> {
        let runs = [
            self.one_side,
            self.trend,
            self.alternating,
            self.quiet,
            self.mixed,
        ];
        // A run of one is every point.
        if let Some(found) = runs.into_iter().flatten().find(|run| *run < 2) {
            return Err(StatisticsError::OutOfRange {
                name: "run length",
                found: f64::from(found),
                allowed: "2 or more",
            });
        }
        let shares = [self.near_limit, self.off_centre];
        for share in shares.into_iter().flatten() {
            if !(1..=64).contains(&share.among) {
                return Err(StatisticsError::OutOfRange {
                    name: "number of points among which some lie in a zone",
                    found: f64::from(share.among),
                    allowed: "from 1 to 64",
                });
            }
            if !(1..=share.among).contains(&share.points) {
                return Err(StatisticsError::OutOfRange {
                    name: "number of points in a zone",
                    found: f64::from(share.points),
                    allowed: "1 or more, and not more than those among which they are",
                });
            }
        }
        Ok(())
    }
}

const TWO_OF_THREE: Share = Share {
    points: 2,
    among: 3,
};
const FOUR_OF_FIVE: Share = Share {
    points: 4,
    among: 5,
};

/// The tests that signal at one point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub struct Signals(u8);

impl Signals {
    /// Whether no test signals.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Whether this test signals.
    pub fn contains(self, test: SignalTest) -> bool {
        self.0 & test.bit() != 0
    }

    /// The tests that signal, in the order of their numbers.
    pub fn iter(self) -> impl Iterator<Item = SignalTest> {
        let signals = move |test: &SignalTest| self.contains(*test);
        SignalTest::ALL.into_iter().filter(signals)
    }

    /// These signals and that of one test more.
    #[must_use]
    pub fn with(mut self, test: SignalTest) -> Self {
        self.set(test, true);
        self
    }

    /// Of these signals those of some tests.
    #[must_use]
    pub fn only(self, tests: &[SignalTest]) -> Self {
        let mut kept = Self::default();
        for test in tests {
            kept.set(*test, self.contains(*test));
        }
        kept
    }

    fn set(&mut self, test: SignalTest, signals: bool) {
        if signals {
            self.0 |= test.bit();
        }
    }
}

/// A signal and where it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Signal {
    /// Which test.
    pub test: SignalTest,
    /// The point that completes the pattern, counted from 0.
    pub point: usize,
}

/// Watches a chart point by point; each costs the same, however many came before.
///
/// A copy taken before a point is the state to go back to when that point is voided.
#[derive(Debug, Clone, PartialEq)]
pub struct Watch {
    lengths: RunLengths,
    centre: f64,
    deviation: f64,
    count: usize,
    before: f64,
    /// Points in a row above the centre line (positive) or below it (negative).
    side: i64,
    /// Points in a row up (positive) or down (negative), the first one not counted.
    steps: i64,
    /// Points in a row of which each step turned back, the first one not counted.
    turns: i64,
    /// Points in a row within one standard deviation.
    quiet: i64,
    /// Points in a row beyond it.
    loud: i64,
    /// The last 64 points, newest in the lowest bit: beyond +2, -2, +1, -1 standard deviations.
    zones: [u64; 4],
}

impl Watch {
    /// Watches for these run lengths, on a chart with this centre line and standard deviation.
    ///
    /// # Errors
    /// `AllEqual` for a deviation of 0, `OutOfRange` for a negative one, for a centre that is no
    /// finite number and for run lengths that every point or no point completes.
    pub fn new(lengths: RunLengths, centre: f64, deviation: f64) -> Result<Self, StatisticsError> {
        lengths.check()?;
        if !fits(centre) {
            return Err(StatisticsError::OutOfRange {
                name: "centre line",
                found: centre,
                allowed: "between -1e140 and 1e140",
            });
        }
        if !fits(deviation) || deviation < 0.0 {
            return Err(StatisticsError::OutOfRange {
                name: "standard deviation",
                found: deviation,
                allowed: "from 0 to 1e140",
            });
        }
        if deviation <= 0.0 {
            return Err(StatisticsError::AllEqual);
        }
        Ok(Self {
            lengths,
            centre,
            deviation,
            count: 0,
            before: centre,
            side: 0,
            steps: 0,
            turns: 0,
            quiet: 0,
            loud: 0,
            zones: [0; 4],
        })
    }

    /// The run lengths that are watched for.
    pub fn lengths(&self) -> RunLengths {
        self.lengths
    }

    /// Number of points so far.
    pub fn count(&self) -> usize {
        self.count
    }

    /// Takes the next point and tells which tests signal at it.
    ///
    /// # Errors
    /// `NotFinite` or `OutOfRange`; the point is then not taken.
    pub fn add(&mut self, value: f64) -> Result<Signals, StatisticsError> {
        if !fits(value) {
            return Err(refusal_of(self.count, value));
        }
        let away = value - self.centre;
        let reach = |deviations: f64| deviations * self.deviation;
        let beyond = [
            away > reach(2.0),
            away < reach(-2.0),
            away > reach(1.0),
            away < reach(-1.0),
        ];
        let far = away > reach(3.0) || away < reach(-3.0);
        self.step(value);
        self.side = lengthened(self.side, sign(away));
        let loud = beyond[2] || beyond[3];
        self.loud = if loud { self.loud.saturating_add(1) } else { 0 };
        self.quiet = if loud {
            0
        } else {
            self.quiet.saturating_add(1)
        };
        for (zone, is_in) in self.zones.iter_mut().zip(beyond) {
            *zone = (*zone << 1) | u64::from(is_in);
        }
        self.before = value;
        self.count = self.count.saturating_add(1);
        Ok(self.signals(far))
    }

    /// Counts the step from the point before.
    fn step(&mut self, value: f64) {
        if self.count == 0 {
            return;
        }
        let step = sign(value - self.before);
        let turned = step != 0 && step == -self.steps.signum();
        self.turns = match (turned, step) {
            (true, _) => self.turns.saturating_add(1),
            (false, 0) => 0,
            (false, _) => 1,
        };
        self.steps = lengthened(self.steps, step);
    }

    fn signals(&self, far: bool) -> Signals {
        let reached = |run: Option<u32>, found: i64| run.is_some_and(|run| found >= i64::from(run));
        let lengths = &self.lengths;
        let mut found = Signals::default();
        found.set(SignalTest::Beyond, far);
        found.set(
            SignalTest::OneSide,
            reached(lengths.one_side, self.side.abs()),
        );
        let points = self.steps.abs().saturating_add(1);
        found.set(SignalTest::Trend, reached(lengths.trend, points));
        let points = self.turns.saturating_add(1);
        found.set(
            SignalTest::Alternating,
            reached(lengths.alternating, points),
        );
        found.set(
            SignalTest::NearLimit,
            self.crowded(lengths.near_limit, [0, 1]),
        );
        found.set(
            SignalTest::OffCentre,
            self.crowded(lengths.off_centre, [2, 3]),
        );
        found.set(SignalTest::Quiet, reached(lengths.quiet, self.quiet));
        // As long as the run on one side is shorter, both sides are among the last points.
        let both_sides = !reached(lengths.mixed, self.side.abs());
        let mixed = reached(lengths.mixed, self.loud) && both_sides;
        found.set(SignalTest::Mixed, mixed);
        found
    }

    /// Whether the last point lies in one of the zones, with enough others of the same side.
    fn crowded(&self, share: Option<Share>, zones: [usize; 2]) -> bool {
        let Some(share) = share else { return false };
        let last = u64::MAX >> (64 - share.among.clamp(1, 64));
        zones.into_iter().any(|zone| {
            let points = self.zones.get(zone).copied().unwrap_or_default();
            points & 1 == 1 && (points & last).count_ones() >= share.points
        })
    }
}

/// The sign of a difference; 0 for equal.
fn sign(difference: f64) -> i64 {
    i64::from(difference > 0.0) - i64::from(difference < 0.0)
}

/// A run of one direction, after one more step.
fn lengthened(run: i64, step: i64) -> i64 {
    if run.signum() == step {
        run.saturating_add(step)
    } else {
        step
    }
}

/// All signals of a chart, by point and then by test.
///
/// # Errors
/// Those of [`Watch::new`] and [`Watch::add`].
pub fn signals(
    values: &[f64],
    lengths: RunLengths,
    centre: f64,
    deviation: f64,
) -> Result<Vec<Signal>, StatisticsError> {
    let mut watch = Watch::new(lengths, centre, deviation)?;
    let mut found = Vec::new();
    for (point, value) in values.iter().enumerate() {
        let tests = watch.add(*value)?;
        found.extend(tests.iter().map(|test| Signal { test, point }));
    }
    Ok(found)
}
