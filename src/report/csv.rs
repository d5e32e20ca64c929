//! The report as a table for other programs: RFC 4180, one row a reading, nothing left out. A
//! reading that was voided, set aside or held has its row too, with what became of it.
//!
//! Always a comma between fields and a point in numbers, whatever the country: the file is for
//! programs. The first line names the columns; [`csv_metadata`](super::csv_metadata()) describes
//! them to programs.

use std::io;

use super::csv_columns::{COLUMNS, Column, Kind, Row};
use super::safe::{csv_text, is_plain_number};
use super::sheet::Sheet;

/// The table's bytes: UTF-8 without a mark at the start, lines end with CR LF.
///
/// # Errors
/// None that is known: it is written to memory.
pub fn csv(sheet: &Sheet) -> io::Result<Vec<u8>> {
    let mut table = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    table.write_record(COLUMNS.iter().map(|column| column.name))?;
    let mut rows: Vec<Row<'_>> = Vec::new();
    for part in &sheet.parts {
        let own = part.readings.iter();
        rows.extend(own.map(|reading| Row::new(sheet, Some(part), reading)));
    }
    let others = sheet.record.other_readings.iter();
    rows.extend(others.map(|reading| Row::new(sheet, None, reading)));
    for row in &rows {
        table.write_record(COLUMNS.iter().map(|column| cell(column, row)))?;
    }
    let bytes = table.into_inner();
    bytes.map_err(|error| io::Error::other(error.to_string()))
}

/// A field. A spreadsheet takes a text that starts with `=`, `+`, `-`, `@` for a formula, so that
/// gets a single quote before it; numbers must stay numbers, and only what is nothing but a
/// number is one.
fn cell(column: &Column, row: &Row<'_>) -> String {
    field(column.kind, &(column.of)(row))
}

/// The field of a text in a column of that kind.
pub(super) fn field(kind: Kind, text: &str) -> String {
    match kind {
        Kind::Text => csv_text(text).into_owned(),
        Kind::Number | Kind::NumberOrText => {
            // A plus says nothing that the number does not say.
            let number = text.strip_prefix('+').unwrap_or(text);
            if is_plain_number(number) {
                return number.to_owned();
            }
            csv_text(text).into_owned()
        }
    }
}
