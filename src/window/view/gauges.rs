//! The Gauges room: what we measure with, and how far it can be trusted.

use super::{BudgetBar, EntryView, KeyView, Mark, StatusView};

/// Everything that the Gauges room shows.
#[derive(Debug, Clone, PartialEq)]
pub struct GaugesView {
    /// The gauges of the register, in its order.
    pub rows: Vec<GaugeRowView>,
    /// What the list says where there is none: what to do.
    pub empty: String,
    /// The chosen gauge.
    pub detail: Option<GaugeDetailView>,
    /// The foot.
    pub status: StatusView,
    /// The keys that do something now.
    pub keys: Vec<KeyView>,
}

/// A gauge in the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GaugeRowView {
    /// `mic-25`.
    pub id: String,
    /// `outside micrometer`.
    pub kind: String,
    /// `0 to 25 mm, step 0.001`.
    pub range: String,
    /// `MPE 2 µm`; `U 1.2 µm (k = 2)`; `error not known`.
    pub error: String,
    /// The register does not state it: a table by kind stands in.
    pub is_assumed: bool,
    /// What is to be known of it before it is trusted, the most serious first; never empty.
    pub states: Vec<GaugeStateView>,
    /// It is the one whose details are open.
    pub is_chosen: bool,
}

/// One thing about a gauge.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GaugeStateView {
    /// `calibration overdue for 3 days`.
    pub text: String,
    /// [`Mark::NoGo`]: do not trust it; [`Mark::Doubt`]: look at it; [`Mark::Inside`]: fine.
    pub mark: Mark,
}

/// The chosen gauge.
#[derive(Debug, Clone, PartialEq)]
pub struct GaugeDetailView {
    /// `mic-25, outside micrometer`.
    pub title: String,
    /// The pages, the open one marked.
    pub pages: Vec<PageTabView>,
    /// The open one.
    pub page: PageView,
    /// So many lines of it are passed over, where it does not fit.
    pub skipped: usize,
}

/// A page that can be opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PageTabView {
    /// The digit that opens it.
    pub key: char,
    /// `zero`.
    pub text: String,
    /// It is open.
    pub is_open: bool,
}

/// What a page shows.
#[derive(Debug, Clone, PartialEq)]
pub enum PageView {
    /// What the register says.
    Facts(Vec<FactView>),
    /// What comes down the wire.
    Live(LiveView),
    /// What it can prove of the open plan.
    Proves(ProvesView),
    /// Its uncertainty.
    Budget(BudgetView),
    /// Its zero.
    Zero(ZeroView),
    /// Readings that are in doubt because of it.
    InDoubt(InDoubtView),
    /// How its adapter is found out.
    Teach(TeachView),
    /// How far it can be trusted.
    Study(StudyView),
}

/// A line of the register.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FactView {
    /// `permissible error`.
    pub what: String,
    /// `4 µm`.
    pub value: String,
    /// `assumed: DIN 863-1, range up to 25 mm`; empty for what is stated.
    pub note: String,
    /// How it stands, where that is to be seen.
    pub mark: Option<Mark>,
}

/// What comes down the wire.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LiveView {
    /// `at /dev/ttyUSB0 with the adapter plain-crlf`.
    pub place: String,
    /// How the port is, in a sentence; what to do.
    pub state: String,
    /// Nothing is wrong with it.
    pub is_fine: bool,
    /// The newest value: `12.345 mm`; empty before the first.
    pub value: String,
    /// `live, not recorded`; `recorded at the Bench`.
    pub value_note: String,
    /// Frames as they came, the newest first.
    pub frames: Vec<FrameView>,
}

/// One frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FrameView {
    /// Its bytes, as they can be read: `+0012.345 CR LF`.
    pub bytes: String,
    /// `12.345 mm`; why it is no reading.
    pub reading: String,
    /// It is a reading.
    pub is_reading: bool,
}

/// What a gauge can prove of the open plan.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ProvesView {
    /// What it is told for, or why nothing is.
    pub title: String,
    /// What no gauge here can prove; empty where all can be proved.
    pub warning: String,
    /// The characteristics, in measuring order.
    pub lines: Vec<ProvesLineView>,
    /// What the numbers mean.
    pub note: String,
}

/// A characteristic.
#[derive(Debug, Clone, PartialEq)]
pub struct ProvesLineView {
    /// `A Ø20 k6`.
    pub what: String,
    /// `can prove it`, `sometimes`, `cannot`.
    pub word: String,
    /// [`Mark::Go`], [`Mark::Doubt`], [`Mark::NoGo`]; [`Mark::NotSelected`]: not its matter.
    pub mark: Mark,
    /// `T/(2U) 5.4`.
    pub ratio: String,
    /// Share of the tolerance that the guard zones take, 0 to 1.
    pub guard: Option<f32>,
    /// `guard zones 18 % of the tolerance; 2 % of a centred process would be DOUBT`; why not.
    pub detail: String,
}

/// The uncertainty of one reading.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BudgetView {
    /// `One reading of 20.015 mm, outside`.
    pub title: String,
    /// One bar a part.
    pub bars: Vec<BudgetBar>,
    /// `u 1.2 µm, U 2.4 µm (k = 2)`; why none is known.
    pub total: String,
    /// What is not in it.
    pub note: String,
}

/// The zero of a gauge.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ZeroView {
    /// How it stands: `checked 2 h ago: 0.001 mm too large, taken off`.
    pub state: String,
    /// As a fill.
    pub mark: Option<Mark>,
    /// What is asked for: `every 8 h, on the ring ring-20; an offset up to 2 µm is taken off`.
    pub wanted: String,
    /// A check runs: what to do now, one sentence.
    pub asked: String,
    /// What it must show, large: `20.003 mm`; empty while no check runs.
    pub must_show: String,
    /// What is typed.
    pub entry: Option<EntryView>,
    /// Earlier checks, the newest first.
    pub history: Vec<FactView>,
}

/// Readings in doubt.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct InDoubtView {
    /// `3 readings of 2 parts are in doubt: the zero check of 10:40 failed.`
    pub title: String,
    /// The readings, by part.
    pub lines: Vec<FactView>,
    /// What to do.
    pub note: String,
}

/// How an adapter is found out, step by step.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TeachView {
    /// `step 4 of 9`; empty before it begins.
    pub step: String,
    /// What to do now, one sentence.
    pub prompt: String,
    /// What is typed.
    pub entry: Option<EntryView>,
    /// What was found, what was not identified, what is assumed.
    pub found: Vec<FactView>,
    /// The adapter as it will be written.
    pub adapter: Vec<String>,
}

/// How far a gauge can be trusted, reading by reading.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StudyView {
    /// `12 of 90 readings`; empty before it begins.
    pub step: String,
    /// What to do now, one sentence.
    pub prompt: String,
    /// The last reading; empty before.
    pub value: String,
    /// What looks odd in it.
    pub remark: String,
    /// What is typed.
    pub entry: Option<EntryView>,
    /// One bar a component.
    pub bars: Vec<BudgetBar>,
    /// What they are shares of.
    pub bars_of: String,
    /// What the whole comes to.
    pub total: String,
    /// What was said before it, what to do then, the line of the register.
    pub lines: Vec<FactView>,
}
