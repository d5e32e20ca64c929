//! Statistics of readings as they come: exact whole-number sums, so that what is voided leaves
//! without a trace and what is restored comes back.

use super::checked::enough;
use super::control::individuals_limits;
use super::{ChartLimits, StatisticsError, Summary};

/// Largest magnitude of a value: 1 km in nanometres. With [`COUNT_MAX`] values no sum overflows:
/// count x sum of squares < 4e6 x 4e6 x 1e24 < 2^127.
const VALUE_MAX: u64 = 1_000_000_000_000;
/// Largest number of readings in a series.
const COUNT_MAX: usize = 4_000_000;

/// Number, sum and sum of squares of whole numbers, exact: what goes in can come out again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Sums {
    pub(super) count: u32,
    pub(super) sum: i128,
    pub(super) squares: i128,
}

/// Readings in the order in which they were taken, some of them voided.
///
/// A reading is a whole number of units (which unit is the caller's business). Adding costs the
/// same for every reading. Voiding and restoring look for the neighbours, and voiding the least or
/// the largest value looks for the next one.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Series {
    values: Vec<i64>,
    is_void: Vec<bool>,
    sums: Sums,
    /// Sum of the moving ranges between live neighbours.
    ranges: i128,
    least: i64,
    largest: i64,
    /// Place of the last live reading.
    last: Option<usize>,
}

impl Series {
    /// No readings yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes a reading; its place, counted from 0 with the voided ones.
    ///
    /// # Errors
    /// `OutOfRange` for a value beyond 1e12 units or beyond 4 million readings; it is not taken.
    pub fn add(&mut self, value: i64) -> Result<usize, StatisticsError> {
        check_value(value)?;
        let place = self.values.len();
        check_place(place)?;
        let before = self.last;
        self.values.push(value);
        self.is_void.push(false);
        self.count_in(value, before, None);
        self.last = Some(place);
        Ok(place)
    }

    /// Takes a reading out of the statistics. Whether it was in.
    ///
    /// # Errors
    /// `OutOfRange` for a place without a reading.
    pub fn void(&mut self, place: usize) -> Result<bool, StatisticsError> {
        let value = self.at(place)?;
        if self.is_voided(place) {
            return Ok(false);
        }
        self.mark(place, true);
        let (before, after) = self.live_neighbours(place);
        self.sums.take_out(value);
        self.ranges +=
            self.gap(before, after) - self.gap(before, Some(place)) - self.gap(Some(place), after);
        if after.is_none() {
            self.last = before;
        }
        if value == self.least || value == self.largest {
            self.least = self.live_values().min().unwrap_or_default();
            self.largest = self.live_values().max().unwrap_or_default();
        }
        Ok(true)
    }

    /// Puts a voided reading back at its place. Whether it was out.
    ///
    /// # Errors
    /// `OutOfRange` for a place without a reading.
    pub fn restore(&mut self, place: usize) -> Result<bool, StatisticsError> {
        let value = self.at(place)?;
        if !self.is_voided(place) {
            return Ok(false);
        }
        self.mark(place, false);
        let (before, after) = self.live_neighbours(place);
        self.count_in(value, before, after);
        if after.is_none() {
            self.last = Some(place);
        }
        Ok(true)
    }

    /// Number of readings that count.
    pub fn count(&self) -> usize {
        self.sums.count()
    }

    /// The readings that count, in order.
    pub fn live_values(&self) -> impl Iterator<Item = i64> {
        let marked = self.values.iter().zip(&self.is_void);
        marked.filter_map(|(value, void)| (!void).then_some(*value))
    }

    /// Number, mean, standard deviation, least and largest of the readings that count, in units:
    /// [`Sums::summary`].
    ///
    /// # Errors
    /// `TooFew` without a reading.
    pub fn summary(&self) -> Result<Summary, StatisticsError> {
        self.sums.summary((self.least, self.largest))
    }

    /// Mean moving range of the readings that count, in units; neighbours are those that are left.
    ///
    /// Formula, Symbols, Source: as [`mean_moving_range`](super::mean_moving_range).
    /// Valid:   2 or more readings.
    /// Rounding: one division.
    /// Checked: tests/logic/statistics_running.rs.
    /// Errors:  TooFew.
    pub fn mean_moving_range(&self) -> Result<f64, StatisticsError> {
        enough(self.count(), 2, "a moving range")?;
        Ok(self.ranges as f64 / (f64::from(self.sums.count) - 1.0))
    }

    /// Limits of the individuals chart of the readings that count.
    ///
    /// # Errors
    /// `TooFew` below two readings.
    pub fn individuals_limits(&self) -> Result<ChartLimits, StatisticsError> {
        individuals_limits(self.summary()?.mean, self.mean_moving_range()?)
    }

    fn count_in(&mut self, value: i64, before: Option<usize>, after: Option<usize>) {
        let apart = |place: Option<usize>| {
            let neighbour = place.and_then(|at| self.values.get(at));
            neighbour.map_or(0, |at| i128::from(*at - value).abs())
        };
        self.ranges += apart(before) + apart(after) - self.gap(before, after);
        let is_first = self.sums.count == 0;
        self.least = if is_first {
            value
        } else {
            self.least.min(value)
        };
        self.largest = if is_first {
            value
        } else {
            self.largest.max(value)
        };
        self.sums.put_in(value);
    }

    /// How far two readings are apart; 0 where one of them is missing.
    fn gap(&self, one: Option<usize>, other: Option<usize>) -> i128 {
        let value = |place: Option<usize>| place.and_then(|at| self.values.get(at));
        match (value(one), value(other)) {
            (Some(one), Some(other)) => i128::from(other - one).abs(),
            _ => 0,
        }
    }

    fn at(&self, place: usize) -> Result<i64, StatisticsError> {
        self.values
            .get(place)
            .copied()
            .ok_or(StatisticsError::OutOfRange {
                name: "place of a reading, counted from 0,",
                found: place as f64,
                allowed: "below the number of readings",
            })
    }

    fn is_voided(&self, place: usize) -> bool {
        self.is_void.get(place).copied().unwrap_or(true)
    }

    fn mark(&mut self, place: usize, void: bool) {
        if let Some(mark) = self.is_void.get_mut(place) {
            *mark = void;
        }
    }

    /// The nearest readings on both sides that count.
    fn live_neighbours(&self, place: usize) -> (Option<usize>, Option<usize>) {
        let counts = |at: &usize| !self.is_voided(*at);
        let before = (0..place).rev().find(counts);
        let after = (place + 1..self.values.len()).find(counts);
        (before, after)
    }
}

impl Sums {
    /// No values yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Puts a value in.
    ///
    /// # Errors
    /// `OutOfRange` for a value beyond 1e12 units or beyond 4 million values; it is not put in.
    pub fn add(&mut self, value: i64) -> Result<(), StatisticsError> {
        check_value(value)?;
        check_place(self.count())?;
        self.put_in(value);
        Ok(())
    }

    /// Takes a value out that was put in before; the sums are then as if it had never been.
    pub fn remove(&mut self, value: i64) {
        if self.count > 0 && value.unsigned_abs() <= VALUE_MAX {
            self.take_out(value);
        }
    }

    fn put_in(&mut self, value: i64) {
        self.count += 1;
        self.sum += i128::from(value);
        self.squares += square(value);
    }

    fn take_out(&mut self, value: i64) {
        self.count -= 1;
        self.sum -= i128::from(value);
        self.squares -= square(value);
    }

    /// Number of values.
    pub fn count(&self) -> usize {
        self.count as usize
    }

    /// Sum of the values.
    pub fn sum(&self) -> i128 {
        self.sum
    }

    /// Number, mean and standard deviation in units, with the least and the largest as they are
    /// known; the same as [`summary`](super::summary) of the values, from exact sums.
    ///
    /// Formula: m = S/n; s = sqrt((n Q - S^2)/(n (n - 1)))
    /// Symbols: n number of values, S their sum, Q sum of their squares, m mean, s standard
    ///          deviation.
    /// Valid:   1 or more values; s needs 2. n Q - S^2 is exact.
    /// Rounding: none before the last two operations; relative error below 1e-15.
    /// Source:  identity with the definition in NIST StRD, univariate summary statistics.
    /// Checked: tests/logic/statistics_running.rs.
    /// Errors:  TooFew.
    pub fn summary(&self, (least, largest): (i64, i64)) -> Result<Summary, StatisticsError> {
        enough(self.count(), 1, "a summary")?;
        Ok(Summary {
            count: self.count(),
            mean: self.mean().unwrap_or_default(),
            standard_deviation: self.deviation(),
            min: least as f64,
            max: largest as f64,
        })
    }

    /// Mean; none without a value.
    pub fn mean(&self) -> Option<f64> {
        (self.count > 0).then(|| self.sum as f64 / f64::from(self.count))
    }

    /// Standard deviation of a sample, as in [`Sums::summary`]; none below two values.
    pub fn deviation(&self) -> Option<f64> {
        let n = f64::from(self.count);
        let scatter = i128::from(self.count) * self.squares - self.sum * self.sum;
        (self.count > 1).then(|| (scatter as f64 / (n * (n - 1.0))).sqrt())
    }
}

fn check_value(value: i64) -> Result<(), StatisticsError> {
    if value.unsigned_abs() > VALUE_MAX {
        return Err(StatisticsError::OutOfRange {
            name: "reading",
            found: value as f64,
            allowed: "within 1e12 units",
        });
    }
    Ok(())
}

fn check_place(place: usize) -> Result<(), StatisticsError> {
    if place >= COUNT_MAX {
        return Err(StatisticsError::OutOfRange {
            name: "number of readings",
            found: place as f64 + 1.0,
            allowed: "at most 4 million",
        });
    }
    Ok(())
}

fn square(value: i64) -> i128 {
    i128::from(value) * i128::from(value)
}
