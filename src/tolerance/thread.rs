//! ISO metric screw threads: their designation, their tolerances and their limits of size.
//!
//! ISO 261 sizes, ISO 965-1 tolerances, ISO 965-4 and -5 positions for hot-dip galvanizing. This
//! part of the room refuses to know gauges and drills.

mod callout;
mod class;
mod error;
mod explain;
mod flags;
mod limits;
mod parser;
mod refusal;
mod resolve;
mod rows;
mod sources;
mod tables;
mod unusual;
mod wording;

pub use callout::{Engagement, LengthGroup, ThreadCallout};
pub use class::{ThreadClass, ThreadMember, ThreadPosition, ThreadTolerance};
pub use error::{ThreadError, ThreadReason};
pub use explain::ThreadStep;
pub use flags::{ThreadFlag, ThreadFlags};
pub use limits::{
    ThreadCalloutLimits, ThreadClearance, ThreadElement, ThreadFitLimits, ThreadKey, ThreadLimits,
    ThreadParts,
};
pub(super) use parser::thread;
pub use rows::ThreadSize;
pub use tables::{THREAD_TEXTS, ThreadTables};

/// The edition whose values are tabled, as remembered; see `tolerances/README.md`.
pub const THREAD_STANDARD: &str = "ISO 965-1:2013";
