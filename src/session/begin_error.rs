//! Why no session could be begun, or gone on with: one form for the errors of every room.

use std::fmt;
use std::io;

use super::opening::OpeningError;
use super::rescue::folder_told;
use super::workspace::WorkspaceError;
use crate::gauge::RegisterError;
use crate::journal::{DiskFolder, WriterError};
use crate::wire::{AdapterError, PortError, PortFault};

/// Why a session was not begun. Nothing has been recorded then.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BeginError {
    /// The stable word for machines.
    pub code: &'static str,
    /// What is wrong, where, and what was expected.
    pub message: String,
    /// What to do next.
    pub hint: Option<String>,
    /// Whether the outside world failed (a port, the disk), as opposed to what was asked.
    pub is_outside: bool,
}

impl BeginError {
    /// What was asked is not right.
    pub fn bad(code: &'static str, message: impl Into<String>, hint: Option<&str>) -> Self {
        Self {
            code,
            message: message.into(),
            hint: hint.map(str::to_owned),
            is_outside: false,
        }
    }

    /// The outside world failed.
    pub fn outside(code: &'static str, message: impl Into<String>, hint: Option<&str>) -> Self {
        Self {
            is_outside: true,
            ..Self::bad(code, message, hint)
        }
    }

    /// Every problem of a gauge register in one.
    pub(super) fn register(errors: &[RegisterError]) -> Self {
        let sentences: Vec<String> = errors.iter().map(RegisterError::sentence).collect();
        let hint = errors.first().and_then(|error| error.hint());
        Self::bad(
            "gauge_register_invalid",
            sentences.join(" "),
            hint.as_deref(),
        )
    }

    /// What kept a journal from being opened or written, with its folder and what room that has.
    pub(super) fn in_folder(error: OpeningError, folder: &DiskFolder) -> Self {
        let of_disk = matches!(
            error,
            OpeningError::Journal(WriterError::Open { .. } | WriterError::NotRecorded { .. })
        );
        let mut told = Self::from(error);
        if of_disk {
            told.message = format!("{}; {}.", told.message, folder_told(folder));
        }
        told
    }

    /// The system gave no thread.
    pub(super) fn no_threads(error: &io::Error) -> Self {
        let message = format!("No thread could be started: {error}.");
        Self::outside(
            "no_threads",
            message,
            Some("Close other programs and try again."),
        )
    }
}

impl fmt::Display for BeginError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for BeginError {}

impl From<OpeningError> for BeginError {
    fn from(error: OpeningError) -> Self {
        Self {
            code: error.code(),
            message: error.to_string(),
            hint: error.hint(),
            is_outside: error.is_outside(),
        }
    }
}

impl From<WorkspaceError> for BeginError {
    /// A file that is not there or is no text was named wrongly; anything else is the disk.
    fn from(error: WorkspaceError) -> Self {
        let (code, message, hint) = (error.code(), error.to_string(), Some(error.hint()));
        match code {
            "file_not_found" | "file_not_text" | "file_too_large" => Self::bad(code, message, hint),
            _ => Self::outside(code, message, hint),
        }
    }
}

impl From<AdapterError> for BeginError {
    fn from(error: AdapterError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

impl From<PortError> for BeginError {
    /// What is no port, or several, was named wrongly; anything else is the outside world.
    fn from(error: PortError) -> Self {
        let (code, message, hint) = (error.code(), error.sentence(), Some(error.hint()));
        match error.fault {
            PortFault::NotSerial | PortFault::Several => Self::bad(code, message, hint),
            _ => Self::outside(code, message, hint),
        }
    }
}
