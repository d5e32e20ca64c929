//! The embedded table of materials.

use std::borrow::Cow;
use std::sync::LazyLock;

use super::csv::fields;

const TABLE: &str = include_str!("../../tolerances/materials/materials.csv");

/// Half-width of the default uncertainty of an expansion coefficient, as a share of it.
const EXPANSION_HALF_WIDTH_SHARE: f64 = 0.10;
/// The least half-width, 1/K.
const EXPANSION_HALF_WIDTH_MIN: f64 = 1e-6;

/// A linear expansion coefficient with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expansion {
    /// Coefficient, 1/K, near 20 to 100 degrees C.
    pub per_kelvin: f64,
    /// Its standard uncertainty, 1/K.
    pub standard_uncertainty_per_kelvin: f64,
}

impl Expansion {
    /// A coefficient (1/K) with the default uncertainty.
    ///
    /// Formula: u(a) = max(0.1 a, 1e-6 /K) / sqrt(3)
    /// Symbols: a linear expansion (1/K); the maximum is the half-width of a rectangle.
    /// Valid:   a as given; its range is checked where it is used.
    /// Rounding: none.
    /// Source:  chosen: published values for one alloy differ by up to 8 % (304: 16.0 to 17.2),
    ///          ISO 3650 allows gauge-block steel 11.5 plus or minus 1 (from memory).
    /// Checked: tests/logic/material.rs.
    /// Errors:  none.
    pub fn with_usual_uncertainty(per_kelvin: f64) -> Self {
        let half_width = (per_kelvin * EXPANSION_HALF_WIDTH_SHARE).max(EXPANSION_HALF_WIDTH_MIN);
        Self {
            per_kelvin,
            standard_uncertainty_per_kelvin: half_width / 3.0_f64.sqrt(),
        }
    }
}

/// A text of the program's table, or one of a house's.
pub type Text = Cow<'static, str>;

/// One material of the table; the fields hold what the row says.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// Standard designation (`X5CrNi18-10`) or plain word (`steel`).
    pub designation: Text,
    /// Material number (`1.4301`), `-` where there is none.
    pub number: Text,
    /// Other names, separated by semicolons.
    pub(super) aliases: Text,
    /// The group's plain word (`stainless`).
    pub group: Text,
    /// Heat treatment or delivery state that the numbers are for.
    pub state: Text,
    /// Young's modulus, GPa.
    pub youngs_modulus_gpa: f64,
    /// Where the modulus comes from.
    pub youngs_modulus_source: Text,
    /// Poisson's ratio.
    pub poisson_ratio: f64,
    /// Where the ratio comes from.
    pub poisson_ratio_source: Text,
    /// Linear expansion, micrometres per metre and kelvin.
    pub expansion_um_per_m_k: f64,
    /// Where the expansion comes from.
    pub expansion_source: Text,
    /// Yield or proof stress, MPa; none where it depends on treatment.
    pub yield_mpa: Option<f64>,
    /// Which yield (ReH, Rp0.2, ...), or why there is none.
    pub yield_kind: Text,
    /// Where the yield comes from.
    pub yield_source: Text,
    /// Density, kg per cubic metre; none where a house's row does not say it.
    pub density_kg_m3: Option<f64>,
    /// Where the density comes from.
    pub density_source: Text,
    /// The hottest that the material may be for joining without losing its state, degrees C; none:
    /// not known.
    pub joining_max_c: Option<f64>,
    /// Where that comes from.
    pub joining_max_source: Text,
    /// What to know besides.
    pub note: Text,
    /// The house's file that the row stands in; empty for the program's own.
    pub house: Text,
}

impl Material {
    /// The expansion coefficient with the default uncertainty of
    /// [`Expansion::with_usual_uncertainty`].
    pub fn expansion(&self) -> Expansion {
        Expansion::with_usual_uncertainty(self.expansion_um_per_m_k * 1e-6)
    }

    fn from_line(line: &'static str) -> Option<Self> {
        let [
            designation,
            number,
            aliases,
            group,
            state,
            modulus,
            modulus_source,
            poisson,
            poisson_source,
            expansion,
            expansion_source,
            yield_text,
            yield_kind,
            yield_source,
            density,
            density_source,
            joining_max,
            joining_max_source,
            note,
        ] = *fields(line).as_slice()
        else {
            return None;
        };
        let number_or_none = |text: &str| match text {
            "" => Some(None),
            text => Some(Some(text.parse().ok()?)),
        };
        Some(Self {
            designation: designation.into(),
            number: number.into(),
            aliases: aliases.into(),
            group: group.into(),
            state: state.into(),
            youngs_modulus_gpa: modulus.parse().ok()?,
            youngs_modulus_source: modulus_source.into(),
            poisson_ratio: poisson.parse().ok()?,
            poisson_ratio_source: poisson_source.into(),
            expansion_um_per_m_k: expansion.parse().ok()?,
            expansion_source: expansion_source.into(),
            yield_mpa: number_or_none(yield_text)?,
            yield_kind: yield_kind.into(),
            yield_source: yield_source.into(),
            density_kg_m3: number_or_none(density)?,
            density_source: density_source.into(),
            joining_max_c: number_or_none(joining_max)?,
            joining_max_source: joining_max_source.into(),
            note: note.into(),
            house: Text::default(),
        })
    }
}

static STANDARD: LazyLock<Materials> = LazyLock::new(|| Materials {
    rows: TABLE
        .lines()
        .skip(1)
        .filter_map(Material::from_line)
        .collect(),
});

/// The materials in force: the program's table, and before it what the house adds.
#[derive(Debug, Clone, PartialEq)]
pub struct Materials {
    pub(super) rows: Vec<Material>,
}

impl Materials {
    /// The program's own table.
    pub fn standard() -> &'static Self {
        &STANDARD
    }

    /// Every row in the order in which names are looked up: the house's first, then plain words,
    /// then the rest.
    pub fn rows(&self) -> &[Material] {
        &self.rows
    }
}

/// Every material of the program's table, in its order: plain words first.
pub fn materials() -> &'static [Material] {
    Materials::standard().rows()
}

#[cfg(test)]
mod tests {
    use super::{TABLE, materials};

    #[test]
    fn every_row_of_the_table_is_a_material() {
        assert_eq!(materials().len() + 1, TABLE.lines().count());
    }
}
