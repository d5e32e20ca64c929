//! Measured holes and shafts from a table: which part, of which kind, of which size.

use csv::StringRecord;

use super::house;
use super::lines::BadLine;
use super::problem::Problem;
use crate::quantity::Length;
use crate::report::shown;

const COLUMNS: [&str; 3] = ["part", "kind", "size"];
/// More parts than that are refused (chosen: a workshop's year).
const PARTS_MAX: usize = 200_000;
/// Bad rows that are told one by one.
const TOLD_MAX: usize = 20;
/// A longer name is refused.
const NAME_CHARS_MAX: usize = 100;

/// Measured parts, in the order of the table.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct PairTable {
    pub(super) holes: Vec<(String, Length)>,
    pub(super) shafts: Vec<(String, Length)>,
}

/// Reads the table.
///
/// # Errors
/// Each bad row, the first twenty; or what is missing.
pub(super) fn pair_table(text: &str) -> Result<PairTable, Vec<BadLine>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let header = text.lines().next().unwrap_or_default();
    let is_semicolons = header.contains(';');
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(if is_semicolons { b';' } else { b',' })
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut rows = reader.records();
    let columns = match rows.next() {
        Some(Ok(header)) => Columns::of(&header).map_err(|problem| vec![whole(problem)])?,
        Some(Err(error)) => return Err(vec![whole(not_a_table(&error))]),
        None => return Err(vec![whole(empty())]),
    };
    let mut table = PairTable::default();
    let mut bad = Vec::new();
    for row in rows {
        let line = row.as_ref().ok().and_then(StringRecord::position);
        let line = line.map_or(0, csv::Position::line);
        let found = row
            .map_err(|error| not_a_table(&error))
            .and_then(|row| columns.take(&row, &mut table));
        if let Err(problem) = found {
            let message = format!("Line {line}: {}", problem.message);
            bad.push(BadLine {
                input: format!("line {line}"),
                problem: Problem { message, ..problem },
            });
        }
        if bad.len() >= TOLD_MAX {
            return Err(bad);
        }
        if table.holes.len() + table.shafts.len() > PARTS_MAX {
            let message = format!("There are more than {PARTS_MAX} parts.");
            return Err(vec![whole(Problem::bad("too_many", message, None))]);
        }
    }
    if bad.is_empty() && table == PairTable::default() {
        bad.push(whole(empty()));
    }
    match bad.is_empty() {
        true => Ok(table),
        false => Err(bad),
    }
}

/// Where each column is; they may stand in any order.
struct Columns {
    part: usize,
    kind: usize,
    size: usize,
    count: usize,
}

impl Columns {
    fn of(header: &StringRecord) -> Result<Self, Problem> {
        let names: Vec<String> = header
            .iter()
            .map(|name| name.trim().to_lowercase())
            .collect();
        let place = |wanted: &str| {
            let at = names.iter().position(|name| name == wanted);
            at.ok_or_else(|| {
                let message = format!("The table has no column {wanted}.");
                let hint = "The first line names the columns: part,kind,size.";
                Problem::bad("column_missing", message, Some(hint))
            })
        };
        if let Some(other) = names.iter().find(|name| !COLUMNS.contains(&name.as_str())) {
            let message = format!("The table has a column “{}”.", shown(other));
            let hint = "It has the columns part, kind and size.";
            return Err(Problem::bad("column_unknown", message, Some(hint)));
        }
        let columns = Self {
            part: place("part")?,
            kind: place("kind")?,
            size: place("size")?,
            count: names.len(),
        };
        // Each is there, so one more is one of them again.
        if columns.count > COLUMNS.len() {
            let message = "The table has a column twice.".to_owned();
            let hint = "It has the columns part, kind and size, each once.";
            return Err(Problem::bad("column_twice", message, Some(hint)));
        }
        Ok(columns)
    }

    fn take(&self, row: &StringRecord, table: &mut PairTable) -> Result<(), Problem> {
        if row.len() != self.count {
            let (fields, count) = (row.len(), self.count);
            let message = format!("It has {fields} fields, the first line {count}.");
            let hint = "A decimal comma needs semicolons between the fields.";
            return Err(Problem::bad("wrong_field_count", message, Some(hint)));
        }
        let field = |at: usize| row.get(at).unwrap_or_default().trim();
        let name = field(self.part);
        if name.is_empty() || name.chars().count() > NAME_CHARS_MAX {
            let message = "The part has no name, or one of more than 100 characters.".to_owned();
            return Err(Problem::bad("part_missing", message, None));
        }
        let list = match field(self.kind).to_lowercase().as_str() {
            "hole" | "bore" => &mut table.holes,
            "shaft" => &mut table.shafts,
            other => {
                let message = format!("The kind “{}” is neither hole nor shaft.", shown(other));
                return Err(Problem::bad("kind_unknown", message, None));
            }
        };
        list.push((name.to_owned(), house::length(field(self.size))?));
        Ok(())
    }
}

fn whole(problem: Problem) -> BadLine {
    BadLine {
        input: "pair".to_owned(),
        problem,
    }
}

fn empty() -> Problem {
    let message = "There is no part in the table.".to_owned();
    let hint = Some("Give a table part,kind,size on standard input.");
    Problem::bad("no_parts", message, hint)
}

fn not_a_table(error: &csv::Error) -> Problem {
    Problem::bad("not_a_table", format!("This is no table: {error}."), None)
}
