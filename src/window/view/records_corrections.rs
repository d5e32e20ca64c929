//! What was said of a part after it was measured, for the page that prints it: readings that no
//! longer count, decisions, signatures. What holds no longer stays to be read, struck through.

use super::words::{Words, clean};
use super::{Mark, SheetLine, SheetTextView};
use crate::report::{DecisionRow, ENGLISH, PartSheet, ReadingRow, Sheet, SignatureRow, bench_time};

/// The readings that were voided or set aside, each with why and with what counts in its place.
pub(super) fn corrections(sheet: &Sheet, part: &PartSheet, words: Words) -> Vec<SheetLine> {
    let offset = &sheet.record.offset;
    let mut lines = Vec::new();
    for one in &part.readings {
        if !matches!(one.end.as_str(), "voided" | "set_aside") {
            continue;
        }
        lines.push(SheetLine::Text(SheetTextView {
            struck: words.sentence(&struck(sheet, one)),
            text: words.sentence(&correction(Some(part), one)),
            note: who(&one.by, &bench_time(&one.time, offset), one.line),
            mark: None,
        }));
    }
    lines
}

fn struck(sheet: &Sheet, one: &ReadingRow) -> String {
    let asked = sheet.asked.iter().find(|asked| asked.number == one.number);
    let what = asked.map_or_else(String::new, |asked| {
        format!("{} {}: ", asked.number, clean(&asked.callout))
    });
    let value = match one.value_at_20.is_empty() {
        true => &one.value,
        false => &one.value_at_20,
    };
    let verdict = match one.verdict.is_empty() {
        true => String::new(),
        false => format!(", {}", clean(&one.verdict)),
    };
    format!("{what}{}{verdict}", clean(value))
}

/// Why a reading no longer counts, and what does in its place.
pub(super) fn correction(part: Option<&PartSheet>, one: &ReadingRow) -> String {
    let reason = match one.reason.is_empty() {
        true => String::new(),
        false => format!(": {}", clean(&one.reason)),
    };
    let mut others = part.into_iter().flat_map(|part| &part.readings);
    let by = others.find(|other| other.line == one.replaced_by);
    let instead = match by {
        Some(other) if one.replaced_by != 0 => {
            let value = if other.value_at_20.is_empty() {
                &other.value
            } else {
                &other.value_at_20
            };
            format!("; in its place {} of line {}", clean(value), other.line)
        }
        _ => "; nothing in its place".to_owned(),
    };
    format!("{}{reason}{instead}", ENGLISH.end_of(&one.end))
}

fn who(by: &str, time: &str, line: u64) -> String {
    let by = match by.is_empty() {
        true => String::new(),
        false => format!("{}, ", clean(by)),
    };
    format!("{by}{}, line {line}", clean(time))
}

/// What was decided about the part.
pub(super) fn decisions(part: &PartSheet, offset: &str) -> Vec<SheetLine> {
    let all = part.decisions.iter();
    all.map(|one| decision(one, offset)).collect()
}

/// A decision in words: `scrap: dropped`.
pub(super) fn decision_words(one: &DecisionRow) -> String {
    let mut said = ENGLISH.decision(&one.what).to_owned();
    if !one.about.is_empty() {
        said.push_str(&format!(" of {}", one.about));
    }
    if !one.reason.is_empty() {
        said.push_str(&format!(": {}", one.reason));
    }
    if !one.agreed_with.is_empty() {
        said.push_str(&format!("; agreed with {}", one.agreed_with));
    }
    clean(&said)
}

fn decision(one: &DecisionRow, offset: &str) -> SheetLine {
    let (struck, text) = match one.withdrawn_by {
        0 => (String::new(), decision_words(one)),
        line => (decision_words(one), format!("withdrawn by line {line}")),
    };
    let mark = match (one.withdrawn_by, one.what.as_str()) {
        (0, "scrap") => Some(Mark::NoGo),
        (0, "hold") => Some(Mark::Held),
        (0, "concession") => Some(Mark::Doubt),
        _ => None,
    };
    SheetLine::Text(SheetTextView {
        struck,
        text,
        note: who(&one.by, &bench_time(&one.time, offset), one.line),
        mark,
    })
}

/// Who signed, and what it covers.
pub(super) fn signatures(all: &[SignatureRow], offset: &str) -> Vec<SheetLine> {
    all.iter().map(|one| signature(one, offset)).collect()
}

fn signature(one: &SignatureRow, offset: &str) -> SheetLine {
    let mut said = ENGLISH.meaning(&one.meaning).to_owned();
    if !one.manner.is_empty() {
        said.push_str(&format!(" {}", ENGLISH.manner(&one.manner)));
    }
    said.push_str(&format!(" by {}", one.by));
    if !one.reason.is_empty() {
        said.push_str(&format!(": {}", one.reason));
    }
    if !one.left.is_empty() {
        said.push_str(&format!("; {}: {}", ENGLISH.left, one.left.join(", ")));
    }
    let said = clean(&said);
    let (struck, text) = match one.has_lapsed {
        true => (said, ENGLISH.signature_lapsed.to_owned()),
        false => (String::new(), said),
    };
    let covers = format!("{} {}, {}", ENGLISH.covers, one.covers, one.hash);
    SheetLine::Text(SheetTextView {
        struck,
        text,
        note: clean(&format!(
            "{}, line {}; {covers}",
            bench_time(&one.time, offset),
            one.line
        )),
        mark: None,
    })
}
