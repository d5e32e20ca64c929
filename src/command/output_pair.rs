//! The answer of `pair` as JSON: lengths are texts in millimetres.

use serde::Serialize;

/// Many holes and shafts put together.
#[derive(Debug, Serialize)]
pub(super) struct PairingLine {
    pub(super) fit: String,
    /// `nearest` or `most`.
    pub(super) objective: &'static str,
    pub(super) min_clearance: String,
    pub(super) max_clearance: String,
    /// The clearance that pairs are brought near to; of `nearest` alone.
    pub(super) wanted_clearance: Option<String>,
    pub(super) pairs: Vec<PairLine>,
    /// How many of them keep the fit.
    pub(super) in_range: usize,
    pub(super) holes_left: Vec<LeftLine>,
    pub(super) shafts_left: Vec<LeftLine>,
}

#[derive(Debug, Serialize)]
pub(super) struct PairLine {
    pub(super) hole: String,
    pub(super) shaft: String,
    pub(super) hole_size: String,
    pub(super) shaft_size: String,
    pub(super) clearance: String,
    pub(super) in_range: bool,
}

#[derive(Debug, Serialize)]
pub(super) struct LeftLine {
    pub(super) part: String,
    pub(super) size: String,
    /// `no_other_half`, `too_tight`, `too_loose`, `none_between`.
    pub(super) why: &'static str,
}
