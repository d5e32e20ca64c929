//! What would settle a DOUBT, in the order in which to try it.

use std::fmt;

use super::Rule;
use super::guard::largest_proving_uncertainty;
use super::uncertainty::{Uncertainty, UncertaintySource};
use crate::quantity::Length;
use crate::tolerance::Limits;

/// More repeats than this are no remedy (chosen: nobody repeats one point longer with care).
const READINGS_MAX: f64 = 10.0;

/// One thing to do about a DOUBT.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Remedy {
    /// Zero the gauge on a setting standard of this size and measure again: the scale's error
    /// falls away.
    SettingStandard {
        /// The size of the standard: the measured one.
        size: Length,
    },
    /// Measure with a gauge whose U (k = 2) is at most this, temperature included.
    BetterGauge {
        /// Largest expanded uncertainty that would settle this value, rounded down.
        expanded_at_most: Length,
    },
    /// Repeat until there are so many readings in the mean, all agreeing.
    Repeats {
        /// Readings in total.
        readings: u32,
    },
}

/// What to do, in a sentence.
impl fmt::Display for Remedy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::SettingStandard { size } => write!(
                f,
                "Zero the gauge on a setting standard of {} mm and measure again.",
                size.to_mm()
            ),
            Self::BetterGauge { expanded_at_most } => write!(
                f,
                "Measure with a gauge whose U (k = 2) is at most {expanded_at_most} mm."
            ),
            Self::Repeats { readings } => {
                write!(
                    f,
                    "Repeat until {readings} readings agree; their mean counts."
                )
            }
        }
    }
}

/// The remedies for a value in DOUBT, in order; the last resort, release by a named person, is
/// the session's. Repeats are named only where they suffice: they shrink the repeatability line
/// of the budget and nothing else, so never a maximum permissible error.
///
/// Formula: U = 2 u_max; n = s^2 / (u_max^2 - u_rest^2), s^2 = n0 u_rep^2
/// Symbols: u_max largest uncertainty that settles the value; u_rep repeatability line of n0
///          readings; u_rest root of the other lines' squares.
/// Valid:   the value staying where it is; n up to 10 (chosen).
/// Rounding: U down to 1 nm; n up.
/// Source:  JCGM 100:2008 clause 4.2.3; ISO 14253-1:2017.
/// Checked: tests/logic/measure_remedy.rs.
/// Errors:  none.
pub fn remedies(
    value: Length,
    limits: &Limits,
    rule: Rule,
    uncertainty: &Uncertainty,
    readings: u32,
) -> Vec<Remedy> {
    let mut remedies = vec![Remedy::SettingStandard { size: value }];
    let Some(largest) = largest_proving_uncertainty(value, limits, rule) else {
        return remedies;
    };
    let expanded_at_most = whole_nm_below(2.0 * largest);
    if expanded_at_most > Length::ZERO {
        remedies.push(Remedy::BetterGauge { expanded_at_most });
    }
    if let Some(readings) = sufficient_readings(largest, uncertainty, readings) {
        remedies.push(Remedy::Repeats { readings });
    }
    remedies
}

fn sufficient_readings(largest: f64, uncertainty: &Uncertainty, readings: u32) -> Option<u32> {
    let squares = |repeatability: bool| -> f64 {
        uncertainty
            .lines()
            .iter()
            .filter(|line| (line.source == UncertaintySource::Repeatability) == repeatability)
            .map(|line| line.standard_nm.powi(2))
            .sum()
    };
    let room = largest.powi(2) - squares(false);
    let one_reading = squares(true) * f64::from(readings);
    if room <= 0.0 || one_reading <= 0.0 {
        return None;
    }
    let needed = (one_reading / room * (1.0 - 1e-12)).ceil();
    (needed <= READINGS_MAX)
        .then(|| (1_u32..=10).find(|count| f64::from(*count) >= needed))
        .flatten()
        .filter(|count| *count > readings)
}

#[allow(clippy::cast_possible_truncation)]
fn whole_nm_below(nm: f64) -> Length {
    Length::from_nm(nm.floor() as i64)
}
