//! The JSON line of `report`.

use serde::Serialize;

/// What was written.
#[derive(Debug, Serialize)]
pub(super) struct ReportLine<'a> {
    pub(super) report: &'a str,
    pub(super) head: &'a str,
    pub(super) events: u64,
    pub(super) parts: usize,
    pub(super) state: &'a str,
}
