//! The JSON form of the guide.

use serde::Serialize;

/// A page; its text only where it was asked for.
#[derive(Debug, Serialize)]
pub(super) struct GuidePageLine<'a> {
    pub(super) page: &'a str,
    pub(super) title: &'a str,
    pub(super) about: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) text: Option<&'a str>,
}

/// What was written.
#[derive(Debug, Serialize)]
pub(super) struct GuideWrittenLine<'a> {
    pub(super) guide: &'a str,
    pub(super) pages: usize,
}
