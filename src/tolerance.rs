//! A callout (`25 H7`, `12 ±0.05`) becomes limits of size, each with its why.
//!
//! This room refuses to know measured values, gauges and files; its tables are embedded
//! (ISO 286-1:2010, ISO 2768-1:1989, ISO 965-1; sources in the rows of `tolerances/`). `f64`
//! occurs only in `formula.rs`.
//!
//! ```
//! use fitledger::tolerance::{CalloutLimits, Context, limits_of};
//! let context = Context::standard();
//! let (callout, limits) = limits_of("Ø25H7", &context)?;
//! assert_eq!(callout.to_string(), "Ø25 H7");
//! let CalloutLimits::Size(bore) = limits else { unreachable!() };
//! assert_eq!(bore.limits.upper().map(|limit| limit.to_mm()).as_deref(), Some("25.021"));
//! let why: Vec<String> = bore.explain(&context).iter().map(ToString::to_string).collect();
//! assert_eq!(why[0], "ISO 286-1:2010 table 1: IT7 over 18 to 30 mm = 21 µm");
//! # Ok::<(), fitledger::tolerance::CalloutError>(())
//! ```

mod callout;
mod choice;
mod class;
mod clearance_hole;
mod cone;
mod csv;
mod error;
mod explain;
mod fit;
mod formula;
mod gauge_rows;
mod general;
mod indication;
mod limits;
mod moved;
mod nearest;
mod parser;
mod profile;
mod resolve;
mod rows;
mod scanner;
mod screw_gauge;
mod step;
mod surface;
mod tables;
mod tapping;
mod thread;
mod undefined;
mod wording;

pub use callout::{
    AngleCallout, Callout, EdgeCallout, EdgeKind, FitCallout, Indication, SizeCallout, SizeForm,
};
pub use choice::{
    ChoiceRule, FitChoice, Load, Purpose, Ring, Seat, SeatChoice, bearing_rules, dowel_rules,
    fit_choices, seat_choices,
};
pub use class::{ClassKind, Grade, Letter, ToleranceClass};
pub use clearance_hole::{
    CLEARANCE_HOLE_STANDARD, CLEARANCE_HOLE_TEXTS, ClearanceHole, ClearanceSeries, clearance_hole,
};
pub use cone::{CONE_TEXTS, ConeShape, NamedCone, morse_cone, named_cones};
pub use csv::TableError;
pub use error::{CalloutError, Place, render_caret};
pub use fit::{FitKind, FitLimits};
pub use formula::{STEEPEST_OVER_WIRES, lead_angle_tangent, stress_area_mm2};
pub use gauge_rows::GAUGE_TEXTS;
pub use general::{GENERAL_STANDARD, GeneralClass, GeneralKind};
pub use limits::{Derivation, Limits, LimitsError};
pub use moved::Move;
pub use parser::{limits_of, parse_callout, parse_callout_in};
pub use profile::{ProfileLength, ThreadProfile};
pub use resolve::{AngleLimits, CLASS_STANDARD, CalloutLimits, Context, SizeKind, SizeLimits};
pub use rows::{DeviationSymbol, SizeRange};
pub use screw_gauge::{
    CheckPlugs, GAUGE_STANDARD, GaugeNote, GaugeStanding, GaugeZone, GaugedThread, ScrewGauge,
    ScrewGaugeError, ScrewGaugeLimits, acceptance_rules, screw_gauge_limits,
};
pub use step::{Amount, LimitSide, SpecialRule, Step};
pub use surface::{MetalSide, Surface};
pub use tables::{TABLE_TEXTS, Tables};
pub use tapping::{DRILL_TEXTS, TappingDrill, tapping_drill};
pub use thread::{
    Engagement, LengthGroup, THREAD_STANDARD, THREAD_TEXTS, ThreadCallout, ThreadCalloutLimits,
    ThreadClass, ThreadClearance, ThreadElement, ThreadError, ThreadFitLimits, ThreadFlag,
    ThreadFlags, ThreadKey, ThreadLimits, ThreadMember, ThreadParts, ThreadPosition, ThreadReason,
    ThreadSize, ThreadStep, ThreadTables, ThreadTolerance,
};
pub use undefined::{ClassError, UndefinedReason};
