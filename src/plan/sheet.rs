//! The plan file as a person edits it: its tables and cells with their places in the text.
//!
//! A sheet is read from any text that is TOML, also where the plan in it is not sound: what is
//! wrong is to be mended here. It knows which bytes belong to which cell, so that a change touches
//! those and no others. Refuses to know what the values mean together: `build.rs` does.

use std::ops::Range;

use toml::de::{DeTable, DeValue};

use super::sheet_fields::{FieldKind, PlanField, shown_value};
use super::sheet_lines::{LineKind, Lines, Section};

/// A table of the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TableAt {
    /// `[part]`.
    Part,
    /// `[rules]`.
    Rules,
    /// A `[[feature]]`, by its place in the file.
    Feature(usize),
    /// A `[[pair]]`, by its place in the file.
    Pair(usize),
}

/// Why a text cannot be edited as a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SheetRefusal {
    /// It is no TOML; [`super::Plan::parse`] says where.
    NotToml,
    /// What is to be changed is written in a form that is not changed here.
    Form,
}

impl std::fmt::Display for SheetRefusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::NotToml => "The file is no TOML as it stands; mend that place in a text editor.",
            Self::Form => {
                "That is written in a form that is not changed here; change it in a text editor."
            }
        })
    }
}

impl std::error::Error for SheetRefusal {}

/// A plan file with its places.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PlanSheet {
    text: String,
    part: Option<SheetTable>,
    rules: Option<SheetTable>,
    features: Vec<SheetTable>,
    pairs: Vec<SheetTable>,
    /// Where the first heading's block begins; the end where there is none.
    pub(super) first_block: usize,
}

/// A table with its cells.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SheetTable {
    cells: Vec<SheetCell>,
    pub(super) place: Option<TablePlace>,
}

/// The bytes of a table under a heading of its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct TablePlace {
    /// From the comments directly above the heading to the end of its last line.
    pub(super) block: Range<usize>,
    /// The end of the heading's line.
    pub(super) header_end: usize,
}

/// A key with its value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetCell {
    /// The key.
    pub key: String,
    /// The value as it is edited; none where it is written in a form that is not edited here.
    pub shown: Option<String>,
    pub(super) key_start: usize,
    pub(super) value: Range<usize>,
    /// From the begin of its first line to the end of its last.
    pub(super) lines: Range<usize>,
}

impl PlanSheet {
    /// Reads a text.
    ///
    /// # Errors
    /// It is no TOML, or its features or pairs are not written under headings.
    pub fn read(text: &str) -> Result<Self, SheetRefusal> {
        let file = DeTable::parse(text).map_err(|_| SheetRefusal::NotToml)?;
        let file = file.get_ref();
        let lines = Lines::of(text, file);
        let sections = lines.sections();
        let reader = Reader {
            text,
            lines: &lines,
            sections: &sections,
        };
        let first = sections.iter().find(|section| !section.name.is_empty());
        Ok(Self {
            part: reader.single(file, "part"),
            rules: reader.single(file, "rules"),
            features: reader.many(file, "feature")?,
            pairs: reader.many(file, "pair")?,
            first_block: first.map_or(text.len(), |section| section.block.start),
            text: text.to_owned(),
        })
    }

    /// The text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// A table; none where the file has none.
    pub fn table(&self, at: TableAt) -> Option<&SheetTable> {
        match at {
            TableAt::Part => self.part.as_ref(),
            TableAt::Rules => self.rules.as_ref(),
            TableAt::Feature(at) => self.features.get(at),
            TableAt::Pair(at) => self.pairs.get(at),
        }
    }

    /// The features in the file's order.
    pub fn features(&self) -> &[SheetTable] {
        &self.features
    }

    /// The pairs in the file's order.
    pub fn pairs(&self) -> &[SheetTable] {
        &self.pairs
    }

    /// Every table that there is, in the order part, rules, features, pairs.
    pub fn tables(&self) -> impl Iterator<Item = (TableAt, &SheetTable)> {
        let part = self.part.iter().map(|table| (TableAt::Part, table));
        let rules = self.rules.iter().map(|table| (TableAt::Rules, table));
        let features = self.features.iter().enumerate();
        let features = features.map(|(at, table)| (TableAt::Feature(at), table));
        let pairs = self.pairs.iter().enumerate();
        let pairs = pairs.map(|(at, table)| (TableAt::Pair(at), table));
        part.chain(rules).chain(features).chain(pairs)
    }

    /// The value of a cell as it is edited; empty where there is none.
    pub fn shown(&self, at: TableAt, key: &str) -> &str {
        let cell = self.table(at).and_then(|table| table.cell(key));
        cell.and_then(|cell| cell.shown.as_deref()).unwrap_or("")
    }

    /// The setting of a feature, for the order of measuring; 1 where none is read.
    fn setting(&self, at: usize) -> u32 {
        let text = self.shown(TableAt::Feature(at), "setting");
        text.parse().unwrap_or(1)
    }

    /// The features in the order of measuring: by setting, within one as the file has them.
    pub fn order(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.features.len()).collect();
        order.sort_by_key(|at| self.setting(*at));
        order
    }

    /// Whether two features are made in the same setting.
    pub fn same_setting(&self, one: usize, other: usize) -> bool {
        self.setting(one) == self.setting(other)
    }

    /// The table and the key that a byte of the text belongs to.
    pub fn found_at(&self, offset: usize) -> Option<(TableAt, Option<&str>)> {
        let holds = |range: &Range<usize>| range.start <= offset && offset < range.end.max(1);
        for (at, table) in self.tables() {
            if let Some(cell) = table.cells.iter().find(|cell| holds(&cell.lines)) {
                return Some((at, Some(&cell.key)));
            }
        }
        let blocks = self.tables();
        let mut blocks = blocks.filter_map(|(at, table)| Some((at, table.place.as_ref()?)));
        let found = blocks.find(|(_, place)| holds(&place.block));
        found.map(|(at, _)| (at, None))
    }

    /// Where each line of the text begins.
    pub(super) fn line_starts(&self) -> Vec<usize> {
        let ends = self
            .text
            .bytes()
            .enumerate()
            .filter(|(_, byte)| *byte == b'\n');
        std::iter::once(0)
            .chain(ends.map(|(at, _)| at + 1))
            .collect()
    }

    /// The byte of a place that counts lines and characters from 1; beyond the text its end.
    pub(super) fn offset(&self, starts: &[usize], line: usize, column: usize) -> usize {
        let start = starts.get(line.saturating_sub(1)).copied();
        let start = start.unwrap_or(self.text.len());
        let rest = self.text.get(start..).unwrap_or("");
        let letters = rest.chars().take(column.saturating_sub(1));
        start + letters.map(char::len_utf8).sum::<usize>()
    }

    /// The text with the bytes of these tables and cells made blank, lines staying where they are.
    pub(super) fn blanked(&self, all: &[(TableAt, Option<String>)]) -> Option<String> {
        let mut bytes = self.text.clone().into_bytes();
        for (at, key) in all {
            let Some(table) = self.table(*at) else {
                continue;
            };
            let cell = key.as_deref().and_then(|key| table.cell(key));
            let range = match (at, cell) {
                (TableAt::Part | TableAt::Rules, Some(cell)) => cell.lines.clone(),
                _ => table.place.as_ref()?.block.clone(),
            };
            let range = bytes.get_mut(range)?;
            let letters = range.iter_mut().filter(|byte| **byte != b'\n');
            letters.for_each(|byte| *byte = b' ');
        }
        String::from_utf8(bytes).ok()
    }
}

impl SheetTable {
    /// Its cells in the file's order.
    pub fn cells(&self) -> &[SheetCell] {
        &self.cells
    }

    /// The cell of a key.
    pub fn cell(&self, key: &str) -> Option<&SheetCell> {
        self.cells.iter().find(|cell| cell.key == key)
    }

    /// The value of a key as it is edited; empty where there is none.
    pub fn shown(&self, key: &str) -> &str {
        let shown = self.cell(key).and_then(|cell| cell.shown.as_deref());
        shown.unwrap_or("")
    }
}

struct Reader<'a> {
    text: &'a str,
    lines: &'a Lines,
    sections: &'a [Section],
}

impl Reader<'_> {
    fn single(&self, file: &DeTable<'_>, name: &'static str) -> Option<SheetTable> {
        let DeValue::Table(table) = file.get(name)?.get_ref() else {
            return None;
        };
        let mut named = self.sections.iter().filter(|section| section.name == name);
        let section = named.next();
        Some(self.table(table, name, section))
    }

    fn many(
        &self,
        file: &DeTable<'_>,
        name: &'static str,
    ) -> Result<Vec<SheetTable>, SheetRefusal> {
        let named = self.sections.iter().filter(|section| section.name == name);
        let named: Vec<&Section> = named.collect();
        let Some(value) = file.get(name) else {
            return Ok(Vec::new());
        };
        let DeValue::Array(all) = value.get_ref() else {
            return Err(SheetRefusal::Form);
        };
        // Inline, or a list of something else: its entries have no headings.
        if named.len() != all.len() {
            return Err(SheetRefusal::Form);
        }
        let tables = all
            .iter()
            .zip(named)
            .map(|(one, section)| match one.get_ref() {
                DeValue::Table(table) => Ok(self.table(table, name, Some(section))),
                _ => Err(SheetRefusal::Form),
            });
        tables.collect()
    }

    fn table(
        &self,
        table: &DeTable<'_>,
        name: &'static str,
        section: Option<&Section>,
    ) -> SheetTable {
        let cells = table.iter().map(|(key, value)| {
            let span = value.span();
            let raw = self.text.get(span.clone()).unwrap_or("");
            let kind = PlanField::of(name, key.get_ref()).map_or(FieldKind::Raw, |one| one.kind);
            let first = self.lines.at(key.span().start);
            let last = self.lines.at(span.end.saturating_sub(1));
            SheetCell {
                key: key.get_ref().to_string(),
                shown: shown_value(kind, value.get_ref(), raw, self.text),
                key_start: key.span().start,
                value: span,
                lines: self.lines.start(first)..self.lines.end(last),
            }
        });
        let mut cells: Vec<SheetCell> = cells.collect();
        cells.sort_by_key(|cell| cell.key_start);
        SheetTable {
            cells,
            place: section.map(|section| TablePlace {
                block: section.block.clone(),
                header_end: section.header_end,
            }),
        }
    }
}

impl Lines {
    /// The headings of the file with the bytes that belong to each.
    fn sections(&self) -> Vec<Section> {
        let headers = self.of_kind(LineKind::Header);
        let mut sections = Vec::new();
        for (at, header) in headers.iter().enumerate() {
            let next = headers.get(at + 1).copied();
            let end = next.map_or(self.count(), |next| self.attached_from(next));
            let mut last = *header;
            for line in *header..end {
                match self.kind(line) {
                    LineKind::Entry | LineKind::Inside => last = line,
                    // A comment directly below what belongs to the table does so too.
                    LineKind::Comment if line == last + 1 => last = line,
                    _ => {}
                }
            }
            sections.push(Section {
                name: self.heading(*header).to_owned(),
                block: self.start(self.attached_from(*header))..self.end(last),
                header_end: self.end(*header),
            });
        }
        sections
    }
}
