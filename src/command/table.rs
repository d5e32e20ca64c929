//! Human output: rows under titles, aligned, within the screen's width.
//!
//! What does not fit side by side is written one field a line; nothing is cut off.

use super::screen::{Screen, wrapped};
use crate::report::shown;

/// Blanks between two columns.
const GAP: usize = 2;

/// How a cell looks where colour may be used; the word always says the same without it.
///
/// Colours are those of Okabe and Ito, which people with red-green deficiency tell apart, at
/// their nearest place in the terminal's palette of 256, as ground behind black text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Style {
    /// As any text.
    Plain,
    /// Bluish green: good.
    Go,
    /// Vermillion: reject, or an error.
    NoGo,
    /// Sky blue: undecided.
    Doubt,
    /// Orange: metal to come off.
    Cutting,
}

impl Style {
    /// The terminal's code for it.
    pub(super) fn code(self) -> Option<&'static str> {
        match self {
            Self::Plain => None,
            Self::Go => Some("30;48;5;36"),
            Self::NoGo => Some("30;48;5;166"),
            Self::Doubt => Some("30;48;5;74"),
            Self::Cutting => Some("30;48;5;178"),
        }
    }
}

/// On which side the cells of a column stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Align {
    /// Words.
    Left,
    /// Numbers: decimal points one below the other.
    Point,
}

/// A column's title and alignment.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Column {
    pub(crate) title: &'static str,
    pub(crate) align: Align,
}

/// A column of words.
pub(crate) const fn words(title: &'static str) -> Column {
    Column {
        title,
        align: Align::Left,
    }
}

/// A column of numbers.
pub(crate) const fn numbers(title: &'static str) -> Column {
    Column {
        title,
        align: Align::Point,
    }
}

/// One field of a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Cell {
    pub(crate) text: String,
    pub(crate) style: Style,
}

/// A field without colour. Wherever its text came from, characters that cannot be seen, or steer a
/// terminal, stand as escapes.
pub(crate) fn cell(text: impl AsRef<str>) -> Cell {
    Cell {
        text: shown(text.as_ref()).into_owned(),
        style: Style::Plain,
    }
}

/// The fields of one line; missing ones at the end are blank.
pub(crate) type Row = Vec<Cell>;

/// The rows under their titles; one field a line when they are wider than the screen.
pub(crate) fn laid_out(columns: &[Column], rows: &[Row], screen: Screen) -> String {
    let widths: Vec<Width> = columns
        .iter()
        .enumerate()
        .map(|(at, column)| Width::of(column, rows, at))
        .collect();
    let total: usize = widths.iter().map(|width| width.whole + GAP).sum();
    if total.saturating_sub(GAP) > screen.width {
        return stacked(columns, rows, screen);
    }
    let mut text = String::new();
    let titles: Vec<String> = columns
        .iter()
        .zip(&widths)
        .map(|(column, width)| match column.align {
            Align::Left => format!("{:<1$}", column.title, width.whole),
            Align::Point => format!("{:>1$}", column.title, width.whole),
        })
        .collect();
    push_line(&mut text, &titles);
    for row in rows {
        let cells = columns
            .iter()
            .zip(&widths)
            .enumerate()
            .map(|(at, (column, width))| {
                row.get(at).map_or_else(
                    || " ".repeat(width.whole),
                    |cell| width.padded(cell, column.align, screen),
                )
            });
        push_line(&mut text, &cells.collect::<Vec<String>>());
    }
    text
}

/// Title and field, one a line; rows apart by a blank line.
pub(crate) fn stacked(columns: &[Column], rows: &[Row], screen: Screen) -> String {
    let titles = columns
        .iter()
        .map(|column| column.title.chars().count())
        .max()
        .unwrap_or(0);
    let mut text = String::new();
    for (number, row) in rows.iter().enumerate() {
        if number > 0 {
            text.push('\n');
        }
        let filled = columns
            .iter()
            .zip(row)
            .filter(|(_, cell)| !cell.text.is_empty());
        for (column, cell) in filled {
            let room = screen.width.saturating_sub(titles + GAP).max(1);
            for (at, piece) in wrapped(&cell.text, room).iter().enumerate() {
                let title = if at == 0 { column.title } else { "" };
                let piece = screen.styled(piece, cell.style);
                text.push_str(&format!("{title:<titles$}{:GAP$}{piece}\n", ""));
            }
        }
    }
    text
}

fn push_line(text: &mut String, cells: &[String]) {
    let line = cells.join(&" ".repeat(GAP));
    text.push_str(line.trim_end());
    text.push('\n');
}

/// The width of a column, and how much of it stands before the decimal points.
struct Width {
    whole: usize,
    before: usize,
}

impl Width {
    fn of(column: &Column, rows: &[Row], at: usize) -> Self {
        let (mut widest, mut before, mut after) = (0, 0, 0);
        for text in rows
            .iter()
            .filter_map(|row| row.get(at))
            .map(|cell| cell.text.as_str())
        {
            widest = widest.max(text.chars().count());
            let point = before_point(text);
            before = before.max(point);
            after = after.max(text.chars().count() - point);
        }
        let needed = match column.align {
            Align::Left => widest,
            Align::Point => before + after,
        };
        let whole = needed.max(column.title.chars().count());
        Self {
            whole,
            before: before + (whole - needed),
        }
    }

    fn padded(&self, cell: &Cell, align: Align, screen: Screen) -> String {
        let lead = match align {
            Align::Left => 0,
            Align::Point => self.before.saturating_sub(before_point(&cell.text)),
        };
        let trail = self.whole.saturating_sub(lead + cell.text.chars().count());
        let shown = screen.styled(&cell.text, cell.style);
        format!("{}{shown}{}", " ".repeat(lead), " ".repeat(trail))
    }
}

/// Characters before the decimal point, or before the end.
fn before_point(text: &str) -> usize {
    text.chars().take_while(|c| *c != '.').count()
}

#[cfg(test)]
mod tests {
    use super::{Cell, Screen, Style, cell, laid_out, numbers, words};

    const PLAIN: Screen = Screen {
        width: 40,
        colour: false,
    };

    #[test]
    fn numbers_stand_point_below_point() {
        let columns = [words("callout"), numbers("lower")];
        let rows = [
            vec![cell("25 H7"), cell("25.000")],
            vec![cell("0.5in ±0.001"), cell("12.6746")],
            vec![cell("12 max")],
        ];
        let text = laid_out(&columns, &rows, PLAIN);
        assert_eq!(
            text,
            "callout         lower\n25 H7         25.000\n0.5in ±0.001  12.6746\n12 max\n"
        );
    }

    #[test]
    fn what_cannot_be_seen_is_seen_in_every_cell() {
        let text = laid_out(
            &[words("id")],
            &[vec![cell("a\u{9b}31m\u{202e}b\n")]],
            PLAIN,
        );
        assert_eq!(text, "id\na\\u{9b}31m\\u{202e}b\\n\n");
    }

    #[test]
    fn what_is_too_wide_is_written_one_field_a_line_and_whole() {
        let columns = [words("callout"), numbers("lower"), words("standard")];
        let rows = [vec![cell("25 H7"), cell("25.000"), cell("ISO 286-1:2010")]];
        let narrow = Screen {
            width: 22,
            colour: false,
        };
        let text = laid_out(&columns, &rows, narrow);
        assert_eq!(
            text,
            "callout   25 H7\nlower     25.000\nstandard  ISO\n          286-1:2010\n"
        );
    }

    #[test]
    fn colour_takes_no_width() {
        let go = Cell {
            text: "GO".to_owned(),
            style: Style::Go,
        };
        let columns = [words("verdict"), words("callout")];
        let coloured = Screen {
            colour: true,
            ..PLAIN
        };
        let text = laid_out(&columns, &[vec![go, cell("20 k6")]], coloured);
        assert_eq!(
            text,
            "verdict  callout\n\u{1b}[30;48;5;36mGO\u{1b}[0m       20 k6\n"
        );
    }
}
