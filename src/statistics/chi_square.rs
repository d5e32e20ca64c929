//! Gamma and chi-square: how far a standard deviation may lie from the truth.
//!
//! Computed here and not by `statrs` 0.19.1, which is off by 3e-10 at a million degrees of freedom
//! (measured: its logarithm of the gamma function keeps its relative error, not its absolute one).

use std::f64::consts::PI;

use super::StatisticsError;
use super::checked::in_range;
use super::numeric::zero_near;
use super::special::normal_quantile;

/// From here on the series of Stirling's correction has all its digits.
const SERIES_FROM: f64 = 16.0;
/// The most degrees of freedom allowed; the tables reach 1e6.
pub(super) const FREEDOM_MAX: f64 = 1e8;
/// Far more terms than `FREEDOM_MAX` needs.
const TERMS_MAX: usize = 1_000_000;
const TINY: f64 = 1e-300;

/// Stirling's correction: ln Gamma(x + 1) = (x + 1/2) ln x - x + ln(2 pi)/2 + correction, x > 0.
///
/// Source: Abramowitz and Stegun 6.1.41, shifted up by 6.1.15 where x is small (numbers
/// from memory, proved by the table).
pub(super) fn stirling_correction(x: f64) -> f64 {
    let (mut x, mut total) = (x, 0.0);
    while x < SERIES_FROM {
        total += (x + 0.5) * (1.0 / x).ln_1p() - 1.0;
        x += 1.0;
    }
    let y = 1.0 / (x * x);
    let terms = [
        1.0 / 12.0,
        -1.0 / 360.0,
        1.0 / 1260.0,
        -1.0 / 1680.0,
        1.0 / 1188.0,
        -691.0 / 360_360.0,
        1.0 / 156.0,
    ];
    total + terms.iter().rev().fold(0.0, |sum, term| sum * y + term) / x
}

/// x ln(x/m) + m - x without loss where x is near m.
pub(super) fn deviance(x: f64, m: f64) -> f64 {
    let relative = (x - m) / m;
    if relative.abs() > 0.3 {
        return x * (x / m).ln() + m - x;
    }
    // (1 + r) ln(1 + r) - r = r^2/(2 + r) + (1 + r) (2 (v^3/3 + v^5/5 + ...)), v = r/(2 + r)
    let v = relative / (2.0 + relative);
    let (mut term, mut total, mut odd) = (v * v * v, 0.0, 3.0);
    while term.abs() > 1e-18 * v.abs() * v.abs() {
        total += term / odd;
        term *= v * v;
        odd += 2.0;
    }
    m * (relative * v + 2.0 * (1.0 + relative) * total)
}

/// x^a e^-x / Gamma(a + 1), for positive x and a.
fn poisson_term(a: f64, x: f64) -> f64 {
    (-deviance(a, x) - stirling_correction(a)).exp() / (2.0 * PI * a).sqrt()
}

/// The regularised incomplete gamma functions (lower, upper), a > 0, x >= 0.
///
/// Source: Abramowitz and Stegun 6.5.29 (series) and 6.5.31 (continued fraction); numbers
/// from memory, proved by the table.
fn incomplete_gamma(a: f64, x: f64) -> (f64, f64) {
    if x <= 0.0 {
        return (0.0, 1.0);
    }
    if x.is_infinite() {
        return (1.0, 0.0);
    }
    if x < a + 1.0 {
        let (mut term, mut total, mut k) = (1.0, 1.0, a);
        for _ in 0..TERMS_MAX {
            k += 1.0;
            term *= x / k;
            total += term;
            if term < total * 1e-17 {
                break;
            }
        }
        let lower = (poisson_term(a, x) * total).min(1.0);
        return (lower, 1.0 - lower);
    }
    let mut b = x + 1.0 - a;
    let mut c = 1.0 / TINY;
    let mut d = 1.0 / b;
    let mut fraction = d;
    for i in 1..TERMS_MAX {
        let i = i as f64;
        let numerator = -i * (i - a);
        b += 2.0;
        d = 1.0 / away_from_zero(numerator * d + b);
        c = away_from_zero(b + numerator / c);
        fraction *= d * c;
        if (d * c - 1.0).abs() < 1e-16 {
            break;
        }
    }
    let upper = (poisson_term(a, x) * a * fraction).min(1.0);
    (1.0 - upper, upper)
}

/// The same number, but never so near to zero that dividing by it overflows.
fn away_from_zero(x: f64) -> f64 {
    if x.abs() < TINY { TINY } else { x }
}

/// Both tails of chi-square: below and above `x`; the arguments are checked by the caller.
pub(super) fn chi_square_tails(x: f64, freedom: f64) -> (f64, f64) {
    incomplete_gamma(0.5 * freedom, 0.5 * x)
}

/// Nothing, or that the degrees of freedom leave the measured range.
pub(super) fn freedom_in_range(freedom: f64) -> Result<(), StatisticsError> {
    in_range(
        "number of degrees of freedom",
        freedom,
        0.5,
        FREEDOM_MAX,
        "0.5 to 1e8",
    )
}

/// Chi-square distribution function: the probability below `x`.
///
/// Formula: P(v/2, x/2), the regularised lower incomplete gamma function
/// Symbols: x sum of v squared standard normal values; v degrees of freedom.
/// Valid:   0.5 <= v <= 1e8; every x >= 0; relative error below 1e-11 (measured
///          up to 1e6 degrees).
/// Rounding: none.
/// Source:  Abramowitz and Stegun 26.4.19 (number from memory).
/// Checked: tests/tables/distributions.csv.
/// Errors:  OutOfRange.
pub fn chi_square_cdf(x: f64, degrees_of_freedom: f64) -> Result<f64, StatisticsError> {
    freedom_in_range(degrees_of_freedom)?;
    in_range("sum of squares", x, 0.0, f64::INFINITY, "0 or more")?;
    Ok(chi_square_tails(x, degrees_of_freedom).0)
}

/// Chi-square quantile: the sum of squares with probability `p` below it.
///
/// Formula: x with P(v/2, x/2) = p, searched from Wilson and Hilferty's approximation
/// Symbols: p probability; v degrees of freedom.
/// Valid:   0.5 <= v <= 1e8; 1e-6 <= p <= 1 - 1e-6; relative error below 1e-11 (measured
///          up to 1e6 degrees).
/// Rounding: none.
/// Source:  start: Abramowitz and Stegun 26.4.17 (number from memory).
/// Checked: tests/tables/distributions.csv.
/// Errors:  OutOfRange.
pub fn chi_square_quantile(p: f64, degrees_of_freedom: f64) -> Result<f64, StatisticsError> {
    freedom_in_range(degrees_of_freedom)?;
    in_range("probability", p, 1e-6, 1.0 - 1e-6, "1e-6 to 1 - 1e-6")?;
    let v = degrees_of_freedom;
    let z = normal_quantile(p)?;
    let part = 2.0 / (9.0 * v);
    let near = v * (1.0 - part + z * part.sqrt()).max(0.01).powi(3);
    let step = (1e-3 * (2.0 * v).sqrt()).min(0.5 * near);
    zero_near(near, step, 0.0, |x| {
        let (below, above) = chi_square_tails(x, v);
        if p < 0.5 {
            below - p
        } else {
            (1.0 - p) - above
        }
    })
}

/// Unbiasing factor c4: the mean of a standard deviation over the true one.
///
/// Formula: c4 = sqrt(2/v) Gamma((v + 1)/2) / Gamma(v/2)
/// Symbols: v degrees of freedom, n - 1 for n values.
/// Valid:   0.5 <= v <= 1e8; relative error below 1e-12 (measured
///          up to 1e6 degrees).
/// Rounding: none.
/// Source:  ISO 7870-2, factors for control charts.
/// Checked: tests/tables/distributions.csv.
/// Errors:  OutOfRange.
pub fn unbiasing_factor(degrees_of_freedom: f64) -> Result<f64, StatisticsError> {
    freedom_in_range(degrees_of_freedom)?;
    // Both gamma functions by Stirling: with a = v/2, Gamma(a + 1/2)/Gamma(a) is
    // a/(a + 1/2) Gamma(a + 3/2)/Gamma(a + 1).
    let a = 0.5 * degrees_of_freedom;
    let b = a + 0.5;
    let logarithm =
        (a + 0.5) * (0.5 / a).ln_1p() - 0.5 + stirling_correction(b) - stirling_correction(a);
    // Gamma(b + 1)/Gamma(a + 1) = exp(logarithm) sqrt(b); times a/b, over sqrt(a).
    Ok(logarithm.exp() * (a / b).sqrt())
}
