//! The tolerance tables of this workspace, and options that choose rows of them.

use crate::material::{MATERIALS_FILE, Materials};
use crate::quantity::{Celsius, Length, LengthUnit, QuantityError, parse_entry};
use crate::session::Workspace;
use crate::tolerance::{Context, GeneralClass, Surface, Tables};

use super::problem::Problem;

/// The standard's tables with the house tables of the workspace.
///
/// # Errors
/// A house table that cannot be read or is none.
pub(crate) fn tables(workspace: &Workspace) -> Result<Tables, Problem> {
    let mut tables = Tables::standard().clone();
    for (name, text) in workspace.house_tables()? {
        if name != MATERIALS_FILE {
            tables = tables.with_house(&text, &name)?;
        }
    }
    Ok(tables)
}

/// The program's materials with those of the workspace.
///
/// # Errors
/// A file of the house that cannot be read or is none.
pub(crate) fn materials(workspace: &Workspace) -> Result<Materials, Problem> {
    let mut materials = Materials::standard().clone();
    for (name, text) in workspace.house_tables()? {
        if name == MATERIALS_FILE {
            materials = materials.with_house(&text, &name)?;
        }
    }
    Ok(materials)
}

/// Tables and the general tolerance in force.
pub(super) struct InForce {
    tables: Tables,
    materials: Materials,
    general: Option<GeneralClass>,
    shorter_side: Option<Length>,
}

impl InForce {
    /// From the workspace and the options `--general` and `--shorter-side`.
    ///
    /// # Errors
    /// A house table, class or length that is none.
    pub(super) fn new(
        workspace: &Workspace,
        general: Option<&str>,
        shorter_side: Option<&str>,
    ) -> Result<Self, Problem> {
        Ok(Self {
            tables: tables(workspace)?,
            materials: materials(workspace)?,
            general: general.map(general_class).transpose()?,
            shorter_side: shorter_side.map(side_length).transpose()?,
        })
    }

    pub(super) fn tables(&self) -> &Tables {
        &self.tables
    }

    pub(super) fn materials(&self) -> &Materials {
        &self.materials
    }

    /// What callouts are read under.
    pub(super) fn context(&self) -> Context<'_> {
        Context {
            general: self.general,
            shorter_side: self.shorter_side,
            ..Context::with_tables(&self.tables)
        }
    }
}

/// The class of ISO 2768-1 that `--general` names.
///
/// # Errors
/// Any other word.
pub(crate) fn general_class(word: &str) -> Result<GeneralClass, Problem> {
    GeneralClass::from_word(word.trim()).ok_or_else(|| {
        let message = format!("“{}” is no class of ISO 2768-1.", word.escape_debug());
        Problem::bad("unknown_general_class", message, Some("Give f, m, c or v."))
    })
}

/// The surface that `--surface` names.
///
/// # Errors
/// Any other word.
pub(super) fn surface(word: &str) -> Result<Surface, Problem> {
    Surface::from_word(word.trim()).ok_or_else(|| {
        let known: Vec<&str> = Surface::WORDS.iter().map(|(_, word)| *word).collect();
        let message = format!("“{}” is no surface.", word.escape_debug());
        let hint = format!("Give one of {}.", known.join(", "));
        Problem::bad("unknown_surface", message, Some(&hint))
    })
}

fn side_length(text: &str) -> Result<Length, Problem> {
    let side = length(text)?;
    if side > Length::ZERO {
        return Ok(side);
    }
    let message = format!("The shorter side of an angle cannot be {side} mm.");
    Err(Problem::bad(
        "out_of_range",
        message,
        Some("Give a length above zero."),
    ))
}

/// A length of an option, mm unless `in` stands behind it.
pub(super) fn length(text: &str) -> Result<Length, Problem> {
    Ok(parse_entry(text, LengthUnit::Millimetre)?.value)
}

/// A temperature in degrees Celsius, with whatever stands for a minus.
///
/// # Errors
/// Anything that is no such number, or no temperature of a workshop.
pub(super) fn celsius(text: &str) -> Result<Celsius, QuantityError> {
    Celsius::parse(&text.trim().replace(['\u{2212}', '\u{2013}'], "-"))
}

/// A coating's least and greatest thickness per surface: `0.006..0.010`, or one value for both.
///
/// # Errors
/// Anything that is no length; what the lengths must be is known where limits are moved.
pub(super) fn coating(text: &str) -> Result<(Length, Length), Problem> {
    match text.split_once("..") {
        Some((thin, thick)) => Ok((length(thin)?, length(thick)?)),
        None => {
            let both = length(text)?;
            Ok((both, both))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::celsius;

    #[test]
    fn any_minus_sign_is_one() {
        for text in ["-5.5", " \u{2212}5,5", "\u{2013}5.5 "] {
            assert_eq!(celsius(text).unwrap().as_milli(), -5_500, "{text}");
        }
        assert!(celsius("5.5-").is_err());
    }
}
