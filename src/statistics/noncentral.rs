//! The noncentral Student distribution: how far from a limit a process is, seen through a sample.

use std::f64::consts::{FRAC_2_SQRT_PI, SQRT_2};

use super::StatisticsError;
use super::checked::in_range;
use super::chi_square::{freedom_in_range, stirling_correction};
use super::numeric::{integral, zero_near};
use super::special::{normal_cdf, normal_quantile};

/// How far the integral goes from the middle of the sample's spread, in its own deviations: what
/// lies outside is below 1e-15.
const SPREAD_REACH: i32 = 12;
/// The same for the normal part.
const NORMAL_REACH: i32 = 10;
const OFFSET_MAX: f64 = 1e7;

/// The density of s/sigma for `v` degrees of freedom.
pub(super) fn spread_density(s: f64, v: f64) -> f64 {
    let a = 0.5 * v;
    let excess = s * s - 1.0;
    let logarithm = if excess.abs() < 0.5 {
        excess.ln_1p()
    } else {
        2.0 * s.ln()
    };
    let exponent = -a * (excess - logarithm) - stirling_correction(a);
    // 2 sqrt(a / 2 pi) / s
    (a.sqrt() * FRAC_2_SQRT_PI / SQRT_2) / s * exponent.exp()
}

/// The breaks of an integral over s/sigma, ascending, finer than its density and than the normal
/// step at `centre` with this `width`.
pub(super) fn spread_breaks(v: f64, centre: f64, width: f64) -> Vec<f64> {
    let deviation = (0.5 / v).sqrt();
    let reach = f64::from(SPREAD_REACH) * deviation;
    let (low, high) = ((1.0 - reach).max(0.0), 1.0 + reach);
    let mut breaks = vec![low, high];
    breaks.extend(apart(SPREAD_REACH).map(|k| 1.0 + k * deviation));
    breaks.extend(apart(NORMAL_REACH).map(|k| centre + k * width));
    breaks.retain(|at| (low..=high).contains(at));
    breaks.sort_unstable_by(f64::total_cmp);
    breaks
}

/// Every second whole number on both sides of zero.
fn apart(reach: i32) -> impl Iterator<Item = f64> {
    (-reach..=reach).step_by(2).map(f64::from)
}

/// Noncentral Student distribution function: the probability below `t`.
///
/// Formula: integral over s of Phi(t s - d) f(s), s = sqrt(chi-square/v), f its density
/// Symbols: t observed ratio; v degrees of freedom; d noncentrality.
/// Valid:   1 <= v <= 1e8; |d| <= 1e7; absolute error below 1e-12 (measured for v up to 999, |d| up
///          to 126; with v = 3.7 1e-8, and worse where v is no whole number and nearer to 1).
/// Rounding: none.
/// Source:  definition (N. L. Johnson, B. L. Welch, Biometrika 31 (1940) 362-389).
/// Checked: tests/tables/distributions.csv.
/// Errors:  OutOfRange.
pub fn noncentral_t_cdf(
    t: f64,
    degrees_of_freedom: f64,
    noncentrality: f64,
) -> Result<f64, StatisticsError> {
    check(degrees_of_freedom, noncentrality)?;
    in_range("ratio", t, f64::MIN, f64::MAX, "a finite number")?;
    Ok(below(t, degrees_of_freedom, noncentrality))
}

fn check(v: f64, d: f64) -> Result<(), StatisticsError> {
    freedom_in_range(v)?;
    in_range(
        "number of degrees of freedom",
        v,
        1.0,
        f64::MAX,
        "1 or more",
    )?;
    in_range("noncentrality", d, -OFFSET_MAX, OFFSET_MAX, "-1e7 to 1e7")
}

fn below(t: f64, v: f64, d: f64) -> f64 {
    if t < 0.0 {
        return 1.0 - below(-t, v, -d);
    }
    let (centre, width) = if t > 1e-6 {
        (d / t, 1.0 / t)
    } else {
        (0.0, 1.0)
    };
    let breaks = spread_breaks(v, centre, width);
    let sum = integral(&breaks, |s| normal_cdf(t * s - d) * spread_density(s, v));
    sum.clamp(0.0, 1.0)
}

/// Noncentral Student quantile: the ratio with probability `p` below it.
///
/// Formula: t with P(t; v, d) = p
/// Symbols: p probability; v degrees of freedom; d noncentrality.
/// Valid:   1 <= v <= 1e8; |d| <= 1e7; 0.0005 <= p <= 0.9995; relative error below 1e-9
///          (measured for v up to 1e6, d up to 4000).
/// Rounding: none.
/// Source:  definition; start: t = (d + z sqrt(1 + d^2/2v)), from memory.
/// Checked: tests/tables/distributions.csv.
/// Errors:  OutOfRange.
pub fn noncentral_t_quantile(
    p: f64,
    degrees_of_freedom: f64,
    noncentrality: f64,
) -> Result<f64, StatisticsError> {
    let (v, d) = (degrees_of_freedom, noncentrality);
    check(v, d)?;
    in_range("probability", p, 0.0005, 0.9995, "0.0005 to 0.9995")?;
    let deviation = (1.0 + 0.5 * d * d / v).sqrt();
    let near = d + normal_quantile(p)? * deviation;
    zero_near(near, 0.1 * deviation, -1e300, |t| below(t, v, d) - p)
}

/// The noncentrality at which a ratio as small as `t` has probability `p`.
///
/// Formula: d with P(t; v, d) = p
/// Symbols: t observed ratio; p probability; v degrees of freedom.
/// Valid:   as `noncentral_t_quantile`.
/// Rounding: none.
/// Source:  definition; start: d = t - z sqrt(1 + t^2/2v), from memory.
/// Checked: tests/tables/distributions.csv (through capability), tests/tables/capability.json.
/// Errors:  OutOfRange.
pub(super) fn noncentrality_at(t: f64, v: f64, p: f64) -> Result<f64, StatisticsError> {
    check(v, t)?;
    in_range("probability", p, 0.0005, 0.9995, "0.0005 to 0.9995")?;
    let deviation = (1.0 + 0.5 * t * t / v).sqrt();
    let near = t - normal_quantile(p)? * deviation;
    zero_near(near, 0.1 * deviation, -1e300, |d| p - below(t, v, d))
}
