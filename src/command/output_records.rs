//! The JSON Lines of `verify` and `replay`.

use serde::Serialize;

/// What `verify` says of a journal.
#[derive(Debug, Serialize)]
pub(super) struct VerifyLine<'a> {
    pub(super) journal: &'a str,
    pub(super) state: &'a str,
    pub(super) events: u64,
    pub(super) head: String,
    pub(super) files: usize,
    pub(super) findings: Vec<FindingLine>,
    pub(super) more_findings: u64,
}

/// One finding.
#[derive(Debug, Clone, Serialize)]
pub(super) struct FindingLine {
    pub(super) kind: String,
    pub(super) notice: bool,
    pub(super) file: String,
    pub(super) line: u64,
    pub(super) offset: u64,
    pub(super) length: u64,
    pub(super) message: String,
}

/// A damaged stretch in the place of a line.
#[derive(Debug, Serialize)]
pub(super) struct DamagedLine<'a> {
    pub(super) input: &'a str,
    pub(super) error: Damaged,
}

/// See [`DamagedLine`].
#[derive(Debug, Serialize)]
pub(super) struct Damaged {
    pub(super) code: &'static str,
    pub(super) message: String,
    pub(super) hint: Option<&'static str>,
    pub(super) line: u64,
    pub(super) offset: u64,
    pub(super) length: u64,
}
