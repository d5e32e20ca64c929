//! An assembly as JSON. Lengths are exact millimetres as texts, probabilities numbers from 0 to 1.

use serde::Serialize;

/// The whole answer.
#[derive(Debug, Serialize)]
pub(super) struct AssemblyLine {
    pub(super) assembly: String,
    pub(super) drawing: String,
    /// `GO`, `NO-GO`, `DOUBT` or `open`.
    pub(super) state: &'static str,
    pub(super) members: Vec<MemberLine>,
    pub(super) mates: Vec<MateLine>,
    pub(super) stacks: Vec<StackLine>,
    /// The serial number that it was recorded under; none: it was not recorded.
    pub(super) recorded_as: Option<String>,
}

/// A member and the real part that was taken for it.
#[derive(Debug, Serialize)]
pub(super) struct MemberLine {
    pub(super) id: String,
    pub(super) plan: String,
    pub(super) part_name: String,
    /// Empty: no real part was named.
    pub(super) serial: String,
    pub(super) state: &'static str,
    /// How the part stands in its record, or why it does not count.
    pub(super) why: String,
    pub(super) journal: String,
    /// Its number in that record; 0: none.
    pub(super) part: u32,
    /// The hash that the record ended with.
    pub(super) head: String,
    /// The assembly that the part went into before; empty: into none.
    pub(super) assembled_into: String,
}

/// A pair.
#[derive(Debug, Serialize)]
pub(super) struct MateLine {
    pub(super) hole: String,
    pub(super) shaft: String,
    pub(super) intended: String,
    pub(super) intended_min_clearance: String,
    pub(super) intended_max_clearance: String,
    pub(super) state: &'static str,
    /// Least and most clearance of the measured points; none: not both measured.
    pub(super) min_clearance: Option<String>,
    pub(super) max_clearance: Option<String>,
    /// Standard uncertainty; none: not considered.
    pub(super) clearance_uncertainty: Option<String>,
    pub(super) fit: Option<&'static str>,
    pub(super) interference_probability: Option<f64>,
}

/// A row of lengths.
#[derive(Debug, Serialize)]
pub(super) struct StackLine {
    pub(super) name: String,
    pub(super) state: &'static str,
    pub(super) lower_limit: String,
    pub(super) upper_limit: String,
    /// With what is measured in place of its limits.
    pub(super) gap_min: String,
    pub(super) gap_max: String,
    /// Standard uncertainty of what is measured; none: not considered, or nothing is.
    pub(super) gap_uncertainty: Option<String>,
    /// From the limits alone.
    pub(super) worst_case_min: String,
    pub(super) worst_case_max: String,
    pub(super) statistical_middle_mm: f64,
    pub(super) statistical_half_width_mm: f64,
    pub(super) not_measured: Vec<String>,
}
