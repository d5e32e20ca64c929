//! The charts of one characteristic over the parts of a session: its row of numbers and its study,
//! from smallest steps to millimetres or degrees. Nothing is computed here but the unit.

use super::chart::Chart;
use super::chart_control::{Control, ControlRow, Controlled, control_chart};
use super::chart_run::{Break, RunPoint, run_chart, trend_chart};
use super::chart_shape::{Curve, IndexRow, capability_chart, histogram_chart};
use super::chart_subject::{Counted, Subject};
use super::chart_words::ChartWords;
use super::options::DecimalMark;
use crate::journal::ValueUnit;
use crate::measure::ADVICE_CONFIDENCE;
use crate::session::{
    BatchPoint, BatchSeries, BatchStudy, BreakKind, StudyShape, Target, TargetLimits,
};
use crate::statistics::{
    ControlLimits, Histogram, Index, Limits, Line, Signal, SignalTest, normal_cdf,
};

/// Smallest steps in a millimetre and in a degree.
const NM_IN_MM: f64 = 1e6;
const MAS_IN_DEGREE: f64 = 3_600_000.0;
/// Decimals of an angle in degrees.
const ANGLE_DECIMALS: usize = 4;

/// The share of parts below a size.
type Share = Box<dyn Fn(f64) -> f64>;

/// The charts that a characteristic has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BatchChart {
    /// Values over the parts, with limits of size.
    Run,
    /// Control charts of location and spread.
    Control,
    /// How the values lie.
    Histogram,
    /// Capability as intervals.
    Capability,
    /// The line through the row in force.
    Trend,
}

/// A chart of a characteristic, one or two; none for what has no sizes, such as a limit gauge's
/// answers.
pub fn batch_charts(
    kind: BatchChart,
    series: &BatchSeries,
    target: &Target,
    study: &BatchStudy,
    language: (&'static ChartWords, DecimalMark),
) -> Vec<Chart> {
    let named = [&target.feature, &target.callout, &target.name];
    let named: Vec<&str> = named.map(String::as_str).into();
    charts_titled(
        named.join(" ").trim(),
        kind,
        (series, target, study),
        language,
    )
}

/// The same under another title.
pub(super) fn charts_titled(
    title: &str,
    kind: BatchChart,
    (series, target, study): (&BatchSeries, &Target, &BatchStudy),
    language: (&'static ChartWords, DecimalMark),
) -> Vec<Chart> {
    let Some(scaled) = Scaled::of(series, target) else {
        return Vec::new();
    };
    let subject = Subject {
        title,
        unit: scaled.unit,
        decimals: scaled.decimals,
        decimal_mark: language.1,
        counted: Counted::Parts,
        words: language.0,
    };
    let limits = scaled.limits.as_ref();
    let run: Vec<RunPoint> = series
        .points()
        .iter()
        .map(|point| RunPoint {
            place: f64::from(point.part),
            value: scaled.value(point.value),
            is_in_doubt: point.is_in_doubt,
        })
        .collect();
    let breaks = breaks(series, language.0);
    match kind {
        BatchChart::Run => vec![run_chart(&subject, &run, limits, &breaks)],
        BatchChart::Control => control(&subject, series, study, &scaled, &breaks),
        BatchChart::Histogram => vec![spread(&subject, study, &scaled)],
        BatchChart::Capability => vec![indices(&subject, study, &scaled)],
        BatchChart::Trend => {
            let line = study.trend.as_ref().ok().map(|line| scaled.line(line));
            let level = ADVICE_CONFIDENCE;
            vec![trend_chart(
                &subject,
                &run,
                line.as_ref(),
                level,
                limits,
                &breaks,
            )]
        }
    }
}

/// From smallest steps to the unit that is shown.
pub(super) struct Scaled {
    per_unit: f64,
    unit: &'static str,
    decimals: usize,
    limits: Option<Limits>,
}

impl Scaled {
    /// Smallest steps in the unit that is shown, and its sign; none for what has no sizes.
    pub(super) fn unit_of(series: &BatchSeries) -> Option<(f64, &'static str)> {
        match series.unit {
            ValueUnit::Nanometre => Some((NM_IN_MM, "mm")),
            ValueUnit::Milliarcsecond => Some((MAS_IN_DEGREE, "°")),
            _ => None,
        }
    }

    fn of(series: &BatchSeries, target: &Target) -> Option<Self> {
        let (per_unit, unit) = Self::unit_of(series)?;
        let (lower, upper) = match &target.limits {
            TargetLimits::Length(limits) => (
                limits.lower().map(|limit| limit.as_nm()),
                limits.upper().map(|limit| limit.as_nm()),
            ),
            TargetLimits::Angle(limits) => (
                limits.lower().map(|limit| limit.as_mas()),
                limits.upper().map(|limit| limit.as_mas()),
            ),
            TargetLimits::Check(_) => return None,
        };
        let shown = |limit: Option<i64>| limit.map(|limit| limit as f64 / per_unit);
        Some(Self {
            per_unit,
            unit,
            decimals: Self::decimals_of(series),
            limits: Limits::new(shown(lower), shown(upper)).ok(),
        })
    }

    /// As many decimals as the finest gauge of the row shows.
    pub(super) fn decimals_of(series: &BatchSeries) -> usize {
        if series.unit == ValueUnit::Milliarcsecond {
            return ANGLE_DECIMALS;
        }
        let steps = series.points().iter().map(|point| point.step);
        let finest = steps.filter(|step| *step > 0).min().unwrap_or(1_000);
        let mut decimals = 0;
        let mut place = 1_000_000;
        while place > 1 && finest % place != 0 {
            place /= 10;
            decimals += 1;
        }
        decimals
    }

    fn value(&self, steps: i64) -> f64 {
        steps as f64 / self.per_unit
    }

    fn control(&self, limits: ControlLimits) -> ControlLimits {
        ControlLimits {
            lower: limits.lower / self.per_unit,
            centre: limits.centre / self.per_unit,
            upper: limits.upper / self.per_unit,
        }
    }

    /// The line over the same places.
    fn line(&self, line: &Line) -> Line {
        Line {
            intercept: line.intercept / self.per_unit,
            slope: line.slope / self.per_unit,
            residual_sd: line.residual_sd / self.per_unit,
            intercept_sd: line.intercept_sd / self.per_unit,
            slope_sd: line.slope_sd / self.per_unit,
            value_mean: line.value_mean / self.per_unit,
            ..*line
        }
    }
}

/// What happened between the parts; a part that was only put back changes no tool.
fn breaks(series: &BatchSeries, words: &ChartWords) -> Vec<Break> {
    let told = series.breaks().iter().filter_map(|one| {
        let name = match one.kind {
            BreakKind::ToolChanged => words.tool_changed,
            BreakKind::OffsetApplied(_) => words.offset_applied,
            BreakKind::PutBack => return None,
        };
        Some(Break {
            before: f64::from(one.before_part),
            name: name.to_owned(),
        })
    });
    told.collect()
}

fn control(
    subject: &Subject<'_>,
    series: &BatchSeries,
    study: &BatchStudy,
    scaled: &Scaled,
    breaks: &[Break],
) -> Vec<Chart> {
    let points = series.points();
    let places: Vec<f64> = points.iter().map(|point| f64::from(point.part)).collect();
    let values: Vec<f64> = points
        .iter()
        .map(|point| scaled.value(point.value))
        .collect();
    let numbered = || points.iter().enumerate();
    let signals = numbered().flat_map(|(point, one)| {
        let tests = one.signals.iter();
        tests.map(move |test| Signal { test, point })
    });
    let in_doubt = numbered().filter_map(|(at, point)| point.is_in_doubt.then_some(at));
    let with_limits = study.segments.iter().filter_map(|segment| {
        Some(ControlRow {
            from: f64::from(segment.from_part) - 0.5,
            limits: scaled.control(segment.limits?.location),
        })
    });
    let last = study.segments.last().and_then(|segment| segment.limits);
    let location = Control {
        shows: Controlled::Values,
        places: &places,
        values: &values,
        rows: &with_limits.collect::<Vec<ControlRow>>(),
        is_provisional: last.is_some_and(|limits| limits.is_provisional),
        in_doubt: &in_doubt.collect::<Vec<usize>>(),
        signals: &signals.collect::<Vec<Signal>>(),
        tests: Some(study.tests),
        breaks,
    };
    let mut charts = vec![control_chart(subject, &location)];
    charts.extend(spread_control(subject, series, study, scaled));
    charts
}

/// The spread of the row in force: of the points of each part, or from part to part.
fn spread_control(
    subject: &Subject<'_>,
    series: &BatchSeries,
    study: &BatchStudy,
    scaled: &Scaled,
) -> Option<Chart> {
    let counted = series.segment_points().iter();
    let counted: Vec<&BatchPoint> = counted.filter(|point| !point.is_in_doubt).collect();
    let part = |point: &BatchPoint| f64::from(point.part);
    let (shows, limits, spreads): (_, _, Vec<(f64, f64)>) = match &study.subgroups {
        Some(found) => (
            Controlled::Ranges,
            found,
            counted
                .iter()
                .map(|one| (part(one), scaled.value(one.largest - one.smallest)))
                .collect(),
        ),
        None => (
            Controlled::MovingRanges,
            &study.individuals,
            counted
                .windows(2)
                .map(|two| {
                    let apart = (two[1].value - two[0].value).abs();
                    (part(two[1]), scaled.value(apart))
                })
                .collect(),
        ),
    };
    let limits = scaled.control(limits.as_ref().ok()?.spread);
    let (places, values): (Vec<f64>, Vec<f64>) = spreads.into_iter().unzip();
    let beyond = limits.places_beyond(&values).into_iter();
    let beyond = beyond.map(|point| Signal {
        test: SignalTest::Beyond,
        point,
    });
    let control = Control {
        shows,
        places: &places,
        values: &values,
        rows: &[ControlRow { from: 0.0, limits }],
        is_provisional: false,
        in_doubt: &[],
        signals: &beyond.collect::<Vec<Signal>>(),
        tests: None,
        breaks: &[],
    };
    Some(control_chart(subject, &control))
}

fn spread(subject: &Subject<'_>, study: &BatchStudy, scaled: &Scaled) -> Chart {
    let found = study.histogram.as_ref().ok().map(|found| Histogram {
        start: found.start / scaled.per_unit,
        bin_width: found.bin_width / scaled.per_unit,
        ..found.clone()
    });
    let below: Option<(Share, bool)> = match &study.shape {
        StudyShape::Bounded(Ok(bounded)) => {
            let (model, per_unit) = (bounded.model, scaled.per_unit);
            Some((Box::new(move |x| model.shares(x * per_unit).0), true))
        }
        StudyShape::Bounded(Err(_)) => None,
        StudyShape::Normal { .. } => study.summary.as_ref().ok().and_then(|summary| {
            let mean = summary.mean / scaled.per_unit;
            let deviation = summary.standard_deviation? / scaled.per_unit;
            let share = move |x: f64| normal_cdf((x - mean) / deviation);
            (deviation > 0.0).then(|| (Box::new(share) as Share, false))
        }),
    };
    let curve = below.as_ref().map(|(share, is_bounded)| Curve {
        share_below: share,
        is_bounded: *is_bounded,
    });
    histogram_chart(subject, found.as_ref(), scaled.limits.as_ref(), curve)
}

fn indices(subject: &Subject<'_>, study: &BatchStudy, scaled: &Scaled) -> Chart {
    let row = |name: &'static str, index: Option<Index>| IndexRow { name, index };
    let has_two = scaled.limits.is_some_and(|limits| limits.width().is_some());
    let mut rows = Vec::new();
    let mut why = None;
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
                why = found.as_ref().err().or(why);
            }
        }
        StudyShape::Bounded(found) => {
            rows.push(row("Ppk", found.as_ref().ok().map(|one| one.worst)));
            why = found.as_ref().err();
        }
    }
    let count = study.summary.as_ref().map_or(0, |summary| summary.count);
    let mut chart = capability_chart(subject, &rows, count, ADVICE_CONFIDENCE);
    chart.notes.extend(why.map(ToString::to_string));
    chart
}
