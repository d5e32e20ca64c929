//! How far the standard deviations of a crossed gauge study may lie from the truth.

use super::StatisticsError;
use super::capability::cp_interval;
use super::gauge_study_variance::{Source, VarianceStudy};

/// The intervals of those standard deviations that are sums of mean squares. The operators alone
/// and the parts alone are differences of mean squares: no interval is given for them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StudyIntervals {
    /// Of the repeatability.
    pub repeatability: (f64, f64),
    /// Of the gauge as it is used: repeatability and operators together.
    pub gauge: (f64, f64),
    /// Of all together.
    pub total: (f64, f64),
}

/// Intervals of a gauge study by analysis of variance.
///
/// Formula: s^2 = sum of c M; lower s^2 - sqrt(sum of (G c M)^2), upper s^2 + sqrt(sum of
///          (H c M)^2), roots of both; G = 1 - v/q((1 + C)/2), H = v/q((1 - C)/2) - 1. Gauge: M of
///          operators 1/(p r), of the interaction (p - 1)/(p r), of the repeatability (r - 1)/r;
///          total: also M of parts 1/(o r), and of the interaction (p o - p - o)/(p o r). Pooled:
///          the pooled mean square takes both places.
/// Symbols: M mean squares with v degrees of freedom each; q chi-square quantile; C confidence;
///          p parts, o operators, r trials.
/// Valid:   readings, parts and operators normally distributed; approximate, but exact for one M.
///          A component that was cut at 0 is not cut here.
/// Rounding: none.
/// Source:  F. A. Graybill, C.-M. Wang, Journal of the American Statistical Association 75 (1980)
///          869; for gauge studies R. K. Burdick, C. M. Borror, D. C. Montgomery, Design and
///          Analysis of Gauge R&R Studies, 2005 (both from memory).
/// Checked: tests/logic/statistics_study_interval.rs (computed apart, and by made studies).
/// Errors:  `OutOfRange`.
pub fn study_intervals(
    study: &VarianceStudy,
    confidence: f64,
) -> Result<StudyIntervals, StatisticsError> {
    let (p, o) = (study.parts.freedom + 1.0, study.operators.freedom + 1.0);
    let r = study.repeatability.freedom / (p * o) + 1.0;
    // What stands for repeated readings, and for operators who differ from part to part.
    let (error, mixed) = match study.pooled {
        true => (study.repeatability.with(study.interaction), None),
        false => (study.repeatability, Some(study.interaction)),
    };
    let sum = |operators: f64, parts: f64, interaction: f64| {
        let repeated = 1.0 - 1.0 / r;
        let mut terms = vec![(operators, study.operators), (parts, study.parts)];
        match mixed {
            Some(mixed) => terms.extend([(interaction, mixed), (repeated, error)]),
            None => terms.push((interaction + repeated, error)),
        }
        interval(&terms, confidence)
    };
    let (of_operators, of_parts) = (1.0 / (p * r), 1.0 / (o * r));
    Ok(StudyIntervals {
        repeatability: interval(&[(1.0, error)], confidence)?,
        gauge: sum(of_operators, 0.0, 1.0 / r - of_operators)?,
        total: sum(of_operators, of_parts, 1.0 / r - of_operators - of_parts)?,
    })
}

/// The interval of the root of a sum of mean squares, each with its factor.
fn interval(terms: &[(f64, Source)], confidence: f64) -> Result<(f64, f64), StatisticsError> {
    let (mut whole, mut below, mut above) = (0.0, 0.0, 0.0);
    for (factor, source) in terms.iter().filter(|(factor, _)| *factor > 0.0) {
        let (low, high) = cp_interval(1.0, source.freedom, confidence)?;
        let part = factor * source.mean_square();
        whole += part;
        below += ((1.0 - high.powi(-2)) * part).powi(2);
        above += ((low.powi(-2) - 1.0) * part).powi(2);
    }
    let root = |square: f64| square.max(0.0).sqrt();
    Ok((root(whole - below.sqrt()), root(whole + above.sqrt())))
}
