//! Every reading of a session, in the order in which they came, for the page that shows them all:
//! those that count, those that were voided or set aside, repeats, and checks of gauges.

use super::records_corrections::correction;
use super::records_sheet::{heading, standing_mark};
use super::words::{Words, clean};
use super::{Mark, SheetLine, SheetTextView};
use crate::report::{ENGLISH, PartSheet, ReadingRow, Sheet, bench_time};

/// A reading, and the part that it was given to.
type Given<'a> = (Option<&'a PartSheet>, &'a ReadingRow);

/// The page's lines.
pub(super) fn readings_lines(sheet: &Sheet, words: Words) -> Vec<SheetLine> {
    let of_parts = sheet
        .parts
        .iter()
        .flat_map(|part| part.readings.iter().map(move |one| (Some(part), one)));
    let others = sheet.record.other_readings.iter().map(|one| (None, one));
    let mut all: Vec<Given<'_>> = of_parts.chain(others).collect();
    all.sort_by_key(|(_, one)| one.line);
    let count = match all.len() {
        0 => "No reading".to_owned(),
        1 => "1 reading".to_owned(),
        count => format!("{count} readings, in the order in which they came"),
    };
    let mut lines = Vec::new();
    if sheet.record.state == "damaged" {
        lines.push(SheetLine::Text(SheetTextView {
            text: ENGLISH.record_damaged.to_owned(),
            mark: Some(Mark::NotRecorded),
            ..SheetTextView::default()
        }));
    }
    lines.push(heading(&ENGLISH.stands(&count, &sheet.record)));
    lines.extend(all.into_iter().map(|one| line(sheet, one, words)));
    lines
}

fn line(sheet: &Sheet, (part, one): Given<'_>, words: Words) -> SheetLine {
    let shown = format!("{}{}", place(sheet, part, one), value(one));
    let (struck, text) = match one.end.as_str() {
        "voided" | "set_aside" => (shown, correction(part, one)),
        "judged" => (String::new(), shown),
        end => {
            let why = match one.reason.is_empty() {
                true => String::new(),
                false => format!(": {}", clean(&one.reason)),
            };
            (
                String::new(),
                format!("{shown}, {}{why}", ENGLISH.end_of(end)),
            )
        }
    };
    SheetLine::Text(SheetTextView {
        struck: words.sentence(&struck),
        text: words.sentence(&text),
        note: words.sentence(&note(sheet, one)),
        mark: Some(mark(one)),
    })
}

/// `part 2, serial GP-0018, 1 Ø20 k6, point 2: `.
fn place(sheet: &Sheet, part: Option<&PartSheet>, one: &ReadingRow) -> String {
    let mut said: Vec<String> = Vec::new();
    if let Some(part) = part {
        said.push(format!("part {}", part.number));
        if !part.serial.is_empty() {
            said.push(format!("serial {}", clean(&part.serial)));
        }
    }
    let asked = sheet.asked.iter().find(|asked| asked.number == one.number);
    if let Some(asked) = asked {
        said.push(format!("{} {}", asked.number, clean(&asked.callout)));
        if one.point > 0 && asked.points > 1 {
            said.push(format!("point {}", one.point));
        }
    }
    match said.is_empty() {
        true => "no part: ".to_owned(),
        false => format!("{}: ", said.join(", ")),
    }
}

/// What was shown, what it came to at 20 °C where that is another number, and the verdict.
fn value(one: &ReadingRow) -> String {
    let mut said = clean(ENGLISH.outcome(&one.value));
    if !matches!(one.unit.as_str(), "" | "check" | "angle") {
        said.push_str(&format!(" {}", one.unit));
    }
    if !one.value_at_20.is_empty() && one.value_at_20 != one.value {
        said.push_str(&format!(", {} at 20 °C", one.value_at_20));
    }
    let verdicts = one.verdicts_before.iter().chain([&one.verdict]);
    let verdicts: Vec<String> = verdicts
        .filter(|word| !word.is_empty())
        .map(|word| clean(word))
        .collect();
    if !verdicts.is_empty() {
        said.push_str(&format!(", {}", verdicts.join(", then ")));
    }
    said
}

/// What holds no longer proves nothing, whatever it was; what was put in doubt proves nothing yet.
fn mark(one: &ReadingRow) -> Mark {
    let is_doubted = one.doubted_by != 0 || !one.doubt.is_empty();
    match (one.end.as_str(), is_doubted) {
        ("judged", true) => Mark::Doubt,
        ("judged", false) => standing_mark(&one.verdict),
        ("held", _) => Mark::Held,
        ("cutting", _) => Mark::Cutting,
        ("open", _) => Mark::Open,
        _ => Mark::Noted,
    }
}

/// Line, time, gauge, where it came from, who, what arrived; and what was noticed about it.
fn note(sheet: &Sheet, one: &ReadingRow) -> String {
    let time = bench_time(&one.time, &sheet.record.offset);
    let mut said = vec![format!("line {}", one.line), time, clean(&one.gauge)];
    if !matches!(one.origin.as_str(), "" | "sent") {
        said.push(ENGLISH.origin_of(&one.origin).to_owned());
    }
    if !one.operator.is_empty() {
        said.push(format!("by {}", clean(&one.operator)));
    }
    if !one.raw.is_empty() {
        said.push(format!("arrived as “{}”", clean(&one.raw)));
    }
    if !one.zero_offset.is_empty() {
        said.push(format!("zero check took off {} mm", one.zero_offset));
    }
    if !one.taken.is_empty() {
        said.push(clean(&one.taken));
    }
    if !one.held.is_empty() && one.end != "held" {
        said.push(format!("was held: {}", clean(&one.held)));
    }
    if one.end == "voided" && !one.by.is_empty() {
        said.push(format!("voided by {}", clean(&one.by)));
    }
    if one.doubted_by != 0 {
        said.push(format!("put in doubt by line {}", one.doubted_by));
    }
    if !one.doubt.is_empty() {
        said.push(clean(&one.doubt));
    }
    if one.end == "judged" && !one.counts {
        said.push(match one.replaced_by {
            0 => "does not count".to_owned(),
            line => format!("line {line} counts in its place"),
        });
    }
    said.retain(|text| !text.is_empty());
    said.join(", ")
}
