//! The lines of a TOML file: headings, entries, comments, blank ones, and those inside a value
//! that goes over several.

use std::ops::Range;

use toml::de::{DeTable, DeValue};

/// What a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LineKind {
    /// `[part]`, `[[feature]]`.
    Header,
    /// A key with the begin of its value.
    Entry,
    /// Nothing but a comment.
    Comment,
    /// Nothing.
    Blank,
    /// The inside of a value, or its end.
    Inside,
}

/// A heading with what belongs to it.
#[derive(Debug)]
pub(super) struct Section {
    /// `part`; without brackets, blanks and quotes.
    pub(super) name: String,
    /// From the comments directly above it to its last line.
    pub(super) block: Range<usize>,
    /// The end of its own line.
    pub(super) header_end: usize,
}

/// The lines of a text.
pub(super) struct Lines {
    bounds: Vec<(Range<usize>, LineKind)>,
    headings: Vec<(usize, String)>,
}

impl Lines {
    /// The lines of a text whose TOML is that.
    pub(super) fn of(text: &str, file: &DeTable<'_>) -> Self {
        let mut starts = vec![0];
        starts.extend(text.match_indices('\n').map(|(at, _)| at + 1));
        if starts.last() == Some(&text.len()) && text.ends_with('\n') {
            starts.pop();
        }
        let ends = starts.iter().skip(1).copied().chain([text.len()]);
        let bounds = starts.iter().copied().zip(ends);
        let mut lines = Self {
            bounds: bounds
                .map(|(from, to)| (from..to, kind_of(text.get(from..to).unwrap_or(""))))
                .collect(),
            headings: Vec::new(),
        };
        let mut spans = Vec::new();
        values(file, text, &mut spans);
        for span in spans {
            let (first, last) = (lines.at(span.start), lines.at(span.end.saturating_sub(1)));
            for line in first + 1..=last {
                if let Some((_, kind)) = lines.bounds.get_mut(line) {
                    *kind = LineKind::Inside;
                }
            }
        }
        lines.headings = lines
            .of_kind(LineKind::Header)
            .into_iter()
            .map(|line| (line, heading(lines.text(line, text))))
            .collect();
        lines
    }

    fn text<'t>(&self, line: usize, text: &'t str) -> &'t str {
        text.get(self.start(line)..self.end(line)).unwrap_or("")
    }

    pub(super) fn count(&self) -> usize {
        self.bounds.len()
    }

    /// The line of a byte.
    pub(super) fn at(&self, offset: usize) -> usize {
        let after = self
            .bounds
            .partition_point(|(line, _)| line.start <= offset);
        after.saturating_sub(1)
    }

    pub(super) fn start(&self, line: usize) -> usize {
        self.bounds.get(line).map_or(0, |(line, _)| line.start)
    }

    pub(super) fn end(&self, line: usize) -> usize {
        self.bounds.get(line).map_or(0, |(line, _)| line.end)
    }

    pub(super) fn kind(&self, line: usize) -> LineKind {
        self.bounds
            .get(line)
            .map_or(LineKind::Blank, |(_, kind)| *kind)
    }

    pub(super) fn of_kind(&self, wanted: LineKind) -> Vec<usize> {
        let lines = self.bounds.iter().enumerate();
        let lines = lines.filter(|(_, (_, kind))| *kind == wanted);
        lines.map(|(at, _)| at).collect()
    }

    pub(super) fn heading(&self, line: usize) -> &str {
        let mut headings = self.headings.iter();
        let found = headings.find(|(at, _)| *at == line);
        found.map_or("", |(_, name)| name)
    }

    /// The first of the comments directly above a line; else the line itself.
    pub(super) fn attached_from(&self, line: usize) -> usize {
        let mut first = line;
        while first > 0 && self.kind(first - 1) == LineKind::Comment {
            first -= 1;
        }
        first
    }
}

fn kind_of(line: &str) -> LineKind {
    match line.trim_start().chars().next() {
        None => LineKind::Blank,
        Some('#') => LineKind::Comment,
        Some('[') => LineKind::Header,
        Some(_) => LineKind::Entry,
    }
}

/// `feature` of `[[ "feature" ]]  # the seat`.
fn heading(line: &str) -> String {
    let inner = line.trim_start().trim_start_matches('[');
    let inner = inner.split(']').next().unwrap_or("");
    inner.trim().trim_matches(['"', '\'']).to_owned()
}

/// The bytes of every value that is written behind a key.
fn values(table: &DeTable<'_>, text: &str, spans: &mut Vec<Range<usize>>) {
    let is_inline = |span: Range<usize>| text.get(span).is_some_and(|raw| raw.starts_with('{'));
    for (_, value) in table.iter() {
        match value.get_ref() {
            DeValue::Table(inner) if !is_inline(value.span()) => values(inner, text, spans),
            DeValue::Array(all) => {
                let mut inner = Vec::new();
                let is_under_headings = !all.is_empty()
                    && all.iter().all(|one| match one.get_ref() {
                        DeValue::Table(table) if !is_inline(one.span()) => {
                            inner.push(table);
                            true
                        }
                        _ => false,
                    });
                match is_under_headings {
                    true => inner.iter().for_each(|table| values(table, text, spans)),
                    false => spans.push(value.span()),
                }
            }
            _ => spans.push(value.span()),
        }
    }
}
