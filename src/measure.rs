//! A reading becomes a measured value at 20 °C, and that a verdict.
//!
//! This room refuses to know files, clocks and the order of a session; it is given slices.

mod judge;
mod verdict;

pub use judge::{JudgeError, Judgement, judge};
pub use verdict::{Rule, Side, VerdictWord};
