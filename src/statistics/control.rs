//! Control limits: between which bounds a process stays that only varies as it always does.
//!
//! Limits come from means alone, so that running sums give them for each added reading; the chart
//! functions compute those means from the whole list.

use super::checked::{check, enough, enough_of, fits};
use super::{ChartConstants, StatisticsError, mean_moving_range, summary};

/// Subgroups, or moving ranges plus one, without which there is no chart.
const NEEDED: usize = 2;

/// Centre line and the two limits of one chart, in the unit of the values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControlLimits {
    /// Lower control limit.
    pub lower: f64,
    /// Centre line.
    pub centre: f64,
    /// Upper control limit.
    pub upper: f64,
}

impl ControlLimits {
    fn around(centre: f64, reach: f64) -> Self {
        Self {
            lower: centre - reach,
            centre,
            upper: centre + reach,
        }
    }

    /// The places (counted from 0) of the points beyond a limit; a point on a limit is not beyond.
    pub fn places_beyond(&self, points: &[f64]) -> Vec<usize> {
        let beyond = |(at, y): (usize, &f64)| (*y < self.lower || *y > self.upper).then_some(at);
        points.iter().enumerate().filter_map(beyond).collect()
    }
}

/// Limits of a chart of location with its chart of spread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChartLimits {
    /// Limits of the means, or of the single values.
    pub location: ControlLimits,
    /// Limits of the ranges, standard deviations or moving ranges.
    pub spread: ControlLimits,
    /// Standard deviation within subgroups, estimated from the mean spread: R/d2, s/c4 or MR/d2.
    pub within_deviation: f64,
}

/// Limits and points of a chart. When all values are equal, the limits lie on the centre line and
/// the deviation is 0.
#[derive(Debug, Clone, PartialEq)]
pub struct ControlChart {
    /// The limits.
    pub limits: ChartLimits,
    /// Mean of each subgroup, or the single values.
    pub locations: Vec<f64>,
    /// Spread of each subgroup; the first moving range belongs to the second value.
    pub spreads: Vec<f64>,
}

/// Chart of the means and ranges of subgroups of one size.
///
/// Formula, Symbols, Valid, Rounding, Source: as [`mean_and_range_limits`]; 2 or more subgroups.
/// Checked: tests/tables/control_charts.json.
/// Errors:  TooFew, UnevenSubgroup, NotFinite (its index counts through all subgroups), OutOfRange.
pub fn mean_and_range_chart<S: AsRef<[f64]>>(
    subgroups: &[S],
) -> Result<ControlChart, StatisticsError> {
    let (size, locations, spreads) = points(subgroups, |group| Some(group.max - group.min))?;
    let limits = mean_and_range_limits(mean(&locations)?, mean(&spreads)?, size)?;
    Ok(ControlChart {
        limits,
        locations,
        spreads,
    })
}

/// Chart of the means and standard deviations of subgroups of one size.
///
/// Formula, Symbols, Valid, Rounding, Source: as [`mean_and_deviation_limits`]; 2 or more
/// subgroups.
/// Checked: tests/tables/control_charts.json.
/// Errors:  TooFew, UnevenSubgroup, NotFinite (its index counts through all subgroups), OutOfRange.
pub fn mean_and_deviation_chart<S: AsRef<[f64]>>(
    subgroups: &[S],
) -> Result<ControlChart, StatisticsError> {
    let (size, locations, spreads) = points(subgroups, |group| group.standard_deviation)?;
    let limits = mean_and_deviation_limits(mean(&locations)?, mean(&spreads)?, size)?;
    Ok(ControlChart {
        limits,
        locations,
        spreads,
    })
}

/// Chart of single values and their moving ranges of two.
///
/// Formula, Symbols, Valid, Rounding, Source: as [`individuals_limits`]; 2 or more values.
/// Checked: tests/tables/control_charts.json.
/// Errors:  TooFew, NotFinite, OutOfRange.
pub fn individuals_chart(values: &[f64]) -> Result<ControlChart, StatisticsError> {
    check(values, NEEDED, "a control chart")?;
    let limits = individuals_limits(mean(values)?, mean_moving_range(values)?)?;
    let later = values.iter().skip(1);
    Ok(ControlChart {
        limits,
        locations: values.to_vec(),
        spreads: values
            .iter()
            .zip(later)
            .map(|(a, b)| (b - a).abs())
            .collect(),
    })
}

/// Limits of means and ranges, from their means.
///
/// Formula: m -/+ A2 R; from D3 R to D4 R; s = R/d2
/// Symbols: m mean of the subgroups' means, R mean of their ranges, n subgroup size; A2, D3, D4,
///          d2 of n: [`ChartConstants`]; s standard deviation within subgroups.
/// Valid:   n from 2 to 25; R from 0.
/// Rounding: none.
/// Source:  ISO 7870-2, variables control charts (clause 6, from memory).
/// Checked: tests/tables/control_charts.json.
/// Errors:  OutOfRange.
pub fn mean_and_range_limits(
    grand_mean: f64,
    mean_range: f64,
    subgroup_size: usize,
) -> Result<ChartLimits, StatisticsError> {
    check_means(grand_mean, mean_range)?;
    let of = ChartConstants::of(subgroup_size)?;
    Ok(ChartLimits {
        location: ControlLimits::around(grand_mean, of.a2 * mean_range),
        spread: ControlLimits {
            lower: of.range_lower * mean_range,
            centre: mean_range,
            upper: of.range_upper * mean_range,
        },
        within_deviation: mean_range / of.d2,
    })
}

/// Limits of means and standard deviations, from their means.
///
/// Formula: m -/+ A3 s; from B3 s to B4 s; within = s/c4
/// Symbols: m mean of the subgroups' means, s mean of their standard deviations, n subgroup size;
///          A3, B3, B4, c4 of n: [`ChartConstants`].
/// Valid:   n from 2 to 25; s from 0.
/// Rounding: none.
/// Source:  ISO 7870-2, variables control charts (clause 6, from memory).
/// Checked: tests/tables/control_charts.json.
/// Errors:  OutOfRange.
pub fn mean_and_deviation_limits(
    grand_mean: f64,
    mean_deviation: f64,
    subgroup_size: usize,
) -> Result<ChartLimits, StatisticsError> {
    check_means(grand_mean, mean_deviation)?;
    let of = ChartConstants::of(subgroup_size)?;
    Ok(ChartLimits {
        location: ControlLimits::around(grand_mean, of.a3 * mean_deviation),
        spread: ControlLimits {
            lower: of.b3 * mean_deviation,
            centre: mean_deviation,
            upper: of.b4 * mean_deviation,
        },
        within_deviation: mean_deviation / of.c4,
    })
}

/// Limits of single values and moving ranges of two, from their means. Quick: for every reading.
///
/// Formula: m -/+ E2 MR; from 0 to D4 MR; s = MR/d2
/// Symbols: m mean, MR mean moving range; for two values d2 = 2/sqrt(pi), E2 = 3/d2,
///          D4 = 1 + 3 sqrt(2 - d2^2)/d2; s standard deviation from one value to the next.
/// Valid:   MR from 0.
/// Rounding: none.
/// Source:  ISO 7870-2, individuals chart (clause from memory); d2 and d3 for two values: the
///          range is the absolute value of a normal one with the variance 2.
/// Checked: tests/tables/control_charts.json.
/// Errors:  OutOfRange.
pub fn individuals_limits(
    mean: f64,
    mean_moving_range: f64,
) -> Result<ChartLimits, StatisticsError> {
    check_means(mean, mean_moving_range)?;
    let d2 = std::f64::consts::FRAC_2_SQRT_PI;
    let upper = 1.0 + 3.0 * (2.0 - d2 * d2).sqrt() / d2;
    Ok(ChartLimits {
        location: ControlLimits::around(mean, 3.0 / d2 * mean_moving_range),
        spread: ControlLimits {
            lower: 0.0,
            centre: mean_moving_range,
            upper: upper * mean_moving_range,
        },
        within_deviation: mean_moving_range / d2,
    })
}

fn check_means(location: f64, spread: f64) -> Result<(), StatisticsError> {
    if !fits(location) {
        return Err(StatisticsError::OutOfRange {
            name: "mean",
            found: location,
            allowed: "between -1e140 and 1e140",
        });
    }
    if !fits(spread) || spread < 0.0 {
        return Err(StatisticsError::OutOfRange {
            name: "mean spread",
            found: spread,
            allowed: "from 0 to 1e140",
        });
    }
    Ok(())
}

fn mean(values: &[f64]) -> Result<f64, StatisticsError> {
    Ok(summary(values)?.mean)
}

/// Size, means and spreads of the subgroups.
fn points<S: AsRef<[f64]>>(
    subgroups: &[S],
    spread: impl Fn(&super::Summary) -> Option<f64>,
) -> Result<(usize, Vec<f64>, Vec<f64>), StatisticsError> {
    let count = subgroups.len();
    enough_of("subgroup", count, NEEDED, "a control chart of subgroups")?;
    let size = subgroups.first().map_or(0, |group| group.as_ref().len());
    enough(size, 2, "a subgroup")?;
    let (mut locations, mut spreads) = (Vec::new(), Vec::new());
    for (at, group) in subgroups.iter().enumerate() {
        let group = group.as_ref();
        if group.len() != size {
            return Err(StatisticsError::UnevenSubgroup {
                index: at,
                found: group.len(),
                needed: size,
            });
        }
        let found = summary(group).map_err(|error| counted_through(error, at * size))?;
        locations.push(found.mean);
        spreads.push(spread(&found).unwrap_or_default());
    }
    Ok((size, locations, spreads))
}

fn counted_through(error: StatisticsError, before: usize) -> StatisticsError {
    match error {
        StatisticsError::NotFinite { index } => StatisticsError::NotFinite {
            index: before + index,
        },
        other => other,
    }
}
