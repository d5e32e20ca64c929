//! Errors that point into a text: file, line, column, and a picture with a caret.
//!
//! Shared by every file that people write by hand (gauge register, inspection plan). Refuses to
//! know what the text means: a [`Problem`] says that.

use std::fmt;
use std::ops::Range;

/// What is wrong, without its place.
pub trait Problem: fmt::Display {
    /// The problem's stable word for machines.
    fn code(&self) -> &'static str;
    /// What to do about it, one sentence.
    fn hint(&self) -> Option<String>;
}

/// A place in a text; line and column count from 1, the column in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// The line, from 1.
    pub line: usize,
    /// The character in its line, from 1.
    pub column: usize,
}

/// A problem with its place in a named text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pointed<P> {
    file: String,
    place: Place,
    excerpt: String,
    caret_at: usize,
    caret_width: usize,
    problem: P,
}

impl<P: Problem> Pointed<P> {
    /// The label of the text, usually a file name.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// Where it is.
    pub fn place(&self) -> Place {
        self.place
    }

    /// What is wrong.
    pub fn problem(&self) -> &P {
        &self.problem
    }

    /// The problem's stable word for machines.
    pub fn code(&self) -> &'static str {
        self.problem.code()
    }

    /// What to do about it, one sentence.
    pub fn hint(&self) -> Option<String> {
        self.problem.hint()
    }

    /// One line: file, line, column, and the sentence.
    pub fn sentence(&self) -> String {
        let Place { line, column } = self.place;
        format!(
            "{}, line {line}, column {column}: {}",
            self.file, self.problem
        )
    }
}

/// The sentence, the line of the text with carets below, and the hint.
impl<P: Problem> fmt::Display for Pointed<P> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = self.place.line.to_string();
        let gutter = " ".repeat(number.len());
        writeln!(f, "{}", self.sentence())?;
        writeln!(f, " {gutter} |")?;
        writeln!(f, " {number} | {}", self.excerpt)?;
        let (blanks, carets) = (" ".repeat(self.caret_at), "^".repeat(self.caret_width));
        write!(f, " {gutter} | {blanks}{carets}")?;
        if let Some(hint) = self.hint() {
            write!(f, "\n {gutter} = {hint}")?;
        }
        Ok(())
    }
}

impl<P: Problem + fmt::Debug> std::error::Error for Pointed<P> {}

/// A text and the name under which errors speak of it.
#[derive(Debug, Clone)]
pub struct SourceText<'t> {
    label: &'t str,
    text: &'t str,
    /// The first byte of every line.
    line_starts: Vec<usize>,
}

impl<'t> SourceText<'t> {
    /// Longest excerpt of a line that is shown.
    const EXCERPT_MAX: usize = 76;

    /// A text under that label.
    pub fn new(label: &'t str, text: &'t str) -> Self {
        let ends = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n');
        let line_starts = std::iter::once(0).chain(ends.map(|(at, _)| at + 1));
        Self {
            label,
            text,
            line_starts: line_starts.collect(),
        }
    }

    /// The characters of a span of bytes; empty when the span is none of this text.
    pub fn slice(&self, span: &Range<usize>) -> &'t str {
        self.text.get(span.clone()).unwrap_or("")
    }

    /// The whole text.
    pub fn text(&self) -> &'t str {
        self.text
    }

    /// Where a byte of the text is; beyond the end it is the end.
    pub fn place(&self, offset: usize) -> Place {
        let offset = self.boundary(offset);
        let line = self.line(offset);
        let start = self.line_starts.get(line - 1).copied().unwrap_or(0);
        let before = self.text.get(start..offset).map_or(0, chars_shown);
        Place {
            line,
            column: before + 1,
        }
    }

    /// The line of a byte, from 1.
    pub fn line(&self, offset: usize) -> usize {
        self.line_starts.partition_point(|start| *start <= offset)
    }

    /// The problem at a span of bytes.
    pub fn point<P>(&self, span: &Range<usize>, problem: P) -> Pointed<P> {
        let start = self.boundary(span.start);
        let place = self.place(start);
        let line = self.line_text(place.line);
        let marked = self.text.get(start..self.boundary(span.end)).unwrap_or("");
        let marked = marked.lines().next().map_or(0, chars_shown);
        let column = place.column - 1;
        let skipped = match column + marked.min(Self::EXCERPT_MAX / 2) {
            end if end <= Self::EXCERPT_MAX => 0,
            _ => column.saturating_sub(Self::EXCERPT_MAX / 2),
        };
        let excerpt: String = line
            .chars()
            .filter(|c| *c != BYTE_ORDER_MARK)
            .skip(skipped)
            .take(Self::EXCERPT_MAX)
            .map(|c| match c {
                '\t' => ' ',
                c if c.is_control() => '·',
                c => c,
            })
            .collect();
        let caret_at = column - skipped;
        let room = excerpt.chars().count().saturating_sub(caret_at);
        Pointed {
            file: self.label.to_owned(),
            place,
            excerpt: excerpt.trim_end().to_owned(),
            caret_at,
            caret_width: marked.min(room).max(1),
            problem,
        }
    }

    /// A line without its end.
    pub fn line_text(&self, line: usize) -> &'t str {
        let bound = |line: usize| self.line_starts.get(line).copied();
        let start = bound(line.saturating_sub(1)).unwrap_or(self.text.len());
        let end = bound(line).unwrap_or(self.text.len());
        let text = self.text.get(start..end).unwrap_or("");
        text.trim_end_matches(['\n', '\r'])
    }

    /// The offset itself, moved down to where a character begins.
    fn boundary(&self, offset: usize) -> usize {
        let mut offset = offset.min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        offset
    }
}

/// Some editors put it before the first line; it takes no column.
const BYTE_ORDER_MARK: char = '\u{feff}';

fn chars_shown(text: &str) -> usize {
    text.chars().filter(|c| *c != BYTE_ORDER_MARK).count()
}

/// The known word that a mistyped one is nearest to, if any is near: at most a third of its
/// letters, and always one, may be wrong, missing, added or swapped with a neighbour, but never
/// all of them.
pub fn nearest<'w>(found: &str, known: impl IntoIterator<Item = &'w str>) -> Option<&'w str> {
    const LETTERS_MAX: usize = 64;
    let letters: Vec<char> = found.chars().take(LETTERS_MAX + 1).collect();
    if letters.len() > LETTERS_MAX {
        return None;
    }
    known
        .into_iter()
        .map(|word| (differences(&letters, word), word))
        .filter(|(count, word)| {
            let length = word.chars().count();
            *count <= (length / 3).max(1) && *count < length.min(letters.len()).max(1)
        })
        .min_by_key(|(count, _)| *count)
        .map(|(_, word)| word)
}

/// Fewest single-letter edits and swaps of neighbours (optimal string alignment), letter case
/// ignored.
fn differences(found: &[char], known: &str) -> usize {
    let lower = |c: &char| c.to_lowercase().next().unwrap_or(*c);
    let a: Vec<char> = found.iter().map(lower).collect();
    let b: Vec<char> = known.chars().map(|c| lower(&c)).collect();
    let mut before_last: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, y) in b.iter().enumerate() {
            let kept = last[j] + usize::from(x != y);
            let mut best = kept.min(last[j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && a[i - 1] == *y && *x == b[j - 1] {
                best = best.min(before_last[j - 1] + 1);
            }
            row.push(best);
        }
        before_last = std::mem::replace(&mut last, row);
    }
    last.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::{Place, SourceText, nearest};

    #[test]
    fn places_count_from_one_and_in_characters() {
        let source = SourceText::new("f", "\u{feff}a\r\nØ = é\n");
        let at = |offset| source.place(offset);
        assert_eq!(at(0), Place { line: 1, column: 1 });
        assert_eq!(at(3), Place { line: 1, column: 1 });
        assert_eq!(at(6), Place { line: 2, column: 1 });
        assert_eq!(at(8), Place { line: 2, column: 2 });
        assert_eq!(at(11), Place { line: 2, column: 5 });
        assert_eq!(at(12), Place { line: 2, column: 5 });
        assert_eq!(at(999), Place { line: 3, column: 1 });
    }

    #[test]
    fn the_nearest_word_is_found_or_none() {
        let known = ["points", "pair", "setting", "every"];
        assert_eq!(nearest("pionts", known), Some("points"));
        assert_eq!(nearest("Point", known), Some("points"));
        assert_eq!(nearest("evry", known), Some("every"));
        assert_eq!(nearest("colour", known), None);
        assert_eq!(nearest("", known), None);
        assert_eq!(nearest("k", ["f", "m", "c", "v"]), None);
        assert_eq!(nearest("M", ["f", "m", "c", "v"]), Some("m"));
    }
}
