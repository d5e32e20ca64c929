//! The zero of a gauge: how it stands, the check that goes on, earlier ones, and what a failed one
//! puts in doubt.

use super::gauges_view::GaugesSeen;
use super::gauges_words as say;
use super::words::{Words, ago, clean, counted};
use super::{EntryView, FactView, InDoubtView, Mark, ZeroView};
use crate::gauge::{Gauge, GaugeId};
use crate::journal::{Event, Outcome, ValueUnit};
use crate::quantity::Length;
use crate::session::{
    AskedZero, DoubtfulReading, DoubtfulStudy, GaugeStory, Snapshot, Zero, ZeroState,
    check_sentence, number_text, zero_sentence,
};

/// So many earlier checks are told (chosen: months of them).
const HISTORY_MAX: usize = 100;
/// So many readings in doubt are told; more are counted (chosen).
const DOUBTFUL_MAX: usize = 500;

const HELD: &str = "A reading waits for an answer at the Bench: it comes before the check.";

/// How the zero stands in a word, for the list; none where nothing is asked for.
pub(super) fn zero_word(seen: &GaugesSeen<'_>, gauge: &Gauge) -> Option<(String, Mark)> {
    let snapshot = seen.snapshot?;
    let state = snapshot.state.zero_state(&gauge.id, seen.now_ms);
    Some(match state {
        ZeroState::NotAsked => return None,
        ZeroState::Good => ("zero checked".to_owned(), Mark::Inside),
        ZeroState::Due => ("zero check due".to_owned(), Mark::Doubt),
        ZeroState::Failed => ("zero check failed".to_owned(), Mark::NoGo),
    })
}

/// The check that waits for a reading of that gauge.
pub(super) fn asked<'a>(seen: &GaugesSeen<'a>, gauge: &GaugeId) -> Option<&'a AskedZero> {
    seen.snapshot?.state.zeros().asked(gauge)
}

/// Its zero.
pub(super) fn zero(seen: &GaugesSeen<'_>, gauge: &Gauge, words: Words) -> ZeroView {
    let asked = asked(seen, &gauge.id);
    let (state, mark) = match seen.snapshot {
        None => (
            "Checks are recorded in a session: begin one first.".to_owned(),
            Mark::Open,
        ),
        Some(snapshot) => standing(snapshot, gauge, seen.now_ms, words),
    };
    ZeroView {
        state,
        mark: Some(mark),
        wanted: wanted(gauge, words),
        asked: match (asked, is_held(seen)) {
            (None, _) => String::new(),
            (Some(asked), false) => prompt(gauge, asked, words),
            (Some(_), true) => HELD.to_owned(),
        },
        must_show: asked.map_or(String::new(), |asked| shown(gauge, asked.shows, words)),
        entry: asked.map(|_| EntryView {
            text: clean(seen.room.entry.as_deref().unwrap_or_default()),
            what: "what it shows, mm: press its button, or type".to_owned(),
            fault: String::new(),
        }),
        history: history(seen, gauge, words),
    }
}

/// A held reading comes first; the check waits behind it.
fn is_held(seen: &GaugesSeen<'_>) -> bool {
    let snapshot = seen.snapshot;
    snapshot.is_some_and(|snapshot| snapshot.state.bench().held.is_some())
}

/// A value with the decimals of the gauge.
fn shown(gauge: &Gauge, value: Length, words: Words) -> String {
    let step = gauge.step().map(|step| step.value());
    let decimals = (0..=6_u8).find(|decimals| {
        let worth = Length::from_nm(10_i64.pow(u32::from(6 - decimals)));
        step.is_some_and(|step| step.as_nm() % worth.as_nm() == 0)
            && value.as_nm() % worth.as_nm() == 0
    });
    let text = value.to_text(
        crate::quantity::LengthUnit::Millimetre,
        decimals.unwrap_or(3),
    );
    words.sentence(&format!("{text} mm"))
}

fn prompt(gauge: &Gauge, asked: &AskedZero, words: Words) -> String {
    let standard = asked.standard.as_ref().map(ToString::to_string);
    let event = Event::ZeroCheckAsked {
        gauge: gauge.id.to_string(),
        standard: standard.unwrap_or_default(),
        shows: asked.shows,
    };
    words.sentence(&zero_sentence(&event).unwrap_or_default())
}

fn standing(snapshot: &Snapshot, gauge: &Gauge, now_ms: u64, words: Words) -> (String, Mark) {
    let state = snapshot.state.zero_state(&gauge.id, now_ms);
    let last = snapshot.state.zeros().last(&gauge.id);
    let told = last.map_or(String::new(), |zero| {
        format!(" Last: {}, {}.", found(zero, words), age(zero, now_ms))
    });
    let (text, mark) = match state {
        ZeroState::NotAsked => (
            "The register asks for no check, and none was made.",
            Mark::Open,
        ),
        ZeroState::Good => ("The last check was good and holds.", Mark::Inside),
        ZeroState::Due if last.is_none() => ("A check is due: none was made yet.", Mark::Doubt),
        ZeroState::Due => ("A check is due: the last one has lapsed.", Mark::Doubt),
        ZeroState::Failed => (
            "Not to be trusted: set it, then check it again. What it measured since its last \
             good check is in doubt.",
            Mark::NoGo,
        ),
    };
    (words.sentence(&format!("{text}{told}")), mark)
}

fn age(zero: &Zero, now_ms: u64) -> String {
    let now = i64::try_from(now_ms).unwrap_or(i64::MAX);
    ago(u64::try_from(now.saturating_sub(zero.at_ms)).unwrap_or(0))
}

/// `+0.001 mm on ring, taken off`.
fn found(zero: &Zero, words: Words) -> String {
    if zero.reading == 0 && !zero.why.is_empty() {
        return clean(&zero.why);
    }
    let on = match &zero.standard {
        Some(standard) => format!("on {}", clean(standard.as_str())),
        None => "on its own zero".to_owned(),
    };
    let sign = if zero.offset > Length::ZERO { "+" } else { "" };
    let what = match (zero.good, zero.offset == Length::ZERO) {
        (true, true) => "",
        (true, false) => ", taken off",
        (false, _) => ", too much",
    };
    words.sentence(&format!("{sign}{} mm {on}{what}", zero.offset.to_mm()))
}

fn wanted(gauge: &Gauge, words: Words) -> String {
    let check = gauge.zero_check.as_ref();
    let on = check.and_then(|check| check.on.as_ref());
    let on = on.map_or(String::new(), |on| format!(", on {}", clean(on.as_str())));
    let bound = gauge.zero_bound(say::largest(gauge));
    let bound = bound.map_or(String::new(), |bound| {
        format!(" An offset up to {} is taken off.", words.um_down(bound))
    });
    match check.and_then(|check| check.every_hours) {
        Some(1) => format!("Asked for every hour{on}.{bound}"),
        Some(hours) => format!("Asked for every {hours} h{on}.{bound}"),
        None => format!("The register asks for no check{on}.{bound}"),
    }
}

fn fact(zero: &Zero, when: String, words: Words) -> FactView {
    FactView {
        what: when,
        value: found(zero, words),
        note: String::new(),
        mark: Some(if zero.good { Mark::Go } else { Mark::NoGo }),
    }
}

/// Checks of this session, then those of others, the newest first.
fn history(seen: &GaugesSeen<'_>, gauge: &Gauge, words: Words) -> Vec<FactView> {
    let own: &[Zero] = seen
        .snapshot
        .map_or(&[], |snapshot| snapshot.state.zeros().history(&gauge.id));
    let own = own.iter().rev().filter(|zero| zero.line > 0);
    let own = own.map(|zero| fact(zero, age(zero, seen.now_ms), words));
    let journal = seen.snapshot.map(|snapshot| snapshot.journal.as_str());
    let story = seen.facts.story.as_deref();
    let others = story
        .into_iter()
        .flat_map(|story| story.of(&gauge.id).rev());
    let others = others.filter(|check| Some(check.journal.as_str()) != journal);
    let others = others.map(|check| {
        let when = check.time.strftime("%Y-%m-%d %H:%M UTC").to_string();
        fact(&check.zero, when, words)
    });
    own.chain(others).take(HISTORY_MAX).collect()
}

/// Readings that are in doubt because of it.
pub(super) fn in_doubt(seen: &GaugesSeen<'_>, gauge: &Gauge, words: Words) -> InDoubtView {
    let Some(story) = seen.facts.story.as_deref() else {
        return InDoubtView {
            title: "The records are being read.".to_owned(),
            ..InDoubtView::default()
        };
    };
    let caused = |one: &&DoubtfulReading| {
        let because = story.checks.get(one.because);
        because.is_some_and(|check| check.gauge == gauge.id)
    };
    let all: Vec<&DoubtfulReading> = story.doubtful.iter().filter(caused).collect();
    let studies = story.studies.iter().filter(|one| {
        let because = story.checks.get(one.because);
        because.is_some_and(|check| check.gauge == gauge.id)
    });
    let studies: Vec<FactView> = studies.map(doubtful_study_line).collect();
    let parts: std::collections::BTreeSet<(&str, u32)> = all
        .iter()
        .map(|one| (one.journal.as_str(), one.place.part))
        .collect();
    let unread = match story.unreadable.len() {
        0 => String::new(),
        count => format!(" {} could not be read.", counted(count, "record")),
    };
    if all.is_empty() {
        let title = match studies.is_empty() {
            true => "No reading of it is in doubt.",
            false => "No part of it is in doubt, but what was studied with it.",
        };
        return InDoubtView {
            title: format!("{title}{unread}"),
            lines: studies,
            ..InDoubtView::default()
        };
    }
    let readings = counted(all.len(), "reading");
    let are = if all.len() == 1 { "is" } else { "are" };
    let parts = counted(parts.len(), "part");
    let why = all.first().and_then(|one| story.checks.get(one.because));
    let why = why.map_or(String::new(), |check| format!("{}.", check_sentence(check)));
    let lines = all.iter().take(DOUBTFUL_MAX);
    InDoubtView {
        title: format!("{readings} of {parts} {are} in doubt.{unread}"),
        note: words.sentence(&format!(
            "{why} Measure them again with a gauge that is right: nothing recorded is changed."
        )),
        lines: lines
            .map(|one| doubtful_line(one, words))
            .chain(studies)
            .collect(),
    }
}

fn doubtful_study_line(one: &DoubtfulStudy) -> FactView {
    FactView {
        what: format!("study of {}", clean(one.gauge.as_str())),
        value: format!("{} of {} readings", one.readings, one.of),
        note: match one.is_measured_again {
            true => "studied again since".to_owned(),
            false => "what it came to feeds no uncertainty: study it again".to_owned(),
        },
        mark: Some(match one.is_measured_again {
            true => Mark::Inside,
            false => Mark::Doubt,
        }),
    }
}

fn doubtful_line(one: &DoubtfulReading, words: Words) -> FactView {
    let unit = match one.unit {
        ValueUnit::Nanometre => " mm",
        ValueUnit::Milliarcsecond | ValueUnit::Check => "",
    };
    let value = number_text(one.unit, one.value_at_20);
    let word = match one.outcome {
        Some(Outcome::Verdict(word)) => format!(", judged {}", word.word()),
        _ => String::new(),
    };
    let again = match one.is_measured_again {
        true => "; measured again since",
        false => "",
    };
    let place = &one.place;
    FactView {
        what: format!(
            "part {}, {} {}",
            place.part,
            clean(&place.feature),
            clean(&place.element)
        ),
        value: words.sentence(&format!("{value}{unit}{word}")),
        note: format!("{}, {}{again}", clean(&one.part_name), clean(&one.journal)),
        mark: Some(match one.is_measured_again {
            true => Mark::Inside,
            false => Mark::Doubt,
        }),
    }
}

/// How many readings wait to be taken again because of that gauge.
pub(super) fn doubtful_count(story: Option<&GaugeStory>, gauge: &GaugeId) -> usize {
    let all = story.into_iter().flat_map(|story| {
        let open = story.doubtful.iter().filter(|one| !one.is_measured_again);
        open.filter(|one| {
            let because = story.checks.get(one.because);
            because.is_some_and(|check| check.gauge == *gauge)
        })
    });
    all.count()
}
