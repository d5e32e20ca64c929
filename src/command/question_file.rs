//! A question that stands in a file, such as one fit or one taper as TOML.

use std::path::Path;

use super::problem::Problem;
use crate::report::shown;

/// A TOML file is no longer than that (chosen: a question has some thirty lines).
const FILE_BYTES_MAX: u64 = 64 * 1024;

/// The text of a file that holds one question; `what` names it.
///
/// # Errors
/// It cannot be read, or is longer than a question.
pub(super) fn question_text(path: &Path, what: &str) -> Result<String, Problem> {
    let name = shown(&path.display().to_string()).into_owned();
    let failed = |why: &dyn std::fmt::Display| {
        let message = format!("{name} could not be read: {why}.");
        let hint = Some("Check the name and the folder.");
        Problem::outside("file_unreadable", message, hint)
    };
    let length = std::fs::metadata(path)
        .map_err(|error| failed(&error))?
        .len();
    if length > FILE_BYTES_MAX {
        return Err(failed(&format!("it is longer than {what}")));
    }
    std::fs::read_to_string(path).map_err(|error| failed(&error))
}
