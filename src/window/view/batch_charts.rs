//! The charts of a characteristic: its row of numbers put into the shapes that the report draws.

use super::check_view::about;
use super::words::clean;
use crate::journal::ValueUnit;
use crate::quantity::Exact;
use crate::report::{
    Break, Chart, Control, ControlRow, Controlled, Counted, Curve, DecimalMark, ENGLISH_CHARTS,
    IndexRow, Layer, Point, RunPoint, Shape, Stroke, Subject, capability_chart, control_chart,
    histogram_chart, run_chart, trend_chart,
};
use crate::session::{
    BatchPoint, BatchSeries, BatchStudy, BreakKind, StudyShape, Target, TargetLimits,
};
use crate::statistics::{
    ControlLimits, Histogram, Limits, Line, Signal, SignalTest, Signals, normal_cdf,
};
use crate::window::batch_room::BatchPage;

/// Confidence of intervals and bands.
const CONFIDENCE: f64 = 0.95;
/// Of so many parts at most the points of each are drawn (chosen: more stand closer than a picture
/// shows).
const SPANS_MAX: usize = 2_000;
/// The share of the axis that is free beyond them.
const SPAN_ROOM: f64 = 0.02;
/// Smallest steps in a millimetre, and in a degree.
const STEPS_OF_MM: f64 = 1e6;
const STEPS_OF_DEGREE: f64 = 3.6e6;
/// Decimals of a degree.
const DEGREE_DECIMALS: usize = 4;
/// Most decimals of a millimetre: then it is exact.
const DECIMALS_MAX: usize = 6;

/// A characteristic with all that is known of it.
pub(super) type Of<'a> = (&'a BatchSeries, &'a Target, &'a BatchStudy);

/// What stands for a characteristic in a chart that is kept.
pub fn chart_name(target: &Target) -> String {
    about(target)
}

/// How whole steps become the numbers of a chart.
#[derive(Debug, Clone, Copy)]
pub(super) struct Unit {
    steps: f64,
    name: &'static str,
    pub(super) decimals: usize,
}

impl Unit {
    pub(super) fn of(series: &BatchSeries) -> Self {
        match series.unit {
            ValueUnit::Milliarcsecond => Self {
                steps: STEPS_OF_DEGREE,
                name: "°",
                decimals: DEGREE_DECIMALS,
            },
            ValueUnit::Nanometre | ValueUnit::Check => Self {
                steps: STEPS_OF_MM,
                name: "mm",
                decimals: decimals(series.points()),
            },
        }
    }

    pub(super) fn value(self, steps: f64) -> f64 {
        steps / self.steps
    }

    fn whole(self, steps: i64) -> f64 {
        self.value(steps as f64)
    }

    fn limits(self, limits: ControlLimits) -> ControlLimits {
        ControlLimits {
            lower: self.value(limits.lower),
            centre: self.value(limits.centre),
            upper: self.value(limits.upper),
        }
    }
}

/// Decimals that the finest gauge of the row shows.
fn decimals(points: &[BatchPoint]) -> usize {
    let step = points.iter().map(|point| point.step).min().unwrap_or(1_000);
    let mut left = step.max(1);
    let mut zeros = 0;
    while left % 10 == 0 && zeros < DECIMALS_MAX {
        left /= 10;
        zeros += 1;
    }
    DECIMALS_MAX - zeros
}

/// The chart of a page; none for pages of words, and for what has no sizes or no part yet.
pub fn batch_chart(page: BatchPage, of: Of<'_>, mark: DecimalMark) -> Option<Chart> {
    let (series, target, study) = of;
    if target.check().is_some() || series.points().is_empty() {
        return None;
    }
    let unit = Unit::of(series);
    let subject = Subject {
        title: "",
        unit: unit.name,
        decimals: unit.decimals,
        decimal_mark: mark,
        counted: Counted::Parts,
        words: &ENGLISH_CHARTS,
    };
    let limits = limits_of(target, unit);
    let limits = limits.as_ref();
    Some(match page {
        BatchPage::Table | BatchPage::Advice => return None,
        BatchPage::Run => run(&subject, of, unit, limits),
        BatchPage::Control => locations(&subject, of, unit),
        BatchPage::Spread => spreads(&subject, of, unit),
        BatchPage::Histogram => shape(&subject, study, unit, limits),
        BatchPage::Capability => indices(&subject, study, limits),
        BatchPage::Trend => {
            let line = study.trend.as_ref().ok().map(|line| scaled(line, unit));
            let points = run_points(series.segment_points(), unit);
            trend_chart(&subject, &points, line.as_ref(), CONFIDENCE, limits, &[])
        }
    })
}

fn limits_of(target: &Target, unit: Unit) -> Option<Limits> {
    let (lower, upper) = match target.limits {
        TargetLimits::Length(limits) => (
            limits.lower().map(Exact::units),
            limits.upper().map(Exact::units),
        ),
        TargetLimits::Angle(limits) => (
            limits.lower().map(Exact::units),
            limits.upper().map(Exact::units),
        ),
        TargetLimits::Check(_) => (None, None),
    };
    let number = |limit: Option<i64>| limit.map(|limit| unit.whole(limit));
    Limits::new(number(lower), number(upper)).ok()
}

fn run_points(points: &[BatchPoint], unit: Unit) -> Vec<RunPoint> {
    let points = points.iter().map(|point| RunPoint {
        place: f64::from(point.part),
        value: unit.whole(point.value),
        is_in_doubt: point.is_in_doubt,
    });
    points.collect()
}

fn at(part: u32, y: f64) -> Point {
    Point {
        x: f64::from(part),
        y,
    }
}

/// All parts in their order, with what happened between them, and a box where a test signals.
fn run(subject: &Subject<'_>, (series, ..): Of<'_>, unit: Unit, limits: Option<&Limits>) -> Chart {
    let points = series.points();
    let breaks: Vec<Break> = series
        .breaks()
        .iter()
        .filter(|one| one.kind.splits())
        .map(|one| Break {
            before: f64::from(one.before_part),
            name: break_name(one.kind),
        })
        .collect();
    let mut chart = run_chart(subject, &run_points(points, unit), limits, &breaks);
    spans(&mut chart, series, unit, limits);
    let signalled = points.iter().filter(|point| !point.signals.is_empty());
    let spot = |point: &BatchPoint| at(point.part, unit.whole(point.value));
    let boxed: Vec<Point> = signalled.clone().map(spot).collect();
    let has_signals = !boxed.is_empty();
    let is_cross = |layer: &Layer| {
        matches!(
            layer,
            Layer::Points {
                shape: Shape::Cross,
                ..
            }
        )
    };
    let crosses = chart.layers.iter().position(is_cross);
    // Below the crosses: a signal must not hide that a part is beyond a limit.
    let boxed = Layer::Points {
        at: boxed,
        shape: Shape::Boxed,
    };
    let place = crosses.unwrap_or(chart.layers.len());
    chart.layers.insert(place, boxed);
    // Where the same tests signal part after part, the first is numbered.
    let mut before = (0, Signals::default());
    for point in signalled {
        if before != (point.part.saturating_sub(1), point.signals) {
            chart.layers.push(Layer::Mark {
                at: spot(point),
                text: tests_text(point.signals),
            });
        }
        before = (point.part, point.signals);
    }
    if has_signals {
        let note = "Box: a signal, with the number of its test; the control page names it.";
        chart.notes.push(note.to_owned());
    }
    chart
}

/// The numbers of tests: `1 5`.
pub(super) fn tests_text(signals: Signals) -> String {
    let numbers = signals.iter().map(|test| test.number().to_string());
    numbers.collect::<Vec<_>>().join(" ")
}

/// Of several points of a part, from the smallest to the largest; a cross where one of them lies
/// beyond a limit, which their mean may not.
fn spans(chart: &mut Chart, series: &BatchSeries, unit: Unit, limits: Option<&Limits>) {
    let points = series.points();
    let several = || points.iter().filter(|point| point.values().len() > 1);
    if several().next().is_none() {
        return;
    }
    let ends = |point: &BatchPoint| [point.smallest, point.largest].map(|end| unit.whole(end));
    for [low, high] in several().map(ends) {
        let room = SPAN_ROOM * (chart.y.to - chart.y.from);
        chart.y.from = chart.y.from.min(low - room);
        chart.y.to = chart.y.to.max(high + room);
    }
    if points.len() <= SPANS_MAX {
        let drawn = several().map(|point| Layer::Line {
            at: ends(point).map(|end| at(point.part, end)).to_vec(),
            stroke: Stroke::Fitted,
        });
        chart.layers.extend(drawn);
    }
    let is_beyond = |value: f64| {
        let below = limits.and_then(Limits::lower).is_some_and(|l| value < l);
        below || limits.and_then(Limits::upper).is_some_and(|u| value > u)
    };
    let crosses: Vec<Point> = several()
        .flat_map(|point| ends(point).map(|end| at(point.part, end)))
        .filter(|place| is_beyond(place.y))
        .collect();
    if !crosses.is_empty() {
        let note = "Cross at the end of an upright line: that point lies beyond a limit of size.";
        chart.notes.push(note.to_owned());
    }
    chart.layers.push(Layer::Points {
        at: crosses,
        shape: Shape::Cross,
    });
    let note = "Points are the means of each part's points; upright lines reach from the smallest \
                to the largest of them.";
    chart.notes.push(note.to_owned());
}

/// What happened, in short.
pub(super) fn break_name(kind: BreakKind) -> String {
    match kind {
        BreakKind::ToolChanged => "tool changed".to_owned(),
        BreakKind::OffsetApplied(amount) => clean(&format!("offset {}", amount.to_mm())),
        BreakKind::PutBack => "put back".to_owned(),
    }
}

fn counted(series: &BatchSeries) -> impl Iterator<Item = &BatchPoint> {
    let points = series.segment_points().iter();
    points.filter(|point| !point.is_in_doubt)
}

fn control_limits(study: &BatchStudy) -> Option<ControlLimits> {
    let limits = study.segments.last()?.limits?;
    Some(limits.location)
}

/// One stretch: the room shows the row in force.
fn rows_of(limits: Option<ControlLimits>, places: &[f64]) -> Vec<ControlRow> {
    let from = places.first().copied().unwrap_or_default();
    let row = limits.map(|limits| ControlRow { from, limits });
    row.into_iter().collect()
}

/// The row in force with the limits that its signals were looked for with.
fn locations(subject: &Subject<'_>, (series, target, study): Of<'_>, unit: Unit) -> Chart {
    let row: Vec<&BatchPoint> = counted(series).collect();
    let signals = row.iter().enumerate().flat_map(|(point, one)| {
        let tests = one.signals.iter();
        tests.map(move |test| Signal { test, point })
    });
    let places: Vec<f64> = row.iter().map(|point| f64::from(point.part)).collect();
    let values: Vec<f64> = row.iter().map(|point| unit.whole(point.value)).collect();
    let chart = control_chart(
        subject,
        &Control {
            shows: match target.points {
                0 | 1 => Controlled::Values,
                _ => Controlled::Means,
            },
            places: &places,
            values: &values,
            rows: &rows_of(
                control_limits(study).map(|limits| unit.limits(limits)),
                &places,
            ),
            is_provisional: false,
            in_doubt: &[],
            signals: &signals.collect::<Vec<Signal>>(),
            tests: Some(study.tests),
            breaks: &[],
        },
    );
    without_premature(chart)
}

/// How far neighbours lie apart; of several points of a part, how far these do.
fn spreads(subject: &Subject<'_>, (series, target, study): Of<'_>, unit: Unit) -> Chart {
    // A part that was given up lacks points, and has no range beside the others.
    let wanted = usize::from(target.points);
    let is_whole = |point: &&BatchPoint| wanted < 2 || point.values().len() == wanted;
    let row: Vec<&BatchPoint> = counted(series).filter(is_whole).collect();
    let (shows, found, places, values): (_, _, Vec<f64>, Vec<f64>) = match &study.subgroups {
        Some(found) => (
            Controlled::Ranges,
            found,
            row.iter().map(|point| f64::from(point.part)).collect(),
            row.iter()
                .map(|point| unit.whole(point.largest.saturating_sub(point.smallest)))
                .collect(),
        ),
        None => (
            Controlled::MovingRanges,
            &study.individuals,
            row.iter()
                .skip(1)
                .map(|point| f64::from(point.part))
                .collect(),
            row.iter()
                .zip(row.iter().skip(1))
                .map(|(one, next)| unit.whole(next.value.saturating_sub(one.value)).abs())
                .collect(),
        ),
    };
    // Before there are limits for the values, those of their spread are mostly chance.
    let limits = found
        .as_ref()
        .ok()
        .filter(|_| control_limits(study).is_some())
        .map(|found| unit.limits(found.spread));
    let beyond = limits.map_or_else(Vec::new, |limits| limits.places_beyond(&values));
    let signals = beyond.into_iter().map(|point| Signal {
        test: SignalTest::Beyond,
        point,
    });
    let chart = control_chart(
        subject,
        &Control {
            shows,
            places: &places,
            values: &values,
            rows: &rows_of(limits, &places),
            is_provisional: false,
            in_doubt: &[],
            signals: &signals.collect::<Vec<Signal>>(),
            tests: None,
            breaks: &[],
        },
    );
    without_premature(chart)
}

/// A row that grows has its limits later than a list; the page says when.
fn without_premature(mut chart: Chart) -> Chart {
    let premature = ENGLISH_CHARTS.uncontrolled;
    chart.notes.retain(|note| note != premature);
    chart
}

fn shape(subject: &Subject<'_>, study: &BatchStudy, unit: Unit, limits: Option<&Limits>) -> Chart {
    let histogram = study.histogram.as_ref().ok().map(|found| Histogram {
        start: unit.value(found.start),
        bin_width: unit.value(found.bin_width),
        steps_per_bin: found.steps_per_bin,
        counts: found.counts.clone(),
    });
    let summary = study.summary.as_ref().ok();
    let mean = summary.map_or(0.0, |found| unit.value(found.mean));
    let sd = summary.and_then(|found| found.standard_deviation);
    let sd = sd.map(|sd| unit.value(sd)).filter(|sd| *sd > 0.0);
    let normal = |x: f64| normal_cdf((x - mean) / sd.unwrap_or(1.0));
    let model = match &study.shape {
        StudyShape::Bounded(Ok(found)) => Some(found.model),
        _ => None,
    };
    let bounded = |x: f64| model.map_or(0.0, |model| model.shares(x * unit.steps).0);
    let curve = match (&study.shape, model, sd) {
        (StudyShape::Bounded(_), Some(_), _) => Some(Curve {
            share_below: &bounded,
            is_bounded: true,
        }),
        (StudyShape::Normal { .. }, _, Some(_)) => Some(Curve {
            share_below: &normal,
            is_bounded: false,
        }),
        _ => None,
    };
    histogram_chart(subject, histogram.as_ref(), limits, curve)
}

fn indices(subject: &Subject<'_>, study: &BatchStudy, limits: Option<&Limits>) -> Chart {
    let row = |name, index| IndexRow { name, index };
    let has_two = limits.is_some_and(|limits| limits.width().is_some());
    let mut rows = Vec::new();
    let mut n = study.summary.as_ref().map_or(0, |found| found.count);
    match &study.shape {
        StudyShape::Normal {
            overall, within, ..
        } => {
            for (names, found) in [
                (["Cp", "Cpk"], within.as_ref()),
                (["Pp", "Ppk"], Some(overall)),
            ] {
                let Some(found) = found else { continue };
                let found = found.as_ref().ok();
                if has_two {
                    rows.push(row(names[0], found.and_then(|one| one.spread)));
                }
                rows.push(row(names[1], found.map(|one| one.worst)));
            }
        }
        StudyShape::Bounded(found) => {
            let found = found.as_ref().ok();
            n = found.map_or(n, |found| found.n);
            rows.push(row("Ppk", found.map(|one| one.worst)));
        }
    }
    capability_chart(subject, &rows, n, CONFIDENCE)
}

/// The line in the unit of the chart.
fn scaled(line: &Line, unit: Unit) -> Line {
    Line {
        intercept: unit.value(line.intercept),
        slope: unit.value(line.slope),
        residual_sd: unit.value(line.residual_sd),
        intercept_sd: unit.value(line.intercept_sd),
        slope_sd: unit.value(line.slope_sd),
        value_mean: unit.value(line.value_mean),
        ..*line
    }
}
