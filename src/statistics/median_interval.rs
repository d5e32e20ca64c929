//! Between which two values the median of all parts lies, whatever their distribution.

use super::checked::{confidence, enough};
use super::fisher::fisher_upper_tail;
use super::ordered::ascending;
use super::{StatisticsError, summary};

/// The interval of the median by ranks; none where so few values cannot have that confidence.
///
/// Formula: y(r) to y(n + 1 - r), the largest r with P(B < r) <= (1 - confidence)/2
/// Symbols: y sorted values, n their number; B binomial, n trials of probability 1/2.
/// Valid:   any continuous distribution; the confidence is reached or exceeded. At 95 % 6 values
///          or more, up to 1e7.
/// Rounding: none.
/// Source:  ISO 16269-7 (from memory); the binomial distribution by that of Fisher.
/// Checked: tests/tables/median_ranks.csv.
/// Errors:  TooFew, NotFinite, OutOfRange.
pub fn median_interval(
    values: &[f64],
    confidence: f64,
) -> Result<Option<(f64, f64)>, StatisticsError> {
    self::confidence(confidence)?;
    enough(values.len(), 1, "an interval of the median")?;
    // Refuses what is no number.
    summary(values)?;
    let Some(rank) = rank(values.len(), confidence)? else {
        return Ok(None);
    };
    let sorted = ascending(values);
    let ends = (sorted.get(rank - 1), sorted.get(values.len() - rank));
    Ok(match ends {
        (Some(lower), Some(upper)) => Some((*lower, *upper)),
        _ => None,
    })
}

/// The largest rank from either end, counted from 1, that the median lies within.
fn rank(count: usize, confidence: f64) -> Result<Option<usize>, StatisticsError> {
    let each = 0.5 * (1.0 - confidence);
    // P(B < r) by the identity of the binomial and the incomplete beta function.
    let below = |rank: usize| {
        let (one, other) = (2.0 * rank as f64, 2.0 * (count - rank + 1) as f64);
        fisher_upper_tail(other / one, one, other)
    };
    let (mut least, mut most) = (0, count / 2);
    while least < most {
        let middle = (least + most).div_ceil(2);
        if below(middle)? <= each {
            least = middle;
        } else {
            most = middle - 1;
        }
    }
    Ok((least > 0).then_some(least))
}
