//! What `press` is asked, and its answer, as JSON (the question also as TOML).
//!
//! Beyond the contract's list: `joint_diameter_mm`, `friction` (what forces and torque rest on, low
//! and high, and whether it was assumed), `slip_force_kn`, `press_in_force_kn` and `torque_nm` as
//! ranges over it, `hub_pressure_limit_brittle_mpa`, `shaft_pressure_limit_mpa`, `bore`,
//! `hub_heat_max_c` with its source, `press_with`, `shaft_bore_shrink_min_um`,
//! `shaft_temperature_c`, `press_in_curve` (travel in mm and force in kN, loosest and tightest
//! pair) and `caution_codes`.

use serde::{Deserialize, Serialize};

/// A fit as it is asked for.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(non_snake_case)] // the keys of the contract
pub(super) struct PressAsked {
    pub(super) joint_diameter_mm: Option<f64>,
    pub(super) hub_outside_mm: Option<f64>,
    pub(super) shaft_bore_mm: Option<f64>,
    pub(super) length_mm: Option<f64>,
    pub(super) hub_length_mm: Option<f64>,
    pub(super) seat_length_mm: Option<f64>,
    pub(super) fit: Option<String>,
    pub(super) shaft_deviations_um: Option<[f64; 2]>,
    pub(super) hub_deviations_um: Option<[f64; 2]>,
    pub(super) shaft_mm: Option<f64>,
    pub(super) hub_mm: Option<f64>,
    pub(super) Rz_shaft_um: Option<f64>,
    pub(super) Rz_hub_um: Option<f64>,
    pub(super) hub_material: Option<String>,
    pub(super) shaft_material: Option<String>,
    pub(super) E_hub_MPa: Option<f64>,
    pub(super) nu_hub: Option<f64>,
    pub(super) alpha_hub_per_K: Option<f64>,
    pub(super) yield_hub_MPa: Option<f64>,
    pub(super) E_shaft_MPa: Option<f64>,
    pub(super) nu_shaft: Option<f64>,
    pub(super) alpha_shaft_per_K: Option<f64>,
    pub(super) yield_shaft_MPa: Option<f64>,
    pub(super) mu_slip: Option<f64>,
    /// The upper end of its range; without it one value.
    pub(super) mu_slip_max: Option<f64>,
    pub(super) mu_press_in: Option<f64>,
    /// The upper end of its range.
    pub(super) mu_press_in_max: Option<f64>,
    pub(super) assembly_clearance_mm: Option<f64>,
    pub(super) room_C: Option<f64>,
    pub(super) hub_heat_max_C: Option<f64>,
    /// How it is joined, and what is between the surfaces: chooses the usual friction.
    pub(super) joining: Option<String>,
    pub(super) surface: Option<String>,
    /// The bore of a bush: its limits as a class or in mm, and the bore where it is measured.
    pub(super) bore: Option<String>,
    pub(super) bore_limits_mm: Option<[f64; 2]>,
    pub(super) bore_mm: Option<f64>,
}

/// The answer.
#[derive(Debug, Serialize)]
pub(super) struct PressLine {
    pub(super) joint_diameter_mm: f64,
    pub(super) interference_max_um: f64,
    pub(super) interference_min_um: f64,
    pub(super) smoothing_loss_um: f64,
    pub(super) effective_interference_min_um: f64,
    pub(super) pressure_max_mpa: f64,
    pub(super) pressure_max_smoothed_mpa: f64,
    pub(super) pressure_min_mpa: f64,
    pub(super) hub_hoop_max_mpa: f64,
    pub(super) hub_von_mises_max_mpa: f64,
    pub(super) hub_tresca_max_mpa: f64,
    pub(super) shaft_hoop_max_mpa: f64,
    pub(super) hub_pressure_limit_von_mises_mpa: Option<f64>,
    pub(super) hub_pressure_limit_tresca_mpa: Option<f64>,
    pub(super) hub_pressure_limit_brittle_mpa: Option<f64>,
    pub(super) shaft_pressure_limit_mpa: Option<f64>,
    pub(super) slip_force_min_kn: f64,
    pub(super) slip_force_kn: [f64; 2],
    pub(super) press_in_force_max_kn: f64,
    pub(super) press_in_force_kn: [f64; 2],
    pub(super) torque_min_nm: f64,
    pub(super) torque_nm: [f64; 2],
    pub(super) hub_growth_max_um: f64,
    pub(super) shaft_bore_shrink_max_um: f64,
    pub(super) shaft_bore_shrink_min_um: f64,
    pub(super) hub_heating_k: f64,
    pub(super) shaft_cooling_k: f64,
    pub(super) hub_temperature_c: f64,
    pub(super) shaft_temperature_c: f64,
    pub(super) friction: FrictionBody,
    pub(super) bore: Option<BoreBody>,
    pub(super) hub_heat_max_c: Option<f64>,
    pub(super) hub_heat_max_source: String,
    pub(super) press_with: PressWithBody,
    pub(super) press_in_curve: Vec<[f64; 3]>,
    pub(super) holds: bool,
    pub(super) yields: Option<bool>,
    pub(super) cautions: Vec<&'static str>,
    pub(super) caution_codes: Vec<&'static str>,
    pub(super) notes: Vec<String>,
}

#[derive(Debug, Clone, Copy, Serialize)]
pub(super) struct FrictionBody {
    pub(super) slip: [f64; 2],
    pub(super) press_in: [f64; 2],
    /// Nothing was said of one of them: the usual range stands for it.
    pub(super) is_assumed: bool,
}

/// The bore of a bush: before pressing, its limits, after pressing, what to make it to before
/// (none: it must be finished after), and whether it stays within its limits.
#[derive(Debug, Serialize)]
pub(super) struct BoreBody {
    pub(super) before_mm: [f64; 2],
    pub(super) limits_mm: [f64; 2],
    pub(super) after_mm: [f64; 2],
    pub(super) make_mm: Option<[f64; 2]>,
    pub(super) stays: bool,
}

#[derive(Debug, Serialize)]
pub(super) struct PressWithBody {
    pub(super) code: &'static str,
    pub(super) sentence: &'static str,
}

/// A question from JSON, or why it is none.
pub(super) fn press_of_json(text: &str) -> Result<PressAsked, String> {
    serde_json::from_str(text).map_err(|error| error.to_string())
}

/// A question from TOML, or why it is none.
pub(super) fn press_of_toml(text: &str) -> Result<PressAsked, String> {
    toml::from_str(text).map_err(|error| error.message().to_owned())
}
