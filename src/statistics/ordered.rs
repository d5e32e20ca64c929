//! Values in ascending order, fast for many.

/// From here on values are first spread over bins (chosen, not tuned).
const SPREAD_FROM: usize = 3000;
/// So many values for a bin, were they spread evenly (measured: 2 was best of 2, 4, 8 and 16).
const VALUES_A_BIN: usize = 2;

/// The values in ascending order; they must be finite.
pub(super) fn ascending(values: &[f64]) -> Vec<f64> {
    if values.len() >= SPREAD_FROM
        && let Some(sorted) = by_bins(values)
    {
        return sorted;
    }
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    sorted
}

/// Each value goes to the bin that its place between the least and the greatest value names, and
/// each bin is sorted by itself: a bin too many holds is slower, not wrong. `None` where the values
/// give no bins.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // the bin is asked for with get
fn by_bins(values: &[f64]) -> Option<Vec<f64>> {
    u32::try_from(values.len()).ok()?;
    let ends = (f64::INFINITY, f64::NEG_INFINITY);
    let (least, greatest) = values.iter().fold(ends, |(least, greatest), value| {
        (least.min(*value), greatest.max(*value))
    });
    let bins = values.len() / VALUES_A_BIN;
    let scale = (bins - 1) as f64 / (greatest - least);
    if !scale.is_finite() || scale <= 0.0 {
        return None;
    }
    // Rounding keeps the order: a greater value never gets a lower bin.
    let bin = |value: f64| ((value - least) * scale) as u32 as usize;
    let mut starts = vec![0_u32; bins + 1];
    for value in values {
        *starts.get_mut(bin(*value) + 1)? += 1;
    }
    let mut start = 0;
    for count in &mut starts {
        start += *count;
        *count = start;
    }
    let mut sorted = vec![0.0; values.len()];
    for value in values {
        let slot = starts.get_mut(bin(*value))?;
        *sorted.get_mut(*slot as usize)? = *value;
        *slot += 1;
    }
    // Each start has become the end of its bin.
    let mut rest = sorted.as_mut_slice();
    let mut from = 0;
    for end in starts {
        let (bin, later) = rest.split_at_mut_checked((end - from) as usize)?;
        if bin.len() > 1 {
            bin.sort_unstable_by(f64::total_cmp);
        }
        (rest, from) = (later, end);
    }
    Some(sorted)
}

#[cfg(test)]
mod tests {
    use super::{SPREAD_FROM, ascending};

    fn check(values: &[f64]) {
        let found = ascending(values);
        let mut wanted = values.to_vec();
        wanted.sort_by(f64::total_cmp);
        assert_eq!(found.len(), wanted.len());
        let mut both = found.iter().zip(&wanted);
        assert!(both.all(|(a, b)| a.total_cmp(b).is_eq()));
    }

    #[test]
    fn both_ways_of_sorting_agree_with_the_library() {
        let mut seed = 1_u64;
        for n in [0, 1, 2, 100, SPREAD_FROM - 1, SPREAD_FROM, 20_000] {
            let values: Vec<f64> = (0..n)
                .map(|at| {
                    seed = seed
                        .wrapping_mul(6_364_136_223_846_793_005)
                        .wrapping_add(99);
                    let whole = (seed >> 40) as f64 - 8_000_000.0;
                    match at % 3 {
                        0 => whole / 7.0,
                        1 => 0.0_f64.copysign(whole),
                        _ => whole * 1e-3 + 20.0,
                    }
                })
                .collect();
            check(&values);
        }
    }

    #[test]
    fn ends_of_the_range_of_floats_one_far_off_and_all_alike_are_sorted_too() {
        let n = SPREAD_FROM + 7;
        let mixed = |at: usize| ((at * 7919) % n) as f64 * 1e-3;
        let mut values: Vec<f64> = (0..n).map(mixed).collect();
        check(&values);
        for far in [1e12, -1e300, f64::MAX] {
            values[n / 2] = far;
            check(&values);
        }
        values[n / 3] = f64::MIN;
        check(&values);
        check(&vec![-0.5; n]);
        check(
            &(0..n)
                .map(|at| (at % 5) as f64 * 5e-324)
                .collect::<Vec<_>>(),
        );
    }
}
