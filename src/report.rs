//! The room of the report: what leaves the workshop. From a record to one [`Sheet`], and from the
//! sheet to paper, screen and other programs. It makes bytes; whoever calls it writes them.
//!
//! It refuses to know files, clocks and windows, and it computes nothing of the trade: a number
//! that is not in the record is not in the report.
//!
//! ```
//! use fitledger::report::{ReportOptions, Sheet, html};
//! let mut sheet = Sheet::default();
//! sheet.job.part_name = "Shaft <1>".to_owned();
//! let page = html(&sheet, &ReportOptions::default());
//! assert!(page.contains("<h1>Shaft &lt;1&gt;</h1>"));
//! // What the record does not have is said, and not left out.
//! assert!(page.contains("The record has no part of this choice."));
//! ```

mod assembled;
mod bar_svg;
mod batch_figures;
mod batch_sentences;
mod batch_told;
mod canonical;
mod chart;
mod chart_axis;
mod chart_batch;
mod chart_control;
mod chart_png;
mod chart_run;
mod chart_shape;
mod chart_subject;
mod chart_svg;
mod chart_thin;
mod chart_trend;
mod chart_unit;
mod chart_words;
mod csv;
mod csv_batch;
mod csv_columns;
mod csv_metadata;
mod doubts;
mod drawing;
mod drawing_hatch;
mod drawing_layers;
mod drawing_panel;
mod drawing_signals;
mod drawing_texts;
mod gather;
mod gather_asked;
mod gather_batch;
mod gather_batch_facts;
mod gather_batch_stretches;
mod gather_batch_text;
mod gather_gauges;
mod gather_parts;
mod gather_readings;
mod gather_record;
mod gather_results;
mod gather_text;
mod gather_told;
mod guide_html;
mod guide_style;
mod html;
mod html_balloons;
mod html_batch;
mod html_batch_table;
mod html_head;
mod html_markup;
mod html_outline;
mod html_part;
mod html_people;
mod html_record;
mod html_style;
mod json;
mod key_card;
mod options;
mod outline_svg;
mod outline_svg_metal;
mod pdf;
mod pdf_back;
mod pdf_bar;
mod pdf_batch;
mod pdf_batch_table;
mod pdf_chart;
mod pdf_front;
mod pdf_outline;
mod pdf_page;
mod pdf_paint;
mod pdf_parts;
mod pdf_people;
mod pdf_table;
mod pdf_text;
mod qif;
mod qif_asked;
mod qif_results;
mod qif_xml;
mod row_texts;
mod safe;
mod sheet;
mod sheet_batch;
mod words;
mod words_batch;
mod words_english;
mod words_english_batch;
mod words_english_charts;
mod words_english_told;
mod words_told;

pub use assembled::{Assembled, AssembledState, MateTold, RealPart, StackTold, assembled};
pub use batch_sentences::batch_sentences;
pub use chart::{Axis, Bar as ChartBar, Chart, Layer, Point, Scale, Shape, Signalled, Stroke};
pub use chart_axis::{fixed, number_text};
pub use chart_batch::{BatchChart, ChartSource, batch_chart, batch_charts, break_name, tests_text};
pub use chart_control::{Control, ControlRow, Controlled, control_chart};
pub use chart_png::{ChartError, chart_png};
pub use chart_run::{Break, RunPoint, run_chart};
pub use chart_shape::{Curve, IndexRow, capability_chart, histogram_chart};
pub use chart_subject::{Counted, Subject};
pub use chart_svg::{ChartOptions, chart_svg};
pub use chart_trend::{Trend, trend_chart};
pub use chart_unit::ChartUnit;
pub use chart_words::ChartWords;
pub use csv::csv;
pub use csv_batch::{csv_batch, csv_batch_metadata};
pub use csv_metadata::csv_metadata;
pub use doubts::doubt_by;
pub use drawing::{Anchor, ChartSize, Drawing, FaceUnreadable, Ink, Pen, Place, Tone, drawing};
pub use gather::gather;
pub use gather_text::bench_time;
pub use guide_html::guide_html;
pub use html::html;
pub use json::{batch_objects, json};
pub use key_card::{KeyCard, KeyGroup, KeyOnCard, key_card_pdf};
pub use options::{DecimalMark, ReportOptions, Selection};
pub use pdf::{PdfError, pdf};
pub use qif::qif;
pub use safe::{
    FILE_NAME_MAX, csv_text, csv_text_back, file_name, file_name_with, html as html_text,
    is_plain_number, shown,
};
pub use sheet::{
    Asked, Bar, DecisionRow, GaugeFacts, Happening, JobFacts, PartSheet, PointRow, ReadingRow,
    RecordFacts, ResultRow, RuleFacts, Sheet, SignatureRow,
};
pub use sheet_batch::{
    BatchAhead, BatchBreakRow, BatchCell, BatchCharted, BatchFacts, BatchIndex, BatchInterval,
    BatchNormality, BatchRow, BatchShare, BatchSheet, BatchSignal, BatchStands, BatchStretch,
    BatchTrend,
};
pub use words::{Lists, Pair, Rules, Words};
pub use words_batch::BatchWords;
pub use words_english::ENGLISH;
pub use words_english_charts::ENGLISH_CHARTS;
pub use words_told::{Span, Told};
