//! What a gauge, the gauges and standards behind it, and temperature bring to a budget.
//!
//! First order only: where every input is at its reference, as for an end gauge compared with its
//! like at 20 °C, the terms in products of uncertainties are left out; JCGM 100:2008 H.1.7 has
//! 32 nm without them and 34 nm with them.

use super::temperature::ThermalUncertainty;
use super::uncertainty::{
    BudgetLine, DegreesOfFreedom, Uncertainty, UncertaintyError, UncertaintySource,
};
use crate::gauge::GaugeError;

/// So many gauges and standards behind one another are followed (chosen: a shop has three).
const CHAIN_MAX: usize = 8;

/// The lines that a gauge brings, with the standard that it was set on and the gauge that carried
/// the size to it; none when the error of any of these is not known at all (neither a maximum
/// permissible error nor a calibration), because step and repeatability alone would be a lie.
///
/// What is counted, and what is not counted twice (chosen, on the safe side):
/// - a maximum permissible error holds scale, parallelism, zero and repeatability *under
///   reference conditions*, so the repeatability is added only when a study at this bench gave
///   one (hands, part form, dirt);
/// - a calibration takes its place, U / k, after its bias has been taken off;
/// - the digital step is always added, although the error was found on the same steps: for a
///   step of a quarter of the permissible error that costs 1 % of u;
/// - a gauge that was set on a standard shows the difference of two readings: the standard's own
///   uncertainty is one line, step and repeatability of the one reading at setting another;
/// - so it is where a zero was checked on a standard, since an offset that is applied is a
///   reading: safe where a permissible error already holds the zero;
/// - a gauge that only carries a size counts as a whole, all its lines in one, and without a
///   scale by its repeatability alone;
/// - a form allowance is added only where somebody chose one.
///
/// Formula: MPE / sqrt(3) or U / k; d / (2 sqrt(3)); s_r / sqrt(n); u of the standard;
///          sqrt(d^2 / 12 + s_r^2) at setting; u of the transfer gauge; f / sqrt(3)
/// Symbols: d digital step; s_r repeatability standard deviation of v degrees of freedom; n
///          readings averaged; f half-width of the form allowance.
/// Valid:   n >= 1; at most 8 gauges and standards behind one another.
/// Rounding: none.
/// Source:  JCGM 100:2008 clause 4.3.7 and F.2.2.1 (step); 4.2.3 (mean of n); G.4.1 (v).
/// Checked: tests/tables/gauge_uncertainty.csv, tests/tables/gauge_chains.csv.
/// Errors:  NoReadings; what [`Uncertainty::combined`] refuses.
pub fn gauge_lines(
    error: &GaugeError,
    readings: u32,
) -> Result<Option<Vec<BudgetLine>>, UncertaintyError> {
    if readings == 0 {
        return Err(UncertaintyError::NoReadings);
    }
    lines_within(error, readings, CHAIN_MAX)
}

fn lines_within(
    error: &GaugeError,
    readings: u32,
    links_left: usize,
) -> Result<Option<Vec<BudgetLine>>, UncertaintyError> {
    let Some(links_left) = links_left.checked_sub(1) else {
        return Ok(None);
    };
    let mut lines = match (&error.calibration, error.mpe) {
        (Some(calibration), _) => vec![BudgetLine::known(
            UncertaintySource::Calibration,
            calibration.standard_nm(),
        )],
        (None, Some(mpe)) => vec![BudgetLine::rectangular(
            UncertaintySource::MaximumPermissibleError,
            mpe.abs().as_nm_f64(),
        )],
        (None, None) => return Ok(None),
    };
    let step = step_line(error);
    lines.extend(step);
    let repeatability = repeatability_line(error);
    lines.extend(repeatability.map(|line| BudgetLine {
        standard_nm: line.standard_nm / f64::from(readings).sqrt(),
        ..line
    }));
    if let Some(standard) = &error.standard {
        let source = UncertaintySource::SettingStandard;
        let Some(line) = whole_line(standard, source, links_left)? else {
            return Ok(None);
        };
        lines.push(line);
        let at_setting: Vec<BudgetLine> = step.into_iter().chain(repeatability).collect();
        if !at_setting.is_empty() {
            lines.push(together(at_setting, UncertaintySource::ZeroSetting)?);
        }
    }
    if let Some(transfer) = &error.transfer {
        let Some(line) = transfer_line(transfer, links_left)? else {
            return Ok(None);
        };
        lines.push(line);
    }
    if let Some(half_width) = error.form {
        let half_width_nm = half_width.abs().as_nm_f64();
        let source = UncertaintySource::Form;
        lines.push(BudgetLine::rectangular(source, half_width_nm));
    }
    Ok(Some(lines))
}

fn step_line(error: &GaugeError) -> Option<BudgetLine> {
    let half_width_nm = error.resolution?.abs().as_nm_f64() / 2.0;
    let source = UncertaintySource::Resolution;
    Some(BudgetLine::rectangular(source, half_width_nm))
}

/// The repeatability of one reading.
fn repeatability_line(error: &GaugeError) -> Option<BudgetLine> {
    let freedom = error.repeatability_freedom;
    Some(BudgetLine {
        source: UncertaintySource::Repeatability,
        standard_nm: error.repeatability?.abs().as_nm_f64(),
        degrees_of_freedom: freedom.map_or(DegreesOfFreedom::Infinite, |freedom| {
            DegreesOfFreedom::Finite(f64::from(freedom.max(1)))
        }),
    })
}

/// Another gauge or standard as one line; none when its error is not known.
fn whole_line(
    error: &GaugeError,
    source: UncertaintySource,
    links_left: usize,
) -> Result<Option<BudgetLine>, UncertaintyError> {
    let lines = lines_within(error, 1, links_left)?;
    lines.map(|lines| together(lines, source)).transpose()
}

/// The gauge that carried the size. One without a scale has no permissible error to state: what
/// a study found of setting and carrying it is then all of its error.
fn transfer_line(
    error: &GaugeError,
    links_left: usize,
) -> Result<Option<BudgetLine>, UncertaintyError> {
    let source = UncertaintySource::TransferGauge;
    let whole = whole_line(error, source, links_left)?;
    let has_no_scale = error.calibration.is_none() && error.mpe.is_none();
    let of_study = || {
        let line = repeatability_line(error).filter(|_| has_no_scale)?;
        Some(BudgetLine { source, ..line })
    };
    Ok(whole.or_else(of_study))
}

fn together(
    lines: Vec<BudgetLine>,
    source: UncertaintySource,
) -> Result<BudgetLine, UncertaintyError> {
    let whole = Uncertainty::combined(lines)?;
    Ok(BudgetLine {
        source,
        standard_nm: whole.standard_nm(),
        degrees_of_freedom: whole.degrees_of_freedom(),
    })
}

/// The lines that temperature brings; those that are zero are left out.
pub fn thermal_lines(thermal: &ThermalUncertainty) -> impl Iterator<Item = BudgetLine> {
    [
        (UncertaintySource::PartExpansion, thermal.part_expansion_nm),
        (
            UncertaintySource::GaugeExpansion,
            thermal.gauge_expansion_nm,
        ),
        (
            UncertaintySource::PartTemperature,
            thermal.part_temperature_nm,
        ),
        (
            UncertaintySource::GaugeTemperature,
            thermal.gauge_temperature_nm,
        ),
    ]
    .into_iter()
    .filter(|(_, standard_nm)| *standard_nm > 0.0)
    .map(|(source, standard_nm)| BudgetLine::known(source, standard_nm))
}
