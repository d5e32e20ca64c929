//! What can be said of a list of values, and why something cannot.

use crate::statistics::{
    AndersonDarling, BoundedCapability, Capability, ControlChart, Limits, Line,
    PercentilePerformance, Resolution, RunLengths, SUBGROUP_SIZE_MAX, ShapiroWilk, Sides, Sigma,
    Signal, StatisticsError, Summary, ToleranceInterval, anderson_darling, bounded_capability,
    capability, capability_with, individuals_chart, mean_and_deviation_chart, mean_and_range_chart,
    percentile_performance, resolution, shapiro_wilk, sigma_by_deviation, sigma_by_moving_range,
    sigma_by_range, signals, summary, tolerance_interval, trend,
};

/// The level of every interval.
pub(super) const CONFIDENCE: f64 = 0.95;
/// The share of parts of the tolerance interval: what three standard deviations to each side hold.
pub(super) const SHARE: f64 = 0.9973;
/// Larger subgroups are charted by their standard deviations: a range wastes what is known of them
/// (common practice, no source).
const RANGES_UP_TO: usize = 10;

const ALONE: &str = "One value shows no spread: there is no capability, no control limit, no \
                     trend.";
const FEW: &str = "Fewer than 30 values: the interval of an index says something, a single number \
                   does not.";
const AT_ZERO: &str = "The values end at zero: they are not treated as normal, and Ppk alone is told. \
                       Control limits and signals are rough for them.";
const TOO_COARSE: &str = "The readings are too coarse for a test of normal values: it would fail \
                          for the steps of the gauge alone.";

/// What is asked of a list.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked {
    pub(super) limits: Option<Limits>,
    /// Values in each subgroup; none: single values.
    pub(super) subgroup: Option<usize>,
    pub(super) lengths: RunLengths,
    /// Whether the values cannot be below zero.
    pub(super) is_bounded: bool,
    /// The step of the readings.
    pub(super) step: f64,
}

/// How a control chart is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ChartKind {
    Individuals,
    MeanAndRange,
    MeanAndDeviation,
}

impl ChartKind {
    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Individuals => "individuals_and_moving_range",
            Self::MeanAndRange => "mean_and_range",
            Self::MeanAndDeviation => "mean_and_deviation",
        }
    }
}

/// A control chart with its signals.
#[derive(Debug, Clone)]
pub(super) struct Controlled {
    pub(super) kind: ChartKind,
    pub(super) chart: ControlChart,
    /// Of the chart of location.
    pub(super) signals: Vec<Signal>,
    /// Points of the chart of spread beyond its limits, from 0.
    pub(super) spread_beyond: Vec<usize>,
}

/// Everything that is said of a list; what is none has a note that says why.
#[derive(Debug, Clone)]
pub(super) struct ListStudy {
    pub(super) summary: Summary,
    /// Cp and Cpk.
    pub(super) within: Option<Capability>,
    /// Pp and Ppk.
    pub(super) overall: Option<Capability>,
    /// Ppk of values that end at zero.
    pub(super) bounded: Option<BoundedCapability>,
    /// Pp and Ppk without any distribution, of very many values.
    pub(super) percentile: Option<PercentilePerformance>,
    pub(super) sigma: Option<Sigma>,
    pub(super) anderson_darling: Option<AndersonDarling>,
    pub(super) shapiro_wilk: Option<ShapiroWilk>,
    pub(super) resolution: Option<Resolution>,
    pub(super) tolerance: Option<ToleranceInterval>,
    pub(super) control: Option<Controlled>,
    pub(super) trend: Option<Line>,
    /// Values below the lower and above the upper limit.
    pub(super) outside: (usize, usize),
    pub(super) notes: Vec<String>,
}

impl ListStudy {
    /// Studies a list.
    ///
    /// # Errors
    /// What no list may have: no value, a value that is no number, subgroups that are not full, a
    /// value below zero where that is said to be the end.
    pub(super) fn of(values: &[f64], asked: &Asked) -> Result<Self, StatisticsError> {
        let summary = summary(values)?;
        check_subgroups(values, asked.subgroup)?;
        if let Some(index) = values.iter().position(|value| *value < 0.0)
            && asked.is_bounded
        {
            return Err(StatisticsError::BelowZero { index });
        }
        let mut notes = Notes::default();
        let control = match summary.count {
            1 => {
                notes.say(ALONE);
                None
            }
            _ => notes.kept("Control chart", control(values, asked)),
        };
        let sigma = match summary.count {
            0..3 => None,
            _ => notes.kept("Spread from one to the next", sigma(values, asked.subgroup)),
        };
        let trend = match summary.count {
            0..3 => None,
            _ => notes.kept("Trend", trend(values)),
        };
        let mut study = Self {
            summary,
            within: None,
            overall: None,
            bounded: None,
            percentile: None,
            sigma,
            anderson_darling: None,
            shapiro_wilk: None,
            resolution: None,
            tolerance: None,
            control,
            trend,
            outside: outside(values, asked.limits.as_ref()),
            notes: Vec::new(),
        };
        study.capabilities(values, asked, &mut notes);
        study.distribution(values, asked, &mut notes);
        study.notes = notes.0;
        Ok(study)
    }

    fn capabilities(&mut self, values: &[f64], asked: &Asked, notes: &mut Notes) {
        if self.summary.count == 1 {
            return;
        }
        let Some(limits) = asked.limits else {
            notes.say("No limit is given: there is no capability.");
            return;
        };
        if asked.is_bounded {
            self.bounded_by_zero(values, limits, notes);
            return;
        }
        let overall = capability(values, &limits, CONFIDENCE);
        self.overall = notes.kept("Capability", overall);
        if let (Some(sigma), Some(overall)) = (self.sigma, self.overall) {
            let found = capability_with(overall.mean, values.len(), &sigma, &limits, CONFIDENCE);
            self.within = notes.kept("Capability from one to the next", found);
        }
        if self.overall.is_some_and(|one| one.worst.estimate.is_none()) {
            notes.say(FEW);
        }
        // It needs thousands of values; nothing is missing where there are fewer.
        self.percentile = percentile_performance(values, &limits, CONFIDENCE).ok();
    }

    fn bounded_by_zero(&mut self, values: &[f64], limits: Limits, notes: &mut Notes) {
        notes.say(AT_ZERO);
        let Some(upper) = limits.upper() else {
            notes.say("No upper limit is given: values that end at zero need one for Ppk.");
            return;
        };
        let found = bounded_capability(values, upper, CONFIDENCE);
        self.bounded = notes.kept("Capability", found);
    }

    fn distribution(&mut self, values: &[f64], asked: &Asked, notes: &mut Notes) {
        if self.summary.max <= self.summary.min {
            return;
        }
        if values.len() >= 8 && !asked.is_bounded {
            self.anderson_darling = notes.kept("Anderson-Darling", anderson_darling(values));
        }
        if values.len() >= 3 && !asked.is_bounded {
            self.shapiro_wilk = notes.kept("Shapiro-Wilk", shapiro_wilk(values));
        }
        self.resolution = resolution(values, Some(asked.step)).ok();
        if self.resolution.is_some_and(|found| found.too_coarse) && !asked.is_bounded {
            notes.say(TOO_COARSE);
        }
        if !asked.is_bounded {
            let sides = match (
                asked.limits.and_then(|limits| limits.lower()),
                asked.limits.and_then(|limits| limits.upper()),
            ) {
                (Some(_), None) => Sides::Lower,
                (None, Some(_)) => Sides::Upper,
                _ => Sides::Both,
            };
            let found = tolerance_interval(values, sides, SHARE, CONFIDENCE);
            self.tolerance = notes.kept("Tolerance interval", found);
        }
    }
}

/// Sentences about what is missing.
#[derive(Debug, Default)]
struct Notes(Vec<String>);

impl Notes {
    fn say(&mut self, sentence: &str) {
        self.0.push(sentence.to_owned());
    }

    /// What was found, or a note of why it was not. The same reason is said once.
    fn kept<T>(&mut self, of: &str, found: Result<T, StatisticsError>) -> Option<T> {
        match found {
            Ok(found) => Some(found),
            Err(StatisticsError::AllEqual) => {
                let sentence = StatisticsError::AllEqual.to_string();
                if !self.0.contains(&sentence) {
                    self.0.push(sentence);
                }
                None
            }
            Err(error) => {
                self.0.push(format!("{of}: {error}"));
                None
            }
        }
    }
}

fn check_subgroups(values: &[f64], size: Option<usize>) -> Result<(), StatisticsError> {
    let Some(size) = size else { return Ok(()) };
    if !(2..=SUBGROUP_SIZE_MAX).contains(&size) {
        return Err(StatisticsError::OutOfRange {
            name: "size of the subgroups",
            found: size as f64,
            allowed: "from 2 to 25",
        });
    }
    match values.len() % size {
        0 => Ok(()),
        found => Err(StatisticsError::UnevenSubgroup {
            index: values.len() / size,
            found,
            needed: size,
        }),
    }
}

fn outside(values: &[f64], limits: Option<&Limits>) -> (usize, usize) {
    let lower = limits.and_then(Limits::lower);
    let upper = limits.and_then(Limits::upper);
    let below = values.iter().filter(|y| lower.is_some_and(|l| **y < l));
    let above = values.iter().filter(|y| upper.is_some_and(|u| **y > u));
    (below.count(), above.count())
}

/// The control chart of a list with its signals; without a spread there are limits and no signals.
pub(super) fn control(values: &[f64], asked: &Asked) -> Result<Controlled, StatisticsError> {
    let (kind, chart) = match asked.subgroup {
        None => (ChartKind::Individuals, individuals_chart(values)?),
        Some(size) => {
            let groups: Vec<&[f64]> = values.chunks(size).collect();
            match size <= RANGES_UP_TO {
                true => (ChartKind::MeanAndRange, mean_and_range_chart(&groups)?),
                false => (
                    ChartKind::MeanAndDeviation,
                    mean_and_deviation_chart(&groups)?,
                ),
            }
        }
    };
    let mut chart = chart;
    let location = chart.limits.location;
    let deviation = (location.upper - location.centre) / 3.0;
    let found = match signals(&chart.locations, asked.lengths, location.centre, deviation) {
        Err(StatisticsError::AllEqual) => Vec::new(),
        found => found?,
    };
    if asked.is_bounded {
        // No value can lie below zero.
        chart.limits.location.lower = location.lower.max(0.0);
    }
    Ok(Controlled {
        kind,
        spread_beyond: chart.limits.spread.places_beyond(&chart.spreads),
        chart,
        signals: found,
    })
}

/// The standard deviation from one to the next, as the control chart has it.
fn sigma(values: &[f64], subgroup: Option<usize>) -> Result<Sigma, StatisticsError> {
    match subgroup {
        None => sigma_by_moving_range(values),
        Some(size) => {
            let groups: Vec<&[f64]> = values.chunks(size).collect();
            match size <= RANGES_UP_TO {
                true => sigma_by_range(&groups),
                false => sigma_by_deviation(&groups),
            }
        }
    }
}
