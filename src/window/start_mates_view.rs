//! The step of the Start room about measured mates, as it is to be seen.

use super::start::StartFacts;
use super::start_mates::MateSteps;
use super::start_view::{FieldView, ItemView, StartView};
use super::view::{clean, mate_left, mate_texts, typed_mate};
use crate::pair::Measured;
use crate::session::MateWanted;

const CLASS: &str = "by its own class";
const CLASS_DETAIL: &str = "as the plan says";

/// The step for the mate that is asked now.
pub(super) fn mates_view(
    steps: &MateSteps,
    mate: &MateWanted,
    facts: &StartFacts,
    marker: char,
) -> StartView {
    let parts = steps.parts(facts);
    let is_typed = !steps.text.trim().is_empty();
    let mut items = vec![item(CLASS.to_owned(), CLASS_DETAIL.to_owned())];
    let found = parts.map_or_else(Vec::new, |parts| mate_texts(parts, marker));
    items.extend(found.into_iter().map(|(text, detail)| item(text, detail)));
    let chosen = steps.chosen.min(items.len() - 1);
    if let Some(item) = items.get_mut(chosen) {
        item.is_chosen = !is_typed;
    }
    let half = match mate.measured {
        Measured::Hole => "hole",
        Measured::Shaft => "shaft",
    };
    let name = clean(&mate.name);
    let state = match (facts.told.reading, parts) {
        (Some((_, 0)), _) | (None, None) => "The records are being looked through.".to_owned(),
        (Some((done, of)), _) => format!("The records are being read: {done} of {of}."),
        (None, Some(parts)) => match facts.told.mates.as_deref() {
            Some(mates) if mates.fault.is_some() => clean(mates.fault.as_deref().unwrap_or("")),
            _ => mate_left(parts),
        },
    };
    let typed = match is_typed {
        true => typed_mate(steps.text.trim(), marker),
        false => format!("Type the measured size of {name}, and after + its u; or take one below."),
    };
    StartView {
        field: FieldView {
            label: format!("Measured {half} {name}: size in mm, ± standard uncertainty u"),
            text: clean(&steps.text),
            is_focused: true,
            wrong_at: None,
            lines: vec![typed, state],
        },
        list_title: format!(
            "{} made to suit a measured mate? ({}, {half} {name})",
            clean(&mate.made.join(", ")),
            clean(&mate.fit)
        ),
        items,
        fault: String::new(),
        hint: String::new(),
        keys: keys(is_typed),
        notes: Vec::new(),
    }
}

fn item(text: String, detail: String) -> ItemView {
    ItemView {
        key: String::new(),
        text,
        detail,
        is_chosen: false,
    }
}

fn keys(is_typed: bool) -> Vec<(String, String)> {
    let take = match is_typed {
        true => "take the typed size",
        false => "take the chosen one",
    };
    let keys = [
        ("Enter", take),
        ("*, / or Up/Down", "choose"),
        ("digits, +", "size ± u"),
        ("Backspace", "back"),
    ];
    let owned = keys.map(|(key, does)| (key.to_owned(), does.to_owned()));
    owned.into()
}
