//! The answer of `statistics` and of `chart` as JSON. Places are counted from 1.

use serde::Serialize;
use serde_json::{Map, Value};

/// What is said of a list.
#[derive(Debug, Serialize)]
pub(super) struct StatisticsLine {
    pub(super) n: usize,
    pub(super) mean: f64,
    pub(super) sd: Option<f64>,
    pub(super) min: f64,
    pub(super) max: f64,
    pub(super) median: f64,
    pub(super) autocorrelation_lag1: Option<f64>,
    /// The level of every interval.
    pub(super) confidence: f64,
    pub(super) mean_interval: Option<EndsBody>,
    pub(super) sd_interval: Option<EndsBody>,
    pub(super) median_interval: Option<EndsBody>,
    /// Where the autocorrelation of independent values lies.
    pub(super) autocorrelation_chance: Option<EndsBody>,
    pub(super) lower: Option<f64>,
    pub(super) upper: Option<f64>,
    /// Values beyond the limits.
    pub(super) outside: Option<OutsideBody>,
    pub(super) cp: Option<IndexBody>,
    pub(super) cpk: Option<IndexBody>,
    pub(super) pp: Option<IndexBody>,
    pub(super) ppk: Option<IndexBody>,
    /// The standard deviation behind Cp and Cpk.
    pub(super) within: Option<WithinBody>,
    /// The distribution behind Ppk, where the values end at zero.
    pub(super) model: Option<ModelBody>,
    /// Pp and Ppk without any distribution, of very many values.
    pub(super) percentile: Option<PercentileBody>,
    pub(super) tolerance_interval: Option<ToleranceBody>,
    pub(super) anderson_darling: Option<AndersonDarlingBody>,
    pub(super) shapiro_wilk: Option<ShapiroWilkBody>,
    pub(super) resolution: Option<ResolutionBody>,
    pub(super) control: Option<ControlBody>,
    /// Whose run lengths the tests have.
    pub(super) tests: &'static str,
    pub(super) signals: Vec<SignalBody>,
    /// Points of the chart of spread beyond its limits.
    pub(super) spread_signals: Vec<usize>,
    pub(super) trend: Option<TrendBody>,
    /// What is missing or to be doubted, in sentences.
    pub(super) notes: Vec<String>,
}

/// An interval.
#[derive(Debug, Clone, Copy, Serialize)]
pub(super) struct EndsBody {
    pub(super) lower: f64,
    pub(super) upper: f64,
}

/// From the lower end to the upper one.
pub(super) fn ends((lower, upper): (f64, f64)) -> EndsBody {
    EndsBody { lower, upper }
}

/// How many values lie beyond.
#[derive(Debug, Serialize)]
pub(super) struct OutsideBody {
    pub(super) below: usize,
    pub(super) above: usize,
    /// The share of all parts, as the distribution behind Ppk has it.
    pub(super) expected_below: Option<f64>,
    pub(super) expected_above: Option<f64>,
}

/// An index; `estimate` is none under 30 values.
#[derive(Debug, Clone, Copy, Serialize)]
pub(super) struct IndexBody {
    pub(super) estimate: Option<f64>,
    pub(super) lower: f64,
    pub(super) upper: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct WithinBody {
    pub(super) sd: f64,
    pub(super) degrees_of_freedom: f64,
    /// `mean_range`, `mean_deviation`, `moving_range`.
    pub(super) method: &'static str,
}

#[derive(Debug, Serialize)]
pub(super) struct ModelBody {
    /// `folded_normal`, `log_normal`, `rayleigh`, `truncated_normal`.
    pub(super) name: &'static str,
    pub(super) location: f64,
    pub(super) sigma: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct PercentileBody {
    pub(super) pp: Option<IndexBody>,
    pub(super) ppk: IndexBody,
}

#[derive(Debug, Serialize)]
pub(super) struct ToleranceBody {
    pub(super) lower: Option<f64>,
    pub(super) upper: Option<f64>,
    pub(super) share: f64,
    pub(super) factor: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct AndersonDarlingBody {
    pub(super) a2: f64,
    pub(super) adjusted: f64,
    pub(super) p: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct ShapiroWilkBody {
    pub(super) w: f64,
    pub(super) p: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct ResolutionBody {
    pub(super) step: f64,
    pub(super) step_over_sd: f64,
    pub(super) distinct: usize,
    pub(super) too_coarse: bool,
}

#[derive(Debug, Serialize)]
pub(super) struct ControlBody {
    /// `individuals_and_moving_range`, `mean_and_range`, `mean_and_deviation`.
    pub(super) chart: &'static str,
    pub(super) subgroup: Option<usize>,
    pub(super) location: LimitsBody,
    pub(super) spread: LimitsBody,
    pub(super) within_sd: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct LimitsBody {
    pub(super) lower: f64,
    pub(super) centre: f64,
    pub(super) upper: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct SignalBody {
    pub(super) index: usize,
    pub(super) test: u8,
    pub(super) name: &'static str,
}

#[derive(Debug, Serialize)]
pub(super) struct TrendBody {
    pub(super) slope: f64,
    pub(super) slope_interval: EndsBody,
    pub(super) slope_p: f64,
    pub(super) significant: bool,
    /// The line's value at 0.
    pub(super) intercept: f64,
    pub(super) residual_sd: f64,
    pub(super) r_squared: f64,
    /// Where the next value is expected.
    pub(super) next: NextBody,
    /// The limits that the line goes towards.
    pub(super) reaches: Vec<ReachBody>,
}

#[derive(Debug, Serialize)]
pub(super) struct NextBody {
    pub(super) at: usize,
    pub(super) value: f64,
    pub(super) lower: f64,
    pub(super) upper: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct ReachBody {
    /// `lower` or `upper`.
    pub(super) limit: &'static str,
    pub(super) at: f64,
    /// The interval of that place.
    pub(super) earliest: f64,
    pub(super) latest: f64,
    /// From here on single values may lie beyond.
    pub(super) first_value: f64,
}

/// What an operation changed between two sessions; lengths in millimetres.
#[derive(Debug, Serialize)]
pub(super) struct OperationBody<'a> {
    /// The stage before; empty: not named.
    pub(super) before: &'a str,
    /// The stage after.
    pub(super) after: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) material: Option<&'a str>,
    /// How parts were found again: `serial` or `number`.
    pub(super) joined: &'static str,
    pub(super) parts: Vec<PartChangeBody<'a>>,
    pub(super) learned: Option<LearnedBody>,
    /// Why nothing is learned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) missing: Option<String>,
}

#[derive(Debug, Serialize)]
pub(super) struct PartChangeBody<'a> {
    pub(super) part: u32,
    pub(super) serial: &'a str,
    /// Size after less size before.
    pub(super) change: String,
}

#[derive(Debug, Serialize)]
pub(super) struct LearnedBody {
    pub(super) mean: String,
    pub(super) sd: f64,
    pub(super) least: String,
    pub(super) most: String,
    pub(super) share: f64,
    pub(super) confidence: f64,
    /// What to leave on the dimension before the operation.
    pub(super) leave: Option<String>,
    /// How far inside its limits the size before must stay.
    pub(super) tighten: String,
    pub(super) sentence: String,
}

/// What `chart` wrote.
#[derive(Debug, Serialize)]
pub(super) struct ChartLine<'a> {
    pub(super) chart: &'a str,
    pub(super) kind: &'static str,
    pub(super) n: usize,
    /// What is said below the chart.
    pub(super) notes: Vec<String>,
}

/// Puts what an operation changed into the object of its feature and element; into a new one where
/// there is none, since few parts have no numbers of their own.
pub(super) fn add_operation(
    objects: &mut Vec<Map<String, Value>>,
    (feature, element): (&str, &str),
    operation: &OperationBody<'_>,
) {
    let is_text = |of: &Map<String, Value>, key: &str, text: &str| {
        of.get(key).and_then(Value::as_str).unwrap_or_default() == text
    };
    let is_of = |of: &&mut Map<String, Value>| {
        is_text(of, "feature", feature) && is_text(of, "element", element)
    };
    let body = serde_json::to_value(operation).unwrap_or_default();
    if let Some(object) = objects.iter_mut().find(is_of) {
        object.insert("operation".to_owned(), body);
        return;
    }
    let texts = [("feature", feature), ("element", element)];
    let named = texts.map(|(key, text)| (key.to_owned(), Value::from(text)));
    let mut object = Map::from_iter(named);
    object.insert("operation".to_owned(), body);
    objects.push(object);
}

/// The object, with how sound the record is.
pub(super) fn of_record(mut object: Map<String, Value>, state: &str) -> Map<String, Value> {
    object.insert("record".to_owned(), Value::from(state));
    object
}
