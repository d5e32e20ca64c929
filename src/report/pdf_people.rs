//! What people did about a part: readings corrected, decisions, signatures; and its readings.

use super::options::ReportOptions;
use super::pdf_page::{Ink, Paper, SMALL_SIZE};
use super::pdf_table::{Cell, Column, Group, Table};
use super::pdf_text::Weight;
use super::row_texts::{listed, named, value};
use super::safe::shown;
use super::sheet::{DecisionRow, PartSheet, ReadingRow, SignatureRow};
use super::words::Words;

/// Ends of a reading that are corrections: what was measured and does not count.
const CORRECTED: [&str; 3] = ["voided", "set_aside", "held"];

/// What was measured and does not count, with what counts in its place.
pub(super) fn put_corrections(paper: &mut Paper<'_>, part: &PartSheet, options: &ReportOptions) {
    let is_corrected = |reading: &&ReadingRow| {
        reading.replaced_by > 0 || CORRECTED.contains(&reading.end.as_str())
    };
    let corrected = part.readings.iter().filter(is_corrected);
    let heading = (3, options.words.heading_corrections);
    put_readings(paper, heading, corrected, options);
}

/// Readings below their heading; nothing without any.
pub(super) fn put_readings<'s>(
    paper: &mut Paper<'_>,
    (level, heading): (u16, &str),
    readings: impl Iterator<Item = &'s ReadingRow>,
    options: &ReportOptions,
) {
    let words = options.words;
    let groups: Vec<Group> = readings
        .map(|one| vec![reading_row(options, one)])
        .collect();
    if groups.is_empty() {
        return;
    }
    let table = Table {
        summary: heading.to_owned(),
        columns: vec![
            Column::words(words.line, 0.6),
            Column::words(words.time, 1.75),
            Column::words(&format!("{}/{}", words.number, words.point), 0.95),
            Column::words(words.gauge, 1.3),
            Column::numbers(words.value, 1.3),
            Column::numbers(words.actual, 1.3),
            Column::words(words.state, 3.0),
        ],
        groups,
    };
    table.put_under(paper, level, &[]);
}

fn reading_row(options: &ReportOptions, one: &ReadingRow) -> Vec<Cell> {
    let words = options.words;
    let number = match (one.number, one.point) {
        (0, _) => "–".to_owned(),
        (number, 0) => number.to_string(),
        (number, point) => format!("{number}/{point}"),
    };
    let of_unit = |text: &str| match one.unit.as_str() {
        "check" => shown(words.outcome(text)).into_owned(),
        _ => value(options, text),
    };
    let replaced = match one.replaced_by {
        0 => String::new(),
        line => named(
            words.replaced_by,
            &format!("{} {line}", words.line.to_lowercase()),
        ),
    };
    let doubted = match one.doubted_by {
        0 => String::new(),
        line => format!("{} ({} {line})", words.in_doubt, words.line.to_lowercase()),
    };
    let degrees = |name: &str, text: &str| named(name, &value(options, text));
    let more = listed([
        named(words.reason, &shown(&one.reason)),
        named(words.by, &shown(&one.by)),
        replaced,
        named(words.before, &shown(&one.verdicts_before.join(", "))),
        named(words.held, &shown(&one.held)),
        shown(&one.taken).into_owned(),
        doubted,
        shown(&one.doubt).into_owned(),
        named(words.measured_by, &shown(&one.operator)),
        degrees(words.part_temperature, &one.part_temperature),
        degrees(words.gauge_temperature, &one.gauge_temperature),
        degrees(words.zero_offset, &one.zero_offset),
        named(words.stage, &shown(&one.stage)),
    ]);
    let unit = if one.unit == "in" { " in" } else { "" };
    let end = [words.end_of(&one.end), &one.verdict];
    let end = end.into_iter().filter(|text| !text.is_empty());
    let end = end.map(|text| shown(text).into_owned()).collect::<Vec<_>>();
    vec![
        Cell::text(&one.line.to_string()),
        Cell::default().below(&shown(&one.time)),
        Cell::text(&number),
        Cell::text(&shown(&one.gauge)).below(&shown(words.origin_of(&one.origin))),
        Cell::text(&format!("{}{unit}", of_unit(&one.value))).below(&shown(&one.raw)),
        Cell::text(&of_unit(&one.value_at_20)),
        Cell::bold(&end.join(", ")).below(&more),
    ]
}

/// What was decided about a part; nothing without any.
pub(super) fn put_decisions(paper: &mut Paper<'_>, part: &PartSheet, options: &ReportOptions) {
    let words = options.words;
    if part.decisions.is_empty() {
        return;
    }
    let group = |one: &DecisionRow| {
        let withdrawn = match one.withdrawn_by {
            0 => String::new(),
            line => format!("{} {line}", words.withdrawn_by),
        };
        vec![vec![
            Cell::text(&one.line.to_string()),
            Cell::default().below(&shown(&one.time)),
            Cell::bold(&shown(words.decision(&one.what)))
                .below(&format!("{}: {}", words.about, about(words, one)))
                .below(&withdrawn),
            Cell::text(&shown(words.or_not_recorded(&one.reason))),
            Cell::text(&shown(words.or_not_recorded(&one.by)))
                .below(&named(words.agreed_with, &shown(&one.agreed_with))),
        ]]
    };
    let table = Table {
        summary: words.heading_decisions.to_owned(),
        columns: vec![
            Column::words(words.line, 0.6),
            Column::words(words.time, 2.45),
            Column::words(words.decided, 2.0),
            Column::words(words.reason, 3.1),
            Column::words(words.by, 2.15),
        ],
        groups: part.decisions.iter().map(group).collect(),
    };
    table.put_under(paper, 3, &[]);
}

/// What a decision is about: feature and number, or the whole part.
fn about(words: &Words, one: &DecisionRow) -> String {
    match (one.about.as_str(), one.number) {
        ("", _) => words.whole_part.to_owned(),
        (about, 0) => shown(about).into_owned(),
        (about, number) => format!("{number} ({})", shown(about)),
    }
}

/// Signatures below their heading; nothing without any.
pub(super) fn put_signatures(
    paper: &mut Paper<'_>,
    heading: (u16, &str),
    signatures: &[SignatureRow],
    options: &ReportOptions,
) {
    let words = options.words;
    if signatures.is_empty() {
        return;
    }
    let group = |one: &SignatureRow| {
        let lapsed = match (one.has_lapsed, one.lapsed_by) {
            (false, _) => String::new(),
            (true, 0) => words.signature_lapsed.to_owned(),
            (true, line) => {
                format!(
                    "{} ({} {line})",
                    words.signature_lapsed,
                    words.line.to_lowercase()
                )
            }
        };
        let left: Vec<_> = one
            .left
            .iter()
            .map(|text| shown(text).into_owned())
            .collect();
        vec![vec![
            Cell::text(&one.line.to_string()),
            Cell::default().below(&shown(&one.time)),
            Cell::bold(&shown(words.meaning(&one.meaning)))
                .below(&shown(words.manner(&one.manner)))
                .and(&lapsed, Weight::Bold, SMALL_SIZE, Ink::Black),
            Cell::bold(&shown(words.or_not_recorded(&one.by)))
                .below(&named(words.reason, &shown(&one.reason)))
                .below(&named(words.left, &left.join(", "))),
            Cell::text(&format!("{} {}", words.covers, one.covers)).below(&shown(&one.hash)),
        ]]
    };
    let (level, text) = heading;
    let table = Table {
        summary: text.to_owned(),
        columns: vec![
            Column::words(words.line, 0.6),
            Column::words(words.time, 2.45),
            Column::words(words.signed, 1.75),
            Column::words(words.by, 2.2),
            Column::words(words.record, 3.3),
        ],
        groups: signatures.iter().map(group).collect(),
    };
    table.put_under(paper, level, &[]);
}
