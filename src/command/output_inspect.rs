//! The JSON Lines of `inspect`.

use serde::Serialize;

/// One judged reading.
#[derive(Debug, Serialize)]
pub(super) struct VerdictLine<'a> {
    pub(super) part: u32,
    pub(super) feature: &'a str,
    pub(super) element: &'a str,
    pub(super) point: u16,
    pub(super) points: u16,
    pub(super) value: Option<String>,
    pub(super) value_at_20: Option<String>,
    pub(super) u: Option<String>,
    pub(super) verdict: &'a str,
    pub(super) side: Option<&'a str>,
    pub(super) to_middle: Option<String>,
    pub(super) rule: &'a str,
    pub(super) event: u64,
    pub(super) reading: u64,
    pub(super) gauge: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) origin: Option<&'static str>,
    pub(super) notes: &'a [String],
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) conformance_probability: Option<f64>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) remedies: Vec<String>,
}

/// A reading taken while cutting.
#[derive(Debug, Serialize)]
pub(super) struct CuttingLine<'a> {
    pub(super) part: u32,
    pub(super) feature: &'a str,
    pub(super) element: &'a str,
    pub(super) point: u16,
    pub(super) value: Option<String>,
    pub(super) value_at_20: String,
    pub(super) verdict: &'static str,
    pub(super) side: &'static str,
    pub(super) left: String,
    pub(super) depth_of_cut: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) on_the_dial: Option<String>,
    pub(super) event: u64,
    pub(super) reading: u64,
}

/// A reading that waits for an answer.
#[derive(Debug, Serialize)]
pub(super) struct HeldLine<'a> {
    pub(super) held: Held<'a>,
}

/// See [`HeldLine`].
#[derive(Debug, Serialize)]
pub(super) struct Held<'a> {
    pub(super) part: u32,
    pub(super) feature: &'a str,
    pub(super) element: &'a str,
    pub(super) point: u16,
    pub(super) value: Option<String>,
    pub(super) cause: &'a str,
    pub(super) sentence: &'a str,
    pub(super) reading: u64,
    pub(super) event: u64,
}

/// A reading that counts for nothing.
#[derive(Debug, Serialize)]
pub(super) struct SetAsideLine<'a> {
    pub(super) set_aside: SetAside<'a>,
}

/// See [`SetAsideLine`].
#[derive(Debug, Serialize)]
pub(super) struct SetAside<'a> {
    pub(super) reading: u64,
    pub(super) value: Option<String>,
    pub(super) reason: &'a str,
    pub(super) event: u64,
}

/// The last line: where the record is, and the head of its chain.
#[derive(Debug, Serialize)]
pub(super) struct JournalLine<'a> {
    pub(super) journal: &'a str,
    pub(super) head: String,
}

/// The check of a gauge's zero.
#[derive(Debug, Serialize)]
pub(super) struct ZeroCheckLine<'a> {
    pub(super) zero_check: ZeroCheck<'a>,
}

/// See [`ZeroCheckLine`].
#[derive(Debug, Serialize)]
pub(super) struct ZeroCheck<'a> {
    pub(super) gauge: &'a str,
    pub(super) standard: Option<&'a str>,
    pub(super) shows: String,
    pub(super) offset: String,
    pub(super) bound: Option<String>,
    pub(super) good: bool,
    pub(super) reading: u64,
    pub(super) event: u64,
}
