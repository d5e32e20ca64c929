//! What a house adds to the materials: alloys of its own, or its own numbers for a known one.

use std::fmt;

use super::format::{HouseRow, rows};
use super::lookup::{folded, names};
use super::table::{Material, Materials, Text};

/// The file in the workspace.
pub const MATERIALS_FILE: &str = "materials.toml";
/// Longest text of a row (chosen).
const TEXT_MAX: usize = 200;
/// How much of a row's name its errors show.
const NAME_SHOWN: usize = 40;

/// What a number of a row may be.
struct Allowed {
    key: &'static str,
    least: f64,
    most: f64,
    told: &'static str,
}

const MODULUS: Allowed = Allowed {
    key: "youngs_modulus_gpa",
    least: 0.001,
    most: 1_200.0,
    told: "0.001 to 1200 GPa",
};
const POISSON: Allowed = Allowed {
    key: "poisson_ratio",
    least: 0.0,
    most: 0.499,
    told: "0 to below 0.5",
};
const EXPANSION: Allowed = Allowed {
    key: "expansion_um_per_m_k",
    least: 0.0,
    most: 250.0,
    told: "0 to 250 µm per metre and kelvin",
};
const YIELD: Allowed = Allowed {
    key: "yield_mpa",
    least: 1.0,
    most: 10_000.0,
    told: "1 to 10 000 MPa",
};
const DENSITY: Allowed = Allowed {
    key: "density_kg_m3",
    least: 100.0,
    most: 25_000.0,
    told: "100 to 25 000 kg per cubic metre",
};
const JOINING: Allowed = Allowed {
    key: "joining_max_c",
    least: 20.0,
    most: 1_000.0,
    told: "20 to 1000 °C",
};

/// Why a house's materials are not taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HouseMaterialsError {
    /// The file's name.
    pub file: String,
    /// The line, from 1.
    pub line: usize,
    /// What is wrong there.
    what: String,
}

impl HouseMaterialsError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        "materials_invalid"
    }

    /// What to do next.
    pub fn hint(&self) -> &'static str {
        "A [[material]] has designation, group, youngs_modulus_gpa, poisson_ratio, \
         expansion_um_per_m_k and source; yield_mpa with yield_kind, joining_max_c, density_kg_m3, \
         number, aliases, state and note may be added."
    }
}

impl fmt::Display for HouseMaterialsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, line {}: {}.", self.file, self.line, self.what)
    }
}

impl std::error::Error for HouseMaterialsError {}

impl Materials {
    /// These materials, and before them the house's of `text`, the file `file`. A name that stands
    /// in both means the house's row from now on.
    ///
    /// # Errors
    /// What is wrong with the text: its form, a number that no material has, a name that stands in
    /// it twice, a row without a source.
    pub fn with_house(mut self, text: &str, file: &str) -> Result<Self, HouseMaterialsError> {
        let line_at = |at: usize| {
            let before = text.as_bytes().iter().take(at);
            before.filter(|byte| **byte == b'\n').count() + 1
        };
        let wrong = |at: usize, what: String| HouseMaterialsError {
            file: file.to_owned(),
            line: line_at(at),
            what,
        };
        let written = rows(text).map_err(|(at, what)| wrong(at, what.replace('\n', ", ")))?;
        let mut house: Vec<Material> = Vec::new();
        for row in written {
            let at = row.span().start;
            let row = checked(row.into_inner(), file).map_err(|what| wrong(at, what))?;
            let known = |name: &str| {
                let mut others = house.iter().flat_map(names);
                others.any(|other| folded(other) == folded(name))
            };
            if let Some(twice) = names(&row).find(|name| known(name)) {
                return Err(wrong(at, format!("“{twice}” stands in it twice")));
            }
            house.push(row);
        }
        house.append(&mut self.rows);
        self.rows = house;
        Ok(self)
    }
}

fn checked(row: HouseRow, file: &str) -> Result<Material, String> {
    if folded(&row.designation).is_empty() {
        return Err("designation is empty".to_owned());
    }
    // What may be longer than a line, or hold what no screen shows, before that is checked.
    let name = row.designation.trim().chars().take(NAME_SHOWN);
    let name: String = name.flat_map(char::escape_debug).collect();
    let text = |key: &str, text: String| -> Result<Text, String> {
        let is_told = text.chars().all(|c| !c.is_control()) && text.chars().count() <= TEXT_MAX;
        match is_told {
            true => Ok(text.trim().to_owned().into()),
            false => Err(format!(
                "{key} of {name} is longer than {TEXT_MAX} letters or holds something unprintable"
            )),
        }
    };
    let within =
        |value: f64, allowed: &Allowed| match value >= allowed.least && value <= allowed.most {
            true => Ok(value),
            false => Err(format!(
                "{} of {name} is {value}; allowed is {}",
                allowed.key, allowed.told
            )),
        };
    let maybe = |value: Option<f64>, allowed: &Allowed| {
        value.map(|value| within(value, allowed)).transpose()
    };
    let source = text("source", row.source)?;
    if source.is_empty() {
        return Err(format!(
            "source of {name} is empty: say where its numbers come from"
        ));
    }
    if row.aliases.iter().any(|alias| alias.contains(';')) {
        return Err(format!("an alias of {name} holds a semicolon"));
    }
    let yield_mpa = maybe(row.yield_mpa, &YIELD)?;
    let from = |known: bool| match known {
        true => source.clone(),
        false => Text::default(),
    };
    Ok(Material {
        designation: text("designation", row.designation)?,
        number: text("number", row.number)?,
        aliases: text("aliases", row.aliases.join(";"))?,
        group: text("group", row.group)?,
        state: text("state", row.state)?,
        youngs_modulus_gpa: within(row.youngs_modulus_gpa, &MODULUS)?,
        youngs_modulus_source: source.clone(),
        poisson_ratio: within(row.poisson_ratio, &POISSON)?,
        poisson_ratio_source: source.clone(),
        expansion_um_per_m_k: within(row.expansion_um_per_m_k, &EXPANSION)?,
        expansion_source: source.clone(),
        yield_mpa,
        yield_kind: text("yield_kind", row.yield_kind)?,
        yield_source: from(yield_mpa.is_some()),
        density_kg_m3: maybe(row.density_kg_m3, &DENSITY)?,
        density_source: from(row.density_kg_m3.is_some()),
        joining_max_c: maybe(row.joining_max_c, &JOINING)?,
        joining_max_source: from(row.joining_max_c.is_some()),
        note: text("note", row.note)?,
        house: file.to_owned().into(),
    })
}
