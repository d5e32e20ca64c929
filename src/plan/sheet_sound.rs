//! What of a plan file is sound: the plan without the tables that have faults, and the faults with
//! the fields that they are about. So a file with errors can be seen, drawn and mended.

use std::collections::BTreeSet;

use super::inspection::{Plan, PlanError};
use super::problem::PlanProblem;
use super::sheet::{PlanSheet, TableAt};
use crate::gauge::FileProblem;
use crate::tolerance::Tables;

/// A fault may be seen only when others are out of the way: so often is looked (chosen).
const PASSES_MAX: usize = 15;
/// Each pass finds so many faults at most (chosen: every key that is typed looks for them anew).
const FOUND_MAX: usize = 2_000;

/// A plan file as far as it is sound.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SoundPlan {
    /// The plan of the sound tables; none where there is none.
    pub plan: Option<Plan>,
    /// The text that it was read from.
    pub text: String,
    /// The faults of the first pass, in the order of the text.
    pub faults: Vec<SheetFault>,
    /// So many more it has, further down, that were only counted.
    pub more: usize,
}

impl SoundPlan {
    /// So many faults there are.
    pub fn count(&self) -> usize {
        self.faults.len() + self.more
    }
}

/// A fault with its field.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetFault {
    /// The table; none: the file as a whole.
    pub at: Option<TableAt>,
    /// The key in it; none: the table as a whole.
    pub key: Option<String>,
    /// The character of the value that it is about, from 0; none: all of it.
    pub character: Option<usize>,
    /// The fault.
    pub error: PlanError,
}

/// A table that is left out, or a key of it.
type Blank = (TableAt, Option<String>);

impl PlanSheet {
    /// The plan as far as it is sound, under that name.
    pub fn sound(&self, label: &str, tables: &Tables) -> SoundPlan {
        let mut told = SoundPlan::default();
        let mut blank: BTreeSet<Blank> = BTreeSet::new();
        let starts = self.line_starts();
        told.text = self.text().to_owned();
        for pass in 0..PASSES_MAX {
            let (errors, more) = match Plan::parse_first(&told.text, label, tables, FOUND_MAX) {
                Ok(plan) => {
                    told.plan = Some(plan);
                    return told;
                }
                Err(found) => found,
            };
            let found = errors.into_iter().map(|one| self.fault(one, &starts));
            let found: Vec<SheetFault> = found.collect();
            let count = blank.len();
            for fault in &found {
                let Some(at) = fault.at else { continue };
                blank.insert(match at {
                    TableAt::Part | TableAt::Rules => (at, fault.key.clone()),
                    _ => (at, None),
                });
            }
            if pass == 0 {
                (told.faults, told.more) = (found, more);
            }
            let is_lost = blank.len() == count;
            match self.without(&blank) {
                Some(without) if !is_lost => told.text = without,
                _ => break,
            }
        }
        told
    }

    /// The text without those tables; a part without a name gets one, since nothing else hangs
    /// on it.
    fn without(&self, blank: &BTreeSet<Blank>) -> Option<String> {
        let whole = |(at, key): &Blank| {
            let is_name = key.as_deref().is_none_or(|key| key == "name");
            *at == TableAt::Part && is_name
        };
        let is_nameless = blank.iter().any(whole);
        let mut all: Vec<Blank> = blank.iter().cloned().collect();
        if is_nameless {
            all.retain(|(at, _)| *at != TableAt::Part);
            all.push((TableAt::Part, None));
        }
        let mut text = self.blanked(&all)?;
        if is_nameless {
            text.push_str("\n[part]\nname = \"?\"\n");
        }
        Some(text)
    }

    fn fault(&self, error: PlanError, starts: &[usize]) -> SheetFault {
        let place = error.place();
        let offset = self.offset(starts, place.line, place.column);
        let found = self.found_at(offset);
        let key = found.and_then(|(_, key)| key.map(str::to_owned));
        let at = match whole_file(&error) {
            Some(at) => at,
            None => found.map(|(at, _)| at),
        };
        let key = key.filter(|_| at == found.map(|(at, _)| at));
        let cell = at.and_then(|at| self.table(at)?.cell(key.as_deref()?));
        // Behind the quote that opens the value.
        let character = cell.and_then(|cell| {
            let inside = self.text().get(cell.value.start..offset)?;
            let letters = inside.chars().count();
            letters.checked_sub(1)
        });
        SheetFault {
            at,
            key,
            character,
            error,
        }
    }
}

/// What a fault of the file as a whole is about: without `[part]` the part, wherever it points to.
fn whole_file(error: &PlanError) -> Option<Option<TableAt>> {
    let (key, table) = match error.problem() {
        PlanProblem::NoFeatures => return Some(None),
        PlanProblem::File(FileProblem::MissingKey { key, table }) => (key, table),
        _ => return None,
    };
    match (*table, *key) {
        ("the plan", "part") => Some(Some(TableAt::Part)),
        ("the plan", _) => Some(None),
        _ => None,
    }
}
