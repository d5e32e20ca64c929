//! Strict reading of a table file: commas, optional double quotes, a header, no surprises.
//!
//! This file knows no standard; it gives fields with their places.

use std::fmt;

use crate::quantity::{Decimal, DecimalMark, Length, LengthUnit};

/// Most bytes that a table file may have (chosen; twice the largest of the standard's own).
const BYTES_MAX: usize = 200_000;

/// What is wrong with a table file, and where. Lines and columns count from 1; a column is a
/// character of its line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TableError {
    /// The file's name as its reader gave it.
    pub origin: String,
    /// The line, counted from 1.
    pub line: usize,
    /// The character in the line, counted from 1.
    pub column: usize,
    /// What stands there.
    pub found: String,
    /// What may stand there, in words.
    pub expected: String,
}

impl TableError {
    /// The error's stable word for machines.
    pub fn code(&self) -> &'static str {
        "bad_tolerance_table"
    }

    /// What to do about it, one sentence.
    pub fn hint(&self) -> Option<&'static str> {
        Some("Correct that line, or take the file out of the tolerances folder.")
    }
}

impl fmt::Display for TableError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}, line {}, column {}: found “{}”, expected {}.",
            self.origin.escape_debug(),
            self.line,
            self.column,
            self.found.escape_debug(),
            self.expected
        )
    }
}

impl std::error::Error for TableError {}

/// One field with its place.
#[derive(Debug, Clone)]
pub(super) struct Field {
    pub(super) text: String,
    pub(super) line: usize,
    pub(super) column: usize,
}

/// A table's name, header and rows of fields.
pub(super) struct Sheet<'a> {
    pub(super) origin: &'a str,
    pub(super) header: String,
    pub(super) rows: Vec<Vec<Field>>,
}

impl<'a> Sheet<'a> {
    /// Splits a text; each row has exactly as many fields as the header. Blank lines are passed
    /// over; a byte order mark and carriage returns (spreadsheets write them) are, too.
    pub(super) fn read(text: &str, origin: &'a str) -> Result<Self, TableError> {
        if text.len() > BYTES_MAX {
            return Err(TableError {
                origin: origin.to_owned(),
                line: 1,
                column: 1,
                found: format!("{} bytes", text.len()),
                expected: format!("a table of at most {BYTES_MAX} bytes"),
            });
        }
        let body = text.strip_prefix('\u{feff}').unwrap_or(text);
        let mut lines = body.lines().enumerate();
        let header = match lines.next() {
            Some((_, first)) => first.trim_end().to_owned(),
            None => String::new(),
        };
        let width = header.split(',').count();
        let mut rows = Vec::new();
        for (at, line) in lines.filter(|(_, line)| !line.trim().is_empty()) {
            let fields = split_line(line, at + 1, origin)?;
            if fields.len() != width {
                return Err(TableError {
                    origin: origin.to_owned(),
                    line: at + 1,
                    column: fields.last().map_or(1, |field| field.column),
                    found: format!("{} fields", fields.len()),
                    expected: format!("{width} fields as in the header"),
                });
            }
            rows.push(fields);
        }
        Ok(Self {
            origin,
            header,
            rows,
        })
    }

    /// An error at a field.
    pub(super) fn fault(&self, field: &Field, expected: impl Into<String>) -> TableError {
        TableError {
            origin: self.origin.to_owned(),
            line: field.line,
            column: field.column,
            found: field.text.clone(),
            expected: expected.into(),
        }
    }

    /// A decimal number with a point.
    pub(super) fn number(&self, field: &Field, expected: &str) -> Result<Decimal, TableError> {
        Decimal::parse(&field.text, DecimalMark::Point).map_err(|_| self.fault(field, expected))
    }

    /// Millimetres from zero up.
    pub(super) fn size(&self, field: &Field) -> Result<Length, TableError> {
        let expected = "a size in millimetres, zero or more, such as 18 or 0.5";
        Length::from_decimal(self.number(field, expected)?, LengthUnit::Millimetre)
            .ok()
            .filter(|size| !size.is_negative())
            .ok_or_else(|| self.fault(field, expected))
    }

    /// Micrometres, within ±1000 mm (chosen).
    pub(super) fn micrometres(&self, field: &Field) -> Result<Length, TableError> {
        const LARGEST_NM: i64 = 1_000_000_000;
        let expected = "micrometres, such as 21, -22 or 13.5";
        self.number(field, expected)?
            .in_steps(1_000)
            .and_then(|nm| Length::checked_nm(nm).ok())
            .filter(|length| length.as_nm().abs() <= LARGEST_NM)
            .ok_or_else(|| self.fault(field, expected))
    }

    /// `yes` or `no`.
    pub(super) fn yes(&self, field: &Field) -> Result<bool, TableError> {
        match field.text.as_str() {
            "yes" => Ok(true),
            "no" => Ok(false),
            _ => Err(self.fault(field, "yes or no")),
        }
    }

    /// The source must say something: a row without one cannot be trusted. A house row is known
    /// by its file and line, too.
    pub(super) fn source(&self, field: &Field, house: bool) -> Result<String, TableError> {
        match field.text.trim() {
            "" => Err(self.fault(field, "where the value comes from")),
            text if house => Ok(format!("{} line {}, {text}", self.origin, field.line)),
            text => Ok(text.to_owned()),
        }
    }
}

fn split_line(line: &str, number: usize, origin: &str) -> Result<Vec<Field>, TableError> {
    let mut fields = Vec::new();
    let mut text = String::new();
    let mut start = 1;
    let mut quoted = false;
    let mut chars = line.chars().enumerate().peekable();
    let mut field = |text: &mut String, column| {
        fields.push(Field {
            text: std::mem::take(text).trim().to_owned(),
            line: number,
            column,
        });
    };
    while let Some((at, c)) = chars.next() {
        match c {
            '"' if quoted && chars.next_if(|(_, next)| *next == '"').is_some() => text.push('"'),
            '"' if quoted || text.is_empty() => quoted = !quoted,
            ',' if !quoted => {
                field(&mut text, start);
                start = at + 2;
            }
            _ => text.push(c),
        }
    }
    if quoted {
        return Err(TableError {
            origin: origin.to_owned(),
            line: number,
            column: start,
            found: text,
            expected: "a closing double quote on the same line".to_owned(),
        });
    }
    field(&mut text, start);
    Ok(fields)
}
