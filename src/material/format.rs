//! A house's materials as they are written on disk: TOML.

use serde::Deserialize;
use toml::Spanned;

/// The whole file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HouseFile {
    #[serde(default)]
    pub(super) material: Vec<Spanned<HouseRow>>,
}

/// One `[[material]]`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HouseRow {
    pub(super) designation: String,
    #[serde(default)]
    pub(super) number: String,
    #[serde(default)]
    pub(super) aliases: Vec<String>,
    pub(super) group: String,
    #[serde(default)]
    pub(super) state: String,
    pub(super) youngs_modulus_gpa: f64,
    pub(super) poisson_ratio: f64,
    pub(super) expansion_um_per_m_k: f64,
    pub(super) yield_mpa: Option<f64>,
    #[serde(default)]
    pub(super) yield_kind: String,
    pub(super) density_kg_m3: Option<f64>,
    pub(super) joining_max_c: Option<f64>,
    /// Where the numbers of this row come from.
    pub(super) source: String,
    #[serde(default)]
    pub(super) note: String,
}

/// The rows of a text, or where and why it is none.
pub(super) fn rows(text: &str) -> Result<Vec<Spanned<HouseRow>>, (usize, String)> {
    let file: HouseFile = toml::from_str(text).map_err(|error| {
        let at = error.span().map_or(0, |span| span.start);
        (at, error.message().to_owned())
    })?;
    Ok(file.material)
}
