//! Changes to the text of a plan that keep everything else as the person wrote it, byte for byte.
//!
//! A change replaces the bytes of one value, puts one line in, takes one line out, or moves the
//! lines of whole tables; comments, blank lines, order and line ends stay. The changed text is read
//! again before it is given back: it must state what was to be written, and all else as before.

use std::collections::BTreeMap;
use std::ops::Range;

use super::sheet::{PlanSheet, SheetRefusal, SheetTable, TableAt};
use super::sheet_fields::{FieldKind, PlanField, quoted, written_value};

/// One change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PlanEdit {
    /// A value is written as it was typed; an empty one takes the key out.
    Set {
        /// In which table.
        at: TableAt,
        /// The key.
        key: String,
        /// What was typed.
        typed: String,
    },
    /// A feature is added behind another, or at the end.
    AddFeature {
        /// The feature before it.
        after: Option<usize>,
        /// Its id.
        id: String,
        /// Its callout.
        callout: String,
    },
    /// A pair is added at the end.
    AddPair {
        /// The hole.
        hole: String,
        /// The shaft.
        shaft: String,
    },
    /// A feature or a pair is taken out with the comments that belong to it.
    Remove(TableAt),
    /// Two features change places.
    Swap(usize, usize),
    /// A whole table is put in as it is written elsewhere.
    Insert {
        /// Behind this table, else at the end.
        after: Option<TableAt>,
        /// One `[[feature]]` or `[[pair]]` with its lines.
        block: String,
        /// Whether it is a pair.
        is_pair: bool,
    },
}

/// What a table states, by key.
pub type Stated = BTreeMap<String, String>;

/// What a whole plan states.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PlanStated {
    /// `[part]`.
    pub part: Stated,
    /// `[rules]`.
    pub rules: Stated,
    /// The features in the file's order.
    pub features: Vec<Stated>,
    /// The pairs in the file's order.
    pub pairs: Vec<Stated>,
}

impl PlanStated {
    fn table(&mut self, at: TableAt) -> Option<&mut Stated> {
        match at {
            TableAt::Part => Some(&mut self.part),
            TableAt::Rules => Some(&mut self.rules),
            TableAt::Feature(at) => self.features.get_mut(at),
            TableAt::Pair(at) => self.pairs.get_mut(at),
        }
    }
}

impl TableAt {
    /// The name of its heading.
    pub fn name(self) -> &'static str {
        match self {
            Self::Part => "part",
            Self::Rules => "rules",
            Self::Feature(_) => "feature",
            Self::Pair(_) => "pair",
        }
    }
}

impl PlanSheet {
    /// What a table states.
    pub fn stated(&self, table: &SheetTable) -> Stated {
        let cells = table.cells().iter().map(|cell| {
            let raw = || self.text().get(cell.value.clone()).unwrap_or("").to_owned();
            (cell.key.clone(), cell.shown.clone().unwrap_or_else(raw))
        });
        cells.collect()
    }

    /// What the whole plan states.
    pub fn all_stated(&self) -> PlanStated {
        let single = |at| {
            let table = self.table(at);
            table.map_or_else(Stated::new, |table| self.stated(table))
        };
        let many = |all: &[SheetTable]| all.iter().map(|one| self.stated(one)).collect();
        PlanStated {
            part: single(TableAt::Part),
            rules: single(TableAt::Rules),
            features: many(self.features()),
            pairs: many(self.pairs()),
        }
    }

    /// The sheet after a change.
    ///
    /// # Errors
    /// What is to be changed is written in a form that is not changed here, or is not there.
    pub fn edited(&self, edit: &PlanEdit) -> Result<Self, SheetRefusal> {
        match self.is_there(edit) {
            true => self.applied(edit),
            false => Err(SheetRefusal::Form),
        }
    }

    fn applied(&self, edit: &PlanEdit) -> Result<Self, SheetRefusal> {
        let mut expected = self.all_stated();
        let text = match edit {
            PlanEdit::Set { at, key, typed } => {
                let (text, shown) = self.set(*at, key, typed)?;
                let table = expected.table(*at).ok_or(SheetRefusal::Form)?;
                match shown {
                    Some(shown) => drop(table.insert(key.clone(), shown)),
                    None => drop(table.remove(key)),
                }
                text
            }
            PlanEdit::AddFeature { after, id, callout } => {
                let all = [("id", id), ("callout", callout)];
                let block = self.block("feature", &all);
                let at = after.map_or(expected.features.len(), |after| after + 1);
                expected.features.insert(at, stated_of(&all));
                self.inserted(after.map(TableAt::Feature), &block, false)?
            }
            PlanEdit::AddPair { hole, shaft } => {
                let all = [("hole", hole), ("shaft", shaft)];
                expected.pairs.push(stated_of(&all));
                self.inserted(None, &self.block("pair", &all), true)?
            }
            PlanEdit::Remove(at) => {
                match at {
                    TableAt::Feature(at) => drop(expected.features.remove(*at)),
                    TableAt::Pair(at) => drop(expected.pairs.remove(*at)),
                    TableAt::Part | TableAt::Rules => return Err(SheetRefusal::Form),
                }
                self.removed(*at)?
            }
            PlanEdit::Swap(one, other) => {
                expected.features.swap(*one, *other);
                self.swapped(*one, *other)?
            }
            PlanEdit::Insert {
                after,
                block,
                is_pair,
            } => {
                let put_in = Self::read(block)?.all_stated();
                let (all, of_block) = match is_pair {
                    true => (&mut expected.pairs, put_in.pairs),
                    false => (&mut expected.features, put_in.features),
                };
                let [one] = of_block.as_slice() else {
                    return Err(SheetRefusal::Form);
                };
                let at = match *after {
                    Some(TableAt::Feature(at) | TableAt::Pair(at)) => at + 1,
                    _ => all.len(),
                };
                all.insert(at.min(all.len()), one.clone());
                self.inserted(*after, block, *is_pair)?
            }
        };
        let after = Self::read(&text)?;
        match after.all_stated() == expected {
            true => Ok(after),
            false => Err(SheetRefusal::Form),
        }
    }

    /// Whether a change names what is there.
    fn is_there(&self, edit: &PlanEdit) -> bool {
        let (features, pairs) = (self.features().len(), self.pairs().len());
        match edit {
            PlanEdit::Remove(TableAt::Feature(at)) => *at < features,
            PlanEdit::Remove(TableAt::Pair(at)) => *at < pairs,
            PlanEdit::Swap(one, other) => *one < features && *other < features,
            PlanEdit::AddFeature { after, .. } => after.is_none_or(|at| at < features),
            _ => true,
        }
    }

    /// The text of a table as it stands, comments above it included.
    pub(super) fn block_text(&self, at: TableAt) -> Option<&str> {
        let place = self.table(at)?.place.as_ref()?;
        self.text().get(place.block.clone())
    }

    /// Where that text begins; none for a table without a heading of its own.
    pub(super) fn block_start(&self, at: TableAt) -> Option<usize> {
        Some(self.table(at)?.place.as_ref()?.block.start)
    }

    /// How the file ends its lines.
    fn line_end(&self) -> &'static str {
        match self.text().split_once('\n') {
            Some((first, _)) if first.ends_with('\r') => "\r\n",
            _ => "\n",
        }
    }

    fn block(&self, name: &str, all: &[(&str, &String)]) -> String {
        let end = self.line_end();
        let lines = all.iter().map(|(key, value)| {
            let value = quoted(value.trim());
            format!("{key} = {value}{end}")
        });
        format!("[[{name}]]{end}{}", lines.collect::<String>())
    }

    /// The text with a value set, and how it is shown then; none where the key is taken out.
    fn set(
        &self,
        at: TableAt,
        key: &str,
        typed: &str,
    ) -> Result<(String, Option<String>), SheetRefusal> {
        let field = PlanField::of(at.name(), key);
        let kind = field.map_or(FieldKind::Raw, |field| field.kind);
        let is_kept = field.is_some_and(|field| field.is_required);
        let cell = self.table(at).and_then(|table| table.cell(key));
        if typed.trim().is_empty() && !is_kept {
            let Some(cell) = cell else {
                return Ok((self.text().to_owned(), None));
            };
            return Ok((
                self.without_cell(at, &cell.value, cell.lines.clone())?,
                None,
            ));
        }
        let written = written_value(kind, typed);
        let text = match cell {
            Some(cell) if cell.shown.is_none() => return Err(SheetRefusal::Form),
            Some(cell) => self.spliced(cell.value.clone(), &written),
            None => self.with_line(at, key, &written)?,
        };
        // How it is shown is read from the file, so that both ways meet.
        let after = Self::read(&text)?;
        Ok((text, Some(after.shown(at, key).to_owned())))
    }

    fn spliced(&self, range: Range<usize>, with: &str) -> String {
        let before = self.text().get(..range.start).unwrap_or("");
        let after = self.text().get(range.end..).unwrap_or("");
        format!("{before}{with}{after}")
    }

    /// Takes a key out; a comment behind its value stays as a line of its own.
    fn without_cell(
        &self,
        at: TableAt,
        value: &Range<usize>,
        lines: Range<usize>,
    ) -> Result<String, SheetRefusal> {
        let place = self.table(at).and_then(|table| table.place.as_ref());
        let is_under_heading = place.is_some_and(|place| place.block.contains(&lines.start));
        let inside = self.text().get(value.clone()).unwrap_or("");
        if !is_under_heading || (inside.contains('\n') && inside.contains('#')) {
            return Err(SheetRefusal::Form);
        }
        let behind = self.text().get(value.end..lines.end).unwrap_or("");
        match behind.trim() {
            "" => Ok(self.spliced(lines, "")),
            // `behind` ends the last line, so the comment takes the place of all of them.
            _ => {
                let indent = self.indent(lines.start);
                let comment = behind.trim_start_matches([' ', '\t']);
                Ok(self.spliced(lines.clone(), &format!("{indent}{comment}")))
            }
        }
    }

    /// Puts a key into its table, behind those that usually stand before it.
    fn with_line(&self, at: TableAt, key: &str, written: &str) -> Result<String, SheetRefusal> {
        let end = self.line_end();
        let line = format!("{key} = {written}{end}");
        let Some(table) = self.table(at) else {
            return self.with_table(at, &line);
        };
        let place = table.place.as_ref().ok_or(SheetRefusal::Form)?;
        let fields = PlanField::all(at.name());
        let rank = |key: &str| {
            let found = fields.iter().position(|field| field.key == key);
            found.unwrap_or(fields.len())
        };
        let before = table.cells().iter().rev();
        let mut before = before.filter(|cell| rank(&cell.key) < rank(key));
        let (offset, indent) = match before.next() {
            Some(cell) => (cell.lines.end, self.indent(cell.lines.start)),
            None => {
                let first = table.cells().first();
                let indent = first.map_or("", |cell| self.indent(cell.lines.start));
                (place.header_end, indent)
            }
        };
        let before = self.text().get(..offset).unwrap_or("");
        let is_open = !before.is_empty() && !before.ends_with('\n');
        let opened = if is_open { end } else { "" };
        Ok(self.spliced(offset..offset, &format!("{opened}{indent}{line}")))
    }

    fn indent(&self, line: usize) -> &str {
        let rest = self.text().get(line..).unwrap_or("");
        let blanks = rest.len() - rest.trim_start_matches([' ', '\t']).len();
        rest.get(..blanks).unwrap_or("")
    }

    /// Puts `[part]` or `[rules]` in, which the file does not have.
    fn with_table(&self, at: TableAt, line: &str) -> Result<String, SheetRefusal> {
        let end = self.line_end();
        let block = format!("[{}]{end}{line}", at.name());
        let part = self.table(TableAt::Part).map(|part| part.place.as_ref());
        match (at, part) {
            (TableAt::Rules, Some(Some(part))) => Ok(self.put_in(part.block.end, &block)),
            (TableAt::Part | TableAt::Rules, _) => Ok(self.put_in(self.first_block, &block)),
            _ => Err(SheetRefusal::Form),
        }
    }

    /// Puts a feature or a pair in behind another table, or where such ones end.
    fn inserted(
        &self,
        after: Option<TableAt>,
        block: &str,
        is_pair: bool,
    ) -> Result<String, SheetRefusal> {
        let end_of = |table: &SheetTable| table.place.as_ref().map(|place| place.block.end);
        let last = || match is_pair {
            true => self.pairs().last().or(self.features().last()),
            false => self.features().last(),
        };
        let table = match after {
            Some(at) => Some(self.table(at).ok_or(SheetRefusal::Form)?),
            None => last(),
        };
        let heads = [TableAt::Rules, TableAt::Part].map(|at| self.table(at).and_then(end_of));
        let offset = match table {
            Some(table) => end_of(table).ok_or(SheetRefusal::Form)?,
            None => heads
                .into_iter()
                .flatten()
                .max()
                .unwrap_or(self.text().len()),
        };
        Ok(self.put_in(offset, block))
    }

    /// Puts lines in with a blank one before and, where more follows, behind them.
    fn put_in(&self, offset: usize, block: &str) -> String {
        let end = self.line_end();
        let before = self.text().get(..offset).unwrap_or("");
        let after = self.text().get(offset..).unwrap_or("");
        let mut all = before.to_owned();
        if !before.is_empty() {
            if !before.ends_with('\n') {
                all.push_str(end);
            }
            let last = before.trim_end_matches(['\r', '\n']);
            let blanks = before.get(last.len()..).unwrap_or("").matches('\n').count();
            if blanks < 2 && !last.is_empty() {
                all.push_str(end);
            }
        }
        all.push_str(block);
        if !block.ends_with('\n') {
            all.push_str(end);
        }
        let next = after.lines().next();
        if next.is_some_and(|line| !line.trim().is_empty()) {
            all.push_str(end);
        }
        all + after
    }

    fn removed(&self, at: TableAt) -> Result<String, SheetRefusal> {
        let table = self.table(at).ok_or(SheetRefusal::Form)?;
        let place = table.place.as_ref().ok_or(SheetRefusal::Form)?;
        let before = self.text().get(..place.block.start).unwrap_or("");
        // The blank lines above it go with it; those below part what is left.
        let kept = match before.trim_end_matches([' ', '\t', '\r', '\n']) {
            "" => before.len(),
            kept => kept.len() + self.end_behind(kept.len()),
        };
        Ok(self.spliced(kept.min(place.block.start)..place.block.end, ""))
    }

    /// The length of the line end that stands at a byte, with the blanks before it.
    fn end_behind(&self, offset: usize) -> usize {
        let rest = self.text().get(offset..).unwrap_or("");
        rest.find('\n').map_or(0, |at| at + 1)
    }

    fn swapped(&self, one: usize, other: usize) -> Result<String, SheetRefusal> {
        let (first, second) = (one.min(other), one.max(other));
        if first == second {
            return Ok(self.text().to_owned());
        }
        let block = |at: usize| {
            let table = self.features().get(at)?;
            Some(table.place.as_ref()?.block.clone())
        };
        let (Some(first), Some(second)) = (block(first), block(second)) else {
            return Err(SheetRefusal::Form);
        };
        let text = |range: Range<usize>| self.text().get(range).unwrap_or("");
        let between = text(first.end..second.start);
        let (upper, lower) = (text(first.clone()), text(second.clone()));
        let end = if lower.ends_with('\n') {
            ""
        } else {
            self.line_end()
        };
        // The last line of the file may have no end.
        let upper = match end {
            "" => upper,
            end => upper.strip_suffix(end).unwrap_or(upper),
        };
        let swapped = format!("{lower}{end}{between}{upper}");
        Ok(self.spliced(first.start..second.end, &swapped))
    }
}

fn stated_of(all: &[(&str, &String)]) -> Stated {
    let all = all.iter();
    all.map(|(key, value)| ((*key).to_owned(), value.trim().to_owned()))
        .collect()
}
