//! Work on a record that may take a while: a terminal shows how far it is, and Ctrl-C ends it
//! without leaving anything half done.

use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};

use super::problem::Problem;
use super::signals::Interrupted;
use super::write_whole::{Whole, write_whole};
use crate::session::{Catalogue, Progress, Workspace};

/// Work that goes on; what shows it is gone when it ends, however it ends.
pub(super) struct Work {
    bar: ProgressBar,
    interrupted: Interrupted,
}

impl Work {
    /// Begins it, and watches for Ctrl-C. The first one ends the work at its next step; a second
    /// one ends the program at once, but not while it writes.
    ///
    /// # Errors
    /// `signal_failed`: Ctrl-C cannot be watched.
    pub(super) fn begin() -> Result<Self, Problem> {
        let interrupted = Interrupted::watched_once().map_err(|error| {
            let message = format!("Ctrl-C cannot be watched: {error}.");
            Problem::outside("signal_failed", message, None)
        })?;
        // Shown only where standard error is a terminal.
        let bar = ProgressBar::new_spinner();
        let style = ProgressStyle::with_template("{spinner} {msg}  {elapsed}");
        let bar = bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_spinner()));
        bar.enable_steady_tick(Duration::from_millis(120));
        Ok(Self { bar, interrupted })
    }

    /// The next step, in words.
    ///
    /// # Errors
    /// `interrupted`: the end was wished for.
    pub(super) fn step(&self, words: String) -> Result<(), Problem> {
        self.bar.set_message(words);
        self.goes_on()
    }

    fn goes_on(&self) -> Result<(), Problem> {
        match self.interrupted.is_wished() {
            true => Err(interrupted()),
            false => Ok(()),
        }
    }

    /// The workspace's sessions; none where they cannot be looked through now.
    ///
    /// # Errors
    /// `interrupted`; what was read by then is kept for the next time.
    pub(super) fn catalogue(&self, workspace: &Workspace) -> Result<Option<Catalogue>, Problem> {
        let opened = Catalogue::open(workspace, |Progress { done, of }| {
            let words = format!("looking through records: {done} of {of}");
            self.bar.set_message(words);
            !self.interrupted.is_wished()
        });
        self.goes_on()?;
        Ok(opened.ok())
    }

    /// Writes all of the files or none; see [`write_whole`].
    ///
    /// # Errors
    /// As there, and `interrupted`.
    pub(super) fn write(&self, files: &[Whole<'_>], replace: bool) -> Result<(), Problem> {
        self.interrupted.wait_for_the_end();
        write_whole(files, replace, &|| self.goes_on())
    }
}

impl Drop for Work {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

fn interrupted() -> Problem {
    let message = "Stopped as asked, before anything was written.".to_owned();
    let hint = "What was there is as it was. Ask again for the whole.";
    Problem::outside("interrupted", message, Some(hint))
}
