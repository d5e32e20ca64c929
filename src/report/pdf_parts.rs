//! A part's pages: results, checks, corrections, decisions, signatures, readings.

use super::options::ReportOptions;
use super::pdf_bar::{BAR_HEIGHT, BAR_WIDTH, bar_ops};
use super::pdf_front::put_notice;
use super::pdf_page::{Ink, Paper, SMALL_SIZE, TEXT_SIZE};
use super::pdf_people::{put_corrections, put_decisions, put_readings, put_signatures};
use super::pdf_rows::{Common, called, detail, listed, value};
use super::pdf_table::{Align, Cell, Column, Group, Picture, Plate, Table};
use super::pdf_text::Weight;
use super::safe::shown;
use super::sheet::{Asked, PartSheet, ResultRow, Sheet};

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
    let keep = results
        .as_ref()
        .map_or(60.0, |(table, _)| table.keep(paper.faces, &told));
    paper.heading(2, &format!("{title}: {standing}"), 12.0, keep + 45.0);
    let has_origin = |origin: &str| {
        let results = part.results.iter().map(|row| &row.origin);
        let mut all = results.chain(part.readings.iter().map(|row| &row.origin));
        all.any(|one| one == origin)
    };
    for (origin, notice) in [
        ("simulated", words.was_simulated),
        ("imported", words.was_imported),
    ] {
        if has_origin(origin) {
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
        let asked = sheet
            .asked
            .iter()
            .find(|asked| asked.number == row.number)?;
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
            Column::words(words.number, 0.66),
            Column::words(words.characteristic, 2.25),
            Column::numbers(words.lower, 1.1),
            Column::numbers(words.upper, 1.1),
            Column::numbers(words.actual, 1.5),
            Column::new(words.deviation, 1.65, Align::Centre),
            Column::numbers(words.u, 1.3),
            Column::words(words.gauge, 1.5),
            Column::new(words.verdict, 1.4, Align::Centre),
        ],
        groups: rows.into_iter().map(group).collect(),
    };
    Some((
        table,
        vec![told(&common, options), words.bar_key.to_owned()],
    ))
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
    // The two stay in one line.
    let nominal = match value(options, &asked.nominal).as_str() {
        "" => String::new(),
        nominal => format!("{}:\u{a0}{nominal}", words.nominal),
    };
    let stage = match asked.is_earlier_stage {
        true => words.earlier_stage.to_owned(),
        false => String::new(),
    };
    let first = vec![
        Cell::bold(&asked.number.to_string()),
        Cell::bold(&shown(&asked.callout)).below(&listed([called(words, asked), nominal, stage])),
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
