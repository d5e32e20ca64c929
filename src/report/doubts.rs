//! What other records of the workspace put in doubt after a record was made: a gauge that was
//! found wrong in a later session. The record itself is unchanged; its sheet says what is known
//! now, and up to when the other records were looked through.

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;

use super::gather_batch::doubt_batch;
use super::sheet::{PartSheet, RecordFacts, Sheet};
use super::words::Words;
use crate::session::{Catalogue, DoubtfulReading, Entry, GaugeCheck};

const GO: &str = "GO";
const NOTED: &str = "NOTED";
const DOUBT: &str = "DOUBT";

/// Tells a sheet what the records of its workspace say of its gauges. Without a catalogue, or
/// where the record is none of its sessions, the sheet says that nothing was looked for.
pub fn doubt_by(sheet: &mut Sheet, catalogue: Option<&Catalogue>, words: &Words) {
    let found = catalogue.and_then(|all| Some((all, entry_of(all, &sheet.record)?)));
    let Some((catalogue, entry)) = found else {
        sheet.record.elsewhere = vec![words.elsewhere_not_looked.to_owned()];
        return;
    };
    let journal = entry.journal().to_owned();
    sheet.record.elsewhere = looked_at(catalogue, words);
    let story = catalogue.story();
    let doubtful = story.doubtful.iter().filter(|one| one.journal == journal);
    let doubtful: Vec<(&DoubtfulReading, &GaugeCheck)> = doubtful
        .filter_map(|one| Some((one, story.checks.get(one.because)?)))
        .collect();
    let mut told: BTreeMap<usize, BTreeSet<u64>> = BTreeMap::new();
    for part in &mut sheet.parts {
        let number = part.number;
        let of_part = doubtful.iter().filter(|(one, _)| one.place.part == number);
        for (one, check) in of_part {
            let is_elsewhere = check.journal != journal;
            if is_elsewhere {
                told.entry(one.because).or_default().insert(one.reading);
            }
            doubt_reading(words, part, one, check, is_elsewhere);
        }
    }
    doubt_batch(sheet, words);
    for (because, readings) in told {
        let Some(check) = story.checks.get(because) else {
            continue;
        };
        let time = check.time.to_string();
        let found = (words.told.found_elsewhere)(&time, &found_by(words, check));
        let of_gauge = sheet.gauges.iter_mut();
        for gauge in of_gauge.filter(|gauge| gauge.id == check.gauge.as_str()) {
            gauge.remarks.push(found.clone());
        }
        let lines: Vec<String> = readings.iter().map(u64::to_string).collect();
        let lines = (words.told.in_doubt_lines)(&lines.join(", "));
        sheet.record.elsewhere.push(format!("{found} {lines}"));
    }
}

/// The session that the record is, in the workspace. A file of the same name that began at
/// another time is another session.
fn entry_of<'c>(catalogue: &'c Catalogue, record: &RecordFacts) -> Option<&'c Entry> {
    let last = record.files.last()?;
    let mut entries = catalogue.entries().iter();
    let entry = entries.find(|entry| entry.files.iter().any(|file| file.stamp.name == *last))?;
    let opened: Option<Timestamp> = record.opened.parse().ok();
    let is_other = match (opened, entry.opened) {
        (Some(one), Some(other)) => one.as_millisecond() != other.as_millisecond(),
        _ => false,
    };
    (!is_other).then_some(entry)
}

/// What was known of the workspace.
fn looked_at(catalogue: &Catalogue, words: &Words) -> Vec<String> {
    let entries = catalogue.entries();
    let used = entries
        .iter()
        .filter_map(|entry| entry.last.or(entry.opened));
    let newest = used.max().map_or_else(String::new, |time| time.to_string());
    let newest = words.or_not_recorded(&newest);
    let mut said = vec![(words.told.looked_through)(entries.len(), newest)];
    let unread = entries.iter().filter(|entry| !entry.state.passes()).count();
    let unread = unread + catalogue.missing();
    if unread > 0 {
        said.push((words.told.not_read_whole)(unread));
    }
    said
}

/// What was found, and where that stands.
fn found_by(words: &Words, check: &GaugeCheck) -> String {
    let told = &words.told;
    (told.found_by)(&(told.check)(check), &check.journal, check.zero.line)
}

fn doubt_reading(
    words: &Words,
    part: &mut PartSheet,
    one: &DoubtfulReading,
    check: &GaugeCheck,
    is_elsewhere: bool,
) {
    let told = &words.told;
    let why = (told.in_doubt_since)(&check.time.to_string(), &found_by(words, check));
    if is_elsewhere {
        let rows = part.readings.iter_mut();
        for row in rows.filter(|row| row.line == one.reading) {
            row.doubt.clone_from(&why);
        }
    }
    let mut results = part.results.iter_mut();
    let rests = results.find(|row| row.points.iter().any(|point| point.reading == one.reading));
    let Some(row) = rests else { return };
    row.is_in_doubt = true;
    if row.verdict == GO {
        DOUBT.clone_into(&mut row.verdict);
    }
    part.is_good = false;
    for word in [&mut part.state, &mut part.standing] {
        if word == GO || word == NOTED {
            DOUBT.clone_into(word);
        }
    }
    if is_elsewhere {
        let was_released = part.standing.starts_with("released");
        let doubt = (told.measure_again)(&why, row.number, one.reading, was_released);
        part.doubts.push(doubt);
    }
}
