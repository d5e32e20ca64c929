//! The whole Bench.

use super::{
    BarView, ChartView, Mark, OutlineView, PointView, QuestionView, VerdictView, WhyView, WiresView,
};

/// Everything that the Bench shows.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchView {
    /// Top line.
    pub header: HeaderView,
    /// The part, drawn; none when no feature says where it lies.
    pub outline: Option<OutlineView>,
    /// Characteristics in measuring order.
    pub rows: Vec<RowView>,
    /// What the verdict block is about.
    pub subject: SubjectView,
    /// Verdict, value, what the gauge shows.
    pub verdict: VerdictView,
    /// The points of a characteristic that has several; else empty.
    pub points: Vec<PointView>,
    /// Extremes and derived form: `smallest 20.003 at point 2, largest 20.009 at point 1`.
    pub form: String,
    /// Where the value lies; none for limits without two sides to draw.
    pub bar: Option<BarView>,
    /// The sum of a measurement over three wires; none for what is not measured so.
    pub wires: Option<WiresView>,
    /// What to do now, one sentence.
    pub action: String,
    /// The characteristic over the parts.
    pub chart: ChartView,
    /// Something that wants an answer; it covers the bar.
    pub question: Option<QuestionView>,
    /// The verdict's reasons, when asked for; they cover the bar, the action and the chart.
    pub why: Option<WhyView>,
    /// What must be known besides, where there is no foot; what weighs most first.
    pub troubles: Vec<String>,
    /// The two lines at the foot.
    pub status: StatusView,
    /// The keys that do something now.
    pub keys: Vec<KeyView>,
}

/// The top line.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct HeaderView {
    /// `Pump shaft`.
    pub part_name: String,
    /// `GP-07 rev B`.
    pub drawing: String,
    /// `part 4 of 12`.
    pub part: String,
    /// Who measures.
    pub operator: String,
    /// `part 31.0 °C, gauge 21.5 °C, 3 min old`; `part temperature not known`.
    pub temperature: String,
}

/// One characteristic of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowView {
    /// Its place in measuring order, to choose it.
    pub target: usize,
    /// Its number in measuring order, from 1: that of the drawn part and of the report.
    pub number: usize,
    /// `A`.
    pub id: String,
    /// `20 k6`.
    pub callout: String,
    /// Its state in words: `GO`, `open`, `2 of 3`, `now`, `not selected`.
    pub state: String,
    /// Its state as a fill.
    pub mark: Mark,
    /// It is measured now.
    pub is_current: bool,
    /// A new setting begins with it: the setting's name, `setting 2`.
    pub setting: Option<String>,
}

/// What the verdict block is about.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SubjectView {
    /// `Ø20 k6`.
    pub callout: String,
    /// `minor diameter`, `GO plug`: the element of a thread; empty for what has one alone.
    pub element: String,
    /// `bearing seat, left`; with the element, where the limits do not say it.
    pub name: String,
    /// `20.002 to 20.015`.
    pub limits: String,
    /// `point 1 of 3`; empty for a single point.
    pub point: String,
}

/// The two lines at the foot.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StatusView {
    /// The journal's state.
    pub journal: JournalView,
    /// The gauges' states.
    pub gauges: Vec<GaugeView>,
    /// Always there.
    pub caution: String,
    /// The last request that could not be carried out, or bytes that were no reading.
    pub message: Option<String>,
}

impl StatusView {
    /// Says a fault of the window itself where the room has nothing to say.
    pub(in crate::window) fn say_else(&mut self, fault: Option<&str>) {
        if self.message.is_none() {
            self.message = fault.map(str::to_owned);
        }
    }
}

/// The journal's state.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct JournalView {
    /// `recorded: event 214 in pump-shaft.jsonl`; `NOT RECORDED: 2 readings. The disk is full.`
    pub text: String,
    /// Everything that came is on the disk.
    pub is_recorded: bool,
}

/// A gauge's state.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct GaugeView {
    /// `mic-25: ready`.
    pub text: String,
    /// Nothing is wrong with it.
    pub is_ready: bool,
    /// It works, and a check of it is due.
    pub is_due: bool,
}

/// A key and what it does now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyView {
    /// `Enter`.
    pub key: String,
    /// `next`.
    pub does: String,
}

/// Keys as a room lists them.
pub(super) fn key_views(keys: &[(&str, &str)]) -> Vec<KeyView> {
    let view = |(key, does): &(&str, &str)| KeyView {
        key: (*key).to_owned(),
        does: (*does).to_owned(),
    };
    keys.iter().map(view).collect()
}
