//! A part's pages: results, checks, corrections, decisions, signatures, readings.

use super::options::ReportOptions;
use super::pdf_bar::{BAR_HEIGHT, BAR_WIDTH, bar_ops};
use super::pdf_front::put_notice;
use super::pdf_page::{Ink, Paper, SMALL_SIZE, TEXT_SIZE};
use super::pdf_people::{put_corrections, put_decisions, put_readings, put_signatures};
use super::pdf_table::{Align, Cell, Column, Group, Picture, Plate, Table};
use super::pdf_text::{Faces, Weight};
use super::row_texts::{Common, called, detail, is_marked, listed, value};
use super::safe::shown;
use super::sheet::{Asked, PartSheet, ResultRow, Sheet};
use super::words::Words;

/// Columns of the table of results, points: together the width of the page. That of the limits has
/// the upper over the lower one, as on a drawing; the words of a characteristic have the room.
const NUMBER: f32 = 24.0;
const CHARACTERISTIC: f32 = 126.0;
const LIMITS: f32 = 56.0;
const ACTUAL: f32 = 62.0;
const DEVIATION: f32 = 70.0;
const UNCERTAINTY: f32 = 48.0;
const GAUGE: f32 = 64.0;
const VERDICT: f32 = 60.0;

/// What a part's heading takes beside what is kept with it: itself, and the heading of its table.
const HEADINGS: f32 = 45.0;

/// What of a page the beginning of a part takes, with the first of its results.
pub(super) fn beginning(
    faces: &Faces,
    sheet: &Sheet,
    part: &PartSheet,
    options: &ReportOptions,
) -> f32 {
    const HEADING: f32 = 40.0;
    HEADING + HEADINGS + kept(faces, results(sheet, part, options).as_ref())
}

/// The height from below the heading of a part's results to the end of the first one.
fn kept(faces: &Faces, results: Option<&(Table, Vec<String>)>) -> f32 {
    results.map_or(60.0, |(table, told)| {
        let told: Vec<&str> = told.iter().map(String::as_str).collect();
        table.keep(faces, &told)
    })
}

/// Everything about one part.
pub(super) fn put(paper: &mut Paper<'_>, sheet: &Sheet, part: &PartSheet, options: &ReportOptions) {
    let words = options.words;
    let mut title = format!("{} {}", words.part, part.number);
    if !part.serial.is_empty() {
        title = format!(
            "{title}, {} {}",
            words.serial.to_lowercase(),
            shown(&part.serial)
        );
    }
    let standing = words.stands(words.or_not_recorded(&part.standing), &sheet.record);
    let standing = shown(&standing);
    let results = results(sheet, part, options);
    let told: Vec<&str> = results
        .iter()
        .flat_map(|(_, told)| told)
        .map(String::as_str)
        .collect();
    // The heading of the results, and notices before it.
    let keep = kept(paper.faces, results.as_ref());
    paper.heading(2, &format!("{title}: {standing}"), 12.0, keep + HEADINGS);
    for (origin, notice) in [
        ("simulated", words.was_simulated),
        ("imported", words.was_imported),
    ] {
        if part.has_origin(origin) {
            put_notice(paper, notice);
            paper.y += 4.0;
        }
    }
    for doubt in &part.doubts {
        put_notice(paper, &shown(doubt));
        paper.y += 4.0;
    }
    for note in &part.job_notes {
        paper.item(&shown(note), TEXT_SIZE);
    }
    if let Some((table, _)) = &results {
        table.put_under(paper, 3, &told);
    }
    put_checks(paper, sheet, part, options);
    put_corrections(paper, part, options);
    put_decisions(paper, part, options);
    let heading = (3, words.heading_signatures);
    put_signatures(paper, heading, &part.signatures, options);
    if options.with_readings {
        let heading = (3, words.heading_readings);
        put_readings(paper, heading, part.readings.iter(), options);
    }
}

/// The rows of a part that are checks, or that are not.
fn rows<'s>(
    sheet: &'s Sheet,
    part: &'s PartSheet,
    checks: bool,
) -> Vec<(&'s Asked, &'s ResultRow)> {
    let find = |row: &'s ResultRow| {
        let asked = sheet.asked_under(row.number)?;
        ((asked.unit == "check") == checks).then_some((asked, row))
    };
    part.results.iter().filter_map(find).collect()
}

/// The table of results, and what holds for all its rows; none without any.
fn results(
    sheet: &Sheet,
    part: &PartSheet,
    options: &ReportOptions,
) -> Option<(Table, Vec<String>)> {
    let words = options.words;
    let rows = rows(sheet, part, false);
    if rows.is_empty() {
        return None;
    }
    let common = Common::of(&rows);
    let group = |(asked, row): (&Asked, &ResultRow)| result_group(options, asked, row, &common);
    let table = Table {
        summary: words.heading_results.to_owned(),
        columns: vec![
            Column::words(words.number, NUMBER),
            Column::words(words.characteristic, CHARACTERISTIC),
            Column::numbers(&format!("{}\n{}", words.upper, words.lower), LIMITS),
            Column::numbers(words.actual, ACTUAL),
            Column::new(words.deviation, DEVIATION, Align::Centre),
            Column::numbers(words.u, UNCERTAINTY),
            Column::words(words.gauge, GAUGE),
            Column::new(words.verdict, VERDICT, Align::Centre),
        ],
        groups: rows.into_iter().map(group).collect(),
    };
    let mut above = vec![told(&common, options)];
    if is_first_with_results(sheet, part) {
        above.push(words.bar_key.to_owned());
    }
    Some((table, above))
}

/// Whether the key to the bars stands above the results of that part: once in a report.
fn is_first_with_results(sheet: &Sheet, part: &PartSheet) -> bool {
    let mut parts = sheet.parts.iter();
    let first = parts.find(|part| !rows(sheet, part, false).is_empty());
    first.is_some_and(|first| std::ptr::eq(first, part))
}

/// What holds for the rows of a table that say nothing else.
fn told(common: &Common<'_>, options: &ReportOptions) -> String {
    match common.told(options) {
        text if text.is_empty() => text,
        text => format!("{}: {text}", options.words.unless),
    }
}

fn result_group(
    options: &ReportOptions,
    asked: &Asked,
    row: &ResultRow,
    common: &Common<'_>,
) -> Group {
    let words = options.words;
    let limit = |text: &str| match text {
        "" => "–".to_owned(),
        text => value(options, text),
    };
    let lower = limit(&asked.lower);
    let limits = Cell::text(&limit(&asked.upper));
    let limits = limits.and(&lower, Weight::Regular, TEXT_SIZE, Ink::Black);
    let is_measured = !row.actual.is_empty();
    let actual = if is_measured {
        marked(words, row, Cell::bold(&value(options, &row.actual)))
    } else if row.is_selected {
        Cell::default().below(words.not_measured)
    } else {
        Cell::default().below(words.not_selected)
    };
    let u = match (is_measured, row.u.as_str()) {
        (false, _) => Cell::default(),
        (true, "") => Cell::default().below(words.uncertainty_not_considered),
        (true, u) => Cell::text(&value(options, u)),
    };
    let gauge = if is_measured {
        Cell::text(&shown(words.or_not_recorded(&row.gauge)))
            .below(&shown(words.method_of(&row.method)))
    } else {
        Cell::default()
    };
    // The two stay in one line.
    let nominal = match value(options, &asked.nominal).as_str() {
        "" => String::new(),
        nominal => format!("{}:\u{a0}{nominal}", words.nominal),
    };
    let stage = match (asked.is_earlier_stage, asked.is_suited) {
        (true, _) => words.earlier_stage.to_owned(),
        (false, true) => words.told.suited_limits.to_owned(),
        (false, false) => String::new(),
    };
    let first = vec![
        Cell::bold(&asked.number.to_string()),
        Cell::bold(&shown(&asked.callout)).below(&listed([called(words, asked), nominal, stage])),
        limits,
        actual,
        deviation(options, row),
        u,
        gauge,
        verdict(options, row),
    ];
    let detail = detail(options, asked, row, common);
    let mut group = vec![first];
    if !detail.is_empty() {
        group.push(vec![
            Cell::default(),
            Cell::default().below(&detail).over(7),
        ]);
    }
    group
}

/// A value with its origin below it where no gauge sent it and nobody read it here: it is to be
/// recognised at the value itself.
fn marked(words: &Words, row: &ResultRow, value: Cell) -> Cell {
    if !is_marked(&row.origin) {
        return value;
    }
    let origin = shown(words.origin_of(&row.origin)).into_owned();
    value.and(&origin, Weight::Bold, SMALL_SIZE, Ink::Black)
}

fn deviation(options: &ReportOptions, row: &ResultRow) -> Cell {
    let text = value(options, &row.deviation);
    let mut cell = Cell::default().and(&text, Weight::Regular, SMALL_SIZE, Ink::Black);
    cell.picture = row.bar.map(|bar| Picture {
        width: BAR_WIDTH,
        height: BAR_HEIGHT,
        ops: bar_ops(bar, &row.verdict),
        alt: format!("{}: {text}", options.words.deviation),
    });
    cell
}

fn verdict(options: &ReportOptions, row: &ResultRow) -> Cell {
    let words = options.words;
    if row.verdict.is_empty() {
        let text = if row.is_selected {
            "–"
        } else {
            words.not_selected
        };
        return Cell::default().below(text);
    }
    let cell = Cell::bold(&shown(&row.verdict));
    let cell = match row.verdict.as_str() {
        "GO" => cell,
        "NO-GO" => cell.on(Plate::Full),
        "DOUBT" => cell.on(Plate::Frame),
        _ => cell.on(Plate::Tint),
    };
    let side = match row.side.as_str() {
        "inside" => "",
        side => words.side(side),
    };
    let concession = row.concession.map(|line| {
        format!(
            "{}, {} {line}",
            words.under_concession,
            words.line.to_lowercase()
        )
    });
    cell.below(&shown(side))
        .below(if row.is_in_doubt { words.in_doubt } else { "" })
        .below(&concession.unwrap_or_default())
}

fn put_checks(paper: &mut Paper<'_>, sheet: &Sheet, part: &PartSheet, options: &ReportOptions) {
    let words = options.words;
    let rows = rows(sheet, part, true);
    if rows.is_empty() {
        return;
    }
    let common = Common::of(&rows);
    let told = told(&common, options);
    let group = |(asked, row): (&Asked, &ResultRow)| {
        let is_measured = !row.actual.is_empty();
        let outcome = match (is_measured, row.is_selected) {
            (true, _) => {
                let cell = Cell::bold(&shown(words.outcome(&row.actual)));
                marked(words, row, cell)
            }
            (false, true) => Cell::default().below(words.not_measured),
            (false, false) => Cell::default().below(words.not_selected),
        };
        let gauge = if is_measured {
            Cell::text(&shown(words.or_not_recorded(&row.gauge)))
                .below(&shown(words.method_of(&row.method)))
        } else {
            Cell::default()
        };
        let first = vec![
            Cell::bold(&asked.number.to_string()),
            Cell::bold(&shown(&asked.callout)).below(&called(words, asked)),
            outcome,
            gauge,
            verdict(options, row),
        ];
        let detail = detail(options, asked, row, &common);
        let mut group = vec![first];
        if !detail.is_empty() {
            group.push(vec![
                Cell::default(),
                Cell::default().below(&detail).over(4),
            ]);
        }
        group
    };
    let table = Table {
        summary: words.heading_checks.to_owned(),
        columns: vec![
            Column::words(words.number, 0.66),
            Column::words(words.characteristic, 3.6),
            Column::words(words.state, 2.4),
            Column::words(words.gauge, 2.4),
            Column::new(words.verdict, 1.8, Align::Centre),
        ],
        groups: rows.into_iter().map(group).collect(),
    };
    table.put_under(paper, 3, &[&told]);
}
