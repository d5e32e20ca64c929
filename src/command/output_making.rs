//! `drill` and `making` in the answer of `limits` for a thread as JSON: lengths in mm as text,
//! `thread_percentage` a number.

use serde::Serialize;

/// A drill against the limits of D1, taken as the hole's size.
#[derive(Debug, Serialize)]
pub(super) struct DrillLine {
    pub(super) diameter: String,
    /// 100 is the basic D1.
    pub(super) thread_percentage: f64,
    /// `inside`, `too_small` or `too_large`.
    pub(super) verdict: &'static str,
    /// By how much the hole may come out larger; null when it is too large already.
    pub(super) may_grow: Option<String>,
    /// `ISO 2306`, or `asked` with `--drill`.
    pub(super) source: &'static str,
}

/// How a thread is made.
#[derive(Debug, Serialize)]
pub(super) struct MakingLine {
    /// What to bore before an internal thread is cut; null for an external one.
    pub(super) bore_target: Option<String>,
    /// What to turn before an external thread is cut; null for an internal one.
    pub(super) turn_target: Option<String>,
    pub(super) depth_radial: String,
    pub(super) depth_on_diameter: String,
    pub(super) infeed: InfeedLine,
    pub(super) tool_nose: NoseLine,
    /// Common practice, each marked so.
    pub(super) hints: Vec<String>,
    pub(super) why: Vec<String>,
}

/// The way of the slide to the full depth.
#[derive(Debug, Serialize)]
pub(super) struct InfeedLine {
    pub(super) radial: String,
    pub(super) compound_29_5: SlideLine,
    pub(super) compound_30: SlideLine,
}

/// The way of a compound slide.
#[derive(Debug, Serialize)]
pub(super) struct SlideLine {
    pub(super) along_slide: String,
    pub(super) along_axis: String,
}

/// The form of the tool's nose, and the flat of the crest.
#[derive(Debug, Serialize)]
pub(super) struct NoseLine {
    pub(super) radius: Option<String>,
    pub(super) least_radius: Option<String>,
    pub(super) flat: Option<String>,
    pub(super) crest_flat: String,
}
