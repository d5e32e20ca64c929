//! Bytes from a gauge become readings, by an adapter that is described as data.
//!
//! Bytes → frame → fields → value: a [`Decoder`] made from an [`Adapter`] takes the bytes as they
//! come, in any pieces, and gives [`Decoded`] readings, states and errors. Nothing is guessed:
//! whatever does not fit its description whole is an error with a name, and its bytes are kept.
//! An adapter is a TOML text ([`Adapter::from_text`]); generic ones are [`built_in`].
//!
//! `port.rs` is the only file that touches the outside: serial ports.
//!
//! This room refuses to know the clock (so the same press twice is two readings here), the
//! journal, plans, limits and verdicts.
//!
//! ```
//! use fitledger::wire::{Decoded, Decoder, built_in};
//! let mut decoder = Decoder::new(built_in("line-free")?);
//! let mut seen = Vec::new();
//! for piece in [b"+0012.3".as_slice(), b"45 mm\r\n", b"12..3\r\n"] {
//!     decoder.push(piece, &mut |heard| seen.push(heard.to_decoded()));
//! }
//! let [Decoded::Reading(reading), Decoded::Error(refused)] = seen.as_slice() else {
//!     unreachable!()
//! };
//! assert_eq!(reading.value_text(), "12.345");
//! assert_eq!(reading.length.map(|length| length.as_nm()), Ok(12_345_000));
//! assert_eq!((refused.error.code(), refused.offset), ("malformed", 14));
//! # Ok::<(), fitledger::wire::AdapterError>(())
//! ```

mod adapter;
mod address;
mod bits;
mod builtin;
mod check;
mod check_binary;
mod check_fields;
mod check_frame;
mod cut;
mod cut_gap;
mod cut_started;
mod decode;
mod decoded;
mod description;
mod error;
mod format;
mod layout;
mod listening;
mod marked;
mod nibbles;
mod number;
mod pattern;
mod permission;
mod port;
mod reader;
mod registers;
mod teach;

pub use adapter::{Adapter, Flow, LineSettings, Parity, Pin, Trigger};
pub use address::{PortAddress, UsbIdentity};
pub use builtin::{DEFAULT_ADAPTER, built_in, built_in_names, built_in_text};
pub use decode::{Decoder, decode_all, decode_groups};
pub use decoded::{Decoded, Heard, SentError, SentReading, SentStatus};
pub use error::{AdapterError, WireError};
pub use listening::{
    ASK_READ_TIME, Backoff, IDLE_READS, Port, PortError, PortFault, PortNews, READ_TIME, read_port,
    read_port_between,
};
pub use permission::udev_rule;
pub use port::{PortAccess, SeenPort, SerialLine, group_of, list_ports};
pub use teach::{
    CapturedError, GAP_MS, Lesson, Likeness, Press, Role, Taught, TeachProblem, captured_lesson,
    draft_file, likeness, line_of_text, line_text, lines_to_try, teach,
};
