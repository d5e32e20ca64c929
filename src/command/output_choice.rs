//! The answer of `fit --for` as JSON: one object a diameter, with the classes that are usual for
//! the purpose.

use serde::Serialize;

/// What is usual for a purpose at one diameter.
#[derive(Debug, Serialize)]
pub(super) struct ChoicesLine {
    /// `running`, `sliding`, `locating`, `light_press`, `permanent`, `dowel`, `bearing_shaft`,
    /// `bearing_housing`.
    pub(super) purpose: &'static str,
    pub(super) nominal: String,
    pub(super) choices: Vec<ChoiceLine>,
    /// What goes with every choice; each with its source.
    pub(super) rules: Vec<RuleLine>,
}

/// One choice: a fit, or of a bearing's seat one class.
#[derive(Debug, Clone, Serialize)]
pub(super) struct ChoiceLine {
    pub(super) callout: String,
    /// `clearance`, `transition`, `interference`; null of a bearing's seat.
    pub(super) fit: Option<&'static str>,
    pub(super) min_clearance: Option<String>,
    pub(super) max_clearance: Option<String>,
    /// Limits of the hole, or of the housing's seat.
    pub(super) hole: Option<MemberLine>,
    /// Limits of the shaft, or of the shaft's seat.
    pub(super) shaft: Option<MemberLine>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) ring: Option<&'static str>,
    /// Empty: any.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) loads: Option<Vec<&'static str>>,
    /// When to choose it.
    pub(super) usual_for: String,
    pub(super) source: String,
}

/// One member with what the gauges of the register can do for it.
#[derive(Debug, Clone, Serialize)]
pub(super) struct MemberLine {
    pub(super) callout: String,
    pub(super) lower_limit: String,
    pub(super) upper_limit: String,
    /// Null where there is no register.
    pub(super) gauges: Option<ProvesLine>,
}

/// Ids of gauges by what they can do; see `suitability`.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub(super) struct ProvesLine {
    pub(super) can: Vec<String>,
    pub(super) only_sometimes: Vec<String>,
    pub(super) cannot: Vec<String>,
    pub(super) tries: Vec<String>,
    pub(super) not_known: Vec<String>,
}

/// A rule with its source.
#[derive(Debug, Clone, Serialize)]
pub(super) struct RuleLine {
    pub(super) rule: &'static str,
    pub(super) source: &'static str,
}
