//! The answer of `judge` as JSON.
//!
//! Beyond the contract's list, left out where they have nothing to say: `to_come_off` (metal on
//! the dimension down to `target`), `target` (the middle of what can be proved), `advice`
//! (`cut` or `polish`), `remedies` (what would settle a DOUBT, in the order to try them),
//! `budget` (the lines of the uncertainty, first order: source, u, its share of u squared,
//! degrees of freedom, null for infinite), `degrees_of_freedom` (effective),
//! `expanded_uncertainty` U with its `coverage_factor` and `coverage_probability`,
//! `element` (of a thread); for a reading over wires `pitch_diameter`, which was judged, and
//! `wire`.
//! Of a limit gauge `value` is what it did (`goes`, `does_not`, `turns_two_or_fewer`,
//! `turns_more`), and every length is null.
//! `on_the_dial` is there with `--dial` only; `depth_of_cut` is null unless there is a cut to be
//! taken off a diameter. With `--cutting` the `verdict` of a value with metal still on is
//! `CUTTING`.

use serde::Serialize;

/// One line of the uncertainty budget; `u` in mm.
#[derive(Debug, Serialize)]
pub(super) struct BudgetEntry {
    pub(super) source: &'static str,
    pub(super) u: String,
    pub(super) share: f64,
    /// None: taken as exactly known.
    pub(super) degrees_of_freedom: Option<f64>,
}

/// One judged value; lengths in mm, angles in decimal degrees.
#[derive(Debug, Default, Serialize)]
pub(super) struct JudgeLine {
    pub(super) callout: String,
    pub(super) value: String,
    pub(super) value_at_20: Option<String>,
    pub(super) u: Option<String>,
    pub(super) verdict: &'static str,
    pub(super) side: &'static str,
    pub(super) beyond: Option<String>,
    pub(super) to_middle: Option<String>,
    pub(super) to_nearest_limit: Option<String>,
    pub(super) depth_of_cut: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) on_the_dial: Option<String>,
    pub(super) conformance_probability: Option<f64>,
    pub(super) rule: &'static str,
    pub(super) why: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) to_come_off: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) target: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) advice: Option<&'static str>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) remedies: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) element: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) pitch_diameter: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) wire: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) budget: Vec<BudgetEntry>,
    /// Effective ones; null: infinite. Left out, as what follows, where there is no budget.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) degrees_of_freedom: Option<Option<f64>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) expanded_uncertainty: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) coverage_factor: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) coverage_probability: Option<f64>,
}
