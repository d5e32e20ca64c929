//! A table of a page for a terminal: columns side by side, cells wrapped within them; where the
//! terminal is too narrow for that, each row's cells one below the other.

use super::block::Span;
use super::plain::{words, wrapped};

/// Blanks between two columns.
const GAP: usize = 2;
/// A column of words is not made narrower than this (chosen).
const NARROWEST: usize = 14;

type Cells = Vec<String>;

/// The lines of a table.
pub(super) fn table(titles: &[Vec<Span>], rows: &[Vec<Vec<Span>>], width: usize) -> Vec<String> {
    let titles: Cells = titles.iter().map(|cell| words(cell)).collect();
    let rows: Vec<Cells> = rows
        .iter()
        .map(|row| row.iter().map(|cell| words(cell)).collect())
        .collect();
    match widths(&titles, &rows, width) {
        Some(widths) => side_by_side(&titles, &rows, &widths),
        None => one_below_the_other(&titles, &rows, width),
    }
}

/// How wide each column is: as its longest cell, the widest ones narrowed until all fit.
fn widths(titles: &Cells, rows: &[Cells], width: usize) -> Option<Vec<usize>> {
    let whole = |at: usize| {
        let cells = rows.iter().chain([titles]).filter_map(|row| row.get(at));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    // A word is not broken.
    let least = |at: usize| {
        let cells = rows.iter().chain([titles]).filter_map(|row| row.get(at));
        let words = cells.flat_map(|cell| cell.split(' '));
        words.map(|word| word.chars().count()).max().unwrap_or(0)
    };
    let mut widths: Vec<usize> = (0..titles.len()).map(whole).collect();
    let least: Vec<usize> = (0..titles.len())
        .map(|at| least(at).max(NARROWEST).min(widths[at]))
        .collect();
    let room = width.checked_sub(GAP * titles.len().saturating_sub(1))?;
    while widths.iter().sum::<usize>() > room {
        let may = (0..widths.len()).filter(|at| widths[*at] > least[*at]);
        let widest = may.max_by_key(|at| widths[*at])?;
        widths[widest] -= 1;
    }
    Some(widths)
}

fn side_by_side(titles: &Cells, rows: &[Cells], widths: &[usize]) -> Vec<String> {
    let mut lines = Vec::new();
    if titles.iter().any(|title| !title.is_empty()) {
        lines.extend(row(titles, widths));
        let rules: Cells = widths.iter().map(|width| "-".repeat(*width)).collect();
        lines.push(rules.join(&" ".repeat(GAP)));
    }
    let is_tall = |cells: &Cells| {
        let mut cells = cells.iter().zip(widths);
        cells.any(|(cell, width)| cell.chars().count() > *width)
    };
    // Rows of several lines stand apart.
    let apart = rows.iter().any(is_tall);
    for (at, cells) in rows.iter().enumerate() {
        if apart && at > 0 {
            lines.push(String::new());
        }
        lines.extend(row(cells, widths));
    }
    lines
}

fn row(cells: &Cells, widths: &[usize]) -> Vec<String> {
    let columns: Vec<Vec<String>> = cells
        .iter()
        .zip(widths)
        .map(|(cell, width)| wrapped(cell, (*width).max(1)))
        .collect();
    let tall = columns.iter().map(Vec::len).max().unwrap_or(0);
    let line = |at: usize| {
        let pieces = columns.iter().zip(widths).map(|(column, width)| {
            let piece = column.get(at).map_or("", String::as_str);
            format!("{piece:<width$}")
        });
        let pieces: Cells = pieces.collect();
        pieces.join(&" ".repeat(GAP)).trim_end().to_owned()
    };
    (0..tall).map(line).collect()
}

fn one_below_the_other(titles: &Cells, rows: &[Cells], width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    for (number, cells) in rows.iter().enumerate() {
        if number > 0 {
            lines.push(String::new());
        }
        for (at, cell) in cells
            .iter()
            .enumerate()
            .filter(|(_, cell)| !cell.is_empty())
        {
            let title = titles.get(at).map_or("", String::as_str);
            let said = match title {
                "" => cell.clone(),
                title => format!("{title}: {cell}"),
            };
            let inside = if at == 0 { "" } else { "  " };
            let broken = wrapped(&said, width.saturating_sub(inside.len()));
            lines.extend(broken.iter().map(|line| format!("{inside}{line}")));
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::super::parse::blocks;
    use super::super::plain::told;

    const TABLE: &str = "| Key | What it does |\n|---|---|\n| `a b` | one two three four five |\n\
        | c | six |\n";

    #[test]
    fn cells_are_wrapped_in_their_columns_and_stacked_where_it_is_too_narrow() {
        assert_eq!(
            told(&blocks(TABLE), 40),
            "Key    What it does\n-----  -----------------------\n`a b`  one two three four five\n\
             c      six\n"
        );
        assert_eq!(
            told(&blocks(TABLE), 24),
            "Key    What it does\n-----  -----------------\n`a b`  one two three\n\
             \x20      four five\n\nc      six\n"
        );
        let narrow = told(&blocks(TABLE), 20);
        assert_eq!(
            narrow,
            "Key: `a b`\n  What it does: one\n  two three four\n  five\n\n\
             Key: c\n  What it does: six\n"
        );
    }
}
