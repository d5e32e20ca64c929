//! What `taper` is asked, and its answer, as JSON (the question also as TOML).
//!
//! Angles and lengths of the answer are texts of decimal degrees and millimetres; `_u_` names a
//! standard uncertainty, absent (`null`) where nothing unsure was given. Beyond the contract's
//! list: `included_angle_u_deg`, `half_angle_u_deg`, `x` (of the ratio 1:x), `taper_per_mm`,
//! `name` and `source` of a named cone, `nearest`, `top_slide_from_cross_deg`,
//! `indicator_change_mm`, `tailstock_setover_mm`, `diameter_change_mm`, `axial_move_mm`,
//! `sine_bar_height_mm`, `notes`.

use std::collections::BTreeMap;

use serde::Serialize;

/// One value of a question.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Given {
    /// A number.
    Number(f64),
    /// A text.
    Text(String),
    /// Something else, in words.
    Other(&'static str),
}

/// A question: its fields by name.
pub(super) type TaperAsked = BTreeMap<String, Given>;

/// The answer.
#[derive(Debug, Default, Serialize)]
pub(super) struct TaperLine {
    pub(super) kind: &'static str,
    pub(super) name: Option<String>,
    pub(super) source: Option<String>,
    pub(super) included_angle_deg: String,
    pub(super) included_angle_u_deg: Option<String>,
    pub(super) half_angle_deg: String,
    pub(super) half_angle_u_deg: Option<String>,
    /// `1:x`, for people.
    pub(super) ratio: String,
    pub(super) x: f64,
    pub(super) taper_per_mm: f64,
    pub(super) taper_per_mm_u: Option<f64>,
    pub(super) large_mm: Option<String>,
    pub(super) large_u_mm: Option<String>,
    pub(super) small_mm: Option<String>,
    pub(super) small_u_mm: Option<String>,
    pub(super) length_mm: Option<String>,
    pub(super) top_slide_deg: String,
    pub(super) top_slide_from_cross_deg: String,
    pub(super) slide_travel_mm: String,
    pub(super) indicator_change_mm: String,
    pub(super) between_centres_mm: Option<String>,
    pub(super) tailstock_setover_mm: Option<String>,
    pub(super) axial_move_mm: Option<String>,
    pub(super) axial_move_u_mm: Option<String>,
    pub(super) diameter_change_mm: Option<String>,
    pub(super) diameter_change_u_mm: Option<String>,
    pub(super) set_on_bar_mm: Option<String>,
    pub(super) sine_bar_height_mm: Option<String>,
    /// The cone with a name that lies nearest to a measured one.
    pub(super) nearest: Option<NearestBody>,
    pub(super) notes: Vec<String>,
}

#[derive(Debug, Serialize)]
pub(super) struct NearestBody {
    pub(super) name: String,
    pub(super) half_angle_deg: String,
    /// The measured half angle less that of the named cone.
    pub(super) half_angle_difference_deg: String,
    /// Whether twice the standard uncertainty reaches over the difference; `null` without one.
    pub(super) agrees: Option<bool>,
    pub(super) source: String,
}

/// A question from JSON, or why it is none.
pub(super) fn taper_of_json(text: &str) -> Result<TaperAsked, String> {
    let fields: BTreeMap<String, serde_json::Value> =
        serde_json::from_str(text).map_err(|error| error.to_string())?;
    let given = |value: serde_json::Value| match value {
        serde_json::Value::Number(number) => number
            .as_f64()
            .map_or(Given::Other("a number that is too large"), Given::Number),
        serde_json::Value::String(text) => Given::Text(text),
        serde_json::Value::Null => Given::Other("null"),
        serde_json::Value::Bool(_) => Given::Other("true or false"),
        serde_json::Value::Array(_) => Given::Other("a list"),
        serde_json::Value::Object(_) => Given::Other("an object"),
    };
    let fields = fields.into_iter();
    Ok(fields.map(|(name, value)| (name, given(value))).collect())
}

/// A question from TOML, or why it is none.
pub(super) fn taper_of_toml(text: &str) -> Result<TaperAsked, String> {
    let fields: toml::Table = toml::from_str(text).map_err(|error| error.message().to_owned())?;
    let given = |value: toml::Value| match value {
        toml::Value::Float(number) => Given::Number(number),
        toml::Value::Integer(number) => match i32::try_from(number) {
            Ok(number) => Given::Number(f64::from(number)),
            Err(_) => Given::Other("a number that is too large"),
        },
        toml::Value::String(text) => Given::Text(text),
        toml::Value::Boolean(_) => Given::Other("true or false"),
        toml::Value::Datetime(_) => Given::Other("a date"),
        toml::Value::Array(_) => Given::Other("a list"),
        toml::Value::Table(_) => Given::Other("a table"),
    };
    let fields = fields.into_iter();
    Ok(fields.map(|(name, value)| (name, given(value))).collect())
}
