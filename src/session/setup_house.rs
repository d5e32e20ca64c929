//! The tables and materials of a session: the program's, with the house's that its first event
//! holds.

use super::setup::SetupError;
use crate::journal::SessionOpened;
use crate::material::{MATERIALS_FILE, Materials};
use crate::tolerance::Tables;

pub(super) fn tables_of(opened: &SessionOpened) -> Result<Tables, SetupError> {
    let mut tables = Tables::standard().clone();
    for (name, text) in opened
        .house
        .iter()
        .filter(|(name, _)| name != MATERIALS_FILE)
    {
        tables = tables.with_house(text, name).map_err(|error| SetupError {
            code: "house_table_invalid",
            messages: vec![error.to_string()],
            hint: Some(format!(
                "Mend {name}, or take it out of the tolerances folder."
            )),
        })?;
    }
    Ok(tables)
}

pub(super) fn materials_of(opened: &SessionOpened) -> Result<Materials, SetupError> {
    let mut materials = Materials::standard().clone();
    for (name, text) in opened
        .house
        .iter()
        .filter(|(name, _)| name == MATERIALS_FILE)
    {
        materials = materials
            .with_house(text, name)
            .map_err(|error| SetupError {
                code: error.code(),
                messages: vec![error.to_string()],
                hint: Some(error.hint().to_owned()),
            })?;
    }
    Ok(materials)
}
