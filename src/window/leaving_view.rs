//! The question before a session is left whose readings are NOT RECORDED.

use super::view::{AnswerView, QuestionView};
use crate::session::Snapshot;

/// What would be lost, and the two answers.
pub(super) fn leaving_question(snapshot: &Snapshot) -> QuestionView {
    let unrecorded = snapshot.unrecorded.as_ref();
    let count = unrecorded.map_or(0, |one| one.count);
    let mut lines: Vec<String> = unrecorded
        .map(|one| vec![one.cause.clone(), one.hint.clone()])
        .unwrap_or_default();
    if let Some(one) = unrecorded.filter(|one| !one.readings.is_empty()) {
        lines.push(format!("Not on the disk: {}.", one.readings.join(", ")));
    }
    let answer = |key, text: &str| AnswerView {
        key,
        text: text.to_owned(),
    };
    QuestionView {
        title: match count {
            1 => "1 reading is NOT RECORDED".to_owned(),
            count => format!("{count} readings are NOT RECORDED"),
        },
        lines,
        answers: vec![answer('+', "stay"), answer('-', "leave and lose them")],
        waiting: String::new(),
        is_alarm: true,
    }
}
