//! The Records room: what was done, found again, and as it will print.

use super::{EntryView, FactView, KeyView, Mark, OutlineView, QuestionView, StatusView};

/// Everything that the Records room shows.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordsView {
    /// What is seen.
    pub page: RecordsPageView,
    /// What wants an answer, over it.
    pub question: Option<QuestionView>,
    /// What is typed for it.
    pub entry: Option<EntryView>,
    /// The foot.
    pub status: StatusView,
    /// The keys that do something now.
    pub keys: Vec<KeyView>,
}

/// What is seen of the room.
#[derive(Debug, Clone, PartialEq)]
pub enum RecordsPageView {
    /// The list of sessions.
    List(RecordListView),
    /// A session as it will print.
    Sheet(SheetView),
    /// A check of a record.
    Verify(VerifyView),
}

/// The list of sessions.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RecordListView {
    /// What is looked for, as typed.
    pub find: String,
    /// Which sessions at all: `all sessions`.
    pub filter: String,
    /// `12 of 10000 sessions`; how far the reading is.
    pub count: String,
    /// Some of those found, the chosen one among them.
    pub rows: Vec<RecordRowView>,
    /// The place of the first of them among all found.
    pub first: usize,
    /// How many were found.
    pub found: usize,
    /// The chosen one, by its place among all found.
    pub chosen: usize,
    /// What the list says where there is none: what to do.
    pub empty: String,
    /// What is to be known of the chosen one: its file, what is wrong with it and where.
    pub detail: Vec<RecordStateView>,
}

/// A session in the list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RecordRowView {
    /// `2026-11-24 07:12`.
    pub opened: String,
    /// `Pump shaft, GP-07 rev B`.
    pub part: String,
    /// `11 GO, 1 NO-GO`.
    pub standings: Option<RecordStateView>,
    /// `12 parts, serial 17 to 28, 96 readings, Green Valley Pumps, order 4711`.
    pub detail: String,
    /// How sound the record is.
    pub state: Option<RecordStateView>,
    /// That stands before how the parts stand: the record is damaged.
    pub is_state_first: bool,
    /// It is the one that Enter opens.
    pub is_chosen: bool,
}

/// A state with its mark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordStateView {
    /// In words.
    pub text: String,
    /// As a fill.
    pub mark: Mark,
}

/// A session as it will print, page by page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SheetView {
    /// `Pump shaft, GP-07 rev B`.
    pub title: String,
    /// `part 2 of 12`; `the record`; `all readings`.
    pub place: String,
    /// The page before and the page after are there.
    pub turns: (bool, bool),
    /// What is being done instead of showing one: `The record is being read.`
    pub notice: String,
    /// The open page, from its top.
    pub lines: Vec<SheetLine>,
    /// So many of them are passed over.
    pub skipped: usize,
}

/// A line of a page.
#[derive(Debug, Clone, PartialEq)]
pub enum SheetLine {
    /// What follows.
    Heading(String),
    /// How the part stands, large.
    Standing(RecordStateView),
    /// What, value, note.
    Fact(FactView),
    /// Two of them side by side.
    Pair(Box<(FactView, FactView)>),
    /// The part's shape with the numbers of what was asked.
    Outline(OutlineView),
    /// The names of the table's columns.
    Columns,
    /// What a characteristic came to.
    Result(SheetResultView),
    /// A sentence.
    Text(SheetTextView),
}

/// A sentence of a page.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SheetTextView {
    /// What was, and holds no longer: struck through. May be empty.
    pub struck: String,
    /// What holds, or why.
    pub text: String,
    /// Who and when; may be empty.
    pub note: String,
    /// How it stands, where that is to be seen.
    pub mark: Option<Mark>,
}

/// A row of the table of results.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SheetResultView {
    /// Number on the outline.
    pub number: String,
    /// `Ø20 k6`.
    pub callout: String,
    /// `20.002 to 20.015`.
    pub limits: String,
    /// `20.008`; empty: not measured.
    pub actual: String,
    /// `−0.0005`.
    pub deviation: String,
    /// Where it lies from the lower limit (0) to the upper (1), and half the width of what is
    /// uncertain, in the same measure.
    pub bar: Option<(f32, f32)>,
    /// `0.0011`, or that it was not considered.
    pub u: String,
    /// Gauge id.
    pub gauge: String,
    /// `GO`, `NO-GO, metal on`; `not measured`.
    pub verdict: Option<RecordStateView>,
    /// Feature, method, who, when, temperatures, what was noticed.
    pub note: String,
}

/// A check of a record.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct VerifyView {
    /// Which record.
    pub title: String,
    /// What is done, or what it came to.
    pub state: Option<RecordStateView>,
    /// How far it is, 0 to 1; none: it does not go on.
    pub progress: Option<f32>,
    /// `12.4 of 30.1 MB`.
    pub progress_text: String,
    /// What was found, one by one.
    pub lines: Vec<SheetLine>,
    /// So many of them are passed over.
    pub skipped: usize,
}
