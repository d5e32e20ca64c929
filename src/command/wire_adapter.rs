//! The adapter that `--adapter` names: a built-in one, one kept in the workspace, or a file.

use std::sync::Arc;

use crate::session::Workspace;
use crate::wire::{Adapter, AdapterError, built_in, built_in_names};

use super::problem::Problem;

/// `NAME`, `FILE` or `FILE#name`. A name of a built-in adapter is that one; else a file of that
/// path, or `adapters/NAME.toml` of the workspace.
///
/// # Errors
/// No such adapter, or a file that is none.
pub(crate) fn named(workspace: &Workspace, asked: &str) -> Result<Arc<Adapter>, Problem> {
    if built_in_names().any(|name| name == asked) {
        return Ok(built_in(asked)?);
    }
    let (file, name) = match asked.rsplit_once('#') {
        Some((file, name)) if !file.is_empty() => (file, Some(name)),
        _ => (asked, None),
    };
    let text = match workspace.adapter(file) {
        Ok(text) => text,
        Err(error) if error.code() == "file_not_found" => return Err(unknown(asked)),
        Err(error) => return Err(error.into()),
    };
    let adapter = Adapter::from_text(&text, name).map_err(|error| in_file(file, &error))?;
    Ok(Arc::new(adapter))
}

fn unknown(asked: &str) -> Problem {
    let error = AdapterError::Unknown {
        name: asked.to_owned(),
        known: built_in_names().map(str::to_owned).collect(),
    };
    let hint = "Use one of these names, the name of a file in the workspace's adapters folder, or \
                a path.";
    Problem {
        hint: Some(hint.to_owned()),
        ..error.into()
    }
}

fn in_file(file: &str, error: &AdapterError) -> Problem {
    let message = format!("{}: {error}", file.escape_debug());
    Problem::bad(error.code(), message, error.hint())
}
