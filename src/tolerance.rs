//! A callout (`25 H7`, `12 ±0.05`) becomes limits of size, each with its why.
//!
//! This room refuses to know measured values, gauges and files; its tables are embedded.

mod limits;
mod surface;

pub use limits::{Derivation, Limits, LimitsError};
pub use surface::{MetalSide, Surface};
