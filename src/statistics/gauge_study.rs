//! A crossed gauge study: how much of the spread the gauge makes, and how much its users.

use super::StatisticsError;
use super::checked::{enough_of, finite, in_range, sum};
use super::gauge_study_factors::range_factors;
use super::within::range;

/// Standard deviations that a gauge's share of the tolerance is taken over (ISO 22514-7, from
/// memory; older texts: 5.15).
pub const OF_TOLERANCE: f64 = 6.0;
/// The share of a tolerance, or of a spread, up to which a gauge is good (common practice, no
/// source).
pub const SHARE_GOOD: f64 = 0.10;
/// The share above which it is not acceptable (common practice, no source).
pub const SHARE_ACCEPTABLE: f64 = 0.30;
/// Categories of parts that a gauge is wanted to tell apart (common practice, no source).
pub const CATEGORIES_WANTED: u32 = 5;
/// Deviations of the parts over those of the gauge that make one category: sqrt(2), cut.
const OF_CATEGORY: f64 = 1.41;
/// The most readings of a cell whose range still uses what is known.
const TRIALS_MAX: usize = 25;

/// Readings of every part by every operator, the same number of times.
#[derive(Debug, Clone, PartialEq)]
pub struct Crossed {
    parts: usize,
    operators: usize,
    trials: usize,
    values: Vec<f64>,
}

impl Crossed {
    /// The study from its readings: all trials of the first part by the first operator, then by
    /// the second operator, and so on; then the second part.
    ///
    /// # Errors
    /// `TooFew` under 2 parts, 2 operators or 2 trials (one operator: `repeatability`), `Ragged`
    /// where readings are missing or too many, `NotFinite`.
    pub fn new(
        parts: usize,
        operators: usize,
        trials: usize,
        values: &[f64],
    ) -> Result<Self, StatisticsError> {
        let study = "a gauge study of parts and operators";
        enough_of("part", parts, 2, study)?;
        enough_of("operator", operators, 2, study)?;
        enough_of("repetition", trials, 2, study)?;
        let needed = parts.saturating_mul(operators).saturating_mul(trials);
        if values.len() != needed {
            return Err(StatisticsError::Ragged {
                found: values.len(),
                needed,
            });
        }
        finite(values)?;
        Ok(Self {
            parts,
            operators,
            trials,
            values: values.to_vec(),
        })
    }

    /// How many parts were measured.
    pub fn parts(&self) -> usize {
        self.parts
    }

    /// How many people measured.
    pub fn operators(&self) -> usize {
        self.operators
    }

    /// How often each measured each part.
    pub fn trials(&self) -> usize {
        self.trials
    }

    /// The readings of one part by one operator, both counted from 0; empty where there is none.
    pub fn cell(&self, part: usize, operator: usize) -> &[f64] {
        if part >= self.parts || operator >= self.operators {
            return &[];
        }
        let from = (part * self.operators + operator) * self.trials;
        &self.values[from..from + self.trials]
    }

    /// All readings, part by part.
    pub(super) fn values(&self) -> &[f64] {
        &self.values
    }

    pub(super) fn mean_of_part(&self, part: usize) -> f64 {
        let size = self.operators * self.trials;
        mean(&self.values[part * size..(part + 1) * size])
    }

    pub(super) fn mean_of_operator(&self, operator: usize) -> f64 {
        let cells = (0..self.parts).map(|part| mean(self.cell(part, operator)));
        sum(cells) / self.parts as f64
    }
}

/// The mean, relative to the first value.
pub(super) fn mean(values: &[f64]) -> f64 {
    super::checked::mean_and_squares(values).0
}

/// What common practice says of a gauge's share.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShareJudged {
    /// Up to [`SHARE_GOOD`].
    Good,
    /// Up to [`SHARE_ACCEPTABLE`].
    Acceptable,
    /// Above it.
    NotAcceptable,
}

impl ShareJudged {
    /// What is said of that share.
    pub fn of(share: f64) -> Self {
        match share {
            share if share <= SHARE_GOOD => Self::Good,
            share if share <= SHARE_ACCEPTABLE => Self::Acceptable,
            _ => Self::NotAcceptable,
        }
    }
}

/// The share of a tolerance that a standard deviation takes.
///
/// Formula: 6 s/tolerance
/// Symbols: s standard deviation; tolerance the width of the limits.
/// Valid:   every tolerance above 0.
/// Rounding: none.
/// Source:  ISO 22514-7 (from memory).
/// Checked: tests/logic/statistics_variance.rs.
/// Errors:  `OutOfRange`.
pub fn share_of_tolerance(sd: f64, tolerance: f64) -> Result<f64, StatisticsError> {
    in_range(
        "tolerance",
        tolerance,
        f64::MIN_POSITIVE,
        f64::MAX,
        "above 0",
    )?;
    Ok(OF_TOLERANCE * sd / tolerance)
}

/// The standard deviations that a gauge study separates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Components {
    /// One person's readings of one part: equipment variation.
    pub repeatability: f64,
    /// Between persons: appraiser variation.
    pub reproducibility: f64,
    /// Both together: the gauge as it is used.
    pub gauge: f64,
    /// Between the parts.
    pub part: f64,
    /// All together.
    pub total: f64,
}

impl Components {
    /// The components with their sums.
    pub(super) fn new(repeatability: f64, reproducibility: f64, part: f64) -> Self {
        let gauge = repeatability.hypot(reproducibility);
        Self {
            repeatability,
            reproducibility,
            gauge,
            part,
            total: gauge.hypot(part),
        }
    }

    /// The gauge's share of the spread of all readings; none where nothing varies.
    pub fn share_of_variation(&self) -> Option<f64> {
        (self.total > 0.0).then(|| self.gauge / self.total)
    }

    /// The gauge's share of a tolerance: [`share_of_tolerance`] of its standard deviation.
    ///
    /// # Errors
    /// As there.
    pub fn share_of_tolerance(&self, tolerance: f64) -> Result<f64, StatisticsError> {
        share_of_tolerance(self.gauge, tolerance)
    }

    /// How many categories of parts the gauge tells apart, before cutting to a whole number; none
    /// where the gauge shows no spread at all.
    ///
    /// Formula: 1.41 part/gauge
    /// Symbols: standard deviations between parts and of the gauge.
    /// Valid:   gauge above 0.
    /// Rounding: none here; `distinct_categories` cuts down.
    /// Source:  published measurement-systems reference manual (from memory); [`CATEGORIES_WANTED`]
    ///          or more are wanted (common practice).
    /// Checked: tests/tables/gauge_study.json.
    /// Errors:  none.
    pub fn categories(&self) -> Option<f64> {
        (self.gauge > 0.0).then(|| OF_CATEGORY * self.part / self.gauge)
    }

    /// How many categories of parts the gauge tells apart, cut down to a whole number.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn distinct_categories(&self) -> Option<u32> {
        Some(self.categories()?.min(1e6) as u32)
    }
}

/// A gauge study by averages and ranges.
#[derive(Debug, Clone, PartialEq)]
pub struct AverageAndRange {
    /// The mean range of each operator.
    pub mean_ranges: Vec<f64>,
    /// The mean reading of each operator.
    pub means: Vec<f64>,
    /// The mean of all ranges.
    pub mean_range: f64,
    /// The limit above which a range is no chance.
    pub range_limit: f64,
    /// The cells (part, operator) whose range lies above it: to be measured again.
    pub wild: Vec<(usize, usize)>,
    /// The largest mean of an operator less the smallest.
    pub difference_of_means: f64,
    /// The largest mean of a part less the smallest.
    pub range_of_parts: f64,
    /// The standard deviations.
    pub components: Components,
}

/// A crossed study by averages and ranges.
///
/// Formula: EV = R K1; AV = sqrt((X K2)^2 - EV^2/(p r)), 0 where negative; PV = Rp K3;
///          K1 = 1/d2(r); K2 = 1/d2*(1, o), K3 = 1/d2*(1, p); limit of ranges R D4
/// Symbols: p parts, o operators, r trials; R mean range; X, Rp range of the operators' and the
///          parts' means.
/// Valid:   2 to 25 trials, 2 to 1000 parts and operators.
/// Rounding: none; published constants have four digits, so expect differences of 1e-4.
/// Source:  published measurement-systems reference manual (from memory); factors by integration.
/// Checked: tests/tables/gauge_study.json.
/// Errors:  `OutOfRange`.
pub fn average_and_range(study: &Crossed) -> Result<AverageAndRange, StatisticsError> {
    let (parts, operators, trials) = (study.parts, study.operators, study.trials);
    in_range(
        "number of trials",
        trials as f64,
        2.0,
        TRIALS_MAX as f64,
        "2 to 25",
    )?;
    let of_trials = range_factors(trials)?;
    let ranges = |operator: usize| (0..parts).map(move |part| range(study.cell(part, operator)));
    let mean_ranges: Vec<f64> = (0..operators)
        .map(|operator| sum(ranges(operator)) / parts as f64)
        .collect();
    let mean_range = sum(mean_ranges.iter().copied()) / operators as f64;
    let range_limit = of_trials.upper_limit() * mean_range;
    let cells = (0..parts).flat_map(|part| (0..operators).map(move |at| (part, at)));
    let wild = cells
        .filter(|(part, operator)| range(study.cell(*part, *operator)) > range_limit)
        .collect();
    let means: Vec<f64> = (0..operators)
        .map(|at| study.mean_of_operator(at))
        .collect();
    let of_parts: Vec<f64> = (0..parts).map(|at| study.mean_of_part(at)).collect();
    let (difference_of_means, range_of_parts) = (range(&means), range(&of_parts));
    let repeatability = mean_range / of_trials.d2;
    let between = difference_of_means / range_factors(operators)?.for_groups(1);
    let by_chance = repeatability * repeatability / (parts * trials) as f64;
    let reproducibility = (between * between - by_chance).max(0.0).sqrt();
    let part = range_of_parts / range_factors(parts)?.for_groups(1);
    Ok(AverageAndRange {
        mean_ranges,
        means,
        mean_range,
        range_limit,
        wild,
        difference_of_means,
        range_of_parts,
        components: Components::new(repeatability, reproducibility, part),
    })
}
