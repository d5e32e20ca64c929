//! One-way analysis of variance: whether groups differ by more than what happens within them.

use super::StatisticsError;
use super::checked::{all_equal, enough, enough_of, finite, mean_and_squares, sum};
use super::fisher::fisher_upper_tail;

/// How much of the spread lies between groups, and whether that may be chance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneWay {
    /// How many groups there are.
    pub groups: usize,
    /// How many values there are.
    pub n: usize,
    /// The mean of all values.
    pub mean: f64,
    /// Sum of squares between the groups.
    pub between_squares: f64,
    /// Sum of squares within the groups.
    pub within_squares: f64,
    /// Degrees of freedom between the groups.
    pub between_freedom: f64,
    /// Degrees of freedom within the groups.
    pub within_freedom: f64,
    /// The ratio of both mean squares; infinite where nothing varies within the groups.
    pub ratio: f64,
    /// The probability that groups without a difference give such a ratio.
    pub p: f64,
    /// The share of the sum of squares that lies between the groups.
    pub r_squared: f64,
    /// The standard deviation within the groups.
    pub within_sd: f64,
    /// The standard deviation of the groups' true means; 0 where they differ by less than chance
    /// makes them.
    pub between_sd: f64,
}

/// One-way analysis of variance.
///
/// Formula: between = sum n_i (m_i - m)^2/(k - 1); within = sum (x - m_i)^2/(n - k); F their ratio;
///          variance of the groups (between - within)/n0, n0 = (n - sum n_i^2/n)/(k - 1)
/// Symbols: k groups of n_i values with means m_i; n values with mean m.
/// Valid:   2 groups and more, at least one value in each, at least one more than groups.
/// Rounding: none; deviations from a common value, so a large common part costs no digits.
/// Source:  NIST/SEMATECH e-Handbook 7.4.3 (from memory); n0: ISO 5725-2.
/// Checked: tests/tables/strd_anova.json (NIST StRD `SiRstvt`), tests/tables/variance.json.
/// Errors:  `NotFinite` (counted over all values in order), `TooFew`, `AllEqual`.
pub fn one_way<G: AsRef<[f64]>>(groups: &[G]) -> Result<OneWay, StatisticsError> {
    let all: Vec<f64> = groups
        .iter()
        .flat_map(|group| group.as_ref())
        .copied()
        .collect();
    finite(&all)?;
    let (k, n) = (groups.len(), all.len());
    enough_of("group", k, 2, "a comparison of groups")?;
    enough(n, k + 1, "a comparison of groups")?;
    for group in groups {
        enough(group.as_ref().len(), 1, "each group")?;
    }
    if all_equal(&all) {
        return Err(StatisticsError::AllEqual);
    }
    // Relative to the first value, which leaves the differences exact or nearly so.
    let origin = all[0];
    let moved =
        |group: &G| -> Vec<f64> { group.as_ref().iter().map(|value| value - origin).collect() };
    let moments: Vec<(f64, f64, f64)> = groups
        .iter()
        .map(|group| {
            let (mean, squares) = mean_and_squares(&moved(group));
            (group.as_ref().len() as f64, mean, squares)
        })
        .collect();
    let size = n as f64;
    let mean = sum(moments.iter().map(|(n, mean, _)| n * mean)) / size;
    let between_squares = sum(moments.iter().map(|(n, m, _)| n * (m - mean) * (m - mean)));
    let within_squares = sum(moments.iter().map(|(_, _, squares)| *squares));
    let (between_freedom, within_freedom) = ((k - 1) as f64, (n - k) as f64);
    let between = between_squares / between_freedom;
    let within = within_squares / within_freedom;
    let ratio = if within > 0.0 {
        between / within
    } else {
        f64::INFINITY
    };
    let squares_of_sizes = sum(moments.iter().map(|(n, _, _)| n * n));
    let typical = (size - squares_of_sizes / size) / between_freedom;
    Ok(OneWay {
        groups: k,
        n,
        mean: origin + mean,
        between_squares,
        within_squares,
        between_freedom,
        within_freedom,
        ratio,
        p: fisher_upper_tail(ratio, between_freedom, within_freedom)?,
        r_squared: between_squares / (between_squares + within_squares),
        within_sd: within.sqrt(),
        between_sd: ((between - within) / typical).max(0.0).sqrt(),
    })
}
