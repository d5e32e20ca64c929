//! The Pairs room: what goes into what, and what will happen when they meet.

use super::links::LinksView;
use super::{KeyView, Mark, SentenceView, StatusView};

/// Everything that the Pairs room shows.
#[derive(Debug, Clone, PartialEq)]
pub struct PairsView {
    /// What is seen.
    pub page: PairsPageView,
    /// The foot.
    pub status: StatusView,
    /// The keys that do something now.
    pub keys: Vec<KeyView>,
}

/// What is seen of the room.
#[derive(Debug, Clone, PartialEq)]
pub enum PairsPageView {
    /// Nothing can be shown: why, and what to do.
    Notice(String),
    /// The pairs, and the chosen one.
    Pairs(Box<PairsListView>),
    /// What pressing the chosen pair together takes.
    Press(Box<PressView>),
    /// A batch of its holes and a batch of its shafts, or its measured mates.
    Links(Box<LinksView>),
}

/// The pairs of the plan, and the chosen one of them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PairsListView {
    /// All of them, in the plan's order.
    pub rows: Vec<PairRowView>,
    /// The chosen one: `Hole bore and shaft A, 20 H7/g6`.
    pub title: String,
    /// `part 3`, whose sizes are seen; empty before the first.
    pub part: String,
    /// Its bands; none where no fit is intended.
    pub bands: Option<BandsView>,
    /// What is said of it.
    pub lines: Vec<SentenceView>,
    /// So many of them are passed over.
    pub skipped: usize,
}

/// A pair in the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PairRowView {
    /// `bore`.
    pub hole: String,
    /// `A`.
    pub shaft: String,
    /// `20 H7/g6`; `limits of both`; `no fit stated`.
    pub fit: String,
    /// How it stands: `as intended`, `make the shaft`, `not measured`.
    pub state: String,
    /// The same as a mark.
    pub mark: Mark,
    /// It is the chosen one.
    pub is_chosen: bool,
    /// The row in words.
    pub spoken: String,
}

/// The intended fit, drawn: the two halves along one axis of sizes, the clearance along its own.
#[derive(Debug, Clone, PartialEq)]
pub struct BandsView {
    /// The hole.
    pub hole: BandView,
    /// The shaft.
    pub shaft: BandView,
    /// The clearance.
    pub clearance: BandView,
    /// Where the clearance is zero: left of it is interference.
    pub zero: f32,
}

/// A band along an axis; places are fractions of its width.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BandView {
    /// `hole bore`, `clearance`.
    pub label: String,
    /// What stands in it now: `20.010, U 2.4 µm`; `not measured`.
    pub now: String,
    /// From its lower limit.
    pub from: f32,
    /// To its upper limit.
    pub to: f32,
    /// The limits' numbers, lower and upper.
    pub limits: (String, String),
    /// What is measured.
    pub sized: Option<SizedView>,
    /// What it must become to suit its mate.
    pub suits: Option<(f32, f32)>,
    /// The band in words.
    pub spoken: String,
}

/// A measured size on an axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SizedView {
    /// The smallest of its points.
    pub least: f32,
    /// The largest.
    pub most: f32,
    /// How far the expanded uncertainty reaches, below and above; none: not known.
    pub doubt: Option<(f32, f32)>,
    /// It lies so far out that it is not to scale.
    pub is_compressed: bool,
}

/// What pressing a pair together takes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PressView {
    /// `Press: hole bore and shaft P, 20 H7/p6`.
    pub title: String,
    /// What is typed, or known from the plan.
    pub fields: Vec<PressFieldView>,
    /// The force over the way in; none while something is missing.
    pub curve: Option<ForceView>,
    /// What it takes and what becomes of it; or what is missing.
    pub lines: Vec<SentenceView>,
    /// So many of them are passed over.
    pub skipped: usize,
    /// What stands beside every press fit.
    pub cautions: Vec<String>,
}

/// A field of a press fit.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PressFieldView {
    /// `length of the joint, mm`.
    pub label: String,
    /// What is typed, or what counts while nothing is.
    pub text: String,
    /// Nothing is typed: the text says what is taken.
    pub is_usual: bool,
    /// It is typed into.
    pub is_at: bool,
    /// The first sentence is about it: it is missing, or wrong.
    pub is_faulty: bool,
}

/// The force over the way in, straight from nothing to these.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ForceView {
    /// Along the loosest pair at the low friction, and the tightest at the high one: fractions of
    /// way and force.
    pub low: Vec<(f32, f32)>,
    /// The same of the tightest.
    pub high: Vec<(f32, f32)>,
    /// `15.0 mm`, the way.
    pub travel: String,
    /// `2.1 kN` and `9.8 kN`, at the end of the way.
    pub forces: (String, String),
    /// The curve in words.
    pub spoken: String,
}
