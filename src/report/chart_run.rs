//! Values in their order: the run of a characteristic.

use super::chart::{Chart, Layer, Point, Shape, Stroke};
use super::chart_axis::Reach;
use super::chart_subject::{Subject, filled};
use crate::statistics::{Limits, summary};

/// More points than these may stand closer than a picture shows.
const CROWDED: usize = 1_000;

/// A value of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunPoint {
    /// Its number: of the part, or of the value.
    pub place: f64,
    /// The value.
    pub value: f64,
    /// Whether its gauge was found wrong after it.
    pub is_in_doubt: bool,
}

/// Something that happened between two values: a tool changed, an offset applied.
#[derive(Debug, Clone, PartialEq)]
pub struct Break {
    /// Before which number.
    pub before: f64,
    /// What happened, in short.
    pub name: String,
}

/// The run of values, with the limits of size and the mean.
pub fn run_chart(
    subject: &Subject<'_>,
    points: &[RunPoint],
    limits: Option<&Limits>,
    breaks: &[Break],
) -> Chart {
    let (lines, reach) = limit_lines(subject, limits);
    let values: Vec<f64> = points.iter().map(|point| point.value).collect();
    let mut layers = vec![course(points)];
    layers.extend(lines);
    let found = summary(&values).ok();
    if let Some(found) = found {
        layers.push(Layer::HorizontalLine {
            y: found.mean,
            from: None,
            label: filled(
                subject.words.mean,
                &[("value", &subject.computed(found.mean))],
            ),
            stroke: Stroke::Centre,
        });
    }
    layers.extend(break_lines(breaks));
    let mut notes = described(subject, &values, limits);
    notes.extend(marked_points(subject, points, limits, &mut layers));
    let places = || points.iter().map(|point| point.place);
    Chart {
        title: subject.titled(subject.words.run),
        x: subject.counting_axis(Reach::none().with(places())),
        y: subject.value_axis(subject.words.value, reach.with(values.iter().copied())),
        layers,
        notes,
    }
}

/// The limits of size as lines, and how far they reach.
pub(super) fn limit_lines(subject: &Subject<'_>, limits: Option<&Limits>) -> (Vec<Layer>, Reach) {
    let words = subject.words;
    let both = [
        (limits.and_then(Limits::lower), words.lower_limit),
        (limits.and_then(Limits::upper), words.upper_limit),
    ];
    let there = both
        .into_iter()
        .filter_map(|(limit, name)| Some((limit?, name)));
    let lines: Vec<Layer> = there
        .map(|(y, name)| Layer::HorizontalLine {
            y,
            from: None,
            label: filled(name, &[("value", &subject.read(y))]),
            stroke: Stroke::Limit,
        })
        .collect();
    let reach = Reach::none().with(both.into_iter().filter_map(|(limit, _)| limit));
    (lines, reach)
}

pub(super) fn break_lines(breaks: &[Break]) -> impl Iterator<Item = Layer> {
    breaks.iter().map(|one| Layer::VerticalLine {
        x: one.before - 0.5,
        label: one.name.clone(),
        stroke: Stroke::Break,
    })
}

/// What has to be said of a list before it is looked at.
pub(super) fn described(
    subject: &Subject<'_>,
    values: &[f64],
    limits: Option<&Limits>,
) -> Vec<String> {
    let words = subject.words;
    let mut notes = Vec::new();
    let first = values.first().copied();
    let is_level = first.is_some_and(|first| {
        let differs = |value: &f64| (value - first).abs() > 0.0;
        !values.iter().any(differs)
    });
    match (values.len(), first) {
        (1, _) => notes.push(words.one_value.to_owned()),
        (_, Some(first)) if is_level => {
            let texts = [("value", &*subject.read(first))];
            notes.push(filled(words.all_equal, &texts));
        }
        (_, None) => notes.push(words.empty.to_owned()),
        _ => {}
    }
    notes.extend(crowded(subject, values.len()));
    if limits.is_none() {
        notes.push(words.limitless.to_owned());
    }
    notes
}

/// What becomes of more points than a picture has columns.
pub(super) fn crowded(subject: &Subject<'_>, count: usize) -> Option<String> {
    let n = count.to_string();
    (count > CROWDED).then(|| filled(subject.words.thinned, &[("n", &n)]))
}

/// Whether a value lies beyond a limit; on a limit is within.
pub(super) fn is_beyond(value: f64, limits: Option<&Limits>) -> bool {
    let below = limits.and_then(Limits::lower).is_some_and(|l| value < l);
    let above = limits.and_then(Limits::upper).is_some_and(|u| value > u);
    below || above
}

/// From value to value.
pub(super) fn course(points: &[RunPoint]) -> Layer {
    let at = points.iter().map(|point| Point {
        x: point.place,
        y: point.value,
    });
    Layer::Line {
        at: at.collect(),
        stroke: Stroke::Course,
    }
}

/// The points in their shapes; gives what the shapes mean.
pub(super) fn marked_points(
    subject: &Subject<'_>,
    points: &[RunPoint],
    limits: Option<&Limits>,
    layers: &mut Vec<Layer>,
) -> Vec<String> {
    let at = |point: &RunPoint| Point {
        x: point.place,
        y: point.value,
    };
    let of = |shape: Shape| -> Vec<Point> {
        let same = points.iter().filter(|point| {
            let found = match (is_beyond(point.value, limits), point.is_in_doubt) {
                (_, true) => Shape::Ring,
                (true, false) => Shape::Cross,
                (false, false) => Shape::Disc,
            };
            found == shape
        });
        same.map(at).collect()
    };
    let mut notes = Vec::new();
    let words = subject.words;
    let told = [
        (Shape::Disc, ""),
        (Shape::Cross, words.crosses),
        (Shape::Ring, words.rings),
    ];
    for (shape, sentence) in told {
        let found = of(shape);
        if !found.is_empty() && !sentence.is_empty() {
            let (n, all) = (found.len().to_string(), points.len().to_string());
            notes.push(filled(sentence, &[("n", &n), ("of", &all)]));
        }
        layers.push(Layer::Points { at: found, shape });
    }
    notes
}

/// A confidence as people read it: `95 %`.
pub(super) fn percent(subject: &Subject<'_>, confidence: f64) -> String {
    let hundreds = 100.0 * confidence;
    let decimals = usize::from((hundreds - hundreds.round()).abs() > 1e-6);
    format!("{} %", subject.number(hundreds, decimals))
}
