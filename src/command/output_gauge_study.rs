//! The answer of `gauge-study` as JSON. Standard deviations are in the unit of the readings.

use serde::Serialize;

use super::output_statistics::EndsBody;
use super::output_study::DaysBody;

/// A gauge study.
#[derive(Debug, Serialize)]
pub(super) struct GaugeStudyLine {
    pub(super) parts: usize,
    pub(super) operators: usize,
    pub(super) trials: usize,
    pub(super) tolerance: Option<f64>,
    pub(super) confidence: f64,
    /// Readings of one part by one operator, whoever that is.
    pub(super) repeatability: Option<RepeatabilityBody>,
    /// None with one operator.
    pub(super) average_and_range: Option<AverageAndRangeBody>,
    /// None with one operator.
    pub(super) variance_analysis: Option<VarianceBody>,
    /// One for each part with a reference.
    pub(super) bias: Vec<BiasBody>,
    pub(super) linearity: Option<LinearityBody>,
    /// Of a table with a column of days: each part over its days. A study that is measured here has
    /// them beside this.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) days: Vec<DaysBody>,
    /// What is missing or to be doubted, in sentences.
    pub(super) notes: Vec<String>,
}

#[derive(Debug, Serialize)]
pub(super) struct RepeatabilityBody {
    pub(super) sd: f64,
    pub(super) degrees_of_freedom: f64,
    pub(super) interval: EndsBody,
    /// 6 sd over the tolerance.
    pub(super) share_of_tolerance: Option<f64>,
}

/// A component: its standard deviation, its variance, its share of the whole spread (standard
/// deviations, not variances) and of the tolerance (6 sd).
#[derive(Debug, Serialize)]
pub(super) struct ComponentBody {
    pub(super) sd: f64,
    pub(super) variance: f64,
    pub(super) share_of_variation: Option<f64>,
    pub(super) share_of_variance: Option<f64>,
    pub(super) share_of_tolerance: Option<f64>,
    /// Where it lies with 95 %: of the repeatability, the gauge and the whole by analysis of
    /// variance; of the others none is given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) interval: Option<EndsBody>,
}

#[derive(Debug, Serialize)]
pub(super) struct ComponentsBody {
    pub(super) repeatability: ComponentBody,
    pub(super) reproducibility: ComponentBody,
    pub(super) gauge: ComponentBody,
    pub(super) part: ComponentBody,
    pub(super) total: ComponentBody,
    /// Cut down to a whole number; none where the gauge shows no spread.
    pub(super) distinct_categories: Option<u32>,
    pub(super) distinct_categories_uncut: Option<f64>,
}

#[derive(Debug, Serialize)]
pub(super) struct AverageAndRangeBody {
    pub(super) components: ComponentsBody,
    pub(super) mean_range: f64,
    pub(super) range_limit: f64,
    /// Cells whose range lies above the limit: to be read again.
    pub(super) ranges_beyond: Vec<CellBody>,
    pub(super) operator_means: Vec<NamedMean>,
    pub(super) difference_of_means: f64,
    pub(super) range_of_parts: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct CellBody {
    pub(super) part: String,
    pub(super) operator: String,
}

#[derive(Debug, Serialize)]
pub(super) struct NamedMean {
    pub(super) operator: String,
    pub(super) mean: f64,
    pub(super) mean_range: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct VarianceBody {
    pub(super) components: ComponentsBody,
    pub(super) operator_sd: f64,
    pub(super) interaction_sd: f64,
    /// Whether the interaction was joined with the repeatability.
    pub(super) pooled: bool,
    /// When it is: `never`, `always` or `above P`.
    pub(super) pooling: String,
    /// None where nothing varies within the cells.
    pub(super) interaction_ratio: Option<f64>,
    pub(super) interaction_p: f64,
    pub(super) table: Vec<SourceBody>,
}

#[derive(Debug, Serialize)]
pub(super) struct SourceBody {
    /// `part`, `operator`, `interaction`, `repeatability`.
    pub(super) source: &'static str,
    pub(super) degrees_of_freedom: f64,
    pub(super) sum_of_squares: f64,
    pub(super) mean_square: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct BiasBody {
    pub(super) part: String,
    pub(super) reference: f64,
    pub(super) n: usize,
    pub(super) bias: f64,
    /// None where all readings are the same, or there is one.
    pub(super) interval: Option<EndsBody>,
    pub(super) p: Option<f64>,
    pub(super) significant: Option<bool>,
}

#[derive(Debug, Serialize)]
pub(super) struct LinearityBody {
    pub(super) slope: f64,
    pub(super) slope_interval: EndsBody,
    pub(super) slope_p: f64,
    pub(super) intercept: f64,
    pub(super) intercept_p: f64,
    pub(super) residual_sd: f64,
    pub(super) r_squared: f64,
    /// Whether the bias changes over the range by more than chance.
    pub(super) significant: bool,
}
