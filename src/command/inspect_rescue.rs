//! When the disk fails: what is NOT RECORDED is told, and the session goes on in a continuation,
//! elsewhere if need be. And the end of a session, which closes the record if it can be closed.

use std::fs;

use super::inspect::Inspection;
use super::output::{Output, Stopped};
use super::problem::Problem;
use crate::journal::{DiskFolder, Moment, WriterError};
use crate::session::{Command, Incoming, State, Taken, Unwritten};

/// A failed journal is not tried again sooner, and later ever more rarely, down to the second
/// (chosen): each try may leave an empty file behind.
const RETRY_AFTER_MS: u64 = 2_000;
const RETRY_AFTER_MAX_MS: u64 = 64_000;
/// So many names are tried for a continuation before that counts as a failure.
const NAMES_MAX: u32 = 100;

/// What became of readings that could not be recorded.
#[derive(Debug, Default)]
pub(super) struct Rescue {
    /// Something could not be recorded where it was to be.
    pub(super) has_failed: bool,
    /// Why, in a sentence, and its word.
    cause: Option<Problem>,
    /// So many of those that wait have been told.
    told: usize,
    retry_at_ms: u64,
    wait_ms: u64,
}

/// Where a session goes on when its own folder fails.
pub(super) fn rescue_folder() -> DiskFolder {
    DiskFolder::new(std::env::temp_dir().join("fitledger-sessions"))
}

impl Inspection {
    /// Tells each reading that is NOT RECORDED, once, with the reason.
    pub(super) fn tell_unrecorded(
        &mut self,
        failure: Option<&WriterError>,
        out: &mut Output,
    ) -> Result<(), Stopped> {
        if let Some(failure) = failure {
            self.rescue.has_failed = true;
            let message = format!("NOT RECORDED: {failure}");
            let problem = Problem::outside(failure.code(), message, Some(failure.hint()));
            self.refuse("", &problem, out)?;
            self.rescue.cause = Some(problem);
        }
        let waiting = self.recorder.unwritten();
        let new: Vec<String> = waiting
            .iter()
            .skip(self.rescue.told)
            .filter_map(|one| match &one.incoming {
                Incoming::Reading(reading) => {
                    Some(String::from_utf8_lossy(&reading.raw).trim().to_owned())
                }
                Incoming::Notice(_) | Incoming::Command(_) => None,
            })
            .collect();
        self.rescue.told = waiting.len();
        for raw in new {
            let code = self
                .rescue
                .cause
                .as_ref()
                .map_or("not_recorded", |cause| cause.code);
            let message = format!("NOT RECORDED: “{}”.", raw.escape_debug());
            let hint = "It is kept in memory and is tried again; do not end the program.";
            let problem = Problem::outside(code, message, Some(hint));
            self.refuse(&raw, &problem, out)?;
        }
        Ok(())
    }

    /// After a failure the session goes on in a continuation, as soon as one can be made.
    pub(super) fn retry_when_due(&mut self, out: &mut Output) -> Result<(), Stopped> {
        let now = self.inbox.clock().now();
        if self.recorder.has_failed() && now.mono_ms >= self.rescue.retry_at_ms {
            self.retry(now, out).1?;
        }
        Ok(())
    }

    /// Tries the session's folder, then the rescue folder: a full disk may take the first line of
    /// a new file and no more. Whether something more is recorded now, and whether that could be
    /// shown.
    fn retry(&mut self, now: Moment, out: &mut Output) -> (bool, Result<(), Stopped>) {
        let mut folders = vec![self.folder.clone()];
        let rescue_folder = rescue_folder();
        if rescue_folder.path() != self.folder.path() {
            // If it cannot be made, the continuation says so.
            drop(fs::create_dir_all(rescue_folder.path()));
            folders.push(rescue_folder);
        }
        let (mut progress, mut shown) = (false, Ok(()));
        for folder in folders {
            match self.continue_in(&folder, now) {
                Ok((taken, name)) => {
                    let path = folder.path().join(&name);
                    out.message(&format!("Recording goes on in {}.", path.display()));
                    self.folder = folder;
                    self.rescue.told = self.rescue.told.min(self.recorder.unwritten().len());
                    progress |= !taken.recorded.is_empty();
                    shown = shown.and(self.shown(taken, out));
                }
                Err(error) => out.message(&error.to_string()),
            }
            if !self.recorder.has_failed() {
                self.rescue.told = 0;
                shown = shown.and(self.answer_held(out));
                progress = true;
                break;
            }
        }
        let rescue = &mut self.rescue;
        rescue.wait_ms = if progress {
            0
        } else {
            (rescue.wait_ms * 2).clamp(RETRY_AFTER_MS, RETRY_AFTER_MAX_MS)
        };
        rescue.retry_at_ms = now.mono_ms.saturating_add(rescue.wait_ms);
        if !progress {
            self.end_unattended_play();
        }
        (progress, shown)
    }

    /// Tries for as long as that brings something more to the disk.
    fn retry_to_the_end(&mut self, out: &mut Output) -> Result<(), Stopped> {
        let mut all_shown = Ok(());
        while self.recorder.has_failed() {
            let (progress, shown) = self.retry(self.inbox.clock().now(), out);
            all_shown = all_shown.and(shown);
            if !progress {
                break;
            }
        }
        all_shown
    }

    fn continue_in(
        &mut self,
        folder: &DiskFolder,
        now: Moment,
    ) -> Result<(Taken, String), WriterError> {
        let stem = self
            .recorder
            .journal()
            .trim_end_matches(".jsonl")
            .to_owned();
        // A name stands for one file, wherever that lies: readers look for it in both folders.
        let places = [
            self.folder.path().to_owned(),
            rescue_folder().path().to_owned(),
        ];
        let mut number = 2;
        loop {
            let name = format!("{stem}-{number}.jsonl");
            let is_taken = places.iter().any(|place| place.join(&name).exists());
            if is_taken && number < NAMES_MAX {
                number += 1;
                continue;
            }
            match self.recorder.continue_in(folder, &name, now) {
                Err(WriterError::Exists { .. }) if number < NAMES_MAX => number += 1,
                done => return Ok((done?, name)),
            }
        }
    }

    /// Closes the record; a reading that still waits for an answer is set aside, what is not on
    /// the disk gets a last try. All that is done even when nothing can be shown any more.
    pub(super) fn close(&mut self, out: &mut Output) -> Result<(), Stopped> {
        let mut shown = self.retry_to_the_end(out);
        while self.recorder.state().bench().held.is_some() && !self.recorder.has_failed() {
            let reason = "not answered before the session was closed".to_owned();
            let belongs = false;
            shown = shown.and(self.ask(Command::AnswerHeld { belongs, reason }, out));
        }
        if self.recorder.state().is_closed() {
            return shown;
        }
        let usual = || close_reason(self.recorder.state()).to_owned();
        let reason = self.ended_because.take().unwrap_or_else(usual);
        shown = shown.and(self.ask(Command::Close { reason }, out));
        shown = shown.and(self.retry_to_the_end(out));
        let is_reading = |one: &&Unwritten| matches!(one.incoming, Incoming::Reading(_));
        let lost = self.recorder.unwritten().iter().filter(is_reading).count();
        if lost > 0 {
            let message = format!("{lost} readings could not be recorded anywhere.");
            let hint = "Write them down from the screen; measure again once the disk is mended.";
            let problem = Problem::outside("readings_not_recorded", message, Some(hint));
            shown = shown.and(self.refuse("", &problem, out));
        }
        shown
    }

    fn ask(&mut self, command: Command, out: &mut Output) -> Result<(), Stopped> {
        let now = self.inbox.clock().now();
        self.take(vec![(now, Incoming::Command(command))], out)
    }
}

fn close_reason(state: &State) -> &'static str {
    match state.current_target() {
        None if !state.parts().is_empty() => "all that was at hand has been measured",
        _ => "ended by the user or the end of input",
    }
}
