//! The whole session that a journal belongs to, whichever of its files is named: an older file
//! alone would leave out what was measured, corrected and decided after it.

use std::path::Path;

use super::problem::Problem;
use super::work::Work;
use crate::journal::Part;
use crate::report::{ENGLISH, Selection, Sheet, doubt_by, gather, shown};
use crate::session::{
    Check, OpeningError, RecordFolders, SessionRecord, State, Workspace, session_parts,
};

fn files_of(journal: &Path, workspace: &Workspace) -> Result<(RecordFolders, Vec<Part>), Problem> {
    let (folder, name) = RecordFolders::of_journal(journal, workspace);
    let files = match session_parts(&folder, &name) {
        Err(OpeningError::ContinuedIn { newest, .. }) => session_parts(&folder, &newest)?,
        found => found?,
    };
    Ok((folder, files))
}

/// The record, read without giving its verdicts again.
///
/// # Errors
/// A file of it cannot be read.
pub(super) fn record_of(journal: &Path, workspace: &Workspace) -> Result<SessionRecord, Problem> {
    let (folder, files) = files_of(journal, workspace)?;
    Ok(SessionRecord::read(&folder, files, Check::State)?)
}

/// The state at the end of a record that was read for a journal.
///
/// # Errors
/// The record begins no session.
pub(super) fn state_of(record: SessionRecord, journal: &Path) -> Result<State, Problem> {
    record.replayed.state.ok_or_else(|| {
        let name = journal.file_name().unwrap_or_default().to_string_lossy();
        let message = format!("{} begins no session.", shown(&name));
        Problem::bad("session_missing", message, Some("Check it with verify."))
    })
}

/// The parts of these numbers, with that serial number; all where neither is said.
pub(super) fn selection(parts: &[u32], serial: Option<&str>) -> Selection {
    Selection {
        parts: (!parts.is_empty()).then(|| parts.to_vec()),
        serial: serial.map(str::to_owned),
    }
}

/// The sheet of the session, with what other records of the workspace put in doubt of it.
///
/// # Errors
/// The record cannot be read, or has none of the parts that are asked for; work was stopped.
pub(super) fn sheet_of(
    journal: &Path,
    which: &Selection,
    workspace: &Workspace,
    work: &Work,
) -> Result<Sheet, Problem> {
    let path = journal.display().to_string();
    work.step(format!("reading {}", shown(&path)))?;
    let (folder, files) = files_of(journal, workspace)?;
    let mut sheet = gather(&folder, files, which, &ENGLISH)?;
    // What cannot be looked through now: the sheet says so.
    let catalogue = work.catalogue(workspace)?;
    doubt_by(&mut sheet, catalogue.as_ref(), &ENGLISH);
    let is_there = |part: &u32| sheet.parts.iter().any(|one| one.number == *part);
    let missing = which.parts.iter().flatten().find(|part| !is_there(part));
    match (missing, &which.serial) {
        (Some(part), Some(serial)) => Err(no_such_part(format!(
            "The record has no part {part} with the serial number “{}”.",
            shown(serial)
        ))),
        (Some(part), None) => Err(no_such_part(format!("The record has no part {part}."))),
        (None, Some(serial)) if sheet.parts.is_empty() => Err(no_such_part(format!(
            "The record has no part with the serial number “{}”.",
            shown(serial)
        ))),
        _ => Ok(sheet),
    }
}

fn no_such_part(message: String) -> Problem {
    let hint = "Leave --part and --serial out for all parts.";
    Problem::bad("no_such_part", message, Some(hint))
}
