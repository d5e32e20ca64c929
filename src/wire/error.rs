//! What can be wrong with bytes on the wire, and with the description of an adapter.

use std::fmt;

/// Why a frame gives no reading. The first fourteen are the wire's own error names; the last is
/// this program's, for a number that was sent well but is no whole number of nanometres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum WireError {
    /// The line went idle, or a new frame began, before the frame was complete.
    Truncated,
    /// No end within the adapter's longest frame.
    TooLong,
    /// A byte that no text frame holds: outside 20h to 7Eh.
    BadChar,
    /// The text does not fit the adapter's pattern, or the number in it is none.
    Malformed,
    /// The frame is not as wide as its columns.
    WrongLength,
    /// Another number of decimals than the adapter declares.
    WrongDecimals,
    /// A unit that the adapter does not name, or none where one is needed.
    UnknownUnit,
    /// A status code that the adapter does not name.
    UnknownStatus,
    /// A 4-bit group that is no decimal digit.
    BadDigit,
    /// Bytes before the start of a frame.
    BadHeader,
    /// The check bytes do not agree with the frame.
    BadCheck,
    /// The reply of another address.
    WrongAddress,
    /// The device answered with an error.
    DeviceError,
    /// Beyond the measuring range that the adapter declares, or beyond 10 m.
    OutOfLimits,
    /// No whole number of nanometres, or more digits than can be held exactly (30).
    NotExact,
}

impl WireError {
    /// Every error with its name.
    pub const WORDS: [(Self, &'static str); 15] = [
        (Self::Truncated, "truncated"),
        (Self::TooLong, "too_long"),
        (Self::BadChar, "bad_char"),
        (Self::Malformed, "malformed"),
        (Self::WrongLength, "wrong_length"),
        (Self::WrongDecimals, "wrong_decimals"),
        (Self::UnknownUnit, "unknown_unit"),
        (Self::UnknownStatus, "unknown_status"),
        (Self::BadDigit, "bad_digit"),
        (Self::BadHeader, "bad_header"),
        (Self::BadCheck, "bad_check"),
        (Self::WrongAddress, "wrong_address"),
        (Self::DeviceError, "device_error"),
        (Self::OutOfLimits, "out_of_limits"),
        (Self::NotExact, "not_exact"),
    ];

    /// The error's name in files and JSON.
    pub fn code(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(error, _)| *error == self)
            .map_or("malformed", |(_, word)| word)
    }

    /// The error of that name.
    pub fn from_code(code: &str) -> Option<Self> {
        Self::WORDS
            .iter()
            .find(|(_, known)| *known == code)
            .map(|(error, _)| *error)
    }

    /// What to do about it, one sentence.
    pub fn hint(self) -> &'static str {
        match self {
            Self::Truncated => "Press again; if it comes again, check the cable and the line end.",
            Self::TooLong | Self::BadChar => {
                "Compare speed, data bits and parity with the gauge; press again."
            }
            Self::Malformed | Self::WrongLength | Self::BadHeader => {
                "Compare the adapter with what the gauge sends; listening shows the bytes."
            }
            Self::WrongDecimals => "Check the resolution that the gauge is set to.",
            Self::UnknownUnit => "Check the gauge's unit key, or add the unit to the adapter.",
            Self::UnknownStatus => "Add the code to the adapter once its meaning is known.",
            Self::BadDigit | Self::BadCheck => "Press again; check the cable.",
            Self::WrongAddress => "Check which gauge the line belongs to.",
            Self::DeviceError => "Look at the gauge's display.",
            Self::OutOfLimits => "Check the unit and the adapter's limits.",
            Self::NotExact => "Set the gauge to a coarser step; the number is no whole nanometre.",
        }
    }

    fn sentence(self) -> &'static str {
        match self {
            Self::Truncated => "the frame broke off before its end",
            Self::TooLong => "the frame is longer than the adapter allows",
            Self::BadChar => "the frame holds a byte that is no plain character",
            Self::Malformed => "the frame does not fit the adapter",
            Self::WrongLength => "the frame is not as wide as the adapter says",
            Self::WrongDecimals => "the number has not the decimals that the adapter says",
            Self::UnknownUnit => "the unit is not one of the adapter's",
            Self::UnknownStatus => "the status code is not one of the adapter's",
            Self::BadDigit => "a group of the frame is no digit",
            Self::BadHeader => "bytes came before the start of a frame",
            Self::BadCheck => "the check characters do not agree with the frame",
            Self::WrongAddress => "the reply comes from another address",
            Self::DeviceError => "the device answered with an error",
            Self::OutOfLimits => "the value is beyond the gauge's range",
            Self::NotExact => "the value is no whole number of nanometres",
        }
    }
}

impl fmt::Display for WireError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "No reading: {}. {}", self.sentence(), self.hint())
    }
}

impl std::error::Error for WireError {}

/// Why a text is no adapter. Lines and columns count from 1, columns in characters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AdapterError {
    /// The text is no TOML, or holds an unknown key or a value of the wrong kind.
    Syntax {
        /// Line of the fault.
        line: usize,
        /// Column of the fault.
        column: usize,
        /// What is wrong and what was expected, in the parser's words.
        message: String,
    },
    /// A key that is needed is not there.
    Missing {
        /// The adapter.
        adapter: String,
        /// The key, with its table: `trigger.send_hex`.
        key: String,
        /// What it must hold.
        expected: String,
        /// Line of the table that lacks it.
        line: usize,
        /// Column of that table.
        column: usize,
    },
    /// A value that the key cannot have.
    Value {
        /// The adapter.
        adapter: String,
        /// The key, with its table: `line.parity`.
        key: String,
        /// What is there.
        found: String,
        /// What may be there.
        expected: String,
        /// Line of the value.
        line: usize,
        /// Column of the value.
        column: usize,
    },
    /// No adapter of that name.
    Unknown {
        /// The name that was asked for.
        name: String,
        /// The names that exist.
        known: Vec<String>,
    },
    /// The text holds several adapters and none was named.
    Several {
        /// Their names.
        names: Vec<String>,
    },
}

impl AdapterError {
    /// The error's stable word for machines.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Syntax { .. } => "adapter_syntax",
            Self::Missing { .. } => "adapter_missing",
            Self::Value { .. } => "adapter_value",
            Self::Unknown { .. } => "unknown_adapter",
            Self::Several { .. } => "adapter_not_named",
        }
    }

    /// What to do about it, one sentence.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::Syntax { .. } | Self::Missing { .. } | Self::Value { .. } => {
                Some("Correct the adapter's description at that place.")
            }
            Self::Unknown { .. } => Some("Use one of the names that exist."),
            Self::Several { .. } => Some("Name one of them after a #, such as FILE#name."),
        }
    }

    /// Line and column, where the error has a place.
    pub fn place(&self) -> Option<(usize, usize)> {
        match self {
            Self::Syntax { line, column, .. }
            | Self::Missing { line, column, .. }
            | Self::Value { line, column, .. } => Some((*line, *column)),
            Self::Unknown { .. } | Self::Several { .. } => None,
        }
    }
}

impl fmt::Display for AdapterError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some((line, column)) = self.place() {
            write!(f, "Line {line}, column {column}: ")?;
        }
        match self {
            Self::Syntax { message, .. } => write!(f, "{message}."),
            Self::Missing {
                adapter,
                key,
                expected,
                ..
            } => write!(f, "adapter “{adapter}” lacks {key}; expected {expected}."),
            Self::Value {
                adapter,
                key,
                found,
                expected,
                ..
            } => write!(
                f,
                "{key} of adapter “{adapter}” is {found}; expected {expected}."
            ),
            Self::Unknown { name, known } => write!(
                f,
                "There is no adapter “{}”; there are {}.",
                name.escape_debug(),
                known.join(", ")
            ),
            Self::Several { names } => {
                write!(
                    f,
                    "There are several adapters and none is named: {}.",
                    names.join(", ")
                )
            }
        }
    }
}

impl std::error::Error for AdapterError {}
