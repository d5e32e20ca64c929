//! Builds the two lines at the foot, and the keys that do something now.

use super::check_view::{CheckNow, check_now};
use super::words::{Words, ago, clean};
use super::{GaugeView, JournalView, KeyView, StatusView};
use crate::gauge::GaugeId;
use crate::session::{GaugeLine, Snapshot, TapKind, check_question};
use crate::window::desk::{CheckGauge, Desk, Mode, next_target};

const CAUTION: &str = "Stop the spindle before you measure";

/// The two lines at the foot.
pub(super) fn status(snapshot: &Snapshot, desk: &Desk, now_ms: u64, words: Words) -> StatusView {
    StatusView {
        journal: journal(snapshot),
        gauges: gauges(snapshot, now_ms, words),
        caution: CAUTION.to_owned(),
        message: message(snapshot, desk).map(|text| words.sentence(&text)),
    }
}

/// The foot of another room than the Bench: the session goes on there.
pub(super) fn room_status(
    snapshot: Option<&Snapshot>,
    message: Option<String>,
    now_ms: u64,
    words: Words,
) -> StatusView {
    let no_session = JournalView {
        text: "no session runs: nothing is recorded".to_owned(),
        is_recorded: true,
    };
    StatusView {
        journal: snapshot.map_or(no_session, journal),
        gauges: snapshot.map_or_else(Vec::new, |snapshot| gauges(snapshot, now_ms, words)),
        caution: CAUTION.to_owned(),
        message: message.map(|text| words.sentence(&text)),
    }
}

fn journal(snapshot: &Snapshot) -> JournalView {
    let Some(unrecorded) = &snapshot.unrecorded else {
        let name = clean(&snapshot.journal);
        return JournalView {
            text: format!("recorded: event {} in {name}", snapshot.head),
            is_recorded: true,
        };
    };
    let count = match unrecorded.count {
        0 => String::new(),
        1 => ": 1 reading".to_owned(),
        count => format!(": {count} readings"),
    };
    let text = format!(
        "NOT RECORDED{count}. {} {}",
        clean(&unrecorded.cause),
        clean(&unrecorded.hint)
    );
    JournalView {
        text: text.trim_end().to_owned(),
        is_recorded: false,
    }
}

/// A message is shown until an answer is newer than it; what could not be done at the desk stays
/// until the next press.
fn message(snapshot: &Snapshot, desk: &Desk) -> Option<String> {
    if let Some(fault) = &desk.fault {
        return Some(fault.clone());
    }
    let message = snapshot.message.as_ref()?;
    let answered = snapshot.state.latest_answer();
    let is_old = answered.is_some_and(|(_, answer)| answer.sequence > message.after);
    (!is_old).then(|| message.text.clone())
}

fn gauges(snapshot: &Snapshot, now_ms: u64, words: Words) -> Vec<GaugeView> {
    let mut all: Vec<GaugeView> = Vec::new();
    for source in &snapshot.state.setup().sources {
        let mut lines = snapshot.state.gauge_lines();
        let line = lines.find(|(gauge, _)| *gauge == source.gauge);
        let line = line.map(|(_, line)| line);
        let (text, is_ready) = match (line, source.source.split(':').next()) {
            (_, Some("typed")) => ("typed".to_owned(), true),
            (_, Some("simulated")) => ("simulated".to_owned(), true),
            (Some(line), _) => line_words(line, now_ms),
            (None, _) => ("no sign of it yet".to_owned(), false),
        };
        let text = match live(snapshot, &source.gauge, words) {
            Some(live) if is_ready => live,
            _ => text,
        };
        let refused = match line.map_or(0, |line| line.refused) {
            0 => String::new(),
            1 => ", 1 frame was no reading".to_owned(),
            count => format!(", {count} frames were no readings"),
        };
        all.push(GaugeView {
            text: format!("{}: {text}{refused}", clean(&source.gauge)),
            is_ready,
        });
    }
    all
}

/// The value of a gauge that streams or is asked: seen, and on no record until it is taken.
fn live(snapshot: &Snapshot, gauge: &str, words: Words) -> Option<String> {
    let tap = snapshot.tap(&GaugeId::new(gauge))?;
    if tap.kind == TapKind::Sends {
        return None;
    }
    let newest = tap.lines.iter().rev().find(|line| line.is_value)?;
    Some(words.sentence(&format!("live {}, not recorded", newest.text)))
}

fn line_words(line: &GaugeLine, now_ms: u64) -> (String, bool) {
    let since = ago(now_ms.saturating_sub(line.at_ms));
    match line.state.as_str() {
        "attached" => ("ready".to_owned(), true),
        // Only bytes that were no readings came so far.
        "" => ("ready".to_owned(), true),
        state => (
            format!("{} {since}", clean(&state.replace('_', " "))),
            false,
        ),
    }
}

/// The keys that do something now.
pub(super) fn keys(snapshot: &Snapshot, desk: &Desk, has_answer: bool) -> Vec<KeyView> {
    let state = &snapshot.state;
    let mut keys: Vec<(&str, &str)> = Vec::new();
    match &desk.mode {
        Mode::Typing { .. } => {
            keys.extend([("Enter", "take"), ("Backspace", "correct"), ("Esc", "drop")]);
        }
        Mode::Filling { .. } => {
            keys.extend([("Enter", "done"), ("Backspace", "correct"), ("Esc", "drop")]);
        }
        Mode::Choosing(_) => keys.push(("Backspace", "back")),
        Mode::Measuring if state.bench().held.is_some() => {
            keys.extend([("+", "it belongs here"), ("-", "set it aside")]);
        }
        Mode::Measuring if desk.is_why => {
            keys.extend([("Up/Down", "read on"), ("Enter/Backspace/W", "close")]);
        }
        Mode::Measuring => {
            if state.is_closed() {
                keys.push(("G", "glance"));
            } else {
                let check = check_now(snapshot, desk);
                measuring_keys(snapshot, check.as_ref(), has_answer, &mut keys);
            }
        }
    }
    let owned = keys.into_iter().map(|(key, does)| KeyView {
        key: key.to_owned(),
        does: does.to_owned(),
    });
    owned.collect()
}

fn measuring_keys(
    snapshot: &Snapshot,
    check: Option<&CheckNow<'_>>,
    has_answer: bool,
    keys: &mut Vec<(&'static str, &'static str)>,
) {
    let state = &snapshot.state;
    // The most useful first: a narrow window has no room for all of them. The last leads to
    // everything that a keypad can do.
    let next = next_target(state).and_then(|at| state.setup().targets.get(at));
    match (check, next.and_then(|target| target.check())) {
        (Some(check), _) => check_keys(check, keys),
        (None, None) => keys.push(("0-9", "type")),
        (None, Some(asked)) if asked.counts_turns() => keys.push(("0-9", "turns")),
        (None, Some(_)) => {}
    }
    if let Some(does) = enter(snapshot, has_answer) {
        keys.push(("Enter", does));
    }
    if let Some(is_playing) = snapshot.is_playing {
        keys.push(("Space", "press the gauge"));
        let hand = match is_playing {
            true => "the hand stops",
            false => "the hand goes on",
        };
        keys.push(("P", hand));
    }
    if state.last_reading().is_some() {
        keys.push(("Backspace", "void last"));
    }
    if has_answer {
        keys.push(("W", "why"));
    }
    if state.setup().targets.len() > 1 {
        keys.push(("Up/Down", "choose"));
    }
    let cutting = match state.bench().cutting {
        true => "cutting is over",
        false => "cutting",
    };
    keys.push(("C", cutting));
    if state.has_parts_left() && !state.parts().is_empty() {
        keys.push(("/", "next part"));
    }
    if has_answer {
        keys.push(("*", "repeat point"));
    }
    keys.extend([
        ("T", "temperature"),
        ("G", "glance"),
        ("D", "decide"),
        (".", "more"),
    ]);
}

/// The answers of the check that is asked.
fn check_keys(check: &CheckNow<'_>, keys: &mut Vec<(&'static str, &'static str)>) {
    if let CheckGauge::Which(_) = check.gauge {
        return keys.push(("1-9", "which gauge"));
    }
    let asked = check_question(check.asked);
    keys.extend([("+", asked.yes.1), ("-", asked.no.1)]);
    if check.asked.counts_turns() {
        keys.push(("0-9", "turns"));
    }
}

/// What Enter does: away from what is shown to what comes next.
fn enter(snapshot: &Snapshot, has_answer: bool) -> Option<&'static str> {
    let state = &snapshot.state;
    let is_settled = state.current_part().is_some() && state.current_target().is_none();
    match (has_answer, &snapshot.unrecorded) {
        (true, _) => Some("next"),
        (false, Some(_)) => Some("try to record again"),
        (false, None) if is_settled && state.has_parts_left() => Some("next part"),
        (false, None) if is_settled => Some("close the session"),
        (false, None) if snapshot.taps.iter().any(|tap| tap.kind != TapKind::Sends) => {
            Some("take the live value")
        }
        (false, None) => None,
    }
}
