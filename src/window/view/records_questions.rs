//! What the Records room asks: the lists of what can be done, and what is filled in for a
//! decision.

use super::records_corrections::decision_words;
use super::records_view::RecordsSeen;
use super::words::{Words, capital, clean};
use super::{AnswerView, EntryView, QuestionView};
use crate::report::PartSheet;
use crate::window::records_decide::{Decision, Filling};
use crate::window::records_facts::ReportForm;
use crate::window::records_room::{RecordsMenu, RecordsMode};

/// A list of more choices than digits cannot be answered with one key.
const WITHDRAWN_MAX: usize = 9;

/// What wants an answer now.
pub(super) fn question(seen: &RecordsSeen<'_>, words: Words) -> Option<QuestionView> {
    match &seen.room.mode {
        RecordsMode::Looking => None,
        RecordsMode::Choosing(menu) => Some(menu_question(*menu, seen, words)),
        RecordsMode::Filling(filling) => Some(filling_question(filling, seen)),
    }
}

/// What is typed for it.
pub(super) fn filled(seen: &RecordsSeen<'_>) -> Option<EntryView> {
    let RecordsMode::Filling(filling) = &seen.room.mode else {
        return None;
    };
    Some(EntryView {
        text: clean(filling.text()),
        what: filling.field().word().to_owned(),
        fault: String::new(),
    })
}

/// `part 3, serial 17`; none: the whole session.
fn part_name(part: Option<&PartSheet>) -> String {
    match part {
        None => "the whole session".to_owned(),
        Some(part) if part.serial.is_empty() => format!("part {}", part.number),
        Some(part) => format!("part {}, serial {}", part.number, clean(&part.serial)),
    }
}

fn menu_question(menu: RecordsMenu, seen: &RecordsSeen<'_>, words: Words) -> QuestionView {
    let part = seen.part();
    let name = part_name(part);
    let decided = |table: &[(char, Decision, &str)]| {
        let answers = table
            .iter()
            .map(|(key, _, text)| (*key, (*text).to_owned()));
        answers.collect::<Vec<_>>()
    };
    let (title, line, answers) = match menu {
        RecordsMenu::Record => (
            "What is to be done with this record?".to_owned(),
            "Files go into the folder reports of the workspace; none is ever replaced.".to_owned(),
            record_answers(seen, &name),
        ),
        RecordsMenu::Decide => (
            format!("What is decided about {name}?"),
            "It becomes a further line of the record; the verdicts stay as they are.".to_owned(),
            {
                let mut all = decided(&Decision::DECIDE);
                if part.is_some_and(|part| standing(part).next().is_some()) {
                    all.push(('6', "withdraw a decision".to_owned()));
                }
                all
            },
        ),
        RecordsMenu::Sign => (
            format!("What is signed for {name}?"),
            "A name under what the record says up to here; no electronic signature in law."
                .to_owned(),
            decided(&Decision::SIGN),
        ),
        RecordsMenu::Withdraw => (
            format!("Which decision about {name} holds no longer?"),
            "It stays in the record, struck through.".to_owned(),
            part.map_or_else(Vec::new, withdrawable),
        ),
    };
    let answers = answers.into_iter().map(|(key, text)| AnswerView {
        key,
        text: words.sentence(&text),
    });
    QuestionView {
        title,
        lines: vec![line],
        answers: answers.collect(),
        waiting: String::new(),
        is_alarm: false,
    }
}

fn record_answers(seen: &RecordsSeen<'_>, name: &str) -> Vec<(char, String)> {
    let forms = ReportForm::ALL.iter();
    let mut all: Vec<(char, String)> = forms
        .map(|(_, key, _, text, _)| (*key, (*text).to_owned()))
        .collect();
    all.push(('6', "check it whole".to_owned()));
    let of_part = seen.part().is_some();
    if of_part {
        all.push(('7', format!("decide about {name}")));
    }
    all.push(('8', format!("sign for {name}")));
    if of_part {
        all.push((
            '9',
            match seen.room.is_one_part {
                true => format!("reports: {name} alone"),
                false => "reports: all parts".to_owned(),
            },
        ));
    }
    all.push(('0', "see all readings".to_owned()));
    all
}

fn standing(part: &PartSheet) -> impl Iterator<Item = &crate::report::DecisionRow> {
    let decisions = part.decisions.iter();
    decisions.filter(|one| one.withdrawn_by == 0 && one.what != "withdrawn")
}

fn withdrawable(part: &PartSheet) -> Vec<(char, String)> {
    let keys = '1'..='9';
    let standing = standing(part).take(WITHDRAWN_MAX);
    let all = keys.zip(standing);
    all.map(|(key, one)| {
        (
            key,
            format!("{}, by {}", decision_words(one), clean(&one.by)),
        )
    })
    .collect()
}

fn filling_question(filling: &Filling, seen: &RecordsSeen<'_>) -> QuestionView {
    let what = filling.deed.words();
    let before = filling.fields.iter().take(filling.at);
    let mut lines: Vec<String> = before
        .map(|(field, text)| match text.trim() {
            "" => format!("{}: none", field.word()),
            text => format!("{}: {}", field.word(), clean(text)),
        })
        .collect();
    lines.push(format!("{}.", filling.field().question()));
    let part = part_name(seen.part());
    QuestionView {
        title: format!("{}: {what}", capital(&part)),
        lines,
        answers: Vec::new(),
        waiting: String::new(),
        is_alarm: false,
    }
}
