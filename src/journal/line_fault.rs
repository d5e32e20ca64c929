//! Why bytes are not a line, and why a line is not written.

use std::fmt;

use super::body::BodyFault;
use super::hash::Hash;
use super::line::{LONGEST_KIND, LONGEST_LINE, LONGEST_SESSION, VERSION};

/// Why bytes are not a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum LineFault {
    /// More than [`LONGEST_LINE`] bytes.
    TooLong,
    /// Not of the form: the first deviation, as a byte offset in the line.
    Form {
        /// Byte offset in the line.
        offset: usize,
        /// What would have been right there.
        expected: &'static str,
    },
    /// A version that this program does not know, and a hash that is right.
    Version {
        /// The version that the line names.
        found: u64,
    },
    /// The form is right, but the hash is not that of the bytes.
    Altered {
        /// The hash that the line carries.
        found: Hash,
        /// The hash of its bytes.
        computed: Hash,
    },
}

/// Why a line is not written. Nothing was written or changed.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum EncodeFault {
    /// The kind is not of the form.
    Kind {
        /// The kind that was given.
        found: String,
    },
    /// The body is not one JSON object without blanks.
    Body(BodyFault),
    /// The line would be longer than [`LONGEST_LINE`].
    TooLong {
        /// Bytes of the line that would be, LF included.
        found: usize,
    },
    /// The wall clock is outside the years 0000 to 9999.
    Time,
    /// `seq` or `mono` is above 2^53 - 1, or `seq` is 0.
    Number,
    /// The session has [`LONGEST_SESSION`] lines.
    SessionFull,
    /// The line did not read back as what it was made from: a fault of this program.
    NotReadBack,
}

impl fmt::Display for LineFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLong => write!(out, "longer than {LONGEST_LINE} bytes"),
            Self::Form { offset, expected } => {
                write!(
                    out,
                    "not a line of the journal: at its byte {offset}, expected {expected}"
                )
            }
            Self::Version { found } => {
                write!(
                    out,
                    "a line of version {found}; this program knows version {VERSION}"
                )
            }
            Self::Altered { found, computed } => {
                write!(
                    out,
                    "altered: it carries the hash {found}, its bytes give {computed}"
                )
            }
        }
    }
}

impl fmt::Display for EncodeFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Kind { found } => write!(
                out,
                "the kind {found:?} is not 1 to {LONGEST_KIND} lower-case letters, digits and _"
            ),
            Self::Body(fault) => write!(
                out,
                "the body is not one JSON object: at its byte {}, expected {}",
                fault.offset, fault.expected
            ),
            Self::TooLong { found } => {
                write!(
                    out,
                    "the line would take {found} bytes; the longest is {LONGEST_LINE}"
                )
            }
            Self::Time => write!(out, "the clock's time is outside the years 0000 to 9999"),
            Self::Number => write!(out, "a line's number is 0 or above 2^53 - 1"),
            Self::SessionFull => {
                write!(
                    out,
                    "the session has {LONGEST_SESSION} lines, the most it may have"
                )
            }
            Self::NotReadBack => {
                write!(
                    out,
                    "the line did not read back as it was made; this is a program fault"
                )
            }
        }
    }
}

impl EncodeFault {
    /// The fault in one snake_case word.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Kind { .. } => "bad_kind",
            Self::Body(_) => "bad_body",
            Self::TooLong { .. } => "line_too_long",
            Self::Time => "bad_time",
            Self::Number => "bad_number",
            Self::SessionFull => "session_full",
            Self::NotReadBack => "not_read_back",
        }
    }

    /// What to do next.
    #[must_use]
    pub fn hint(&self) -> &'static str {
        match self {
            Self::TooLong { .. } => "Shorten the note or name; nothing was written.",
            Self::Time => "Set the computer's clock.",
            Self::SessionFull => "Close this session and open a new one.",
            Self::Kind { .. } | Self::Body(_) | Self::Number | Self::NotReadBack => {
                "Nothing was written. Report this with the journal's last lines."
            }
        }
    }
}
