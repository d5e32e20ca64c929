//! Attribute checks at the keys: one press answers the question that is on the screen, once.

use super::measuring::request;
use super::{Asked, Desk, Mode, next_target};
use crate::gauge::GaugeId;
use crate::journal::Sequence;
use crate::session::{
    Request, Snapshot, State, Target, UNNAMED_TYPED, check_answers, check_question, check_reading,
};
use crate::window::press::Press;
use crate::window::view::{CheckNow, check_now};

const WHICH_FIRST: &str =
    "A reading waits: say with its number which one was measured, or − set it aside.";
const NOT_ASKED: &str = "The question is not open: Enter leaves what is shown and opens it.";
/// So many limit gauges can be told apart by one digit.
const NUMBERED_MAX: usize = 9;

/// The limit gauge that an answer is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CheckGauge {
    /// That one, or the one without a name.
    Known(GaugeId),
    /// The plan lists several that can be it, and none has been chosen.
    Which(Vec<GaugeId>),
}

/// The gauge that an answer at the window is about: the only one of the plan's that can be what
/// is asked, else the one of them that was chosen at this desk.
pub fn gauge_of_check(desk: &Desk, state: &State, target: &Target) -> CheckGauge {
    let setup = state.setup();
    let fits = |id: &&GaugeId| {
        let gauge = setup.gauge(id);
        let asked = target.check();
        gauge
            .zip(asked)
            .is_some_and(|(gauge, asked)| asked.fits(gauge.kind))
    };
    let listed: Vec<GaugeId> = target
        .gauges
        .iter()
        .filter(fits)
        .take(NUMBERED_MAX)
        .cloned()
        .collect();
    let chosen = desk
        .limit_gauges
        .iter()
        .rev()
        .find(|one| listed.contains(one));
    match (listed.as_slice(), chosen) {
        ([], _) => CheckGauge::Known(setup.check_gauge(target, &GaugeId::new(UNNAMED_TYPED))),
        ([only], _) => CheckGauge::Known(only.clone()),
        (_, Some(chosen)) => CheckGauge::Known(chosen.clone()),
        (_, None) => CheckGauge::Which(listed),
    }
}

/// Whether an answer by that press goes to the question that was drawn last: a reading may have
/// come since, and what was not seen is not answered. Other presses always do.
pub fn asks_the_same(press: &Press, desk: &Desk, drawn: &Snapshot, now: &Snapshot) -> bool {
    let is_answer = matches!(press, Press::Plus | Press::Minus)
        || (matches!(press, Press::Digit(_)) && now.state.bench().held.is_some());
    if !is_answer || desk.mode != Mode::Measuring {
        return true;
    }
    let held = |snapshot: &Snapshot| {
        snapshot
            .state
            .bench()
            .held
            .as_ref()
            .map(|held| held.reading)
    };
    let check = |snapshot: &Snapshot| {
        let check = check_now(snapshot, desk)?;
        let target = check.target;
        Some((check.part, target.feature.clone(), target.element.clone()))
    };
    held(drawn) == held(now) && check(drawn) == check(now)
}

impl Desk {
    /// A press where it is asked which characteristic a reading is of; none when that is not
    /// asked, or it is no matter of the question.
    pub(super) fn at_which(&mut self, press: &Press, state: &State) -> Option<Vec<Asked>> {
        let all = state.which_asked();
        if all.is_empty() {
            return None;
        }
        let numbered = |digit: char| {
            let number = usize::try_from(digit.to_digit(10)?).ok()?;
            all.get(number.checked_sub(1)?)
        };
        match press {
            Press::Digit(digit) => Some(match numbered(*digit) {
                Some(target) => self.choose_at(*target, state),
                None => self.complain(format!("{digit} is none of the choices.")),
            }),
            // Nothing that is meant to go on, or to look around, is an answer.
            Press::Choose(target) if all.contains(target) => None,
            Press::Plus
            | Press::Enter
            | Press::Space
            | Press::Up
            | Press::Down
            | Press::Left
            | Press::Right
            | Press::Choose(_)
            | Press::Pasted(_)
            | Press::Star
            | Press::Slash => Some(self.complain(WHICH_FIRST)),
            _ => None,
        }
    }

    /// A press where an attribute check is measured next; none when it is no matter of the check.
    pub(super) fn at_check(&mut self, press: &Press, snapshot: &Snapshot) -> Option<Vec<Asked>> {
        let state = &snapshot.state;
        if state.bench().held.is_some() {
            return None;
        }
        let target = next_target(state).and_then(|at| state.setup().targets.get(at))?;
        let asked = target.check()?;
        match press {
            Press::Plus | Press::Minus => Some(match check_now(snapshot, self) {
                Some(now) => self.answer_check(*press == Press::Plus, &now, state),
                None => self.complain(NOT_ASKED),
            }),
            Press::Digit(digit) => match check_now(snapshot, self).map(|now| now.gauge) {
                Some(CheckGauge::Which(listed)) => Some(self.choose_limit_gauge(*digit, &listed)),
                _ if asked.counts_turns() => None,
                _ => Some(self.complain(check_answers(asked))),
            },
            Press::Pasted(_) if !asked.counts_turns() => Some(self.complain(check_answers(asked))),
            _ => None,
        }
    }

    /// Sends what the key says. A second press before the session has the first one is none: it
    /// was meant for the same question.
    fn answer_check(&mut self, is_yes: bool, now: &CheckNow<'_>, state: &State) -> Vec<Asked> {
        let CheckGauge::Known(gauge) = &now.gauge else {
            return self.complain("Say first which gauge it is, with its number.");
        };
        let before = last_check(state);
        if self.answered == Some(before) {
            return Vec::new();
        }
        self.answered = Some(before);
        let question = check_question(now.asked);
        let (outcome, key) = match is_yes {
            true => (question.yes.0, "+"),
            false => (question.no.0, "-"),
        };
        let reading = check_reading(now.asked.end, outcome, gauge, key);
        request(Request::Reading(reading))
    }

    fn choose_limit_gauge(&mut self, digit: char, listed: &[GaugeId]) -> Vec<Asked> {
        let at = digit
            .to_digit(10)
            .and_then(|digit| usize::try_from(digit).ok());
        let found = at.and_then(|at| listed.get(at.checked_sub(1)?));
        match found {
            Some(gauge) => self.limit_gauges.push(gauge.clone()),
            None => return self.complain(format!("There is no gauge of the number {digit}.")),
        }
        Vec::new()
    }
}

/// The newest answer to a check; 0 before the first.
fn last_check(state: &State) -> Sequence {
    let mut newest_first = state.readings().iter().rev();
    let found = newest_first.find(|record| record.check.is_some());
    found.map_or(0, |record| record.sequence)
}
