//! The keys of the Plan room that do something now, and its questions.

use super::bench::key_views;
use super::words::clean;
use super::{AnswerView, KeyView, QuestionView};
use crate::window::plan_open::OpenPlan;
use crate::window::plan_room::{LeaveTo, PlanPage, PlanQuestion, PlanRoom};

/// The keys that do something now; the last leads out. `is_offered`: something was learned that may
/// be taken into the plan.
pub(super) fn keys(room: &PlanRoom, (has_session, is_offered): (bool, bool)) -> Vec<KeyView> {
    let out = if has_session {
        "to the Bench"
    } else {
        "to the start"
    };
    let list: Vec<(&str, &str)> = match (&room.open, &room.question) {
        (_, Some(PlanQuestion::Overtaken | PlanQuestion::Conflict(_))) => {
            vec![("*", "read on"), ("Esc", "back, nothing is lost")]
        }
        (_, Some(_)) => vec![("Esc", "back, nothing is lost")],
        (None, None) => vec![
            ("Enter", "open"),
            ("+/-", "choose"),
            ("N", "new"),
            (".", out),
        ],
        (Some(open), None) => open_keys(room, open, (out, is_offered)),
    };
    key_views(&list)
}

fn open_keys<'k>(
    room: &PlanRoom,
    open: &OpenPlan,
    (out, is_offered): (&'k str, bool),
) -> Vec<(&'k str, &'k str)> {
    if room.typing.is_some() {
        return vec![
            ("Enter", "take"),
            ("Tab", "offer"),
            ("Left/Right", "cursor"),
            ("Backspace", "erase"),
            ("Esc", "drop"),
        ];
    }
    if open.sheet().is_none() {
        return vec![("+/-", "choose"), ("O", "other plan"), (".", out)];
    }
    let mut keys = Vec::new();
    let is_fields = room.field.is_some() || room.page == PlanPage::Head;
    match (is_fields, room.page) {
        (true, PlanPage::Head) => keys.extend([("Enter", "type"), ("Up/Down", "field")]),
        (true, _) => {
            keys.extend([
                ("Enter", "type"),
                ("Up/Down", "field"),
                ("Left/Right", "row"),
            ]);
        }
        (false, PlanPage::Faults) => keys.extend([("Enter", "to the field"), ("+/-", "choose")]),
        (false, _) => {
            keys.extend([("Enter", "edit"), ("N", "new"), ("X", "take out")]);
            if room.page == PlanPage::Features {
                keys.push(("E/L", "earlier, later"));
            }
        }
    }
    if is_offered {
        keys.push(("A", "allowance"));
    }
    if open.is_overtaken() {
        keys.push(("C", "changed outside"));
    }
    if open.is_edited() {
        keys.push(("S", "save"));
    }
    if open.steps().0 > 0 {
        keys.push(("U", "undo"));
    }
    if open.steps().1 > 0 {
        keys.push(("Y", "redo"));
    }
    keys.extend([("M", "measure"), ("O", "other plan"), ("*", "read on")]);
    match is_fields {
        true => keys.push(("Esc", "back")),
        false => keys.push((".", out)),
    }
    keys
}

pub(super) fn answer(key: char, text: String) -> AnswerView {
    AnswerView { key, text }
}

fn asked(title: String, lines: Vec<String>, answers: Vec<AnswerView>) -> QuestionView {
    QuestionView {
        title,
        lines,
        answers,
        waiting: String::new(),
        is_alarm: false,
    }
}

/// What wants an answer, where there are no two sides to be seen.
pub(super) fn question(room: &PlanRoom) -> Option<QuestionView> {
    let open = room.open.as_ref()?;
    let name = clean(&open.name);
    Some(match room.question.as_ref()? {
        // Both sides are seen with these: `plan_sides.rs`.
        PlanQuestion::Overtaken | PlanQuestion::Conflict(_) => return None,
        PlanQuestion::Gone => asked(
            format!("{name} is not there any more"),
            vec!["It was deleted or renamed; your edits are still here.".to_owned()],
            vec![answer('+', "write it anew".to_owned())],
        ),
        PlanQuestion::Leave(to) => {
            let away = match to {
                LeaveTo::Room(_) => "leave",
                LeaveTo::Files => "open another",
                LeaveTo::Quit => "close the window",
            };
            asked(
                format!("{name} has edits that are not saved"),
                vec![
                    "Esc stays here. A draft lies beside the file, with “draft” in its name."
                        .to_owned(),
                ],
                vec![
                    answer('+', format!("save, then {away}")),
                    answer('0', format!("keep them as a draft, then {away}")),
                    answer('-', format!("{away}, and lose them")),
                ],
            )
        }
    })
}
