//! Tapping drills of ISO 2306, as tabled.

use std::sync::LazyLock;

use super::csv::{Sheet, TableError};
use crate::quantity::Length;

/// Name and text of the embedded table, for digests.
pub const DRILL_TEXTS: [(&str, &str); 1] = [(
    "iso2306/tapping_drills.csv",
    include_str!("../../tolerances/iso2306/tapping_drills.csv"),
)];

/// The drill for a tapped hole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TappingDrill {
    /// Nominal diameter of the thread.
    pub nominal: Length,
    /// Pitch of the thread.
    pub pitch: Length,
    /// Diameter of the drill.
    pub diameter: Length,
    /// Where the row comes from.
    pub source: String,
}

#[allow(clippy::expect_used)]
static DRILLS: LazyLock<Vec<TappingDrill>> = LazyLock::new(|| {
    // The text is part of the program; a test reads every row of it.
    rows(DRILL_TEXTS[0].1, DRILL_TEXTS[0].0).expect("the embedded table is sound")
});

fn rows(text: &str, origin: &str) -> Result<Vec<TappingDrill>, TableError> {
    let sheet = Sheet::read(text, origin)?;
    let mut rows = Vec::with_capacity(sheet.rows.len());
    for fields in &sheet.rows {
        let [nominal, pitch, diameter, source] = fields.as_slice() else {
            continue; // the sheet has checked the width against the header
        };
        rows.push(TappingDrill {
            nominal: sheet.size(nominal)?,
            pitch: sheet.size(pitch)?,
            diameter: sheet.size(diameter)?,
            source: sheet.source(source, false)?,
        });
    }
    Ok(rows)
}

/// The tabled drill for a nominal diameter and pitch; none where the table has no row.
pub fn tapping_drill(nominal: Length, pitch: Length) -> Option<&'static TappingDrill> {
    let mut all = DRILLS.iter();
    all.find(|drill| drill.nominal == nominal && drill.pitch == pitch)
}
