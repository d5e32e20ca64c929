//! What an operation (hardening, polishing, plating, pressing) changed on the parts that were
//! measured in one session before it and in another after it, and what to leave for it.

use std::collections::HashMap;
use std::fmt;

use super::batch::{Batch, BatchSeries};
use super::batch_study::Known;
use super::setup::{Setup, Target};
use super::state::State;
use crate::journal::ValueUnit;
use crate::measure::{LearnedAllowance, learned_allowance};
use crate::quantity::{Length, counted};

/// What an operation changed one characteristic by.
#[derive(Debug, Clone, PartialEq)]
pub struct OperationChange {
    /// The characteristic, by its place in the later session.
    pub target: usize,
    /// The stage before; empty where the earlier session names none.
    pub before: String,
    /// The stage after; empty where the later session names none.
    pub after: String,
    /// The part's material, if the plan names it.
    pub material: Option<String>,
    /// How the parts were found again.
    pub joined: JoinedBy,
    /// The parts that have a size in both sessions, in the order of the later one.
    pub parts: Vec<PartChange>,
    /// The coarser step of the gauges that measured them.
    pub step: Length,
    /// What is learned from them, or why nothing.
    pub learned: Known<LearnedAllowance>,
}

/// One part that was measured twice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartChange {
    /// Its number in the later session.
    pub number: u32,
    /// Its serial number; empty where none was given.
    pub serial: String,
    /// Size after less size before, both at 20 °C.
    pub change: Length,
}

/// By what a part of one session is known in another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JoinedBy {
    /// By its serial number or mark.
    Serial,
    /// By its running number: no part of either session was named.
    Number,
}

impl OperationChange {
    /// Between which stages, and on which parts: `From turned to hardened, 6 parts, known by their
    /// serial numbers.`
    pub fn origin(&self) -> String {
        let stages = match (self.before.as_str(), self.after.as_str()) {
            ("", "") => "From the earlier session to this one".to_owned(),
            (before, "") => format!("From {} to the last stage", before.escape_debug()),
            ("", after) => format!("From an earlier session to {}", after.escape_debug()),
            (before, after) => {
                format!("From {} to {}", before.escape_debug(), after.escape_debug())
            }
        };
        let material = self.material.as_deref();
        let material = material.map_or_else(String::new, |name| format!(" ({name})"));
        let parts = counted(self.parts.len(), "part");
        let joined = match self.joined {
            JoinedBy::Serial => "known by serial number",
            JoinedBy::Number => "taken in the same order, as none has a serial number",
        };
        format!("{stages}{material}: {parts}, {joined}.")
    }
}

/// Why two sessions are not before and after an operation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OperationProblem {
    /// They are of different parts.
    OtherPart {
        /// Part and drawing of the earlier session.
        before: String,
        /// Those of the later one.
        after: String,
    },
    /// Both measured the same stage of the plan.
    SameStage(String),
    /// The plan has them the other way round.
    Reversed {
        /// The stage given as the earlier one.
        before: String,
        /// The stage given as the later one.
        after: String,
    },
}

impl OperationProblem {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::OtherPart { .. } => "other_part",
            Self::SameStage(_) => "same_stage",
            Self::Reversed { .. } => "stages_reversed",
        }
    }
}

impl fmt::Display for OperationProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OtherPart { before, after } => write!(
                f,
                "The earlier session is of {}, the later one of {}: an operation is seen on the \
                 same parts only.",
                before.escape_debug(),
                after.escape_debug()
            ),
            Self::SameStage(stage) => write!(
                f,
                "Both sessions measured the stage “{}”: no operation lies between them.",
                stage.escape_debug()
            ),
            Self::Reversed { before, after } => write!(
                f,
                "The plan has the stage “{}” after “{}”: the sessions are the other way round.",
                before.escape_debug(),
                after.escape_debug()
            ),
        }
    }
}

impl std::error::Error for OperationProblem {}

/// What the operation between two sessions changed each length by that both measured; nothing of
/// what is in doubt.
///
/// # Errors
/// [`OperationProblem`] where the sessions do not lie before and after an operation on one part.
pub fn operation_changes(
    before: &State,
    after: &State,
) -> Result<Vec<OperationChange>, OperationProblem> {
    let (earlier, later) = (before.setup(), after.setup());
    refuse(earlier, later)?;
    let (joined, same) = joined(before, after);
    let rows = [before, after].map(Batch::of);
    let [before_rows, after_rows] = &rows;
    let mut found = Vec::new();
    for (target, (wanted, after_row)) in later.targets.iter().zip(after_rows.series()).enumerate() {
        let is_same = |one: &Target| one.feature == wanted.feature && one.element == wanted.element;
        let at = earlier.targets.iter().position(is_same);
        let Some(before_row) = at.and_then(|at| before_rows.series().get(at)) else {
            continue;
        };
        if [before_row, after_row].map(|row| row.unit) != [ValueUnit::Nanometre; 2] {
            continue;
        }
        let parts = changes(before_row, after_row, &same, after);
        let lengths: Vec<Length> = parts.iter().map(|part| part.change).collect();
        let step = step(before_row, after_row);
        found.push(OperationChange {
            target,
            before: earlier.stage.clone(),
            after: later.stage.clone(),
            material: later.plan.part.material.clone(),
            joined,
            learned: learned_allowance(&lengths, wanted.surface, step),
            parts,
            step,
        });
    }
    Ok(found)
}

fn refuse(before: &Setup, after: &Setup) -> Result<(), OperationProblem> {
    let named = |setup: &Setup| {
        let part = &setup.plan.part;
        let drawing = part.drawing.clone().unwrap_or_default();
        let texts = [part.name.clone(), drawing];
        let texts: Vec<String> = texts.into_iter().filter(|one| !one.is_empty()).collect();
        texts.join(", ")
    };
    let (one, other) = (named(before), named(after));
    if one != other {
        return Err(OperationProblem::OtherPart {
            before: one,
            after: other,
        });
    }
    let (earlier, later) = (&before.stage, &after.stage);
    if !earlier.is_empty() && earlier == later {
        return Err(OperationProblem::SameStage(later.clone()));
    }
    let is_reversed = after.plan.order().iter().any(|one| {
        let place = |stage: &str| {
            let names = one.stages.iter();
            names
                .map(|stage| stage.name.as_deref())
                .position(|name| name == Some(stage))
        };
        matches!((place(earlier), place(later)), (Some(first), Some(then)) if first > then)
    });
    match is_reversed {
        true => Err(OperationProblem::Reversed {
            before: earlier.clone(),
            after: later.clone(),
        }),
        false => Ok(()),
    }
}

/// The numbers of the parts of the earlier session by those of the later one.
fn joined(before: &State, after: &State) -> (JoinedBy, HashMap<u32, u32>) {
    let named = |state: &State| -> Vec<(u32, String)> {
        let parts = state.parts().iter();
        parts
            .map(|part| (part.number, part.decided.serial.clone()))
            .collect()
    };
    let (earlier, later) = (named(before), named(after));
    let has_serial = |parts: &[(u32, String)]| parts.iter().any(|(_, serial)| !serial.is_empty());
    if !has_serial(&earlier) && !has_serial(&later) {
        let same = later.iter().map(|(number, _)| (*number, *number));
        return (JoinedBy::Number, same.collect());
    }
    let by_serial: HashMap<&str, u32> = earlier
        .iter()
        .filter(|(_, serial)| !serial.is_empty())
        .map(|(number, serial)| (serial.as_str(), *number))
        .collect();
    let same = later.iter().filter_map(|(number, serial)| {
        by_serial
            .get(serial.as_str())
            .map(|earlier| (*number, *earlier))
    });
    (JoinedBy::Serial, same.collect())
}

fn changes(
    before: &BatchSeries,
    after: &BatchSeries,
    same: &HashMap<u32, u32>,
    later: &State,
) -> Vec<PartChange> {
    let old = |part: u32| {
        let points = before.points();
        let at = points
            .binary_search_by_key(&part, |point| point.part)
            .ok()?;
        points.get(at).filter(|point| !point.is_in_doubt)
    };
    let sure = after.points().iter().filter(|point| !point.is_in_doubt);
    let change = |point: &super::batch_point::BatchPoint| {
        let old = old(*same.get(&point.part)?)?;
        let named = later.parts().iter().find(|part| part.number == point.part);
        Some(PartChange {
            number: point.part,
            serial: named.map_or_else(String::new, |part| part.decided.serial.clone()),
            change: Length::from_nm(point.value) - Length::from_nm(old.value),
        })
    };
    sure.filter_map(change).collect()
}

/// The coarser step of the gauges.
fn step(before: &BatchSeries, after: &BatchSeries) -> Length {
    let points = before.points().iter().chain(after.points());
    Length::from_nm(points.map(|point| point.step).max().unwrap_or(1))
}
