//! What is to be seen, as plain structs: texts as they stand on the screen, places as fractions.
//!
//! Nothing here knows egui, a clock or a file; every struct can be compared by value.

mod bar;
mod bench;
mod chart;
mod mark;
mod outline;
mod outline_view;
mod question;
mod verdict;
mod why;

pub use bar::{BarTick, BarView, BarZone, ZoneKind};
pub use bench::{
    BenchView, GaugeView, HeaderView, JournalView, KeyView, RowView, StatusView, SubjectView,
};
pub use chart::{ChartPoint, ChartView};
pub use mark::Mark;
pub use outline::{OutlineShape, OutlineView};
pub use outline_view::outline_view;
pub use question::{AnswerView, QuestionView};
pub use verdict::{EntryView, PointView, VerdictView};
pub use why::{BudgetBar, WhyLine, WhyView};
