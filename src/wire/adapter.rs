//! An adapter, checked: how its line is set, how a reading starts, how its bytes become fields.
//!
//! Made only from a description (`format.rs`, `check*.rs`), so whatever is here can be decoded.

use std::collections::BTreeMap;

use super::pattern::Pattern;
use crate::gauge::GaugeStatus;
use crate::quantity::{Decimal, DecimalMark, Length, LengthUnit};

/// Settings of an asynchronous serial line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LineSettings {
    /// Bits per second, 300 to 230 400.
    pub baud: u32,
    /// Data bits, 7 or 8.
    pub data_bits: u8,
    /// The parity bit.
    pub parity: Parity,
    /// Stop bits, 1 or 2.
    pub stop_bits: u8,
    /// Who may stop the sender.
    pub flow: Flow,
    /// Resting state of DTR (often the adapter's power).
    pub dtr: bool,
    /// Resting state of RTS (often the adapter's power).
    pub rts: bool,
}

/// The parity bit of a character.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Parity {
    /// None is sent.
    None,
    /// An even number of ones.
    Even,
    /// An odd number of ones.
    Odd,
    /// Always one.
    Mark,
    /// Always zero.
    Space,
}

/// How the receiver may stop the sender.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flow {
    /// Not at all.
    None,
    /// By the RTS and CTS lines.
    RtsCts,
    /// By the characters XON and XOFF.
    XonXoff,
}

/// A control line of the port.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pin {
    /// Data terminal ready.
    Dtr,
    /// Request to send.
    Rts,
}

/// Who starts a reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Trigger {
    /// The gauge: its data button or foot switch.
    Unsolicited,
    /// The program, by sending bytes.
    Request {
        /// What is sent.
        send: Vec<u8>,
        /// How long to wait for the reply, milliseconds.
        reply_ms: u32,
    },
    /// The program, by a pulse on a control line.
    LinePulse {
        /// Which line.
        pin: Pin,
        /// How long it leaves its resting state, milliseconds.
        pulse_ms: u32,
    },
    /// Nobody: readings come all the time and one is taken by hand.
    Stream,
    /// The adapter types like a keyboard.
    Typed,
}

/// An adapter described as data, checked whole.
#[derive(Debug, Clone)]
pub struct Adapter {
    pub(super) name: String,
    pub(super) note: Option<String>,
    pub(super) line: Option<LineSettings>,
    pub(super) trigger: Trigger,
    pub(super) framing: Framing,
    pub(super) check: Check,
    pub(super) fields: Fields,
    pub(super) number: NumberRule,
    pub(super) unit: UnitRule,
    pub(super) signs: SignRule,
    pub(super) status_codes: BTreeMap<String, GaugeStatus>,
    pub(super) status_words: BTreeMap<String, GaugeStatus>,
    pub(super) max_abs: PerUnit<Option<Length>>,
    pub(super) repeat_ignore_ms: u32,
}

impl Adapter {
    /// Milliseconds within which the same frame is the same press, when the description is
    /// silent (chosen: a guess at contact bounce, to be tuned).
    pub const REPEAT_IGNORE_MS: u32 = 150;
    /// Milliseconds to wait for a reply when the description is silent (chosen).
    pub const REPLY_MS: u32 = 500;
    /// The longest frame that a description may allow, bytes (chosen; no gauge sends more).
    pub const FRAME_BYTES_MAX: usize = 1_024;

    /// The adapter's name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// What the description says about it in words.
    pub fn note(&self) -> Option<&str> {
        self.note.as_deref()
    }

    /// The serial line's settings; none for an adapter that types.
    pub fn line(&self) -> Option<LineSettings> {
        self.line
    }

    /// Who starts a reading.
    pub fn trigger(&self) -> &Trigger {
        &self.trigger
    }

    /// The longest frame, bytes.
    pub fn max_bytes(&self) -> usize {
        match self.framing {
            Framing::Terminated { max_bytes, .. } | Framing::StartEnd { max_bytes, .. } => {
                max_bytes
            }
        }
    }

    /// Milliseconds within which the same frame again is the same press; none for a stream,
    /// whose readings are all meant.
    pub fn repeat_ignore_ms(&self) -> Option<u32> {
        (self.trigger != Trigger::Stream).then_some(self.repeat_ignore_ms)
    }
}

/// One value for each unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct PerUnit<T> {
    pub(super) millimetre: T,
    pub(super) inch: T,
}

impl<T: Copy> PerUnit<T> {
    pub(super) fn of(&self, unit: LengthUnit) -> T {
        match unit {
            LengthUnit::Millimetre => self.millimetre,
            LengthUnit::Inch => self.inch,
        }
    }

    pub(super) fn set(&mut self, unit: LengthUnit, value: T) {
        match unit {
            LengthUnit::Millimetre => self.millimetre = value,
            LengthUnit::Inch => self.inch = value,
        }
    }
}

/// How a frame is cut out of the bytes.
#[derive(Debug, Clone)]
pub(super) enum Framing {
    Terminated {
        end: Terminator,
        max_bytes: usize,
    },
    StartEnd {
        start: u8,
        end: u8,
        trailer: usize,
        max_bytes: usize,
    },
}

/// What ends a frame of text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Terminator {
    /// CR or LF.
    Any,
    /// LF; one CR before it does not belong to the frame.
    LineFeed,
    /// One to four bytes in a row.
    Bytes { bytes: [u8; 4], count: usize },
}

/// What proves a frame undamaged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Check {
    None,
    /// One trailing byte: XOR of the bytes after the start byte through the end byte.
    Xor8,
    /// Two hex characters after the separator: sum of the bytes before it, modulo 256.
    Sum8Hex {
        separator: Vec<u8>,
    },
}

/// How a frame's text is read.
#[derive(Debug, Clone)]
pub(super) enum Fields {
    Pattern(Pattern),
    Columns(Columns),
}

/// Places `[from, to)` of the fields in a frame of fixed width.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Columns {
    pub(super) width: usize,
    pub(super) id: Option<(usize, usize)>,
    pub(super) status: Option<(usize, usize)>,
    pub(super) sign: Option<(usize, usize)>,
    pub(super) number: (usize, usize),
    pub(super) unit: Option<(usize, usize)>,
}

/// How the number's text is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct NumberRule {
    pub(super) mark: DecimalMark,
    pub(super) decimals: Option<u8>,
    pub(super) implied_decimals: Option<u8>,
    pub(super) padded: bool,
    pub(super) scale: PerUnit<Option<Scale>>,
}

/// What one count on the wire is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Scale {
    /// So many units, exactly.
    Exact(Decimal),
    /// `nm_per / divisor` nanometres, rounded half to even to 1 nm: whole numbers.
    Ratio { nm: i128, divisor: i128 },
}

/// Where the unit comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum UnitRule {
    Fixed(LengthUnit),
    Field {
        map: BTreeMap<String, LengthUnit>,
        default: Option<LengthUnit>,
    },
}

/// What the sign field's text means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum SignRule {
    /// `+`, `-`, a blank and nothing mean as they look.
    Plain,
    /// Only these; true is minus.
    Map(BTreeMap<String, bool>),
}
