//! The mean and the deviation of a range of normal values, by integration: what makes a standard
//! deviation of a mean range.

use super::StatisticsError;
use super::checked::in_range;
use super::numeric::{nodes, spaced};
use super::special::{normal_cdf, normal_density};

/// The largest range whose factors are measured.
const SIZE_MAX: usize = 1000;
/// Where the range of 1000 values has ended, in standard deviations.
const WIDEST: f64 = 16.0;
/// Panels of the integral over the range.
const PANELS: usize = 8;
/// The step and the number of steps of the sum over the smallest value, from -9 to 9: for a smooth
/// bell the error of equal steps vanishes exponentially.
const STEP: f64 = 0.125;
const STEPS: i32 = 72;

/// Mean and standard deviation of the range of `n` values, in standard deviations of the values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RangeFactors {
    /// The mean, d2.
    pub d2: f64,
    /// The standard deviation, d3.
    pub d3: f64,
}

impl RangeFactors {
    /// The factor for the mean of `groups` ranges when their mean is to give a variance: d2*.
    ///
    /// Formula: d2* = sqrt(d2^2 + d3^2/g)
    /// Symbols: d2, d3 mean and standard deviation of one range; g number of ranges.
    /// Valid:   g >= 1.
    /// Rounding: none.
    /// Source:  the mean square of a mean of g ranges; A. J. Duncan's table (from memory).
    /// Checked: tests/tables/gauge_study.json (K3).
    /// Errors:  none.
    pub fn for_groups(&self, groups: usize) -> f64 {
        (self.d2 * self.d2 + self.d3 * self.d3 / groups.max(1) as f64).sqrt()
    }

    /// Upper three-deviation limit of a range over the mean range: D4.
    ///
    /// Formula: D4 = 1 + 3 d3/d2
    /// Symbols: d2, d3 mean and standard deviation of one range.
    /// Valid:   always.
    /// Rounding: none.
    /// Source:  ISO 7870-2.
    /// Checked: tests/tables/gauge_study.json (`UCL_R`).
    /// Errors:  none.
    pub fn upper_limit(&self) -> f64 {
        1.0 + 3.0 * self.d3 / self.d2
    }
}

/// Mean and standard deviation of the range of `n` independent normal values.
///
/// Formula: P(w) = n integral of f(x) (F(x + w) - F(x))^(n-1) dx, the distribution of the range;
///          d2 = integral of 1 - P, d2^2 + d3^2 = integral of 2w(1 - P)
/// Symbols: w range; x smallest value; f, F normal density and distribution.
/// Valid:   2 to 1000 values; relative error below 1e-9 (measured at 2, 3, 25 and 1000).
/// Rounding: none.
/// Source:  definition.
/// Checked: below, and tests/tables/gauge_study.json.
/// Errors:  `OutOfRange`.
pub fn range_factors(n: usize) -> Result<RangeFactors, StatisticsError> {
    let size = n as f64;
    in_range(
        "number of values in a range",
        size,
        2.0,
        SIZE_MAX as f64,
        "2 to 1000",
    )?;
    let smallest: Vec<(f64, f64, f64)> = (-STEPS..=STEPS)
        .map(|at| STEP * f64::from(at))
        .map(|x| (x, normal_cdf(x), STEP * size * normal_density(x)))
        .collect();
    let above = |w: f64| {
        let terms = smallest
            .iter()
            .map(|(x, below, weight)| weight * (normal_cdf(x + w) - below).powf(size - 1.0));
        1.0 - terms.sum::<f64>()
    };
    let widths = spaced(0.0, WIDEST, PANELS);
    let (mut first, mut second) = (0.0, 0.0);
    for (w, weight) in nodes(&widths) {
        let share = weight * above(w);
        first += share;
        second += 2.0 * w * share;
    }
    Ok(RangeFactors {
        d2: first,
        d3: (second - first * first).sqrt(),
    })
}

#[cfg(test)]
mod tests {
    use super::range_factors;

    #[test]
    fn the_factors_agree_with_exact_values_and_the_table() {
        let pi = std::f64::consts::PI;
        let two = range_factors(2).unwrap();
        assert!((two.d2 - 2.0 / pi.sqrt()).abs() < 1e-11, "{two:?}");
        assert!((two.d3 - (2.0 - 4.0 / pi).sqrt()).abs() < 1e-11, "{two:?}");
        let three = range_factors(3).unwrap();
        assert!((three.d2 - 3.0 / pi.sqrt()).abs() < 1e-11, "{three:?}");
        // ISO 7870-2 factors to six digits (agree with a published 3-digit table).
        for (n, d2, d3) in [(5, 2.325_929, 0.864_082), (10, 3.077_505, 0.797_051)] {
            let found = range_factors(n).unwrap();
            assert!((found.d2 - d2).abs() < 1e-6, "{n} {found:?}");
            assert!((found.d3 - d3).abs() < 1e-6, "{n} {found:?}");
        }
        // numpy 2.4.6 and scipy 1.17.1 ndtr, 2000 by 300 Gauss-Legendre points.
        let integrated = [
            (25, 3.930_629_219_508_458, 0.708_440_765_900_597_9),
            (1000, 6.482_871_538_267_98, 0.496_735_185_793_937),
        ];
        for (n, d2, d3) in integrated {
            let found = range_factors(n).unwrap();
            assert!((found.d2 / d2 - 1.0).abs() < 1e-9, "{n} {found:?}");
            assert!((found.d3 / d3 - 1.0).abs() < 1e-9, "{n} {found:?}");
        }
        assert!(range_factors(1).is_err() && range_factors(1001).is_err());
    }
}
