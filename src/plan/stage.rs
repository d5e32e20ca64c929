//! Stages of a feature: before a later operation or a coating its limits stand elsewhere.
//!
//! The last stage has the callout's own limits and decides. Earlier ones are moved:
//!
//! - `leave` moves both limits towards metal on (outside: up; inside: down), for the operation
//!   that ends in the last stage;
//! - `coating` moves them to what the part must be before it is coated; the last stage is the
//!   coated one;
//! - with both, the coating comes last and the metal left is taken off by the stage before it. So
//!   in `["turned", "ground", "plated"]` the turned size carries both moves, the ground one only
//!   the coating's.
//!
//! Without `stages`, the needed ones are supplied: `before finishing`, `before coating`, and
//! `finished` or `coated`. Each moved limit keeps its moves beside the callout's own derivation.

use std::fmt;
use std::ops::RangeInclusive;
use std::sync::Arc;

use super::feature::{Bounds, Characteristic};
use crate::quantity::Length;
use crate::tolerance::{Limits, LimitsError, Surface};

/// One stage with the limits that hold in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// Its name; `None` for the only stage of a feature without stages.
    pub name: Option<Arc<str>>,
    /// The limits in it.
    pub bounds: Bounds,
}

/// Why a reading's stage is none of the characteristic's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownStage {
    /// The characteristic.
    pub characteristic: String,
    /// The stage that the reading named, if any.
    pub found: Option<String>,
    /// The stages that there are, in order; empty when there are none to name.
    pub known: Vec<Arc<str>>,
}

impl Characteristic {
    /// The limits that decide: those of the last stage, the callout's own.
    pub fn bounds(&self) -> Option<Bounds> {
        self.stages.last().map(|stage| stage.bounds)
    }

    /// The stage that a reading names.
    ///
    /// Errors: a name that is none of its stages, no name where there are stages, or a name where
    /// there are none.
    pub fn stage(&self, name: Option<&str>) -> Result<&Stage, UnknownStage> {
        let mut stages = self.stages.iter();
        stages
            .find(|stage| stage.name.as_deref() == name)
            .ok_or_else(|| UnknownStage {
                characteristic: self.id.to_string(),
                found: name.map(str::to_owned),
                known: self.stages.iter().filter_map(|s| s.name.clone()).collect(),
            })
    }
}

impl UnknownStage {
    /// The error's stable word for machines.
    pub fn code(&self) -> &'static str {
        "unknown_stage"
    }

    /// What to do about it, one sentence.
    pub fn hint(&self) -> Option<String> {
        match self.known.as_slice() {
            [] => Some("Leave the stage out.".to_owned()),
            known => Some(format!("Its stages are: {}.", known.join(", "))),
        }
    }
}

impl fmt::Display for UnknownStage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = &self.characteristic;
        match &self.found {
            Some(found) => write!(f, "{name} has no stage “{}”.", found.escape_debug()),
            None => write!(f, "{name} has stages, and the reading names none."),
        }
    }
}

impl std::error::Error for UnknownStage {}

/// What moves the limits of earlier stages.
pub(super) struct Moves {
    pub(super) leave: Option<Length>,
    pub(super) coating: Option<RangeInclusive<Length>>,
}

/// Why the stages of a feature do not work out.
pub(super) enum StageProblem {
    /// There are fewer stages than what is stated needs.
    TooFew {
        /// How many are needed.
        needed: usize,
    },
    /// The coating leaves no zone, or has no side to go to.
    Coating(LimitsError),
    /// The metal to leave has no side to go to.
    Leave(LimitsError),
}

/// The stages of a size. `names` are those of the plan; `surface` says where the metal is.
pub(super) fn stages_of_size(
    limits: Limits<Length>,
    surface: Surface,
    names: &[Arc<str>],
    moves: &Moves,
) -> Result<Vec<Stage>, StageProblem> {
    let before_coating = match &moves.coating {
        None => limits,
        Some(coat) => limits
            .before_coating(surface, *coat.start(), *coat.end())
            .map_err(StageProblem::Coating)?,
    };
    let before_finishing = match moves.leave {
        None => before_coating,
        Some(amount) => before_coating
            .leaving(surface, amount)
            .map_err(StageProblem::Leave)?,
    };
    let leaves = moves.leave.is_some();
    let coats = moves.coating.is_some();
    let needed = 1 + usize::from(leaves) + usize::from(coats);
    let names: Vec<Option<Arc<str>>> = match names {
        [] => supplied_names(leaves, coats),
        names if names.len() < needed => return Err(StageProblem::TooFew { needed }),
        names => names.iter().cloned().map(Some).collect(),
    };
    let count = names.len();
    let bounds_at = |at: usize| match count - 1 - at {
        0 => limits,
        1 if coats => before_coating,
        _ => before_finishing,
    };
    let stages = names.into_iter().enumerate().map(|(at, name)| Stage {
        name,
        bounds: Bounds::Length(bounds_at(at)),
    });
    Ok(stages.collect())
}

/// The stages of what nothing moves: all with the same limits.
pub(super) fn equal_stages(bounds: Bounds, names: &[Arc<str>]) -> Vec<Stage> {
    let stage = |name| Stage { name, bounds };
    match names {
        [] => vec![stage(None)],
        names => names
            .iter()
            .cloned()
            .map(|name| stage(Some(name)))
            .collect(),
    }
}

/// The name of the stage that decides: the last of the plan's, else the last that the moves need;
/// none for what has no stages.
pub(super) fn deciding_name(names: &[Arc<str>], moves: &Moves) -> Option<Arc<str>> {
    let supplied = || supplied_names(moves.leave.is_some(), moves.coating.is_some());
    match names.last() {
        Some(name) => Some(Arc::clone(name)),
        None => supplied().pop().flatten(),
    }
}

fn supplied_names(leaves: bool, coats: bool) -> Vec<Option<Arc<str>>> {
    let words: &[&str] = match (leaves, coats) {
        (false, false) => return vec![None],
        (true, false) => &["before finishing", "finished"],
        (false, true) => &["before coating", "coated"],
        (true, true) => &["before finishing", "before coating", "coated"],
    };
    words.iter().map(|word| Some(Arc::from(*word))).collect()
}
