//! Decisions about parts of a session that is not running: a release the next day, a concession
//! that took a week. They are further events of the same record. To a closed one nothing is added
//! where it stands: it goes on in a further file, which is closed again at once.

use std::fmt;
use std::path::{Path, PathBuf};

use super::begin::PROGRAM;
use super::command::{Command, Refusal};
use super::decide::decide_command;
use super::opening::{IfClosed, OpeningError, Resumed, resume_session_if, session_parts};
use super::record_folders::folder_and_name;
use super::recorder::{Incoming, Recorded};
use super::replay::{Check, replay};
use super::runner::Clock;
use super::state::State;
use crate::journal::{DiskFolder, Link, Part, StorageFolder, WriterError, continuation_name};

/// So often it is begun again when another program decides about the same record meanwhile
/// (chosen): each time what that one decided is seen.
const TRIES_MAX: u32 = 10;
/// Why the further file of a closed session ends.
const DECIDED: &str = "decided after the session was closed";

/// What was decided and is on the disk.
#[derive(Debug)]
pub struct DecidedLater {
    /// The file that holds it.
    pub journal: PathBuf,
    /// The events, in order.
    pub recorded: Vec<Recorded>,
    /// The record's last line now.
    pub head: Link,
    /// The state of the session now.
    pub state: State,
}

/// Why nothing was decided, or not all of it.
#[derive(Debug)]
pub enum LaterError {
    /// The record cannot be read or taken up.
    Opening(OpeningError),
    /// What was asked cannot be done; nothing was recorded.
    Refused(Refusal),
    /// It could not be written.
    NotRecorded(WriterError),
}

impl LaterError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Opening(error) => error.code(),
            Self::Refused(refusal) => refusal.code(),
            Self::NotRecorded(error) => error.code(),
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Opening(OpeningError::Journal(WriterError::Locked { .. })) => Some(
                "The session is running, or another decision is just being recorded. Decide \
                     there, or close it first; otherwise try again."
                    .to_owned(),
            ),
            Self::Opening(error) => error.hint(),
            Self::Refused(refusal) => Some(refusal.hint().to_owned()),
            Self::NotRecorded(error) => Some(error.hint().to_owned()),
        }
    }

    /// Whether the outside world failed, as opposed to what was asked.
    pub fn is_outside(&self) -> bool {
        match self {
            Self::Opening(error) => error.is_outside(),
            Self::Refused(_) => false,
            Self::NotRecorded(_) => true,
        }
    }
}

impl fmt::Display for LaterError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Opening(error) => error.fmt(f),
            Self::Refused(refusal) => refusal.fmt(f),
            Self::NotRecorded(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for LaterError {}

impl From<OpeningError> for LaterError {
    fn from(error: OpeningError) -> Self {
        Self::Opening(error)
    }
}

/// Records decisions in the session of `journal`, all of them or none: each is tried before
/// anything is written. Of two programs that decide at the same time one sees what the other
/// decided, or is refused because the record is held.
///
/// # Errors
/// See [`LaterError`].
pub fn decide_later(journal: &Path, commands: &[Command]) -> Result<DecidedLater, LaterError> {
    let mut tries = 1;
    loop {
        match decide_once(journal, commands) {
            Err(LaterError::Opening(
                OpeningError::ContinuedIn { .. } | OpeningError::ChangedMeanwhile { .. },
            )) if tries < TRIES_MAX => tries += 1,
            answer => return answer,
        }
    }
}

fn decide_once(journal: &Path, commands: &[Command]) -> Result<DecidedLater, LaterError> {
    let (folder, name) = folder_and_name(journal);
    let name = newest_file(&folder, &name)?;
    try_out(&folder, &name, commands)?;
    let mut clock = None;
    let now = |last_ms, last_time| {
        let started = Clock::resuming(last_ms, last_time);
        let moment = started.now();
        clock = Some(started);
        moment
    };
    let continued = |first: &str, attempt| continuation_name(first, &name, attempt);
    let beside = IfClosed::GoOnBeside;
    let Resumed {
        mut recorder,
        last_ms,
        ..
    } = resume_session_if(&folder, &name, continued, PROGRAM, beside, now)?;
    let clock = clock.unwrap_or_else(|| Clock::starting_at(last_ms));
    let was_closed = recorder.state().is_closed();
    // What another program decided since they were tried may leave no room for them.
    let refused = fit(
        recorder.state().clone(),
        recorder.head().seq,
        last_ms,
        commands,
    )
    .err();
    let batch = commands
        .iter()
        .filter(|_| refused.is_none())
        .map(|command| (clock.now(), Incoming::Command(command.clone())));
    let mut taken = recorder.take(batch.collect());
    if was_closed && taken.failure.is_none() {
        let closed = recorder.state().closing(DECIDED.to_owned());
        let end = recorder.take(vec![(clock.now(), Incoming::Notice(closed))]);
        taken.recorded.extend(end.recorded);
        taken.failure = end.failure;
    }
    if let Some(error) = taken.failure {
        return Err(LaterError::NotRecorded(error));
    }
    let refused = refused.or_else(|| taken.refused.into_iter().next().map(|(_, why)| why));
    if let Some(refusal) = refused {
        return Err(LaterError::Refused(refusal));
    }
    Ok(DecidedLater {
        journal: folder.path().join(recorder.journal()),
        recorded: taken.recorded,
        head: recorder.head(),
        state: recorder.state().clone(),
    })
}

/// The file that the session goes on in, if that is another one.
fn newest_file(folder: &DiskFolder, name: &str) -> Result<String, LaterError> {
    match session_parts(folder, name) {
        Ok(_) => Ok(name.to_owned()),
        Err(OpeningError::ContinuedIn { newest, .. }) => Ok(newest),
        Err(error) => Err(error.into()),
    }
}

/// Whether each request can be carried out, one after the other; nothing is written.
fn try_out(folder: &DiskFolder, name: &str, commands: &[Command]) -> Result<(), LaterError> {
    let parts = session_parts(folder, name)?;
    let open = |part: &Part| folder.open_read(&part.name);
    let read = |cause| OpeningError::Read {
        name: name.to_owned(),
        cause,
    };
    let (_, replayed) = replay(&parts, open, Check::State).map_err(read)?;
    let Some(state) = replayed.state else {
        let name = name.to_owned();
        return Err(OpeningError::NothingToResume { name }.into());
    };
    let line = replayed.last.map_or(0, |last| last.seq);
    fit(state, line, replayed.last_ms, commands).map_err(LaterError::Refused)
}

/// Whether the requests can be carried out one after the other, `line` being the last one.
fn fit(mut state: State, mut line: u64, at_ms: u64, commands: &[Command]) -> Result<(), Refusal> {
    for command in commands {
        for event in decide_command(&state, command)? {
            line += 1;
            // What was just decided fits; if not, the recorder says so.
            drop(state.apply(line, at_ms, &event));
        }
    }
    Ok(())
}
