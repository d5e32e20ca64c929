//! The charts of one characteristic over the parts of a session: its row of numbers and its study,
//! from smallest steps to millimetres or degrees. Nothing is computed here but the unit. Window,
//! command and report draw these and no others.

use super::chart::{Chart, Layer, Point, Shape, Signalled, Stroke};
use super::chart_control::{
    Control, ControlRow, Controlled, control_chart, rows_note, signals_layer,
};
use super::chart_run::{Break, RunPoint, is_beyond, run_chart};
use super::chart_shape::{Curve, IndexRow, capability_chart, histogram_chart};
use super::chart_subject::{Counted, Subject, filled};
use super::chart_trend::{Trend, trend_chart};
use super::chart_unit::ChartUnit;
use super::chart_words::ChartWords;
use super::options::DecimalMark;
use crate::measure::ADVICE_CONFIDENCE;
use crate::quantity::Length;
use crate::session::{BatchPoint, BatchSeries, BatchStudy, BreakKind, Known, StudyShape, Target};
use crate::statistics::{
    ChartLimits, ControlLimits, Index, Limits, Signal, SignalTest, Signals, StatisticsError,
    normal_cdf,
};

/// Of so many parts at most the points of each are drawn (chosen: more stand closer than a picture
/// shows).
const SPANS_MAX: usize = 2_000;
/// The share of the axis that is free beyond them.
const SPAN_ROOM: f64 = 0.02;

/// The share of parts below a size.
type Share = Box<dyn Fn(f64) -> f64>;

/// The charts that a characteristic has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BatchChart {
    /// Values over the parts, with limits of size.
    Run,
    /// Control chart of location.
    Control,
    /// Control chart of spread, of the row in force.
    Spread,
    /// How the values lie.
    Histogram,
    /// Capability as intervals.
    Capability,
    /// The line through the row in force.
    Trend,
}

/// A characteristic, what is known of it, and how it is written.
#[derive(Debug, Clone, Copy)]
pub struct ChartSource<'a> {
    /// Its row.
    pub series: &'a BatchSeries,
    /// What it has to be.
    pub target: &'a Target,
    /// Its study.
    pub study: &'a BatchStudy,
    /// Its name above the chart; empty: the kind of chart alone.
    pub title: &'a str,
    /// The language.
    pub words: &'static ChartWords,
    /// The mark in numbers.
    pub decimal_mark: DecimalMark,
    /// Whether the advice and what is missing are said beside the chart: then not below it, too.
    pub is_advised_beside: bool,
}

/// A chart of a characteristic, one or two (control charts of location and spread); none for what
/// has no sizes, such as a limit gauge's answers.
pub fn batch_charts(
    kind: BatchChart,
    series: &BatchSeries,
    target: &Target,
    study: &BatchStudy,
    language: (&'static ChartWords, DecimalMark),
) -> Vec<Chart> {
    let named = [&target.feature, &target.callout, &target.name];
    let named: Vec<&str> = named.map(String::as_str).into();
    let title = named.join(" ");
    charts_titled(title.trim(), kind, (series, target, study), language)
}

/// The same under another title.
pub(super) fn charts_titled(
    title: &str,
    kind: BatchChart,
    (series, target, study): (&BatchSeries, &Target, &BatchStudy),
    language: (&'static ChartWords, DecimalMark),
) -> Vec<Chart> {
    let of = ChartSource {
        series,
        target,
        study,
        title,
        words: language.0,
        decimal_mark: language.1,
        is_advised_beside: false,
    };
    let Some(mut chart) = batch_chart(kind, &of) else {
        return Vec::new();
    };
    if kind == BatchChart::Capability {
        chart.notes.extend(no_index(study).map(ToString::to_string));
    }
    let has_spread = kind == BatchChart::Control && spread_found(study).is_ok();
    let spread = has_spread.then(|| batch_chart(BatchChart::Spread, &of));
    [Some(chart), spread.flatten()]
        .into_iter()
        .flatten()
        .collect()
}

/// One chart of a characteristic; none for what has no sizes.
pub fn batch_chart(kind: BatchChart, of: &ChartSource<'_>) -> Option<Chart> {
    if of.target.check().is_some() {
        return None;
    }
    let unit = ChartUnit::of(of.series);
    let limits = unit.limits_of(of.target);
    let limits = limits.as_ref();
    let subject = Subject {
        title: of.title,
        unit: unit.name(),
        decimals: unit.decimals(),
        decimal_mark: of.decimal_mark,
        counted: Counted::Parts,
        words: of.words,
    };
    let points = of.series.points().iter();
    let run = points.map(|point| RunPoint {
        place: f64::from(point.part),
        value: unit.whole(point.value),
        is_in_doubt: point.is_in_doubt,
    });
    let run: Vec<RunPoint> = run.collect();
    Some(match kind {
        BatchChart::Run => {
            let mut chart = run_chart(&subject, &run, limits, &breaks(of));
            spans(&mut chart, of, unit, limits);
            boxes(&mut chart, of, unit);
            chart
        }
        BatchChart::Control => locations(&subject, of, unit),
        BatchChart::Spread => spreads(&subject, of, unit),
        BatchChart::Histogram => shape(&subject, of, unit, limits),
        BatchChart::Capability => indices(&subject, of.study, limits),
        BatchChart::Trend => {
            let line = of.study.trend.as_ref().ok().map(|line| unit.line(line));
            let guard = of.study.guard;
            let trend = Trend {
                line: line.as_ref(),
                confidence: ADVICE_CONFIDENCE,
                limits,
                guard: unit.whole(guard.as_nm()),
                is_told: !of.is_advised_beside,
            };
            trend_chart(&subject, &run, &trend, &breaks(of))
        }
    })
}

/// What happened between the parts; a part that was only put back changes no tool.
fn breaks(of: &ChartSource<'_>) -> Vec<Break> {
    let splits = of.series.breaks().iter().filter(|one| one.kind.splits());
    let told = splits.map(|one| Break {
        before: f64::from(one.before_part),
        name: break_name(one.kind, of.words, of.decimal_mark),
    });
    told.collect()
}

/// What happened, in short: `offset -0.020`.
pub fn break_name(kind: BreakKind, words: &ChartWords, mark: DecimalMark) -> String {
    match kind {
        BreakKind::ToolChanged => words.tool_changed.to_owned(),
        BreakKind::OffsetApplied(amount) => {
            let amount = signed(amount, mark);
            filled(words.offset_applied, &[("value", &amount)])
        }
        BreakKind::PutBack => words.put_back.to_owned(),
    }
}

fn signed(amount: Length, mark: DecimalMark) -> String {
    let text = amount.abs().to_mm();
    let text = match mark {
        DecimalMark::Comma => text.replace('.', ","),
        DecimalMark::Point => text,
    };
    let sign = if amount.is_negative() {
        "\u{2212}"
    } else {
        "+"
    };
    format!("{sign}{text}")
}

/// The numbers of tests: `1 5`.
pub fn tests_text(signals: Signals) -> String {
    let numbers = signals.iter().map(|test| test.number().to_string());
    numbers.collect::<Vec<_>>().join(" ")
}

fn at(part: u32, y: f64) -> Point {
    Point {
        x: f64::from(part),
        y,
    }
}

/// A box where a test signals, below the crosses: a signal must not hide that a part is beyond a
/// limit.
fn boxes(chart: &mut Chart, of: &ChartSource<'_>, unit: ChartUnit) {
    let points = of.series.points().iter();
    let mut before = (0, Signals::default());
    let signalled = points.filter(|point| !point.signals.is_empty());
    let signalled = signalled.map(|point| {
        let goes_on = before == (point.part.saturating_sub(1), point.signals);
        before = (point.part, point.signals);
        Signalled {
            at: at(point.part, unit.whole(point.value)),
            tests: point.signals,
            goes_on,
        }
    });
    let signalled: Vec<Signalled> = signalled.collect();
    if signalled.is_empty() {
        return;
    }
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
    let place = crosses.unwrap_or(chart.layers.len());
    chart.notes.push(of.words.run_boxes.to_owned());
    chart.notes.extend(rows_note(of.words, signalled.len()));
    chart
        .layers
        .insert(place, signals_layer(of.words, signalled));
}

/// Of several points of a part, from the smallest to the largest; a cross where one of them lies
/// beyond a limit, which their mean may not.
fn spans(chart: &mut Chart, of: &ChartSource<'_>, unit: ChartUnit, limits: Option<&Limits>) {
    let points = of.series.points();
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
    let crosses: Vec<Point> = several()
        .flat_map(|point| ends(point).map(|end| at(point.part, end)))
        .filter(|place| is_beyond(place.y, limits))
        .collect();
    if !crosses.is_empty() {
        chart.notes.push(of.words.span_crosses.to_owned());
    }
    chart.layers.push(Layer::Points {
        at: crosses,
        shape: Shape::Cross,
    });
    chart.notes.push(of.words.spans.to_owned());
}

/// All parts, with the limits of each row that its signals were looked for with.
fn locations(subject: &Subject<'_>, of: &ChartSource<'_>, unit: ChartUnit) -> Chart {
    let points = of.series.points();
    let places: Vec<f64> = points.iter().map(|point| f64::from(point.part)).collect();
    let values: Vec<f64> = points.iter().map(|point| unit.whole(point.value)).collect();
    let numbered = || points.iter().enumerate();
    let signals = numbered().flat_map(|(point, one)| {
        let tests = one.signals.iter();
        tests.map(move |test| Signal { test, point })
    });
    let in_doubt = numbered().filter_map(|(at, point)| point.is_in_doubt.then_some(at));
    let with_limits = of.study.segments.iter().filter_map(|segment| {
        Some(ControlRow {
            from: f64::from(segment.from_part) - 0.5,
            limits: unit.control(segment.limits?.location),
        })
    });
    let last = of.study.segments.last().and_then(|segment| segment.limits);
    let location = Control {
        shows: match of.target.points {
            0 | 1 => Controlled::Values,
            _ => Controlled::Means,
        },
        places: &places,
        values: &values,
        rows: &with_limits.collect::<Vec<ControlRow>>(),
        is_provisional: !of.is_advised_beside && last.is_some_and(|limits| limits.is_provisional),
        in_doubt: &in_doubt.collect::<Vec<usize>>(),
        signals: &signals.collect::<Vec<Signal>>(),
        tests: Some(of.study.tests),
        breaks: &breaks(of),
    };
    control_chart(subject, &location)
}

/// Limits of spread; before there are any for the values, those of their spread are mostly chance.
fn spread_limits(study: &BatchStudy) -> Option<ControlLimits> {
    study.segments.last()?.limits?;
    spread_found(study).as_ref().ok().map(|found| found.spread)
}

fn spread_found(study: &BatchStudy) -> &Known<ChartLimits> {
    match &study.subgroups {
        Some(found) => found,
        None => &study.individuals,
    }
}

/// The spread of the row in force: of the points of each part, or from part to part.
fn spreads(subject: &Subject<'_>, of: &ChartSource<'_>, unit: ChartUnit) -> Chart {
    // A part that was given up lacks points, and has no range beside the others.
    let wanted = usize::from(of.target.points);
    let counts =
        |point: &&BatchPoint| !point.is_in_doubt && (wanted < 2 || point.values().len() == wanted);
    let row: Vec<&BatchPoint> = of.series.segment_points().iter().filter(counts).collect();
    let part = |point: &BatchPoint| f64::from(point.part);
    let (shows, spreads): (_, Vec<(f64, f64)>) = match &of.study.subgroups {
        Some(_) => {
            let range = |one: &&BatchPoint| {
                let apart = one.largest.saturating_sub(one.smallest);
                (part(one), unit.whole(apart))
            };
            (Controlled::Ranges, row.iter().map(range).collect())
        }
        None => {
            let pairs = row.iter().zip(row.iter().skip(1));
            let moved = |(one, next): (&&BatchPoint, &&BatchPoint)| {
                let apart = next.value.saturating_sub(one.value);
                (part(next), unit.whole(apart).abs())
            };
            (Controlled::MovingRanges, pairs.map(moved).collect())
        }
    };
    let limits = spread_limits(of.study).map(|limits| unit.control(limits));
    let (places, values): (Vec<f64>, Vec<f64>) = spreads.into_iter().unzip();
    let beyond = limits.map_or_else(Vec::new, |limits| limits.places_beyond(&values));
    let beyond = beyond.into_iter().map(|point| Signal {
        test: SignalTest::Beyond,
        point,
    });
    let row = limits.map(|limits| ControlRow { from: 0.0, limits });
    let control = Control {
        shows,
        places: &places,
        values: &values,
        rows: &row.into_iter().collect::<Vec<ControlRow>>(),
        is_provisional: false,
        in_doubt: &[],
        signals: &beyond.collect::<Vec<Signal>>(),
        tests: None,
        breaks: &[],
    };
    control_chart(subject, &control)
}

fn shape(
    subject: &Subject<'_>,
    of: &ChartSource<'_>,
    unit: ChartUnit,
    limits: Option<&Limits>,
) -> Chart {
    let study = of.study;
    let found = study.histogram.as_ref().ok();
    let found = found.map(|found| unit.histogram(found));
    let below: Option<(Share, bool)> = match &study.shape {
        StudyShape::Bounded(Ok(bounded)) => {
            let model = bounded.model;
            let share = move |x: f64| model.shares(unit.steps(x)).0;
            Some((Box::new(share), true))
        }
        StudyShape::Bounded(Err(_)) => None,
        StudyShape::Normal { .. } => study.summary.as_ref().ok().and_then(|summary| {
            let mean = unit.value(summary.mean);
            let deviation = unit.value(summary.standard_deviation?);
            let share = move |x: f64| normal_cdf((x - mean) / deviation);
            (deviation > 0.0).then(|| (Box::new(share) as Share, false))
        }),
    };
    let curve = below.as_ref().map(|(share, is_bounded)| Curve {
        share_below: share,
        is_bounded: *is_bounded,
    });
    let counted = of.series.points().iter().filter(|point| !point.is_in_doubt);
    let values = counted.flat_map(BatchPoint::values);
    let beyond = values.map(|value| unit.whole(*value));
    let beyond: Vec<f64> = beyond.filter(|value| is_beyond(*value, limits)).collect();
    histogram_chart(subject, found.as_ref(), (limits, &beyond), curve)
}

fn indices(subject: &Subject<'_>, study: &BatchStudy, limits: Option<&Limits>) -> Chart {
    let row = |name: &'static str, index: Option<Index>| IndexRow { name, index };
    let has_two = limits.is_some_and(|limits| limits.width().is_some());
    let mut rows = Vec::new();
    let mut n = study.summary.as_ref().map_or(0, |summary| summary.count);
    match &study.shape {
        StudyShape::Normal {
            overall, within, ..
        } => {
            for (names, found) in [
                (["Cp", "Cpk"], within.as_ref()),
                (["Pp", "Ppk"], Some(overall)),
            ] {
                let Some(found) = found else { continue };
                let known = found.as_ref().ok();
                if has_two {
                    rows.push(row(names[0], known.and_then(|one| one.spread)));
                }
                rows.push(row(names[1], known.map(|one| one.worst)));
            }
        }
        StudyShape::Bounded(found) => {
            let known = found.as_ref().ok();
            n = known.map_or(n, |known| known.n);
            rows.push(row("Ppk", known.map(|one| one.worst)));
        }
    }
    capability_chart(subject, &rows, n, ADVICE_CONFIDENCE)
}

/// Why there is no index.
fn no_index(study: &BatchStudy) -> Option<&StatisticsError> {
    match &study.shape {
        StudyShape::Normal {
            overall, within, ..
        } => {
            let within = within.as_ref().and_then(|found| found.as_ref().err());
            overall.as_ref().err().or(within)
        }
        StudyShape::Bounded(found) => found.as_ref().err(),
    }
}
