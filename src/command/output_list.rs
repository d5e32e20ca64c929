//! The JSON Lines of `list`.

use std::collections::BTreeMap;

use serde::Serialize;

/// One session of the workspace.
#[derive(Debug, Serialize)]
pub(super) struct SessionLine<'a> {
    pub(super) journal: &'a str,
    pub(super) files: Vec<&'a str>,
    pub(super) opened: Option<String>,
    pub(super) part: Option<&'a str>,
    pub(super) operator: Option<&'a str>,
    pub(super) state: &'a str,
    /// The record is damaged: what is counted is so as far as it could be read.
    pub(super) as_far_as_readable: bool,
    pub(super) parts: usize,
    pub(super) go: usize,
    pub(super) open: usize,
    pub(super) in_doubt: usize,
    pub(super) readings: usize,
    pub(super) events: u64,
    pub(super) head: &'a str,
    pub(super) last: Option<String>,
    pub(super) offset: &'a str,
    pub(super) closed: bool,
    pub(super) plan: &'a str,
    pub(super) part_name: &'a str,
    pub(super) drawing: &'a str,
    pub(super) revision: &'a str,
    pub(super) customer: String,
    pub(super) order: String,
    pub(super) material_lot: String,
    pub(super) machine: String,
    pub(super) stage: &'a str,
    pub(super) operators: &'a [String],
    pub(super) decided_by: &'a [String],
    pub(super) gauges: Vec<&'a str>,
    pub(super) simulated: usize,
    pub(super) imported: usize,
    /// How many parts stand how.
    pub(super) standing: BTreeMap<&'a str, usize>,
    pub(super) each_part: Vec<ListedPart<'a>>,
    pub(super) absent: Option<&'a str>,
    pub(super) findings: Vec<ListedFinding<'a>>,
    pub(super) more_findings: u64,
}

/// One part of it.
#[derive(Debug, Serialize)]
pub(super) struct ListedPart<'a> {
    pub(super) part: u32,
    pub(super) serial: &'a str,
    pub(super) state: &'a str,
    pub(super) standing: &'a str,
    pub(super) go: u32,
    pub(super) no_go: u32,
    pub(super) doubt: u32,
    pub(super) open: u32,
    pub(super) in_doubt: bool,
}

/// Something that was found in its record.
#[derive(Debug, Serialize)]
pub(super) struct ListedFinding<'a> {
    pub(super) kind: &'a str,
    pub(super) file: &'a str,
    pub(super) line: u64,
    pub(super) offset: u64,
    pub(super) length: u64,
    pub(super) message: &'a str,
}
