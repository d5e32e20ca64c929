//! Everything that is known of one characteristic over the parts, for a room, a command and a
//! report alike: numbers with their intervals, each of them or why there is none.

use super::batch::{BatchCounts, BatchSeries};
use super::batch_advice::{
    BatchAdvice, Circumstances, batch_advice, is_bounded_by_zero, performance, shape_limits,
};
use super::batch_point::BatchPoint;
use super::batch_running::BatchSegment;
use super::setup::Target;
use crate::journal::ValueUnit;
use crate::measure::ADVICE_CONFIDENCE;
use crate::quantity::Length;
use crate::statistics::{
    AndersonDarling, BoundedCapability, Capability, ChartLimits, Histogram, Line, Resolution,
    RunLengths, ShapiroWilk, Sides, Signals, StatisticsError, Summary, ToleranceInterval,
    anderson_darling, bounded_capability, capability_with, histogram, individuals_chart,
    mean_and_range_chart, number_of_bins, resolution, shapiro_wilk, sigma_by_moving_range,
    tolerance_interval,
};

/// A histogram has at most so many bins (chosen: more are no wider than a line).
const BINS_MOST: usize = 60;

/// A number, or why there is none.
pub type Known<T> = Result<T, StatisticsError>;

/// How a study is wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StudyOptions {
    /// Confidence of the intervals.
    pub confidence: f64,
    /// Share of all parts that the tolerance interval holds.
    pub share: f64,
    /// Bins of the histogram at most; none: as many as the list is worth, 60 at most.
    pub bins: Option<usize>,
    /// What advice rests on.
    pub with: Circumstances,
}

impl StudyOptions {
    /// 95 % confidence, 99 % of all parts (both chosen).
    pub fn usual(with: Circumstances) -> Self {
        Self {
            confidence: ADVICE_CONFIDENCE,
            share: 0.99,
            bins: None,
            with,
        }
    }
}

/// How the parts keep the limits. All numbers in smallest steps.
// There is one for each characteristic: a box would save nothing.
#[allow(clippy::large_enum_variant)]
#[derive(Debug, Clone, PartialEq)]
pub enum StudyShape {
    /// Taken as normal values.
    Normal {
        /// Performance (Pp, Ppk), from all values.
        overall: Known<Capability>,
        /// Capability (Cp, Cpk), from the moving ranges of the row in force; none where a part has
        /// several points, since they show its form and not what parts do from one to the next.
        within: Option<Known<Capability>>,
        /// Whether the values look normal, and whether the gauge is fine enough to ask.
        normality: Normality,
        /// Between which values that share of all parts lies.
        interval: Known<ToleranceInterval>,
    },
    /// Bounded by zero: never taken as normal.
    Bounded(Known<BoundedCapability>),
}

/// Tests for normal values; they say nothing where the resolution is too coarse.
#[derive(Debug, Clone, PartialEq)]
pub struct Normality {
    /// The gauge's step against the spread.
    pub resolution: Known<Resolution>,
    /// Test of Anderson and Darling.
    pub anderson_darling: Known<AndersonDarling>,
    /// Test of Shapiro and Wilk.
    pub shapiro_wilk: Known<ShapiroWilk>,
}

/// Everything of one characteristic. Numbers are in smallest steps.
#[derive(Debug, Clone, PartialEq)]
pub struct BatchStudy {
    /// What the numbers are.
    pub unit: ValueUnit,
    /// How it stands over the parts.
    pub counts: BatchCounts,
    /// Number, mean, standard deviation, least and largest of all values.
    pub summary: Known<Summary>,
    /// Rows between breaks, with the control limits that signals were looked for with.
    pub segments: Vec<BatchSegment>,
    /// Individuals and moving ranges of the parts' values in the row in force.
    pub individuals: Known<ChartLimits>,
    /// Means and ranges of the points of each part in the row in force, where there are several.
    pub subgroups: Option<Known<ChartLimits>>,
    /// The run lengths of the tests.
    pub tests: RunLengths,
    /// The parts with signals.
    pub signals: Vec<(u32, Signals)>,
    /// How the parts keep the limits.
    pub shape: StudyShape,
    /// All values in bins of whole steps.
    pub histogram: Known<Histogram>,
    /// The line through the row in force; its places are the parts' numbers.
    pub trend: Known<Line>,
    /// Width of the guard band at each limit, which the advice keeps away from it.
    pub guard: Length,
    /// What to do next.
    pub advice: BatchAdvice,
}

/// The study of a row. For what has no sizes every number says that it has none.
pub fn study(series: &BatchSeries, target: &Target, options: &StudyOptions) -> BatchStudy {
    let counted = || series.points().iter().filter(|point| !point.is_in_doubt);
    let values: Vec<f64> = counted()
        .flat_map(BatchPoint::values)
        .map(|value| *value as f64)
        .collect();
    let row: Vec<&BatchPoint> = series
        .segment_points()
        .iter()
        .filter(|point| !point.is_in_doubt)
        .collect();
    let parts: Vec<f64> = row.iter().map(|point| point.value as f64).collect();
    let step = counted().map(|point| point.step).max().unwrap_or(1) as f64;
    let signalled = series
        .points()
        .iter()
        .filter(|point| !point.signals.is_empty());
    let bins = options
        .bins
        .unwrap_or_else(|| number_of_bins(&values).unwrap_or(1).min(BINS_MOST));
    BatchStudy {
        unit: series.unit,
        counts: series.counts(),
        summary: series.summary(),
        segments: series.segments(),
        individuals: individuals_chart(&parts).map(|chart| chart.limits),
        subgroups: (target.points > 1).then(|| {
            // A part that was given up lacks points, and has no range beside the others.
            let wanted = usize::from(target.points);
            let whole = row.iter().filter(|point| point.values().len() == wanted);
            let groups: Vec<Vec<f64>> = whole
                .map(|point| point.values().iter().map(|value| *value as f64).collect())
                .collect();
            mean_and_range_chart(&groups).map(|chart| chart.limits)
        }),
        tests: series.lengths(),
        signals: signalled.map(|point| (point.part, point.signals)).collect(),
        shape: shape(series, target, options, (&values, &parts, step)),
        histogram: histogram(&values, step, bins),
        trend: series.line_sums().line(),
        guard: options.with.guard,
        advice: batch_advice(series, target, &options.with),
    }
}

fn shape(
    series: &BatchSeries,
    target: &Target,
    options: &StudyOptions,
    (values, parts, step): (&[f64], &[f64], f64),
) -> StudyShape {
    let limits = shape_limits(target);
    if is_bounded_by_zero(series, target) {
        let upper = limits.and_then(|limits| limits.upper().ok_or(StatisticsError::NoLimit));
        let found = upper.and_then(|upper| bounded_capability(values, upper, options.confidence));
        return StudyShape::Bounded(found);
    }
    let within = || {
        let sigma = sigma_by_moving_range(parts)?;
        let mean = parts.iter().sum::<f64>() / parts.len() as f64;
        capability_with(mean, parts.len(), &sigma, &limits?, options.confidence)
    };
    StudyShape::Normal {
        overall: performance(series, target, options.confidence),
        within: (target.points == 1).then(within),
        normality: Normality {
            resolution: resolution(values, Some(step)),
            anderson_darling: anderson_darling(values),
            shapiro_wilk: shapiro_wilk(values),
        },
        interval: tolerance_interval(values, Sides::Both, options.share, options.confidence),
    }
}
