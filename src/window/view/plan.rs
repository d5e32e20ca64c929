//! The Plan room: what the part must be.

use super::{
    AnswerView, KeyView, Mark, OutlineView, PageTabView, QuestionView, SentenceView, StatusView,
};

/// Everything that the Plan room shows.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanView {
    /// What is seen.
    pub body: PlanBodyView,
    /// What wants an answer, over it.
    pub question: Option<QuestionView>,
    /// Two sides of a plan that want an answer, over it.
    pub sides: Option<SidesView>,
    /// The foot.
    pub status: StatusView,
    /// The keys that do something now.
    pub keys: Vec<KeyView>,
}

/// What is seen of the room.
#[derive(Debug, Clone, PartialEq)]
pub enum PlanBodyView {
    /// Which plan is to be opened.
    Files {
        /// `Which plan?`
        title: String,
        /// What was not read, and what this is for.
        notes: Vec<SentenceView>,
        /// The files, and a new one.
        rows: Vec<PlanRowView>,
    },
    /// An open plan.
    Open(Box<PlanOpenView>),
}

/// An open plan.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PlanOpenView {
    /// `Pump shaft GP-07 B`.
    pub title: String,
    /// `plans/shaft.toml, not saved: 3 edits`.
    pub state: String,
    /// It is not saved, or somebody else changed the file.
    pub is_open: bool,
    /// What stands over the page: that a session goes on, that the file was changed.
    pub note: String,
    /// The pages, with the digits that open them.
    pub pages: Vec<PageTabView>,
    /// The list at the left.
    pub list: PlanListView,
    /// The part; none where the plan gives no shape.
    pub outline: Option<OutlineView>,
    /// What is said of the chosen one.
    pub lines: Vec<SentenceView>,
    /// So many sentences are passed over.
    pub skipped: usize,
}

/// What is typed here and what is on the disk, line beside line.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SidesView {
    /// `Both changed feature A, callout`.
    pub title: String,
    /// What is to be known of it.
    pub lines: Vec<String>,
    /// What can be answered.
    pub answers: Vec<AnswerView>,
    /// The answers take one side each and stand over it.
    pub is_over: bool,
    /// The lines.
    pub rows: Vec<SideRowView>,
    /// So many of them are passed over.
    pub skipped: usize,
}

/// How a line stands to the one beside it, told apart by shape and word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SideMark {
    /// The same.
    #[default]
    Same,
    /// So many that are the same, not shown.
    Folded,
    /// Written otherwise.
    Differs,
    /// Here alone.
    Here,
    /// On the disk alone.
    There,
}

/// A line and the one beside it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SideRowView {
    /// How they stand to each other.
    pub mark: SideMark,
    /// That in a word: `differs`.
    pub word: String,
    /// It is the one that is asked about.
    pub is_asked: bool,
    /// What is typed here; none where it has no such line.
    pub here: Option<SideLineView>,
    /// What is on the disk; likewise.
    pub there: Option<SideLineView>,
    /// The row in words.
    pub spoken: String,
}

/// A line of one side.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SideLineView {
    /// Its number in the file.
    pub number: usize,
    /// What is the same before that which differs.
    pub before: String,
    /// What differs.
    pub differs: String,
    /// What is the same behind it.
    pub behind: String,
}

/// The list at the left.
#[derive(Debug, Clone, PartialEq)]
pub enum PlanListView {
    /// Rows of a table; without any, a sentence.
    Rows(Vec<PlanRowView>, String),
    /// The fields of one of them, under a title.
    Fields(String, Vec<PlanFieldView>),
}

impl Default for PlanListView {
    fn default() -> Self {
        Self::Rows(Vec::new(), String::new())
    }
}

/// A row.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PlanRowView {
    /// What is wrong with it, or worth a look; none where nothing is.
    pub mark: Option<Mark>,
    /// `A`.
    pub id: String,
    /// `20 k6`.
    pub main: String,
    /// `bearing seat, left`.
    pub name: String,
    /// `3 points, mic-25`; `1 fault`.
    pub detail: String,
    /// It is the chosen one.
    pub is_chosen: bool,
    /// The row in words.
    pub spoken: String,
}

/// A field.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PlanFieldView {
    /// `callout`.
    pub label: String,
    /// Its value; empty where none is written.
    pub text: String,
    /// What is wrong with it, or worth a look.
    pub mark: Option<Mark>,
    /// Keys go there.
    pub is_at: bool,
    /// It begins a new group.
    pub is_first: bool,
    /// What is typed into it.
    pub typed: Option<PlanTypedView>,
    /// The field in words.
    pub spoken: String,
}

/// What is typed into a field.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PlanTypedView {
    /// The text.
    pub text: String,
    /// The cursor, in characters from 0.
    pub cursor: usize,
    /// The character that is wrong, from 0.
    pub wrong_at: Option<usize>,
    /// It is wrong.
    pub is_wrong: bool,
    /// What it means, or what is wrong and what to do.
    pub says: Vec<String>,
}
