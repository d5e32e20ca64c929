//! The record: events, their lines on disk, the chain that proves them, and the store.
//!
//! A journal is one file of lines, each proved by its own hash and chained to the one before
//! (the form is described in [`mod@line`], which is all that another reader needs).
//! [`JournalWriter`] appends and answers when a line is on the disk; [`Reader`] reads in bounded
//! memory and goes on after damage; [`verify`] checks a whole file; [`DiskFolder`] is the disk.
//!
//! An [`Event`] is what happened; [`body_of`] and [`event_of`] carry it into a line and back.
//!
//! The room refuses to know what a reading means, which verdict follows from it, and what time it
//! is: the caller hands in a [`Moment`]. Nothing here changes or cuts what is already in a file.
//!
//! ```
//! use fitledger::journal::{DiskFolder, JournalWriter, Moment, StorageFolder, verify};
//!
//! # let place = tempfile::tempdir()?;
//! let folder = DiskFolder::new(place.path());
//! let moment = Moment { time: "2026-11-24T22:51:03.123Z".parse()?, mono_ms: 61_250 };
//!
//! let mut writer = JournalWriter::create(&folder, "pump-shaft.jsonl")?;
//! writer.append("reading_received", r#"{"gauge":"mic-25","value":"25.021"}"#, moment)?;
//! let recorded = writer.commit()?; // now it is on the disk, and not before
//! assert_eq!(recorded.seq, 1);
//!
//! let report = verify(folder.open_read("pump-shaft.jsonl")?, |sound| {
//!     assert_eq!(sound.line.kind, "reading_received");
//! })?;
//! assert_eq!(report.state.code(), "not_closed");
//! assert_eq!(report.head, recorded);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod body;
mod chain;
mod continuation;
mod event;
mod event_assembled;
mod event_decided;
mod event_gauge;
mod event_suit;
mod finding;
mod format;
mod format_assembled;
mod format_bodies;
mod format_decided;
mod format_encode;
mod format_gauge;
mod format_quick;
mod format_study;
mod format_suit;
mod hash;
pub mod line;
mod line_fault;
mod moment;
mod reader;
mod store;
mod text;
mod verify;
mod writer;
mod writer_error;

pub use body::{BodyFault, DEEPEST_BODY, check_body};
pub use chain::{ChainFault, Link};
pub use continuation::{
    ContinuationOf, FileStart, Part, SessionFiles, continuation_name, sessions,
};
pub use event::{
    Event, GaugeSource, Outcome, Place, ReadingTaken, Sequence, SessionOpened, ValueUnit,
    VerdictGiven,
};
pub use event_assembled::{AssembledWith, PartAssembled};
pub use event_decided::{Disposition, DispositionKind, Job, LeftOpen, Manner, Meaning, SignedOff};
pub use event_gauge::{EarlierZero, StudyCell, StudyOpened, StudyPart, ZeroChecked};
pub use event_suit::Suit;
pub use finding::{Finding, FindingKind, MOST_FINDINGS, Report, State, Tail};
pub use format::{FormatError, event_of};
pub use format_encode::{body_of, outcome_text};
pub use hash::Hash;
pub use line::{
    CONTINUATION_OPENED, LONGEST_KIND, LONGEST_LINE, LONGEST_SESSION, Line, SESSION_CLOSED,
    TAIL_DAMAGED, VERSION, encode,
};
pub use line_fault::{EncodeFault, LineFault};
pub use moment::Moment;
pub use reader::{Damage, DamageKind, Item, LineEnd, Place as LinePlace, Reader, SoundLine};
pub use store::{DiskFile, DiskFolder, FileStatus, Lock, Storage, StorageFolder};
pub use text::{ATTRIBUTE_RULE, rule_of, rule_text};
pub use verify::{Bodies, session_state, verify, verify_parts, verify_parts_with};
pub use writer::{JournalWriter, LARGEST_COMMIT, hold};
pub use writer_error::{Action, Cause, SystemError, Unrecorded, WriterError};
