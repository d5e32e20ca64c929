//! What every question has checked before it is computed, and the moments that many share.

use super::StatisticsError;

/// The confidence levels for which every function of this room is measured.
const CONFIDENCE_MIN: f64 = 0.5;
const CONFIDENCE_MAX: f64 = 0.998;
/// How many sums run side by side, and how many values are added before their total is kept.
const LANES: usize = 8;
const BLOCK: usize = 1024;
/// Largest magnitude of a value: its square, and a sum of very many, stay finite.
pub(super) const MAGNITUDE_MAX: f64 = 1e140;

/// Refuses a list that is too short or holds a value that is not finite or too large.
pub(super) fn check(
    values: &[f64],
    needed: usize,
    for_what: &'static str,
) -> Result<(), StatisticsError> {
    enough(values.len(), needed, for_what)?;
    refusal(values).map_or(Ok(()), Err)
}

/// What is wrong with the first value that cannot be computed with.
pub(super) fn refusal(values: &[f64]) -> Option<StatisticsError> {
    // Not-a-number compares as false, and is refused.
    let index = values.iter().position(|x| !fits(*x))?;
    let found = values.get(index).copied()?;
    Some(refusal_of(index, found))
}

/// Whether this room computes with the value.
pub(super) fn fits(value: f64) -> bool {
    value.abs() <= MAGNITUDE_MAX
}

/// Why a value that does not fit is refused.
pub(super) fn refusal_of(index: usize, found: f64) -> StatisticsError {
    if found.is_finite() {
        return StatisticsError::OutOfRange {
            name: "value",
            found,
            allowed: "between -1e140 and 1e140",
        };
    }
    StatisticsError::NotFinite { index }
}

/// Nothing, or the first value that is infinite or no number.
pub(super) fn finite(values: &[f64]) -> Result<(), StatisticsError> {
    match values.iter().position(|value| !value.is_finite()) {
        Some(index) => Err(StatisticsError::NotFinite { index }),
        None => Ok(()),
    }
}

/// Nothing, or the first such value counted over all groups in order.
pub(super) fn finite_groups<G: AsRef<[f64]>>(groups: &[G]) -> Result<(), StatisticsError> {
    let mut all = groups.iter().flat_map(|group| group.as_ref());
    match all.position(|value| !value.is_finite()) {
        Some(index) => Err(StatisticsError::NotFinite { index }),
        None => Ok(()),
    }
}

/// Nothing, or how many values are missing.
pub(super) fn enough(
    found: usize,
    needed: usize,
    for_what: &'static str,
) -> Result<(), StatisticsError> {
    enough_of("value", found, needed, for_what)
}

/// Nothing, or how many are missing of what `of` names: a `group`, a `part`.
pub(super) fn enough_of(
    of: &'static str,
    found: usize,
    needed: usize,
    for_what: &'static str,
) -> Result<(), StatisticsError> {
    if found < needed {
        return Err(StatisticsError::TooFew {
            of,
            found,
            needed,
            for_what,
        });
    }
    Ok(())
}

/// Nothing, or that the confidence level lies outside 0.5 to 0.998.
pub(super) fn confidence(level: f64) -> Result<(), StatisticsError> {
    in_range(
        "confidence level",
        level,
        CONFIDENCE_MIN,
        CONFIDENCE_MAX,
        "0.5 to 0.998",
    )
}

/// Nothing, or that a value is no number from `least` to `most`.
pub(super) fn in_range(
    name: &'static str,
    found: f64,
    least: f64,
    most: f64,
    allowed: &'static str,
) -> Result<(), StatisticsError> {
    if (least..=most).contains(&found) {
        return Ok(());
    }
    Err(StatisticsError::OutOfRange {
        name,
        found,
        allowed,
    })
}

/// Mean and sum of squared deviations from it: two passes, relative to the first value, so that
/// a large common part costs no digits. The values are finite and at least one.
pub(super) fn mean_and_squares(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let origin = values.first().copied().unwrap_or(0.0);
    let shift = sum_of(values, |value| value - origin) / n;
    let left = sum_of(values, |value| (value - origin) - shift);
    let squares = sum_of(values, |value| {
        let deviation = (value - origin) - shift;
        deviation * deviation
    });
    let mean = origin + (shift + left / n);
    (mean, (squares - left * left / n).max(0.0))
}

/// Mean and standard deviation (n - 1) of at least two finite values that are not all the same.
pub(super) fn mean_and_sd(values: &[f64]) -> Result<(f64, f64), StatisticsError> {
    finite(values)?;
    enough(values.len(), 2, "a standard deviation")?;
    if all_equal(values) {
        return Err(StatisticsError::AllEqual);
    }
    let (mean, squares) = mean_and_squares(values);
    let sd = (squares / (values.len() - 1) as f64).sqrt();
    if !sd.is_finite() || sd < f64::MIN_POSITIVE {
        return Err(beyond(sd));
    }
    Ok((mean, sd))
}

/// That a spread left the range of floats.
pub(super) fn beyond(found: f64) -> StatisticsError {
    StatisticsError::OutOfRange {
        name: "spread of the values",
        found,
        allowed: "between 1e-150 and 1e150",
    }
}

/// Whether no value differs from the first.
pub(super) fn all_equal(values: &[f64]) -> bool {
    let mut pairs = values.windows(2);
    !pairs.any(|pair| (pair[1] - pair[0]).abs() > 0.0)
}

/// The sum of a term of each value, in eight lanes over short blocks whose totals are added with
/// their rounding errors: as fast as plain adding, and without its loss over a million values.
pub(super) fn sum_of(values: &[f64], term: impl Fn(f64) -> f64) -> f64 {
    let blocks = values.chunks(BLOCK).map(|block| {
        let mut lanes = [0.0_f64; LANES];
        let mut eights = block.chunks_exact(LANES);
        for eight in &mut eights {
            for (lane, value) in lanes.iter_mut().zip(eight) {
                *lane += term(*value);
            }
        }
        let rest: f64 = eights.remainder().iter().map(|value| term(*value)).sum();
        lanes.iter().sum::<f64>() + rest
    });
    sum(blocks)
}

/// The sum with its rounding errors carried along (Neumaier).
pub(super) fn sum(values: impl Iterator<Item = f64>) -> f64 {
    let (mut total, mut lost) = (0.0_f64, 0.0_f64);
    for value in values {
        let next = total + value;
        lost += if total.abs() >= value.abs() {
            (total - next) + value
        } else {
            (value - next) + total
        };
        total = next;
    }
    total + lost
}
