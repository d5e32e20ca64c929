//! A question that stands in a file, such as one fit or one taper as TOML.

use std::fs::File;
use std::io::Read;
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
    // What tells no length, such as a device, may go on for ever.
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(|error| failed(&error))?;
    let read = file.take(FILE_BYTES_MAX + 1).read_to_end(&mut bytes);
    let count = read.map_err(|error| failed(&error))?;
    if u64::try_from(count).is_ok_and(|count| count > FILE_BYTES_MAX) {
        return Err(failed(&format!("it is longer than {what}")));
    }
    String::from_utf8(bytes).map_err(|_| failed(&"it is no text in UTF-8"))
}
