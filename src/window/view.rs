//! What is to be seen, as plain structs: texts as they stand on the screen, places as fractions.
//!
//! [`bench_view`] makes them from a snapshot of the session. Nothing here knows egui, a clock or a
//! file; every struct can be compared by value.

mod action_view;
mod axis;
mod bar;
mod bar_view;
mod batch;
mod batch_chart;
mod batch_lines;
mod batch_table;
mod batch_view;
mod bench;
mod bench_view;
mod chart;
mod chart_view;
mod check_view;
mod explain;
mod focus;
mod gauges;
mod gauges_pages;
mod gauges_proves;
mod gauges_view;
mod gauges_words;
mod gauges_zero;
mod guide_view;
mod heard;
mod key_card;
mod links;
mod links_lines;
mod links_view;
mod list_view;
mod mark;
mod outline;
mod outline_view;
mod pairs;
mod pairs_bands;
mod pairs_lines;
mod pairs_press;
mod pairs_press_asked;
mod pairs_view;
mod plan;
mod plan_faults;
mod plan_fields;
mod plan_keys;
mod plan_learned;
mod plan_lines;
mod plan_sides;
mod plan_view;
mod question;
mod question_view;
mod records;
mod records_corrections;
mod records_outline;
mod records_questions;
mod records_readings;
mod records_sheet;
mod records_view;
mod said;
mod status_view;
mod study_view;
mod troubles;
mod verdict;
mod verdict_view;
mod why;
mod why_check;
mod why_view;
mod wires;
mod wires_view;
mod words;

pub use bar::{BarTick, BarView, BarZone, ZoneKind};
pub use bar_view::{BarFacts, bar};
pub use batch::{
    BatchCellView, BatchColumnView, BatchHeadView, BatchOneView, BatchPageView, BatchRowView,
    BatchTableView, BatchView,
};
pub use batch_chart::{batch_chart, chart_name};
pub use batch_lines::{batch_lines, learned_lines};
pub use batch_view::{BatchSeen, batch_now, batch_view};
pub use bench::{
    BenchView, GaugeView, HeaderView, JournalView, KeyView, RowView, StatusView, SubjectView,
};
pub use bench_view::bench_view;
pub use chart::{ChartPoint, ChartView, ControlLines};
pub use chart_view::thinned;
pub use check_view::{CheckNow, check_now};
pub use explain::{ExplainView, Explained, In, Origin, deed, explain, explained};
pub use gauges::{
    BudgetView, FactView, FrameView, GaugeDetailView, GaugeRowView, GaugeStateView, GaugesView,
    InDoubtView, LiveView, PageTabView, PageView, ProvesLineView, ProvesView, StudyView, TeachView,
    ZeroView,
};
pub use gauges_view::{GaugesSeen, gauges_now, gauges_view};
pub use gauges_words::bytes_text;
pub use guide_view::{GuidePageView, GuideView, guide_view};
pub use heard::Heard;
pub use key_card::key_card;
pub use links::{
    ColumnView, LinkLineView, LinkMark, LinkRowsView, LinksPageView, LinksView, MateView,
    OverviewView, ReadingView,
};
pub use links_lines::mate_left;
pub use links_view::{mate_texts, typed_mate};
pub use mark::Mark;
pub use outline::{OutlineShape, OutlineView};
pub use outline_view::outline_view;
pub use pairs::{
    BandView, BandsView, ForceView, PairRowView, PairsListView, PairsPageView, PairsView,
    PressFieldView, PressView, SizedView,
};
pub use pairs_view::{PairsSeen, pairs_now, pairs_view, picked_mate, press_choices};
pub use plan::{
    PlanBodyView, PlanFieldView, PlanListView, PlanOpenView, PlanRowView, PlanTypedView, PlanView,
    SideLineView, SideMark, SideRowView, SidesView,
};
pub use plan_view::{PlanSeen, plan_now, plan_view, typed_sheet};
pub use question::{AnswerView, QuestionView};
pub use question_view::choices;
pub use records::{
    RecordListView, RecordRowView, RecordStateView, RecordsPageView, RecordsView, SheetLine,
    SheetResultView, SheetTextView, SheetView, VerifyView,
};
pub use records_view::{RecordsSeen, is_running, records_now, records_view};
pub use said::SentenceView;
pub use verdict::{EntryView, PointView, VerdictView};
pub use why::{BudgetBar, WhyLine, WhyView};
pub use wires::WiresView;
pub use words::{clean, counted, decimal_mark, is_invisible, sentence};
