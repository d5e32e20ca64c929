//! Values that were measured elsewhere, read from a table: each row a reading of a plan's
//! characteristic, or what is wrong with it. No row is guessed at.
//!
//! Commas or, where the header has no comma, semicolons separate the fields; quotes as in RFC
//! 4180. The columns are told apart by the header, in any order. What [`csv`](crate::report::csv())
//! writes can be read again.

use std::collections::{BTreeMap, BTreeSet};

use csv::StringRecord;

use super::import_parts::Parts;
use super::import_reading::reading_of;
use crate::gauge::{CheckEnd, Reading};
use crate::session::{Refusal, Setup, UNNAMED_IMPORTED, UNNAMED_TYPED};

/// The columns that mean something here. `value_unit` is `unit` under another name, and a row that
/// does not count (`counts` is `false`) is passed over, as this program's own tables have them.
const COLUMNS: [&str; 13] = [
    "part",
    "serial",
    "feature",
    "element",
    "point",
    "value",
    "unit",
    "value_unit",
    "gauge",
    "operator",
    "time",
    "note",
    "counts",
];
/// A longer row is refused: it would not fit a line of the record comfortably (chosen).
const ROW_BYTES_MAX: usize = 4_000;
/// More rows than that are refused (chosen: several years of a bench).
const ROWS_MAX: usize = 100_000;

/// One row that is a reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ImportRow {
    /// Its line in the file, from 1.
    pub line: u64,
    /// Running number of the part in the new record.
    pub part: u32,
    /// Serial number; may be empty.
    pub serial: String,
    /// The characteristic, by its place in measuring order.
    pub target: usize,
    /// Point, from 1.
    pub point: u16,
    /// Who measured; may be empty.
    pub operator: String,
    /// The reading; its raw bytes are the row as it stands.
    pub reading: Reading,
}

/// A row that is none, or something wrong with the table as a whole (line 1).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WrongRow {
    /// Its line in the file, from 1.
    pub line: u64,
    /// The stable word for machines.
    pub code: &'static str,
    /// What is wrong, in a sentence.
    pub sentence: String,
    /// What to do.
    pub hint: Option<&'static str>,
}

/// What a table says.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ImportTable {
    /// Readings, by part, each characteristic's points in order.
    pub rows: Vec<ImportRow>,
    /// What is wrong, by line.
    pub wrong: Vec<WrongRow>,
    /// Columns that mean nothing here.
    pub unknown_columns: Vec<String>,
    /// Rows that say of themselves that they do not count.
    pub not_counting: usize,
    /// Parts whose number in the table is another than in the record: that and this.
    pub renumbered: Vec<(u32, u32)>,
}

/// What holds where the table says nothing.
#[derive(Debug, Clone, Copy, Default)]
pub struct ImportDefaults<'a> {
    /// Gauge of the register; empty: none.
    pub gauge: &'a str,
    /// Who measured; empty: not said.
    pub operator: &'a str,
}

/// Reads a table for a plan. Whatever the text is, each of its rows is a reading, is wrong, or does
/// not count.
pub fn import_table(text: &str, setup: &Setup, defaults: ImportDefaults<'_>) -> ImportTable {
    let mut table = ImportTable::default();
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator(text))
        .flexible(true)
        .from_reader(text.as_bytes());
    let columns = match reader.headers() {
        Ok(header) => Columns::of(header, &mut table),
        Err(error) => {
            table.wrong.push(not_a_table(1, &error));
            return table;
        }
    };
    let Some(columns) = columns else { return table };
    let mut fields: Vec<(u64, Fields)> = Vec::new();
    let mut record = StringRecord::new();
    let mut place = Lines::default();
    loop {
        let from = reader.position().byte();
        match reader.read_record(&mut record) {
            Ok(false) => break,
            Ok(true) => {}
            Err(error) => {
                let line = error.position().map_or(1, csv::Position::line);
                table.wrong.push(not_a_table(line, &error));
                break;
            }
        }
        let (line, raw) = place.next(text, from, reader.position().byte());
        if fields.len() >= ROWS_MAX {
            let sentence = format!("The table has more than {ROWS_MAX} rows.");
            table
                .wrong
                .push(wrong(line, "too_many_rows", sentence, Some(SPLIT)));
            break;
        }
        match columns.fields(&record, raw) {
            Ok(one) if one.counts => fields.push((line, one)),
            Ok(_) => table.not_counting += 1,
            Err((code, sentence, hint)) => table.wrong.push(wrong(line, code, sentence, hint)),
        }
    }
    let parts = Parts::of(
        fields.iter().map(|(line, one)| (*line, one)),
        &mut table.wrong,
    );
    table.renumbered = parts.renumbered();
    for (line, one) in &fields {
        match row_of(*line, one, &parts, setup, defaults) {
            Ok(row) => table.rows.push(row),
            Err((code, sentence, hint)) => table.wrong.push(wrong(*line, code, sentence, hint)),
        }
    }
    table.put_points_in_order(setup);
    table.wrong.sort_by_key(|wrong| wrong.line);
    table
}

const SPLIT: &str = "Split it into several tables.";

/// What is wrong with a row: code, sentence, hint.
pub(super) type Wrong = (&'static str, String, Option<&'static str>);

pub(super) fn wrong(
    line: u64,
    code: &'static str,
    sentence: String,
    hint: Option<&'static str>,
) -> WrongRow {
    WrongRow {
        line,
        code,
        sentence,
        hint,
    }
}

fn not_a_table(line: u64, error: &csv::Error) -> WrongRow {
    let sentence = format!("The table cannot be read here: {error}.");
    wrong(
        line,
        "not_a_table",
        sentence,
        Some("Save it as CSV (RFC 4180), UTF-8."),
    )
}

fn separator(text: &str) -> u8 {
    let header = text.lines().next().unwrap_or_default();
    match header.contains(';') && !header.contains(',') {
        true => b';',
        false => b',',
    }
}

/// Counts lines as an editor does; the table's reader counts a row after CR LF to the line before.
struct Lines {
    line: u64,
    counted: usize,
}

impl Default for Lines {
    fn default() -> Self {
        Self {
            line: 1,
            counted: 0,
        }
    }
}

impl Lines {
    /// The line of the row between two bytes, and the row as it stands, without its line end; what
    /// the reader passed over before it (the rest of a line end, blank lines) is no part of it.
    fn next<'t>(&mut self, text: &'t str, from: u64, until: u64) -> (u64, &'t str) {
        let at = |byte: u64| usize::try_from(byte).unwrap_or(usize::MAX).min(text.len());
        let piece = text.get(at(from)..at(until)).unwrap_or_default();
        let row = piece.trim_start_matches(['\r', '\n']);
        let start = at(from) + (piece.len() - row.len());
        let bytes = text.as_bytes();
        for at in self.counted..start {
            let is_rest = bytes[at] == b'\n' && at > 0 && bytes[at - 1] == b'\r';
            self.line += u64::from(matches!(bytes[at], b'\r' | b'\n') && !is_rest);
        }
        self.counted = start.max(self.counted);
        (self.line, row.trim_end_matches(['\r', '\n']))
    }
}

/// Where each known column is.
struct Columns(BTreeMap<&'static str, usize>, usize);

/// A row's texts, with the guards of a table taken off.
pub(super) struct Fields {
    texts: BTreeMap<&'static str, String>,
    pub(super) raw: String,
    counts: bool,
}

impl Fields {
    /// A column's text; empty where the table has no such column.
    pub(super) fn text(&self, column: &str) -> &str {
        self.texts.get(column).map_or("", String::as_str)
    }
}

impl Columns {
    fn of(header: &StringRecord, table: &mut ImportTable) -> Option<Self> {
        let mut known = BTreeMap::new();
        for (at, name) in header.iter().enumerate() {
            let name = name.trim();
            let column = COLUMNS
                .into_iter()
                .find(|column| name.eq_ignore_ascii_case(column));
            let Some(column) = column else {
                table.unknown_columns.push(name.to_owned());
                continue;
            };
            if known.insert(column, at).is_some() {
                let sentence = format!("The header has the column {column} twice.");
                table.wrong.push(wrong(1, "column_twice", sentence, None));
            }
        }
        let has = |column| known.contains_key(column);
        let mut missing: Vec<&str> = Vec::new();
        missing.extend((!has("part") && !has("serial")).then_some("part (or serial)"));
        missing.extend(
            ["feature", "value"]
                .into_iter()
                .filter(|column| !has(column)),
        );
        if !missing.is_empty() {
            let sentence = format!("The first line names no column {}.", missing.join(", "));
            let hint = "The first line names the columns: part or serial, feature, value; and \
                        element, point, unit, gauge, operator, time, note where there are any.";
            table
                .wrong
                .push(wrong(1, "column_missing", sentence, Some(hint)));
        }
        table.wrong.is_empty().then(|| Self(known, header.len()))
    }

    fn fields(&self, record: &StringRecord, raw: &str) -> Result<Fields, Wrong> {
        if record.len() != self.1 {
            let sentence = format!(
                "The row has {} fields, and the header {}.",
                record.len(),
                self.1
            );
            let hint = "A comma inside a field needs double quotes around the field.";
            return Err(("wrong_field_count", sentence, Some(hint)));
        }
        if raw.len() > ROW_BYTES_MAX {
            let sentence = format!("The row is longer than {ROW_BYTES_MAX} bytes.");
            return Err(("row_too_long", sentence, None));
        }
        let texts = self.0.iter().map(|(column, at)| {
            let text = crate::report::csv_text_back(record.get(*at).unwrap_or_default());
            (*column, text.trim().to_owned())
        });
        let texts: BTreeMap<&'static str, String> = texts.collect();
        let counts = match texts.get("counts").map(String::as_str) {
            None | Some("" | "true") => true,
            Some("false") => false,
            Some(other) => {
                let sentence = format!("“{}” is neither true nor false.", other.escape_debug());
                return Err(("counts_unclear", sentence, None));
            }
        };
        Ok(Fields {
            texts,
            raw: raw.to_owned(),
            counts,
        })
    }
}

fn row_of(
    line: u64,
    fields: &Fields,
    parts: &Parts,
    setup: &Setup,
    defaults: ImportDefaults<'_>,
) -> Result<ImportRow, Wrong> {
    let (part, serial) = parts.part_of(fields)?;
    let (feature, element) = (fields.text("feature"), fields.text("element"));
    let chosen = setup.choose(feature, element);
    let target = chosen.and_then(|one| setup.target_index(&one.feature, &one.element));
    let (Some(chosen), Some(target)) = (chosen, target) else {
        let refusal = Refusal::NoSuchCharacteristic {
            feature: feature.to_owned(),
            element: element.to_owned(),
        };
        return Err((refusal.code(), refusal.to_string(), Some(refusal.hint())));
    };
    if !chosen.is_selected(part) {
        let sentence = format!("{feature} is not measured on part {part}: the plan leaves it out.");
        return Err(("not_selected", sentence, None));
    }
    let point = match fields.text("point") {
        "" => 0,
        text => point_of(text, chosen.points)?,
    };
    let gauge = match (fields.text("gauge"), defaults.gauge) {
        ("" | UNNAMED_IMPORTED | UNNAMED_TYPED, "") => UNNAMED_IMPORTED,
        ("" | UNNAMED_IMPORTED | UNNAMED_TYPED, said) | (said, _) => said,
    };
    let id = crate::gauge::GaugeId::new(gauge);
    // A mating part is no gauge of the register.
    let is_mate = gauge == CheckEnd::Mate.word()
        && chosen
            .check()
            .is_some_and(|asked| asked.end == CheckEnd::Mate);
    if gauge != UNNAMED_IMPORTED && !is_mate && setup.gauge(&id).is_none() {
        let sentence = format!("The register has no gauge “{}”.", gauge.escape_debug());
        let hint = "Add it to gauges.toml, or leave the field empty.";
        return Err(("no_such_gauge", sentence, Some(hint)));
    }
    let operator = match fields.text("operator") {
        "" => defaults.operator,
        said => said,
    };
    Ok(ImportRow {
        line,
        part,
        serial,
        target,
        point,
        operator: operator.to_owned(),
        reading: reading_of(fields, chosen, &id)?,
    })
}

fn point_of(text: &str, points: u16) -> Result<u16, Wrong> {
    let is_plain = text.bytes().all(|byte| byte.is_ascii_digit());
    let point = text
        .parse::<u16>()
        .ok()
        .filter(|point| is_plain && (1..=points).contains(point));
    point.ok_or_else(|| {
        let sentence = format!(
            "“{}” is no point: the plan wants {points} there.",
            text.escape_debug()
        );
        ("no_such_point", sentence, None)
    })
}

impl ImportTable {
    /// By part, and the points of each characteristic in order; a row that names no point is the
    /// next one. A point that is there twice, or without those before it, is wrong.
    fn put_points_in_order(&mut self, setup: &Setup) {
        self.rows.sort_by_key(|row| row.part);
        let mut given: BTreeMap<(u32, usize), BTreeSet<u16>> = BTreeMap::new();
        let mut right = Vec::with_capacity(self.rows.len());
        for mut row in std::mem::take(&mut self.rows) {
            let points = setup
                .targets
                .get(row.target)
                .map_or(1, |target| target.points);
            let so_far = given.entry((row.part, row.target)).or_default();
            if row.point == 0 {
                let free = (1..=points).find(|point| !so_far.contains(point));
                row.point = free.unwrap_or(points);
            }
            if so_far.insert(row.point) {
                right.push(row);
                continue;
            }
            let sentence = format!(
                "Point {} of this characteristic is there before.",
                row.point
            );
            let hint = "Keep the row that counts; each point has one.";
            self.wrong
                .push(wrong(row.line, "point_twice", sentence, Some(hint)));
        }
        let has_gap = |row: &ImportRow| {
            let points = given.get(&(row.part, row.target));
            points.is_some_and(|points| (1..row.point).any(|before| !points.contains(&before)))
        };
        let (gaps, mut whole): (Vec<_>, Vec<_>) = right.into_iter().partition(has_gap);
        for row in gaps {
            let sentence = format!("Point {} is there without those before it.", row.point);
            self.wrong
                .push(wrong(row.line, "point_missing", sentence, None));
        }
        // The first row of a characteristic says when it comes; its points follow each other.
        let mut first: BTreeMap<(u32, usize), usize> = BTreeMap::new();
        for (at, row) in whole.iter().enumerate() {
            first.entry((row.part, row.target)).or_insert(at);
        }
        whole.sort_by_key(|row| {
            let at = first
                .get(&(row.part, row.target))
                .copied()
                .unwrap_or_default();
            (row.part, at, row.point)
        });
        self.rows = whole;
    }
}
