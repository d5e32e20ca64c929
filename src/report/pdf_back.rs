//! The last pages: gauges, what else happened, where the limits come from, what to keep in mind,
//! and the record with its whole hash.

use super::options::ReportOptions;
use super::pdf_front::put_facts;
use super::pdf_page::{BODY_WIDTH, Ink, MARGIN, Op, Paper, Role, SMALL_SIZE, TEXT_SIZE, base};
use super::pdf_people::{put_readings, put_signatures};
use super::pdf_table::{Cell, Column, Table};
use super::pdf_text::{Line, Weight};
use super::row_texts::{called, named, value};
use super::safe::shown;
use super::sheet::{Asked, GaugeFacts, Happening, Sheet};
use super::words::Words;

/// Everything that is said once for all parts.
pub(super) fn put(paper: &mut Paper<'_>, sheet: &Sheet, options: &ReportOptions) {
    let words = options.words;
    put_gauges(paper, sheet, options);
    put_happenings(paper, sheet, options);
    if options.with_readings {
        let heading = (2, words.heading_other_readings);
        put_readings(paper, heading, sheet.record.other_readings.iter(), options);
    }
    let heading = (2, words.heading_session_signed);
    put_signatures(paper, heading, &sheet.record.signatures, options);
    put_why(paper, sheet, options);
    put_list(paper, words.heading_cautions, words.cautions);
    put_list(paper, words.heading_not, words.what_it_is_not);
    put_record(paper, sheet, options);
}

fn put_gauges(paper: &mut Paper<'_>, sheet: &Sheet, options: &ReportOptions) {
    let words = options.words;
    if sheet.gauges.is_empty() {
        return;
    }
    let or_not = |text: &str| shown(words.or_not_recorded(text)).into_owned();
    let count = |name: &str, count: u64| match count {
        0 => String::new(),
        count => named(name, &count.to_string()),
    };
    let group = |one: &GaugeFacts| {
        let overdue = if one.was_overdue {
            words.was_overdue
        } else {
            ""
        };
        let method = match one.method.as_str() {
            "" => String::new(),
            method => shown(words.method_of(method)).into_owned(),
        };
        let first = vec![
            Cell::bold(&shown(&one.id)).below(&named(words.serial, &shown(&one.serial))),
            Cell::text(&or_not(&one.kind))
                .below(&shown(&one.callout))
                .below(&method)
                .below(&named(words.resolution, &value(options, &one.resolution))),
            Cell::text(&or_not(&one.calibrated))
                .below(&named(words.certificate, &shown(&one.certificate)))
                .below(&named(words.due, &or_not(&one.due)))
                .and(overdue, Weight::Bold, SMALL_SIZE, Ink::Black),
            Cell::text(&or_not(&one.error_basis)),
            Cell::text(&or_not(&one.zero)).below(&named(words.set_on, &shown(&one.set_on))),
            Cell::text(&or_not(&one.source))
                .below(&count(words.readings, one.readings))
                .below(&count(words.refused, one.refused)),
        ];
        let mut group = vec![first];
        for remark in &one.remarks {
            group.push(vec![
                Cell::default(),
                Cell::default().below(&shown(remark)).over(5),
            ]);
        }
        group
    };
    let table = Table {
        summary: words.heading_gauges.to_owned(),
        columns: vec![
            Column::words(words.gauge, 1.3),
            Column::words(words.gauge_kind, 1.4),
            Column::words(words.calibrated, 1.7),
            Column::words(words.error_basis, 1.7),
            Column::words(words.zero, 2.1),
            Column::words(words.source, 1.4),
        ],
        groups: sheet.gauges.iter().map(group).collect(),
    };
    table.put_under(paper, 2, &[]);
}

fn put_happenings(paper: &mut Paper<'_>, sheet: &Sheet, options: &ReportOptions) {
    let words = options.words;
    if sheet.happenings.is_empty() {
        return;
    }
    let group = |one: &Happening| {
        let part = match one.part {
            0 => "–".to_owned(),
            part => part.to_string(),
        };
        vec![vec![
            Cell::text(&one.line.to_string()),
            Cell::default().below(&shown(&one.time)),
            Cell::text(&part),
            Cell::text(&shown(&one.what)),
        ]]
    };
    let table = Table {
        summary: words.heading_happenings.to_owned(),
        columns: vec![
            Column::words(words.line, 0.6),
            Column::words(words.time, 2.4),
            Column::words(words.part, 0.6),
            Column::words(words.what, 6.4),
        ],
        groups: sheet.happenings.iter().map(group).collect(),
    };
    table.put_under(paper, 2, &[]);
}

fn put_why(paper: &mut Paper<'_>, sheet: &Sheet, options: &ReportOptions) {
    let words = options.words;
    if sheet.asked.is_empty() {
        return;
    }
    let group = |one: &Asked| {
        let places: Vec<_> = one
            .places
            .iter()
            .map(|place| shown(place).into_owned())
            .collect();
        let points = match one.points {
            0 | 1 => String::new(),
            points => named(words.points, &points.to_string()),
        };
        let every = match one.every {
            0 | 1 => String::new(),
            every => format!("{} {every}", words.every),
        };
        let mut why = Cell::default();
        for sentence in &one.why {
            why = why.and(
                &shown(sentence),
                Weight::Regular,
                SMALL_SIZE + 0.5,
                Ink::Black,
            );
        }
        if one.why.is_empty() {
            why = why.below(words.not_recorded);
        }
        vec![vec![
            Cell::bold(&one.number.to_string()),
            Cell::bold(&shown(&one.callout))
                .below(&called(words, one))
                .below(&points)
                .below(&named(words.place, &places.join(", ")))
                .below(&every),
            why,
        ]]
    };
    let table = Table {
        summary: words.heading_why.to_owned(),
        columns: vec![
            Column::words(words.number, 0.5),
            Column::words(words.characteristic, 2.6),
            Column::words(words.heading_why, 6.9),
        ],
        groups: sheet.asked.iter().map(group).collect(),
    };
    table.put_under(paper, 2, &[]);
}

fn put_list(paper: &mut Paper<'_>, heading: &str, sentences: &[&str]) {
    if sentences.is_empty() {
        return;
    }
    paper.heading(2, heading, 12.0, 45.0);
    for sentence in sentences {
        paper.item(sentence, TEXT_SIZE);
    }
}

fn put_record(paper: &mut Paper<'_>, sheet: &Sheet, options: &ReportOptions) {
    let words = options.words;
    let record = &sheet.record;
    paper.heading(2, words.heading_record, 12.0, 140.0);
    let findings = match record.findings.is_empty() {
        true => words.no_findings.to_owned(),
        false => record.findings.join(" "),
    };
    let elsewhere = match record.elsewhere.is_empty() {
        true => words.elsewhere_not_looked.to_owned(),
        false => record.elsewhere.join(" "),
    };
    let parts = match record.parts {
        0 => String::new(),
        parts => parts.to_string(),
    };
    let closed = match &record.closed {
        Some(reason) => reason.as_str(),
        None => words.not_closed,
    };
    let facts = [
        (words.files, record.files.join(", ")),
        (
            words.record_state,
            words.state_of_record(&record.state).to_owned(),
        ),
        (words.opened, record.opened.clone()),
        (words.last, record.last.clone()),
        (words.closed, closed.to_owned()),
        (words.programs, record.programs.join(", ")),
        (words.tables, record.tables.clone()),
        (words.parts_in_record, parts),
        (words.findings, findings),
        (words.elsewhere, elsewhere),
    ];
    let facts = facts.map(|(name, text)| {
        let text = shown(words.or_not_recorded(&text)).into_owned();
        (name.to_owned(), text)
    });
    put_facts(paper, &facts);
    put_code_points(paper, words);
    put_hash(paper, sheet, options);
}

/// Says so where a character stands as its code point.
fn put_code_points(paper: &mut Paper<'_>, words: &Words) {
    if paper.faces.has_escaped() {
        let text = words.as_code_points;
        paper.paragraph(text, Weight::Regular, SMALL_SIZE, Ink::Grey);
        paper.y += 4.0;
    }
}

/// The whole hash and the count of events in a frame: what this report is a witness of.
fn put_hash(paper: &mut Paper<'_>, sheet: &Sheet, options: &ReportOptions) {
    let words = options.words;
    let record = &sheet.record;
    let room = BODY_WIDTH - 16.0;
    let hash = shown(words.or_not_recorded(&record.head)).into_owned();
    let faces = paper.faces;
    let mut lines = faces.wrapped(words.head, Weight::Regular, SMALL_SIZE, room);
    lines.extend(faces.wrapped(&hash, Weight::Bold, TEXT_SIZE + 1.0, room));
    let events = format!("{}: {}", words.events, record.events);
    lines.extend(faces.wrapped(&events, Weight::Regular, TEXT_SIZE, room));
    let height: f32 = lines.iter().map(Line::leading).sum::<f32>() + 10.0;
    paper.need(height);
    let (left, top) = (MARGIN, paper.y);
    let (right, bottom) = (MARGIN + BODY_WIDTH, top + height);
    paper.decorate(vec![Op::Shape {
        points: vec![(left, top), (right, top), (right, bottom), (left, bottom)],
        fill: None,
        edge: Some((0.9, Ink::Black)),
    }]);
    let mut y = top + 5.0;
    let mut ops = Vec::new();
    for line in lines {
        let down = y + base(line.size);
        y += line.leading();
        ops.push(Op::Text {
            x: left + 8.0,
            y: down,
            line,
            ink: Ink::Black,
        });
    }
    paper.open(Role::Paragraph);
    paper.draw(ops);
    paper.close();
    paper.y = bottom;
}
