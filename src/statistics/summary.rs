//! Number, mean, standard deviation, least and largest value of a list, read once.
//!
//! The list is taken in blocks that stay in the processor's cache. Each block has its own mean and
//! its own sum of squares about that mean, and the blocks are joined; so the result is that of the
//! two-pass formula, while the memory is read once. All is relative to the first value, so that
//! values far from zero keep their digits.

use super::StatisticsError;
use super::checked::{MAGNITUDE_MAX, enough, refusal};

/// Sums that run side by side: as many as the processor adds at a time, twice over.
const LANES: usize = 8;
/// Values per block: 16 kB, half of a small first-level cache.
const BLOCK: usize = 2048;
/// Spreads below this are enlarged before they are squared, since their squares would vanish.
const SPREAD_MIN: f64 = 1e-140;
/// By how much: a power of two, so that no digit changes.
const ENLARGED_BY_POWER: i32 = 500;

/// What a list of values is like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summary {
    /// Number of values.
    pub count: usize,
    /// Arithmetic mean, in the unit of the values.
    pub mean: f64,
    /// Standard deviation of a sample (divisor count - 1), in the unit of the values; none for a
    /// single value; 0 only when all values are equal.
    pub standard_deviation: Option<f64>,
    /// Least value.
    pub min: f64,
    /// Largest value.
    pub max: f64,
}

/// Number, mean, standard deviation, least and largest value.
///
/// Formula: m = sum(y)/n; s = sqrt(sum((y - m)^2)/(n - 1)); blocks a and b are joined by
///          q = q_a + q_b + (m_b - m_a)^2 n_a n_b/(n_a + n_b)
/// Symbols: y values, n their number, m mean, s standard deviation, q sum of squares about m.
/// Valid:   1 or more values between -1e140 and 1e140; s needs 2. Relative error below 1e-12 of
///          what the floats hold; values that share leading digits lose them in the floats.
/// Rounding: none.
/// Source:  formulas: NIST StRD, univariate summary statistics; joining: T. F. Chan, G. H. Golub,
///          R. J. LeVeque, The American Statistician 37 (1983) 242-247 (from memory).
/// Checked: tests/logic/statistics_summary.rs.
/// Errors:  TooFew, NotFinite, OutOfRange.
pub fn summary(values: &[f64]) -> Result<Summary, StatisticsError> {
    enough(values.len(), 1, "a summary")?;
    let first = values.first().copied().unwrap_or_default();
    let all = moments(values, first);
    let fits = all.mean.is_finite() && all.min >= -MAGNITUDE_MAX && all.max <= MAGNITUDE_MAX;
    if !fits {
        return Err(refusal(values).unwrap_or(StatisticsError::NotFinite { index: 0 }));
    }
    let spread = all.max - all.min;
    let squares = if spread > 0.0 && spread < SPREAD_MIN {
        let enlarging = 2.0_f64.powi(ENLARGED_BY_POWER);
        let enlarged: Vec<f64> = values.iter().map(|y| (y - first) * enlarging).collect();
        Squares::Enlarged(moments(&enlarged, 0.0).squares)
    } else {
        Squares::Plain(all.squares)
    };
    Ok(Summary {
        count: values.len(),
        mean: (first + all.mean).max(all.min).min(all.max),
        standard_deviation: (values.len() > 1).then(|| squares.deviation(values.len())),
        min: all.min,
        max: all.max,
    })
}

/// A sum of squares about the mean.
enum Squares {
    Plain(f64),
    /// Of values enlarged before.
    Enlarged(f64),
}

impl Squares {
    fn deviation(&self, count: usize) -> f64 {
        let divisor = (count - 1) as f64;
        match self {
            Self::Plain(sum) => (sum / divisor).sqrt(),
            // The least float where it would round to none: the values are not all equal.
            Self::Enlarged(sum) => {
                let deviation = (sum / divisor).sqrt() * 2.0_f64.powi(-ENLARGED_BY_POWER);
                deviation.max(f64::from_bits(1))
            }
        }
    }
}

/// Moments of a block, and of the blocks so far.
#[derive(Clone, Copy)]
struct Moments {
    count: f64,
    /// Mean, relative to the first value of the list.
    mean: f64,
    /// Sum of squares about the mean.
    squares: f64,
    min: f64,
    max: f64,
}

fn moments(values: &[f64], origin: f64) -> Moments {
    let mut all = Moments {
        count: 0.0,
        mean: 0.0,
        squares: 0.0,
        min: origin,
        max: origin,
    };
    for block in values.chunks(BLOCK) {
        all = joined(&all, &block_moments(block, origin));
    }
    all
}

fn joined(a: &Moments, b: &Moments) -> Moments {
    let count = a.count + b.count;
    let apart = b.mean - a.mean;
    Moments {
        count,
        mean: a.mean + apart * (b.count / count),
        squares: a.squares + b.squares + apart * apart * (a.count * (b.count / count)),
        min: lesser(a.min, b.min),
        max: larger(a.max, b.max),
    }
}

fn block_moments(block: &[f64], origin: f64) -> Moments {
    let count = block.len() as f64;
    let mean = lane_sum(block, |y| y - origin) / count;
    let (min, max) = extremes(block, origin);
    Moments {
        count,
        mean,
        squares: lane_sum(block, |y| {
            let away = (y - origin) - mean;
            away * away
        }),
        min,
        max,
    }
}

/// The sum of a term of every value. One loop for one sum: so that all lanes stay in registers.
fn lane_sum(block: &[f64], term: impl Fn(f64) -> f64) -> f64 {
    let mut sums = [0.0; LANES];
    let (whole, rest) = block.as_chunks::<LANES>();
    for chunk in whole {
        for (sum, y) in sums.iter_mut().zip(chunk) {
            *sum += term(*y);
        }
    }
    for (sum, y) in sums.iter_mut().zip(rest) {
        *sum += term(*y);
    }
    total(sums)
}

fn extremes(block: &[f64], origin: f64) -> (f64, f64) {
    let (mut lows, mut highs) = ([origin; LANES], [origin; LANES]);
    let (whole, rest) = block.as_chunks::<LANES>();
    for chunk in whole {
        for ((low, high), y) in lows.iter_mut().zip(&mut highs).zip(chunk) {
            *low = lesser(*y, *low);
            *high = larger(*y, *high);
        }
    }
    for ((low, high), y) in lows.iter_mut().zip(&mut highs).zip(rest) {
        *low = lesser(*y, *low);
        *high = larger(*y, *high);
    }
    let least = lows.into_iter().fold(origin, lesser);
    (least, highs.into_iter().fold(origin, larger))
}

/// The sum of the lanes, by halves.
fn total(lanes: [f64; LANES]) -> f64 {
    let [a, b, c, d, e, f, g, h] = lanes;
    ((a + e) + (c + g)) + ((b + f) + (d + h))
}

/// The lesser of two; the second where they do not compare. One instruction, unlike `f64::min`.
fn lesser(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// The larger of two; the second where they do not compare.
fn larger(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}
