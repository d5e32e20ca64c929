//! What wants an answer, and the texts of every list of choices: one table for eye and keys.

use super::check_view::{check_now, check_question_view};
use super::focus::Focus;
use super::verdict_view::gauge_shows;
use super::words::{Words, clean};
use super::{AnswerView, QuestionView};
use crate::gauge::GaugeId;
use crate::journal::ValueUnit;
use crate::quantity::{Angle, Exact, Length, LengthUnit};
use crate::session::{Snapshot, State, number_text};
use crate::window::desk::{Desk, Form, Menu, Mode, next_target};
use crate::window::records_decide::Decision;

const ASKED_ONCE: &str =
    "Asked once: from then on Enter takes its value here (to change it: . then -).";

/// The choices of a list, each with its key; the key handling asks this same table.
pub fn choices(menu: Menu, snapshot: &Snapshot) -> Vec<(char, String)> {
    let bench = snapshot.state.bench();
    let fixed: &[(char, &str)] = match menu {
        Menu::Bench => &[
            (
                '1',
                if bench.cutting {
                    "cutting is over"
                } else {
                    "cutting"
                },
            ),
            ('2', "part temperature"),
            ('3', "why"),
            ('4', "glance"),
            (
                '5',
                if bench.taken_out {
                    "part back in the chuck"
                } else {
                    "part out of the chuck"
                },
            ),
            ('6', "tool changed"),
            ('7', "offset given"),
            ('8', "who measures"),
            ('9', "look"),
            ('0', "close the session"),
        ],
        Menu::VoidReasons => &[
            ('1', "gauge was tilted"),
            ('2', "chip or dirt between"),
            ('3', "not that feature"),
            ('4', "typed wrong"),
            ('5', "part was moving or warm"),
            ('0', "other, in words"),
        ],
        Menu::TakeOut => &[('+', "take it out all the same"), ('-', "stay")],
        Menu::NextPart => &[('+', "next part, this one stays open"), ('-', "stay")],
        Menu::Look => &[
            ('1', "night"),
            ('2', "day"),
            ('3', "high contrast"),
            ('4', "read from 0.5 m"),
            ('5', "read from 1 m"),
            ('6', "read from 2 m"),
            ('7', "read from 3 m"),
            ('8', "match a bar to a rule"),
            ('9', "point or comma"),
            ('0', "sound on or off"),
        ],
        Menu::Close => &[
            ('+', "close for good"),
            ('-', "go on"),
            ('0', "leave it unfinished, to the start"),
            ('2', "to the Plan room"),
            ('3', "to the Pairs room"),
            ('4', "to the Batch room"),
            ('5', "to the Records room"),
            ('6', "to the Gauges room"),
            ('7', "decide about the part"),
        ],
        Menu::Decide | Menu::LiveGauge => &[],
    };
    let mut all: Vec<(char, &str)> = fixed.to_vec();
    all.extend(more_choices(menu, snapshot.is_playing));
    let owned = all.into_iter().map(|(key, text)| (key, text.to_owned()));
    owned.chain(live_choices(menu, snapshot)).collect()
}

/// Of several live gauges: which one's value Enter takes; and the way to that question.
fn live_choices(menu: Menu, snapshot: &Snapshot) -> Vec<(char, String)> {
    let (live, state) = (snapshot.live_gauges(), &snapshot.state);
    let all = state.live_choice(&live);
    match menu {
        Menu::Bench if !all.is_empty() => vec![('-', "which gauge Enter takes".to_owned())],
        Menu::LiveGauge => {
            let numbered = ('1'..='9').zip(all);
            let named = numbered.map(|(key, gauge)| (key, shown_now(gauge, snapshot)));
            named
                .chain([('-', "none of them now".to_owned())])
                .collect()
        }
        _ => Vec::new(),
    }
}

/// A gauge, and what it shows now.
fn shown_now(gauge: &GaugeId, snapshot: &Snapshot) -> String {
    let name = clean(gauge.as_str());
    // A line that several share shows the value of any of them.
    let own = snapshot.tap(gauge).filter(|tap| tap.gauges.len() == 1);
    let newest = own.and_then(|tap| tap.lines.iter().rev().find(|line| line.is_value));
    match newest {
        Some(line) => format!("{name}: {}", line.text),
        None => name,
    }
}

/// Those that depend on more than the list: decisions, and the simulated hand's own two keys.
fn more_choices(menu: Menu, is_playing: Option<bool>) -> Vec<(char, &'static str)> {
    let mut all: Vec<(char, &str)> = Vec::new();
    if menu == Menu::Decide {
        let decisions = Decision::BENCH.iter();
        all.extend(decisions.map(|(key, _, text)| (*key, *text)));
        all.push(('6', "withdraw last"));
        all.sort_by_key(|(key, _)| (*key == '0', *key));
    }
    if let (Menu::Bench, Some(is_playing)) = (menu, is_playing) {
        let hand = match is_playing {
            true => "the simulated hand stops",
            false => "the simulated hand goes on by itself",
        };
        all.extend([('+', hand), ('*', "press the simulated gauge's button")]);
    }
    all
}

/// What wants an answer now: first what the person is just doing, for their keys go there; then a
/// held reading.
pub(super) fn question(
    snapshot: &Snapshot,
    desk: &Desk,
    focus: Option<&Focus<'_>>,
    words: Words,
) -> Option<QuestionView> {
    let state = &snapshot.state;
    match &desk.mode {
        Mode::Choosing(menu) => {
            let asked = menu_question(*menu, snapshot, words);
            let is_void = *menu == Menu::VoidReasons;
            Some(about_reading(asked, desk, state, words, is_void))
        }
        Mode::Filling { form, .. } => {
            let asked = form_question(*form, state, words);
            let is_void = *form == Form::VoidReason;
            Some(about_reading(asked, desk, state, words, is_void))
        }
        Mode::Measuring => held(state, focus, words)
            .or_else(|| closed(snapshot, desk))
            .or_else(|| {
                let check = check_now(snapshot, desk)?;
                Some(check_question_view(&check, words))
            }),
        // Typing goes on: its keys are no answers. The question comes after.
        Mode::Typing { .. } => None,
    }
}

/// Voiding is about the reading that was the last when it was asked for, even if others have come
/// since: it is named.
fn about_reading(
    mut question: QuestionView,
    desk: &Desk,
    state: &State,
    words: Words,
    is_void: bool,
) -> QuestionView {
    let record = desk.voiding.and_then(|reading| state.reading(reading));
    let (true, Some(record)) = (is_void, record) else {
        return question;
    };
    let target = state.setup().targets.get(usize::from(record.target));
    let value = match target {
        _ if record.check.is_some() => {
            format!("“{}”", number_text(ValueUnit::Check, record.value))
        }
        Some(target) if target.is_angle() => {
            format!("{}°", Angle::from_units(record.value).to_degrees())
        }
        _ => {
            let value = Length::from_units(record.value);
            format!("{} mm", value.to_text(LengthUnit::Millimetre, 3))
        }
    };
    let feature = target.map_or_else(String::new, |target| format!(" of {}", target.feature));
    let title = format!("Why does {value}{} not count?", clean(&feature));
    question.title = words.sentence(&title);
    question
}

fn held(state: &State, focus: Option<&Focus<'_>>, words: Words) -> Option<QuestionView> {
    let held = state.bench().held.as_ref()?;
    let value = state
        .reading(held.reading)
        .zip(focus)
        .map(|(record, focus)| {
            let unit = if focus.target.is_angle() { "°" } else { " mm" };
            format!("{}{unit}", gauge_shows(&record, focus, words))
        });
    let which = state.which_asked();
    if !which.is_empty() {
        return Some(which_question(state, &which, value, words));
    }
    Some(QuestionView {
        title: format!(
            "{} is held",
            value.unwrap_or_else(|| "A reading".to_owned())
        ),
        lines: vec![
            words.sentence(&held.sentence),
            format!(
                "Does it belong to {}? Or measure again: what fits sets this one aside.",
                clean(&held.place.feature)
            ),
        ],
        answers: vec![answer('+', "it belongs here"), answer('-', "set it aside")],
        waiting: waiting(state),
        is_alarm: true,
    })
}

/// A closed session whose like may begin: what is sent meanwhile is on no record.
fn closed(snapshot: &Snapshot, desk: &Desk) -> Option<QuestionView> {
    let is_asked = snapshot.state.is_closed() && desk.can_begin_again;
    is_asked.then(|| QuestionView {
        title: "The session is closed.".to_owned(),
        lines: vec![match snapshot.unrecorded {
            Some(_) => "What came since is NOT RECORDED: write it down.".to_owned(),
            None => "What a gauge sends now is NOT RECORDED.".to_owned(),
        }],
        answers: vec![answer('/', "next batch of the same")],
        waiting: String::new(),
        is_alarm: snapshot.unrecorded.is_some(),
    })
}

/// Which of its characteristics the gauge was on.
fn which_question(
    state: &State,
    which: &[usize],
    value: Option<String>,
    words: Words,
) -> QuestionView {
    let held = state.bench().held.as_ref();
    let sentence = held.map_or("", |held| held.sentence.as_str());
    let targets = which.iter().filter_map(|at| state.setup().targets.get(*at));
    let numbered = ('1'..='9')
        .zip(targets)
        .map(|(key, target)| answer(key, &words.target(target)));
    QuestionView {
        title: format!(
            "{} is of which?",
            value.unwrap_or_else(|| "A reading".to_owned())
        ),
        lines: vec![
            words.sentence(sentence),
            "It is asked once; what you say holds for this session.".to_owned(),
        ],
        answers: numbered.chain([answer('-', "set it aside")]).collect(),
        waiting: waiting(state),
        is_alarm: true,
    }
}

fn waiting(state: &State) -> String {
    match state.waiting() {
        0 => String::new(),
        1 => "1 more reading waits, recorded".to_owned(),
        count => format!("{count} more readings wait, recorded"),
    }
}

fn answer(key: char, text: &str) -> AnswerView {
    let text = text.to_owned();
    AnswerView { key, text }
}

fn menu_question(menu: Menu, snapshot: &Snapshot, words: Words) -> QuestionView {
    let state = &snapshot.state;
    let part = state.current_part().map_or(1, |part| part.number);
    let open = open_on_part(state);
    let in_setting = match state.open_when_taken_out().as_slice() {
        [] => "nothing".to_owned(),
        open => clean(&open.join(", ")),
    };
    let (title, mut lines, is_alarm) = match menu {
        Menu::Bench => (
            "What was done, or is to be done?".to_owned(),
            Vec::new(),
            false,
        ),
        Menu::VoidReasons => (
            "Why does the last reading not count?".to_owned(),
            vec!["It stays in the record, with the reason.".to_owned()],
            false,
        ),
        Menu::TakeOut => (
            "Take the part out of the chuck?".to_owned(),
            vec![format!("Still open in this setting: {}.", in_setting)],
            true,
        ),
        Menu::NextPart => (
            format!("Take the next part while part {part} is open?"),
            vec![format!(
                "Still open on part {part}: {}.",
                clean(&open.join(", "))
            )],
            true,
        ),
        Menu::Look => ("How is it read best?".to_owned(), Vec::new(), false),
        Menu::Decide => (
            format!("What is decided about {}?", at_hand(state)),
            vec![format!(
                "It is recorded as said by {}; the verdicts stay as they are.",
                operator(state)
            )],
            false,
        ),
        Menu::LiveGauge => (
            format!("Which gauge is on {}?", next_feature(state)),
            vec![ASKED_ONCE.to_owned()],
            false,
        ),
        Menu::Close => (
            "Close the session?".to_owned(),
            closing_lines(part, &open),
            true,
        ),
    };
    if state.bench().held.is_some() {
        lines.push("A held reading waits for its answer behind this.".to_owned());
    }
    let all = choices(menu, snapshot).into_iter();
    QuestionView {
        title,
        lines,
        answers: all
            .map(|(key, text)| AnswerView {
                key,
                text: words.sentence(&text),
            })
            .collect(),
        waiting: waiting(state),
        is_alarm,
    }
}

/// What closing means, and what it leaves open.
fn closing_lines(part: u32, open: &[String]) -> Vec<String> {
    let left = format!("Still open on part {part}: {}.", clean(&open.join(", ")));
    let last = (!open.is_empty()).then_some(left);
    let first = "Nothing can be added to it afterwards.".to_owned();
    [first].into_iter().chain(last).collect()
}

/// The characteristic that is measured next.
fn next_feature(state: &State) -> String {
    let target = next_target(state).and_then(|at| state.setup().targets.get(at));
    target.map_or_else(|| "the part".to_owned(), |target| clean(&target.feature))
}

/// `part 3, serial 17`.
fn at_hand(state: &State) -> String {
    match state.current_part() {
        None => "the part".to_owned(),
        Some(part) if part.decided.serial.is_empty() => format!("part {}", part.number),
        Some(part) => format!(
            "part {}, serial {}",
            part.number,
            clean(&part.decided.serial)
        ),
    }
}

/// Who decides at the bench; the session refuses a decision of nobody.
fn operator(state: &State) -> String {
    match state.bench().operator.trim() {
        "" => "nobody yet (8 says who measures)".to_owned(),
        name => clean(name),
    }
}

/// Features that are still open on the part at hand, each once.
fn open_on_part(state: &State) -> Vec<String> {
    let mut open: Vec<String> = Vec::new();
    let part = state.current_part();
    let all = part.map_or(&[][..], |part| &*part.characteristics);
    for (target, one) in state.setup().targets.iter().zip(all) {
        let is_open = one.selected && one.settled.is_none();
        if is_open && !open.contains(&target.feature) {
            open.push(target.feature.clone());
        }
    }
    open
}

fn form_question(form: Form, state: &State, words: Words) -> QuestionView {
    let (title, line) = match form {
        Form::VoidReason => (
            "Why does the last reading not count?",
            "In a few words; it stays in the record with them.",
        ),
        Form::Temperature => (
            "Part temperature",
            "In °C, the gauge's after it if it was read: 31 22. A minus alone: not known.",
        ),
        Form::PutBack => (
            "The part is back in the chuck",
            "How it was set true, and the runout found: dial indicator 0.01.",
        ),
        Form::ToolNote => ("The tool was changed", "Which tool, in a few words."),
        Form::Offset => (
            "An offset was given",
            "By how much in mm, then which tool or axis.",
        ),
        Form::Operator => (
            "Who measures from here on?",
            "The name as it will be recorded.",
        ),
        Form::Decide(Decision::Serial) => (
            "The part's serial number",
            "As it stands on the part; nothing takes it away.",
        ),
        Form::Decide(decision) => (
            decision.words(),
            "Why, in a few words; they stay in the record.",
        ),
    };
    QuestionView {
        title: title.to_owned(),
        lines: vec![words.sentence(line)],
        answers: Vec::new(),
        waiting: waiting(state),
        is_alarm: false,
    }
}

impl QuestionView {
    /// The question in words, for those who do not see it; its answers are named on their own.
    pub fn spoken(&self) -> String {
        let said = std::iter::once(&self.title).chain(&self.lines);
        let said = said.filter(|text| !text.is_empty()).map(String::as_str);
        said.collect::<Vec<_>>().join(" ")
    }
}
