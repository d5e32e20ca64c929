//! The fields of a table of an edited plan, and what the one that is typed into says of itself.

use super::plan_lines::{fault_words, limits_sentence};
use super::plan_view::PlanSeen;
use super::said::Said;
use super::words::{Words, clean};
use super::{Mark, PlanFieldView, PlanListView, PlanTypedView};
use crate::plan::{FieldKind, PlanField, PlanSheet, TableAt};
use crate::window::plan_room::PlanPage;
use crate::window::plan_sense::PlanSense;
use crate::window::plan_typing::PlanTyping;

/// What is wrong with a table or one of its fields, as a mark and in words.
pub(super) fn field_marks(
    sense: &PlanSense,
    at: TableAt,
    key: Option<&str>,
) -> (Option<Mark>, Option<String>) {
    let is_it = |found: Option<&str>| key.is_none() || found == key;
    let faults = sense
        .faults_at(at)
        .filter(|one| is_it(one.key.as_deref()))
        .count();
    let all = || sense.warnings_at(at).filter(|one| is_it(one.key));
    let faults = faults + all().filter(|one| one.is_fault).count();
    let warnings = all().filter(|one| !one.is_fault).count();
    match (faults, warnings) {
        (0, 0) => (None, None),
        (0, 1) => (Some(Mark::Doubt), Some("worth a look".to_owned())),
        (0, many) => (Some(Mark::Doubt), Some(format!("{many} worth a look"))),
        (1, _) => (Some(Mark::NoGo), Some("1 fault".to_owned())),
        (many, _) => (Some(Mark::NoGo), Some(format!("{many} faults"))),
    }
}

/// The fields of the chosen row, or of part and rules; or the name of a new file.
pub(super) fn field_list(seen: &PlanSeen<'_>, sheet: &PlanSheet, words: Words) -> PlanListView {
    let room = seen.room;
    if let Some(typing) = room.typing.as_ref().filter(|typing| typing.of.is_none()) {
        let says = vec![
            "A name lies in the folder plans of the workspace. Nothing is ever written over."
                .to_owned(),
        ];
        let field = PlanFieldView {
            label: "file".to_owned(),
            is_at: true,
            spoken: format!("file: {}, typed into", clean(&typing.text)),
            typed: Some(typed_view(typing, None, says)),
            ..PlanFieldView::default()
        };
        return PlanListView::Fields("Save under which name?".to_owned(), vec![field]);
    }
    let fields = room.fields();
    let chosen = room.field.unwrap_or(0);
    let mut last = None;
    let rows = fields.iter().enumerate().map(|(index, (at, field))| {
        let is_first = last.is_some_and(|last| last != *at);
        last = Some(*at);
        let is_at = room.field.is_some() && index == chosen;
        let typing = room.typing.as_ref().filter(|_| is_at);
        field_view(seen, sheet, (*at, field), typing, (is_at, is_first), words)
    });
    let rows = rows.collect();
    PlanListView::Fields(fields_title(seen, sheet), rows)
}

fn fields_title(seen: &PlanSeen<'_>, sheet: &PlanSheet) -> String {
    match (seen.room.page, seen.room.table()) {
        (PlanPage::Head, _) => "The part, and the rules of its verdicts".to_owned(),
        (_, Some(at @ TableAt::Feature(_))) => {
            let shown = |key| clean(sheet.shown(at, key));
            let name = shown("name");
            let comma = if name.is_empty() { "" } else { ", " };
            format!("Feature {}{comma}{name}", shown("id"))
        }
        (_, Some(at @ TableAt::Pair(_))) => {
            let shown = |key| clean(sheet.shown(at, key));
            format!("Pair {} and {}", shown("hole"), shown("shaft"))
        }
        _ => String::new(),
    }
}

fn field_view(
    seen: &PlanSeen<'_>,
    sheet: &PlanSheet,
    (at, field): (TableAt, &'static PlanField),
    typing: Option<&PlanTyping>,
    (is_at, is_first): (bool, bool),
    words: Words,
) -> PlanFieldView {
    let cell = sheet.table(at).and_then(|table| table.cell(field.key));
    let text = match cell {
        Some(cell) => match &cell.shown {
            Some(shown) => clean(shown),
            None => "changed in a text editor only".to_owned(),
        },
        None => String::new(),
    };
    let (mark, wrong) = field_marks(seen.sense, at, Some(field.key));
    let typed = typing.map(|typing| {
        let mut faults = seen.sense.faults_at(at);
        let fault = faults.find(|fault| fault.key.as_deref() == Some(field.key));
        let blanks = typing
            .text
            .chars()
            .take_while(|c| c.is_whitespace())
            .count();
        let wrong_at = fault.map(|fault| fault.character.map(|at| at + blanks));
        typed_view(typing, wrong_at, says(seen, sheet, (at, field), words))
    });
    let here = match (is_at, typing) {
        (_, Some(_)) => ", typed into",
        (true, None) => ", chosen",
        (false, None) => "",
    };
    let said = typing.map_or_else(|| text.clone(), |typing| clean(&typing.text));
    let wrong = wrong.map(|wrong| format!(", {wrong}")).unwrap_or_default();
    let said = if said.is_empty() { "empty" } else { &said };
    PlanFieldView {
        spoken: format!("{}: {said}{wrong}{here}", field.label),
        label: field.label.to_owned(),
        text,
        mark,
        is_at,
        is_first,
        typed,
    }
}

/// `wrong_at`: none where nothing is wrong; else the character, where one is.
fn typed_view(
    typing: &PlanTyping,
    wrong_at: Option<Option<usize>>,
    says: Vec<String>,
) -> PlanTypedView {
    PlanTypedView {
        text: typing.text.clone(),
        cursor: typing.cursor,
        wrong_at: wrong_at.flatten(),
        is_wrong: wrong_at.is_some(),
        says,
    }
}

/// What the field says of itself while it is typed into: what is wrong with it, else what it means,
/// else what it is for.
fn says(
    seen: &PlanSeen<'_>,
    sheet: &PlanSheet,
    (at, field): (TableAt, &'static PlanField),
    words: Words,
) -> Vec<String> {
    let faults = seen.sense.faults_at(at);
    let faults = faults.filter(|fault| fault.key.as_deref() == Some(field.key));
    let wrong: Vec<String> = faults
        .map(|fault| words.sentence(&fault_words(fault)))
        .collect();
    if !wrong.is_empty() {
        return wrong;
    }
    let mut all = Vec::new();
    if field.key == "callout"
        && let Some(feature) = seen.sense.feature(sheet, at)
    {
        let each = feature.characteristics.iter();
        all.extend(each.map(|one| words.sentence(&limits_sentence(one, words))));
    }
    if all.is_empty() {
        all.push(field.help.to_owned());
    }
    if let FieldKind::Word(of) = field.kind {
        all.push(format!("Up/Down: {}.", of.all().join(", ")));
    }
    let gauges = seen.room.typing.as_ref().filter(|_| field.key == "gauge");
    if gauges.is_some() {
        let id = sheet.shown(at, "id");
        let ids: Vec<String> = seen
            .before
            .gauges_for(id)
            .iter()
            .map(|id| clean(id))
            .collect();
        if !ids.is_empty() {
            all.push(format!("Up/Down, the best first: {}.", ids.join(", ")));
        }
    }
    all
}

/// What stands at the right while something is typed that is no fault.
pub(super) fn typed_lines(said: &mut Said, seen: &PlanSeen<'_>) {
    let Some((at, key)) = seen.room.typing.as_ref().and_then(|typing| typing.of) else {
        return;
    };
    let Some(field) = PlanField::of(at.name(), key) else {
        return;
    };
    if key == "callout" {
        said.say(field.help);
    }
}

/// What the chosen field is for.
pub(super) fn chosen_help(said: &mut Said, seen: &PlanSeen<'_>) {
    let fields = seen.room.fields();
    let chosen = seen.room.field.and_then(|at| fields.get(at));
    if let Some((_, field)) = chosen {
        said.say(&format!("{}: {}", field.label, field.help));
    }
}
