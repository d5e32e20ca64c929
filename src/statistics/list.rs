//! What every function of this room asks of a list before it computes.

use super::StatisticsError;

/// Largest magnitude of a value: its square, and a sum of very many, stay finite.
pub(super) const MAGNITUDE_MAX: f64 = 1e140;

/// Refuses a list that is too short or holds a value that is not finite or too large.
pub(super) fn check(
    values: &[f64],
    needed: usize,
    for_what: &'static str,
) -> Result<(), StatisticsError> {
    check_count(values.len(), needed, for_what)?;
    refusal(values).map_or(Ok(()), Err)
}

/// Refuses a list that is too short.
pub(super) fn check_count(
    found: usize,
    needed: usize,
    for_what: &'static str,
) -> Result<(), StatisticsError> {
    if found < needed {
        return Err(StatisticsError::TooFew {
            found,
            needed,
            for_what,
        });
    }
    Ok(())
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
