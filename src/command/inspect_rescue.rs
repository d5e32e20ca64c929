//! When the disk fails: what is NOT RECORDED is told, and the session goes on in a continuation,
//! elsewhere if need be. And the end of a session, which closes the record if it can be closed.

use super::inspect::Inspection;
use super::output::{Output, Stopped};
use super::problem::Problem;
use super::screen::counted;
use crate::journal::{Moment, WriterError};
use crate::session::{
    Command, Incoming, Retry, Unwritten, close_reason, continuation_folders, continue_recording,
    folder_told,
};

/// What became of readings that could not be recorded.
#[derive(Debug, Default)]
pub(super) struct Rescue {
    /// Something could not be recorded where it was to be.
    pub(super) has_failed: bool,
    /// Why, in a sentence, and its word.
    cause: Option<Problem>,
    /// So many of those that wait have been told.
    told: usize,
    retry: Retry,
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
            let place = folder_told(&self.folder);
            let message = format!("NOT RECORDED: {failure}; {place}.");
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
                Incoming::Taken(both) => {
                    Some(String::from_utf8_lossy(&both.0.raw).trim().to_owned())
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
        if self.recorder.has_failed() && now.mono_ms >= self.rescue.retry.at_ms() {
            self.retry(now, out).1?;
        }
        Ok(())
    }

    /// Tries the session's folder, then the rescue folder. Whether something more is recorded now,
    /// and whether that could be shown.
    fn retry(&mut self, now: Moment, out: &mut Output) -> (bool, Result<(), Stopped>) {
        let (mut progress, mut shown) = (false, Ok(()));
        for folder in continuation_folders(&self.folder) {
            match continue_recording(&mut self.recorder, &self.folder, &folder, now) {
                Ok((taken, path)) => {
                    out.message(&format!("Recording goes on in {}.", path.display()));
                    self.folder = folder;
                    self.rescue.told = self.rescue.told.min(self.recorder.unwritten().len());
                    progress |= !taken.recorded.is_empty();
                    shown = shown.and(self.shown(taken, out));
                }
                Err(error) => out.message(&format!("{error}; {}.", folder_told(&folder))),
            }
            if !self.recorder.has_failed() {
                self.rescue.told = 0;
                shown = shown.and(self.answer_held(out));
                progress = true;
                break;
            }
        }
        self.rescue.retry.tried(progress, now.mono_ms);
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

    /// Closes the record; a reading that still waits for an answer is set aside, what is not on
    /// the disk gets a last try. All that is done even when nothing can be shown any more.
    pub(super) fn close(&mut self, out: &mut Output) -> Result<(), Stopped> {
        let mut shown = self.retry_to_the_end(out);
        while self.recorder.state().bench().held.is_some() && !self.recorder.has_failed() {
            let reason = "not answered before the session was closed".to_owned();
            let belongs = false;
            shown = shown.and(self.ask(Command::AnswerHeld { belongs, reason }, out));
        }
        let study = self.recorder.state().study();
        let is_left_open = study.is_some_and(|study| !study.is_complete());
        if self.recorder.state().is_closed() {
            return shown;
        }
        if is_left_open {
            let path = self.folder.path().join(self.recorder.journal());
            out.message(&format!(
                "The study is left open. Go on with: fitledger gauge-study --continue {}",
                path.display()
            ));
            return shown.and(self.tell_lost(out));
        }
        let usual = || close_reason(self.recorder.state()).to_owned();
        let reason = self.ended_because.take().unwrap_or_else(usual);
        shown = shown.and(self.ask(Command::Close { reason }, out));
        shown = shown.and(self.retry_to_the_end(out));
        shown.and(self.tell_lost(out))
    }

    /// What is still NOT RECORDED at the end.
    fn tell_lost(&mut self, out: &mut Output) -> Result<(), Stopped> {
        let is_reading = |one: &&Unwritten| matches!(one.incoming, Incoming::Reading(_));
        let lost = self.recorder.unwritten().iter().filter(is_reading).count();
        if lost > 0 {
            let lost = counted(lost, "reading", "readings");
            let message = format!("{lost} could not be recorded anywhere.");
            let hint = "Write them down from the screen; measure again once the disk is mended.";
            let problem = Problem::outside("readings_not_recorded", message, Some(hint));
            return self.refuse("", &problem, out);
        }
        Ok(())
    }

    fn ask(&mut self, command: Command, out: &mut Output) -> Result<(), Stopped> {
        let now = self.inbox.clock().now();
        self.take(vec![(now, Incoming::Command(command))], out)
    }
}
