//! Where a tabled thread value comes from, in words: the codes of a row's source, read for the
//! one cell that is used. What is not verified stays said.

use super::class::ThreadPosition;
use crate::quantity::Length;

/// The codes of the rows and what they are (`tolerances/README.md`).
const CODES: [(&str, &str); 9] = [
    ("MH31", "Machinery's Handbook 31st ed."),
    ("MH27", "Machinery's Handbook 27th ed."),
    ("BS3643", "BS 3643 in Machinery's Handbook 27th ed."),
    ("ASME", "ASME B1.13M"),
    ("GB9145", "GB/T 9145"),
    ("YAM", "a tap maker's catalogue"),
    ("OPT", "a fastener dealer's table"),
    ("LIM", "a public table of 6g and 7H limits"),
    ("CAD", "open CAD data"),
];

/// Which value of a row.
#[derive(Debug, Clone, Copy)]
pub(super) enum Cell {
    /// That of a grade.
    Grade(u8),
    /// That of a position.
    Position(ThreadPosition),
    /// All of them.
    Row,
}

/// Whether a remark of a source is about the cell: `MH31 grades 3-7`, `g: ASME/CAD limits`.
fn is_about(remark: &str, cell: Cell) -> bool {
    let listed = |list: &str, wanted: &str| list.split_whitespace().any(|one| one == wanted);
    match (cell, remark.split_once(':')) {
        (Cell::Position(position), Some((letters, _))) => listed(letters, position.text()),
        (Cell::Grade(grade), _) => match remark.split_once("grade") {
            None => true,
            Some((before, _)) if before.trim_end().ends_with("all") => true,
            Some((_, grades)) => {
                let mut grades = grades.trim_start_matches('s').split_whitespace();
                grades.any(|one| match one.split_once('-') {
                    Some((from, to)) => {
                        let range = (from.parse::<u8>(), to.parse::<u8>());
                        matches!(range, (Ok(from), Ok(to)) if (from..=to).contains(&grade))
                    }
                    None => one.parse() == Ok(grade),
                })
            }
        },
        _ => true,
    }
}

/// The public tables with which a cell was compared.
fn compared_with(source: &str, cell: Cell) -> Vec<&'static str> {
    let remarks = source.split(';').filter(|remark| is_about(remark, cell));
    let mut found = Vec::new();
    for remark in remarks {
        let of_note = remark.split('(').next().unwrap_or(remark);
        let codes = of_note.split(|c: char| !c.is_ascii_alphanumeric());
        for code in codes {
            let known = CODES.iter().find(|(known, _)| *known == code);
            found.extend(known.map(|(_, name)| *name));
        }
    }
    found
}

/// Where a tabled value comes from. `formula` is what the standard's formula gives for it, where
/// there is one.
pub(super) fn words(source: &str, cell: Cell, tabled: Length, formula: Option<Length>) -> String {
    if let Cell::Position(ThreadPosition::H | ThreadPosition::InternalH) = cell {
        return "zero by definition".to_owned();
    }
    let compared = compared_with(source, cell);
    let mut text = "from memory".to_owned();
    if let Some((last, before)) = compared.split_last() {
        text += ", compared with ";
        if !before.is_empty() {
            text += &before.join(", ");
            text += " and ";
        }
        text += last;
    }
    let differs = formula.filter(|value| *value != tabled);
    match (differs, formula, compared.is_empty()) {
        (Some(value), _, _) => {
            let um = value.to_um(0);
            text += &format!("; the formula gives {um} µm, the table wins");
        }
        (None, Some(_), true) => text += "; the formula gives the same",
        _ => {}
    }
    if compared.is_empty() {
        text += "; in no public table seen: not verified";
    }
    text
}
