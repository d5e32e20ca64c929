//! Something that wants an answer: a held reading, a reason for voiding, a choice.

/// A question with its answers; every one can be given with one key of a keypad.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuestionView {
    /// `20.450 mm is held`.
    pub title: String,
    /// The reasons, a sentence each.
    pub lines: Vec<String>,
    /// What can be answered.
    pub answers: Vec<AnswerView>,
    /// `3 more readings wait, recorded`; empty when none does.
    pub waiting: String,
    /// It is a warning that must not be overlooked.
    pub is_alarm: bool,
}

/// One answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AnswerView {
    /// The key: `+`, `-`, `1`.
    pub key: char,
    /// What it does: `it belongs here`.
    pub text: String,
}
