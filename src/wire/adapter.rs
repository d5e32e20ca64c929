//! An adapter, checked: how its line is set, how a reading starts, how its bytes become fields.
//!
//! Made only from a description (`format.rs`, `check*.rs`), so whatever is here can be decoded.

use std::collections::BTreeMap;

use super::bits::Bits;
use super::nibbles::Nibbles;
use super::pattern::Pattern;
use super::registers::Registers;
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
    /// The id of every reading, where the address on the wire tells the gauge.
    pub(super) address_id: Option<String>,
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
            Framing::Terminated { max_bytes, .. }
            | Framing::StartEnd { max_bytes, .. }
            | Framing::Gap { max_bytes, .. } => max_bytes,
            Framing::StartLength { length, .. } => length,
        }
    }

    /// Milliseconds of silence that end a frame; only for an adapter whose frames have no other
    /// end (`frame.kind = "gap"`). Whoever has the clock tells the decoder with `gap`.
    pub fn gap_ms(&self) -> Option<u32> {
        match self.framing {
            Framing::Gap { gap_ms, .. } => Some(gap_ms),
            _ => None,
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
        start: Marker,
        end: Marker,
        trailer: usize,
        max_bytes: usize,
    },
    StartLength {
        start: Marker,
        length: usize,
        /// Where the fields are counted from: 0, or behind the start for text.
        text_from: usize,
    },
    /// One burst is one frame: of `length` bytes where that is known, else of at most
    /// `max_bytes`.
    Gap {
        length: Option<usize>,
        max_bytes: usize,
        gap_ms: u32,
    },
}

/// One to four bytes in a row that begin or end a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Marker {
    bytes: [u8; 4],
    count: usize,
}

impl Marker {
    /// Most bytes of a marker.
    pub(super) const BYTES_MAX: usize = 4;

    /// The marker of these bytes; what is beyond four is left out.
    pub(super) fn new(given: &[u8]) -> Self {
        let mut bytes = [0; Self::BYTES_MAX];
        for (place, byte) in bytes.iter_mut().zip(given) {
            *place = *byte;
        }
        Self {
            bytes,
            count: given.len().min(Self::BYTES_MAX),
        }
    }

    /// Its bytes.
    #[inline]
    pub(super) fn as_slice(&self) -> &[u8] {
        self.bytes.get(..self.count).unwrap_or(&self.bytes)
    }

    /// How many of the last bytes of `seen` may be the beginning of this marker (never all of it).
    pub(super) fn begun_at_end_of(&self, seen: &[u8]) -> usize {
        let marker = self.as_slice();
        (1..marker.len())
            .rev()
            .find(|length| {
                marker
                    .get(..*length)
                    .is_some_and(|begin| seen.ends_with(begin))
            })
            .unwrap_or(0)
    }
}

/// What ends a frame of text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Terminator {
    /// CR or LF.
    Any,
    /// LF; one CR before it does not belong to the frame.
    LineFeed,
    /// One to four bytes in a row.
    Bytes(Marker),
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
    /// Two trailing bytes, the low one first: CRC-16 of all bytes before them.
    Crc16Modbus,
}

/// How a frame is read.
#[derive(Debug, Clone)]
pub(super) enum Fields {
    Pattern(Pattern),
    Columns(Columns),
    Nibbles(Nibbles),
    Bits(Bits),
    Registers(Registers),
}

impl Fields {
    /// Whether the frame has a field for the gauge's own word.
    pub(super) fn has_status(&self) -> bool {
        match self {
            Self::Pattern(pattern) => pattern.groups.status.is_some(),
            Self::Columns(columns) => columns.status.is_some(),
            Self::Nibbles(_) | Self::Bits(_) | Self::Registers(_) => false,
        }
    }

    /// Whether the frame has a field for the unit.
    pub(super) fn has_unit(&self) -> bool {
        match self {
            Self::Pattern(pattern) => pattern.groups.unit.is_some(),
            Self::Columns(columns) => columns.unit.is_some(),
            Self::Nibbles(nibbles) => nibbles.unit.is_some(),
            Self::Bits(bits) => bits.unit.is_some(),
            Self::Registers(_) => false,
        }
    }

    /// Whether the frame is text: plain characters and nothing else.
    pub(super) fn is_text(&self) -> bool {
        match self {
            Self::Pattern(_) | Self::Columns(_) => true,
            Self::Nibbles(nibbles) => nibbles.is_text(),
            Self::Bits(_) | Self::Registers(_) => false,
        }
    }
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
    /// Decimals of groups of 4 bits where no group tells them.
    pub(super) places: PerUnit<Option<u8>>,
    /// The largest legal count of decimals in the group that tells them.
    pub(super) max_places: Option<u8>,
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
    /// A bit of the flag group: set is millimetres.
    Flag,
}

impl UnitRule {
    /// The units that can come.
    pub(super) fn units(&self) -> Vec<LengthUnit> {
        match self {
            Self::Fixed(unit) => vec![*unit],
            Self::Field { .. } | Self::Flag => vec![LengthUnit::Millimetre, LengthUnit::Inch],
        }
    }
}

/// What the sign field's text means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum SignRule {
    /// `+`, `-`, a blank and nothing mean as they look.
    Plain,
    /// Only these; true is minus.
    Map(BTreeMap<String, bool>),
}
