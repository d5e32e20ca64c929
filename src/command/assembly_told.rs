//! An assembly as tables for people.

use super::output_assembly::AssemblyLine;
use super::screen::Screen;
use super::table::{Cell, Column, Row, Style, cell, laid_out, numbers, words};
use crate::report::shown;

const MEMBERS: &[Column] = &[
    words("member"),
    words("part"),
    words("serial"),
    words("state"),
    words("stands"),
];
const MATES: &[Column] = &[
    words("hole"),
    words("shaft"),
    words("intended"),
    numbers("clearance"),
    numbers("may be"),
    words("state"),
];
const STACKS: &[Column] = &[
    words("gap"),
    numbers("is"),
    numbers("may be"),
    numbers("worst case"),
    numbers("statistical"),
    words("state"),
];

/// The members, the pairs, the gaps, and how the whole stands.
pub(super) fn text(line: &AssemblyLine, screen: Screen) -> String {
    let mut text = members_text(line, screen);
    if !line.mates.is_empty() {
        text += "\n";
        text += &mates_text(line, screen);
    }
    if !line.stacks.is_empty() {
        text += "\n";
        text += &stacks_text(line, screen);
    }
    for one in line
        .members
        .iter()
        .filter(|one| !one.assembled_into.is_empty())
    {
        let (serial, before) = (shown(&one.serial), shown(&one.assembled_into));
        text += &format!("\n{serial} went into {before} before\n");
    }
    text += &format!("\n{}: {}\n", shown(&line.assembly), line.state);
    if let Some(serial) = &line.recorded_as {
        text += &format!("recorded as {} in the record of each part\n", shown(serial));
    }
    text
}

fn state(word: &'static str) -> Cell {
    let style = match word {
        "GO" => Style::Go,
        "NO-GO" => Style::NoGo,
        _ => Style::Doubt,
    };
    Cell {
        text: word.to_owned(),
        style,
    }
}

fn members_text(line: &AssemblyLine, screen: Screen) -> String {
    let rows = line.members.iter().map(|one| {
        let serial = match one.serial.as_str() {
            "" => "-",
            serial => serial,
        };
        vec![
            cell(&*one.id),
            cell(&one.part_name),
            cell(serial),
            state(one.state),
            cell(&one.why),
        ]
    });
    laid_out(MEMBERS, &rows.collect::<Vec<Row>>(), screen)
}

fn mates_text(line: &AssemblyLine, screen: Screen) -> String {
    let rows = line.mates.iter().map(|one| {
        let clearance = one.min_clearance.as_deref();
        let clearance = clearance.zip(one.max_clearance.as_deref());
        let clearance = clearance.map_or("-".to_owned(), |(least, most)| range(least, most));
        let intended = match one.intended.as_str() {
            "" => "the two classes",
            fit => fit,
        };
        let may_be = range(&one.intended_min_clearance, &one.intended_max_clearance);
        vec![
            cell(&one.hole),
            cell(&one.shaft),
            cell(intended),
            cell(clearance),
            cell(may_be),
            state(one.state),
        ]
    });
    laid_out(MATES, &rows.collect::<Vec<Row>>(), screen)
}

fn stacks_text(line: &AssemblyLine, screen: Screen) -> String {
    let rows = line.stacks.iter().map(|one| {
        let (middle, half) = (one.statistical_middle_mm, one.statistical_half_width_mm);
        vec![
            cell(&one.name),
            cell(range(&one.gap_min, &one.gap_max)),
            cell(range(&one.lower_limit, &one.upper_limit)),
            cell(range(&one.worst_case_min, &one.worst_case_max)),
            cell(format!("{middle:.4} ±{half:.4}")),
            state(one.state),
        ]
    });
    let mut text = laid_out(STACKS, &rows.collect::<Vec<Row>>(), screen);
    for one in &line.stacks {
        if !one.not_measured.is_empty() {
            let missing = one.not_measured.join(", ");
            text += &format!("{}: not measured: {}\n", shown(&one.name), shown(&missing));
        }
    }
    text
}

/// One length, or from where to where.
fn range(least: &str, most: &str) -> String {
    match least == most {
        true => least.to_owned(),
        false => format!("{least} to {most}"),
    }
}
