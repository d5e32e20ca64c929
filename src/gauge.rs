//! Gauges, and the readings they give.
//!
//! This room refuses to know wires, verdicts and disks.

mod capability;
mod reading;

pub use capability::{BiasPoint, Calibration, CalibrationError, GaugeError};
pub use reading::{CheckEnd, CheckOutcome, GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
