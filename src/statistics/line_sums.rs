//! A straight line through whole numbers as they come, from exact sums.

use super::checked::{enough, in_range};
use super::trend::{Line, Moments};
use super::{StatisticsError, Sums};

/// Largest magnitude of a place and of a value.
const PLACE_MAX: f64 = 1e10;
const VALUE_MAX: f64 = 1e12;
/// Largest number of points: no sum and no product of sum and number overflows.
const COUNT_MAX: f64 = 4e6;

/// Exact sums of points: what goes in can come out again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LineSums {
    count: u32,
    places: i128,
    values: i128,
    place_squares: i128,
    products: i128,
    value_squares: i128,
}

impl LineSums {
    /// No points yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Puts a point in.
    ///
    /// # Errors
    /// `OutOfRange` for a place beyond 1e10, a value beyond 1e12, or more than 4 million points; it
    /// is not put in.
    pub fn add(&mut self, place: i64, value: i64) -> Result<(), StatisticsError> {
        in_range("place", place as f64, -PLACE_MAX, PLACE_MAX, "within 1e10")?;
        in_range("value", value as f64, -VALUE_MAX, VALUE_MAX, "within 1e12")?;
        let count = f64::from(self.count) + 1.0;
        in_range(
            "number of points",
            count,
            1.0,
            COUNT_MAX,
            "at most 4 million",
        )?;
        let (x, y) = (i128::from(place), i128::from(value));
        self.count += 1;
        self.places += x;
        self.values += y;
        self.place_squares += x * x;
        self.products += x * y;
        self.value_squares += y * y;
        Ok(())
    }

    /// Number of points.
    pub fn count(&self) -> usize {
        self.count as usize
    }

    /// Sums of the values alone.
    pub fn values(&self) -> Sums {
        Sums {
            count: self.count,
            sum: self.values,
            squares: self.value_squares,
        }
    }

    /// The straight line of least squares; the same as [`fit_line`](super::fit_line) of the points.
    ///
    /// Formula: slope b = C/A; s^2 = (A B - C^2)/(n A (n - 2)) with A = n Sum x^2 - (Sum x)^2,
    ///          B = n Sum y^2 - (Sum y)^2, C = n Sum xy - Sum x Sum y
    /// Symbols: x places, y values, n their number.
    /// Valid:   3 points and more, not all at one place. A, B, C are exact; A B - C^2 is while it
    ///          is below 1.7e38, else its relative error is 2e-16/(1 - r^2).
    /// Rounding: none.
    /// Source:  least squares, NIST/SEMATECH e-Handbook 4.1.4.1 (from memory).
    /// Checked: tests/logic/statistics_trend.rs.
    /// Errors:  TooFew, AllEqual (all places the same).
    pub fn line(&self) -> Result<Line, StatisticsError> {
        enough(self.count(), 3, "a trend")?;
        let count = i128::from(self.count);
        let of_places = count * self.place_squares - self.places * self.places;
        let of_values = count * self.value_squares - self.values * self.values;
        let of_both = count * self.products - self.places * self.values;
        if of_places == 0 {
            return Err(StatisticsError::AllEqual);
        }
        let (n, a) = (f64::from(self.count), of_places as f64);
        let exact = || {
            let all = of_places.checked_mul(of_values)?;
            all.checked_sub(of_both.checked_mul(of_both)?)
        };
        let left = match exact() {
            Some(left) => left as f64 / (n * a),
            None => (of_values as f64 - of_both as f64 * (of_both as f64 / a)).max(0.0) / n,
        };
        Moments {
            n: self.count(),
            place_mean: self.places as f64 / n,
            place_squares: a / n,
            value_mean: self.values as f64 / n,
            value_squares: of_values as f64 / n,
            slope: of_both as f64 / a,
            left,
        }
        .line()
    }
}
