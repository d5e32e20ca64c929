//! Gauges, and the readings they give.
//!
//! This room refuses to know wires, verdicts and disks.

mod reading;

pub use reading::{CheckEnd, CheckOutcome, GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
