//! What a report says of a characteristic over the parts, as texts for people: the same on screen
//! and on paper.

use super::batch_figures::{PARTS_MIN, has_section, is_controlled, is_trend_drawn};
use super::chart_subject::filled;
use super::options::ReportOptions;
use super::row_texts::{called, value};
use super::safe::shown;
use super::sheet::Asked;
use super::sheet_batch::{
    BatchBreakRow, BatchCell, BatchFacts, BatchIndex, BatchSheet, BatchStretch,
};
use super::words_batch::BatchWords;

/// So many places are told one by one.
const PLACES_MAX: usize = 12;
/// So many characters of a callout stand above a column.
const HEAD_MAX: usize = 28;
/// Characteristics beside each other in the table; with serial numbers one fewer.
const COLUMNS: usize = 5;
/// So many stretches are shown, the newest.
pub(super) const STRETCHES_MAX: usize = 24;
/// Below this probability values do not look normal (common practice, no source).
const NORMAL_FROM: f64 = 0.05;
/// A smaller probability is told in words.
const TINY: f64 = 0.0001;

/// A sentence; strong where it says what to do.
pub(super) struct Said {
    pub(super) text: String,
    pub(super) is_strong: bool,
}

/// How a cell is set off; the words in it say the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Look {
    Plain,
    NoGo,
    Doubt,
    Faint,
}

/// A cell of the table of parts.
pub(super) struct CellText {
    /// The verdict's word, where it stands on a line of its own.
    pub(super) word: String,
    /// The value with its word, or the value alone.
    pub(super) main: String,
    /// Small lines below.
    pub(super) below: Vec<String>,
    pub(super) look: Look,
}

/// The pieces of the table of parts, since a page has room for few characteristics beside each
/// other: the caption of each, and what stands in it.
pub(super) fn blocks<'a>(
    words: &BatchWords,
    asked: &'a [Asked],
    has_serials: bool,
) -> impl Iterator<Item = (String, &'a [Asked])> {
    let all = asked.len();
    let blocks = asked.chunks(COLUMNS - usize::from(has_serials));
    blocks.map(move |block| {
        let caption = match (block.first(), block.last(), block.len() < all) {
            (Some(first), Some(last), true) => {
                let numbered = (words.numbered)(first.number, last.number);
                format!("{}, {numbered}", words.heading_table)
            }
            _ => words.heading_table.to_owned(),
        };
        (caption, block)
    })
}

/// Above a column of the table: number and callout, cut where it is long.
pub(super) fn column_head(asked: &Asked) -> String {
    let callout = shown(&asked.callout);
    let mut head: String = callout.chars().take(HEAD_MAX).collect();
    if head.len() < callout.len() {
        head.push('…');
    }
    format!("{} {head}", asked.number)
}

/// What a characteristic is called in a heading and read aloud.
pub(super) fn named(options: &ReportOptions, asked: &Asked) -> String {
    let name = called(options.words, asked);
    format!("{} · {}, {name}", asked.number, shown(&asked.callout))
}

/// A part on a characteristic.
pub(super) fn cell_text(options: &ReportOptions, asked: &Asked, cell: &BatchCell) -> CellText {
    let (words, own) = (options.words, &options.words.batch);
    let number = |text: &str| match asked.unit.as_str() {
        "check" => shown(words.outcome(text)).into_owned(),
        _ => value(options, text),
    };
    let (word, look) = match cell.standing.as_str() {
        "NO-GO" => ("NO-GO", Look::NoGo),
        "DOUBT" => ("DOUBT", Look::Doubt),
        "open" => (own.open, Look::Faint),
        "not selected" => (words.not_selected, Look::Faint),
        other => (other, Look::Plain),
    };
    let is_apart = matches!(look, Look::NoGo | Look::Doubt);
    let shown_value = number(&cell.value);
    let main = match is_apart {
        true => shown_value,
        false => format!("{shown_value} {word}").trim().to_owned(),
    };
    let mut below = Vec::new();
    // Beside a mean within its limits the verdict would not be understood.
    if !cell.smallest.is_empty() && cell.standing != "GO" {
        let (from, to) = (number(&cell.smallest), number(&cell.largest));
        below.push(format!("{from} {} {to}", own.to));
    }
    if cell.is_in_doubt {
        below.push(own.in_doubt.to_owned());
    }
    if !cell.tests.is_empty() {
        let tests: Vec<String> = cell.tests.iter().map(u16::to_string).collect();
        below.push((own.signals)(&tests.join(", ")));
    }
    if cell.voided > 0 {
        below.push((own.voided)(cell.voided));
    }
    if let Some(line) = cell.concession {
        below.push(format!("{} {line}", words.concession_line));
    }
    CellText {
        word: if is_apart { word } else { "" }.to_owned(),
        main,
        below,
        look,
    }
}

/// How the parts stand: `11 GO`, `1 NO-GO`.
pub(super) fn stands(options: &ReportOptions, facts: &BatchFacts) -> Vec<String> {
    let words = options.words;
    let stands = facts.stands;
    let all = [
        ("GO", stands.go),
        ("NO-GO", stands.no_go),
        ("DOUBT", stands.doubt),
        ("NOTED", stands.noted),
        (words.batch.open, stands.open),
        (words.not_selected, stands.not_selected),
    ];
    let there = all.into_iter().filter(|(_, count)| *count > 0);
    there
        .map(|(word, count)| format!("{count} {word}"))
        .collect()
}

/// An index with its interval: `Cpk 1.02 (0.81 to 1.23)`, without it under 30 values.
pub(super) fn index_text(options: &ReportOptions, index: &BatchIndex) -> String {
    let number = |text: &str| value(options, text);
    let texts = [
        ("best", &*number(&index.estimate)),
        ("from", &*number(&index.lower)),
        ("to", &*number(&index.upper)),
    ];
    let charts = options.words.charts;
    let form = match index.estimate.as_str() {
        "" => charts.without_best,
        _ => charts.with_best,
    };
    format!("{} {}", shown(&index.name), filled(form, &texts))
}

/// How an index was found, in words.
pub(super) fn way_text(options: &ReportOptions, index: &BatchIndex) -> String {
    let words = options.words;
    shown(words.text_for(words.batch.ways, &index.way)).into_owned()
}

/// What to do next, in a line; empty: nothing is advised.
pub(super) fn next(options: &ReportOptions, facts: &BatchFacts) -> String {
    let words = &options.words.batch;
    let mut said = Vec::new();
    if let Some(ahead) = &facts.ahead {
        let limit = value(options, &ahead.limit);
        let (part, earliest, latest) = (ahead.part, ahead.earliest, ahead.latest);
        said.push((words.reaches)(
            &limit,
            ahead.is_upper,
            part,
            earliest,
            latest,
        ));
    }
    if !facts.offset_told.is_empty() {
        said.push(marked(options, &shown(&facts.offset_told)));
    }
    if facts.measure_every > 0 {
        said.push((words.every)(facts.measure_every));
    }
    match said.is_empty() {
        true => String::new(),
        false => format!("{}: {}.", words.next, said.join("; ")),
    }
}

/// Below the table of numbers: the confidence of intervals; and why numbers are missing of those
/// characteristics that have no section of their own, each reason once.
pub(super) fn below_numbers(options: &ReportOptions, batch: &BatchSheet) -> Vec<String> {
    let words = &options.words.batch;
    let mut confidences: Vec<&str> = Vec::new();
    let mut reasons: Vec<(&str, Vec<String>)> = Vec::new();
    for facts in &batch.characteristics {
        for index in &facts.indices {
            if !confidences.contains(&&*index.confidence) {
                confidences.push(&index.confidence);
            }
        }
        for reason in facts.missing.iter().filter(|_| !has_section(facts)) {
            let number = facts.number.to_string();
            match reasons.iter_mut().find(|(known, _)| known == reason) {
                Some((_, numbers)) => numbers.push(number),
                None => reasons.push((reason, vec![number])),
            }
        }
    }
    let mut said: Vec<String> = confidences
        .iter()
        .map(|confidence| (words.intervals)(&percent(confidence)))
        .collect();
    if !batch.characteristics.iter().all(has_section) {
        said.push((words.few)(PARTS_MIN));
    }
    said.extend(reasons.iter().map(|(reason, numbers)| {
        let reason = marked(options, &shown(reason));
        format!("{} {}: {reason}", options.words.number, numbers.join(", "))
    }));
    said
}

/// What a stretch began with.
pub(super) fn began(options: &ReportOptions, stretch: &BatchStretch) -> String {
    let words = &options.words.batch;
    if stretch.breaks.is_empty() {
        return words.first_stretch.to_owned();
    }
    let one = |one: &BatchBreakRow| {
        let what = match one.kind.as_str() {
            "tool_changed" => words.tool_changed.to_owned(),
            "offset_applied" => (words.offset_applied)(&value(options, &one.amount)),
            other => format!("{} {}", shown(other), value(options, &one.amount)),
        };
        match one.note.as_str() {
            "" => what,
            note => format!("{what}: {}", shown(note)),
        }
    };
    let all: Vec<String> = stretch.breaks.iter().map(one).collect();
    all.join("; ")
}

/// Everything that no table and no chart says, what to do first.
pub(super) fn said(options: &ReportOptions, facts: &BatchFacts) -> Vec<Said> {
    let mut all = Vec::new();
    let strong = |text: &String| Said {
        text: marked(options, &shown(text)),
        is_strong: true,
    };
    all.extend(facts.advice.iter().map(strong));
    let mut say = |text: String| {
        all.push(Said {
            text,
            is_strong: false,
        });
    };
    if !is_controlled(facts) {
        signals(options, facts).into_iter().for_each(&mut say);
    }
    if !is_trend_drawn(facts) {
        trend(options, facts).into_iter().for_each(&mut say);
    }
    spread(options, facts).into_iter().for_each(&mut say);
    let words = &options.words.batch;
    if !facts.put_back.is_empty() {
        let (parts, more) = listed(&facts.put_back);
        say((words.put_back)(&parts, more));
    }
    for text in &facts.missing {
        say(marked(options, &shown(text)));
    }
    all
}

fn signals(options: &ReportOptions, facts: &BatchFacts) -> Vec<String> {
    let charts = options.words.charts;
    let told = facts.signals.iter().map(|signal| {
        let (mut places, more) = listed(&signal.parts);
        if more > 0 {
            let more = filled(charts.more, &[("n", &more.to_string())]);
            places = format!("{places} {more}");
        }
        let texts = [
            ("number", &*signal.test.to_string()),
            ("name", &*shown(&signal.name)),
            ("places", &*places),
        ];
        filled(charts.signal, &texts)
    });
    told.collect()
}

fn trend(options: &ReportOptions, facts: &BatchFacts) -> Vec<String> {
    let Some(trend) = &facts.trend else {
        return Vec::new();
    };
    let charts = options.words.charts;
    let number = |text: &str| value(options, text);
    let confidence = format!("{} %", percent(&trend.confidence));
    let texts = [
        ("slope", &*number(&trend.slope)),
        ("from", &*number(&trend.lower)),
        ("to", &*number(&trend.upper)),
        ("confidence", &*confidence),
    ];
    let slope = filled(charts.slope, &texts);
    match trend.is_beyond_chance {
        true => vec![slope],
        false => vec![format!("{slope} {}", charts.by_chance)],
    }
}

fn spread(options: &ReportOptions, facts: &BatchFacts) -> Vec<String> {
    let words = &options.words.batch;
    let number = |text: &str| value(options, text);
    let mut said = Vec::new();
    if let Some(share) = &facts.share {
        said.push((words.share)(
            &number(&share.seen),
            &number(&share.measuring),
            &percent(&share.share),
            &number(&share.parts),
        ));
    }
    if let Some(interval) = &facts.interval {
        said.push((words.interval)(
            &percent(&interval.share),
            &percent(&interval.confidence),
            &number(&interval.lower),
            &number(&interval.upper),
        ));
    }
    if let Some(found) = &facts.normality {
        let step = number(&found.step_over_sd);
        if found.is_too_coarse {
            said.push((words.too_coarse)(&step));
            return said;
        }
        let mut normal = vec![(words.fine_enough)(&step)];
        let tests = [
            (words.anderson_darling, &found.a2, &found.a2_p),
            (words.shapiro_wilk, &found.w, &found.w_p),
        ];
        for (tell, statistic, p) in tests {
            if p.is_empty() {
                continue;
            }
            let below = |bound: f64| p.parse::<f64>().is_ok_and(|chance| chance < bound);
            let told = match below(TINY) {
                true => words.tiny.to_owned(),
                false => number(p),
            };
            normal.push(tell(&number(statistic), &told, below(NORMAL_FROM)));
        }
        said.push(normal.join(" "));
    }
    said
}

/// The first of some parts, and how many more there are.
fn listed(parts: &[u32]) -> (String, usize) {
    let first: Vec<String> = parts.iter().take(PLACES_MAX).map(u32::to_string).collect();
    (first.join(", "), parts.len().saturating_sub(PLACES_MAX))
}

/// `0.95` as `95`; what is no such number stays as it is.
fn percent(share: &str) -> String {
    let digits = share.strip_prefix("0.").filter(|rest| rest.len() == 2);
    match (digits, share) {
        (Some(digits), _) => digits.strip_prefix('0').unwrap_or(digits).to_owned(),
        (None, "1.00") => "100".to_owned(),
        (None, other) => shown(other).into_owned(),
    }
}

/// A sentence that holds no text from outside, with the wanted mark in its numbers.
fn marked(options: &ReportOptions, sentence: &str) -> String {
    let mut chars: Vec<char> = sentence.chars().collect();
    if options.number("0.5") == "0.5" {
        return sentence.to_owned();
    }
    for at in 1..chars.len().saturating_sub(1) {
        let digits = [at - 1, at + 1].map(|at| chars.get(at).is_some_and(char::is_ascii_digit));
        if let Some(mark) = chars.get_mut(at).filter(|one| **one == '.')
            && digits == [true, true]
        {
            *mark = ',';
        }
    }
    chars.into_iter().collect()
}

/// The parts of a stretch: `1 to 24`; one that no part was measured in yet has its beginning.
pub(super) fn stretch_parts(options: &ReportOptions, stretch: &BatchStretch) -> String {
    let (from, to) = (stretch.from_part, stretch.to_part);
    let words = &options.words.batch;
    match to {
        0 => format!("{from} {} –", words.to),
        to => format!("{from} {} {to}", words.to),
    }
}

/// What is to be kept in mind of a stretch's limits.
pub(super) fn stretch_notes(options: &ReportOptions, stretch: &BatchStretch) -> String {
    let words = &options.words.batch;
    if stretch.centre.is_empty() {
        return words.no_control.to_owned();
    }
    let mut notes = Vec::new();
    if stretch.is_provisional {
        notes.push(words.provisional);
    }
    if stretch.is_coarse {
        notes.push(words.coarse);
    }
    notes.join("; ")
}
