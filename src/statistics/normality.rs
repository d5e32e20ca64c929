//! Whether a test for normal values means anything: readings that are too coarse fail it for no
//! reason of the process.

use super::StatisticsError;
use super::checked::{in_range, mean_and_sd};
use super::ordered::ascending;

/// How much rounding to steps adds to A2, over n (step/sd)^2: the integral of f^3/(F(1 - F)) / 12.
const RISE: f64 = 0.040_044_829_839_575_86;
/// The rise of A2 above which the tests do not count: there a test at 5 % fails normal values in
/// 8 to 11 of 100 samples (Anderson-Darling) or 6 to 9 (Shapiro-Wilk) instead of 5 (simulated with
/// numpy 2.4.6 at a rise of 0.107, 1500 samples each of 30 to 3000 values).
const RISE_MAX: f64 = 0.1;
/// Differences below this share of the range come from binary floats, not from the gauge.
const NO_STEP: f64 = 1e-9;

/// How fine the readings are against their spread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resolution {
    /// How many different values there are.
    pub distinct: usize,
    /// The step of the readings, as given or as the smallest difference found.
    pub step: f64,
    /// The step over the standard deviation.
    pub step_over_sd: f64,
    /// By how much the rounding alone raises A squared on average.
    pub rise: f64,
    /// Whether the tests for normal values say more about the gauge than about the process.
    pub too_coarse: bool,
}

/// Whether the readings are fine enough for a test of normal values.
///
/// Formula: rise of A2 = n (step/s)^2 I/12, I = integral of f^3/(F(1 - F)); too coarse above 0.1
/// Symbols: n number of values; s standard deviation; f, F normal density and distribution.
/// Valid:   2 values and more; step up to one standard deviation (above, it is too coarse anyway).
/// Rounding: none.
/// Source:  rounding moves the distribution by up to half a step times its density, evenly: own
///          derivation; the bound 0.1 by simulation, no source.
/// Checked: tests/logic/statistics_normality.rs (integral with mpmath 1.4.0).
/// Errors:  `NotFinite`, `TooFew`, `AllEqual`, `OutOfRange` (a step that is not above 0).
pub fn resolution(values: &[f64], step: Option<f64>) -> Result<Resolution, StatisticsError> {
    let (_, sd) = mean_and_sd(values)?;
    let sorted = ascending(values);
    let noise = NO_STEP * (sorted[sorted.len() - 1] - sorted[0]);
    let gaps = sorted.windows(2).map(|pair| pair[1] - pair[0]);
    let gaps: Vec<f64> = gaps.filter(|gap| *gap > noise).collect();
    let step = match step {
        Some(step) => {
            in_range(
                "step of the readings",
                step,
                f64::MIN_POSITIVE,
                1e150,
                "above 0",
            )?;
            step
        }
        None => gaps.iter().copied().fold(f64::INFINITY, f64::min),
    };
    let step_over_sd = step / sd;
    let rise = RISE * values.len() as f64 * step_over_sd * step_over_sd;
    Ok(Resolution {
        distinct: gaps.len() + 1,
        step,
        step_over_sd,
        rise,
        too_coarse: rise > RISE_MAX,
    })
}
