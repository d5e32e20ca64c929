//! The way of a study into the gauge register of the workspace.

use super::workspace::Workspace;
use crate::gauge::{GaugeId, StudyEntry, with_study};

/// Enters what a study found in the workspace's register: comments stay, and the file is whole at
/// any moment. Answers the file.
///
/// # Errors
/// Why it was not entered, in sentences; the register is as it was.
pub fn enter_study(
    workspace: &Workspace,
    gauge: &GaugeId,
    entry: &StudyEntry,
) -> Result<String, String> {
    let kept = workspace.gauges().map_err(|error| error.to_string())?;
    let Some((_, text)) = kept else {
        return Err("The workspace has no gauges.toml that it could be entered in.".to_owned());
    };
    let changed =
        with_study(&text, gauge, entry).map_err(|error| format!("{error} {}", error.hint()))?;
    let file = workspace.replace_gauges(&text, &changed);
    let file = file.map_err(|error| error.to_string())?;
    Ok(file.display().to_string())
}
