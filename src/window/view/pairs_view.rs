//! Puts the Pairs room together: the one way from a snapshot to what is seen of it.

use super::bench::key_views;
use super::links::LinksPageView;
use super::links_view::{LinksSeen, links_now, links_page, mates_of};
use super::pairs_bands::bands;
use super::pairs_lines::pair_lines;
use super::pairs_press::{can_press, press_page};
use super::pairs_press_asked::choices;
use super::status_view::room_status;
use super::words::{Words, clean};
use super::{KeyView, Mark, PairRowView, PairsListView, PairsPageView, PairsView};
use crate::measure::AsIntended;
use crate::pair::Measured;
use crate::session::{HalfPart, KnownSizes, Paired, SizeNow, Snapshot, paired, paired_with};
use crate::window::drawn::PageDrawn;
use crate::window::links_facts::LinksTold;
use crate::window::links_room::{LinksNow, LinksPage};
use crate::window::pairs_room::{PairsNow, PairsRoom, press_field};

const NO_SESSION: &str = "No session runs: the Pairs room shows the pairs of its plan. Begin one, \
                          or continue one, at the start: F1.";
const NO_PAIR: &str = "The plan of this session has no pair, so nothing in it goes together. A \
                       [[pair]] with hole, shaft and intended in the plan file says what does.";

/// What the room is made from.
pub struct PairsSeen<'a> {
    /// What is just being done.
    pub room: &'a PairsRoom,
    /// The running session.
    pub snapshot: Option<&'a Snapshot>,
    /// What is known of other parts.
    pub told: &'a LinksTold,
    /// Monotonic milliseconds since the session started.
    pub now_ms: u64,
    /// Decimal marker shown.
    pub marker: char,
}

/// Everything that the Pairs room shows.
pub fn pairs_view(seen: &PairsSeen<'_>) -> PairsView {
    let words = Words {
        marker: seen.marker,
    };
    let fault = seen.room.fault.clone();
    let page = page(seen, words);
    PairsView {
        keys: keys(&page, seen),
        page,
        status: room_status(seen.snapshot, fault, seen.now_ms, words),
    }
}

/// What the room's keys depend on; as much as was drawn last.
pub fn pairs_now(
    (room, told): (&PairsRoom, &LinksTold),
    snapshot: Option<&Snapshot>,
    drawn: PageDrawn,
) -> PairsNow {
    let pairs = snapshot.map_or_else(Vec::new, |one| pairs_of(room, told, one));
    let pair = pairs.get(room.chosen);
    let (shown, has_more) = (drawn.shown, drawn.has_more);
    let links = pair.map(|pair| {
        let drawn = (drawn.fit, shown, has_more);
        links_now(&room.links, told, (pair, room.chosen), drawn)
    });
    PairsNow {
        pairs: pairs.len(),
        can_press: pair.is_some_and(can_press),
        shown,
        has_more,
        links: links.unwrap_or_default(),
    }
}

/// What the field of a press fit that is typed into may hold, as far as there is a list of it.
pub fn press_choices(room: &PairsRoom, snapshot: Option<&Snapshot>) -> Vec<String> {
    let typed = room.typed.get(&room.chosen);
    match (typed, snapshot) {
        (Some(typed), Some(snapshot)) => choices(typed, snapshot.state.setup()),
        _ => Vec::new(),
    }
}

/// The pairs with what was picked to be looked at, and with what is known from records.
fn pairs_of(room: &PairsRoom, told: &LinksTold, snapshot: &Snapshot) -> Vec<Paired> {
    let mut pairs = paired_with(&snapshot.state, |at| room.links.picked.get(&at));
    let facts = told.facts.as_deref();
    let facts = facts.filter(|facts| facts.journal == snapshot.journal);
    for (pair, facts) in pairs
        .iter_mut()
        .zip(facts.map_or(&[][..], |one| &one.pairs))
    {
        let known = mates_of(pair, facts).map(|mates| KnownSizes {
            parts: mates.offered.len(),
            span: mates.span(),
        });
        match pair.hole.plan {
            Some(_) => pair.hole.known = known,
            None => pair.shaft.known = known,
        }
    }
    pairs
}

/// The size of a measured mate, by its pair and its place in the list.
pub fn picked_mate(
    told: &LinksTold,
    snapshot: &Snapshot,
    (pair, at): (usize, usize),
) -> Option<SizeNow> {
    let facts = told.facts.as_deref()?.pairs.get(pair)?;
    let pairs = paired(&snapshot.state);
    let mates = mates_of(pairs.get(pair)?, facts)?;
    mates.offered.get(at).map(HalfPart::size_now)
}

fn page(seen: &PairsSeen<'_>, words: Words) -> PairsPageView {
    let Some(snapshot) = seen.snapshot else {
        return PairsPageView::Notice(NO_SESSION.to_owned());
    };
    let pairs = pairs_of(seen.room, seen.told, snapshot);
    let chosen = seen.room.chosen.min(pairs.len().saturating_sub(1));
    let Some(pair) = pairs.get(chosen) else {
        return PairsPageView::Notice(NO_PAIR.to_owned());
    };
    if seen.room.is_pressing && can_press(pair) {
        let typed = seen.room.typed.get(&chosen).cloned().unwrap_or_default();
        let of = (&typed, snapshot.state.setup());
        let head = (title(pair), seen.room.skipped);
        let page = press_page(pair, of, (&head.0, head.1), words);
        return PairsPageView::Press(Box::new(page));
    }
    if seen.room.links.page != LinksPage::Closed {
        return PairsPageView::Links(Box::new(links_page(&LinksSeen {
            room: &seen.room.links,
            told: seen.told,
            pair: (pair, chosen),
            title: &title(pair),
            words,
        })));
    }
    let rows = pairs.iter().enumerate();
    PairsPageView::Pairs(Box::new(PairsListView {
        rows: rows.map(|(at, pair)| row(pair, at == chosen)).collect(),
        title: title(pair),
        part: match snapshot.state.current_part() {
            Some(part) => format!("part {}", part.number),
            None => String::new(),
        },
        bands: bands(pair, words),
        lines: pair_lines(pair, snapshot, words),
        skipped: seen.room.skipped,
    }))
}

/// `Hole bore and shaft A, 20 H7/g6`.
fn title(pair: &Paired) -> String {
    let (hole, shaft) = (clean(&pair.hole.name), clean(&pair.shaft.name));
    format!("Hole {hole} and shaft {shaft}, {}", fit_words(pair))
}

fn fit_words(pair: &Paired) -> String {
    match &pair.intended {
        Some(Ok(fit)) if fit.callout.is_empty() => "limits of both".to_owned(),
        Some(Ok(fit)) => clean(&fit.callout),
        Some(Err(_)) => "no limits".to_owned(),
        None => "no fit stated".to_owned(),
    }
}

fn row(pair: &Paired, is_chosen: bool) -> PairRowView {
    let (mark, state) = standing(pair);
    let (hole, shaft) = (clean(&pair.hole.name), clean(&pair.shaft.name));
    let fit = fit_words(pair);
    let chosen = if is_chosen { ", chosen" } else { "" };
    PairRowView {
        spoken: format!("hole {hole}, shaft {shaft}, {fit}: {state}{chosen}"),
        hole,
        shaft,
        fit,
        state: state.to_owned(),
        mark,
        is_chosen,
    }
}

/// How a pair stands, as a mark and in words.
fn standing(pair: &Paired) -> (Mark, &'static str) {
    match (&pair.together, &pair.make) {
        (Some(Ok(found)), _) => match found.as_intended {
            AsIntended::Yes => (Mark::Go, "as intended"),
            AsIntended::No => (Mark::NoGo, "not as intended"),
            AsIntended::Doubt => (Mark::Doubt, "in doubt"),
        },
        (Some(Err(_)), _) => (Mark::Doubt, "cannot be judged"),
        (None, Some(Ok(make))) => match (make.measured, is_suited(pair, make.measured)) {
            (Measured::Hole, false) => (Mark::Open, "shaft can be made to suit"),
            (Measured::Hole, true) => (Mark::Open, "shaft is made to suit"),
            (Measured::Shaft, false) => (Mark::Open, "hole can be made to suit"),
            (Measured::Shaft, true) => (Mark::Open, "hole is made to suit"),
        },
        (None, Some(Err(_))) => (Mark::Doubt, "nothing suits"),
        (None, None) => match (pair.hole.size(), pair.shaft.size()) {
            (None, None) => (Mark::Open, "not measured"),
            _ => (Mark::Open, "no fit to hold it to"),
        },
    }
}

/// The half that is not measured is judged by what suits already.
fn is_suited(pair: &Paired, measured: Measured) -> bool {
    match measured {
        Measured::Hole => pair.shaft.suited.is_some(),
        Measured::Shaft => pair.hole.suited.is_some(),
    }
}

/// The keys that do something now; the last leads out.
fn keys(page: &PairsPageView, seen: &PairsSeen<'_>) -> Vec<KeyView> {
    let has_session = seen.snapshot.is_some();
    let drawn = PageDrawn::default();
    let now = pairs_now((seen.room, seen.told), seen.snapshot, drawn);
    let mut all: Vec<(&str, &str)> = Vec::new();
    match page {
        PairsPageView::Notice(_) if !has_session => all.push((".", "to the start")),
        PairsPageView::Notice(_) => all.push((".", "to the Bench")),
        PairsPageView::Pairs(list) => {
            if now.can_press {
                all.push(("/", "press together"));
            }
            all.push(("1", "pair a batch"));
            if now.links.has_mates {
                all.push(("2", "measured mates"));
            }
            if list.rows.len() > 1 {
                all.extend([("Enter", "next pair"), ("+/-", "pair")]);
            }
            all.extend([("*", "read on"), (".", "to the Bench")]);
        }
        PairsPageView::Press(_) => {
            let typed = seen.room.typed.get(&seen.room.chosen);
            if typed.is_some_and(|typed| press_field::has_choices(typed.at)) {
                all.push(("+/-", "step through"));
            }
            all.extend([
                ("Enter", "next field"),
                ("Backspace", "erase"),
                ("*", "read on"),
                ("/", "back to the fit"),
            ]);
        }
        PairsPageView::Links(view) => all.extend(links_keys(&view.page, now.links)),
    }
    key_views(&all)
}

/// Those of the pages of a batch.
fn links_keys(page: &LinksPageView, now: LinksNow) -> Vec<(&'static str, &'static str)> {
    let read = match now.is_reading {
        true => ("0", "end the reading"),
        false => ("0", "read again"),
    };
    let mut all = match page {
        LinksPageView::Nothing => vec![read],
        LinksPageView::Rows(_) => vec![
            ("Enter", "list"),
            ("/", "other objective"),
            ("+/-", "along the rows"),
            ("*", "read on"),
            read,
        ],
        LinksPageView::List(_) => vec![
            ("Enter", "rows"),
            ("/", "other objective"),
            ("+/-", "page"),
            ("*", "next page"),
            read,
        ],
        LinksPageView::Mates(..) => vec![
            ("Enter", "look at it with this part"),
            ("0", "none of them"),
            ("+/-", "choose"),
            ("/", "read again"),
        ],
    };
    all.push((".", "back"));
    all
}
