//! The JSON Lines of `doubtful`.

use serde::Serialize;

/// A reading in doubt.
#[derive(Debug, Serialize)]
pub(super) struct DoubtfulLine<'a> {
    pub(super) journal: &'a str,
    pub(super) part_name: &'a str,
    pub(super) part: u32,
    pub(super) feature: &'a str,
    pub(super) element: &'a str,
    pub(super) point: u16,
    pub(super) reading: u64,
    pub(super) time: Option<String>,
    pub(super) gauge: &'a str,
    pub(super) value_at_20: String,
    pub(super) verdict: Option<&'static str>,
    pub(super) measured_again: bool,
    pub(super) because: Option<Because<'a>>,
}

/// A study of a gauge in doubt.
#[derive(Debug, Serialize)]
pub(super) struct DoubtfulStudyLine<'a> {
    pub(super) study: DoubtfulStudyBody<'a>,
}

#[derive(Debug, Serialize)]
pub(super) struct DoubtfulStudyBody<'a> {
    pub(super) journal: &'a str,
    pub(super) gauge: &'a str,
    /// Readings in doubt, of those that fill cells.
    pub(super) readings: usize,
    pub(super) of: usize,
    /// The gauge was studied again later.
    pub(super) measured_again: bool,
    pub(super) because: Option<Because<'a>>,
}

/// What puts it in doubt.
#[derive(Debug, Serialize)]
pub(super) struct Because<'a> {
    pub(super) gauge: &'a str,
    pub(super) time: String,
    pub(super) journal: &'a str,
    pub(super) event: u64,
    pub(super) offset: Option<String>,
    pub(super) sentence: String,
}
