//! Which chart of the report a page of the Batch room shows.

use super::check_view::about;
use crate::report::{
    BatchChart, Chart, ChartSource, DecimalMark, ENGLISH_CHARTS, batch_chart as chart_of,
};
use crate::session::{BatchSeries, BatchStudy, Target};
use crate::window::batch_room::BatchPage;

/// A characteristic with all that is known of it.
pub(super) type Of<'a> = (&'a BatchSeries, &'a Target, &'a BatchStudy);

/// What stands for a characteristic in a chart that is kept.
pub fn chart_name(target: &Target) -> String {
    about(target)
}

/// The chart of a page; none for pages of words, and for what has no sizes or no part yet.
pub fn batch_chart(page: BatchPage, of: Of<'_>, mark: DecimalMark) -> Option<Chart> {
    let (series, target, study) = of;
    if series.points().is_empty() {
        return None;
    }
    let kind = match page {
        BatchPage::Table | BatchPage::Advice => return None,
        BatchPage::Run => BatchChart::Run,
        BatchPage::Control => BatchChart::Control,
        BatchPage::Spread => BatchChart::Spread,
        BatchPage::Histogram => BatchChart::Histogram,
        BatchPage::Capability => BatchChart::Capability,
        BatchPage::Trend => BatchChart::Trend,
    };
    let charted = ChartSource {
        series,
        target,
        study,
        title: "",
        words: &ENGLISH_CHARTS,
        decimal_mark: mark,
        is_advised_beside: true,
    };
    let mut chart = chart_of(kind, &charted)?;
    // A row that grows has its limits later than a list; the page says when.
    let premature = ENGLISH_CHARTS.uncontrolled;
    chart.notes.retain(|note| note != premature);
    Some(chart)
}
