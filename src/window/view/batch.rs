//! The Batch room: how the numbers run over the parts.

use std::sync::Arc;

use super::{KeyView, Mark, PageTabView, QuestionView, SentenceView, StatusView};
use crate::report::Chart;

/// Everything that the Batch room shows.
#[derive(Debug, Clone, PartialEq)]
pub struct BatchView {
    /// What is seen.
    pub page: BatchPageView,
    /// What wants an answer, over it.
    pub question: Option<QuestionView>,
    /// The foot.
    pub status: StatusView,
    /// The keys that do something now.
    pub keys: Vec<KeyView>,
}

/// What is seen of the room.
#[derive(Debug, Clone, PartialEq)]
pub enum BatchPageView {
    /// Nothing can be shown: why, and what to do.
    Notice(String),
    /// One characteristic.
    One(BatchOneView),
    /// All parts by all characteristics.
    Table(BatchTableView),
}

/// The head of every page: which characteristic, and which pages there are.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BatchHeadView {
    /// `A, Ø20 k6, bearing seat, left (20.002 to 20.015)`.
    pub title: String,
    /// `1 of 8`.
    pub place: String,
    /// A characteristic before and one after are there.
    pub turns: (bool, bool),
    /// `12 parts: 10 GO, 1 NO-GO, 1 not selected`.
    pub counts: String,
    /// The pages, with the digits that open them.
    pub pages: Vec<PageTabView>,
}

/// A page of a characteristic.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BatchOneView {
    /// Its head.
    pub head: BatchHeadView,
    /// Its chart; none where there is nothing to draw.
    pub chart: Option<Arc<Chart>>,
    /// Decimal marker of the chart.
    pub marker: char,
    /// What is said of it.
    pub lines: Vec<SentenceView>,
    /// So many of them are passed over.
    pub skipped: usize,
}

/// All parts by all characteristics, the newest part first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BatchTableView {
    /// Its head.
    pub head: BatchHeadView,
    /// The characteristics.
    pub columns: Vec<BatchColumnView>,
    /// The chosen one.
    pub chosen: usize,
    /// The parts, from the first that is seen on; a few screens of them.
    pub rows: Vec<BatchRowView>,
    /// So many are passed over.
    pub skipped: usize,
    /// So many there are.
    pub count: usize,
    /// What the marks mean.
    pub legend: String,
}

/// A characteristic in the table.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchColumnView {
    /// `A`.
    pub id: String,
    /// `Ø20 k6`.
    pub callout: String,
}

/// A part in the table.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchRowView {
    /// Its number.
    pub part: u32,
    /// What it came to on each characteristic.
    pub cells: Vec<BatchCellView>,
}

/// A part on a characteristic.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BatchCellView {
    /// `20.008`; `not selected`; `open`.
    pub text: String,
    /// How it stands.
    pub mark: Mark,
    /// Numbers of the tests that signal at it: `1 5`; then it stands in a box. Else empty.
    pub tests: String,
    /// The cell in words.
    pub spoken: String,
}
