//! Which part each row of a table belongs to: by its number, else by its serial number. The parts
//! of the new record are numbered from 1, in the order of the table's numbers.

use std::collections::{BTreeMap, BTreeSet};

use super::import_table::{Fields, Wrong, WrongRow, wrong};

/// More parts than that are no session (as of the command line).
const PARTS_MAX: u32 = 1_000_000;

/// The parts of a table.
#[derive(Default)]
pub(super) struct Parts {
    /// The table's number to the record's.
    numbers: BTreeMap<u32, u32>,
    /// The serial number to the record's number.
    serials: BTreeMap<String, u32>,
    /// The record's number to the serial number.
    named: BTreeMap<u32, String>,
}

impl Parts {
    pub(super) fn of<'f>(
        rows: impl Iterator<Item = (u64, &'f Fields)>,
        found: &mut Vec<WrongRow>,
    ) -> Self {
        let rows: Vec<(u64, &Fields)> = rows.collect();
        let numbers = rows
            .iter()
            .filter_map(|(_, row)| number(row.text("part")).ok().flatten());
        let numbers: BTreeSet<u32> = numbers.collect();
        let mut parts = Self {
            numbers: numbers.into_iter().zip(1..).collect(),
            ..Self::default()
        };
        for (line, row) in &rows {
            let Ok(Some(asked)) = number(row.text("part")) else {
                continue;
            };
            let Some(part) = parts.numbers.get(&asked).copied() else {
                continue;
            };
            parts.name(part, row.text("serial"), *line, found);
        }
        let mut next = u32::try_from(parts.numbers.len()).unwrap_or(u32::MAX);
        for (line, row) in &rows {
            let serial = row.text("serial");
            let is_known = serial.is_empty() || parts.serials.contains_key(serial);
            if number(row.text("part")) == Ok(None) && !is_known {
                next = next.saturating_add(1);
                parts.name(next, serial, *line, found);
            }
        }
        parts
    }

    fn name(&mut self, part: u32, serial: &str, line: u64, found: &mut Vec<WrongRow>) {
        if serial.is_empty() {
            return;
        }
        let other = self
            .serials
            .get(serial)
            .copied()
            .filter(|other| *other != part);
        if other.is_some() {
            let sentence = format!(
                "Two parts have the serial number “{}”.",
                serial.escape_debug()
            );
            found.push(wrong(line, "serial_twice", sentence, None));
            return;
        }
        match self.named.get(&part) {
            Some(named) if named != serial => {
                let sentence = format!(
                    "The part has the serial number “{}” in an earlier row.",
                    named.escape_debug()
                );
                found.push(wrong(line, "serial_differs", sentence, None));
            }
            _ => {
                self.named.insert(part, serial.to_owned());
                self.serials.insert(serial.to_owned(), part);
            }
        }
    }

    /// The record's number of a row's part, and its serial number.
    pub(super) fn part_of(&self, row: &Fields) -> Result<(u32, String), Wrong> {
        let asked = number(row.text("part"))?;
        let part = match asked {
            Some(asked) => self.numbers.get(&asked),
            None => self.serials.get(row.text("serial")),
        };
        let Some(part) = part.copied() else {
            let sentence = "The row names neither a part nor a serial number.".to_owned();
            return Err(("part_missing", sentence, None));
        };
        let serial = self.named.get(&part).cloned();
        Ok((part, serial.unwrap_or_default()))
    }

    /// Numbers of the table that are others in the record.
    pub(super) fn renumbered(&self) -> Vec<(u32, u32)> {
        let all = self.numbers.iter().map(|(table, record)| (*table, *record));
        all.filter(|(table, record)| table != record).collect()
    }
}

fn number(text: &str) -> Result<Option<u32>, Wrong> {
    if text.is_empty() {
        return Ok(None);
    }
    let is_plain = text.bytes().all(|byte| byte.is_ascii_digit());
    let number = text.parse::<u32>().ok().filter(|_| is_plain);
    match number.filter(|number| (1..=PARTS_MAX).contains(number)) {
        Some(number) => Ok(Some(number)),
        None => {
            let sentence = format!("“{}” is no number of a part.", text.escape_debug());
            let hint = "A part has a whole number from 1; a mark goes into the column serial.";
            Err(("no_part_number", sentence, Some(hint)))
        }
    }
}
