//! Rows of the screw gauge table of ISO 1502, embedded.

use std::sync::LazyLock;

use super::csv::{Sheet, TableError};
use super::screw_gauge::GaugeStanding;
use crate::quantity::Length;

/// Name and text of the embedded table, for digests.
pub const GAUGE_TEXTS: [(&str, &str); 1] = [(
    "iso1502/gauges.csv",
    include_str!("../../tolerances/iso1502/gauges.csv"),
)];

/// The word in a row's source by which a public sheet confirms its plug columns.
const PUBLIC_SHEET: &str = "CNG";

/// A row of the table: work tolerance over .. up to, and the gauges' numbers.
pub(super) struct Row {
    pub(super) over: Length,
    pub(super) up_to: Length,
    pub(super) t_ring: Length,
    pub(super) t_plug: Length,
    pub(super) t_check: Length,
    pub(super) m: Length,
    pub(super) z_ring: Length,
    pub(super) z_plug: Length,
    pub(super) wear_go_ring: Length,
    pub(super) wear_no_go_ring: Length,
    pub(super) wear_go_plug: Length,
    pub(super) wear_no_go_plug: Length,
    pub(super) source: String,
}

#[allow(clippy::expect_used)]
static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
    // The text is part of the program; a test reads every row of it.
    rows(GAUGE_TEXTS[0].1, GAUGE_TEXTS[0].0).expect("the embedded table is sound")
});

/// The rows of the table.
pub(super) fn gauge_rows() -> &'static [Row] {
    &ROWS
}

fn rows(text: &str, origin: &str) -> Result<Vec<Row>, TableError> {
    let sheet = Sheet::read(text, origin)?;
    let mut rows = Vec::with_capacity(sheet.rows.len());
    for fields in &sheet.rows {
        let [
            over,
            up_to,
            t_ring,
            t_plug,
            t_check,
            m,
            z_ring,
            z_plug,
            wear_go_ring,
            wear_no_go_ring,
            wear_go_plug,
            wear_no_go_plug,
            source,
        ] = fields.as_slice()
        else {
            continue; // the sheet has checked the width against the header
        };
        rows.push(Row {
            over: sheet.micrometres(over)?,
            up_to: sheet.micrometres(up_to)?,
            t_ring: sheet.micrometres(t_ring)?,
            t_plug: sheet.micrometres(t_plug)?,
            t_check: sheet.micrometres(t_check)?,
            m: sheet.micrometres(m)?,
            z_ring: sheet.micrometres(z_ring)?,
            z_plug: sheet.micrometres(z_plug)?,
            wear_go_ring: sheet.micrometres(wear_go_ring)?,
            wear_no_go_ring: sheet.micrometres(wear_no_go_ring)?,
            wear_go_plug: sheet.micrometres(wear_go_plug)?,
            wear_no_go_plug: sheet.micrometres(wear_no_go_plug)?,
            source: sheet.source(source, false)?,
        });
    }
    Ok(rows)
}

impl Row {
    /// How well the plug numbers of the row are known.
    pub(super) fn plug_standing(&self) -> GaugeStanding {
        if self.source.contains(PUBLIC_SHEET) {
            GaugeStanding::Established
        } else {
            GaugeStanding::FromMemory
        }
    }
}
