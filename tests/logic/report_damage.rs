//! A record that is not as it was written still gives a sheet, which says so.

use fitledger::journal::{Hash, Moment, encode};
use fitledger::report::{ReadingRow, Selection, Sheet};
use serde_json::Value;

use crate::support::bench::{Bench, feature, plan};
use crate::support::journals::line_starts;
use crate::support::sheets::{bytes_of, sheet_of_bytes};

/// Three parts of two characteristics, all GO, and closed.
fn three_parts() -> Vec<u8> {
    let text = feature("A", "20 k6", "") + &feature("B", "10 ±0.1", "");
    let mut bench = Bench::new(plan(&text));
    for _ in 0..3 {
        assert_eq!(
            (&*bench.reads("20.009"), &*bench.reads("10.000")),
            ("GO", "GO")
        );
    }
    bench.asks(fitledger::session::Command::Close {
        reason: "done".to_owned(),
    });
    bytes_of(&bench)
}

fn sheet(bytes: &[u8]) -> Sheet {
    sheet_of_bytes(bytes, &Selection::default())
}

fn rows(sheet: &Sheet) -> Vec<&ReadingRow> {
    let of_parts = sheet.parts.iter().flat_map(|part| &part.readings);
    of_parts.chain(&sheet.record.other_readings).collect()
}

#[test]
fn one_flipped_bit_in_any_line_is_told_and_no_part_is_taken_for_good() {
    let whole = three_parts();
    let sound = sheet(&whole);
    assert_eq!(
        (&*sound.record.state, sound.record.findings.len()),
        ("sound", 0)
    );
    assert!(sound.parts.iter().all(|part| part.is_good));
    let starts = line_starts(&whole);
    let lines = starts.len() - 1;
    assert_eq!(lines, 23); // opened, 6 readings of 3 lines each, 3 parts started, closed
    for line in 0..lines {
        let mut bytes = whole.clone();
        let middle = (starts[line] + starts[line + 1]) / 2;
        bytes[middle] ^= 0x01;
        let damaged = sheet(&bytes);
        let facts = &damaged.record;
        assert_eq!(facts.state, "damaged", "line {}", line + 1);
        let offset = format!("at byte {}", starts[line]);
        assert!(facts.findings[0].contains(&offset), "{:?}", facts.findings);
        assert!(
            damaged.parts.iter().all(|part| !part.is_good),
            "line {}",
            line + 1
        );
        if line == 0 {
            assert!(damaged.parts.is_empty() && damaged.asked.is_empty());
            continue;
        }
        // What is left says what it said.
        for row in rows(&damaged) {
            let same = rows(&sound)
                .into_iter()
                .find(|one| one.line == row.line)
                .unwrap();
            assert_eq!(
                (&row.value, &row.raw, &row.time),
                (&same.value, &same.raw, &same.time)
            );
        }
        assert!(rows(&damaged).len() >= 5, "line {}", line + 1);
    }
}

#[test]
fn a_record_cut_off_anywhere_gives_what_was_there() {
    let whole = three_parts();
    let readings = rows(&sheet(&whole)).len();
    let mut before = 0;
    for length in (0..whole.len()).step_by(211) {
        let cut = sheet(&whole[..length]);
        let found = rows(&cut).len();
        assert!(
            (before..=readings).contains(&found),
            "{length} bytes: {found}"
        );
        assert_ne!(cut.record.state, "sound", "{length} bytes");
        before = found;
    }
    assert!(before >= readings - 1);
}

/// The journal with one body changed and every line hashed anew, as somebody could who rewrites
/// the whole file.
fn rewritten(journal: &[u8], change: impl Fn(&str, &str) -> Option<String>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut prev = Hash::GENESIS;
    for line in std::str::from_utf8(journal).unwrap().lines() {
        let parsed: Value = serde_json::from_str(line).unwrap();
        let kind = parsed["kind"].as_str().unwrap();
        let from = line.find("\"body\":").unwrap() + "\"body\":".len();
        let body = &line[from..line.rfind(",\"prev\":").unwrap()];
        let body = change(kind, body).unwrap_or_else(|| body.to_owned());
        let moment = Moment {
            time: parsed["time"].as_str().unwrap().parse().unwrap(),
            mono_ms: parsed["mono"].as_u64().unwrap(),
        };
        let seq = parsed["seq"].as_u64().unwrap();
        prev = encode(&mut bytes, seq, moment, kind, &body, prev).unwrap();
    }
    bytes
}

#[test]
fn a_verdict_that_its_reading_does_not_give_is_told() {
    let whole = three_parts();
    assert_eq!(
        rewritten(&whole, |_, _| None),
        whole,
        "nothing changed, nothing differs"
    );
    let altered = rewritten(&whole, |kind, body| {
        let is_reading = kind == "reading_received" && body.contains("\"20.009\"");
        let value = "\"value\":\"20.029\"";
        is_reading.then(|| body.replace("\"value\":\"20.009\"", value))
    });
    let sheet = sheet(&altered);
    assert_eq!(sheet.record.state, "damaged");
    let differs = "the value at 20 °C is not what the reading gives";
    let found = sheet
        .record
        .findings
        .iter()
        .filter(|one| one.contains(differs))
        .count();
    assert_eq!(found, 3, "{:?}", sheet.record.findings);
    // Shown is what is stored.
    assert_eq!(sheet.parts[0].results[0].actual, "20.009");
    assert_eq!(sheet.parts[0].readings[0].value, "20.029");
    assert!(sheet.parts.iter().all(|part| !part.is_good));
}

#[test]
fn an_empty_file_and_rubbish_give_a_sheet_without_parts() {
    for bytes in [&b""[..], b"no journal\n", &[0xff; 300], b"\n\n\n"] {
        let empty = sheet(bytes);
        assert!(empty.parts.is_empty() && empty.asked.is_empty());
        assert_eq!(empty.record.events, 0);
        assert_ne!(empty.record.state, "sound");
    }
}
