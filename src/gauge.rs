//! Gauges, what each is worth, and the readings they give.
//!
//! The register (`gauges.toml`) is read by [`Register::parse`]. Every problem in it is reported in
//! one pass with file, line, column and a caret. What an entry does not state is assumed by kind
//! where a table has a row, and the answer says that it is assumed.
//!
//! This room refuses to know wires, verdicts, disks and today's date.
//!
//! ```
//! use fitledger::gauge::{Faces, GaugeId, Register};
//! use fitledger::quantity::Length;
//! let text = "[[gauge]]\nid = \"mic-25\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n";
//! let register = Register::parse(text, "gauges.toml").map_err(|errors| errors[0].to_string())?;
//! let gauge = register.gauge(&GaugeId::new("mic-25")).ok_or("no such gauge")?;
//! let error = gauge.permissible_error(Length::from_mm(20), Faces::Outside).ok_or("unknown")?;
//! assert_eq!(error.value(), Length::from_um(4)); // DIN 863-1, range up to 25 mm
//! assert!(error.is_assumed());
//!
//! let typo = Register::parse("[[gauge]]\nid = \"a\"\nkind = \"calliper\"\n", "gauges.toml");
//! let errors = typo.err().ok_or("refused")?;
//! assert_eq!(errors[0].hint().as_deref(), Some("Did you mean \"caliper\"?"));
//! # Ok::<(), String>(())
//! ```

mod assumed;
mod build;
mod capability;
mod certificate;
mod check;
mod date;
mod edit;
mod fields;
mod file_problem;
mod findings;
mod format;
mod kind;
mod links;
mod method;
mod pointed;
mod problem;
mod reading;
mod register;
mod standing;
mod written;

pub use assumed::{Assumed, Basis, error_limit, resolution};
pub use capability::{BiasPoint, Calibration, CalibrationError, GaugeError};
pub use certificate::{
    Certificate, CertificateError, CertificateProblem, Choice, ChoiceProblem, Chosen, Column,
    Condition, Conformity, Identification, Item, Role, Table, Taken, Uncertainty,
};
pub use check::{CheckAsked, CheckTool};
pub use date::{Date, Due};
pub use edit::{
    CertificateEntry, EditError, StudyEntry, study_line, with_certificate, with_confirmed,
    with_study, without_study,
};
pub use fields::Fields;
pub use file_problem::FileProblem;
pub use findings::{Findings, Written, document};
pub use kind::{Faces, GaugeKind};
pub use method::Method;
pub use pointed::{Place, Pointed, Problem, SourceText, nearest};
pub use problem::RegisterProblem;
pub use reading::{CheckEnd, CheckOutcome, GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
pub use register::{
    Angular, Gauge, GaugeReads, Known, Port, PortPlace, Register, RegisterError, StatedError,
    ZeroCheck,
};
pub use standing::{AssumedNumber, Remark, Standing};
pub use written::{bare_number, character_span, length_of, name_of, text_of, wrong_type};
