//! The answer of `suitability` as JSON: one object a characteristic.

use serde::Serialize;

/// One characteristic and the gauges of the register.
#[derive(Debug, Serialize)]
pub(super) struct SuitabilityLine {
    pub(super) feature: String,
    pub(super) element: String,
    pub(super) callout: String,
    /// Upper minus lower limit in mm (degrees); none for one-sided limits and checks.
    pub(super) tolerance: Option<String>,
    pub(super) gauges: Vec<GaugeLine>,
    /// "No gauge here can prove ..."; none when one can.
    pub(super) warning: Option<String>,
}

/// One gauge; lengths in mm, angles in decimal degrees.
#[derive(Debug, Serialize)]
pub(super) struct GaugeLine {
    pub(super) gauge: String,
    pub(super) kind: Option<&'static str>,
    /// `can`, `only_sometimes`, `cannot`, `tries` (a limit gauge), `not_known`, `unfit`.
    pub(super) answer: &'static str,
    /// Why it is unfit: `kind`, `made_for_other`, `faces`, `blind`, `range`, `not_listed`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) unfit: Option<&'static str>,
    /// What its uncertainty leaves of the tolerance, if it measures it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) leaves: Option<ProvenLine>,
    pub(super) why: Vec<String>,
}

/// What the uncertainty of a gauge leaves of a tolerance.
#[derive(Debug, Serialize)]
pub(super) struct ProvenLine {
    pub(super) rule: &'static str,
    pub(super) u: String,
    pub(super) expanded_uncertainty: String,
    pub(super) coverage_factor: f64,
    /// T/(2U), U as above.
    pub(super) ratio_t_to_2u: Option<f64>,
    /// Common practice, no source.
    pub(super) meets_10_to_1: Option<bool>,
    /// Common practice, no source.
    pub(super) meets_4_to_1: Option<bool>,
    pub(super) guard: Option<String>,
    pub(super) guard_share: Option<f64>,
    /// Of a centred process with sd = T/6, which is assumed.
    pub(super) doubt_share: Option<f64>,
}
