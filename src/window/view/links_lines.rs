//! The words of a batch of holes and shafts: what a link is, why a part is left, which parts are
//! not offered, and what to do where there is nothing to put together.

use super::SentenceView;
use super::links::LinkMark;
use super::pairs_lines::mm;
use super::said::Said;
use super::words::{Words, clean, counted};
use crate::measure::AsIntended;
use crate::pair::LeftOver;
use crate::quantity::Length;
use crate::session::{
    HalfOpen, HalfPart, HalfParts, HalfSize, IntendedFit, LinkCounts, Links, Objective, Paired,
    PairedHalf, Slot, Standing, TogetherNow, wanted_clearance,
};
use crate::window::links_facts::PairFacts;

/// More records than so many are not listed.
const RECORDS_MAX: usize = 12;
/// Below a list so many have room.
const LEGEND_MAX: usize = 3;

/// Serial number; else the number in this session, or in a record: `R1 no. 3`.
pub(super) fn name_of(part: &HalfPart, facts: &PairFacts) -> String {
    if !part.serial.is_empty() {
        return clean(&part.serial);
    }
    if part.is_here {
        return format!("no. {}", part.number);
    }
    let place = facts.records.binary_search(&part.journal);
    format!("R{} no. {}", place.unwrap_or(0) + 1, part.number)
}

/// `25.012, U 2.4 µm`; of points that differ from the smallest to the largest.
pub(super) fn size_words(size: &HalfSize, words: Words) -> String {
    let span = match size.least == size.most {
        true => mm(size.least, words),
        false => format!("{} to {}", mm(size.least, words), mm(size.most, words)),
    };
    match size.standard {
        Some(standard) => format!("{span}, U {}", words.um_up(standard + standard)),
        None => format!("{span}, U not known"),
    }
}

pub(super) fn mark_of(slot: &Slot) -> LinkMark {
    match slot {
        Slot::Pair { does, .. } => match does.as_intended {
            AsIntended::Yes => LinkMark::Inside,
            AsIntended::Doubt => LinkMark::Doubt,
            AsIntended::No => LinkMark::Outside,
        },
        Slot::Hole(..) | Slot::Shaft(..) => LinkMark::Left,
    }
}

/// What a link is against the intended range.
pub(super) fn link_word(does: &TogetherNow, (least, most): (Length, Length)) -> &'static str {
    match does.as_intended {
        AsIntended::Yes => "inside",
        AsIntended::Doubt => "in doubt",
        AsIntended::No => {
            let is_tight = does.tight.clearance_nm() < least.as_nm_f64();
            let is_loose = does.loose.clearance_nm() > most.as_nm_f64();
            match (is_tight, is_loose) {
                (true, false) => "too tight",
                (false, true) => "too loose",
                _ => "outside",
            }
        }
    }
}

/// Why a part is left, in few words.
pub(super) fn left_word(why: LeftOver) -> &'static str {
    match why {
        LeftOver::NoOther => "left: none for it",
        LeftOver::TooTight => "left: too tight",
        LeftOver::TooLoose => "left: too loose",
        LeftOver::NoneBetween => "left: none suits",
    }
}

/// The same of the list; `other` is the half that it lacks.
pub(super) fn left_sentence(why: LeftOver, other: &str) -> String {
    match why {
        LeftOver::NoOther => format!("left: there is no {other} for it"),
        LeftOver::TooTight => format!("left: too tight for every {other} that is left"),
        LeftOver::TooLoose => format!("left: too loose for every {other} that is left"),
        LeftOver::NoneBetween => {
            format!("left: too tight for some {other}s that are left, too loose for the others")
        }
    }
}

/// What is said below the rows.
pub(super) fn rows_lines(
    pair: &Paired,
    facts: &PairFacts,
    (links, objective): (&Links, Objective),
    words: Words,
) -> Vec<SentenceView> {
    let mut said = Said::as_given(words);
    let fit = pair.intended.as_ref().and_then(|fit| fit.as_ref().ok());
    said.strong(&count_sentence(&links.counts));
    if let Some(fit) = fit {
        said.say(&objective_sentence(fit, objective, words));
    }
    let unknown = links.counts.unknown;
    if unknown > 0 {
        said.say(&format!(
            "Uncertainty not considered in {}: that of a half is not known.",
            counted(unknown, "pair")
        ));
    }
    if has_points(&facts.hole) || has_points(&facts.shaft) {
        said.say(
            "A part with several points is paired by their middle, and judged at its tightest and \
             its loosest.",
        );
    }
    for (name, half, parts) in [
        ("hole", &pair.hole, &facts.hole),
        ("shaft", &pair.shaft, &facts.shaft),
    ] {
        said.say(&parts_sentence((name, half), parts));
        let conceded = parts.offered.iter().filter(|part| is_by_decision(part));
        let conceded = conceded.count();
        if conceded > 0 {
            said.say(&format!(
                "Of these {} stand by a decision and not by the sizes alone.",
                counted(conceded, name)
            ));
        }
    }
    reading_lines(&mut said, facts);
    said.lines
}

/// `12 pairs: 10 inside, 1 in doubt, 1 outside; 2 holes and 1 shaft are left.`
fn count_sentence(counts: &LinkCounts) -> String {
    let mut told = vec![format!("{} inside", counts.intended)];
    if counts.doubt > 0 {
        told.push(format!("{} in doubt", counts.doubt));
    }
    if counts.outside > 0 {
        told.push(format!("{} outside the intended range", counts.outside));
    }
    let left = [(counts.holes_left, "hole"), (counts.shafts_left, "shaft")];
    let left = left.iter().filter(|(count, _)| *count > 0);
    let left: Vec<String> = left.map(|(count, name)| counted(*count, name)).collect();
    let left = match (left.len(), counts.holes_left + counts.shafts_left) {
        (0, _) => "no part is left".to_owned(),
        (_, 1) => format!("{} is left", left.join(" and ")),
        _ => format!("{} are left", left.join(" and ")),
    };
    format!(
        "{}: {}; {left}.",
        counted(counts.pairs, "pair"),
        told.join(", ")
    )
}

fn objective_sentence(fit: &IntendedFit, objective: Objective, words: Words) -> String {
    let range = format!("{} to {} mm", mm(fit.least, words), mm(fit.most, words));
    match objective {
        Objective::Nearest => format!(
            "As many pairs as there can be, all together nearest to {} mm, the middle of the \
             intended {range}.",
            mm(wanted_clearance(fit), words)
        ),
        Objective::Most => format!("As many pairs inside the intended {range} as there can be."),
    }
}

/// `Holes bore: 9 of 14 are offered, from 3 records; not offered: 2 NO-GO, 1 scrap, 2 open.`
fn parts_sentence((name, half): (&str, &PairedHalf), parts: &HalfParts) -> String {
    let all = parts.offered.len() + parts.left_count();
    let why = match left_words(parts) {
        text if text.is_empty() => String::new(),
        text => format!("; not offered: {text}"),
    };
    format!(
        "The {name} {}: {} of {} in {} {} offered{why}.",
        half.name,
        parts.offered.len(),
        counted(all, "part"),
        counted(parts.records, "record"),
        if parts.offered.len() == 1 {
            "is"
        } else {
            "are"
        },
    )
}

/// `2 NO-GO, 1 scrap`.
fn left_words(parts: &HalfParts) -> String {
    let left = parts.left.iter();
    let left = left.map(|(why, count)| format!("{count} {}", why.word()));
    left.collect::<Vec<_>>().join(", ")
}

/// How many measured parts of a mate are offered before a session begins, and why others are not.
pub fn mate_left(parts: &HalfParts) -> String {
    let found = match parts.offered.len() {
        0 => "No measured part of it is offered from the records".to_owned(),
        count => format!("{} from the records", counted(count, "measured part")),
    };
    match left_words(parts) {
        text if text.is_empty() => format!("{found}."),
        text => format!("{found}; not offered: {text}."),
    }
}

fn reading_lines(said: &mut Said, facts: &PairFacts) {
    for (at, record) in facts.records.iter().enumerate().take(RECORDS_MAX) {
        said.say(&format!("R{} is {record}.", at + 1));
    }
    let more = facts.records.len().saturating_sub(RECORDS_MAX);
    if more > 0 {
        said.say(&format!(
            "R{} and on are {} in the order of their names.",
            RECORDS_MAX + 1,
            counted(more, "further record")
        ));
    }
    if let Some(fault) = &facts.fault {
        said.strong(fault);
    }
    if facts.unreadable > 0 {
        said.strong(&format!(
            "{} cannot be read; the Records room says why.",
            counted(facts.unreadable, "record")
        ));
    }
    if facts.missing > 0 {
        said.strong(&format!(
            "Reading was ended: {} not read. 0 goes on.",
            match facts.missing {
                1 => "1 record was".to_owned(),
                count => format!("{count} records were"),
            }
        ));
    }
}

/// What the names of records stand for, in one sentence; none where no part is named so.
pub(super) fn legend(facts: &PairFacts, words: Words) -> Vec<SentenceView> {
    let mut said = Said::as_given(words);
    let records = facts.records.iter().enumerate().take(LEGEND_MAX);
    let records = records.map(|(at, record)| format!("R{} is {record}", at + 1));
    let records: Vec<String> = records.collect();
    let more = match facts.records.len() > LEGEND_MAX {
        true => "; further ones are told below the rows",
        false => "",
    };
    if !records.is_empty() {
        said.say(&format!("{}{more}.", records.join("; ")));
    }
    said.lines
}

/// Why there is nothing to put together, and what to do.
pub(super) fn empty_lines(
    pair: &Paired,
    facts: Option<&PairFacts>,
    words: Words,
) -> Vec<SentenceView> {
    let mut said = Said::as_given(words);
    let Some(facts) = facts else {
        said.strong("The measured parts of both halves are looked for in the records.");
        return said.lines;
    };
    match &pair.intended {
        None => said.strong(
            "No fit is stated, so nothing is put together. Write intended = \"25 H7/g6\", or the \
             fit that is meant, into the pair.",
        ),
        Some(Err(error)) => said.strong(&said.shown(&error.to_string())),
        Some(Ok(_)) => {}
    }
    if let Some(Err(error)) = facts.links(Objective::Nearest) {
        said.strong(&said.shown(error));
    }
    for (name, half, parts) in [
        ("hole", &pair.hole, &facts.hole),
        ("shaft", &pair.shaft, &facts.shaft),
    ] {
        if parts.offered.is_empty() {
            said.strong(&none_sentence(name, half, parts));
        } else {
            said.say(&parts_sentence((name, half), parts));
        }
    }
    reading_lines(&mut said, facts);
    said.lines
}

/// Of which half nothing is measured that could be offered, and what to do.
fn none_sentence(name: &str, half: &PairedHalf, parts: &HalfParts) -> String {
    let of = format!("the {name} {}", half.name);
    let why = left_words(parts);
    let to_do = match &half.plan {
        _ if !why.is_empty() => {
            format!(
                "Not offered: {why}. Measure them whole, or decide about them; records of other \
                 sessions are read again with 0."
            )
        }
        None if matches!(half.now, crate::session::HalfNow::Open(HalfOpen::NoSize)) => {
            "It is a thread, or only a limit gauge proves it.".to_owned()
        }
        None => "Measure parts of this plan whole; they are offered when they are GO.".to_owned(),
        Some(plan) => format!(
            "Measure parts of {plan}: fitledger inspect --plan {plan}. Its records are known by \
             part and drawing of that plan, which has to lie in the workspace. Then press 0."
        ),
    };
    format!("No part is offered with {of}. {to_do}")
}

fn has_points(parts: &HalfParts) -> bool {
    let mut offered = parts.offered.iter();
    offered.any(|part| part.size.least != part.size.most)
}

fn is_by_decision(part: &HalfPart) -> bool {
    !part.standing.is_good() && !matches!(part.standing, Standing::Measured(_))
}
