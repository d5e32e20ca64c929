//! What one person can find out about a gauge: repeatability, bias, linearity, stability over days.

use super::StatisticsError;
use super::capability::cp_interval;
use super::checked::{
    confidence, enough, finite, finite_groups, in_range, mean_and_sd, mean_and_squares,
};
use super::fisher::student_two_tails;
use super::special::student_quantile;
use super::trend::{Line, fit_line};
use super::variance::{OneWay, one_way};
use super::within::sigma_pooled;

/// How far the readings of one thing scatter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeatability {
    /// The standard deviation of a single reading.
    pub sd: f64,
    /// Its degrees of freedom.
    pub degrees_of_freedom: f64,
    /// The interval of the standard deviation.
    pub interval: (f64, f64),
}

/// Repeated readings of one part, or of several without asking how these differ.
///
/// Formula: s = sqrt(sum of squared deviations from each part's mean/v); interval
///          s sqrt(v/q) for the chi-square quantiles q at (1 + c)/2 and (1 - c)/2
/// Symbols: v = readings - parts, degrees of freedom; c confidence.
/// Valid:   one part with two readings and more.
/// Rounding: none.
/// Source:  ISO 5725-2; interval: NIST/SEMATECH e-Handbook 7.2.3 (from memory).
/// Checked: tests/tables/variance.json.
/// Errors:  `NotFinite`, `TooFew`, `AllEqual` (the resolution hides the spread), `OutOfRange`.
pub fn repeatability<G: AsRef<[f64]>>(
    groups: &[G],
    confidence: f64,
) -> Result<Repeatability, StatisticsError> {
    let sigma = sigma_pooled(groups)?;
    let (low, high) = cp_interval(1.0, sigma.degrees_of_freedom, confidence)?;
    Ok(Repeatability {
        sd: sigma.value,
        degrees_of_freedom: sigma.degrees_of_freedom,
        interval: (sigma.value / high, sigma.value / low),
    })
}

/// How far the mean of repeated readings lies from a known value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bias {
    /// How many readings there are.
    pub n: usize,
    /// The mean reading less the known value.
    pub bias: f64,
    /// The standard deviation of the readings.
    pub sd: f64,
    /// The interval of the bias, without the uncertainty of the known value.
    pub interval: (f64, f64),
    /// The probability of such a bias by chance.
    pub p: f64,
}

impl Bias {
    /// Whether the bias is more than chance.
    pub fn is_significant(&self, confidence: f64) -> bool {
        self.p < 1.0 - confidence
    }
}

/// The bias of repeated readings of one reference.
///
/// Formula: b = mean - reference; interval b -/+ t s/sqrt(n)
/// Symbols: s standard deviation of n readings; t two-sided Student quantile, n - 1 degrees.
/// Valid:   2 readings and more.
/// Rounding: none.
/// Source:  ISO 22514-7 (from memory).
/// Checked: tests/tables/variance.json.
/// Errors:  `NotFinite`, `TooFew`, `AllEqual`, `OutOfRange`.
pub fn bias(readings: &[f64], reference: f64, confidence: f64) -> Result<Bias, StatisticsError> {
    self::confidence(confidence)?;
    in_range("reference", reference, -1e150, 1e150, "a finite number")?;
    let (_, sd) = mean_and_sd(readings)?;
    let away: Vec<f64> = readings.iter().map(|value| value - reference).collect();
    let (bias, _) = mean_and_squares(&away);
    let n = readings.len();
    let freedom = (n - 1) as f64;
    let of_mean = sd / (n as f64).sqrt();
    let half = student_quantile(0.5 + 0.5 * confidence, freedom)? * of_mean;
    Ok(Bias {
        n,
        bias,
        sd,
        interval: (bias - half, bias + half),
        p: student_two_tails(bias / of_mean, freedom)?,
    })
}

/// Whether a gauge's bias changes over its range.
#[derive(Debug, Clone, PartialEq)]
pub struct Linearity {
    /// The references.
    pub references: Vec<f64>,
    /// The mean bias at each reference.
    pub biases: Vec<f64>,
    /// The line of the single biases over the references.
    pub line: Line,
}

impl Linearity {
    /// Whether the slope may be chance and the line's interval holds zero at every reference.
    ///
    /// # Errors
    /// `OutOfRange` for a confidence outside 0.5 to 0.998.
    pub fn is_free_of_bias(&self, confidence: f64) -> Result<bool, StatisticsError> {
        for reference in &self.references {
            let found = self.line.predict(*reference, confidence)?;
            if found.value.abs() > found.line_half_width {
                return Ok(false);
            }
        }
        Ok(!self.line.is_significant(confidence))
    }
}

/// The bias over the references: a straight line through every single reading's bias.
///
/// Formula: as `fit_line`, x = reference, y = reading - reference
/// Symbols: see there.
/// Valid:   2 references and more, 3 readings and more.
/// Rounding: none.
/// Source:  ISO 22514-7 (from memory).
/// Checked: tests/tables/gauge_study.json (`linearity_five_parts`).
/// Errors:  `NotFinite`, `TooFew`, `Ragged`, `AllEqual` (one reference only).
pub fn linearity<G: AsRef<[f64]>>(
    references: &[f64],
    readings: &[G],
) -> Result<Linearity, StatisticsError> {
    same_length(references.len(), readings.len())?;
    finite(references)?;
    finite_groups(readings)?;
    let (mut places, mut away, mut biases) = (Vec::new(), Vec::new(), Vec::new());
    for (reference, group) in references.iter().zip(readings) {
        let group = group.as_ref();
        enough(group.len(), 1, "each reference")?;
        let from = away.len();
        places.extend(group.iter().map(|_| *reference));
        away.extend(group.iter().map(|value| value - reference));
        biases.push(mean_and_squares(&away[from..]).0);
    }
    Ok(Linearity {
        references: references.to_vec(),
        biases,
        line: fit_line(&places, &away)?,
    })
}

/// Whether a gauge reads the same thing the same way on every day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stability {
    /// Days against each other.
    pub days: OneWay,
    /// The line of the daily means over the days; none under three days.
    pub drift: Option<Line>,
    /// The standard deviation of a reading on a day not chosen: within and between days.
    pub sd: f64,
}

/// Repeated readings of one thing on several days.
///
/// Formula: one-way analysis of variance over days; s = sqrt(within^2 + between^2); drift: line
///          through the daily means
/// Symbols: within, between standard deviations within and between days.
/// Valid:   2 days and more, at least one day with two readings.
/// Rounding: none.
/// Source:  ISO 5725-2 (intermediate precision: between days).
/// Checked: tests/tables/variance.json.
/// Errors:  `NotFinite`, `TooFew`, `Ragged`, `AllEqual` (no spread, or the same day throughout).
pub fn stability<G: AsRef<[f64]>>(
    days: &[f64],
    readings: &[G],
) -> Result<Stability, StatisticsError> {
    same_length(days.len(), readings.len())?;
    finite(days)?;
    let found = one_way(readings)?;
    let means: Vec<f64> = readings
        .iter()
        .map(|group| mean_and_squares(group.as_ref()).0)
        .collect();
    let drift = if days.len() < 3 {
        None
    } else {
        Some(fit_line(days, &means)?)
    };
    Ok(Stability {
        days: found,
        drift,
        sd: found.within_sd.hypot(found.between_sd),
    })
}

fn same_length(found: usize, needed: usize) -> Result<(), StatisticsError> {
    if found == needed {
        return Ok(());
    }
    Err(StatisticsError::Ragged { found, needed })
}
