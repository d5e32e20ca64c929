//! The JSON lines of the commands that write or read whole files: `report`, `export`, `import` and
//! `guide`.

use serde::Serialize;

/// A report that was written for people, and how its record stands.
#[derive(Debug, Serialize)]
pub(super) struct ReportLine<'a> {
    pub(super) report: &'a str,
    pub(super) head: &'a str,
    pub(super) events: u64,
    pub(super) parts: usize,
    pub(super) state: &'a str,
}

/// A report that was written for programs, with what lies beside it.
#[derive(Debug, Serialize)]
pub(super) struct ExportLine<'a> {
    pub(super) journal: &'a str,
    pub(super) format: &'a str,
    pub(super) file: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) metadata: Option<&'a str>,
    /// The table of all parts together, where there is one, and its description.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) batch: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) batch_metadata: Option<&'a str>,
    pub(super) parts: usize,
    pub(super) readings: usize,
    pub(super) state: &'a str,
    pub(super) events: u64,
    pub(super) head: &'a str,
}

/// What a table of measured values holds.
#[derive(Debug, Serialize)]
pub(super) struct ImportLine<'a> {
    pub(super) table: ImportedTable<'a>,
}

/// See [`ImportLine`].
#[derive(Debug, Serialize)]
pub(super) struct ImportedTable<'a> {
    pub(super) rows: usize,
    pub(super) wrong: usize,
    pub(super) not_counting: usize,
    pub(super) unknown_columns: &'a [String],
    pub(super) renumbered: &'a [(u32, u32)],
}

/// A page of the guide; its text, as a reader sees it, only where it was asked for.
#[derive(Debug, Serialize)]
pub(super) struct GuidePageLine<'a> {
    pub(super) page: &'a str,
    pub(super) title: &'a str,
    pub(super) about: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) text: Option<String>,
}

/// The guide that was written.
#[derive(Debug, Serialize)]
pub(super) struct GuideWrittenLine<'a> {
    pub(super) guide: &'a str,
    pub(super) pages: usize,
}
