//! The first page: what it is about, what came of it, and the part's outline.

use std::collections::BTreeSet;

use super::options::ReportOptions;
use super::pdf_outline::{self, ranges};
use super::pdf_page::{BODY_WIDTH, Ink, MARGIN, Op, Paper, Role, SMALL_SIZE, TEXT_SIZE, base};
use super::pdf_parts;
use super::pdf_table::{Align, Cell, Column, Plate, Table};
use super::pdf_text::{Line, Weight, leading};
use super::safe::shown;
use super::sheet::{PartSheet, Sheet};

/// Facts beside each other.
const FACTS_IN_A_ROW: usize = 3;
/// What is kept below the outline for its note.
const NOTE_HEIGHT: f32 = 30.0;
/// What of the page an outline takes beside its picture: heading, rule, note.
const OUTLINE_AROUND: f32 = NOTE_HEIGHT + 45.0;
/// A fact higher than that stands over the whole width, and may go over pages.
const FACT_HEIGHT_MAX: f32 = 150.0;

/// Head, outcome and outline.
pub(super) fn put(paper: &mut Paper<'_>, sheet: &Sheet, options: &ReportOptions) {
    put_title(paper, sheet, options);
    put_facts(paper, &facts(sheet, options));
    put_notices(paper, sheet, options);
    put_outcome(paper, sheet, options);
    put_outline(paper, sheet, options);
}

fn put_title(paper: &mut Paper<'_>, sheet: &Sheet, options: &ReportOptions) {
    let words = options.words;
    let name = shown(words.or_not_recorded(&sheet.job.part_name)).into_owned();
    let size = if name.chars().count() > 60 {
        12.0
    } else {
        20.0
    };
    paper.open(Role::Paragraph);
    let title = paper.faces.line(words.title, Weight::Bold, 9.5);
    put_line(paper, title, Ink::Accent);
    paper.close();
    paper.y += 2.0;
    paper.heading(1, &name, size, 60.0);
    paper.y += 2.0;
    let y = paper.y;
    let band = Op::rect(MARGIN, y, BODY_WIDTH, 2.4, Ink::Accent);
    paper.decorate(vec![band]);
    paper.y += 10.0;
}

fn put_line(paper: &mut Paper<'_>, line: Line, ink: Ink) {
    let y = paper.y + base(line.size);
    paper.y += line.leading();
    let x = MARGIN;
    paper.draw(vec![Op::Text { x, y, line, ink }]);
}

/// What is made, for whom, by whom; each with its name.
fn facts(sheet: &Sheet, options: &ReportOptions) -> Vec<(String, String)> {
    let words = options.words;
    let job = &sheet.job;
    let rules: Vec<String> = sheet
        .rule
        .rules
        .iter()
        .map(|rule| words.rule_in_words(rule))
        .collect();
    let agreed = match sheet.rule.agreed_with.as_str() {
        "" => words.agreed_with_nobody,
        someone => someone,
    };
    let (from, to) = sheet.measured();
    let measured = match (from, to) {
        ("", "") => String::new(),
        (from, to) => format!("{}\n{} {}", shown(from), words.measured_to, shown(to)),
    };
    let facts = [
        (words.drawing, job.drawing.clone()),
        (words.revision, job.revision.clone()),
        (words.customer, job.customer.clone()),
        (words.order, job.order.clone()),
        (words.material, job.material.clone()),
        (words.material_lot, job.material_lot.clone()),
        (words.machine, job.machine.clone()),
        (words.quantity, job.quantity.clone()),
        (words.plan, job.plan_name.clone()),
        (words.measured_by, job.operators.join(", ")),
        (words.measured_from, measured),
        (words.rule, rules.join("; ")),
        (words.agreed_with, agreed.to_owned()),
        (words.stage, job.stage.clone()),
    ];
    let is_told = |(name, text): &(&str, String)| *name != words.stage || !text.is_empty();
    let facts = facts.into_iter().filter(is_told);
    let facts = facts.map(|(name, text)| {
        // The two times stand below each other; all else is in one piece.
        let text = match name == words.measured_from && !text.is_empty() {
            true => text,
            false => shown(words.or_not_recorded(&text)).into_owned(),
        };
        (name.to_owned(), text)
    });
    facts.collect()
}

/// Names in small letters with what they name below, some beside each other.
pub(super) fn put_facts(paper: &mut Paper<'_>, facts: &[(String, String)]) {
    let width = BODY_WIDTH / FACTS_IN_A_ROW as f32;
    let mut row: Vec<(Line, Vec<Line>)> = Vec::new();
    for (name, text) in facts {
        let label = paper
            .faces
            .cut(name, Weight::Regular, SMALL_SIZE, width - 10.0);
        let lines = paper
            .faces
            .wrapped(text, Weight::Regular, TEXT_SIZE + 0.5, width - 10.0);
        let height: f32 = lines.iter().map(Line::leading).sum();
        if height > FACT_HEIGHT_MAX {
            put_fact_row(paper, std::mem::take(&mut row), width);
            let text = format!("{name}: {text}");
            paper.paragraph(&text, Weight::Regular, TEXT_SIZE, Ink::Black);
            paper.y += 4.0;
            continue;
        }
        row.push((label, lines));
        if row.len() == FACTS_IN_A_ROW {
            put_fact_row(paper, std::mem::take(&mut row), width);
        }
    }
    put_fact_row(paper, row, width);
}

fn put_fact_row(paper: &mut Paper<'_>, row: Vec<(Line, Vec<Line>)>, width: f32) {
    if row.is_empty() {
        return;
    }
    let tall = |lines: &[Line]| lines.iter().map(Line::leading).sum::<f32>();
    let height = row.iter().map(|(_, lines)| tall(lines)).fold(0.0, f32::max);
    let height = height + leading(SMALL_SIZE) + 4.0;
    paper.need(height);
    for (at, (label, lines)) in row.into_iter().enumerate() {
        let x = MARGIN + width * at as f32;
        let mut y = paper.y;
        let ink = Ink::Grey;
        let first = Op::Text {
            x,
            y: y + base(SMALL_SIZE),
            line: label,
            ink,
        };
        y += leading(SMALL_SIZE);
        let mut ops = vec![first];
        for line in lines {
            let (down, ink) = (y + base(line.size), Ink::Black);
            y += line.leading();
            ops.push(Op::Text {
                x,
                y: down,
                line,
                ink,
            });
        }
        paper.open(Role::Paragraph);
        paper.draw(ops);
        paper.close();
    }
    paper.y += height;
}

/// What has to be known before any value is read.
fn put_notices(paper: &mut Paper<'_>, sheet: &Sheet, options: &ReportOptions) {
    let words = options.words;
    let record = &sheet.record;
    let mut notices = Vec::new();
    if sheet.job.is_earlier_stage {
        notices.push(words.earlier_stage.to_owned());
    }
    if record.state == "damaged" || !record.findings.is_empty() {
        notices.push(words.record_damaged.to_owned());
        notices.extend(
            record
                .findings
                .iter()
                .map(|finding| shown(finding).into_owned()),
        );
    }
    if record.tables_differ {
        notices.push(words.tables_differ.to_owned());
    }
    if sheet.rule.some_general {
        notices.push(words.general_tolerance.to_owned());
    }
    for notice in notices {
        put_notice(paper, &notice);
    }
}

/// A sentence with a bar before it.
pub(super) fn put_notice(paper: &mut Paper<'_>, text: &str) {
    let lines = paper
        .faces
        .wrapped(text, Weight::Bold, TEXT_SIZE, BODY_WIDTH - 12.0);
    paper.y += 3.0;
    paper.open(Role::Paragraph);
    for line in lines {
        paper.need(line.leading());
        let (top, height) = (paper.y, line.leading());
        paper.decorate(vec![Op::rect(MARGIN, top, 3.0, height, Ink::Black)]);
        let (x, y) = (MARGIN + 10.0, top + base(line.size));
        paper.y += height;
        paper.draw(vec![Op::Text {
            x,
            y,
            line,
            ink: Ink::Black,
        }]);
    }
    paper.close();
}

fn put_outcome(paper: &mut Paper<'_>, sheet: &Sheet, options: &ReportOptions) {
    let words = options.words;
    if sheet.parts.is_empty() {
        paper.heading(2, words.heading_outcome, 12.0, 40.0);
        paper.paragraph(words.no_parts, Weight::Regular, TEXT_SIZE, Ink::Black);
        return;
    }
    let group = |part: &PartSheet| {
        let mark = match (part.is_good, part.state.as_str()) {
            (true, _) => Plate::Frame,
            (false, "NO-GO") => Plate::Full,
            (false, _) => Plate::Tint,
        };
        let standing = words.stands(words.or_not_recorded(&part.standing), &sheet.record);
        let standing = shown(&standing).into_owned();
        let time = |text: &str| shown(words.or_not_recorded(text)).into_owned();
        let row = vec![
            Cell::bold(&part.number.to_string()),
            Cell::text(&shown(words.or_not_recorded(&part.serial))),
            Cell::bold(&shown(&part.state)),
            Cell::bold(&standing)
                .on(mark)
                .below(match part.doubts.is_empty() {
                    true => "",
                    false => words.in_doubt,
                }),
            Cell::default().below(&time(&part.from)).below(&format!(
                "{} {}",
                words.measured_to,
                time(&part.to)
            )),
        ];
        vec![row]
    };
    let table = Table {
        summary: words.stands(words.heading_outcome, &sheet.record),
        columns: vec![
            Column::words(words.part, 0.7),
            Column::words(words.serial, 2.0),
            Column::words(words.state, 1.2),
            Column::new(words.standing, 2.6, Align::Left),
            Column::words(words.measured_from, 2.2),
        ],
        groups: sheet.parts.iter().map(group).collect(),
    };
    table.put_under(paper, 2, &[]);
    let standings: BTreeSet<&str> = sheet.parts.iter().map(|part| &*part.standing).collect();
    for standing in standings {
        let meaning = words.standing_means(standing);
        if !meaning.is_empty() {
            let text = format!("{standing}: {meaning}");
            paper.paragraph(&text, Weight::Regular, SMALL_SIZE, Ink::Grey);
        }
    }
}

fn put_outline(paper: &mut Paper<'_>, sheet: &Sheet, options: &ReportOptions) {
    let words = options.words;
    let faces = paper.faces;
    let room = paper.left() - OUTLINE_AROUND;
    let first = sheet.parts.first();
    let below = first.map_or(0.0, |part| {
        pdf_parts::beginning(faces, sheet, part, options)
    });
    let Some(picture) = pdf_outline::picture(faces, sheet, room, below) else {
        return;
    };
    paper.heading(2, words.heading_outline, 12.0, picture.height + NOTE_HEIGHT);
    paper.y += 6.0;
    let top = paper.y;
    let ops = picture
        .ops
        .into_iter()
        .map(|op| op.moved(0.0, top))
        .collect();
    paper.open(Role::Figure(words.outline_note.to_owned()));
    paper.draw(ops);
    paper.close();
    paper.y += picture.height + 4.0;
    let mut note = words.outline_note.to_owned();
    if !picture.absent.is_empty() {
        note = format!(
            "{note} {}: {}.",
            words.not_in_outline,
            ranges(&picture.absent)
        );
    }
    paper.paragraph(&note, Weight::Regular, SMALL_SIZE, Ink::Grey);
}
