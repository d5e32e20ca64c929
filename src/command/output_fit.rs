//! The answers of `limits` and `fit` about plain fits as JSON.
//!
//! Beyond the contract's list: with both sizes `intended` (`yes`, `no`, `doubt` by ISO 14253-1 at
//! 95 %), `intended_fit`, `interference_probability`, `inside_probability`; `fit` is then what the
//! pair is (`clearance`, `interference`, `undecided`). In `make_shaft` and `make_hole`:
//! `without_guard`, `guard_band`, `own_class`, `in_class`, `not_in_class`. `at_temperature` is the
//! clearance at a working temperature, with the materials that make it.

use serde::Serialize;

use super::output_limits::SizeLine;
use crate::pair::Between;
use crate::tolerance::FitLimits;

/// Both members of a fit.
#[derive(Debug, Serialize)]
pub(super) struct FitLine<'a> {
    callout: &'a str,
    kind: &'static str,
    hole: &'a SizeLine,
    shaft: &'a SizeLine,
    max_clearance: String,
    min_clearance: String,
    fit: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    intended_fit: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    clearance: Option<String>,
    /// Standard uncertainty; null when it is not known of both.
    #[serde(skip_serializing_if = "Option::is_none")]
    clearance_uncertainty: Option<Option<String>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    as_intended: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    intended: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    interference_probability: Option<Option<f64>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    inside_probability: Option<Option<f64>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    make_shaft: Option<MakeLine>,
    #[serde(skip_serializing_if = "Option::is_none")]
    make_hole: Option<MakeLine>,
    #[serde(skip_serializing_if = "Option::is_none")]
    at_temperature: Option<WarmLine>,
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<Vec<String>>,
}

/// What follows from measured sizes and a working temperature; see [`FitLine`].
#[derive(Debug, Default)]
pub(super) struct TogetherLine {
    pub(super) both: Option<BothLine>,
    pub(super) make_shaft: Option<MakeLine>,
    pub(super) make_hole: Option<MakeLine>,
    pub(super) at_temperature: Option<WarmLine>,
    pub(super) why: Option<Vec<String>>,
}

/// What two measured halves do.
#[derive(Debug, Clone, Serialize)]
pub(super) struct BothLine {
    pub(super) clearance: String,
    pub(super) clearance_uncertainty: Option<String>,
    pub(super) as_intended: bool,
    pub(super) intended: &'static str,
    pub(super) interference_probability: Option<f64>,
    pub(super) inside_probability: Option<f64>,
    pub(super) fit: &'static str,
}

/// Two limits, both included.
#[derive(Debug, Clone, Serialize)]
pub(super) struct BetweenLine {
    lower_limit: String,
    upper_limit: String,
}

/// What the half that is still to be made must become.
#[derive(Debug, Clone, Serialize)]
pub(super) struct MakeLine {
    /// The limits to make it to: less the guard bands where the uncertainty is known.
    pub(super) lower_limit: String,
    pub(super) upper_limit: String,
    pub(super) without_guard: BetweenLine,
    /// At each end; null: uncertainty not considered.
    pub(super) guard_band: Option<String>,
    pub(super) own_class: BetweenLine,
    /// What suits and lies in its own class, too; null: nothing does.
    pub(super) in_class: Option<BetweenLine>,
    /// Why nothing does.
    pub(super) not_in_class: Option<String>,
}

/// The clearance at a working temperature.
#[derive(Debug, Clone, Serialize)]
pub(super) struct WarmLine {
    pub(super) celsius: String,
    pub(super) hole_material: String,
    pub(super) shaft_material: String,
    pub(super) hole_expansion_per_k: f64,
    pub(super) shaft_expansion_per_k: f64,
    /// Of the tightest and the loosest pair; of two measured halves nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) max_clearance: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) min_clearance: Option<String>,
    /// Of two measured halves.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) measured: Option<BothLine>,
    pub(super) fit: &'static str,
    /// Whether it is still the kind of fit that is intended.
    pub(super) kind_kept: bool,
}

impl BetweenLine {
    pub(super) fn new(limits: Between) -> Self {
        Self {
            lower_limit: limits.lower.to_mm(),
            upper_limit: limits.upper.to_mm(),
        }
    }
}

impl<'a> FitLine<'a> {
    /// Of a fit with both members already told.
    pub(super) fn new(
        callout: &'a str,
        limits: &FitLimits,
        [hole, shaft]: [&'a SizeLine; 2],
        together: TogetherLine,
    ) -> Self {
        let intended = limits.kind().word();
        let both = together.both;
        Self {
            callout,
            kind: "fit",
            hole,
            shaft,
            max_clearance: limits.max_clearance().to_mm(),
            min_clearance: limits.min_clearance().to_mm(),
            fit: both.as_ref().map_or(intended, |both| both.fit),
            intended_fit: both.as_ref().map(|_| intended),
            clearance: both.as_ref().map(|both| both.clearance.clone()),
            clearance_uncertainty: both.as_ref().map(|both| both.clearance_uncertainty.clone()),
            as_intended: both.as_ref().map(|both| both.as_intended),
            intended: both.as_ref().map(|both| both.intended),
            interference_probability: both.as_ref().map(|both| both.interference_probability),
            inside_probability: both.as_ref().map(|both| both.inside_probability),
            make_shaft: together.make_shaft,
            make_hole: together.make_hole,
            at_temperature: together.at_temperature,
            why: together.why,
        }
    }
}
