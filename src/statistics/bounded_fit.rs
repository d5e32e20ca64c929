//! Capability of a characteristic that is bounded by zero: the model that fits best, never a
//! normal distribution.

use super::StatisticsError;
use super::bounded::BoundedModel;
use super::capability::{Index, Limits};
use super::capability_percentile::{Quantiles, known_indices};
use super::checked::{confidence, enough, in_range, mean_and_sd, mean_and_squares, sum_of};
use super::numeric::zero_between;
use super::special::student_quantile;

/// Fewer values do not choose between models (common practice, no source).
const VALUES_MIN: usize = 10;
/// A location below this share of the root mean square is not told from zero.
const LOCATION_MIN: f64 = 1e-3;
/// A model that loses no more than this in log-likelihood less parameters is not excluded
/// (common practice for Akaike's criterion, no source).
const NEARLY: f64 = 2.0;
/// The step of a numeric derivative, in spreads and in logarithms.
const STEP: f64 = 1e-3;

/// How a characteristic that cannot be below zero keeps its upper limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoundedCapability {
    /// How many values there are.
    pub n: usize,
    /// The model that fits best.
    pub model: BoundedModel,
    /// Its quantiles.
    pub quantiles: Quantiles,
    /// The room above the middle over what the model takes there, Ppk.
    pub worst: Index,
    /// The share of parts above the limit.
    pub outside: f64,
    /// The confidence level of the interval.
    pub confidence: f64,
}

/// Fits the models of amounts and takes the likeliest.
///
/// Formula: greatest log-likelihood less the number of parameters (Akaike) among half normal,
///          folded normal, Rayleigh and, where no value is 0, log-normal
/// Symbols: the likelihood of all values.
/// Valid:   10 values and more, none below zero, not all the same.
/// Rounding: none.
/// Source:  maximum likelihood; folded normal: F. C. Leone, L. S. Nelson, R. B. Nottingham,
///          Technometrics 3 (1961) 543-550 (the model; from memory).
/// Checked: tests/tables/bounded_fits.json.
/// Errors:  `NotFinite`, `BelowZero`, `TooFew`, `AllEqual`.
pub fn fit_bounded(values: &[f64]) -> Result<BoundedModel, StatisticsError> {
    let models = likely_models(values)?;
    models
        .first()
        .map(|first| first.0)
        .ok_or(StatisticsError::AllEqual)
}

/// The models nearly as likely as the best, the best first, with their worth.
fn likely_models(values: &[f64]) -> Result<Vec<(BoundedModel, f64)>, StatisticsError> {
    enough(values.len(), VALUES_MIN, "a model bounded by zero")?;
    let _ = mean_and_sd(values)?;
    if let Some(index) = values.iter().position(|value| *value < 0.0) {
        return Err(StatisticsError::BelowZero { index });
    }
    let n = values.len() as f64;
    let square = sum_of(values, |value| value * value) / n;
    let half_normal = BoundedModel::FoldedNormal {
        location: 0.0,
        sigma: square.sqrt(),
    };
    let mut models = vec![half_normal.checked()?];
    models.extend(folded(values, square)?);
    if values.iter().all(|value| *value > 0.0) {
        let logarithms: Vec<f64> = values.iter().map(|value| value.ln()).collect();
        let (mu, squares) = mean_and_squares(&logarithms);
        let sigma = (squares / n).sqrt();
        models.push(BoundedModel::LogNormal { mu, sigma }.checked()?);
        let sigma = (0.5 * square).sqrt();
        models.push(BoundedModel::Rayleigh { sigma }.checked()?);
    }
    let mut models: Vec<(BoundedModel, f64)> = models
        .into_iter()
        .map(|model| {
            let worth = log_likelihood(&model, values) - parameters(&model).count as f64;
            (model, worth)
        })
        .collect();
    models.sort_by(|a, b| b.1.total_cmp(&a.1));
    let best = models.first().map_or(0.0, |first| first.1);
    models.retain(|model| best - model.1 <= NEARLY);
    Ok(models)
}

/// The likeliest folded normal distribution with a location of its own, if there is one:
/// location^2 + sigma^2 is the mean square q, and the location solves
/// m = mean of x tanh(m x/(q - m^2)).
fn folded(values: &[f64], square: f64) -> Result<Option<BoundedModel>, StatisticsError> {
    let (n, root) = (values.len() as f64, square.sqrt());
    // Positive near sqrt(q), where every sign is known and the right side is the plain mean.
    let excess = |share: f64| {
        let variance = square * (1.0 - share * share);
        let signed = sum_of(values, |x| x * (share * root * x / variance).tanh()) / n;
        share - signed / root
    };
    let (low, high) = (LOCATION_MIN, 1.0 - 1e-15);
    if excess(low) >= 0.0 {
        return Ok(None);
    }
    let share = zero_between((low, excess(low)), (high, excess(high)), excess);
    let model = BoundedModel::FoldedNormal {
        location: share * root,
        sigma: root * (1.0 - share * share).sqrt(),
    };
    model.checked().map(Some)
}

/// Performance of a characteristic bounded by zero, against its upper limit.
///
/// Formula: Ppk = (U - m)/(h - m) of the likeliest model; interval Ppk -/+ t u, with u from the
///          curvature of the likelihood, over all models nearly as likely
/// Symbols: U limit; m, h quantiles at 50 % and 99.865 %; t Student quantile.
/// Valid:   as `fit_bounded`; the interval is approximate and knows only these models.
/// Rounding: none.
/// Source:  ISO 22514-2; interval: delta method on the observed information.
/// Checked: coverage by simulation in tests/logic/statistics_bounded.rs.
/// Errors:  `NotFinite`, `BelowZero`, `TooFew`, `AllEqual`, `OutOfRange`.
pub fn bounded_capability(
    values: &[f64],
    upper: f64,
    confidence: f64,
) -> Result<BoundedCapability, StatisticsError> {
    self::confidence(confidence)?;
    in_range("upper limit", upper, f64::MIN_POSITIVE, f64::MAX, "above 0")?;
    let models = likely_models(values)?;
    let limits = Limits::new(None, Some(upper))?;
    let index = |model: &BoundedModel| -> Result<f64, StatisticsError> {
        Ok(known_indices(&model.quantiles()?, &limits)?.worst)
    };
    let n = values.len();
    let (mut lower, mut higher) = (f64::INFINITY, f64::NEG_INFINITY);
    for (model, _) in &models {
        let estimate = index(model)?;
        let freedom = (n - parameters(model).count) as f64;
        let t = student_quantile(0.5 + 0.5 * confidence, freedom)?;
        let half = t * deviation(model, values, index)?;
        lower = lower.min(estimate - half);
        higher = higher.max(estimate + half);
    }
    let (model, _) = *models.first().ok_or(StatisticsError::AllEqual)?;
    Ok(BoundedCapability {
        n,
        model,
        quantiles: model.quantiles()?,
        worst: Index::new(n, index(&model)?, lower, higher),
        outside: model.shares(upper).1,
        confidence,
    })
}

fn log_likelihood(model: &BoundedModel, values: &[f64]) -> f64 {
    sum_of(values, |value| model.log_density(value))
}

/// The free parameters of a model: its location, unless it is zero, and the logarithm of its
/// spread.
struct Parameters {
    count: usize,
    location: f64,
    sigma: f64,
}

fn parameters(model: &BoundedModel) -> Parameters {
    let (count, location, sigma) = match *model {
        BoundedModel::FoldedNormal { location, sigma } if location <= 0.0 => (1, 0.0, sigma),
        BoundedModel::FoldedNormal { location, sigma }
        | BoundedModel::TruncatedNormal { location, sigma } => (2, location, sigma),
        BoundedModel::LogNormal { mu, sigma } => (2, mu, sigma),
        BoundedModel::Rayleigh { sigma } => (1, 0.0, sigma),
    };
    Parameters {
        count,
        location,
        sigma,
    }
}

/// The model with its location moved by `along` spreads and its spread by `wider` logarithms.
fn moved(model: &BoundedModel, along: f64, wider: f64) -> BoundedModel {
    let from = parameters(model);
    let (location, sigma) = (from.location + along * from.sigma, from.sigma * wider.exp());
    match model {
        // A folded distribution is the same for both signs of its location.
        BoundedModel::FoldedNormal { .. } => BoundedModel::FoldedNormal {
            location: location.abs(),
            sigma,
        },
        BoundedModel::TruncatedNormal { .. } => BoundedModel::TruncatedNormal { location, sigma },
        BoundedModel::LogNormal { .. } => BoundedModel::LogNormal {
            mu: location,
            sigma,
        },
        BoundedModel::Rayleigh { .. } => BoundedModel::Rayleigh { sigma },
    }
}

/// The standard deviation of an index, by the likelihood's curvature at its top.
fn deviation(
    model: &BoundedModel,
    values: &[f64],
    index: impl Fn(&BoundedModel) -> Result<f64, StatisticsError>,
) -> Result<f64, StatisticsError> {
    let likelihood = |along: f64, wider: f64| log_likelihood(&moved(model, along, wider), values);
    let slope = |along: f64, wider: f64| -> Result<f64, StatisticsError> {
        let ahead = index(&moved(model, along * STEP, wider * STEP))?;
        let behind = index(&moved(model, -along * STEP, -wider * STEP))?;
        Ok((ahead - behind) / (2.0 * STEP))
    };
    let top = likelihood(0.0, 0.0);
    let bend = |along: f64, wider: f64| {
        let ends =
            likelihood(along * STEP, wider * STEP) + likelihood(-along * STEP, -wider * STEP);
        (2.0 * top - ends) / (STEP * STEP)
    };
    let (by_width, of_width) = (slope(0.0, 1.0)?, bend(0.0, 1.0));
    if parameters(model).count == 1 {
        return Ok((by_width * by_width / of_width).sqrt());
    }
    let (by_place, of_place) = (slope(1.0, 0.0)?, bend(1.0, 0.0));
    let mixed = 0.5 * (bend(1.0, 1.0) - of_place - of_width);
    let determinant = of_place * of_width - mixed * mixed;
    if determinant <= 0.0 || of_place <= 0.0 {
        return Ok(f64::INFINITY);
    }
    let variance = (by_place * by_place * of_width + by_width * by_width * of_place
        - 2.0 * by_place * by_width * mixed)
        / determinant;
    Ok(variance.max(0.0).sqrt())
}
