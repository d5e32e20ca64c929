//! A straight line through values in their order: drift, what comes next, when a limit is reached.

use super::StatisticsError;
use super::checked::{all_equal, confidence, enough, finite, in_range, mean_and_squares, sum};
use super::fisher::student_two_tails;
use super::special::student_quantile;

/// A fitted straight line with what its deviations say about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// How many points there are.
    pub n: usize,
    /// The value at 0.
    pub intercept: f64,
    /// The rise per step.
    pub slope: f64,
    /// The standard deviation of the points about the line.
    pub residual_sd: f64,
    /// The standard deviation of the intercept.
    pub intercept_sd: f64,
    /// The standard deviation of the slope.
    pub slope_sd: f64,
    /// The share of the variance that the line explains; 0 where all values are the same.
    pub r_squared: f64,
    /// The probability that a slope so steep comes by chance.
    pub slope_p: f64,
    /// The probability that an intercept so far from 0 comes by chance.
    pub intercept_p: f64,
    /// The mean of the places.
    pub place_mean: f64,
    /// The mean of the values.
    pub value_mean: f64,
    /// The sum of squared deviations of the places.
    pub place_squares: f64,
}

/// What a line predicts at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prediction {
    /// The place.
    pub at: f64,
    /// The line's value there.
    pub value: f64,
    /// Half the width of the interval of the line itself.
    pub line_half_width: f64,
    /// Half the width of the interval of a single new value.
    pub single_half_width: f64,
}

/// Where a line reaches a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Where the line itself reaches it.
    pub at: f64,
    /// The interval of that place.
    pub line: (f64, f64),
    /// The interval of the place where a single value reaches it: the first place is where the
    /// first values may lie beyond.
    pub single: (f64, f64),
}

/// The line through values in their order, the first at place 1.
///
/// Formula: as `fit_line`, x = 1, 2, ... n
/// Symbols: see there.
/// Valid:   3 values and more.
/// Rounding: none.
/// Source:  least squares.
/// Checked: tests/tables/linear_trend.json.
/// Errors:  `NotFinite`, `TooFew`.
pub fn trend(values: &[f64]) -> Result<Line, StatisticsError> {
    let places: Vec<f64> = (1..=values.len()).map(|at| at as f64).collect();
    fit_line(&places, values)
}

/// The straight line of least squares.
///
/// Formula: slope b = Sxy/Sxx; intercept a = mean y - b mean x; s^2 = sum (y - a - b x)^2/(n - 2);
///          s(b) = s/sqrt(Sxx); s(a) = s sqrt(1/n + (mean x)^2/Sxx)
/// Symbols: x places, y values; Sxx, Sxy sums of squared deviations and of their products.
/// Valid:   3 points and more, not all at one place.
/// Rounding: none; deviations are taken from the means, so a common part costs no digits.
/// Source:  NIST/SEMATECH e-Handbook 4.1.4.1 (from memory).
/// Checked: tests/tables/linear_trend.json (NIST StRD Norris to 12 digits).
/// Errors:  `NotFinite`, `TooFew`, `Ragged`, `AllEqual` (all places the same).
pub fn fit_line(places: &[f64], values: &[f64]) -> Result<Line, StatisticsError> {
    finite(places)?;
    finite(values)?;
    let n = values.len();
    if places.len() != n {
        return Err(StatisticsError::Ragged {
            found: places.len(),
            needed: n,
        });
    }
    enough(n, 3, "a trend")?;
    if all_equal(places) {
        return Err(StatisticsError::AllEqual);
    }
    let (place_mean, place_squares) = mean_and_squares(places);
    let (value_mean, value_squares) = mean_and_squares(values);
    let pairs = || {
        places
            .iter()
            .zip(values)
            .map(|(x, y)| (x - place_mean, y - value_mean))
    };
    let slope = sum(pairs().map(|(x, y)| x * y)) / place_squares;
    let level = all_equal(values);
    let left = sum(pairs().map(|(x, y)| (y - slope * x).powi(2)));
    let (slope, left) = if level { (0.0, 0.0) } else { (slope, left) };
    Moments {
        n,
        place_mean,
        place_squares,
        value_mean,
        value_squares,
        slope,
        left,
    }
    .line()
}

/// What a line is made of.
pub(super) struct Moments {
    pub(super) n: usize,
    pub(super) place_mean: f64,
    /// Sum of squared deviations of the places; above 0.
    pub(super) place_squares: f64,
    pub(super) value_mean: f64,
    /// Sum of squared deviations of the values; 0 where all are the same.
    pub(super) value_squares: f64,
    pub(super) slope: f64,
    /// Sum of squared deviations from the line.
    pub(super) left: f64,
}

impl Moments {
    /// The line; there are 3 points and more.
    pub(super) fn line(&self) -> Result<Line, StatisticsError> {
        let (slope, place_mean, place_squares) = (self.slope, self.place_mean, self.place_squares);
        let freedom = (self.n - 2) as f64;
        let residual_sd = (self.left / freedom).sqrt();
        let slope_sd = residual_sd / place_squares.sqrt();
        let intercept = self.value_mean - slope * place_mean;
        let reach = 1.0 / self.n as f64 + place_mean * place_mean / place_squares;
        let intercept_sd = residual_sd * reach.sqrt();
        for found in [slope, intercept, residual_sd, slope_sd, intercept_sd] {
            in_range(
                "line through the values",
                found,
                -1e300,
                1e300,
                "within the range of floats",
            )?;
        }
        let level = self.value_squares <= 0.0 || slope.abs() <= 0.0 && self.left <= 0.0;
        Ok(Line {
            n: self.n,
            intercept,
            slope,
            residual_sd,
            intercept_sd,
            slope_sd,
            r_squared: if level {
                0.0
            } else {
                (1.0 - self.left / self.value_squares).max(0.0)
            },
            slope_p: chance(slope, slope_sd, freedom)?,
            intercept_p: chance(intercept, intercept_sd, freedom)?,
            place_mean,
            value_mean: self.value_mean,
            place_squares,
        })
    }
}

/// The probability of lying so far from zero by chance.
fn chance(found: f64, sd: f64, freedom: f64) -> Result<f64, StatisticsError> {
    if found.abs() <= 0.0 {
        return Ok(1.0);
    }
    if sd <= 0.0 {
        return Ok(0.0);
    }
    student_two_tails(found / sd, freedom)
}

impl Line {
    /// Degrees of freedom of the deviations from the line.
    pub fn degrees_of_freedom(&self) -> f64 {
        (self.n - 2) as f64
    }

    /// Whether the line rises or falls by more than chance.
    pub fn is_significant(&self, confidence: f64) -> bool {
        self.slope_p < 1.0 - confidence
    }

    /// The interval of the slope.
    ///
    /// # Errors
    /// `OutOfRange` for a confidence outside 0.5 to 0.998.
    pub fn slope_interval(&self, confidence: f64) -> Result<(f64, f64), StatisticsError> {
        let half = self.factor(confidence)? * self.slope_sd;
        Ok((self.slope - half, self.slope + half))
    }

    fn factor(&self, level: f64) -> Result<f64, StatisticsError> {
        confidence(level)?;
        student_quantile(0.5 + 0.5 * level, self.degrees_of_freedom())
    }

    /// What the line says about the values at a place.
    ///
    /// Formula: a + b x; line -/+ t s sqrt(1/n + (x - mean)^2/Sxx); single -/+ t s sqrt(1 + 1/n +
    ///          (x - mean)^2/Sxx)
    /// Symbols: as `fit_line`; t two-sided Student quantile with n - 2 degrees of freedom.
    /// Valid:   deviations normal and independent; every place (far away the line may end).
    /// Rounding: none.
    /// Source:  NIST/SEMATECH e-Handbook 4.5.1 (from memory).
    /// Checked: tests/tables/linear_trend.json.
    /// Errors:  `OutOfRange`.
    pub fn predict(&self, at: f64, confidence: f64) -> Result<Prediction, StatisticsError> {
        in_range("place", at, -1e150, 1e150, "a finite number")?;
        let t = self.factor(confidence)?;
        let away = at - self.place_mean;
        let reach = 1.0 / self.n as f64 + away * away / self.place_squares;
        Ok(Prediction {
            at,
            value: self.value_mean + self.slope * away,
            line_half_width: t * self.residual_sd * reach.sqrt(),
            single_half_width: t * self.residual_sd * (1.0 + reach).sqrt(),
        })
    }

    /// Where the line reaches `limit`; none where its slope may be chance.
    ///
    /// Formula: x with (y - a - b x)^2 = t^2 s^2 (q + (x - mean)^2/Sxx), q = 1/n for the line and
    ///          1 + 1/n for a single value; both roots exist where t s(b) < |b|
    /// Symbols: as `predict`; y limit.
    /// Valid:   deviations normal and independent.
    /// Rounding: none.
    /// Source:  E. C. Fieller, J. R. Statist. Soc. B 16 (1954) 175-185 (from memory).
    /// Checked: tests/tables/linear_trend.json, tests/tables/fieller.json.
    /// Errors:  `OutOfRange`.
    pub fn reaches(
        &self,
        limit: f64,
        confidence: f64,
    ) -> Result<Option<Crossing>, StatisticsError> {
        in_range("limit", limit, -1e150, 1e150, "a finite number")?;
        let noise = self.factor(confidence)? * self.residual_sd;
        let steep = self.slope * self.slope - noise * noise / self.place_squares;
        if steep <= 0.0 {
            return Ok(None);
        }
        let (n, away) = (self.n as f64, limit - self.value_mean);
        let ends = |q: f64| {
            let root = noise * (q * steep + away * away / self.place_squares).sqrt();
            let one = self.place_mean + (away * self.slope - root) / steep;
            let other = self.place_mean + (away * self.slope + root) / steep;
            (one.min(other), one.max(other))
        };
        Ok(Some(Crossing {
            at: self.place_mean + away / self.slope,
            line: ends(1.0 / n),
            single: ends(1.0 + 1.0 / n),
        }))
    }
}
