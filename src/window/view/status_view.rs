//! Builds the two lines at the foot, and the keys that do something now.

use super::bench::key_views;
use super::check_view::{CheckNow, check_now};
use super::words::{Words, ago, clean, counted};
use super::{GaugeView, JournalView, KeyView, StatusView};
use crate::gauge::GaugeId;
use crate::session::{GaugeLine, LiveGauge, Snapshot, TapKind, ZeroState, check_question};
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
        let how = match snapshot.state.is_closed() {
            true => "closed",
            false => "recorded",
        };
        return JournalView {
            text: format!("{how}: event {} in {name}", snapshot.head),
            is_recorded: true,
        };
    };
    let count = match unrecorded.count {
        0 => String::new(),
        count => format!(": {}", counted(count, "reading")),
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
        let gauge = GaugeId::new(&source.gauge);
        let zero = snapshot.state.zero_state(&gauge, now_ms);
        let told = match zero {
            ZeroState::Due => ", zero check due",
            ZeroState::Failed => ", zero check failed",
            ZeroState::Good | ZeroState::NotAsked => "",
        };
        let feeds = feeds(snapshot, &gauge);
        all.push(GaugeView {
            text: format!("{}{feeds}: {text}{told}{refused}", clean(&source.gauge)),
            is_ready: is_ready && told.is_empty(),
            is_due: is_ready && zero == ZeroState::Due,
        });
    }
    // Not all of them may fit: the one whose value Enter takes is seen first.
    let live = snapshot.live_gauges();
    let mut sources = snapshot.state.setup().sources.iter();
    let first = match snapshot.state.live_gauge(&live) {
        LiveGauge::Of(taken) if live.contains(&taken) => {
            sources.position(|source| source.gauge == taken.as_str())
        }
        LiveGauge::Of(_) | LiveGauge::Which(_) | LiveGauge::Nobody => None,
    };
    if let Some(first) = first {
        all.get_mut(..=first)
            .into_iter()
            .for_each(|all| all.rotate_right(1));
    }
    all
}

/// Where there are several gauges: what the next reading of this one feeds.
fn feeds(snapshot: &Snapshot, gauge: &GaugeId) -> String {
    let state = &snapshot.state;
    if state.setup().sources.len() < 2 || state.is_closed() {
        return String::new();
    }
    let targets = &state.setup().targets;
    let live = snapshot.live_gauges();
    // Of several live gauges Enter takes the one that was named, where the plan does not say it.
    let is_choice = state.live_choice(&live).contains(gauge);
    if is_choice && state.named_gauge(&live) != Some(gauge) {
        return String::new();
    }
    // A plan that binds none leaves nothing else to tell.
    if !is_choice && targets.iter().all(|target| target.gauges.is_empty()) {
        return String::new();
    }
    let mut named: Vec<String> = Vec::new();
    for target in state
        .fed_by(gauge)
        .into_iter()
        .filter_map(|at| targets.get(at))
    {
        let feature = clean(&target.feature);
        if !named.contains(&feature) {
            named.push(feature);
        }
    }
    match named.is_empty() {
        true => String::new(),
        false => format!(" → {}", named.join(" or ")),
    }
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
        Mode::Choosing(_) => keys.extend([("Backspace", "back"), ("/", "what is this")]),
        Mode::Measuring if !state.which_asked().is_empty() => {
            keys.extend([("1-9", "which one"), ("-", "set it aside")]);
        }
        Mode::Measuring if state.bench().held.is_some() => {
            keys.extend([("+", "it belongs here"), ("-", "set it aside")]);
            let live = snapshot.live_gauges();
            let held = state.held_reading().map(|held| &held.reading.gauge);
            if held.is_some_and(|gauge| live.contains(gauge)) {
                keys.push(("Enter", "measure again"));
            }
        }
        Mode::Measuring if desk.is_why => {
            keys.extend([("Up/Down", "read on"), ("Enter/Backspace/W", "close")]);
        }
        Mode::Measuring => {
            if state.is_closed() {
                keys.extend(desk.can_begin_again.then_some(("/", "next batch")));
                keys.extend([("Enter", "leave it"), ("G", "glance")]);
            } else {
                let check = check_now(snapshot, desk);
                measuring_keys(snapshot, check.as_ref(), has_answer, &mut keys);
            }
        }
    }
    key_views(&keys)
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

/// A gauge streams, or waits to be asked.
fn has_live(snapshot: &Snapshot) -> bool {
    snapshot.taps.iter().any(|tap| tap.kind != TapKind::Sends)
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
        (false, None) if has_live(snapshot) => Some("take the live value"),
        (false, None) => None,
    }
}
