//! The record: events, their lines on disk, the chain that proves them, and the store.
//!
//! This room refuses to know what the next event should be; that is the session's.

mod event;
mod format;
mod format_bodies;
mod format_encode;
mod text;

pub use event::{
    Event, GaugeSource, Outcome, Place, Sequence, SessionOpened, ValueUnit, VerdictGiven,
};
pub use format::{FormatError, decode, ended_reading};
pub use format_encode::{encode, outcome_text};
pub use text::{rule_of, rule_text};
