//! The Start room as it is to be seen: plain structs made from its state and the facts.

use super::start::{Entry, GaugeKind, Meaning, Start, StartFacts, meaning};
use super::start_mates_view::mates_view;
use super::view::{clean, sentence};

/// Everything that the Start room shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StartView {
    /// What is typed.
    pub field: FieldView,
    /// What the list is of: `Go on, open, or look` or `Gauge`.
    pub list_title: String,
    /// The list of this step.
    pub items: Vec<ItemView>,
    /// What went wrong.
    pub fault: String,
    /// What to do about it.
    pub hint: String,
    /// The keys that do something now, with what they do.
    pub keys: Vec<(String, String)>,
    /// What could not be read on the way here, a sentence each.
    pub notes: Vec<String>,
}

/// The field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldView {
    /// `Callout or plan`.
    pub label: String,
    /// As typed.
    pub text: String,
    /// Keys go there.
    pub is_focused: bool,
    /// The place of what is wrong, in characters from 0.
    pub wrong_at: Option<usize>,
    /// What it means, or what is wrong, a line each.
    pub lines: Vec<String>,
}

/// An entry of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemView {
    /// Its number, as typed to choose it.
    pub key: String,
    /// What it is called.
    pub text: String,
    /// What is known of it.
    pub detail: String,
    /// It is the one that Enter takes.
    pub is_chosen: bool,
}

/// The room as it is to be seen; `marker` is the decimal marker.
pub fn start_view(start: &Start, facts: &StartFacts, marker: char) -> StartView {
    let is_gauge_step = start.gauge.is_some();
    let fault = start.fault.as_ref();
    if let Some(mate) = start.mates.asked().filter(|_| is_gauge_step) {
        return StartView {
            fault: fault.map_or_else(String::new, |fault| clean(&fault.message)),
            hint: fault.map_or_else(String::new, |fault| clean(&fault.hint)),
            ..mates_view(&start.mates, mate, facts, marker)
        };
    }
    StartView {
        field: field(start, facts, marker),
        list_title: match is_gauge_step {
            true => gauge_title(start),
            false => "Or go on, open a plan, look".to_owned(),
        },
        items: match start.gauge {
            Some(gauge) => gauges(gauge, facts),
            None => entries(start, facts),
        },
        fault: fault.map_or_else(String::new, |fault| clean(&fault.message)),
        hint: fault.map_or_else(String::new, |fault| clean(&fault.hint)),
        keys: keys(is_gauge_step),
        notes: facts.faults.iter().map(|fault| clean(fault)).collect(),
    }
}

/// What was said of mates is seen until the session begins.
fn gauge_title(start: &Start) -> String {
    let suits: Vec<String> = start.mates.told().into_iter().map(clean).collect();
    match suits.is_empty() {
        true => "Which gauge?".to_owned(),
        false => format!("Which gauge? Made to suit {}", suits.join("; ")),
    }
}

fn field(start: &Start, facts: &StartFacts, marker: char) -> FieldView {
    let plain = |lines: Vec<String>| (lines, None);
    let (lines, wrong_at) = match meaning(&start.text, facts) {
        Meaning::Nothing => plain(vec![
            "Type a callout, for example 20 k6, 25 H7, 12 ±0.05, M10-6H. Several: with semicolons."
                .to_owned(),
        ]),
        Meaning::Number(at) | Meaning::Plan(at) => {
            let entries = facts.entries();
            let text = entries.get(at).map(|entry| named(entry).0);
            plain(vec![text.unwrap_or_default()])
        }
        Meaning::Path(path) => plain(vec![format!("the plan {}", path.display())]),
        Meaning::Callouts(all) => plain(
            all.into_iter()
                .map(|(callout, limits)| format!("{callout}: {}", sentence(&limits, marker)))
                .collect(),
        ),
        Meaning::Wrong { message, hint, at } => {
            let lines = [message, hint].into_iter().filter(|line| !line.is_empty());
            (lines.collect(), at)
        }
    };
    FieldView {
        label: "Callout or plan".to_owned(),
        text: clean(&start.text),
        is_focused: start.entry.is_none() && start.gauge.is_none(),
        wrong_at,
        lines: lines.iter().map(|line| clean(line)).collect(),
    }
}

fn named(entry: &Entry<'_>) -> (String, String) {
    match entry {
        Entry::Unfinished(known) => (format!("go on with {}", known.name), known.detail.clone()),
        Entry::Plan(known) => (format!("plan {}", known.name), known.detail.clone()),
        Entry::Demo => (
            "demonstration".to_owned(),
            "pump shafts, measured by a simulated gauge".to_owned(),
        ),
    }
}

fn entries(start: &Start, facts: &StartFacts) -> Vec<ItemView> {
    let typed = match (start.entry, meaning(&start.text, facts)) {
        (None, Meaning::Number(at) | Meaning::Plan(at)) => Some(at),
        (entry, _) => entry,
    };
    let all = facts.entries().into_iter().enumerate();
    all.map(|(at, entry)| {
        let (text, detail) = named(&entry);
        ItemView {
            key: (at + 1).to_string(),
            text: clean(&text),
            detail: clean(&detail),
            is_chosen: typed == Some(at),
        }
    })
    .collect()
}

fn gauges(chosen: usize, facts: &StartFacts) -> Vec<ItemView> {
    let all = facts.gauges.iter().enumerate();
    all.map(|(at, gauge)| ItemView {
        key: (at + 1).to_string(),
        text: clean(&gauge.name),
        detail: match gauge.kind {
            GaugeKind::Missing => format!("{}; not attached now", clean(&gauge.detail)),
            _ => clean(&gauge.detail),
        },
        is_chosen: at == chosen,
    })
    .collect()
}

fn keys(is_gauge_step: bool) -> Vec<(String, String)> {
    let keys: &[(&str, &str)] = match is_gauge_step {
        true => &[
            ("Enter", "measure"),
            ("1-9, Up/Down", "choose"),
            ("Backspace", "back"),
        ],
        false => &[("Enter", "go on"), ("Up/Down or number", "choose below")],
    };
    let owned = keys
        .iter()
        .map(|(key, does)| ((*key).to_owned(), (*does).to_owned()));
    owned.collect()
}
