//! Clearance holes of ISO 273 for bolts and screws, as tabled.

use std::sync::LazyLock;

use super::csv::{Sheet, TableError};
use crate::quantity::Length;

/// The standard.
pub const CLEARANCE_HOLE_STANDARD: &str = "ISO 273";
/// Name and text of the embedded table. No verdict rests on it, so it is no part of the digest
/// that a record keeps.
pub const CLEARANCE_HOLE_TEXTS: [(&str, &str); 1] = [(
    "iso273/clearance_holes.csv",
    include_str!("../../tolerances/iso273/clearance_holes.csv"),
)];

/// How freely the bolt passes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClearanceSeries {
    /// Close, for precise work.
    Fine,
    /// The usual one.
    Medium,
    /// Wide, for rough work.
    Coarse,
}

impl ClearanceSeries {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Fine, Self::Medium, Self::Coarse];

    /// The series' word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Fine => "fine",
            Self::Medium => "medium",
            Self::Coarse => "coarse",
        }
    }

    /// The tolerance class that ISO 273 names for guidance (from memory of the standard).
    pub fn class(self) -> &'static str {
        match self {
            Self::Fine => "H12",
            Self::Medium => "H13",
            Self::Coarse => "H14",
        }
    }
}

/// The holes for one thread.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClearanceHole {
    /// Nominal diameter of the bolt's thread, of whatever pitch.
    pub nominal: Length,
    /// Diameters: fine, medium, coarse.
    pub diameters: [Length; 3],
    /// Where the row comes from.
    pub source: String,
}

impl ClearanceHole {
    /// The diameter of that series.
    pub fn diameter(&self, series: ClearanceSeries) -> Length {
        let [fine, medium, coarse] = self.diameters;
        match series {
            ClearanceSeries::Fine => fine,
            ClearanceSeries::Medium => medium,
            ClearanceSeries::Coarse => coarse,
        }
    }
}

#[allow(clippy::expect_used)]
static HOLES: LazyLock<Vec<ClearanceHole>> = LazyLock::new(|| {
    // The text is part of the program; a test reads every row of it.
    let [(name, text)] = CLEARANCE_HOLE_TEXTS;
    rows(text, name).expect("the embedded table is sound")
});

fn rows(text: &str, origin: &str) -> Result<Vec<ClearanceHole>, TableError> {
    let sheet = Sheet::read(text, origin)?;
    let mut rows = Vec::with_capacity(sheet.rows.len());
    for fields in &sheet.rows {
        let [nominal, fine, medium, coarse, source] = fields.as_slice() else {
            continue; // the sheet has checked the width against the header
        };
        rows.push(ClearanceHole {
            nominal: sheet.size(nominal)?,
            diameters: [sheet.size(fine)?, sheet.size(medium)?, sheet.size(coarse)?],
            source: sheet.source(source, false)?,
        });
    }
    Ok(rows)
}

/// The holes for a thread of that nominal diameter; where the table has none, the nominal
/// diameters beside it.
///
/// # Errors
/// The nearest smaller and the nearest larger nominal diameter of the table.
pub fn clearance_hole(nominal: Length) -> Result<&'static ClearanceHole, [Option<Length>; 2]> {
    if let Some(hole) = HOLES.iter().find(|hole| hole.nominal == nominal) {
        return Ok(hole);
    }
    let all = || HOLES.iter().map(|hole| hole.nominal);
    let below = all().filter(|one| *one < nominal).max();
    Err([below, all().filter(|one| *one > nominal).min()])
}
