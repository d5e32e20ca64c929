//! What would settle a DOUBT, in the order in which to try it.

use std::fmt;

use super::Rule;
use super::guard::largest_proving_uncertainty;
use super::uncertainty::{Uncertainty, UncertaintySource};
use super::wires::WIRE_FACTOR;
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
    /// Measure with a gauge whose U (k = 2) is at most this, temperature included, that of
    /// measuring wires not.
    BetterGauge {
        /// Largest expanded uncertainty that would settle this value, rounded down.
        expanded_at_most: Length,
    },
    /// Measure over wires whose mean diameter is known to this U (k = 2), with the same gauge.
    BetterWires {
        /// Largest expanded uncertainty of the wires that would settle this value, rounded down.
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
            Self::BetterWires { expanded_at_most } => write!(
                f,
                "Measure over wires whose mean diameter is known to U (k = 2) of at most \
                 {expanded_at_most} mm."
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
/// Formula: U = 2 sqrt(u_max^2 - u_W^2); wires U = 2/3 sqrt(u_max^2 - u_gauge^2);
///          n = s^2 / (u_max^2 - u_rest^2), s^2 = n0 u_rep^2
/// Symbols: u_max largest uncertainty that settles the value; u_W line of measuring wires, u_gauge
///          root of all others' squares; u_rep repeatability line of n0 readings; u_rest root of
///          the other lines' squares.
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
    let wires = squares(uncertainty, |source| {
        source == UncertaintySource::WireDiameter
    });
    let expanded_at_most = whole_nm_below(2.0 * root_of_room(largest, wires));
    if expanded_at_most > Length::ZERO {
        remedies.push(Remedy::BetterGauge { expanded_at_most });
    }
    if wires > 0.0 {
        let others = squares(uncertainty, |source| {
            source != UncertaintySource::WireDiameter
        });
        let share = root_of_room(largest, others) / WIRE_FACTOR;
        let expanded_at_most = whole_nm_below(2.0 * share);
        if expanded_at_most > Length::ZERO {
            remedies.push(Remedy::BetterWires { expanded_at_most });
        }
    }
    if let Some(readings) = sufficient_readings(largest, uncertainty, readings) {
        remedies.push(Remedy::Repeats { readings });
    }
    remedies
}

fn sufficient_readings(largest: f64, uncertainty: &Uncertainty, readings: u32) -> Option<u32> {
    let repeats = |source| source == UncertaintySource::Repeatability;
    let room = largest.powi(2) - squares(uncertainty, |source| !repeats(source));
    let one_reading = squares(uncertainty, repeats) * f64::from(readings);
    if room <= 0.0 || one_reading <= 0.0 {
        return None;
    }
    let needed = (one_reading / room * (1.0 - 1e-12)).ceil();
    (needed <= READINGS_MAX)
        .then(|| (1_u32..=10).find(|count| f64::from(*count) >= needed))
        .flatten()
        .filter(|count| *count > readings)
}

/// The sum of the squares of those lines, nm².
fn squares(uncertainty: &Uncertainty, which: impl Fn(UncertaintySource) -> bool) -> f64 {
    let lines = uncertainty.lines().iter();
    lines
        .filter(|line| which(line.source))
        .map(|line| line.standard_nm.powi(2))
        .sum()
}

/// What is left for one line beside others of those squares; zero when they take it all.
fn root_of_room(largest: f64, others: f64) -> f64 {
    (largest.powi(2) - others).max(0.0).sqrt()
}

#[allow(clippy::cast_possible_truncation)]
fn whole_nm_below(nm: f64) -> Length {
    Length::from_nm(nm.floor() as i64)
}
