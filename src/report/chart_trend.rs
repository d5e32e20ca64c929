//! The line through values in their order, with its band and where a drift reaches a limit.

use super::chart::{Chart, Layer, Point, Stroke};
use super::chart_axis::Reach;
use super::chart_run::{
    Break, RunPoint, break_lines, course, described, limit_lines, marked_points, percent,
};
use super::chart_subject::{Subject, filled};
use crate::measure::{ADVICE_PARTS_MIN, DRIFT_CONFIDENCE, PartsAhead, parts_ahead};
use crate::statistics::{Limits, Line};

/// How far a line is drawn beyond the last value, over the number of values.
const AHEAD: f64 = 0.15;
/// A limit that is reached later than this, over the number of values, is said but not drawn.
const AHEAD_MAX: f64 = 2.0;
/// Steps in which a band is drawn.
const STEPS: u32 = 48;

/// The line through a run, and what it is held against.
#[derive(Debug, Clone, Copy)]
pub struct Trend<'a> {
    /// That of [`crate::statistics::fit_line`] over the places since the last break; none where
    /// there are too few values.
    pub line: Option<&'a Line>,
    /// Confidence of band and slope.
    pub confidence: f64,
    /// The limits of size.
    pub limits: Option<&'a Limits>,
    /// What a guard band takes off each limit, in the unit of the values; nothing: 0.
    pub guard: f64,
    /// Whether the notes say where a limit is reached, or why none is.
    pub is_told: bool,
}

/// The values, the line through them, the band of single values, and where a drift reaches a
/// limit, less its guard band: the same parts that the advice names.
pub fn trend_chart(
    subject: &Subject<'_>,
    points: &[RunPoint],
    trend: &Trend<'_>,
    breaks: &[Break],
) -> Chart {
    let limits = trend.limits;
    let (lines, mut reach) = limit_lines(subject, limits);
    let values: Vec<f64> = points.iter().map(|point| point.value).collect();
    let mut layers = vec![course(points)];
    layers.extend(lines);
    layers.extend(break_lines(breaks));
    let mut notes = described(subject, &values, limits);
    reach = reach.with(values.iter().copied());
    let mut places = Reach::none().with(points.iter().map(|point| point.place));
    let last = points.last().map_or(0.0, |point| point.place);
    match trend.line {
        None if values.len() > 1 => notes.push(subject.words.trendless.to_owned()),
        None => {}
        Some(line) if line.residual_sd <= 0.0 && line.slope.abs() <= 0.0 => {}
        Some(line) => {
            let reached = Reached::of(line, trend, last);
            let until = drawn_until(line, last, reached.as_ref());
            let first = line.place_mean - (last - line.place_mean).abs();
            let drawn = band(line, trend.confidence, first, until);
            for piece in &drawn {
                reach = reach.with(ends_of(piece));
            }
            layers.extend(drawn);
            places = places.with([until]);
            notes.extend(told(subject, trend, (line, last), reached.as_ref()));
            if let Some(reached) = &reached {
                layers.extend(reached.layers(subject, until));
            }
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

/// A limit that the drift reaches.
struct Reached {
    is_upper: bool,
    /// Less its guard band.
    value: f64,
    is_guarded: bool,
    parts: PartsAhead,
}

impl Reached {
    /// None where the line lies beyond the limit already, or no drift leads to one.
    fn of(line: &Line, trend: &Trend<'_>, last: f64) -> Option<Self> {
        let is_upper = line.slope > 0.0;
        let limit = match is_upper {
            true => trend.limits?.upper()?,
            false => trend.limits?.lower()?,
        };
        if beyond(line, trend.limits, last) == Some(is_upper) {
            return None;
        }
        let value = match is_upper {
            true => limit - trend.guard,
            false => limit + trend.guard,
        };
        Some(Self {
            is_upper,
            value,
            is_guarded: trend.guard > 0.0,
            parts: parts_ahead(line, value, whole(last)).ok()??,
        })
    }

    /// Its interval on the limit as far as it is drawn, and the limit where it is not that of size.
    fn layers(&self, subject: &Subject<'_>, until: f64) -> Vec<Layer> {
        let mut layers = Vec::new();
        if self.is_guarded {
            let value = subject.computed(self.value);
            layers.push(Layer::HorizontalLine {
                y: self.value,
                from: None,
                label: filled(subject.words.guarded_limit, &[("value", &value)]),
                stroke: Stroke::Compared,
            });
        }
        let best = f64::from(self.parts.part);
        if best <= until {
            let to = self.parts.latest.map_or(until, f64::from);
            layers.push(Layer::Interval {
                y: self.value,
                from: f64::from(self.parts.earliest),
                to: to.min(until),
                best: Some(best),
            });
        }
        layers
    }
}

/// A place of a run as the number of its part.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped to its range
fn whole(place: f64) -> u32 {
    place.clamp(0.0, f64::from(u32::MAX)) as u32
}

/// Beyond which limit the line lies at the last value: the upper one?
fn beyond(line: &Line, limits: Option<&Limits>, last: f64) -> Option<bool> {
    let now = line.value_mean + line.slope * (last - line.place_mean);
    let limits = limits?;
    if limits.lower().is_some_and(|lower| now < lower) {
        return Some(false);
    }
    limits.upper().filter(|upper| now > *upper).map(|_| true)
}

fn drawn_until(line: &Line, last: f64, reached: Option<&Reached>) -> f64 {
    let n = line.n as f64;
    let most = last + (AHEAD_MAX * n).max(3.0);
    let near = last + (AHEAD * n).max(1.0);
    let parts = reached.map(|reached| reached.parts);
    let parts = parts.filter(|parts| f64::from(parts.part) <= most);
    let wanted = parts.map(|parts| parts.latest.map_or(most, f64::from).min(most));
    wanted.map_or(near, |wanted| wanted.max(near))
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

fn told(
    subject: &Subject<'_>,
    trend: &Trend<'_>,
    (line, last): (&Line, f64),
    reached: Option<&Reached>,
) -> Vec<String> {
    let words = subject.words;
    let level = percent(subject, trend.confidence);
    let slope = |value: f64| subject.number(value, subject.decimals + 2);
    let name = |is_upper: bool| words.limit_names[usize::from(is_upper)];
    let mut notes = Vec::new();
    if let Ok((from, to)) = line.slope_interval(trend.confidence) {
        let texts = [
            ("slope", &*slope(line.slope)),
            ("from", &*slope(from)),
            ("to", &*slope(to)),
            ("confidence", &*level),
        ];
        notes.push(filled(words.slope, &texts));
    }
    notes.push(filled(words.band, &[("confidence", &level)]));
    let is_drift = line.n >= ADVICE_PARTS_MIN && line.is_significant(DRIFT_CONFIDENCE);
    if trend.is_told && trend.limits.is_some() && !is_drift {
        notes.push(words.by_chance.to_owned());
    }
    if let Some(is_upper) = beyond(line, trend.limits, last) {
        notes.push(filled(words.is_beyond, &[("limit", name(is_upper))]));
    }
    if let Some(reached) = reached.filter(|_| trend.is_told) {
        let parts = reached.parts;
        let (from, at) = (parts.earliest.to_string(), parts.part.to_string());
        let between = match parts.latest {
            Some(to) => {
                let to = to.to_string();
                filled(words.between, &[("from", &from), ("to", &to)])
            }
            None => filled(words.from_on, &[("from", &from)]),
        };
        let sentence = match reached.is_guarded {
            true => words.reaches_guarded,
            false => words.reaches,
        };
        let texts = [
            ("limit", name(reached.is_upper)),
            ("value", &*subject.computed(reached.value)),
            ("at", &*at),
            ("between", &*between),
        ];
        notes.push(filled(sentence, &texts));
    }
    notes
}
