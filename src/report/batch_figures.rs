//! The charts of a characteristic in a report: which it has, how large they are, and what stands
//! below them. They are those of the room and of the command `chart`.

use super::chart::Chart;
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
const RUN_HEIGHT: f64 = 220.0;
const CONTROL_HEIGHT: f64 = 320.0;
const SHAPE_HEIGHT: f64 = 220.0;
/// How much of a text is read aloud in the place of a picture.
const ALT_MAX: usize = 2_000;

/// A picture of one or two charts.
pub(super) struct Figure {
    /// What is drawn, without notes.
    pub(super) charts: Vec<Chart>,
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
    let mut wanted = vec![(run, WIDE, RUN_HEIGHT)];
    if is_controlled(facts) {
        wanted.push((BatchChart::Control, WIDE, CONTROL_HEIGHT));
    }
    let has_spread = facts.smallest != facts.largest;
    if facts.values >= HISTOGRAM_MIN && has_spread {
        let width = match facts.indices.is_empty() {
            true => WIDE,
            false => HALF,
        };
        wanted.push((BatchChart::Histogram, width, SHAPE_HEIGHT));
        if !facts.indices.is_empty() {
            wanted.push((BatchChart::Capability, HALF, SHAPE_HEIGHT));
        }
    }
    let made = wanted.into_iter();
    made.filter_map(|(kind, width, height)| {
        let charts = charts(facts, kind, options)?;
        Some(figure(charts, name, width, height))
    })
    .collect()
}

fn charts(facts: &BatchFacts, kind: BatchChart, options: &ReportOptions) -> Option<Vec<Chart>> {
    let of = facts.charted.as_deref()?;
    let language = (options.words.charts, options.decimal_mark);
    // The heading above says what they are of.
    let charts = charts_titled("", kind, (&of.series, &of.target, &of.study), language);
    (!charts.is_empty()).then_some(charts)
}

fn figure(mut charts: Vec<Chart>, name: &str, width: f64, height: f64) -> Figure {
    let mut notes = Vec::new();
    let mut titles = Vec::new();
    for chart in &mut charts {
        for note in std::mem::take(&mut chart.notes) {
            if !notes.contains(&note) {
                notes.push(note);
            }
        }
        titles.push(chart.title.clone());
        chart.title = capitalised(&chart.title);
    }
    let alt = format!("{name}: {}. {}", titles.join(", "), notes.join(" "));
    Figure {
        charts,
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
