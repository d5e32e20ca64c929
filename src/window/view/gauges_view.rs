//! Puts the Gauges room together: the one way from what is known to what is seen of it.

use super::bench::key_views;
use super::gauges_pages::{budget, facts_lines, live, teach};
use super::gauges_proves::proves;
use super::gauges_words as say;
use super::gauges_zero::{asked, doubtful_count, in_doubt, zero, zero_word};
use super::status_view::room_status;
use super::study_view::study;
use super::words::{Words, clean, counted};
use super::{
    GaugeDetailView, GaugeRowView, GaugeStateView, GaugesView, KeyView, Mark, PageTabView, PageView,
};
use crate::gauge::Gauge;
use crate::session::Snapshot;
use crate::window::gauges_room::{GaugesFacts, GaugesNow, GaugesPage, GaugesRoom};
use crate::window::study_facts::StudyStage;

const EMPTY: &str = "No gauge is in the register. Write gauges.toml into the workspace: \
                     fitledger gauges --example prints one to begin from.";

/// What the room is made from.
pub struct GaugesSeen<'a> {
    /// What is just being done.
    pub room: &'a GaugesRoom,
    /// What is known of the gauges.
    pub facts: &'a GaugesFacts,
    /// The running session.
    pub snapshot: Option<&'a Snapshot>,
    /// Monotonic milliseconds since the session started.
    pub now_ms: u64,
    /// Decimal marker shown.
    pub marker: char,
}

/// Everything that the Gauges room shows.
pub fn gauges_view(seen: &GaugesSeen<'_>) -> GaugesView {
    let words = Words {
        marker: seen.marker,
    };
    let gauges = seen.facts.register.gauges();
    let chosen = seen.facts.gauge(seen.room.chosen);
    let rows = gauges.iter().enumerate().map(|(at, gauge)| {
        let is_chosen = at == seen.room.chosen;
        row(seen, gauge, is_chosen, words)
    });
    GaugesView {
        rows: rows.collect(),
        empty: match gauges.is_empty() {
            true => EMPTY.to_owned(),
            false => String::new(),
        },
        detail: chosen.map(|gauge| detail(seen, gauge, words)),
        status: room_status(seen.snapshot, message(seen), seen.now_ms, words),
        keys: keys(seen, chosen),
    }
}

/// What the room's keys depend on.
pub fn gauges_now(seen: &GaugesSeen<'_>, has_more: bool) -> GaugesNow {
    let session = seen.snapshot.filter(|one| !one.state.is_closed());
    let teach = seen.facts.teach.as_ref();
    let chosen = seen.facts.gauge(seen.room.chosen);
    GaugesNow {
        has_session: session.is_some_and(|one| one.ended.is_none()),
        is_zero_asked: chosen.is_some_and(|gauge| asked(seen, &gauge.id).is_some()),
        is_size_awaited: match seen.room.page {
            GaugesPage::Study => {
                let study = seen.facts.study.as_ref();
                study.is_some_and(|one| !one.awaits.is_empty())
            }
            _ => teach.is_some_and(|one| one.is_running && !one.awaits.is_empty()),
        },
        has_more,
    }
}

fn message(seen: &GaugesSeen<'_>) -> Option<String> {
    let faults = || (!seen.facts.faults.is_empty()).then(|| seen.facts.faults.join(" "));
    seen.room.fault.clone().or_else(faults)
}

fn row(seen: &GaugesSeen<'_>, gauge: &Gauge, is_chosen: bool, words: Words) -> GaugeRowView {
    let step = say::step(gauge, words).map(|(step, _)| format!("step {step}"));
    let range = Some(say::range(gauge, words)).filter(|range| !range.is_empty());
    let both: Vec<String> = range.into_iter().chain(step).collect();
    let error = say::error(gauge, words);
    let counts = !gauge.kind.is_limit_gauge();
    GaugeRowView {
        id: clean(gauge.id.as_str()),
        kind: say::kind(gauge),
        range: match (&gauge.callout, counts) {
            (Some(callout), false) => clean(callout),
            _ => both.join(", "),
        },
        error: match (error.value.is_empty(), counts) {
            (_, false) => String::new(),
            (true, _) => "error not known".to_owned(),
            (false, _) => format!("{} {}", error.name, error.value),
        },
        is_assumed: error.assumed.is_some(),
        states: states(seen, gauge),
        is_chosen,
    }
}

/// What is to be known of a gauge before it is trusted, the most serious first.
fn states(seen: &GaugesSeen<'_>, gauge: &Gauge) -> Vec<GaugeStateView> {
    let mut all = Vec::new();
    let mut add = |text: String, mark| all.push(GaugeStateView { text, mark });
    if let Some(today) = seen.facts.today
        && let Some((text, mark)) = say::due(gauge.due_on(today), gauge.due)
    {
        add(text, mark);
    }
    if let Some((text, mark)) = zero_word(seen, gauge) {
        add(text, mark);
    }
    match doubtful_count(seen.facts.story.as_deref(), &gauge.id) {
        0 => {}
        count => add(
            format!("{} in doubt", counted(count, "reading")),
            Mark::Doubt,
        ),
    }
    if gauge.port.is_some() {
        match seen.facts.attached.contains(&gauge.id) {
            true => add("attached".to_owned(), Mark::Inside),
            false => add("not attached now".to_owned(), Mark::Doubt),
        }
    }
    all.sort_by_key(|state| match state.mark {
        Mark::NoGo => 0,
        Mark::Doubt => 1,
        _ => 2,
    });
    if all.is_empty() {
        all.push(GaugeStateView {
            text: "no due date stated".to_owned(),
            mark: Mark::Open,
        });
    }
    all
}

fn detail(seen: &GaugesSeen<'_>, gauge: &Gauge, words: Words) -> GaugeDetailView {
    let pages = GaugesPage::ALL.iter().map(|(page, key, text)| PageTabView {
        key: *key,
        text: (*text).to_owned(),
        is_open: *page == seen.room.page,
    });
    GaugeDetailView {
        title: format!("{}, {}", clean(gauge.id.as_str()), say::kind(gauge)),
        pages: pages.collect(),
        page: match seen.room.page {
            GaugesPage::Facts => PageView::Facts(facts_lines(seen, gauge, words)),
            GaugesPage::Live => PageView::Live(live(seen, gauge, words)),
            GaugesPage::Proves => PageView::Proves(proves(seen, gauge, words)),
            GaugesPage::Budget => PageView::Budget(budget(seen, gauge, words)),
            GaugesPage::Zero => PageView::Zero(zero(seen, gauge, words)),
            GaugesPage::InDoubt => PageView::InDoubt(in_doubt(seen, gauge, words)),
            GaugesPage::Teach => PageView::Teach(teach(seen, gauge, words)),
            GaugesPage::Study => PageView::Study(study(seen, gauge, words)),
        },
        skipped: seen.room.skipped,
    }
}

/// The keys of a study that goes on.
fn study_keys(seen: &GaugesSeen<'_>) -> Vec<(&'static str, &'static str)> {
    let study = seen.facts.study.as_ref();
    let stage = study.map(|study| study.stage).unwrap_or_default();
    let can_write = study.is_some_and(|study| study.entry.is_some() && study.written.is_empty());
    let mut keys = match stage {
        StudyStage::Setup => vec![
            ("0-9", "a number"),
            ("Enter", "go on"),
            ("Backspace", "end it"),
        ],
        StudyStage::Measuring => vec![
            ("0-9", "what it shows"),
            ("Enter", "take"),
            ("*", "last one again"),
        ],
        StudyStage::Complete => vec![("Enter", "close the record"), ("/", "last one again")],
        StudyStage::Closed => vec![("Enter", "another study")],
    };
    if matches!(stage, StudyStage::Complete | StudyStage::Closed) {
        keys.extend(can_write.then_some(("+", "into the register")));
        keys.push(("*", "read on"));
    }
    keys
}

/// The keys that do something now; the last leads out.
fn keys(seen: &GaugesSeen<'_>, chosen: Option<&Gauge>) -> Vec<KeyView> {
    let now = gauges_now(seen, false);
    let is_teaching = seen.facts.teach.as_ref().is_some_and(|one| one.is_running);
    let mut keys: Vec<(&str, &str)> = Vec::new();
    match seen.room.page {
        _ if chosen.is_none() => keys.push(("Enter", "look again")),
        GaugesPage::Zero if now.is_zero_asked => {
            keys.extend([
                ("0-9", "what it shows"),
                ("Enter", "take"),
                ("Backspace", "drop"),
            ]);
        }
        GaugesPage::Teach if is_teaching => {
            let asks = seen
                .facts
                .teach
                .as_ref()
                .is_some_and(|one| one.asks_yes_or_no);
            match (asks, now.is_size_awaited) {
                (true, _) => keys.extend([("+", "yes"), ("-", "no")]),
                (false, true) => keys.extend([("0-9", "a size"), ("Enter", "go on")]),
                (false, false) => keys.push(("Enter", "go on")),
            }
            keys.extend([("Backspace", "end it"), ("*", "read on")]);
        }
        GaugesPage::Study if seen.facts.study.is_some() => keys.extend(study_keys(seen)),
        page => {
            match page {
                GaugesPage::Live => keys.push(("Enter", "take a value")),
                GaugesPage::Zero => keys.push(("Enter", "check the zero")),
                GaugesPage::Teach => keys.push(("Enter", "teach it")),
                GaugesPage::Study => keys.push(("Enter", "study it")),
                _ => keys.push(("Enter", "look again")),
            }
            keys.extend([("+/-", "gauge"), ("1-8", "page"), ("*", "read on")]);
        }
    }
    // A marker is part of a number while one is typed.
    let is_typed = seen.room.page == GaugesPage::Study && now.is_size_awaited;
    let stage = seen.facts.study.as_ref().map(|study| study.stage);
    match (is_typed, stage) {
        (true, Some(StudyStage::Setup)) => {}
        (true, _) => keys.push(("Backspace", "to the Bench")),
        (false, _) => keys.push((".", "to the Bench")),
    }
    key_views(&keys)
}
