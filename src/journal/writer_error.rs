//! Why a journal was not opened or a line not recorded, and what to do next.

use std::{fmt, io};

use super::chain::Link;
use super::finding::Report;
use super::line_fault::EncodeFault;
use crate::quantity::counted;

/// What was being done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    /// Making the file.
    Create,
    /// Opening the file.
    Open,
    /// Reading the file.
    Read,
    /// Asking for the lock.
    Lock,
    /// Writing to the file.
    Write,
    /// Bringing the file to the disk.
    Sync,
    /// Bringing the folder's entry to the disk.
    SyncFolder,
    /// Looking whether the file is still in its place.
    Look,
}

/// An answer of the system, kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SystemError {
    /// The kind.
    pub kind: io::ErrorKind,
    /// The system's number.
    pub number: Option<i32>,
    /// The system's sentence.
    pub text: String,
}

impl From<io::Error> for SystemError {
    fn from(error: io::Error) -> Self {
        Self {
            kind: error.kind(),
            number: error.raw_os_error(),
            text: error.to_string(),
        }
    }
}

/// Why lines are not recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cause {
    /// The system answered with an error.
    System(SystemError),
    /// Fewer bytes were written than were given.
    Short {
        /// Bytes written.
        written: usize,
        /// Bytes given.
        of: usize,
    },
    /// The file was renamed, replaced or removed.
    NotInPlace,
    /// Another program wrote to the file or cut it.
    Length {
        /// Bytes of the file.
        found: u64,
        /// Bytes that it should have.
        expected: u64,
    },
}

/// What is not recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unrecorded {
    /// What failed.
    pub action: Action,
    /// Why.
    pub cause: Cause,
    /// The last line that is recorded.
    pub acknowledged: Link,
    /// The number of the last line that is not; the first is `acknowledged.seq + 1`.
    pub last: u64,
}

/// Why a journal was not opened, or a line not taken or not recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum WriterError {
    /// A file of that name is there already.
    Exists {
        /// The file.
        name: String,
    },
    /// Another program writes this journal.
    Locked {
        /// The file.
        name: String,
        /// Who, where that can be known.
        holder: Option<String>,
    },
    /// The file could not be made ready.
    Open {
        /// The file.
        name: String,
        /// What failed.
        action: Action,
        /// The system's answer.
        error: SystemError,
    },
    /// The journal is damaged; nothing was written to it.
    Damaged {
        /// The file.
        name: String,
        /// What was found. `report.head` is where a continuation goes on.
        report: Box<Report>,
    },
    /// The session is closed; nothing may follow.
    Closed {
        /// The file.
        name: String,
    },
    /// The line is not of the form, too long, or one too many; nothing has changed.
    Refused {
        /// The file.
        name: String,
        /// Why.
        fault: EncodeFault,
    },
    /// More would wait for one commit than may; nothing has changed.
    CommitTooLarge {
        /// The file.
        name: String,
    },
    /// Lines are not recorded, and this file takes no more.
    NotRecorded {
        /// The file.
        name: String,
        /// Which lines, and why.
        unrecorded: Box<Unrecorded>,
    },
    /// A continuation was asked for a journal that did not fail.
    NotFailed {
        /// The file.
        name: String,
    },
}

impl WriterError {
    pub(crate) fn open(name: &str, action: Action, error: io::Error) -> Self {
        Self::Open {
            name: name.to_owned(),
            action,
            error: error.into(),
        }
    }

    /// The error in one snake_case word.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Exists { .. } => "journal_exists",
            Self::Locked { .. } => "journal_locked",
            Self::Open { .. } => "journal_not_opened",
            Self::Damaged { .. } => "journal_damaged",
            Self::Closed { .. } => "journal_closed",
            Self::Refused { fault, .. } => fault.code(),
            Self::CommitTooLarge { .. } => "commit_too_large",
            Self::NotRecorded { .. } => "not_recorded",
            Self::NotFailed { .. } => "journal_not_failed",
        }
    }

    /// What to do next.
    #[must_use]
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Exists { .. } => "Choose another name; an existing journal is never replaced.",
            Self::Locked { .. } => "Close the other program, or open this journal for reading.",
            Self::Open { .. } => "Check the folder, its free space and its rights, or use another.",
            Self::Damaged { .. } => "Keep the file as it is, and go on in a continuation.",
            Self::Closed { .. } => "Open a new session.",
            Self::Refused { fault, .. } => fault.hint(),
            Self::CommitTooLarge { .. } => "Commit, then append again.",
            Self::NotRecorded { unrecorded, .. } => match &unrecorded.cause {
                Cause::System(error) if is_full(error.kind) => {
                    "Free some space or choose another folder, then retry: a new file goes on."
                }
                _ => "Choose another folder or disk, then retry: a new file goes on.",
            },
            Self::NotFailed { .. } => "Go on in the same file.",
        }
    }
}

impl WriterError {
    /// Why, in one short sentence without the file's name: for where there is little room.
    #[must_use]
    pub fn reason(&self) -> String {
        let Self::NotRecorded { unrecorded, .. } = self else {
            return self.to_string();
        };
        match (&unrecorded.cause, unrecorded.action) {
            (Cause::System(error), _) if is_full(error.kind) => "The disk is full.".to_owned(),
            (cause, action) => {
                let sentence = format!("{action} failed: {cause}.");
                let mut letters = sentence.chars();
                let first = letters.next().map(|first| first.to_ascii_uppercase());
                first.into_iter().chain(letters).collect()
            }
        }
    }
}

fn is_full(kind: io::ErrorKind) -> bool {
    matches!(
        kind,
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge
    )
}

impl fmt::Display for Action {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Create => "making the file",
            Self::Open => "opening the file",
            Self::Read => "reading the file",
            Self::Lock => "locking the file",
            Self::Write => "writing to the file",
            Self::Sync => "bringing the file to the disk",
            Self::SyncFolder => "bringing the folder's entry to the disk",
            Self::Look => "looking for the file in its folder",
        })
    }
}

impl fmt::Display for Cause {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::System(error) => write!(out, "{}", error.text),
            Self::Short { written, of } => write!(out, "only {written} of {of} bytes were taken"),
            Self::NotInPlace => write!(out, "it was renamed, replaced or removed"),
            Self::Length { found, expected } => write!(
                out,
                "it has {found} bytes instead of {expected}: another program changed it"
            ),
        }
    }
}

impl fmt::Display for WriterError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Exists { name } => write!(out, "journal {name}: a file of that name exists"),
            Self::Locked {
                name,
                holder: Some(holder),
            } => {
                write!(out, "journal {name}: {holder} is writing it")
            }
            Self::Locked { name, holder: None } => {
                write!(out, "journal {name}: another program is writing it")
            }
            Self::Open {
                name,
                action,
                error,
            } => {
                write!(out, "journal {name}: {action} failed: {}", error.text)
            }
            Self::Damaged { name, report } => {
                let found = report.findings.len() as u64 + report.more_findings;
                write!(
                    out,
                    "journal {name}: damaged, {}",
                    counted(found, "finding")
                )?;
                report
                    .findings
                    .first()
                    .map_or(Ok(()), |first| write!(out, "; first, {first}"))
            }
            Self::Closed { name } => write!(out, "journal {name}: the session is closed"),
            Self::Refused { name, fault } => write!(out, "journal {name}: {fault}"),
            Self::CommitTooLarge { name } => {
                write!(
                    out,
                    "journal {name}: too much is waiting to be written at once"
                )
            }
            Self::NotRecorded { name, unrecorded } => {
                let Unrecorded {
                    action,
                    cause,
                    acknowledged,
                    last,
                } = unrecorded.as_ref();
                let first = acknowledged.seq + 1;
                write!(
                    out,
                    "journal {name}: events {first} to {last} are NOT RECORDED: "
                )?;
                write!(out, "{action} failed: {cause}")
            }
            Self::NotFailed { name } => write!(out, "journal {name}: did not fail"),
        }
    }
}

impl std::error::Error for WriterError {}
