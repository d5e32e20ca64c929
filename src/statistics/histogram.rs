//! A histogram whose bins all hold the same number of possible readings.
//!
//! Bins that are not whole multiples of the resolution hold now one, now two possible readings,
//! and show a comb that the process never had.

use super::StatisticsError;
use super::checked::check;
use super::quantile::quantiles;

/// Steps of the resolution beyond which a float cannot count them exactly.
const STEPS_MAX: f64 = 4_503_599_627_370_496.0;
/// Largest number of bins that can be asked for.
const BINS_MAX: usize = 10_000;

/// Counts of values by bin.
#[derive(Debug, Clone, PartialEq)]
pub struct Histogram {
    /// Lower edge of the first bin: half a step below the least reading that it can hold.
    pub start: f64,
    /// Width of each bin: a whole multiple of the resolution.
    pub bin_width: f64,
    /// How many steps of the resolution a bin spans.
    pub steps_per_bin: i64,
    /// Number of values in each bin; the first and the last are not empty.
    pub counts: Vec<u64>,
}

/// Number of bins that a list is worth: narrow ones where most values lie near each other and a few
/// far off, and never fewer than Sturges' 1 + log2(n).
///
/// Formula: k = range/w, rounded up; w = min(w1, w2); w1 = range/(1 + log2(n)),
///          w2 = max(2 IQR/cbrt(n), range/(2 sqrt(n)))
/// Symbols: n number of values; IQR distance of their quartiles, by definition 7.
/// Valid:   1 or more values; 1 where all are equal.
/// Rounding: up.
/// Source:  D. Freedman, P. Diaconis, Zeitschrift fuer Wahrscheinlichkeitstheorie und verwandte
///          Gebiete 57 (1981) 453-476; H. A. Sturges, Journal of the American Statistical
///          Association 21 (1926) 65-66 (both from memory); the joined rule is numpy's "auto".
/// Checked: tests/tables/histogram_bins.json.
/// Errors:  those of [`quantiles`](super::quantiles).
pub fn number_of_bins(values: &[f64]) -> Result<usize, StatisticsError> {
    let found = quantiles(values, &[0.0, 0.25, 0.75, 1.0])?;
    let &[least, lower, upper, largest] = found.as_slice() else {
        return Ok(1);
    };
    let (n, range, between) = (values.len() as f64, largest - least, upper - lower);
    if range <= 0.0 {
        return Ok(1);
    }
    let usual = 1.0 + n.log2();
    let narrow = match between > 0.0 {
        true => range * n.cbrt() / (2.0 * between),
        false => f64::INFINITY,
    };
    let narrow = narrow.min(2.0 * n.sqrt());
    // At most 2 sqrt(n), far inside.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let bins = usual.max(narrow).ceil() as usize;
    Ok(bins.clamp(1, BINS_MAX))
}

/// Counts readings in at most so many bins of whole steps of the resolution. Bins begin at whole
/// multiples of their width in steps, so that a new reading moves none of them.
///
/// # Errors
/// `TooFew` for no values; `NotFinite`; `OutOfRange` for a resolution that is not positive or too
/// small to count the steps of a value exactly, or a number of bins outside 1 to 10 000.
pub fn histogram(
    values: &[f64],
    resolution: f64,
    bins_at_most: usize,
) -> Result<Histogram, StatisticsError> {
    check(values, 1, "a histogram")?;
    if !(1..=BINS_MAX).contains(&bins_at_most) {
        return Err(StatisticsError::OutOfRange {
            name: "number of bins",
            found: bins_at_most as f64,
            allowed: "from 1 to 10 000",
        });
    }
    let steps = steps_of(values, resolution)?;
    let least = steps.iter().copied().min().unwrap_or_default();
    let largest = steps.iter().copied().max().unwrap_or_default();
    let bins_wanted = i64::try_from(bins_at_most).unwrap_or(i64::MAX);
    let mut steps_per_bin = ((largest - least + 1) + bins_wanted - 1) / bins_wanted;
    // Whole multiples on both ends may cost one more bin; around 0 no width avoids two.
    let bins_for = |width: i64| largest.div_euclid(width) - least.div_euclid(width) + 1;
    while bins_for(steps_per_bin) > bins_wanted.max(2) {
        steps_per_bin += 1 + steps_per_bin / 16;
    }
    let first = if bins_for(steps_per_bin) > bins_wanted {
        // One bin was asked for: it begins at the least reading.
        steps_per_bin = largest - least + 1;
        least
    } else {
        least.div_euclid(steps_per_bin) * steps_per_bin
    };
    let bins = (largest - first).div_euclid(steps_per_bin) + 1;
    let mut counts = vec![0_u64; usize::try_from(bins).unwrap_or_default()];
    for step in steps {
        let bin = usize::try_from((step - first).div_euclid(steps_per_bin));
        if let Some(count) = bin.ok().and_then(|bin| counts.get_mut(bin)) {
            *count += 1;
        }
    }
    Ok(Histogram {
        start: (first as f64 - 0.5) * resolution,
        bin_width: steps_per_bin as f64 * resolution,
        steps_per_bin,
        counts,
    })
}

/// The values in whole steps of the resolution.
fn steps_of(values: &[f64], resolution: f64) -> Result<Vec<i64>, StatisticsError> {
    let refused = |allowed| StatisticsError::OutOfRange {
        name: "resolution",
        found: resolution,
        allowed,
    };
    if !resolution.is_finite() || resolution <= 0.0 {
        return Err(refused("above 0"));
    }
    let steps = values.iter().map(|y| {
        let step = (y / resolution).round();
        // Within 2^52: the conversion is exact.
        #[allow(clippy::cast_possible_truncation)]
        (step.abs() <= STEPS_MAX).then_some(step as i64)
    });
    let steps: Option<Vec<i64>> = steps.collect();
    steps.ok_or(refused("at least 1/2^52 of every value"))
}
