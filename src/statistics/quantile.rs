//! Quantiles for display, by one named definition.

use super::StatisticsError;
use super::checked::{enough, fits, refusal};

/// One quantile; see [`quantiles`], which is faster for several of one list.
///
/// Formula, Symbols, Valid, Rounding, Source, Checked, Errors: as [`quantiles`].
pub fn quantile(values: &[f64], p: f64) -> Result<f64, StatisticsError> {
    let found = quantiles(values, &[p])?;
    Ok(found.first().copied().unwrap_or_default())
}

/// Quantiles by definition 7: the value at the place (n - 1) p of the sorted list, linear between
/// neighbours.
///
/// Formula: Q(p) = y(j) + (h - j) (y(j+1) - y(j)), h = (n - 1) p, j = floor(h)
/// Symbols: y sorted values, counted from 0; n their number; p share of the values below.
/// Valid:   1 or more values between -1e140 and 1e140; p from 0 to 1; p = 0 is the least, p = 1
///          the largest, p = 0.5 the median.
/// Rounding: none.
/// Source:  R. J. Hyndman, Y. Fan, Sample quantiles in statistical packages, The American
///          Statistician 50 (1996) 361-365, definition 7 (from memory); numpy's default. Not the
///          one for capability by percentiles, which states its own.
/// Checked: tests/tables/quantiles.csv.
/// Errors:  TooFew, NotFinite, OutOfRange.
pub fn quantiles(values: &[f64], shares: &[f64]) -> Result<Vec<f64>, StatisticsError> {
    enough(values.len(), 1, "a quantile")?;
    if let Some(found) = shares.iter().find(|p| !(0.0..=1.0).contains(*p)) {
        return Err(StatisticsError::OutOfRange {
            name: "share of values",
            found: *found,
            allowed: "from 0 to 1",
        });
    }
    let mut all_fit = true;
    let key = |y: &f64| {
        all_fit &= fits(*y);
        sortable(*y)
    };
    let mut keys: Vec<i64> = values.iter().map(key).collect();
    if !all_fit {
        return Err(refusal(values).unwrap_or(StatisticsError::NotFinite { index: 0 }));
    }
    let last = keys.len() - 1;
    let places: Vec<Place> = shares.iter().map(|p| place(*p, last)).collect();
    let mut ranks: Vec<usize> = places.iter().flat_map(|at| [at.below, at.above]).collect();
    ranks.sort_unstable();
    ranks.dedup();
    select(&mut keys, 0, &ranks);
    let value = |at: usize| keys.get(at).map_or(0.0, |key| from_sortable(*key));
    Ok(places.iter().map(|at| at.between(value)).collect())
}

/// The same quantile of values that are ascending already; there is at least one.
pub(super) fn of_sorted(sorted: &[f64], p: f64) -> f64 {
    let at = place(p, sorted.len().saturating_sub(1));
    at.between(|at| sorted.get(at).copied().unwrap_or_default())
}

/// Between which two places of the sorted list a quantile lies.
struct Place {
    below: usize,
    above: usize,
    /// How far from `below` to `above`, 0 to 1.
    share: f64,
}

impl Place {
    fn between(&self, value: impl Fn(usize) -> f64) -> f64 {
        let (low, high) = (value(self.below), value(self.above));
        (low + self.share * (high - low)).min(high)
    }
}

fn place(p: f64, last: usize) -> Place {
    let height = p * last as f64;
    // Between 0 and `last`, a whole number: the conversion is exact.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let below = (height.floor() as usize).min(last);
    Place {
        below,
        above: (below + 1).min(last),
        share: height - below as f64,
    }
}

/// Puts the values of these ranks (ascending, counted from `offset`) where sorting would put them.
fn select(keys: &mut [i64], offset: usize, ranks: &[usize]) {
    let Some(middle) = ranks.get(ranks.len() / 2).copied() else {
        return;
    };
    let (lower, rest) = ranks.split_at(ranks.len() / 2);
    let upper = rest.get(1..).unwrap_or_default();
    let (left, _, right) = keys.select_nth_unstable(middle - offset);
    select(left, offset, lower);
    select(right, middle + 1, upper);
}

/// A whole number that sorts as the float does: comparing whole numbers needs no branch.
fn sortable(value: f64) -> i64 {
    mirrored(value.to_bits().cast_signed())
}

fn from_sortable(key: i64) -> f64 {
    f64::from_bits(mirrored(key).cast_unsigned())
}

/// Turns the order of the negative half around; twice is nothing.
fn mirrored(bits: i64) -> i64 {
    bits ^ ((bits >> 63) & i64::MAX)
}
