//! Two texts of one plan side by side: which lines are the same, which differ, which stand on one
//! side alone. For people who choose between them; nothing is decided here.

use super::sheet::{PlanSheet, TableAt};

/// What is compared line by line at most, lines of one side times lines of the other (chosen:
/// a frame's work); beyond that the middle counts as different as a whole.
const CELLS_MAX: usize = 250_000;

/// A line of a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SideLine {
    /// Its number in the whole text, from 1.
    pub number: usize,
    /// Without its end.
    pub text: String,
}

/// What stands beside each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SideRow {
    /// The same line on both sides.
    Same(SideLine, SideLine),
    /// The same place, written otherwise.
    Differs(SideLine, SideLine),
    /// On the first side alone.
    First(SideLine),
    /// On the second side alone.
    Second(SideLine),
}

impl SideRow {
    /// The line of the first side, and that of the second.
    pub fn lines(&self) -> (Option<&SideLine>, Option<&SideLine>) {
        match self {
            Self::Same(first, second) | Self::Differs(first, second) => (Some(first), Some(second)),
            Self::First(first) => (Some(first), None),
            Self::Second(second) => (None, Some(second)),
        }
    }
}

impl SideLine {
    /// By what a line that was changed is known again: its key; any comment is one.
    pub fn key(&self) -> &str {
        let text = self.text.trim_start();
        match (text.starts_with('#'), text.split_once('=')) {
            (true, _) => "#",
            (false, Some((key, _))) => key.trim_end(),
            (false, None) => text.trim_end(),
        }
    }
}

/// The lines of a text, the first of which has that number.
pub fn side_lines(text: &str, first: usize) -> Vec<SideLine> {
    let lines = text.lines().zip(first..);
    lines
        .map(|(text, number)| SideLine {
            number,
            text: text.to_owned(),
        })
        .collect()
}

/// The lines of both sides, those that belong together beside each other, in the order of each.
pub fn side_by_side(first: &[SideLine], second: &[SideLine]) -> Vec<SideRow> {
    let is_same = |one: &SideLine, other: &SideLine| one.text == other.text;
    let is_one_place = |one: &SideLine, other: &SideLine| one.key() == other.key();
    let mut rows = Vec::new();
    let (mut left, mut right) = (first, second);
    let mut same = common(first, second, is_same).into_iter();
    loop {
        let next = same.next();
        let until = next.unwrap_or((first.len(), second.len()));
        let (before_left, rest_left) = cut(left, until.0 + left.len() - first.len());
        let (before_right, rest_right) = cut(right, until.1 + right.len() - second.len());
        between(&mut rows, before_left, before_right, is_one_place);
        let (Some(_), [one, more_left @ ..], [other, more_right @ ..]) =
            (next, rest_left, rest_right)
        else {
            return rows;
        };
        rows.push(SideRow::Same(one.clone(), other.clone()));
        (left, right) = (more_left, more_right);
    }
}

fn cut<T>(all: &[T], at: usize) -> (&[T], &[T]) {
    all.split_at(at.min(all.len()))
}

/// What stands between two lines that are the same: changed lines beside each other.
fn between(
    rows: &mut Vec<SideRow>,
    first: &[SideLine],
    second: &[SideLine],
    is_one_place: impl Fn(&SideLine, &SideLine) -> bool,
) {
    let (mut left, mut right) = (first.iter(), second.iter());
    let mut taken = (0, 0);
    for pair in common(first, second, is_one_place) {
        let only = left.by_ref().take(pair.0 - taken.0);
        rows.extend(only.cloned().map(SideRow::First));
        let only = right.by_ref().take(pair.1 - taken.1);
        rows.extend(only.cloned().map(SideRow::Second));
        if let (Some(one), Some(other)) = (left.next(), right.next()) {
            rows.push(SideRow::Differs(one.clone(), other.clone()));
        }
        taken = (pair.0 + 1, pair.1 + 1);
    }
    rows.extend(left.cloned().map(SideRow::First));
    rows.extend(right.cloned().map(SideRow::Second));
}

/// The places of the longest row of lines that both have in the same order; of texts that are too
/// long for that, what both begin and end with.
fn common(
    first: &[SideLine],
    second: &[SideLine],
    is_same: impl Fn(&SideLine, &SideLine) -> bool,
) -> Vec<(usize, usize)> {
    let pairs = first.iter().zip(second);
    let head = pairs.take_while(|(one, other)| is_same(one, other)).count();
    let (one, other) = (cut(first, head).1, cut(second, head).1);
    let pairs = one.iter().rev().zip(other.iter().rev());
    let tail = pairs.take_while(|(one, other)| is_same(one, other)).count();
    let (one, _) = cut(one, one.len() - tail);
    let (other, _) = cut(other, other.len() - tail);
    let mut found: Vec<(usize, usize)> = (0..head).map(|at| (at, at)).collect();
    if one.len().saturating_mul(other.len()) <= CELLS_MAX {
        let middle = longest(one, other, is_same).into_iter();
        found.extend(middle.map(|(at, beside)| (head + at, head + beside)));
    }
    let (from, beside) = (head + one.len(), head + other.len());
    found.extend((0..tail).map(|at| (from + at, beside + at)));
    found
}

/// The longest common subsequence, by the usual table of lengths.
fn longest(
    first: &[SideLine],
    second: &[SideLine],
    is_same: impl Fn(&SideLine, &SideLine) -> bool,
) -> Vec<(usize, usize)> {
    let wide = second.len() + 1;
    // How long the rest is from each place on, the last row and column empty.
    let mut lengths = vec![0_u32; (first.len() + 1) * wide];
    let at = |row: usize, column: usize| row * wide + column;
    let length = |all: &[u32], row, column| all.get(at(row, column)).copied().unwrap_or(0);
    for (row, one) in first.iter().enumerate().rev() {
        for (column, other) in second.iter().enumerate().rev() {
            let best = match is_same(one, other) {
                true => length(&lengths, row + 1, column + 1) + 1,
                false => length(&lengths, row + 1, column).max(length(&lengths, row, column + 1)),
            };
            if let Some(place) = lengths.get_mut(at(row, column)) {
                *place = best;
            }
        }
    }
    let mut found = Vec::new();
    let (mut row, mut column) = (0, 0);
    while let (Some(one), Some(other)) = (first.get(row), second.get(column)) {
        if is_same(one, other) {
            found.push((row, column));
            (row, column) = (row + 1, column + 1);
        } else if length(&lengths, row + 1, column) >= length(&lengths, row, column + 1) {
            row += 1;
        } else {
            column += 1;
        }
    }
    found
}

impl PlanSheet {
    /// The lines of what a conflict is about, by the name that it has there: a table with the
    /// comments above it, or the ids in their order; none where this text does not have it.
    pub fn lines_named(&self, name: &str) -> Vec<SideLine> {
        if name == "order" {
            let ids = self.features().iter().map(|one| one.shown("id"));
            let ids = ids.zip(1..).map(|(id, number)| SideLine {
                number,
                text: id.to_owned(),
            });
            return ids.collect();
        }
        let Some(at) = self.named(name) else {
            return Vec::new();
        };
        match self.block_start(at) {
            Some(start) => {
                let text = self.block_text(at).unwrap_or("");
                let before = self.text().get(..start).unwrap_or("");
                let mut lines = side_lines(text, before.matches('\n').count() + 1);
                // Blank lines at the end are between the tables.
                while lines.last().is_some_and(|line| line.text.trim().is_empty()) {
                    lines.pop();
                }
                lines
            }
            None => self.written_apart(at),
        }
    }

    /// Of a table without a heading of its own, the lines that its values stand in.
    fn written_apart(&self, at: TableAt) -> Vec<SideLine> {
        let stated = self.table(at).map(|table| self.stated(table));
        let lines = stated.into_iter().flatten().zip(1..);
        lines
            .map(|((key, value), number)| SideLine {
                number,
                text: format!("{key} = {value}"),
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::{SideRow, side_by_side, side_lines};

    fn told(first: &str, second: &str) -> Vec<String> {
        let rows = side_by_side(&side_lines(first, 1), &side_lines(second, 1));
        rows.iter()
            .map(|row| {
                let sign = match row {
                    SideRow::Same(..) => '=',
                    SideRow::Differs(..) => '!',
                    SideRow::First(_) => '<',
                    SideRow::Second(_) => '>',
                };
                let (one, other) = row.lines();
                let text =
                    |line: Option<&super::SideLine>| line.map_or("", |line| &line.text).to_owned();
                format!("{}{sign}{}", text(one), text(other))
            })
            .collect()
    }

    #[test]
    fn a_changed_value_stands_beside_what_it_was_and_new_lines_stand_alone() {
        let first = "id = \"A\"\ncallout = \"20 k6\"\npoints = 3\n# end";
        let second = "id = \"A\"\nname = \"seat\"\ncallout = \"20 h6\"\n# the end";
        let rows = [
            "id = \"A\"=id = \"A\"",
            ">name = \"seat\"",
            "callout = \"20 k6\"!callout = \"20 h6\"",
            "points = 3<",
            "# end!# the end",
        ];
        assert_eq!(told(first, second), rows);
        assert_eq!(told("", "a\nb"), [">a", ">b"]);
        assert_eq!(told("a\nb", ""), ["a<", "b<"]);
        assert_eq!(told("", ""), Vec::<String>::new());
        // What only went elsewhere stands on both sides, each time alone.
        assert_eq!(told("A\nB\nC", "B\nC\nA"), ["A<", "B=B", "C=C", ">A"]);
    }
}
