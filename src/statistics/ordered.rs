//! Values in ascending order, fast for many.

/// From here on values are sorted by digits instead of by comparing (chosen, not tuned).
const DIGITS_FROM: usize = 3000;
const DIGIT_BITS: u32 = 11;
const DIGITS: usize = 6;
const DIGIT_VALUES: usize = 1 << DIGIT_BITS;
const SIGN: u64 = 1 << 63;

/// The values in ascending order; they must be finite.
pub(super) fn ascending(values: &[f64]) -> Vec<f64> {
    let mut keys: Vec<u64> = values.iter().map(|value| key(*value)).collect();
    if keys.len() < DIGITS_FROM || u32::try_from(keys.len()).is_err() {
        keys.sort_unstable();
    } else {
        keys = by_digits(keys);
    }
    keys.into_iter().map(value).collect()
}

/// A whole number in the order of the floats.
fn key(value: f64) -> u64 {
    let bits = value.to_bits();
    if bits & SIGN == 0 { bits | SIGN } else { !bits }
}

fn value(key: u64) -> f64 {
    f64::from_bits(if key & SIGN == 0 { !key } else { key & !SIGN })
}

#[allow(clippy::cast_possible_truncation)]
fn digit(key: u64, place: u32) -> usize {
    // The mask leaves eleven bits, which every machine's index holds.
    (key >> (DIGIT_BITS * place)) as usize & (DIGIT_VALUES - 1)
}

/// Sorting by the lowest digit first; a digit in which all keys agree is skipped.
fn by_digits(mut keys: Vec<u64>) -> Vec<u64> {
    let mut counts = vec![[0_u32; DIGIT_VALUES]; DIGITS];
    for key in &keys {
        for (place, count) in (0..).zip(counts.iter_mut()) {
            count[digit(*key, place)] += 1;
        }
    }
    let mut other = vec![0; keys.len()];
    for (place, count) in (0..).zip(counts.iter_mut()) {
        if count.iter().any(|found| *found as usize == keys.len()) {
            continue;
        }
        let mut start = 0;
        for found in count.iter_mut() {
            start += std::mem::replace(found, start);
        }
        for key in &keys {
            let slot = &mut count[digit(*key, place)];
            other[*slot as usize] = *key;
            *slot += 1;
        }
        std::mem::swap(&mut keys, &mut other);
    }
    keys
}

#[cfg(test)]
mod tests {
    use super::{DIGITS_FROM, ascending};

    #[test]
    fn both_ways_of_sorting_agree_with_the_library() {
        let mut seed = 1_u64;
        for n in [0, 1, 2, 100, DIGITS_FROM - 1, DIGITS_FROM, 20_000] {
            let mut values: Vec<f64> = (0..n)
                .map(|at| {
                    seed = seed
                        .wrapping_mul(6_364_136_223_846_793_005)
                        .wrapping_add(99);
                    let whole = (seed >> 40) as f64 - 8_000_000.0;
                    if at % 3 == 0 {
                        whole / 7.0
                    } else {
                        whole * 1e-3 + 20.0
                    }
                })
                .collect();
            let found = ascending(&values);
            values.sort_by(f64::total_cmp);
            assert!(
                found
                    .iter()
                    .zip(&values)
                    .all(|(a, b)| a.total_cmp(b).is_eq())
            );
            assert_eq!(found.len(), n);
        }
    }
}
