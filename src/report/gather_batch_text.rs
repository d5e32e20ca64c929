//! Numbers of a batch as texts: from smallest steps to the unit that is shown, rounded once.

use super::chart_axis::fixed;
use super::chart_unit::ChartUnit;
use crate::session::BatchSeries;

/// More decimals than any number here needs.
const DECIMALS_MAX: usize = 12;
/// So many digits of a spread are seen at least.
const DIGITS: f64 = 100.0;

/// How the numbers of a characteristic are written.
#[derive(Debug, Clone, Copy)]
pub(super) struct Written {
    per_unit: f64,
    decimals: usize,
}

impl Written {
    /// With the decimals of the row's finest gauge.
    pub(super) fn of(series: &BatchSeries) -> Self {
        let unit = ChartUnit::of(series);
        Self {
            per_unit: unit.steps(1.0),
            decimals: unit.decimals(),
        }
    }

    /// A number as it was read.
    pub(super) fn read(self, steps: f64) -> String {
        plain(steps / self.per_unit, self.decimals)
    }

    /// A computed place, such as a mean: one decimal more.
    pub(super) fn computed(self, steps: f64) -> String {
        plain(steps / self.per_unit, self.decimals + 1)
    }

    /// A spread: two decimals more, and three digits at least.
    pub(super) fn spread(self, steps: f64) -> String {
        self.beside(steps, steps)
    }

    /// A number written as finely as a spread of that size.
    pub(super) fn beside(self, steps: f64, spread: f64) -> String {
        let size = (spread / self.per_unit).abs();
        let mut decimals = self.decimals + 2;
        let mut seen = size * 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
        while size > 0.0 && seen < DIGITS && decimals < DECIMALS_MAX {
            decimals += 1;
            seen *= 10.0;
        }
        plain(steps / self.per_unit, decimals)
    }
}

/// A number with so many decimals: digits alone, never a power of ten, no minus before zeros;
/// empty for what is no number.
pub(super) fn plain(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return String::new();
    }
    fixed(value, decimals.min(DECIMALS_MAX))
}

#[cfg(test)]
mod tests {
    use super::{Written, plain};

    const MICROMETER: Written = Written {
        per_unit: 1e6,
        decimals: 3,
    };

    #[test]
    fn numbers_are_digits_alone_and_a_spread_shows_three_of_them() {
        assert_eq!(MICROMETER.read(20_007_000.0), "20.007");
        assert_eq!(MICROMETER.computed(20_007_312.4), "20.0073");
        assert_eq!(MICROMETER.spread(2_134.7), "0.00213");
        assert_eq!(MICROMETER.spread(21.347), "0.0000213");
        assert_eq!(MICROMETER.spread(0.0), "0.00000");
        assert_eq!(MICROMETER.beside(-3.0, 21.0), "-0.0000030");
        assert_eq!(plain(-0.001, 2), "0.00");
        assert_eq!(plain(1e-300, 4), "0.0000");
        assert_eq!(plain(f64::NAN, 2), "");
        assert_eq!(plain(f64::INFINITY, 2), "");
        assert_eq!(plain(1.25e9, 1), "1250000000.0");
    }
}
