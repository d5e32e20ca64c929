//! Puts the pages together where a batch of holes meets a batch of shafts.

use super::axis::{Axis, Layout, fraction};
use super::links::{
    ColumnView, LinkLineView, LinkMark, LinkRowsView, LinksPageView, LinksView, MateView,
    OverviewView, ReadingView,
};
use super::links_lines::{
    empty_lines, left_sentence, left_word, legend, link_word, mark_of, name_of, rows_lines,
    size_words,
};
use super::pairs_lines::{decimals_of, mm, mm_with};
use super::words::{Words, clean, counted};
use crate::quantity::Length;
use crate::session::{
    HalfPart, HalfParts, Links, Objective, Paired, Slot, check_typed_mate, wanted_clearance,
};
use crate::window::links_facts::{LinksTold, PairFacts};
use crate::window::links_room::{LinksNow, LinksPage, LinksRoom};

/// More columns than any window is wide.
const COLUMNS_MAX: usize = 64;
/// More lines than any window is high.
const LINES_MAX: usize = 80;
/// So many links are drawn of more: a picture has no more columns that could be told apart.
const LINKS_DRAWN_MAX: usize = 100;
/// The axis of sizes ends a little before the edges.
const LAYOUT: Layout = Layout {
    left: 0.02,
    right: 0.98,
    from: 0.0,
    until: 1.0,
};

/// What the pages are made from.
pub(super) struct LinksSeen<'a> {
    pub(super) room: &'a LinksRoom,
    pub(super) told: &'a LinksTold,
    /// The pair, and its place in the plan.
    pub(super) pair: (&'a Paired, usize),
    /// How the pair is called: `hole bore and shaft A, 20 H7/g6`.
    pub(super) title: &'a str,
    pub(super) words: Words,
}

impl<'a> LinksSeen<'a> {
    fn facts(&self) -> Option<&'a PairFacts> {
        let facts = self.told.facts.as_deref()?;
        facts.pairs.get(self.pair.1)
    }

    fn links(&self) -> Option<&'a Links> {
        let links = self.facts()?.links(self.room.objective)?;
        links.as_ref().ok()
    }
}

/// The half of a pair that another plan makes, if one is: the hole before the shaft.
pub(super) fn mates_of<'f>(pair: &Paired, facts: &'f PairFacts) -> Option<&'f HalfParts> {
    match (&pair.hole.plan, &pair.shaft.plan) {
        (Some(_), _) => Some(&facts.hole),
        (None, Some(_)) => Some(&facts.shaft),
        (None, None) => None,
    }
}

/// What the keys of the pages depend on; `fit`, `said` and `has_more` as they were drawn last.
pub(super) fn links_now(
    room: &LinksRoom,
    told: &LinksTold,
    (pair, at): (&Paired, usize),
    (fit, said, has_more): (usize, usize, bool),
) -> LinksNow {
    let facts = told.facts.as_deref().and_then(|facts| facts.pairs.get(at));
    let links = facts.and_then(|facts| facts.links(room.objective)?.as_ref().ok());
    let mates = facts.and_then(|facts| mates_of(pair, facts));
    let count = match room.page {
        LinksPage::Mates => mates.map_or(0, |mates| mates.offered.len()),
        LinksPage::Closed | LinksPage::Rows | LinksPage::List => {
            links.map_or(0, |links| links.slots.len())
        }
    };
    LinksNow {
        count,
        fit,
        said,
        has_more,
        is_reading: told.reading.is_some(),
        has_mates: pair.hole.plan.is_some() || pair.shaft.plan.is_some(),
    }
}

/// The page that is open.
pub(super) fn links_page(seen: &LinksSeen<'_>) -> LinksView {
    let (pair, words) = (seen.pair.0, seen.words);
    let mut view = LinksView {
        title: seen.title.to_owned(),
        reading: seen.told.reading.map(|(done, of)| ReadingView {
            text: match of {
                0 => "looking which records there are".to_owned(),
                of => format!("reading records: {done} of {of}"),
            },
            share: fraction(done as f64 / (of.max(1)) as f64),
        }),
        skipped: seen.room.skipped,
        ..LinksView::default()
    };
    let Some(facts) = seen.facts() else {
        view.lines = empty_lines(pair, None, words);
        return view;
    };
    if seen.room.page == LinksPage::Mates {
        return mates_page(seen, facts, view);
    }
    let is_empty = facts.hole.offered.is_empty() || facts.shaft.offered.is_empty();
    let Some(links) = seen.links().filter(|_| !is_empty) else {
        view.lines = empty_lines(pair, Some(facts), words);
        return view;
    };
    let fit = pair.intended.as_ref().and_then(|fit| fit.as_ref().ok());
    view.objective = match (seen.room.objective, fit) {
        (Objective::Nearest, Some(fit)) => {
            format!("nearest to {}", mm(wanted_clearance(fit), words))
        }
        (Objective::Most, Some(fit)) => format!(
            "most inside {} to {}",
            mm(fit.least, words),
            mm(fit.most, words)
        ),
        (_, None) => String::new(),
    };
    let count = links.slots.len();
    let before = seen.room.from.min(count.saturating_sub(1));
    let slots = links.slots.iter().skip(before);
    let form = (words, decimals(facts, slots.clone().take(COLUMNS_MAX)));
    view.page = match seen.room.page {
        LinksPage::List => {
            let first = first_numbers(links, before);
            LinksPageView::List(lines(facts, slots.take(LINES_MAX), first, form))
        }
        _ => LinksPageView::Rows(LinkRowsView {
            overview: overview(facts, links, before, words),
            columns: slots
                .take(COLUMNS_MAX)
                .map(|slot| column(facts, slot, form))
                .collect(),
            before,
            count,
        }),
    };
    view.lines = match seen.room.page {
        LinksPage::List => legend(facts, words),
        _ => rows_lines(pair, facts, (links, seen.room.objective), words),
    };
    view.place = match seen.room.page {
        LinksPage::List => format!("from {} of {count}", before + 1),
        _ => String::new(),
    };
    view
}

fn column(facts: &PairFacts, slot: &Slot, (words, decimals): (Words, u8)) -> ColumnView {
    let shown = |length| mm_with(length, decimals, words);
    let text = |half: &HalfParts, at: usize| {
        let part = half.offered.get(at);
        part.map(|part| (shown(part.middle()), name_of(part, facts)))
    };
    let (hole, shaft, clearance, word) = match slot {
        Slot::Pair { hole, shaft, does } => (
            text(&facts.hole, *hole),
            text(&facts.shaft, *shaft),
            shown(clearance(facts, *hole, *shaft)),
            link_word(does, facts.range).to_owned(),
        ),
        Slot::Hole(at, why) => (
            text(&facts.hole, *at),
            None,
            String::new(),
            left_word(*why).to_owned(),
        ),
        Slot::Shaft(at, why) => (
            None,
            text(&facts.shaft, *at),
            String::new(),
            left_word(*why).to_owned(),
        ),
    };
    let of = |name: &str, half: &Option<(String, String)>| match half {
        Some((size, part)) => format!("{name} {part}, {size} mm"),
        None => format!("no {name}"),
    };
    let does = match clearance.is_empty() {
        true => word.clone(),
        false => format!("clearance {clearance} mm, {word}"),
    };
    ColumnView {
        spoken: format!("{}; {}: {does}", of("hole", &hole), of("shaft", &shaft)),
        hole,
        shaft,
        mark: mark_of(slot),
        clearance,
        word,
    }
}

/// As many decimals as the finest of these sizes needs, so that all of them stand in one form.
fn decimals<'s>(facts: &PairFacts, slots: impl Iterator<Item = &'s Slot>) -> u8 {
    let of = |half: &HalfParts, at: usize| half.offered.get(at).map(HalfPart::middle);
    let sizes = slots.flat_map(|slot| match slot {
        Slot::Pair { hole, shaft, .. } => [of(&facts.hole, *hole), of(&facts.shaft, *shaft)],
        Slot::Hole(at, _) => [of(&facts.hole, *at), None],
        Slot::Shaft(at, _) => [of(&facts.shaft, *at), None],
    });
    sizes.flatten().map(decimals_of).max().unwrap_or(0)
}

/// Of the middles of both halves, by which they are paired.
fn clearance(facts: &PairFacts, hole: usize, shaft: usize) -> Length {
    let middle = |half: &HalfParts, at: usize| half.offered.get(at).map(HalfPart::middle);
    let both = middle(&facts.hole, hole).zip(middle(&facts.shaft, shaft));
    both.map_or(Length::ZERO, |(hole, shaft)| hole - shaft)
}

/// The number of the first pair from a place on.
fn first_numbers(links: &Links, before: usize) -> usize {
    let passed = links.slots.iter().take(before);
    passed
        .filter(|slot| matches!(slot, Slot::Pair { .. }))
        .count()
        + 1
}

fn lines<'s>(
    facts: &PairFacts,
    slots: impl Iterator<Item = &'s Slot>,
    first: usize,
    form: (Words, u8),
) -> Vec<LinkLineView> {
    let mut number = first;
    let text = |half: &HalfParts, at: usize| {
        let part = half.offered.get(at);
        part.map_or_else(Default::default, |part| {
            (name_of(part, facts), mm_with(part.middle(), form.1, form.0))
        })
    };
    let line = |slot: &Slot| {
        let column = column(facts, slot, form);
        let mut view = LinkLineView {
            number: String::new(),
            hole: Default::default(),
            shaft: Default::default(),
            clearance: column.clearance,
            mark: column.mark,
            word: column.word,
            spoken: column.spoken,
        };
        match slot {
            Slot::Pair { hole, shaft, .. } => {
                view.number = number.to_string();
                view.spoken = format!("{number}: {}", view.spoken);
                number += 1;
                view.hole = text(&facts.hole, *hole);
                view.shaft = text(&facts.shaft, *shaft);
            }
            Slot::Hole(at, why) => {
                view.hole = text(&facts.hole, *at);
                view.word = left_sentence(*why, "shaft");
                view.spoken = left_spoken("hole", &view.hole, &view.word);
            }
            Slot::Shaft(at, why) => {
                view.shaft = text(&facts.shaft, *at);
                view.word = left_sentence(*why, "hole");
                view.spoken = left_spoken("shaft", &view.shaft, &view.word);
            }
        }
        view
    };
    slots.map(line).collect()
}

fn left_spoken(half: &str, (name, size): &(String, String), why: &str) -> String {
    format!("{half} {name}, {size} mm {why}")
}

/// All of both rows to scale; of very many links every so many is drawn, and each that is not
/// inside.
fn overview(facts: &PairFacts, links: &Links, before: usize, words: Words) -> OverviewView {
    let all = || facts.hole.offered.iter().chain(&facts.shaft.offered);
    let ends = all()
        .map(HalfPart::middle)
        .min()
        .zip(all().map(HalfPart::middle).max());
    let Some((least, most)) = ends else {
        return OverviewView::default();
    };
    // One size alone stands in the middle.
    let wide = (most - least).max(Length::from_um(1));
    let axis = Axis::of(
        Some(least.as_nm()),
        Some((least + wide).as_nm()),
        1,
        0,
        LAYOUT,
    );
    let at = |half: &HalfParts, place: usize| {
        let middle = half.offered.get(place).map(HalfPart::middle);
        let axis = axis.as_ref()?;
        middle.map(|middle| axis.fraction(middle.as_nm()))
    };
    let every = links.slots.len() / LINKS_DRAWN_MAX + 1;
    let mut view = OverviewView {
        ends: (mm(least, words), mm(most, words)),
        ..OverviewView::default()
    };
    for (place, slot) in links.slots.iter().enumerate() {
        let mark = mark_of(slot);
        let is_drawn = place.is_multiple_of(every);
        match slot {
            Slot::Pair { hole, shaft, .. } => {
                let is_more = mark != LinkMark::Inside && view.links.len() < 2 * LINKS_DRAWN_MAX;
                let both = at(&facts.hole, *hole).zip(at(&facts.shaft, *shaft));
                if let Some((hole, shaft)) = both.filter(|_| is_drawn || is_more) {
                    view.holes.push(hole);
                    view.shafts.push(shaft);
                    view.links.push((hole, shaft, mark));
                }
            }
            Slot::Hole(one, _) if is_drawn => view.holes.extend(at(&facts.hole, *one)),
            Slot::Shaft(one, _) if is_drawn => view.shafts.extend(at(&facts.shaft, *one)),
            _ => {}
        }
    }
    let columns = links.slots.iter().skip(before).take(COLUMNS_MAX);
    view.columns = columns
        .map(|slot| match slot {
            Slot::Pair { hole, shaft, .. } => (at(&facts.hole, *hole), at(&facts.shaft, *shaft)),
            Slot::Hole(one, _) => (at(&facts.hole, *one), None),
            Slot::Shaft(one, _) => (None, at(&facts.shaft, *one)),
        })
        .collect();
    view.spoken = format!(
        "{} and {} from {} to {} mm",
        counted(facts.hole.offered.len(), "hole"),
        counted(facts.shaft.offered.len(), "shaft"),
        view.ends.0,
        view.ends.1
    );
    view
}

fn mates_page(seen: &LinksSeen<'_>, facts: &PairFacts, mut view: LinksView) -> LinksView {
    let (pair, words) = (seen.pair.0, seen.words);
    let half = match pair.hole.plan.is_some() {
        true => &pair.hole,
        false => &pair.shaft,
    };
    view.title = format!("Measured {} from its records", clean(&half.name));
    view.objective = String::new();
    let mates = mates_of(pair, facts).filter(|mates| !mates.offered.is_empty());
    let Some(mates) = mates else {
        view.lines = empty_lines(pair, Some(facts), words);
        return view;
    };
    let count = mates.offered.len();
    let chosen = seen.room.chosen.min(count - 1);
    // The list begins so that the chosen one is seen in any window.
    let before = chosen.saturating_sub(LINES_MAX / 2);
    let picked = seen.room.picked.get(&seen.pair.1);
    let rows = mates.offered.iter().enumerate().skip(before);
    let rows = rows.take(LINES_MAX).map(|(at, part)| {
        let name = name_of(part, facts);
        let size = size_words(&part.size, words);
        let from = match part.is_here {
            true => format!("part {} of this session", part.number),
            false => format!("{} part {}", clean(&part.journal), part.number),
        };
        let is_picked = picked.is_some_and(|one| *one == part.size_now());
        let stands = part.standing.word();
        let seen_now = if is_picked { ", looked at now" } else { "" };
        MateView {
            spoken: format!("{name}: {size} mm, {stands}, {from}{seen_now}"),
            name,
            size,
            detail: format!("{stands}, {from}"),
            is_chosen: at == chosen,
            is_picked,
        }
    });
    view.page = LinksPageView::Mates(before, rows.collect());
    view.place = format!("{} of {count}", chosen + 1);
    view
}

/// Measured parts of a mate before a session begins: name with size, and where it comes from.
pub fn mate_texts(parts: &HalfParts, marker: char) -> Vec<(String, String)> {
    let words = Words { marker };
    let text = |part: &HalfPart| {
        let name = match part.serial.as_str() {
            "" => format!("no. {}", part.number),
            serial => clean(serial),
        };
        let size = size_words(&part.size, words);
        let stands = part.standing.word();
        let from = format!("{stands}, {} part {}", clean(&part.journal), part.number);
        (format!("{name}: {size}"), from)
    };
    parts.offered.iter().map(text).collect()
}

/// What a typed size of a mate says, or what is wrong with it.
pub fn typed_mate(text: &str, marker: char) -> String {
    let words = Words { marker };
    match check_typed_mate(text) {
        Ok((size, Some(u))) => format!(
            "Made to suit {} mm, u {} (k = 1): guard bands of 2 u.",
            mm(size, words),
            words.um_up(u)
        ),
        Ok((size, None)) => format!(
            "Made to suit {} mm; without ± u there are no guard bands.",
            mm(size, words)
        ),
        Err(error) => {
            let first = error.message.lines().next().unwrap_or_default().to_owned();
            words.sentence(&first)
        }
    }
}
