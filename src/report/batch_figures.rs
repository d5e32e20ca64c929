//! The charts of a characteristic in a report: which it has, how large they are, and what stands
//! below them. They are those of the room and of the command `chart`.

use super::chart::{Chart, Layer};
use super::chart_batch::{BatchChart, charts_titled};
use super::drawing::ChartSize;
use super::options::ReportOptions;
use super::sheet_batch::BatchFacts;

/// With fewer parts that count there is no chart: the table has them all (chosen).
pub(super) const PARTS_MIN: u32 = 5;
/// With fewer values there is no histogram (chosen).
const HISTOGRAM_MIN: usize = 10;
/// Width over the whole page and over half of it, and heights, pixels.
const WIDE: f64 = 680.0;
const HALF: f64 = 336.0;
const RUN_HEIGHT: f64 = 200.0;
const CONTROL_HEIGHT: f64 = 190.0;
const HALF_HEIGHT: f64 = 180.0;
/// So much of its height an axis reaches further where names stand at its upper end, so that they
/// stand above bars, points and limits.
const ROOM_FOR_NAMES: f64 = 0.24;
/// How much of a text is read aloud in the place of a picture.
const ALT_MAX: usize = 2_000;

/// A picture of a chart.
pub(super) struct Figure {
    /// What is drawn, without notes.
    pub(super) chart: Chart,
    /// What stands below.
    pub(super) notes: Vec<String>,
    /// What is read aloud in its place.
    pub(super) alt: String,
    pub(super) size: ChartSize,
    /// Two of them stand beside each other.
    pub(super) is_half: bool,
}

/// Whether a characteristic has a section of its own: parts enough for a chart of their run.
pub(super) fn has_section(facts: &BatchFacts) -> bool {
    let counted = facts.stretches.iter().map(|one| one.parts);
    counted.sum::<u32>() >= PARTS_MIN
}

/// Whether a chart tells of signals and control limits.
pub(super) fn is_controlled(facts: &BatchFacts) -> bool {
    let has_limits = facts.stretches.iter().any(|one| !one.centre.is_empty());
    has_section(facts) && facts.charted.is_some() && has_limits
}

/// Whether a chart tells of the trend.
pub(super) fn is_trend_drawn(facts: &BatchFacts) -> bool {
    has_section(facts) && facts.charted.is_some() && facts.ahead.is_some()
}

/// The figures of a characteristic that is called `name`.
pub(super) fn figures(facts: &BatchFacts, name: &str, options: &ReportOptions) -> Vec<Figure> {
    if !has_section(facts) {
        return Vec::new();
    }
    // Where a drift leads somewhere the trend shows the same run, and more.
    let run = match is_trend_drawn(facts) {
        true => BatchChart::Trend,
        false => BatchChart::Run,
    };
    let mut wide: Vec<(Chart, f64)> = Vec::new();
    let mut halves = Vec::new();
    wide.extend(charts(facts, run, options).map(|chart| (chart, RUN_HEIGHT)));
    if is_controlled(facts) {
        let mut control = charts(facts, BatchChart::Control, options);
        wide.extend(control.next().map(|chart| (chart, CONTROL_HEIGHT)));
        // Of a stretch that has just begun the spread is not drawn yet.
        let newest = facts.stretches.last().map_or(0, |one| one.parts);
        halves.extend(control.filter(|_| newest >= PARTS_MIN));
    }
    if facts.values >= HISTOGRAM_MIN && facts.has_spread() {
        halves.extend(charts(facts, BatchChart::Histogram, options));
    }
    let width = if halves.len() > 1 { HALF } else { WIDE };
    let wide = wide.into_iter();
    let wide = wide.map(|(chart, height)| figure(chart, name, WIDE, height));
    let halves = halves.into_iter();
    let halves = halves.map(|chart| figure(chart, name, width, HALF_HEIGHT));
    wide.chain(halves).collect()
}

fn charts(
    facts: &BatchFacts,
    kind: BatchChart,
    options: &ReportOptions,
) -> impl Iterator<Item = Chart> + use<> {
    let language = (options.words.charts, options.decimal_mark);
    // The heading above says what they are of.
    let charts = facts.charted.as_deref().map_or_else(Vec::new, |of| {
        charts_titled("", kind, (&of.series, &of.target, &of.study), language)
    });
    charts.into_iter()
}

fn figure(mut chart: Chart, name: &str, width: f64, height: f64) -> Figure {
    let notes = std::mem::take(&mut chart.notes);
    let has_names = |layer: &Layer| matches!(layer, Layer::VerticalLine { .. });
    if chart.layers.iter().any(has_names) {
        chart.y.to += ROOM_FOR_NAMES * (chart.y.to - chart.y.from);
    }
    let alt = format!("{name}: {}. {}", chart.title, notes.join(" "));
    chart.title = capitalised(&chart.title);
    Figure {
        chart,
        notes,
        alt: alt.trim_end().chars().take(ALT_MAX).collect(),
        size: ChartSize::new(width, height).unwrap_or_default(),
        is_half: width < WIDE,
    }
}

fn capitalised(text: &str) -> String {
    let mut chars = text.chars();
    let first = chars.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(chars).collect()
}
