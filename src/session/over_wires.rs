//! A pitch diameter measured over three wires: what the gauge shows becomes the pitch diameter,
//! and the wires' own error joins the budget.
//!
//! The lead angle is always counted: it is geometry, and leaving it out makes the pitch diameter
//! read too large.

use super::setup::{Setup, Target, TargetLimits};
use crate::gauge::{Faces, Gauge, GaugeId, GaugeKind, Register};
use crate::measure::{
    BudgetLine, Correction, LeadAngle, Measured, ThreeWires, pitch_diameter_uncertainty, wire_line,
    wire_line_within,
};
use crate::quantity::Length;
use crate::tolerance::Limits;

/// Half width of the error of wires of which nothing is stated (common practice, no source: sets
/// for the workshop are made to about a micrometre).
const WIRE_ERROR_ASSUMED: Length = Length::from_um(1);
/// The wires' error is not stated anywhere.
pub(super) const WIRES_ASSUMED: &str = "wire_error_assumed";
/// The pitch diameter was judged, from a size over wires.
pub(super) const OVER_WIRES: &str = "over_three_wires";

/// So far the diameter of wires may be from the size that the register states for them (chosen: a
/// measured diameter for a nominal one).
const WIRE_OFF_MAX: Length = Length::from_um(10);

/// The wires of the register for a measurement over three: those that the plan lists, else the
/// only ones there are; never a set whose range does not hold the wire's diameter.
pub(super) fn wires_of(target: &Target, register: &Register) -> Option<GaugeId> {
    let wire = target.over_wires?.wire;
    let is_of_size = |size: Length| (size - wire).abs() <= WIRE_OFF_MAX;
    let fits = |gauge: &&Gauge| {
        let has_wire = gauge.covers(wire) || gauge.fixed_size().is_some_and(is_of_size);
        gauge.kind == GaugeKind::Wires && has_wire
    };
    let mut all = register.gauges().iter().filter(fits);
    let listed = all.clone().find(|gauge| target.gauges.contains(&gauge.id));
    let only = match (all.next(), all.next()) {
        (Some(only), None) => Some(only),
        _ => None,
    };
    Some(listed.or(only)?.id.clone())
}

impl Target {
    /// The wires, if it is measured over three; none for a wire that cannot touch the flanks,
    /// which no plan that was read has.
    pub fn three_wires(&self) -> Option<ThreeWires> {
        let over = self.over_wires?;
        ThreeWires::new(over.profile, over.lead, over.wire).ok()
    }

    /// What must be found over the wires where the size itself is to be that; the size itself for
    /// what is not measured over wires.
    pub fn size_to_find(&self, size: Length) -> Length {
        let over = self
            .three_wires()
            .and_then(|wires| wires.over_wires(size, LeadAngle::Corrected).ok());
        over.unwrap_or_else(|| self.form_to_find(size))
    }

    /// The limits of what is found with the gauge: over the wires where there are any. None for
    /// angles and checks.
    pub fn limits_to_find(&self) -> Option<Limits> {
        let TargetLimits::Length(limits) = self.limits else {
            return None;
        };
        let over = self
            .three_wires()
            .and_then(|wires| wires.over_wires_limits(&limits, LeadAngle::Corrected).ok());
        let of_form = || {
            let upper = self.form_to_find(limits.upper()?);
            Limits::new(None, Some(upper), limits.derivation()).ok()
        };
        let of_form = self.form.is_some().then(of_form).flatten();
        Some(over.or(of_form).unwrap_or(limits))
    }
}

/// The pitch diameter from what was found over the wires; what is not measured over wires stays.
///
/// # Errors
/// A sentence, when what was found is no size over these wires.
pub(super) fn pitch_measured(
    setup: &Setup,
    target: &Target,
    measured: Measured,
    notes: &mut Vec<String>,
) -> Result<Measured, String> {
    let Some(wires) = target.three_wires() else {
        return Ok(measured);
    };
    let found = wires.pitch_diameter(measured.value, LeadAngle::Corrected);
    let value = found.map_err(|error| error.to_string())?;
    notes.push(OVER_WIRES.to_owned());
    let line = line_of_wires(setup, target, notes);
    let uncertainty = pitch_diameter_uncertainty(measured.uncertainty.as_ref(), line);
    let mut corrections = measured.corrections;
    corrections.push(Correction::OverWires {
        wire: wires.wire(),
        added: value - measured.value,
    });
    Ok(Measured {
        value,
        uncertainty: uncertainty.map_err(|error| error.to_string())?,
        corrections,
    })
}

/// What the wires' error adds: as the register states it, else assumed. Their diameter is the
/// plan's, so a bias of their certificate is not taken off again.
fn line_of_wires(setup: &Setup, target: &Target, notes: &mut Vec<String>) -> BudgetLine {
    let wires = target.wires.as_ref().and_then(|id| setup.gauge(id));
    let error = wires.and_then(|gauge| {
        let wire = target.over_wires?.wire;
        gauge.error_at(wire, Faces::Outside)
    });
    let calibrated = error.as_ref().and_then(|error| error.calibration.as_ref());
    if let Some(calibration) = calibrated {
        let expanded = calibration.expanded_uncertainty().as_nm_f64();
        return wire_line(expanded / calibration.coverage_factor());
    }
    match error.and_then(|error| error.mpe) {
        Some(mpe) => wire_line_within(mpe),
        None => {
            notes.push(WIRES_ASSUMED.to_owned());
            wire_line_within(WIRE_ERROR_ASSUMED)
        }
    }
}
