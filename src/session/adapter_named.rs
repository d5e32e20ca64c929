//! The adapter that is asked for by name: a built-in one, one kept in the workspace, or a file.

use std::sync::Arc;

use super::begin_error::BeginError;
use super::workspace::Workspace;
use crate::wire::{Adapter, AdapterError, built_in, built_in_names};

/// `NAME`, `FILE` or `FILE#name`. A name of a built-in adapter is that one; else a file of that
/// path, or `adapters/NAME.toml` of the workspace.
///
/// # Errors
/// No such adapter, or a file that is none.
pub fn adapter_named(workspace: &Workspace, asked: &str) -> Result<Arc<Adapter>, BeginError> {
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

fn unknown(asked: &str) -> BeginError {
    let error = AdapterError::Unknown {
        name: asked.to_owned(),
        known: built_in_names().map(str::to_owned).collect(),
    };
    let hint = "Use one of these names, the name of a file in the workspace's adapters folder, or \
                a path.";
    BeginError {
        hint: Some(hint.to_owned()),
        ..error.into()
    }
}

fn in_file(file: &str, error: &AdapterError) -> BeginError {
    let message = format!("{}: {error}", file.escape_debug());
    BeginError::bad(error.code(), message, error.hint())
}
