//! A reading becomes a measured value at 20 °C, and that a verdict.
//!
//! The way of a number: [`measure`] takes the bias off and corrects to 20 °C, [`judge`] decides
//! under a named rule, [`remaining_metal`] says how deep the next cut is, [`remedies`] what would
//! settle a DOUBT, [`settled_repeats`] puts the readings of one point together, and
//! [`plausibility`] holds slips of hand and unit before any of it. Which of several points decides
//! is the session's.
//!
//! For threads: [`ThreeWires`], [`flank_clearance`], and [`thread_depth`] with what cutting needs.
//!
//! For a batch: [`limit_ahead`], [`offset_advice`], [`cannot_hold`], [`sampling_advice`], and
//! [`learned_allowance`] for what an operation changes.
//!
//! This room refuses to know files, clocks and the order of a session; it is given slices.
//!
//! ```
//! use fitledger::gauge::GaugeError;
//! use fitledger::measure::{VerdictWord, judge, measure};
//! use fitledger::quantity::Length;
//! use fitledger::tolerance::{Derivation, Limits, Surface};
//! // A micrometer of ± 4 µm, and a shaft 20 h7: at 3 µm from the limit it cannot decide.
//! let gauge = GaugeError { mpe: Some(Length::from_um(4)), ..GaugeError::default() };
//! let (low, high) = (Length::parse_mm("19.979")?, Length::parse_mm("20.000")?);
//! let limits = Limits::new(Some(low), Some(high), Derivation::Stated)?;
//! let measured = measure(Length::parse_mm("19.997")?, &gauge, None, 1)?;
//! let u = measured.standard_nm();
//! let judged = judge(measured.value, &limits, Surface::Outside, u, None)?;
//! assert_eq!(judged.verdict, VerdictWord::Doubt);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod advice;
mod advice_words;
mod allowance;
mod budget;
mod check;
mod drift;
mod guard;
mod judge;
mod measured;
mod plausible;
mod remaining;
mod remedy;
mod repeats;
mod shown;
mod suitability;
mod temperature;
mod thread_clearance;
mod threading;
mod threading_hints;
mod uncertainty;
mod usual;
mod verdict;
mod wires;

pub use advice::{
    ADVICE_CONFIDENCE, ADVICE_PARTS_MIN, CPK_AMPLE, CPK_NEEDED, CannotHold, DRIFT_CONFIDENCE,
    LeaveReason, LimitAhead, OFFSET_CONFIDENCE, Offset, OffsetAdvice, PartsAhead, ProcessStands,
    SamplingAdvice, SamplingReason, cannot_hold, limit_ahead, offset_advice, parts_ahead,
    process_stands, sampling_advice,
};
pub use allowance::{
    ALLOWANCE_CONFIDENCE, ALLOWANCE_SHARE, LearnedAllowance, MeasurementShare, learned_allowance,
    measurement_share,
};
pub use budget::{gauge_lines, thermal_lines};
pub use check::{CheckVerdict, judge_check};
pub use drift::{Drift, drift};
pub use guard::{doubt_beyond, guard_band, largest_proving_uncertainty};
pub use judge::{JudgeError, Judgement, judge};
pub use measured::{Correction, MeasureError, Measured, indication_for, measure, unbiased};
pub use plausible::{Cause, Circumstances, Plausibility, plausibility, slipped_zero};
pub use remaining::{
    Aim, CutAdvice, CutSetting, DepthOfCut, Dial, DialReads, RemainingError, RemainingMetal,
    remaining_metal,
};
pub use remedy::{Remedy, remedies};
pub use repeats::{Repeatability, RepeatabilityOrigin, Repeats, settled_repeats};
pub use suitability::{
    CentredProcess, FOUR_TO_ONE, Proof, SOMETIMES_FROM_SHARE, Suitability, TEN_TO_ONE, meets_ratio,
    suitability,
};
pub use temperature::{Temperature, TemperatureError, Thermal, ThermalUncertainty, Thermometer};
pub use thread_clearance::{
    AsIntended, CLEARANCE_CAUTION, ClearanceError, FlankClearance, FlankState, MeasuredPitch,
    flank_clearance,
};
pub use threading::{
    DrillFit, DrillVerdict, InfeedPass, InfeedSet, SlideTravel, ThreadDepth, ThreadingError,
    ToolNose, bore_target, drill_verdict, infeed_passes, passes_for_first_cut, slide_travel,
    thread_depth, thread_percentage, tool_nose,
};
pub use threading_hints::{COMMON_PRACTICE, ThreadingHint, threading_hints};
pub use uncertainty::{
    BudgetLine, DegreesOfFreedom, Uncertainty, UncertaintyError, UncertaintySource,
};
pub use usual::{LEAST_CUT, SCALE_EXPANSION_PER_KELVIN, THERMOMETER_HALF_WIDTH_K};
pub use verdict::{Rule, Side, VerdictWord};
pub use wires::{
    LeadAngle, ThreeWires, WireCaution, WireRange, WiresError, pitch_diameter_uncertainty,
    wire_line, wire_line_within, wire_range,
};
