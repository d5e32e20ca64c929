//! What earlier batches taught of a feature of an edited plan: the change over an operation, the
//! metal to leave for it, from which records, and whether that can be taken into the plan.

use super::said::Said;
use super::words::clean;
use crate::plan::{Feature, Plan, PlanSheet, TableAt};
use crate::quantity::Length;
use crate::session::{LearnedOperation, element_words};
use crate::window::plan_learned::LearnedTold;

/// The element of a feature that `leave` is of.
const SIZE: &str = "size";
const ELSEWHERE: &str = "The plan's own leave is for another operation: the one that ends in the \
                         last stage, or in the stage before the coating.";

/// What can be done with what was learned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Taking {
    /// The plan says something else, or nothing: this can be taken into it.
    Can(Length),
    /// The plan leaves just that.
    IsSo,
    /// The plan's `leave` is for another operation, or of another thing.
    Elsewhere,
}

/// What was learned of a feature as it is written now: of another size, side or material nothing
/// is said.
pub(super) fn learned_of<'t>(
    told: &'t LearnedTold,
    plan: &'t Plan,
    feature: &'t Feature,
) -> impl Iterator<Item = &'t LearnedOperation> {
    told.operations.iter().filter(move |one| {
        let of = &one.of;
        let mut all = feature.characteristics.iter();
        let is_it = |element: Option<&str>| element.unwrap_or(SIZE) == of.element;
        let found = all.find(|one| is_it(one.id.element.as_deref()));
        of.feature == feature.id.as_str()
            && of.material == plan.part.material
            && found.is_some_and(|one| one.nominal == of.nominal && one.surface == Some(of.surface))
    })
}

/// Whether the metal to leave for an operation can be written as the plan's `leave`, which is for
/// the operation that ends in the last stage, or in the one before the coating.
pub(super) fn taking(
    one: &LearnedOperation,
    feature: &Feature,
    sheet: &PlanSheet,
    at: TableAt,
) -> Option<Taking> {
    let leave = one.learned.leave?;
    let stages = feature
        .characteristics
        .first()
        .map_or(&[][..], |first| &first.stages);
    let coats = usize::from(!sheet.shown(at, "coating").is_empty());
    let name = |back: usize| {
        let at = stages.len().checked_sub(1 + coats + back)?;
        stages.get(at)?.name.as_deref()
    };
    // A session without a stage measured the last one.
    let is_last = one.of.after.is_empty() && coats == 0;
    let ends = name(0).is_some_and(|last| is_last || last == one.of.after);
    let begins = name(1).is_some_and(|before| before == one.of.before);
    if one.of.element != SIZE || !ends || !begins {
        return Some(Taking::Elsewhere);
    }
    let written = Length::parse_mm(sheet.shown(at, "leave").trim());
    Some(match written {
        Ok(written) if written == leave => Taking::IsSo,
        _ => Taking::Can(leave),
    })
}

/// The first metal to leave that can be taken into the plan for a feature, as it is written.
pub(super) fn leave_offered(
    told: &LearnedTold,
    plan: &Plan,
    feature: &Feature,
    (sheet, at): (&PlanSheet, TableAt),
) -> Option<String> {
    let all = learned_of(told, plan, feature);
    let mut can = all.filter_map(|one| match taking(one, feature, sheet, at)? {
        Taking::Can(leave) => Some(leave.to_mm()),
        Taking::IsSo | Taking::Elsewhere => None,
    });
    can.next()
}

/// What earlier batches taught of the feature in a line each: what to leave, and what is done with
/// it; nothing where they taught nothing.
pub(super) fn learned_lines(
    said: &mut Said,
    told: &LearnedTold,
    (plan, feature): (&Plan, &Feature),
    (sheet, at): (&PlanSheet, TableAt),
) {
    let mut is_offered = false;
    for one in learned_of(told, plan, feature) {
        let told = told_in_short(one);
        let Some(leave) = one.learned.leave else {
            said.say(&format!("{told}. {}.", one.learned.why_nothing_to_leave()));
            continue;
        };
        let leave = leave.to_mm();
        match taking(one, feature, sheet, at) {
            Some(Taking::Can(_)) if !is_offered => {
                is_offered = true;
                let now = match sheet.shown(at, "leave").trim() {
                    "" => "nothing".to_owned(),
                    now => clean(now),
                };
                said.strong(&format!(
                    "{told}: leave {leave} mm. The plan leaves {now}: A puts {leave} there."
                ));
            }
            Some(Taking::IsSo) => said.say(&format!(
                "{told}: leave {leave} mm, which is what the plan leaves."
            )),
            Some(Taking::Elsewhere) => {
                said.say(&format!("{told}: leave {leave} mm."));
                said.say(ELSEWHERE);
            }
            Some(Taking::Can(_)) | None => said.say(&format!("{told}: leave {leave} mm.")),
        }
    }
}

/// `Learned allowance, turned to hardened`.
fn told_in_short(one: &LearnedOperation) -> String {
    let element = match element_words(&one.of.element) {
        "" => String::new(),
        element => format!(" of the {}", clean(element)),
    };
    let stage = |name: &str, none: &str| match name {
        "" => none.to_owned(),
        name => clean(name),
    };
    let before = stage(&one.of.before, "an earlier stage");
    let after = stage(&one.of.after, "the last stage");
    format!("Learned allowance{element}, {before} to {after}")
}

/// What it is learned from: the change with its interval, the parts, the records; and why nothing
/// could be learned, where the records could not be looked at.
pub(super) fn learned_from(
    said: &mut Said,
    told: &LearnedTold,
    (plan, feature): (&Plan, &Feature),
) {
    if let Some(fault) = &told.fault {
        said.say(&format!("What earlier batches teach is not known. {fault}"));
    }
    for one in learned_of(told, plan, feature) {
        said.say(&one.origin());
        // What is longer than a line of the room may be is cut.
        let sentences = one.learned.sentence();
        let sentences = sentences.split_inclusive(". ").map(str::trim_end);
        sentences.for_each(|sentence| said.say(sentence));
        said.say(&records(one));
        match told.unread {
            0 => {}
            1 => said.say("1 older session of this part was not read."),
            many => said.say(&format!(
                "{many} older sessions of this part were not read."
            )),
        }
    }
}

/// Where it is from.
fn records(one: &LearnedOperation) -> String {
    let newest = one.records.first().map_or_else(String::new, |pair| {
        let (before, after) = pair;
        format!("{} and after it {}", clean(before), clean(after))
    });
    let more = match one.records.len().saturating_sub(1) {
        0 => String::new(),
        1 => "; 1 batch before that".to_owned(),
        many => format!("; {many} batches before that"),
    };
    format!("From the records {newest}{more}.")
}
