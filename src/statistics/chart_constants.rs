//! The constants of control charts and gauge studies, computed from the normal distribution.

use std::f64::consts::PI;

use super::{StatisticsError, normal_cdf};

/// Largest subgroup whose range is used; a larger one wants its standard deviation.
pub const SUBGROUP_SIZE_MAX: usize = 25;

/// Step of both sums below: halving it changes no constant by 1e-13 (measured).
const STEP: f64 = 1.0 / 16.0;
/// Number of steps of the middle of the range, from 0 to 6 standard deviations.
const MIDDLE_STEPS: i32 = 96;
/// Steps of the exponent t; the range w = exp(t - exp(-t)) runs from below 1e-13 to 19 or more.
const EXPONENT_STEPS: std::ops::RangeInclusive<i32> = -56..=48;

/// The constants for subgroups of one size, named as in ISO 7870-2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChartConstants {
    /// Number of values in a subgroup.
    pub subgroup_size: usize,
    /// d2: mean range of a subgroup, in standard deviations.
    pub d2: f64,
    /// d3: standard deviation of the range, in standard deviations.
    pub d3: f64,
    /// c4: mean of a subgroup's standard deviation, in standard deviations.
    pub c4: f64,
    /// A2: limits of the mean, in mean ranges.
    pub a2: f64,
    /// A3: limits of the mean, in mean standard deviations.
    pub a3: f64,
    /// B3: lower limit of the standard deviation, in mean standard deviations.
    pub b3: f64,
    /// B4: upper limit of the standard deviation, in mean standard deviations.
    pub b4: f64,
    /// D3: lower limit of the range, in mean ranges.
    pub range_lower: f64,
    /// D4: upper limit of the range, in mean ranges.
    pub range_upper: f64,
    /// E2: limits of single values, in mean ranges.
    pub e2: f64,
}

impl ChartConstants {
    /// The constants for subgroups of this size.
    ///
    /// Formula: d2 = E(W), d3 = sqrt(E(W^2) - d2^2); A2 = 3/(d2 sqrt(n)), A3 = 3/(c4 sqrt(n)),
    ///          B3, B4 = 1 -/+ 3 sqrt(1 - c4^2)/c4, D3, D4 = 1 -/+ 3 d3/d2, E2 = 3/d2
    /// Symbols: n subgroup size; W range of n independent standard normal values; B3 and D3 are
    ///          0 where the formula is negative.
    /// Valid:   n from 2 to 25; difference below 1e-10 (measured).
    /// Rounding: none; printed tables keep 3 or 4 digits, some made from rounded d2 and d3.
    /// Source:  ISO 7870-2, variables control charts (clause from memory).
    /// Checked: tests/tables/control_chart_constants.csv, tests/tables/range_moments.csv.
    /// Errors:  OutOfRange.
    pub fn of(subgroup_size: usize) -> Result<Self, StatisticsError> {
        let (d2, mean_square) = range_moments(subgroup_size)?;
        let (d3, c4, n) = (
            (mean_square - d2 * d2).sqrt(),
            c4(subgroup_size)?,
            subgroup_size as f64,
        );
        let (share_deviation, share_range) = (3.0 * (1.0 - c4 * c4).sqrt() / c4, 3.0 * d3 / d2);
        Ok(Self {
            subgroup_size,
            d2,
            d3,
            c4,
            a2: 3.0 / (d2 * n.sqrt()),
            a3: 3.0 / (c4 * n.sqrt()),
            b3: (1.0 - share_deviation).max(0.0),
            b4: 1.0 + share_deviation,
            range_lower: (1.0 - share_range).max(0.0),
            range_upper: 1.0 + share_range,
            e2: 3.0 / d2,
        })
    }
}

/// Mean of the standard deviation of n normal values, in standard deviations.
///
/// Formula: c4 = sqrt(2/(n - 1)) G(n/2)/G((n - 1)/2)
/// Symbols: n number of values; G the gamma function; the ratio r(n) = G(n/2)/G((n - 1)/2) by
///          r(2) = 1/sqrt(pi), r(n + 1) = (n - 1)/(2 r(n)).
/// Valid:   n from 2 to 10 000; relative error below 1e-12.
/// Rounding: none.
/// Source:  ISO 7870-2 (clause from memory); ratio from G(x + 1) = x G(x).
/// Checked: tests/tables/control_chart_constants.csv, tests/tables/range_moments.csv.
/// Errors:  OutOfRange.
pub fn c4(count: usize) -> Result<f64, StatisticsError> {
    if !(2..=10_000).contains(&count) {
        return Err(StatisticsError::OutOfRange {
            name: "number of values",
            found: count as f64,
            allowed: "from 2 to 10 000",
        });
    }
    let ratio = (2..count).fold(1.0 / PI.sqrt(), |ratio, n| (n - 1) as f64 / (2.0 * ratio));
    Ok((2.0 / (count - 1) as f64).sqrt() * ratio)
}

/// Mean range for an average over few groups, as gauge studies use it (d2 with a star).
///
/// Formula: d = sqrt(d2^2 + d3^2/g)
/// Symbols: d2, d3 mean and standard deviation of the range of n values; g number of groups
///          whose ranges are averaged.
/// Valid:   n from 2 to 25, g from 1.
/// Rounding: none; the printed tables keep 3 to 5 digits.
/// Source:  P. B. Patnaik, Biometrika 37 (1950) 78-87, as tabled by A. J. Duncan, Quality Control
///          and Industrial Statistics (both from memory).
/// Checked: tests/tables/gauge_study_ranges.csv.
/// Errors:  OutOfRange.
pub fn gauge_study_d2(values: usize, groups: usize) -> Result<f64, StatisticsError> {
    if groups == 0 {
        return Err(StatisticsError::OutOfRange {
            name: "number of groups",
            found: 0.0,
            allowed: "1 or more",
        });
    }
    let (d2, mean_square) = range_moments(values)?;
    Ok((d2 * d2 + (mean_square - d2 * d2) / groups as f64).sqrt())
}

/// Mean and mean square of the range of n standard normal values.
///
/// The range has the density f(w) = n (n-1)/(2 pi) int exp(-s^2 - w^2/4) D^(n-2) ds, where D is
/// the probability between s - w/2 and s + w/2. Both integrals are plain sums: over s the function
/// falls off on both sides, over w it does so after w = exp(t - exp(-t)).
fn range_moments(count: usize) -> Result<(f64, f64), StatisticsError> {
    let power = match i32::try_from(count) {
        Ok(n) if (2..=SUBGROUP_SIZE_MAX).contains(&count) => n - 2,
        _ => {
            return Err(StatisticsError::OutOfRange {
                name: "subgroup size",
                found: count as f64,
                allowed: "from 2 to 25",
            });
        }
    };
    let n = count as f64;
    let (mut mean, mut mean_square) = (0.0, 0.0);
    for step in EXPONENT_STEPS {
        let t = f64::from(step) * STEP;
        let w = (t - (-t).exp()).exp();
        let slope = w * (1.0 + (-t).exp());
        let density = n * (n - 1.0) / (2.0 * PI) * over_middles(w, power);
        mean += w * density * slope * STEP;
        mean_square += w * w * density * slope * STEP;
    }
    Ok((mean, mean_square))
}

/// The integral over the middle s of the range w; the function is the same on both sides of 0.
fn over_middles(w: f64, power: i32) -> f64 {
    let at = |s: f64| {
        let between = normal_cdf(w / 2.0 + s) - normal_cdf(s - w / 2.0);
        (-s * s - w * w / 4.0).exp() * between.powi(power)
    };
    let one_side: f64 = (1..=MIDDLE_STEPS).map(|k| at(f64::from(k) * STEP)).sum();
    (at(0.0) + 2.0 * one_side) * STEP
}
