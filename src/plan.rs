//! What a part must be: features, characteristics, and the inspection plan file.
//!
//! [`Plan::parse`] reads a plan; every problem in it is reported in one pass with file, line,
//! column and a caret, also for the character of a callout that is wrong. [`Plan::from_callouts`]
//! makes a plan of typed callouts for a one-off.
//!
//! [`PlanSheet`] is the same file as it is edited: a change touches the bytes of one value, or of
//! whole lines, and no others; two people's changes are put together.
//!
//! This room refuses to know readings, verdicts, disks and clocks.
//!
//! ```
//! use fitledger::plan::Plan;
//! use fitledger::quantity::Length;
//! use fitledger::tolerance::Tables;
//! let text = "[part]\nname = \"Pump shaft\"\n\
//!             [[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n\
//!             stages = [\"turned\", \"ground\"]\nleave = 0.2\n";
//! let plan = Plan::parse(text, "shaft.toml", Tables::standard())
//!     .map_err(|errors| errors[0].to_string())?;
//! let seat = plan.order()[0];
//! let turned = seat.stage(Some("turned")).map_err(|error| error.to_string())?;
//! let limits = turned.bounds.length().ok_or("a length")?;
//! assert_eq!(limits.lower(), Some(Length::from_um(20_202))); // 20 k6 is +2 to +15 um
//! assert_eq!(limits.upper(), Some(Length::from_um(20_215)));
//!
//! let wrong = Plan::from_callouts(&["12 H7", "20 k6x"], Default::default(), Tables::standard());
//! let place = wrong.err().ok_or("refused")?[0].place();
//! assert_eq!((place.line, place.column), (2, 6));
//! # Ok::<(), String>(())
//! ```

mod asked;
mod assembly;
mod assembly_problem;
mod build;
mod contact;
mod feature;
mod form;
mod format;
mod inspection;
mod limit_gauge;
mod outline;
mod outline_profile;
mod pair;
mod problem;
mod problem_form;
mod rules;
mod sheet;
mod sheet_edit;
mod sheet_fields;
mod sheet_lines;
mod sheet_merge;
mod sheet_sides;
mod sheet_sound;
mod stage;
mod thread;

pub use assembly::{Assembly, AssemblyError, Mate, Member, MemberFeature, StackAsked, StackPart};
pub use assembly_problem::AssemblyProblem;
pub use feature::{
    Aim, Bounds, Characteristic, CharacteristicId, Feature, FeatureId, OverWires, Take,
};
pub use form::{Form, FormKind, When};
pub use inspection::{Plan, PlanError};
pub use limit_gauge::is_callout_of;
pub use outline::{Outline, Segment, SegmentKind};
pub use pair::{Pair, PairEnd};
pub use problem::PlanProblem;
pub use problem_form::FormProblem;
pub use rules::{Decision, Part, Rules};
pub use sheet::{PlanSheet, SheetCell, SheetRefusal, SheetTable, TableAt};
pub use sheet_edit::{PlanEdit, PlanStated, Stated};
pub use sheet_fields::{FieldKind, FieldWords, PlanField};
pub use sheet_merge::{Conflict, MergeSide, Merged, merged};
pub use sheet_sides::{SideLine, SideRow, side_by_side, side_lines};
pub use sheet_sound::{SheetFault, SoundPlan};
pub use stage::{Stage, UnknownStage};
