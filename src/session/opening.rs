//! How a session begins: a new journal with its first event, or an unfinished one taken up again
//! at the same characteristic.

use std::fmt;
use std::io;
use std::sync::Arc;

use sha2::{Digest, Sha256};

use super::recorder::{Recorder, clock_step};
use super::replay::{Check, Replayed, replay};
use super::setup::{Setup, SetupError};
use super::state::State;
use crate::journal::{
    ContinuationOf, Event, FileStart, JournalWriter, Link, Moment, Part, Report, SessionOpened,
    StorageFolder, WriterError, body_of, hold, sessions,
};
use crate::tolerance::Tables;

/// So many names are tried for a new journal before that counts as a failure.
const NAMES_MAX: u32 = 100;

/// Why no session could be begun.
#[derive(Debug)]
pub enum OpeningError {
    /// The plan, the register or the house tables are not right.
    Setup(SetupError),
    /// The journal could not be made or written.
    Journal(WriterError),
    /// A file could not be read.
    Read {
        /// Its name.
        name: String,
        /// What the system answered.
        cause: io::Error,
    },
    /// The journal's first event is missing or damaged, so there is nothing to go on with.
    NothingToResume {
        /// The file.
        name: String,
    },
    /// Another program wrote to the file between reading and locking it.
    ChangedMeanwhile {
        /// The file.
        name: String,
    },
    /// The file goes on in another one; that one is to be taken up.
    ContinuedIn {
        /// The file asked for.
        name: String,
        /// The newest file of the session.
        newest: String,
    },
}

impl OpeningError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Setup(error) => error.code,
            Self::Journal(error) => error.code(),
            Self::Read { .. } => "journal_not_read",
            Self::NothingToResume { .. } => "nothing_to_resume",
            Self::ContinuedIn { .. } => "continued_elsewhere",
            Self::ChangedMeanwhile { .. } => "journal_changed",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Setup(error) => error.hint.clone(),
            Self::Journal(error) => Some(error.hint().to_owned()),
            Self::Read { .. } => Some("Check the name, the folder and the disk.".to_owned()),
            Self::NothingToResume { .. } => {
                Some("Look at it with fitledger verify, and open a new session.".to_owned())
            }
            Self::ChangedMeanwhile { .. } => Some("Try again.".to_owned()),
            Self::ContinuedIn { newest, .. } => Some(format!("Continue {newest} instead.")),
        }
    }

    /// Whether the outside world failed, as opposed to what was asked.
    pub fn is_outside(&self) -> bool {
        match self {
            Self::Journal(error) => !matches!(error, WriterError::Closed { .. }),
            Self::Read { .. } => true,
            _ => false,
        }
    }
}

impl fmt::Display for OpeningError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Setup(error) => error.fmt(f),
            Self::Journal(error) => error.fmt(f),
            Self::Read { name, cause } => write!(f, "{name} could not be read: {cause}."),
            Self::NothingToResume { name } => {
                write!(f, "{name} holds no session that could be taken up again.")
            }
            Self::ChangedMeanwhile { name } => {
                write!(
                    f,
                    "{name} was written to by another program while it was being opened."
                )
            }
            Self::ContinuedIn { name, newest } => {
                write!(f, "{name} goes on in {newest}.")
            }
        }
    }
}

impl std::error::Error for OpeningError {}

impl From<WriterError> for OpeningError {
    fn from(error: WriterError) -> Self {
        Self::Journal(error)
    }
}

/// SHA-256 over the names and texts of all tolerance tables, in hexadecimal: what a record was
/// judged by.
pub(super) fn tables_digest(tables: &Tables) -> String {
    let mut digest = Sha256::new();
    for (name, text) in tables.texts() {
        for piece in [name, text] {
            digest.update((piece.len() as u64).to_be_bytes());
            digest.update(piece.as_bytes());
        }
    }
    digest
        .finalize()
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// The tables of a session: the program's, with the house files that it names.
///
/// # Errors
/// A house file that is not right.
pub(super) fn session_tables(opened: &SessionOpened) -> Result<Tables, SetupError> {
    super::setup_house::tables_of(opened)
}

/// A new session in a new journal file. `name` gives the name for each attempt, the first being
/// 0: a name that is taken is not written to.
///
/// # Errors
/// [`OpeningError::Setup`] before any file is made, [`OpeningError::Journal`].
pub fn open_session<F: StorageFolder>(
    folder: &F,
    name: impl Fn(u32) -> String,
    opened: SessionOpened,
    moment: Moment,
) -> Result<Recorder<F>, OpeningError> {
    let setup = Setup::of(&opened).map_err(OpeningError::Setup)?;
    let mut attempt = 0;
    let mut writer = loop {
        match JournalWriter::create(folder, &name(attempt)) {
            Err(WriterError::Exists { .. }) if attempt < NAMES_MAX => attempt += 1,
            made => break made?,
        }
    };
    let event = Event::SessionOpened(Box::new(opened));
    writer.append(event.kind(), &body_of(&event), moment)?;
    writer.commit()?;
    Ok(Recorder::new(writer, State::new(Arc::new(setup))))
}

/// A session taken up again.
pub struct Resumed<F: StorageFolder> {
    /// Goes on writing.
    pub recorder: Recorder<F>,
    /// What was found in the files.
    pub reports: Vec<Report>,
    /// Monotonic milliseconds to count on from.
    pub last_ms: u64,
}

/// The files that lead to the journal `name`, the oldest first.
///
/// # Errors
/// [`OpeningError::Read`], [`OpeningError::ContinuedIn`].
pub fn session_parts<F: StorageFolder>(folder: &F, name: &str) -> Result<Vec<Part>, OpeningError> {
    let read = |name: &str, cause| OpeningError::Read {
        name: name.to_owned(),
        cause,
    };
    let mut starts = Vec::new();
    for other in folder.list().map_err(|cause| read(name, cause))? {
        if !other.ends_with(".jsonl") && other != name {
            continue;
        }
        let source = folder
            .open_read(&other)
            .map_err(|cause| read(&other, cause))?;
        starts.push(FileStart::read(&other, source).map_err(|cause| read(&other, cause))?);
    }
    let holds = |session: &&crate::journal::SessionFiles| {
        session.parts.iter().any(|part| part.name == name)
    };
    let found = sessions(&starts)
        .into_iter()
        .find(|session| holds(&session));
    let Some(session) = found else {
        return Err(read(name, io::Error::from(io::ErrorKind::NotFound)));
    };
    match session.parts.last() {
        Some(newest) if newest.name != name => Err(OpeningError::ContinuedIn {
            name: name.to_owned(),
            newest: newest.name.clone(),
        }),
        _ => Ok(session.parts),
    }
}

/// Whether a closed session may be taken up again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum IfClosed {
    /// No: nothing is measured in it any more.
    Refuse,
    /// In a further file, for what people decide about its parts afterwards.
    GoOnBeside,
}

/// Takes up the unfinished session of the journal `name`. A damaged file is not written to: the
/// session goes on in a new file beside it, named by `continued` from the name of the session's
/// first file and the number of the attempt, the first being 0.
///
/// # Errors
/// See [`OpeningError`]; a closed session cannot be taken up.
pub fn resume_session<F: StorageFolder>(
    folder: &F,
    name: &str,
    continued: impl Fn(&str, u32) -> String,
    program: &str,
    now: impl FnOnce(u64, Option<jiff::Timestamp>) -> Moment,
) -> Result<Resumed<F>, OpeningError> {
    resume_session_if(folder, name, continued, program, IfClosed::Refuse, now)
}

/// As [`resume_session`]; `if_closed` says what becomes of a closed one.
///
/// # Errors
/// As there.
pub(super) fn resume_session_if<F: StorageFolder>(
    folder: &F,
    name: &str,
    continued: impl Fn(&str, u32) -> String,
    program: &str,
    if_closed: IfClosed,
    now: impl FnOnce(u64, Option<jiff::Timestamp>) -> Moment,
) -> Result<Resumed<F>, OpeningError> {
    let parts = session_parts(folder, name)?;
    let open = |part: &Part| folder.open_read(&part.name);
    let (reports, replayed) =
        replay(&parts, open, Check::State).map_err(|cause| OpeningError::Read {
            name: name.to_owned(),
            cause,
        })?;
    let Replayed {
        opened,
        state,
        last_ms,
        last_time,
        ..
    } = replayed;
    let (Some(opened), Some(state)) = (opened, state) else {
        return Err(OpeningError::NothingToResume {
            name: name.to_owned(),
        });
    };
    if state.is_closed() && if_closed == IfClosed::Refuse {
        let name = name.to_owned();
        return Err(WriterError::Closed { name }.into());
    }
    let moment = now(last_ms, last_time);
    let first = parts.first().map_or(name, |part| &part.name).to_owned();
    let continued = |attempt| continued(&first, attempt);
    let mut writer = writer_of(folder, name, continued, replayed.last, if_closed, moment)?;
    let tables = session_tables(&opened).map_err(OpeningError::Setup)?;
    let last = last_time.map(|time| Moment {
        time,
        mono_ms: last_ms,
    });
    // The clock may have been set back while no program was running.
    let stepped = last.and_then(|last| clock_step(last, moment));
    let resumed = Event::SessionResumed {
        program: program.to_owned(),
        tables: tables_digest(&tables),
    };
    for event in stepped.into_iter().chain([resumed]) {
        writer.append(event.kind(), &body_of(&event), moment)?;
    }
    writer.commit()?;
    let recorder = Recorder::resumed(writer, state, moment, first);
    Ok(Resumed {
        recorder,
        reports,
        last_ms,
    })
}

/// The file to go on in: the journal itself, or a new one beside it that continues it after `last`.
/// No two programs go on after the same line: whoever makes the new file holds the old one, and has
/// looked whether another was made since the session was read.
fn writer_of<F: StorageFolder>(
    folder: &F,
    name: &str,
    continued: impl Fn(u32) -> String,
    last: Option<Link>,
    if_closed: IfClosed,
    moment: Moment,
) -> Result<JournalWriter<F::File>, OpeningError> {
    let link = match JournalWriter::open(folder, name, moment, |_| {}) {
        Ok((writer, report)) if Some(report.head) == last => {
            session_parts(folder, name)?;
            return Ok(writer);
        }
        Ok(_) => {
            return Err(OpeningError::ChangedMeanwhile {
                name: name.to_owned(),
            });
        }
        Err(WriterError::Damaged { report, .. }) => report.head,
        Err(WriterError::Closed { .. }) if if_closed == IfClosed::GoOnBeside => match last {
            Some(last) => last,
            None => {
                return Err(OpeningError::NothingToResume {
                    name: name.to_owned(),
                });
            }
        },
        Err(error) => return Err(error.into()),
    };
    let _held_until_it_is_made = hold(folder, name)?;
    session_parts(folder, name)?;
    let file = name.to_owned();
    continue_beside(folder, &continued, &ContinuationOf { file, link }, moment)
}

fn continue_beside<F: StorageFolder>(
    folder: &F,
    continued: impl Fn(u32) -> String,
    origin: &ContinuationOf,
    moment: Moment,
) -> Result<JournalWriter<F::File>, OpeningError> {
    let mut attempt = 0;
    loop {
        match JournalWriter::continue_from(folder, &continued(attempt), origin, moment) {
            Err(WriterError::Exists { .. }) if attempt < NAMES_MAX => attempt += 1,
            made => return Ok(made?),
        }
    }
}
