//! What the order of the values tells: whether neighbours resemble each other, and how far they
//! are apart.

use super::checked::{MAGNITUDE_MAX, check, enough, refusal, sum};
use super::{StatisticsError, summary};

/// Differences that are summed side by side.
const LANES: usize = 8;
/// Differences summed before the sum is put aside, which keeps the rounding small.
const BLOCK: usize = 2048;

/// Autocorrelation of neighbours (lag 1): near 0 when each value is independent of the one before.
///
/// Formula: r1 = sum_{i=1}^{n-1}((y_i - m)(y_{i+1} - m)) / sum_{i=1}^{n}((y_i - m)^2)
/// Symbols: y values in order of making, n their number, m their mean.
/// Valid:   2 or more values, not all equal; between -1 and 1.
/// Rounding: none.
/// Source:  NIST StRD, univariate summary statistics.
/// Checked: tests/tables/strd_univariate.json.
/// Errors:  TooFew, NotFinite, OutOfRange, AllEqual.
pub fn lag1_autocorrelation(values: &[f64]) -> Result<f64, StatisticsError> {
    check(values, 2, "an autocorrelation")?;
    let first = values.first().copied().unwrap_or_default();
    let all = summary(values)?;
    let spread = all.max - all.min;
    if spread <= 0.0 {
        return Err(StatisticsError::AllEqual);
    }
    // Relative to the first value and in units of the spread: nothing vanishes, nothing overflows.
    let scaled: Vec<f64> = values.iter().map(|y| (y - first) / spread).collect();
    let mean = summary(&scaled)?.mean;
    let away = || scaled.iter().map(|y| y - mean);
    let products = sum(away().zip(away().skip(1)).map(|(one, next)| one * next));
    let squares = sum(away().map(|one| one * one));
    Ok((products / squares).clamp(-1.0, 1.0))
}

/// Mean moving range: how far neighbours are apart on average.
///
/// Formula: MR = sum_{i=2}^{n}(|y_i - y_{i-1}|)/(n - 1)
/// Symbols: y values in order of making, n their number.
/// Valid:   2 or more values; 0 when all are equal. Relative error below 1e-12.
/// Rounding: none.
/// Source:  ISO 7870-2, individuals chart (clause from memory).
/// Checked: tests/tables/control_charts.json, tests/tables/sequences.csv.
/// Errors:  TooFew, NotFinite, OutOfRange.
pub fn mean_moving_range(values: &[f64]) -> Result<f64, StatisticsError> {
    enough(values.len(), 2, "a moving range")?;
    let later = values.get(1..).unwrap_or_default();
    let mut sum = 0.0;
    for (left, right) in values.chunks(BLOCK).zip(later.chunks(BLOCK)) {
        sum += apart(left, right);
    }
    // A value that is no number, infinite or enormous makes the sum so.
    if sum.is_nan() || sum >= MAGNITUDE_MAX {
        check(values, 2, "a moving range")?;
    }
    // All may be enormous together, and the ranges small.
    if let Some(refused) = values
        .first()
        .and_then(|y| refusal(std::slice::from_ref(y)))
    {
        return Err(refused);
    }
    Ok(sum / later.len() as f64)
}

/// The sum of the distances of two lists, as far as both go.
fn apart(left: &[f64], right: &[f64]) -> f64 {
    let left = left.get(..right.len()).unwrap_or(left);
    let mut sums = [0.0; LANES];
    let ((left, left_rest), (right, right_rest)) =
        (left.as_chunks::<LANES>(), right.as_chunks::<LANES>());
    for (a, b) in left.iter().zip(right) {
        for lane in 0..LANES {
            sums[lane] += (b[lane] - a[lane]).abs();
        }
    }
    for ((lane, a), b) in left_rest.iter().enumerate().zip(right_rest) {
        sums[lane] += (b - a).abs();
    }
    let [a, b, c, d, e, f, g, h] = sums;
    ((a + e) + (c + g)) + ((b + f) + (d + h))
}
