//! A reading becomes a measured value at 20 °C, and that a verdict.
//!
//! This room refuses to know files, clocks and the order of a session; it is given slices.

mod judge;
mod measured;
mod temperature;
mod uncertainty;
mod verdict;

pub use judge::{JudgeError, Judgement, judge};
pub use measured::{Correction, MeasureError, Measured, measure};
pub use temperature::{Temperature, TemperatureError, Thermal, ThermalUncertainty, Thermometer};
pub use uncertainty::{
    BudgetLine, DegreesOfFreedom, Uncertainty, UncertaintyError, UncertaintySource, gauge_lines,
    thermal_lines,
};
pub use verdict::{Rule, Side, VerdictWord};
