//! The page of faults of an edited plan: what is wrong with it and what is worth a look, each with
//! the place that it leads to.

use super::plan_lines::{fault_words, wrong};
use super::plan_view::{PlanSeen, row};
use super::said::Said;
use super::words::clean;
use super::{Mark, PlanRowView};
use crate::plan::{PlanField, PlanSheet, TableAt};
use crate::window::plan_sense::PlanSense;

const UNLISTED: &str = "The first ones are listed, in the order of the file; mend them, and the \
                        next ones move up.";
/// So many of them are listed; the others are counted (chosen: nobody mends more at once, and every
/// frame makes the rows anew).
const LISTED_MAX: usize = 100;

/// So many are not listed.
pub(super) fn unlisted(sense: &PlanSense) -> usize {
    sense.count().saturating_sub(LISTED_MAX)
}

/// The fields that the rows of the page lead to; the last row may say how many more there are.
pub(super) fn fault_places(sense: &PlanSense) -> Vec<(Option<TableAt>, Option<String>)> {
    let faults = sense.sound.faults.iter();
    let faults = faults.map(|fault| (fault.at, fault.key.clone()));
    let warnings = sense.warnings.iter();
    let warnings = warnings.map(|one| (one.at, one.key.map(str::to_owned)));
    let more = (unlisted(sense) > 0).then_some((None, None));
    let listed = faults.chain(warnings).take(LISTED_MAX);
    listed.chain(more).collect()
}

/// What is said of the chosen row.
pub(super) fn fault_said(said: &mut Said, seen: &PlanSeen<'_>) {
    let (row, faults) = (seen.room.row, &seen.sense.sound.faults);
    if row >= LISTED_MAX {
        said.say(UNLISTED);
        return;
    }
    let warning = row.checked_sub(faults.len());
    let warning = warning.and_then(|at| seen.sense.warnings.get(at));
    wrong(said, faults.get(row).into_iter(), warning.into_iter());
}

/// Its rows.
pub(super) fn fault_rows(seen: &PlanSeen<'_>, sheet: Option<&PlanSheet>) -> Vec<PlanRowView> {
    let place = |at: Option<TableAt>, key: Option<&str>| {
        let table = match at {
            Some(TableAt::Feature(_)) => {
                let id = at
                    .zip(sheet)
                    .map_or("", |(at, sheet)| sheet.shown(at, "id"));
                if id.is_empty() {
                    "?".to_owned()
                } else {
                    clean(id)
                }
            }
            Some(TableAt::Pair(at)) => format!("pair {}", at + 1),
            Some(at) => at.name().to_owned(),
            None => "file".to_owned(),
        };
        let name = at.map_or("", TableAt::name);
        let label = key.and_then(|key| PlanField::of(name, key));
        let key = label.map_or(key.unwrap_or(""), |field| field.label);
        (table, clean(key))
    };
    let faults = seen.sense.sound.faults.iter().map(|fault| {
        let (table, key) = place(fault.at, fault.key.as_deref());
        (table, key, fault_words(fault), Mark::NoGo)
    });
    let warnings = seen.sense.warnings.iter().map(|one| {
        let (table, key) = place(one.at, one.key);
        let mark = if one.is_fault {
            Mark::NoGo
        } else {
            Mark::Doubt
        };
        (table, key, one.text.clone(), mark)
    });
    let listed = faults.chain(warnings).take(LISTED_MAX).enumerate();
    let listed = listed.map(|(at, (table, key, text, mark))| {
        row(
            at == seen.room.row,
            &table,
            &key,
            &clean(&text),
            "",
            Some(mark),
        )
    });
    let more = match unlisted(seen.sense) {
        0 => None,
        more => Some(format!("and {more} more")),
    };
    let is_chosen = seen.room.row == LISTED_MAX;
    let more = more.map(|text| row(is_chosen, "", &text, "further down", "", None));
    listed.chain(more).collect()
}
