//! The constants of control charts, computed from the normal distribution.

use super::checked::in_range;
use super::{RangeFactors, StatisticsError, range_factors, unbiasing_factor};

/// Largest subgroup whose range is used; a larger one wants its standard deviation.
pub const SUBGROUP_SIZE_MAX: usize = 25;

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
        let n = subgroup_size as f64;
        let most = SUBGROUP_SIZE_MAX as f64;
        in_range("subgroup size", n, 2.0, most, "from 2 to 25")?;
        let RangeFactors { d2, d3 } = range_factors(subgroup_size)?;
        let c4 = unbiasing_factor(n - 1.0)?;
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
