//! A batch of holes and a batch of shafts: two sorted rows with links, the list to work from, and
//! the measured mates of a half that another plan makes.

use super::SentenceView;

/// One of the pages.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LinksView {
    /// `Holes bore and shafts A, 20 H7/g6`.
    pub title: String,
    /// How the batch is put together: `nearest to 0.024`; empty where nothing is.
    pub objective: String,
    /// `page 1 of 3`; empty where one page holds all.
    pub place: String,
    /// How far the reading of records is; none while nothing is read.
    pub reading: Option<ReadingView>,
    /// What is seen below.
    pub page: LinksPageView,
    /// Sentences; where nothing is drawn, why, and what to do.
    pub lines: Vec<SentenceView>,
    /// So many of them are passed over.
    pub skipped: usize,
}

/// What is seen of the batch.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum LinksPageView {
    /// Nothing: the sentences say why.
    #[default]
    Nothing,
    /// The two rows.
    Rows(LinkRowsView),
    /// One line for each pair, then those that are left.
    List(Vec<LinkLineView>),
    /// The measured mates, from a place on.
    Mates(usize, Vec<MateView>),
}

/// How far the reading of records is.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReadingView {
    /// `reading records: 12 of 340`.
    pub text: String,
    /// The same as a fraction.
    pub share: f32,
}

/// How a link stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum LinkMark {
    /// Inside the intended range.
    Inside,
    /// Not proved.
    Doubt,
    /// Outside of it.
    Outside,
    /// There is no link: the part is left.
    Left,
}

/// Both rows: all of them along the axis of sizes, and some of them large enough to be read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LinkRowsView {
    /// All of them to scale.
    pub overview: OverviewView,
    /// From the first that is read, at most as many as any window is wide.
    pub columns: Vec<ColumnView>,
    /// So many there are before it.
    pub before: usize,
    /// So many there are in all.
    pub count: usize,
}

/// Both rows along one axis of sizes, as fractions of its width.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OverviewView {
    /// The holes.
    pub holes: Vec<f32>,
    /// The shafts.
    pub shafts: Vec<f32>,
    /// From a hole to its shaft.
    pub links: Vec<(f32, f32, LinkMark)>,
    /// The smallest and the largest size that is drawn.
    pub ends: (String, String),
    /// In words.
    pub spoken: String,
    /// Of each column its hole and its shaft, so that those that are read can be shown.
    pub columns: Vec<(Option<f32>, Option<f32>)>,
}

/// A place of the two rows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColumnView {
    /// Size and name of the hole; none: the shaft is left.
    pub hole: Option<(String, String)>,
    /// Size and name of the shaft; none: the hole is left.
    pub shaft: Option<(String, String)>,
    /// How they stand.
    pub mark: LinkMark,
    /// The clearance; empty where one is left.
    pub clearance: String,
    /// `inside`, `too loose`, `no other half`.
    pub word: String,
    /// The place in words.
    pub spoken: String,
}

/// A line of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LinkLineView {
    /// Number of the pair; empty for a part that is left.
    pub number: String,
    /// Name and size of the hole.
    pub hole: (String, String),
    /// Name and size of the shaft.
    pub shaft: (String, String),
    /// The clearance.
    pub clearance: String,
    /// How it stands; of a part that is left why.
    pub mark: LinkMark,
    /// The same in words.
    pub word: String,
    /// The line in words.
    pub spoken: String,
}

/// A measured mate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MateView {
    /// Serial number, or number and record.
    pub name: String,
    /// `25.012, U 2.4 µm`.
    pub size: String,
    /// `GO, 2026-11-24-080000-bearing.jsonl part 3`.
    pub detail: String,
    /// It is the chosen one.
    pub is_chosen: bool,
    /// It is the one that is looked at now.
    pub is_picked: bool,
    /// The line in words.
    pub spoken: String,
}
