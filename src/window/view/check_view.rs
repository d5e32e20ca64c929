//! Attribute checks on the Bench: when the question of a limit gauge is open, what it asks, and
//! how an outcome looks.

use super::focus::{Focus, mark_of, now};
use super::words::{Words, as_sentence, callout, clean};
use super::{AnswerView, Mark, QuestionView};
use crate::gauge::CheckAsked;
use crate::journal::{Event, Outcome, ValueUnit, VerdictGiven};
use crate::measure::{Side, VerdictWord};
use crate::session::{Snapshot, Target, check_question, number_text};
use crate::window::desk::{CheckGauge, Desk, Mode, gauge_of_check};

/// The check whose question is open.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckNow<'a> {
    /// The characteristic.
    pub target: &'a Target,
    /// What is asked of the gauge.
    pub asked: &'a CheckAsked,
    /// The part, from 1.
    pub part: u32,
    /// Which gauge the answer will be about.
    pub gauge: CheckGauge,
}

/// The attribute check that one press answers now; the eye and the keys ask this same function.
///
/// None while anything else wants an answer or has the screen. What was answered last must have
/// been good and of this part, else it is left with Enter first: a stop must be read, and a part
/// be taken, before a further press counts.
pub fn check_now<'a>(snapshot: &'a Snapshot, desk: &Desk) -> Option<CheckNow<'a>> {
    let state = &snapshot.state;
    let is_free = desk.mode == Mode::Measuring
        && !desk.is_why
        && state.bench().held.is_none()
        && snapshot.unrecorded.is_none()
        && snapshot.ended.is_none();
    if !is_free {
        return None;
    }
    let (index, place) = now(state)?;
    let target = state.setup().targets.get(index)?;
    let asked = target.check()?;
    let focus = Focus::of(snapshot, desk)?;
    let is_left = focus.answer.is_none_or(|answer| {
        let mark = mark_of(&answer.event);
        focus.part == place.part && matches!(mark, Mark::Go | Mark::Inside | Mark::Noted)
    });
    is_left.then(|| CheckNow {
        target,
        asked,
        part: place.part,
        gauge: gauge_of_check(desk, state, target),
    })
}

/// The question of a check, its two answers on the two keys; or first, which gauge it is.
pub(super) fn check_question_view(check: &CheckNow<'_>, words: Words) -> QuestionView {
    let name = check.asked.name();
    let about = about(check.target);
    let answer = |key: char, text: &str| AnswerView {
        key,
        text: words.sentence(text),
    };
    let (title, line, answers) = match &check.gauge {
        CheckGauge::Which(listed) => {
            let numbers = ('1'..='9').zip(listed);
            let answers = numbers.map(|(key, gauge)| answer(key, &clean(gauge.as_str())));
            (
                format!("Which {name} is at hand?"),
                String::new(),
                answers.collect(),
            )
        }
        CheckGauge::Known(_) => {
            let asked = check_question(check.asked);
            let answers = vec![answer('+', asked.yes.1), answer('-', asked.no.1)];
            let question = uncapitalised(asked.question);
            (
                as_sentence(&format!("{name}: {question}")),
                asked.request,
                answers,
            )
        }
    };
    let line = match &check.gauge {
        CheckGauge::Known(gauge) if check.target.gauges.contains(gauge) => {
            format!("{line} Gauge: {}.", clean(gauge.as_str()))
        }
        _ => line,
    };
    let lines = [format!("{about}, part {}.", check.part), line];
    QuestionView {
        title: words.sentence(&title),
        lines: lines.into_iter().filter(|line| !line.is_empty()).collect(),
        answers,
        waiting: String::new(),
        is_alarm: false,
    }
}

/// `A, M10-6H, port thread`.
pub(super) fn about(target: &Target) -> String {
    let all = [clean(&target.feature), callout(target), clean(&target.name)];
    let said: Vec<String> = all.into_iter().filter(|text| !text.is_empty()).collect();
    said.join(", ")
}

fn uncapitalised(sentence: &str) -> String {
    let mut letters = sentence.chars();
    let first = letters.next().map(char::to_lowercase);
    first.into_iter().flatten().chain(letters).collect()
}

/// What was seen, in the words of the answer: `goes`, `two turns or fewer`.
pub(super) fn outcome_words(verdict: &VerdictGiven) -> String {
    number_text(ValueUnit::Check, verdict.value_at_20)
}

/// Where the metal is wrong, or what the outcome is worth.
pub(super) fn check_side(verdict: &VerdictGiven) -> &'static str {
    match (verdict.outcome, verdict.side) {
        (Outcome::Noted, _) => "proves nothing",
        (Outcome::Verdict(VerdictWord::NoGo), Side::MetalOn) => "metal on",
        (Outcome::Verdict(VerdictWord::NoGo), Side::MetalGone) => "metal gone",
        (Outcome::Verdict(VerdictWord::Doubt), _) => "not proved",
        _ => "",
    }
}

/// What to do after an outcome that is not good.
pub(super) fn after_check(asked: &CheckAsked, verdict: &VerdictGiven) -> String {
    let name = asked.name();
    match verdict.side {
        Side::MetalOn => {
            format!("The {name} does not go: metal is still on. Cut again, then try it again.")
        }
        _ => "Stop. Metal is gone: concession or scrap.".to_owned(),
    }
}

/// The outcome of the answer in focus, if it is one of a check.
pub(super) fn check_verdict<'a>(focus: &Focus<'a>) -> Option<(&'a CheckAsked, &'a VerdictGiven)> {
    let asked = focus.target.check()?;
    match &focus.answer?.event {
        Event::VerdictGiven(verdict) => Some((asked, verdict)),
        _ => None,
    }
}
