//! What can be wrong in an assembly.

use std::fmt;

use crate::gauge::{FileProblem, Problem};
use crate::tolerance::CalloutError;

/// A fault of an assembly's form or meaning.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AssemblyProblem {
    /// A fault of form.
    File(FileProblem),
    /// A member's plan is not there or is none.
    Plan {
        /// Why, in a sentence.
        why: String,
    },
    /// Not of the form `member#feature`.
    Reference {
        /// As written.
        found: String,
    },
    /// No member of that name.
    UnknownMember {
        /// As written.
        found: String,
        /// The nearest that there is.
        nearest: Option<String>,
    },
    /// The member's plan has no such feature.
    UnknownFeature {
        /// The member.
        member: String,
        /// As written.
        found: String,
        /// The nearest that there is.
        nearest: Option<String>,
    },
    /// A feature with several characteristics, such as a thread.
    NotPlain {
        /// As written.
        found: String,
    },
    /// No length, or one without two limits.
    NoLimits {
        /// As written.
        found: String,
    },
    /// A shaft where the hole should be, or the other way round.
    WrongSide {
        /// As written.
        found: String,
        /// A hole is wanted.
        wanted_inside: bool,
    },
    /// The intended fit is none.
    NoFit,
    /// A callout that is none.
    Callout(CalloutError),
    /// The gap's limits are not two lengths in order.
    GapLimits,
    /// None, or too many, of one length.
    Count,
}

impl From<FileProblem> for AssemblyProblem {
    fn from(problem: FileProblem) -> Self {
        Self::File(problem)
    }
}

impl Problem for AssemblyProblem {
    fn code(&self) -> &'static str {
        match self {
            Self::File(problem) => problem.code(),
            Self::Plan { .. } => "member_plan",
            Self::Reference { .. } => "bad_reference",
            Self::UnknownMember { .. } => "unknown_member",
            Self::UnknownFeature { .. } => "unknown_feature",
            Self::NotPlain { .. } => "not_plain",
            Self::NoLimits { .. } => "no_limits",
            Self::WrongSide { .. } => "pair_side",
            Self::NoFit => "intended_no_fit",
            Self::Callout(error) => error.code(),
            Self::GapLimits => "gap_limits",
            Self::Count => "out_of_range",
        }
    }

    fn hint(&self) -> Option<String> {
        let hint = match self {
            Self::File(problem) => return problem.hint(),
            Self::Callout(error) => return error.hint(),
            Self::Plan { .. } => "Name a plan that lies beside the assembly.",
            Self::Reference { .. } => "Write the member and the feature, as bush#A.",
            Self::UnknownMember { .. } => "Name one of the [[member]] tables.",
            Self::UnknownFeature { .. } => "Name a feature of that member's plan.",
            Self::NotPlain { .. } => "A thread's pair is told by the fit command.",
            Self::NoLimits { .. } => "Give a length with two limits.",
            Self::WrongSide { .. } => "Exchange hole and shaft, or name another feature.",
            Self::NoFit => "Write a fit with both classes, as 20 H7/p6.",
            Self::GapLimits => "Write the least and the most, as [0.1, 0.3].",
            Self::Count => {
                "Write 1 to 50 bought parts, as 2 x 3 ±0.05; each part with a plan is a [[member]]."
            }
        };
        Some(hint.to_owned())
    }
}

impl fmt::Display for AssemblyProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let meant = |nearest: &Option<String>| match nearest {
            Some(nearest) => format!("; did you mean “{nearest}”?"),
            None => ".".to_owned(),
        };
        match self {
            Self::File(problem) => problem.fmt(f),
            Self::Plan { why } => f.write_str(why),
            Self::Reference { found } => {
                write!(f, "“{}” names no member and feature.", found.escape_debug())
            }
            Self::UnknownMember { found, nearest } => {
                let meant = meant(nearest);
                write!(f, "There is no member “{}”{meant}", found.escape_debug())
            }
            Self::UnknownFeature {
                member,
                found,
                nearest,
            } => {
                let meant = meant(nearest);
                let found = found.escape_debug();
                write!(f, "The plan of {member} has no feature “{found}”{meant}")
            }
            Self::NotPlain { found } => write!(
                f,
                "“{}” is proved by several characteristics and is no plain size.",
                found.escape_debug()
            ),
            Self::NoLimits { found } => write!(
                f,
                "“{}” is no length with a lower and an upper limit.",
                found.escape_debug()
            ),
            Self::WrongSide {
                found,
                wanted_inside,
            } => {
                let wanted = match wanted_inside {
                    true => "hole",
                    false => "shaft",
                };
                write!(f, "“{}” cannot be the {wanted}.", found.escape_debug())
            }
            Self::NoFit => f.write_str("The intended fit is none."),
            Self::Callout(error) => error.fmt(f),
            Self::GapLimits => f.write_str("The limits of a gap are two lengths, the least first."),
            Self::Count => f.write_str("So many of one length cannot stand in a row."),
        }
    }
}
