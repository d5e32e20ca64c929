//! Values in their order: the run of a characteristic, and the line through it.

use super::chart::{Chart, Layer, Point, Shape, Stroke};
use super::chart_axis::Reach;
use super::chart_subject::{Subject, filled};
use crate::statistics::{Crossing, Limits, Line, summary};

/// How far a line is drawn beyond the last value, over the number of values.
const AHEAD: f64 = 0.15;
/// A limit that is reached later than this, over the number of values, is said but not drawn.
const AHEAD_MAX: f64 = 2.0;
/// More points than these may stand closer than a picture shows.
const CROWDED: usize = 1_000;
/// Steps in which a band is drawn.
const STEPS: u32 = 48;

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

/// The values, the line through them, the band of single values, and where a limit is reached.
///
/// `line` is the line of [`crate::statistics::fit_line`] over the places since the last break;
/// none where there are too few values. `confidence` is that of band and intervals.
pub fn trend_chart(
    subject: &Subject<'_>,
    points: &[RunPoint],
    line: Option<&Line>,
    confidence: f64,
    limits: Option<&Limits>,
    breaks: &[Break],
) -> Chart {
    let (lines, mut reach) = limit_lines(subject, limits);
    let values: Vec<f64> = points.iter().map(|point| point.value).collect();
    let mut layers = vec![course(points)];
    layers.extend(lines);
    layers.extend(break_lines(breaks));
    let mut notes = described(subject, &values, limits);
    reach = reach.with(values.iter().copied());
    let mut places = Reach::none().with(points.iter().map(|point| point.place));
    let last = points.last().map_or(0.0, |point| point.place);
    match line {
        None if values.len() > 1 => notes.push(subject.words.trendless.to_owned()),
        None => {}
        Some(line) if line.residual_sd <= 0.0 && line.slope.abs() <= 0.0 => {}
        Some(line) => {
            let crossings = crossings(line, confidence, limits, last);
            let until = drawn_until(line, last, &crossings);
            let first = line.place_mean - (last - line.place_mean).abs();
            let drawn = band(line, confidence, first, until);
            for piece in &drawn {
                reach = reach.with(ends_of(piece));
            }
            layers.extend(drawn);
            places = places.with([until]);
            notes.extend(told(subject, line, confidence, &crossings, limits));
            layers.extend(crossing_marks(&crossings, until, limits));
        }
    }
    notes.extend(marked_points(subject, points, limits, &mut layers));
    Chart {
        title: subject.titled(subject.words.trend),
        x: subject.counting_axis(places),
        y: subject.value_axis(subject.words.value, reach),
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
fn course(points: &[RunPoint]) -> Layer {
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
fn marked_points(
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

/// The limits that the line goes towards, with where it reaches them; a line that lies beyond one
/// has no crossing there.
fn crossings(
    line: &Line,
    confidence: f64,
    limits: Option<&Limits>,
    last: f64,
) -> Vec<(usize, Option<Crossing>)> {
    let now = line.value_mean + line.slope * (last - line.place_mean);
    let both = [
        limits.and_then(Limits::lower),
        limits.and_then(Limits::upper),
    ];
    let mut found = Vec::new();
    for (which, limit) in both.into_iter().enumerate() {
        let Some(limit) = limit else { continue };
        let is_out = if which == 0 { now < limit } else { now > limit };
        let towards = (limit - now) * line.slope > 0.0;
        if is_out {
            found.push((which, None));
        } else if towards && let Ok(Some(crossing)) = line.reaches(limit, confidence) {
            found.push((which, Some(crossing)));
        }
    }
    found
}

fn drawn_until(line: &Line, last: f64, crossings: &[(usize, Option<Crossing>)]) -> f64 {
    let n = line.n as f64;
    let most = last + (AHEAD_MAX * n).max(3.0);
    let near = last + (AHEAD * n).max(1.0);
    let wanted = crossings
        .iter()
        .filter_map(|(_, crossing)| *crossing)
        .filter(|crossing| crossing.at <= most)
        .map(|crossing| crossing.line.1.min(most));
    wanted.fold(near, f64::max)
}

/// The line with its band; nothing where the line leaves the floats.
fn band(line: &Line, confidence: f64, from: f64, until: f64) -> Vec<Layer> {
    let step = (until - from) / f64::from(STEPS);
    let predicted = (0..=STEPS).map(|at| line.predict(from + step * f64::from(at), confidence));
    let Ok(predicted) = predicted.collect::<Result<Vec<_>, _>>() else {
        return Vec::new();
    };
    let edge = |side: f64| -> Vec<Point> {
        let place = predicted.iter().map(|one| Point {
            x: one.at,
            y: one.value + side * one.single_half_width,
        });
        place.collect()
    };
    vec![
        Layer::Band {
            lower: edge(-1.0),
            upper: edge(1.0),
        },
        Layer::Line {
            at: edge(0.0),
            stroke: Stroke::Fitted,
        },
    ]
}

fn ends_of(layer: &Layer) -> Vec<f64> {
    match layer {
        Layer::Band { lower, upper } => lower.iter().chain(upper).map(|at| at.y).collect(),
        _ => Vec::new(),
    }
}

/// The interval of each crossing on its limit, as far as it is drawn.
fn crossing_marks(
    crossings: &[(usize, Option<Crossing>)],
    until: f64,
    limits: Option<&Limits>,
) -> Vec<Layer> {
    let both = [
        limits.and_then(Limits::lower),
        limits.and_then(Limits::upper),
    ];
    let marks = crossings.iter().filter_map(|(which, crossing)| {
        let (crossing, y) = ((*crossing)?, both.get(*which).copied().flatten()?);
        (crossing.at <= until).then(|| Layer::Interval {
            y,
            from: crossing.line.0,
            to: crossing.line.1.min(until),
            best: Some(crossing.at),
        })
    });
    marks.collect()
}

fn told(
    subject: &Subject<'_>,
    line: &Line,
    confidence: f64,
    crossings: &[(usize, Option<Crossing>)],
    limits: Option<&Limits>,
) -> Vec<String> {
    let words = subject.words;
    let level = percent(subject, confidence);
    let slope = |value: f64| subject.number(value, subject.decimals + 2);
    let mut notes = Vec::new();
    if let Ok((from, to)) = line.slope_interval(confidence) {
        let texts = [
            ("slope", &*slope(line.slope)),
            ("from", &*slope(from)),
            ("to", &*slope(to)),
            ("confidence", &*level),
        ];
        notes.push(filled(words.slope, &texts));
    }
    notes.push(filled(words.band, &[("confidence", &level)]));
    if limits.is_some() && !line.is_significant(confidence) {
        notes.push(words.by_chance.to_owned());
    }
    for (which, crossing) in crossings {
        let name = words.limit_names.get(*which).copied().unwrap_or_default();
        let place = |at: f64| subject.number(at, 0);
        notes.push(match crossing {
            None => filled(words.is_beyond, &[("limit", name)]),
            Some(crossing) => filled(
                words.reaches,
                &[
                    ("limit", name),
                    ("at", &place(crossing.at)),
                    ("from", &place(crossing.line.0.floor())),
                    ("to", &place(crossing.line.1.ceil())),
                ],
            ),
        });
    }
    notes
}

/// A confidence as people read it: `95 %`.
pub(super) fn percent(subject: &Subject<'_>, confidence: f64) -> String {
    let hundreds = 100.0 * confidence;
    let decimals = usize::from((hundreds - hundreds.round()).abs() > 1e-6);
    format!("{} %", subject.number(hundreds, decimals))
}
