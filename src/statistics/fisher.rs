//! The distributions of Fisher and Student: whether a difference is more than noise.
//!
//! Computed here and not by `statrs` 0.19.1, which is off by 1e-10 at 1e5 degrees of freedom
//! (measured) and whose incomplete beta function stops after 140 terms.

use std::f64::consts::PI;

use super::StatisticsError;
use super::checked::in_range;
use super::chi_square::{deviance, freedom_in_range, stirling_correction};

/// Far more terms than 1e8 degrees of freedom need.
const TERMS_MAX: usize = 1_000_000;

/// x^a y^b / B(a, b) for y = 1 - x, without loss where a and b are large.
fn beta_term(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let n = a + b;
    let correction = stirling_correction(n) - stirling_correction(a) - stirling_correction(b);
    let exponent = correction - deviance(a, n * x) - deviance(b, n * y);
    exponent.exp() * (a * b / (2.0 * PI * n)).sqrt()
}

/// The regularised incomplete beta function and its complement at x, where y = 1 - x.
///
/// Source: A. R. DiDonato, A. H. Morris, Algorithm 708, ACM Trans. Math. Software 18 (1992)
/// 360-373, equation 9: a continued fraction that keeps its digits where x lies near the mean
/// (from memory, proved by the table).
pub(super) fn incomplete_beta(a: f64, b: f64, x: f64, y: f64) -> (f64, f64) {
    if x <= 0.0 {
        return (0.0, 1.0);
    }
    if y <= 0.0 {
        return (1.0, 0.0);
    }
    // How far the mean a/(a + b) lies above x, times a + b, from whichever of x, y is smaller.
    let room = if a > b {
        (a + b) * y - b
    } else {
        a - (a + b) * x
    };
    if room < 0.0 {
        let (upper, lower) = incomplete_beta(b, a, y, x);
        return (lower, upper);
    }
    let lower = (beta_term(a, b, x, y) * beta_fraction((a, b), (x, y), room)).min(1.0);
    (lower, 1.0 - lower)
}

/// I_x(a, b) over x^a y^b / B(a, b).
fn beta_fraction((a, b): (f64, f64), (x, y): (f64, f64), room: f64) -> f64 {
    let first = 1.0 + 1.0 / a;
    let (mut numerators, mut denominators) = ((0.0, 1.0), (1.0, (1.0 + room) / first));
    let mut fraction = 1.0 / denominators.1;
    let mut p = 1.0;
    let mut s = a + 1.0;
    for n in 1..TERMS_MAX {
        let n = n as f64;
        let t = n / a;
        let w = n * (b - n) * x;
        let e = a / s;
        let alpha = p * (p + b / a) * e * e * w * x;
        let share = (t + 1.0) / (first + 2.0 * t);
        let beta = n + w / s + share * (1.0 + room + n * (1.0 + y));
        p = t + 1.0;
        s += 2.0;
        let numerator = alpha * numerators.0 + beta * numerators.1;
        let denominator = alpha * denominators.0 + beta * denominators.1;
        let before = fraction;
        fraction = numerator / denominator;
        if (fraction - before).abs() <= 1e-16 * fraction {
            break;
        }
        numerators = (numerators.1 / denominator, fraction);
        denominators = (denominators.1 / denominator, 1.0);
    }
    fraction
}

/// Upper tail of Fisher's F: the probability of a ratio of variances above `ratio` by chance.
///
/// Formula: I_x(v2/2, v1/2) with x = v2/(v2 + v1 F), the regularised incomplete beta function
/// Symbols: F ratio of variances; v1, v2 degrees of freedom of its numerator and denominator.
/// Valid:   0.5 <= v1, v2 <= 1e8; F >= 0; relative error below 1e-11 (measured
///          up to 1e6 degrees).
/// Rounding: none.
/// Source:  Abramowitz and Stegun 26.6.2 (number from memory).
/// Checked: tests/tables/distributions.csv.
/// Errors:  OutOfRange.
pub fn fisher_upper_tail(
    ratio: f64,
    numerator: f64,
    denominator: f64,
) -> Result<f64, StatisticsError> {
    freedom_in_range(numerator)?;
    freedom_in_range(denominator)?;
    in_range("ratio of variances", ratio, 0.0, f64::INFINITY, "0 or more")?;
    if ratio.is_infinite() {
        return Ok(0.0);
    }
    let total = denominator + numerator * ratio;
    let (x, y) = (denominator / total, numerator * ratio / total);
    Ok(incomplete_beta(0.5 * denominator, 0.5 * numerator, x, y).0)
}

/// Both tails of Student's t: the probability of lying further from zero than `t` by chance.
///
/// Formula: I_x(v/2, 1/2) with x = v/(v + t^2), the regularised incomplete beta function
/// Symbols: t deviation over its standard uncertainty; v degrees of freedom.
/// Valid:   0.5 <= v <= 1e8; every t; relative error below 1e-11 (measured
///          up to 1e6 degrees).
/// Rounding: none.
/// Source:  Abramowitz and Stegun 26.7.1 (number from memory).
/// Checked: tests/tables/distributions.csv.
/// Errors:  OutOfRange.
pub fn student_two_tails(t: f64, degrees_of_freedom: f64) -> Result<f64, StatisticsError> {
    in_range("deviation", t, f64::NEG_INFINITY, f64::INFINITY, "a number")?;
    fisher_upper_tail(t * t, 1.0, degrees_of_freedom)
}

/// Student distribution function: the probability below `t`.
///
/// Formula: P(t) = 1 - I_x(v/2, 1/2)/2 for t >= 0, the other tail below
/// Symbols: t deviation over its standard uncertainty; v degrees of freedom.
/// Valid:   0.5 <= v <= 1e8; every t; relative error below 1e-11 (measured
///          up to 1e6 degrees).
/// Rounding: none.
/// Source:  Abramowitz and Stegun 26.7.1 (number from memory).
/// Checked: tests/tables/distributions.csv.
/// Errors:  OutOfRange.
pub fn student_cdf(t: f64, degrees_of_freedom: f64) -> Result<f64, StatisticsError> {
    let tail = 0.5 * student_two_tails(t, degrees_of_freedom)?;
    Ok(if t < 0.0 { tail } else { 1.0 - tail })
}

/// Lowest and highest rank (from 1) of the sorted values between which the quantile at `share`
/// lies with this confidence, whatever the distribution; none where too few values reach so far.
pub(super) fn quantile_ranks(
    n: usize,
    share: f64,
    confidence: f64,
) -> (Option<usize>, Option<usize>) {
    // P(at most k of n below the quantile) = I_(1 - share)(n - k, k + 1).
    let at_most = |k: usize| {
        let (a, b) = ((n - k) as f64, k as f64 + 1.0);
        if k >= n {
            1.0
        } else {
            incomplete_beta(a, b, 1.0 - share, share).0
        }
    };
    let tail = 0.5 * (1.0 - confidence);
    // The l-th smallest lies above the quantile when at most l - 1 values lie below it.
    let fails = first_true(n + 1, |k| at_most(k) > tail);
    let lower = (fails >= 1).then_some(fails);
    // The u-th smallest lies below the quantile when at least u values lie below it.
    let holds = first_true(n + 1, |k| at_most(k) >= 1.0 - tail);
    let upper = (holds < n).then_some(holds + 1);
    (lower, upper)
}

/// The first index below `end` where a condition that stays true becomes true; `end` if none.
fn first_true(end: usize, condition: impl Fn(usize) -> bool) -> usize {
    let (mut low, mut high) = (0, end);
    while low < high {
        let middle = low + (high - low) / 2;
        if condition(middle) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    low
}
