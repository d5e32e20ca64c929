//! What an operation changes a feature by, learned from every batch that was measured before it
//! and after it: the same feature, size, stages and material, each real part once.

use std::collections::BTreeSet;

use super::operation::{JoinedBy, OperationChange, PartChange, operation_changes};
use super::setup::Target;
use super::state::State;
use crate::measure::{LearnedAllowance, learned_allowance};
use crate::plan::FeatureId;
use crate::quantity::{Length, counted};
use crate::tolerance::{MetalSide, Surface};

/// What is done to what. Only what is alike in all of it is put together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Operation {
    /// Feature id in the plan.
    pub feature: String,
    /// Element of the feature: `size`.
    pub element: String,
    /// Where the metal is.
    pub surface: Surface,
    /// The nominal size, where the plan has one.
    pub nominal: Option<Length>,
    /// The stage before; empty where the earlier session names none.
    pub before: String,
    /// The stage after; empty where the later session names none.
    pub after: String,
    /// The part's material, if the plan names it.
    pub material: Option<String>,
}

/// What an operation changes, and where that is from.
#[derive(Debug, Clone, PartialEq)]
pub struct LearnedOperation {
    /// What is done to what.
    pub of: Operation,
    /// What is learned.
    pub learned: LearnedAllowance,
    /// The records, the newest batch first: the one before it, and the one after it.
    pub records: Vec<(String, String)>,
    /// How the parts were found again; by number where that is so in one batch.
    pub joined: JoinedBy,
}

/// A record with what is known of it from elsewhere.
#[derive(Clone, Copy)]
pub struct MeasuredBatch<'s> {
    /// The record's newest file.
    pub journal: &'s str,
    /// What it holds.
    pub state: &'s State,
    /// Its parts that rest on a gauge which was found wrong, in this or another session.
    pub in_doubt: &'s [u32],
}

/// One batch that was measured before an operation and after it.
#[derive(Debug, Clone, PartialEq)]
pub struct OperationBatch {
    before: String,
    after: String,
    rows: Vec<Row>,
}

#[derive(Debug, Clone, PartialEq)]
struct Row {
    of: Operation,
    joined: JoinedBy,
    step: Length,
    parts: Vec<PartChange>,
}

impl LearnedOperation {
    /// Between which stages, on how many parts, how they were known: `Learned between turned and
    /// hardened (42CrMo4) on 12 parts out of 2 batches, known by serial number.`
    pub fn origin(&self) -> String {
        let named = |stage: &str, none: &str| match stage {
            "" => none.to_owned(),
            stage => stage.escape_debug().to_string(),
        };
        let before = named(&self.of.before, "an earlier session");
        let after = named(&self.of.after, "the last stage");
        let material = self.of.material.as_deref();
        let material = material.map_or_else(String::new, |name| format!(" ({name})"));
        let parts = counted(self.learned.parts, "part");
        let batches = match self.records.len() {
            1 => "1 batch".to_owned(),
            count => format!("{count} batches"),
        };
        let joined = match self.joined {
            JoinedBy::Serial => "known by serial number",
            JoinedBy::Number => "taken in the same order, as not all have a serial number",
        };
        format!(
            "Learned between {before} and {after}{material} on {parts} out of {batches}, \
             {joined}."
        )
    }
}

impl OperationBatch {
    /// What two records tell, the first of them before the operation; none where they do not lie
    /// so, or have no part in common. Nothing of what is in doubt.
    pub fn of(before: MeasuredBatch<'_>, after: MeasuredBatch<'_>) -> Option<Self> {
        let changes = operation_changes(before.state, after.state).ok()?;
        let rows = changes.into_iter().filter_map(|change| {
            let target = after.state.setup().targets.get(change.target)?;
            let of = operation(after.state, target, &change)?;
            let OperationChange {
                joined,
                step,
                mut parts,
                ..
            } = change;
            parts.retain(|part| {
                let number = number_before(before.state, part, joined);
                let is_doubted = |doubted: &[u32], number: u32| doubted.contains(&number);
                !is_doubted(after.in_doubt, part.number)
                    && number.is_some_and(|number| !is_doubted(before.in_doubt, number))
            });
            (!parts.is_empty()).then_some(Row {
                of,
                joined,
                step,
                parts,
            })
        });
        let rows: Vec<Row> = rows.collect();
        (!rows.is_empty()).then(|| Self {
            before: before.journal.to_owned(),
            after: after.journal.to_owned(),
            rows,
        })
    }
}

/// The number that a part had before; none where it is not there.
fn number_before(before: &State, part: &PartChange, joined: JoinedBy) -> Option<u32> {
    match joined {
        JoinedBy::Number => Some(part.number),
        JoinedBy::Serial => {
            let mut parts = before.parts().iter();
            let found = parts.find(|one| one.decided.serial == part.serial);
            found.map(|one| one.number)
        }
    }
}

/// Of a form, and of a length that has no metal on one side alone, nothing can be left.
fn operation(after: &State, target: &Target, change: &OperationChange) -> Option<Operation> {
    if target.form.is_some() || target.surface.metal_side() == MetalSide::Neither {
        return None;
    }
    let plan = &after.setup().plan;
    let feature = plan.feature(&FeatureId::new(&target.feature))?;
    let mut all = feature.characteristics.iter();
    let is_it = |element: Option<&str>| element.unwrap_or("size") == target.element;
    let one = all.find(|one| is_it(one.id.element.as_deref()))?;
    Some(Operation {
        feature: target.feature.clone(),
        element: target.element.clone(),
        surface: target.surface,
        nominal: one.nominal,
        before: change.before.clone(),
        after: change.after.clone(),
        material: change.material.clone(),
    })
}

/// What the batches teach, which come the newest first: nothing of an operation that too few parts
/// went through. A part counts once, as it was first measured after the operation.
pub fn learned_operations(batches: &[OperationBatch]) -> Vec<LearnedOperation> {
    let mut all: Vec<&Operation> = Vec::new();
    for row in batches.iter().flat_map(|batch| &batch.rows) {
        if !all.contains(&&row.of) {
            all.push(&row.of);
        }
    }
    all.into_iter()
        .filter_map(|of| learned_of(of, batches))
        .collect()
}

fn learned_of(of: &Operation, batches: &[OperationBatch]) -> Option<LearnedOperation> {
    let mut known: BTreeSet<(&str, &str)> = BTreeSet::new();
    let mut changes = Vec::new();
    let mut records = Vec::new();
    let mut joined = JoinedBy::Serial;
    let mut step = Length::ZERO;
    for batch in batches.iter().rev() {
        let Some(row) = batch.rows.iter().find(|row| row.of == *of) else {
            continue;
        };
        // Parts that bear no serial number came back once: who measures more such parts later
        // measured others, or the same again.
        let is_new = |serial: &str, known: &BTreeSet<_>| match row.joined {
            JoinedBy::Serial => !known.contains(&(&*batch.before, serial)),
            JoinedBy::Number => !known.contains(&(&*batch.before, "")),
        };
        let parts = row.parts.iter();
        let new: Vec<&PartChange> = parts.filter(|one| is_new(&one.serial, &known)).collect();
        if new.is_empty() {
            continue;
        }
        known.insert((&batch.before, ""));
        known.extend(new.iter().map(|one| (&*batch.before, &*one.serial)));
        changes.extend(new.iter().map(|one| one.change));
        records.push((batch.before.clone(), batch.after.clone()));
        step = step.max(row.step);
        if row.joined == JoinedBy::Number {
            joined = JoinedBy::Number;
        }
    }
    records.reverse();
    let learned = learned_allowance(&changes, of.surface, step).ok()?;
    Some(LearnedOperation {
        of: of.clone(),
        learned,
        records,
        joined,
    })
}
