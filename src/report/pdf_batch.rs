//! All parts together on paper: the numbers of each characteristic, every part in a table, and of
//! each characteristic what its numbers say, with its charts.

use super::batch_figures::{Figure, figures, has_section};
use super::batch_told::{
    STRETCHES_MAX, Said, began, below_numbers, index_text, named, next, said, stands,
    stretch_notes, stretch_parts, way_text,
};
use super::drawing::{Drawing, drawn};
use super::options::ReportOptions;
use super::pdf_batch_table::put_table;
use super::pdf_chart::{chart_ops, scaled};
use super::pdf_front::put_notice;
use super::pdf_page::{
    BODY_HEIGHT, BODY_WIDTH, Ink, MARGIN, Op, Paper, Role, SMALL_SIZE, TEXT_SIZE,
};
use super::pdf_table::{Cell, Column, Group, Table};
use super::pdf_text::{Line, Weight};
use super::row_texts::{called, value};
use super::safe::shown;
use super::sheet::{Asked, Sheet};
use super::sheet_batch::{BatchFacts, BatchSheet, BatchStretch};

/// Columns of the table of numbers: together the width of the page.
const NUMBER: f32 = 24.0;
const CHARACTERISTIC: f32 = 132.0;
const VALUES: f32 = 62.0;
const MEAN: f32 = 56.0;
const EXTREMES: f32 = 62.0;
const LIMITS: f32 = 54.0;
const CAPABILITY: f32 = 120.0;
/// From picture to picture.
const BETWEEN: f32 = 6.0;

/// The section; nothing of a report without one.
pub(super) fn put(paper: &mut Paper<'_>, sheet: &Sheet, options: &ReportOptions) {
    let Some(batch) = &sheet.batch else { return };
    let words = options.words;
    paper.open(Role::Section);
    let heading = words.stands(words.batch.heading, &sheet.record);
    let numbers = numbers(sheet, batch, options);
    let keep = numbers.keep(paper.faces, &[]) + 40.0;
    paper.heading(2, &heading, 12.0, keep);
    for remark in &batch.remarks {
        put_notice(paper, &shown(remark));
        paper.y += 4.0;
    }
    numbers.put_under(paper, 3, &[]);
    for text in below_numbers(options, batch) {
        paper.paragraph(&text, Weight::Regular, SMALL_SIZE, Ink::Grey);
    }
    put_table(paper, sheet, batch, options);
    let sections = batch.characteristics.iter();
    for facts in sections.filter(|facts| has_section(facts)) {
        if let Some(asked) = sheet.asked_under(facts.number) {
            put_characteristic(paper, (asked, facts), options);
        }
    }
    paper.close();
}

fn numbers(sheet: &Sheet, batch: &BatchSheet, options: &ReportOptions) -> Table {
    let (words, own) = (options.words, &options.words.batch);
    let groups = batch.characteristics.iter().filter_map(|facts| {
        let asked = sheet.asked_under(facts.number)?;
        Some(numbers_group(options, asked, facts))
    });
    Table {
        summary: own.heading_numbers.to_owned(),
        columns: vec![
            Column::words(words.number, NUMBER),
            Column::words(words.characteristic, CHARACTERISTIC),
            Column::words(own.values, VALUES),
            Column::numbers(own.mean, MEAN),
            Column::numbers(own.extremes, EXTREMES),
            Column::numbers(&format!("{}\n{}", words.upper, words.lower), LIMITS),
            Column::words(own.capability, CAPABILITY),
        ],
        groups: groups.collect(),
    }
}

fn numbers_group(options: &ReportOptions, asked: &Asked, facts: &BatchFacts) -> Group {
    let (words, own) = (options.words, &options.words.batch);
    let number = |text: &str| value(options, text);
    let after = |name: &str, text: &str| match text {
        "" => String::new(),
        text => format!("{name} {}", number(text)),
    };
    let mut limits = Cell::default();
    for (limit, none) in [
        (&facts.upper, words.no_upper),
        (&facts.lower, words.no_lower),
    ] {
        limits = match limit.as_str() {
            "" => limits.below(none),
            limit => limits.and(&number(limit), Weight::Regular, TEXT_SIZE, Ink::Black),
        };
    }
    let limits = limits.below(&shown(&facts.unit));
    let mut characteristic = Cell::bold(&shown(&asked.callout)).below(&called(words, asked));
    for remark in &facts.remarks {
        characteristic = characteristic.below(&shown(remark));
    }
    let next = next(options, facts);
    let characteristic = characteristic.and(&next, Weight::Bold, SMALL_SIZE, Ink::Black);
    let mut capability = Cell::default();
    for (at, index) in facts.indices.iter().enumerate() {
        let text = index_text(options, index);
        capability = capability.and(&text, Weight::Regular, TEXT_SIZE - 0.5, Ink::Black);
        let next = facts.indices.get(at + 1);
        if next.is_none_or(|next| next.way != index.way) {
            capability = capability.below(&way_text(options, index));
        }
    }
    let row = vec![
        Cell::bold(&asked.number.to_string()),
        characteristic,
        stands(options, facts)
            .iter()
            .fold(Cell::text(&facts.values.to_string()), |cell, one| {
                cell.below(one)
            }),
        Cell::bold(&number(&facts.mean)).below(&after(own.sd, &facts.sd)),
        Cell::text(&number(&facts.smallest))
            .and(
                &number(&facts.largest),
                Weight::Regular,
                TEXT_SIZE,
                Ink::Black,
            )
            .below(&after(own.range, &facts.range)),
        limits,
        capability,
    ];
    vec![row]
}

fn put_characteristic(
    paper: &mut Paper<'_>,
    (asked, facts): (&Asked, &BatchFacts),
    options: &ReportOptions,
) {
    let lines = said(options, facts);
    let name = named(options, asked);
    let figures = figures(facts, &name, options);
    let keep = told_height(paper, &lines).min(BODY_HEIGHT * 0.3);
    paper.skip(8.0);
    paper.heading(3, &name, 10.5, keep);
    put_said(paper, &lines);
    put_stretches(paper, facts, options);
    let mut at = figures.iter().peekable();
    while let Some(figure) = at.next() {
        let beside = at.next_if(|next| figure.is_half && next.is_half);
        put_figures(paper, figure, beside, options);
    }
}

fn told_height(paper: &Paper<'_>, lines: &[Said]) -> f32 {
    let of = |line: &Said| {
        let room = BODY_WIDTH - 10.0;
        let lines = paper
            .faces
            .wrapped(&line.text, Weight::Regular, TEXT_SIZE, room);
        lines.iter().map(Line::leading).sum::<f32>() + 1.5
    };
    lines.iter().map(of).sum()
}

fn put_said(paper: &mut Paper<'_>, lines: &[Said]) {
    for line in lines {
        let weight = match line.is_strong {
            true => Weight::Bold,
            false => Weight::Regular,
        };
        paper.item_in(&line.text, weight, TEXT_SIZE);
    }
    paper.y += 2.0;
}

fn put_stretches(paper: &mut Paper<'_>, facts: &BatchFacts, options: &ReportOptions) {
    let own = &options.words.batch;
    let passed = facts.stretches.len().saturating_sub(STRETCHES_MAX);
    let group = |one: &BatchStretch| {
        let number = |text: &str| Cell::text(&value(options, text));
        vec![vec![
            Cell::text(&stretch_parts(options, one)),
            Cell::text(&began(options, one)),
            number(&one.lower_control),
            number(&one.centre),
            number(&one.upper_control),
            number(&one.deviation),
            Cell::default().below(&stretch_notes(options, one)),
        ]]
    };
    let [lower, centre, upper] = own.control;
    let table = Table {
        summary: own.heading_stretches.to_owned(),
        columns: vec![
            Column::words(options.words.parts, 1.2),
            Column::words(own.began, 2.4),
            Column::numbers(lower, 1.3),
            Column::numbers(centre, 1.3),
            Column::numbers(upper, 1.3),
            Column::numbers(own.deviation, 1.3),
            Column::words(options.words.notes, 2.2),
        ],
        groups: facts.stretches.iter().skip(passed).map(group).collect(),
    };
    table.put_under(paper, 4, &[]);
    if passed > 0 {
        let text = (own.earlier_stretches)(passed);
        paper.paragraph(&text, Weight::Regular, SMALL_SIZE, Ink::Grey);
    }
}

/// A figure over the width, or two beside each other, with what is said below.
fn put_figures(
    paper: &mut Paper<'_>,
    first: &Figure,
    beside: Option<&Figure>,
    options: &ReportOptions,
) {
    let both: Vec<&Figure> = std::iter::once(first).chain(beside).collect();
    let height = both
        .iter()
        .map(|figure| scaled(figure.size.height()))
        .fold(0.0, f32::max);
    // Of two beside each other it is said whose notes they are.
    let notes = both.iter().filter(|figure| !figure.notes.is_empty());
    let notes = notes.map(|figure| match figure.is_half {
        true => format!("{}: {}", figure.chart.title, figure.notes.join(" ")),
        false => figure.notes.join(" "),
    });
    let notes = notes.collect::<Vec<String>>().join(" ");
    let lines = paper
        .faces
        .wrapped(&notes, Weight::Regular, SMALL_SIZE, BODY_WIDTH);
    let below: f32 = lines.iter().map(Line::leading).sum();
    paper.need((height + below).min(BODY_HEIGHT));
    let (mut left, top) = (MARGIN, paper.y);
    for figure in both {
        let drawing = drawn(
            paper.faces,
            std::slice::from_ref(&figure.chart),
            figure.size,
            options.decimal_mark,
        );
        put_drawing(paper, &drawing, (left, top), &figure.alt);
        left += scaled(figure.size.width()) + BETWEEN;
    }
    paper.y = top + height;
    if !notes.is_empty() {
        paper.paragraph(&notes, Weight::Regular, SMALL_SIZE, Ink::Grey);
    }
    paper.y += BETWEEN;
}

fn put_drawing(paper: &mut Paper<'_>, drawing: &Drawing, (left, top): (f32, f32), alt: &str) {
    let ops: Vec<Op> = chart_ops(paper.faces, drawing)
        .into_iter()
        .map(|op| op.moved(left, top))
        .collect();
    // What no face can draw, no reader aloud can say either.
    let alt = paper.faces.seen(&shown(alt), Weight::Regular);
    paper.open(Role::Figure(alt));
    paper.draw(ops);
    paper.close();
}
