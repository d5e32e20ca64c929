//! The embedded table of materials.

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

/// One material of the table; the fields hold what the row says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Material {
    /// Standard designation (`X5CrNi18-10`) or plain word (`steel`).
    pub designation: &'static str,
    /// Material number (`1.4301`), `-` where there is none.
    pub number: &'static str,
    /// Other names, separated by semicolons.
    pub(super) aliases: &'static str,
    /// The group's plain word (`stainless`).
    pub group: &'static str,
    /// Heat treatment or delivery state that the numbers are for.
    pub state: &'static str,
    /// Young's modulus, GPa.
    pub youngs_modulus_gpa: f64,
    /// Where the modulus comes from.
    pub youngs_modulus_source: &'static str,
    /// Poisson's ratio.
    pub poisson_ratio: f64,
    /// Where the ratio comes from.
    pub poisson_ratio_source: &'static str,
    /// Linear expansion, micrometres per metre and kelvin.
    pub expansion_um_per_m_k: f64,
    /// Where the expansion comes from.
    pub expansion_source: &'static str,
    /// Yield or proof stress, MPa; none where it depends on treatment.
    pub yield_mpa: Option<f64>,
    /// Which yield (ReH, Rp0.2, ...), or why there is none.
    pub yield_kind: &'static str,
    /// Where the yield comes from.
    pub yield_source: &'static str,
    /// Density, kg per cubic metre.
    pub density_kg_m3: f64,
    /// Where the density comes from.
    pub density_source: &'static str,
    /// What to know besides.
    pub note: &'static str,
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
            youngs_modulus_source,
            poisson,
            poisson_ratio_source,
            expansion,
            expansion_source,
            yield_text,
            yield_kind,
            yield_source,
            density,
            density_source,
            note,
        ] = *fields(line).as_slice()
        else {
            return None;
        };
        let yield_mpa = match yield_text {
            "" => None,
            text => Some(text.parse().ok()?),
        };
        Some(Self {
            designation,
            number,
            aliases,
            group,
            state,
            youngs_modulus_gpa: modulus.parse().ok()?,
            youngs_modulus_source,
            poisson_ratio: poisson.parse().ok()?,
            poisson_ratio_source,
            expansion_um_per_m_k: expansion.parse().ok()?,
            expansion_source,
            yield_mpa,
            yield_kind,
            yield_source,
            density_kg_m3: density.parse().ok()?,
            density_source,
            note,
        })
    }
}

static MATERIALS: LazyLock<Vec<Material>> = LazyLock::new(|| {
    TABLE
        .lines()
        .skip(1)
        .filter_map(Material::from_line)
        .collect()
});

/// Every material of the table, in its order: plain words first.
pub fn materials() -> &'static [Material] {
    &MATERIALS
}

#[cfg(test)]
mod tests {
    use super::{TABLE, materials};

    #[test]
    fn every_row_of_the_table_is_a_material() {
        assert_eq!(materials().len() + 1, TABLE.lines().count());
    }
}
