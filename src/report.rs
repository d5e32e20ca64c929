//! The room of the report: what leaves the workshop. From a record to one [`Sheet`], and from the
//! sheet to paper, screen and other programs. It makes bytes; whoever calls it writes them.
//!
//! It refuses to know files, clocks and windows, and it computes nothing of the trade: a number
//! that is not in the record is not in the report.

mod sheet;

pub use sheet::{
    Asked, Bar, DecisionRow, GaugeFacts, Happening, JobFacts, PartSheet, PointRow, ReadingRow,
    RecordFacts, ResultRow, RuleFacts, Sheet, SignatureRow,
};
