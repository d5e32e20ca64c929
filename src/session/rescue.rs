//! When the disk fails: the session goes on in a continuation, in its own folder or elsewhere, and
//! is tried again for as long as that does not work.

use std::path::PathBuf;

use super::recorder::{Recorder, Taken};
use super::state::State;
use super::study::Study;
use super::workspace::{is_there, make_folder, rescue_folder};
use crate::journal::{DiskFolder, Moment, WriterError, continuation_name};

/// A failed journal is not tried again sooner, and later ever more rarely, down to the second
/// (chosen): each try may leave an empty file behind.
const RETRY_AFTER_MS: u64 = 2_000;
const RETRY_AFTER_MAX_MS: u64 = 64_000;
/// So many names are tried for a continuation before that counts as a failure.
const NAMES_MAX: u32 = 100;

/// When a failed journal is tried again.
#[derive(Debug, Clone, Copy, Default)]
pub struct Retry {
    at_ms: u64,
    wait_ms: u64,
}

impl Retry {
    /// When it is due, in monotonic milliseconds since the session started.
    pub fn at_ms(&self) -> u64 {
        self.at_ms
    }

    /// It has been tried at `now_ms`; `progress` says that something more is recorded now.
    pub fn tried(&mut self, progress: bool, now_ms: u64) {
        self.wait_ms = if progress {
            0
        } else {
            (self.wait_ms * 2).clamp(RETRY_AFTER_MS, RETRY_AFTER_MAX_MS)
        };
        self.at_ms = now_ms.saturating_add(self.wait_ms);
    }
}

/// The folders in which a continuation is tried, in that order: a full disk may take the first
/// line of a new file and no more.
pub fn continuation_folders(own: &DiskFolder) -> Vec<DiskFolder> {
    let mut folders = vec![own.clone()];
    let rescue_folder = rescue_folder();
    if rescue_folder.path() != own.path() {
        // If it cannot be made, the continuation says so.
        make_folder(&rescue_folder);
        folders.push(rescue_folder);
    }
    folders
}

/// Goes on in a new file in `folder`, `own` being the one so far; what was recorded, and the new
/// file's path.
///
/// # Errors
/// What kept the file from being made.
pub fn continue_recording(
    recorder: &mut Recorder<DiskFolder>,
    own: &DiskFolder,
    folder: &DiskFolder,
    now: Moment,
) -> Result<(Taken, PathBuf), WriterError> {
    let (first, newest) = (recorder.first_journal(), recorder.journal());
    let (first, newest) = (first.to_owned(), newest.to_owned());
    // A name stands for one file, wherever that lies: readers look for it in both folders.
    let places = [own, &rescue_folder()];
    let mut attempt = 0;
    loop {
        let name = continuation_name(&first, &newest, attempt);
        let is_taken = places.iter().any(|place| is_there(place, &name));
        if is_taken && attempt < NAMES_MAX {
            attempt += 1;
            continue;
        }
        match recorder.continue_in(folder, &name, now) {
            Err(WriterError::Exists { .. }) if attempt < NAMES_MAX => attempt += 1,
            done => return Ok((done?, folder.path().join(&name))),
        }
    }
}

/// The folder of a record that failed and what room it has, for the sentence about the failure.
pub fn folder_told(folder: &DiskFolder) -> String {
    let path = folder.path().display();
    match folder.free_bytes() {
        Some(bytes @ ..1_000_000) => format!("folder “{path}”, {} kB free", bytes / 1_000),
        Some(bytes) => format!("folder “{path}”, {} MB free", bytes / 1_000_000),
        None => format!("folder “{path}”"),
    }
}

/// Why a session is closed when nobody gave a reason.
pub fn close_reason(state: &State) -> &'static str {
    if state.study().is_some_and(Study::is_complete) {
        return "every reading of the study has been taken";
    }
    match state.current_target() {
        None if !state.parts().is_empty() => "all that was at hand has been measured",
        _ => "ended by the user or the end of input",
    }
}
