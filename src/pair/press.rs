//! A press or shrink fit from its loosest to its tightest pair: grip, stress, force, temperature.

use super::bush_bore::{BoreAfter, bore_after_pressing};
use super::elastic::{Elastic, Strength};
use super::joint::Joint;
use super::press_caution::PressCaution;
use super::press_error::PressError;
use super::press_way::PressWay;

/// Of the roughness of both surfaces so much is smoothed away (DIN 7190-1, from memory).
const SMOOTHED: f64 = 0.8;
/// Roughness that a seat may have, micrometres.
const ROUGHNESS_UM: (f64, f64) = (0.0, 200.0);
/// Friction coefficients that metals may have.
const FRICTION: (f64, f64) = (0.0, 1.0);
/// Interference beyond this is a slip of the pen, as a share of the diameter.
const INTERFERENCE_SHARE: f64 = 0.05;
/// A joint shorter than this share of its diameter presses less than computed.
const SHORT: f64 = 0.5;
/// Liquid nitrogen, degrees C.
const COLDEST_C: f64 = -196.0;
/// Above this, nothing known of the hub's state is worth a word, degrees C (chosen: below it no
/// hardened steel loses its state).
const WARM_C: f64 = 100.0;
/// Below room temperature by more than this, steel shrinks noticeably less (chosen).
const COLD_SPAN_K: f64 = 60.0;

/// Roughness of the two surfaces before joining, mean peak to valley height Rz, micrometres.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Surfaces {
    /// Of the shaft.
    pub rz_shaft_um: f64,
    /// Of the hub's bore.
    pub rz_hub_um: f64,
}

/// What is pressed together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Press {
    /// The joint.
    pub joint: Joint,
    /// Interference of the loosest and the tightest pair, mm on the diameter; negative: clearance.
    pub interference_mm: (f64, f64),
    /// How the hub gives.
    pub hub: Elastic,
    /// How the shaft gives.
    pub shaft: Elastic,
    /// What the hub bears.
    pub hub_strength: Strength,
    /// What the shaft bears.
    pub shaft_strength: Strength,
    /// How rough the surfaces are.
    pub surfaces: Surfaces,
    /// Friction against slip, low and high.
    pub friction_slip: (f64, f64),
    /// Friction while pressing in, low and high.
    pub friction_press_in: (f64, f64),
    /// Clearance for joining by heat or cold, mm.
    pub clearance_mm: f64,
    /// Temperature of the room, degrees C.
    pub room_c: f64,
    /// Lengths of hub and of the shaft's seat, mm, where they are not that of the joint.
    pub lengths_mm: Option<(f64, f64)>,
    /// The hottest that the hub may be without losing its state, degrees C; none: not known.
    pub hub_heat_max_c: Option<f64>,
    /// One of the two is a plastic.
    pub is_plastic: bool,
    /// The bore of a bush that is pressed in, mm: as it is before, and its limits.
    pub bore_mm: Option<((f64, f64), (f64, f64))>,
}

/// The elastic limits of a joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PressLimits {
    /// Largest pressure of a ductile hub by distortion energy, MPa.
    pub hub_von_mises_mpa: Option<f64>,
    /// By the largest shear, MPa.
    pub hub_tresca_mpa: Option<f64>,
    /// Of a brittle hub, MPa.
    pub hub_brittle_mpa: Option<f64>,
    /// Of the shaft, MPa.
    pub shaft_mpa: Option<f64>,
}

/// What such a fit does.
#[derive(Debug, Clone, PartialEq)]
pub struct PressAnswer {
    /// Interference of the loosest pair, mm; negative: clearance.
    pub interference_min_mm: f64,
    /// Of the tightest.
    pub interference_max_mm: f64,
    /// What smoothing takes away, mm.
    pub smoothing_loss_mm: f64,
    /// What is left of the loosest pair, mm; 0 or below: no grip.
    pub effective_interference_min_mm: f64,
    /// Pressure of the tightest pair before smoothing, MPa: what stresses are computed with.
    pub pressure_max_mpa: f64,
    /// The same after smoothing, MPa.
    pub pressure_max_smoothed_mpa: f64,
    /// Pressure of the loosest pair after smoothing, MPa; never negative.
    pub pressure_min_mpa: f64,
    /// Largest hoop stress of the hub, MPa.
    pub hub_hoop_max_mpa: f64,
    /// Largest stress of the hub by distortion energy, MPa.
    pub hub_von_mises_max_mpa: f64,
    /// By the largest shear, MPa.
    pub hub_tresca_max_mpa: f64,
    /// Hoop stress of the shaft where it is largest, MPa; negative: it is squeezed.
    pub shaft_hoop_max_mpa: f64,
    /// Limits of the pressure.
    pub limits: PressLimits,
    /// Force at which the loosest pair slips, N, at the low and the high friction.
    pub slip_force_min_n: (f64, f64),
    /// Force at the end of pressing in, N: the loosest pair at the low, the tightest at the high
    /// friction.
    pub press_in_force_n: (f64, f64),
    /// Torque at which the loosest pair slips, N m, at the low and the high friction.
    pub torque_min_nm: (f64, f64),
    /// How much the hub's outside grows at most, mm.
    pub hub_growth_max_mm: f64,
    /// How much the shaft's bore shrinks, mm: loosest and tightest pair.
    pub shaft_bore_shrink_mm: (f64, f64),
    /// How much warmer the hub must be than the shaft, K.
    pub hub_heating_k: f64,
    /// How much colder the shaft must be than the hub, K.
    pub shaft_cooling_k: f64,
    /// Temperature of the hub for joining it to a shaft of room temperature, degrees C.
    pub hub_temperature_c: f64,
    /// Temperature of the shaft for joining it to a hub of room temperature, degrees C.
    pub shaft_temperature_c: f64,
    /// What becomes of a bush's bore, where it was asked.
    pub bore: Option<BoreAfter>,
    /// With what it is usually pressed together.
    pub way: PressWay,
    /// Every pair grips.
    pub holds: bool,
    /// The tightest pair goes beyond an elastic limit (or may crack); none where it is not known.
    pub yields: Option<bool>,
    /// What must be said beside it, the usual ones first.
    pub cautions: Vec<PressCaution>,
}

/// What a press fit does, from its loosest to its tightest pair.
///
/// Formula: U_w = U - 0.8 (Rz_s + Rz_h); pressures of [`Joint::contact_pressure_mpa`] at U_w of the
///          loosest and at U of the tightest pair; forces of [`Joint::axial_force_n`]; temperatures
///          of [`Joint::temperature_difference_k`]
/// Symbols: U interference (mm), Rz roughness of shaft and hub.
/// Valid:   as [`Joint::contact_pressure_mpa`]; a grip below zero is none.
/// Rounding: none.
/// Source:  smoothing: DIN 7190-1 (from memory); the rest as the functions named.
/// Checked: tests/tables/pair_examples.json.
/// Errors:  `OutOfRange` for a number that no bench has, `Reversed`.
pub fn press(fit: &Press) -> Result<PressAnswer, PressError> {
    check(fit)?;
    let (joint, hub, shaft) = (&fit.joint, &fit.hub, &fit.shaft);
    let (least, most) = fit.interference_mm;
    let loss = SMOOTHED * (fit.surfaces.rz_shaft_um + fit.surfaces.rz_hub_um) / 1_000.0;
    let left = least - loss;
    let pressure = |interference: f64| joint.contact_pressure_mpa(interference, hub, shaft);
    let (pressure_max, pressure_min) = (pressure(most), pressure(left));
    let hub_stress = joint.hub_stress(pressure_max);
    let slip = |friction: f64| joint.axial_force_n(pressure_min, friction);
    let turn = |friction: f64| joint.torque_nm(pressure_min, friction);
    let heating = joint.temperature_difference_k(most, fit.clearance_mm, hub);
    let cooling = joint.temperature_difference_k(most, fit.clearance_mm, shaft);
    let limits = limits(fit);
    let shrink = (
        joint.shaft_bore_shrink_mm(pressure_min, shaft),
        joint.shaft_bore_shrink_mm(pressure_max, shaft),
    );
    let bore = fit
        .bore_mm
        .map(|(bore, its)| bore_after_pressing(bore, shrink, its));
    let press_in = joint.axial_force_n(pressure_max, fit.friction_press_in.1);
    let mut answer = PressAnswer {
        interference_min_mm: least,
        interference_max_mm: most,
        smoothing_loss_mm: loss,
        effective_interference_min_mm: left,
        pressure_max_mpa: pressure_max,
        pressure_max_smoothed_mpa: pressure(most - loss),
        pressure_min_mpa: pressure_min,
        hub_hoop_max_mpa: hub_stress.hoop_mpa,
        hub_von_mises_max_mpa: hub_stress.von_mises_mpa(),
        hub_tresca_max_mpa: hub_stress.tresca_mpa(),
        shaft_hoop_max_mpa: joint.shaft_stress(pressure_max).hoop_mpa,
        limits,
        slip_force_min_n: (slip(fit.friction_slip.0), slip(fit.friction_slip.1)),
        press_in_force_n: (
            joint.axial_force_n(pressure_min, fit.friction_press_in.0),
            press_in,
        ),
        torque_min_nm: (turn(fit.friction_slip.0), turn(fit.friction_slip.1)),
        hub_growth_max_mm: joint.hub_growth_mm(pressure_max, hub),
        shaft_bore_shrink_mm: shrink,
        bore: bore.transpose()?,
        way: PressWay::for_force(press_in),
        hub_heating_k: heating,
        shaft_cooling_k: cooling,
        hub_temperature_c: fit.room_c + heating,
        shaft_temperature_c: fit.room_c - cooling,
        holds: left > 0.0,
        yields: yields(&limits, pressure_max),
        cautions: Vec::new(),
    };
    answer.cautions = cautions(fit, &answer);
    Ok(answer)
}

/// The force along the way in, N: after each share of the travel, of a joint pressed in with such a
/// pressure and friction. It grows with the length that is in.
///
/// Formula: F(x) = m pi D x p
/// Symbols: x length that is in (mm); the rest as [`Joint::axial_force_n`].
/// Valid:   as there; without chamfer and start.
/// Rounding: none.
/// Source:  as there.
/// Checked: tests/logic/press.rs.
/// Errors:  none.
pub fn force_over_travel(
    joint: &Joint,
    (pressure_mpa, friction): (f64, f64),
    steps: u32,
) -> Vec<(f64, f64)> {
    let whole = joint.axial_force_n(pressure_mpa, friction);
    let at = |step: u32| f64::from(step) / f64::from(steps.max(1));
    (0..=steps.max(1))
        .map(|step| (at(step) * joint.length_mm(), at(step) * whole))
        .collect()
}

fn check(fit: &Press) -> Result<(), PressError> {
    let (least, most) = fit.interference_mm;
    let reach = INTERFERENCE_SHARE * fit.joint.diameter_mm();
    for interference in [least, most] {
        let allowed = "within a twentieth of the joint's diameter";
        PressError::within("interference", interference, (-reach, reach), allowed)?;
    }
    if least > most {
        return Err(PressError::Reversed {
            least_mm: least,
            most_mm: most,
        });
    }
    for (what, rz) in [
        ("roughness Rz of the shaft", fit.surfaces.rz_shaft_um),
        ("roughness Rz of the hub", fit.surfaces.rz_hub_um),
    ] {
        PressError::within(what, rz, ROUGHNESS_UM, "0 to 200 micrometres")?;
    }
    for (what, (low, high)) in [
        ("friction against slip", fit.friction_slip),
        ("friction while pressing in", fit.friction_press_in),
    ] {
        PressError::within(what, low, FRICTION, "0 to 1")?;
        PressError::within(what, high, (low, FRICTION.1), "the low end to 1")?;
    }
    let clearance = (0.0, reach);
    let allowed = "0 to a twentieth of the joint's diameter";
    PressError::within("joining clearance", fit.clearance_mm, clearance, allowed)?;
    let rooms = (-50.0, 80.0);
    PressError::within("room temperature", fit.room_c, rooms, "-50 to 80 degrees C")?;
    for (what, strength) in [
        ("strength of the hub", fit.hub_strength),
        ("strength of the shaft", fit.shaft_strength),
    ] {
        if let Strength::Yields(mpa) | Strength::Cracks(mpa) = strength {
            PressError::within(what, mpa, (1.0, 10_000.0), "1 to 10 000 MPa")?;
        }
    }
    Ok(())
}

fn limits(fit: &Press) -> PressLimits {
    let mut limits = PressLimits {
        hub_von_mises_mpa: None,
        hub_tresca_mpa: None,
        hub_brittle_mpa: None,
        shaft_mpa: None,
    };
    match fit.hub_strength {
        Strength::Yields(bears) => {
            let (mises, tresca) = fit.joint.hub_pressure_limits_mpa(bears);
            limits.hub_von_mises_mpa = Some(mises);
            limits.hub_tresca_mpa = Some(tresca);
        }
        Strength::Cracks(bears) => {
            limits.hub_brittle_mpa = Some(fit.joint.brittle_hub_pressure_limit_mpa(bears));
        }
        Strength::Unknown => {}
    }
    // A squeezed shaft does not crack by tension: what it bears is compared alike.
    if let Strength::Yields(bears) | Strength::Cracks(bears) = fit.shaft_strength {
        limits.shaft_mpa = Some(fit.joint.shaft_pressure_limit_mpa(bears));
    }
    limits
}

/// By distortion energy where the hub is ductile.
fn yields(limits: &PressLimits, pressure_mpa: f64) -> Option<bool> {
    let hub = limits.hub_von_mises_mpa.or(limits.hub_brittle_mpa);
    let beyond = |limit: Option<f64>| limit.map(|limit| pressure_mpa > limit);
    match (beyond(hub), beyond(limits.shaft_mpa)) {
        (Some(true), _) | (_, Some(true)) => Some(true),
        (Some(false), Some(false)) => Some(false),
        _ => None,
    }
}

fn cautions(fit: &Press, answer: &PressAnswer) -> Vec<PressCaution> {
    let pressure = answer.pressure_max_mpa;
    let beyond = |limit: Option<f64>| limit.is_some_and(|limit| pressure > limit);
    let limits = &answer.limits;
    let is_unknown = [fit.hub_strength, fit.shaft_strength].contains(&Strength::Unknown);
    let is_uneven = fit
        .lengths_mm
        .is_some_and(|(hub, seat)| (hub - seat).abs() > 0.0);
    let hottest = fit.hub_heat_max_c;
    let found = [
        (!answer.holds, PressCaution::NoGrip),
        (beyond(limits.hub_von_mises_mpa), PressCaution::HubYields),
        (beyond(limits.hub_brittle_mpa), PressCaution::HubCracks),
        (beyond(limits.shaft_mpa), PressCaution::ShaftYields),
        (is_unknown, PressCaution::StrengthUnknown),
        (
            fit.joint.length_mm() < SHORT * fit.joint.diameter_mm(),
            PressCaution::Short,
        ),
        (is_uneven, PressCaution::EdgePressure),
        (
            hottest.is_some_and(|hottest| answer.hub_temperature_c > hottest),
            PressCaution::TooHot,
        ),
        (
            answer.shaft_temperature_c < COLDEST_C,
            PressCaution::TooCold,
        ),
        (
            answer.shaft_cooling_k > COLD_SPAN_K,
            PressCaution::ColdShrinksLess,
        ),
        (
            hottest.is_none() && answer.hub_temperature_c > WARM_C,
            PressCaution::HeatUnknown,
        ),
        (
            answer.bore.is_some_and(|bore| !bore.stays),
            PressCaution::BoreLeaves,
        ),
        (fit.is_plastic, PressCaution::Creeps),
    ];
    let special = found
        .into_iter()
        .filter(|(is, _)| *is)
        .map(|(_, what)| what);
    PressCaution::ALWAYS.into_iter().chain(special).collect()
}
