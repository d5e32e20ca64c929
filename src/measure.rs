//! A reading becomes a measured value at 20 °C, and that a verdict.
//!
//! This room refuses to know files, clocks and the order of a session; it is given slices.

mod guard;
mod judge;
mod measured;
mod plausible;
mod points;
mod remaining;
mod remedy;
mod repeats;
mod temperature;
mod uncertainty;
mod verdict;

pub use guard::{guard_band, largest_proving_uncertainty};
pub use judge::{JudgeError, Judgement, judge};
pub use measured::{Correction, MeasureError, Measured, measure};
pub use plausible::{Cause, Circumstances, Plausibility, plausibility, slipped_zero};
pub use points::{Point, PointsJudgement, judged_points, taper_of_points};
pub use remaining::{
    Aim, CutAdvice, CutSetting, DepthOfCut, Dial, DialReads, RemainingError, RemainingMetal,
    remaining_metal,
};
pub use remedy::{Remedy, remedies};
pub use repeats::{Repeatability, RepeatabilityOrigin, Repeats, settled_repeats};
pub use temperature::{Temperature, TemperatureError, Thermal, ThermalUncertainty, Thermometer};
pub use uncertainty::{
    BudgetLine, DegreesOfFreedom, Uncertainty, UncertaintyError, UncertaintySource, gauge_lines,
    thermal_lines,
};
pub use verdict::{Rule, Side, VerdictWord};
