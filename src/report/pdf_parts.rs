//! A part's pages: results, checks, corrections, decisions, signatures, readings.

use super::options::ReportOptions;
use super::pdf_page::{Ink, Op, Paper, SMALL_SIZE, TEXT_SIZE};
use super::pdf_rows::{Common, called, detail, listed, named, time_shown, value};
use super::pdf_table::{Align, Cell, Column, Group, Picture, Plate, Table};
use super::pdf_text::Weight;
use super::safe::shown;
use super::sheet::{Asked, Bar, DecisionRow, PartSheet, ReadingRow, ResultRow, Sheet};

/// Width of a bar in its column, points.
const BAR_WIDTH: f32 = 62.0;
/// Height of a bar, points.
const BAR_HEIGHT: f32 = 12.0;
/// Where the limits stand in a bar, over its width.
const BAR_LIMIT: f32 = 0.16;
/// Ends of a reading that are corrections: what was measured and does not count.
const CORRECTED: [&str; 3] = ["voided", "set_aside", "held"];

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
    let standing = shown(words.or_not_recorded(&part.standing));
    paper.heading(2, &format!("{title}: {standing}"), 12.0, 90.0);
    for note in &part.job_notes {
        paper.item(&shown(note), TEXT_SIZE);
    }
    put_results(paper, sheet, part, options);
    put_checks(paper, sheet, part, options);
    put_corrections(paper, part, options);
    put_decisions(paper, part, options);
    put_signatures(paper, part, options);
    if options.with_readings {
        put_readings(paper, words.heading_readings, part.readings.iter(), options);
    }
}

/// The rows of a part that are checks, or that are not.
fn rows<'s>(
    sheet: &'s Sheet,
    part: &'s PartSheet,
    checks: bool,
) -> Vec<(&'s Asked, &'s ResultRow)> {
    let find = |row: &'s ResultRow| {
        let asked = sheet
            .asked
            .iter()
            .find(|asked| asked.number == row.number)?;
        ((asked.unit == "check") == checks).then_some((asked, row))
    };
    part.results.iter().filter_map(find).collect()
}

fn put_results(paper: &mut Paper<'_>, sheet: &Sheet, part: &PartSheet, options: &ReportOptions) {
    let words = options.words;
    let rows = rows(sheet, part, false);
    if rows.is_empty() {
        return;
    }
    let common = Common::of(part);
    paper.heading(3, words.heading_results, 9.5, 60.0);
    let told = common.told(options);
    if !told.is_empty() {
        paper.paragraph(&told, Weight::Regular, SMALL_SIZE, Ink::Grey);
        paper.y += 3.0;
    }
    let group = |(asked, row): (&Asked, &ResultRow)| result_group(options, asked, row, &common);
    let table = Table {
        summary: words.heading_results.to_owned(),
        columns: vec![
            Column::words(words.number, 0.52),
            Column::words(words.characteristic, 2.4),
            Column::numbers(words.lower, 1.15),
            Column::numbers(words.upper, 1.15),
            Column::numbers(words.actual, 1.25),
            Column::new(words.deviation, 1.6, Align::Centre),
            Column::numbers(words.u, 1.2),
            Column::words(words.gauge, 1.25),
            Column::new(words.verdict, 1.5, Align::Centre),
        ],
        groups: rows.into_iter().map(group).collect(),
    };
    table.put(paper);
}

fn result_group(
    options: &ReportOptions,
    asked: &Asked,
    row: &ResultRow,
    common: &Common<'_>,
) -> Group {
    let words = options.words;
    let limit = |text: &str| match text {
        "" => Cell::text("–"),
        text => Cell::text(&value(options, text)),
    };
    let is_measured = !row.actual.is_empty();
    let actual = if is_measured {
        Cell::bold(&value(options, &row.actual))
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
    let nominal = value(options, &asked.nominal);
    let first = vec![
        Cell::bold(&asked.number.to_string()),
        Cell::bold(&shown(&asked.callout))
            .below(&called(words, asked))
            .below(&named(words.nominal, &nominal)),
        limit(&asked.lower),
        limit(&asked.upper),
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
            Cell::default().below(&detail).over(8),
        ]);
    }
    group
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

/// The limits as two ticks, what lies between as a band, the uncertainty as a line, the value as a
/// mark whose shape says the verdict.
fn bar_ops(bar: Bar, verdict: &str) -> Vec<Op> {
    let place = |thousandths: i32| {
        // A little beyond the limits can still be told; what is farther stands at the end.
        #[allow(clippy::cast_precision_loss)] // a place on paper
        let share = thousandths.clamp(-240, 1240) as f32 / 1000.0;
        BAR_WIDTH * (BAR_LIMIT + share * (1.0 - 2.0 * BAR_LIMIT))
    };
    let (lower, upper, at) = (place(0), place(1000), place(bar.at));
    let middle = BAR_HEIGHT * 0.5;
    let mut ops = vec![
        Op::rule((0.0, middle), (BAR_WIDTH, middle), 0.4, Ink::Line),
        Op::rect(lower, middle - 3.0, upper - lower, 6.0, Ink::Tint),
        Op::rule(
            (place(500), middle - 3.0),
            (place(500), middle + 3.0),
            0.3,
            Ink::Line,
        ),
        Op::rule(
            (lower, middle - 5.0),
            (lower, middle + 5.0),
            0.9,
            Ink::Black,
        ),
        Op::rule(
            (upper, middle - 5.0),
            (upper, middle + 5.0),
            0.9,
            Ink::Black,
        ),
    ];
    if bar.half_width > 0 {
        let from = place(bar.at.saturating_sub(bar.half_width));
        let to = place(bar.at.saturating_add(bar.half_width));
        ops.push(Op::rule((from, middle), (to, middle), 1.2, Ink::Black));
        for end in [from, to] {
            ops.push(Op::rule(
                (end, middle - 2.0),
                (end, middle + 2.0),
                0.8,
                Ink::Black,
            ));
        }
    }
    let around = |points: [(f32, f32); 4], fill| Op::Shape {
        points: points.map(|(x, y)| (at + x, middle + y)).to_vec(),
        fill: Some(fill),
        edge: Some((0.8, Ink::Black)),
    };
    let diamond = [(0.0, -3.2), (3.2, 0.0), (0.0, 3.2), (-3.2, 0.0)];
    let square = [(-2.6, -2.6), (2.6, -2.6), (2.6, 2.6), (-2.6, 2.6)];
    ops.push(match verdict {
        "GO" | "INSIDE" => Op::Pill {
            left: at - 2.6,
            top: middle - 2.6,
            width: 5.2,
            height: 5.2,
            fill: Ink::White,
            edge: Some((1.0, Ink::Black)),
        },
        "NO-GO" => around(square, Ink::Black),
        _ => around(diamond, Ink::White),
    });
    ops
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
    let common = Common::of(part);
    let group = |(asked, row): (&Asked, &ResultRow)| {
        let is_measured = !row.actual.is_empty();
        let outcome = match (is_measured, row.is_selected) {
            (true, _) => Cell::bold(&shown(words.outcome(&row.actual))),
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
    paper.heading(3, words.heading_checks, 9.5, 60.0);
    let table = Table {
        summary: words.heading_checks.to_owned(),
        columns: vec![
            Column::words(words.number, 0.52),
            Column::words(words.characteristic, 3.6),
            Column::words(words.state, 2.4),
            Column::words(words.gauge, 2.4),
            Column::new(words.verdict, 1.8, Align::Centre),
        ],
        groups: rows.into_iter().map(group).collect(),
    };
    table.put(paper);
}

/// What was measured and does not count, with what counts in its place.
fn put_corrections(paper: &mut Paper<'_>, part: &PartSheet, options: &ReportOptions) {
    let is_corrected = |reading: &&ReadingRow| {
        reading.replaced_by > 0 || CORRECTED.contains(&reading.end.as_str())
    };
    let corrected = part.readings.iter().filter(is_corrected);
    put_readings(paper, options.words.heading_corrections, corrected, options);
}

fn put_readings<'s>(
    paper: &mut Paper<'_>,
    heading: &str,
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
    paper.heading(3, heading, 9.5, 60.0);
    let table = Table {
        summary: heading.to_owned(),
        columns: vec![
            Column::words(words.line, 0.6),
            Column::words(words.time, 1.5),
            Column::words(&format!("{}/{}", words.number, words.point), 0.9),
            Column::words(words.gauge, 1.3),
            Column::numbers(words.value, 1.3),
            Column::numbers(words.actual, 1.3),
            Column::words(words.state, 3.0),
        ],
        groups,
    };
    table.put(paper);
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
    let degrees = |name: &str, text: &str| named(name, &value(options, text));
    let more = listed([
        named(words.reason, &shown(&one.reason)),
        named(words.by, &shown(&one.by)),
        replaced,
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
        Cell::default().below(&time_shown(&one.time)),
        Cell::text(&number),
        Cell::text(&shown(&one.gauge)).below(&shown(words.origin_of(&one.origin))),
        Cell::text(&format!("{}{unit}", of_unit(&one.value))).below(&shown(&one.raw)),
        Cell::text(&of_unit(&one.value_at_20)),
        Cell::bold(&end.join(", ")).below(&more),
    ]
}

fn put_decisions(paper: &mut Paper<'_>, part: &PartSheet, options: &ReportOptions) {
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
            Cell::default().below(&time_shown(&one.time)),
            Cell::bold(&shown(words.decision(&one.what)))
                .below(&shown(&one.about))
                .below(&withdrawn),
            Cell::text(&shown(words.or_not_recorded(&one.reason))),
            Cell::text(&shown(words.or_not_recorded(&one.by)))
                .below(&named(words.agreed_with, &shown(&one.agreed_with))),
        ]]
    };
    paper.heading(3, words.heading_decisions, 9.5, 50.0);
    let table = Table {
        summary: words.heading_decisions.to_owned(),
        columns: vec![
            Column::words(words.line, 0.6),
            Column::words(words.time, 1.5),
            Column::words(words.heading_decisions, 2.4),
            Column::words(words.reason, 3.4),
            Column::words(words.by, 2.2),
        ],
        groups: part.decisions.iter().map(group).collect(),
    };
    table.put(paper);
}

fn put_signatures(paper: &mut Paper<'_>, part: &PartSheet, options: &ReportOptions) {
    let words = options.words;
    if part.signatures.is_empty() {
        return;
    }
    let group = |one: &super::sheet::SignatureRow| {
        let lapsed = if one.has_lapsed {
            words.signature_lapsed
        } else {
            ""
        };
        let left: Vec<_> = one
            .left
            .iter()
            .map(|text| shown(text).into_owned())
            .collect();
        vec![vec![
            Cell::text(&one.line.to_string()),
            Cell::default().below(&time_shown(&one.time)),
            Cell::bold(&shown(words.meaning(&one.meaning)))
                .below(&shown(words.manner(&one.manner)))
                .and(lapsed, Weight::Bold, SMALL_SIZE, Ink::Black),
            Cell::bold(&shown(words.or_not_recorded(&one.by)))
                .below(&named(words.reason, &shown(&one.reason)))
                .below(&named(words.left, &left.join(", "))),
            Cell::text(&format!("{} {}", words.covers, one.covers)).below(&shown(&one.hash)),
        ]]
    };
    paper.heading(3, words.heading_signatures, 9.5, 50.0);
    let table = Table {
        summary: words.heading_signatures.to_owned(),
        columns: vec![
            Column::words(words.line, 0.6),
            Column::words(words.time, 1.5),
            Column::words(words.signed, 2.0),
            Column::words(words.by, 2.6),
            Column::words(words.record, 3.4),
        ],
        groups: part.signatures.iter().map(group).collect(),
    };
    table.put(paper);
}
