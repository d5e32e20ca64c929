//! The texts of a report stand in one file, so that another language is one more such file: no
//! form of it has a sentence of its own, and what is gathered from a record is said in the
//! language that is asked for.

use std::fs;
use std::path::Path;

use fitledger::gauge::GaugeId;
use fitledger::quantity::{Celsius, Length};
use fitledger::report::{BatchWords, ENGLISH, Sheet, Told, Words};
use fitledger::session::Command;

use crate::support::batch_shafts::{parts_of, shafts};
use crate::support::bench::{Bench, feature, plan};
use crate::support::sheets::{bytes_of, sheet_in};

/// Files without a text for people: the texts themselves, a style sheet, and the forms for other
/// programs, whose names of fields are part of the form and the same in every language.
const FOR_NO_READER: [&str; 14] = [
    "words_english.rs",
    "words_english_batch.rs",
    "words_english_charts.rs",
    "words_english_told.rs",
    "guide_style.rs",
    "html_style.rs",
    "csv_batch.rs",
    "csv_columns.rs",
    "csv_metadata.rs",
    "json.rs",
    "qif.rs",
    "qif_asked.rs",
    "qif_results.rs",
    "qif_xml.rs",
];

/// Literals of two words that no reader of a report reads as text, or that are the record's.
const ALLOWED: [&str; 9] = [
    // A face's name.
    "DejaVu Sans",
    // Standings, as the record has them.
    "open (stage done)",
    "not selected",
    // Why no report could be made: said at the bench, not in a report.
    "the built-in face {name} cannot",
    "a page without a size was asked for",
    "the PDF cannot be made as an archive file",
    // Why no chart could be made.
    "A built-in face cannot be read.",
    "The picture would be too large.",
    "The picture could not be made",
];

/// String literals of Rust source, with their lines; comments are left out.
fn literals(source: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    let mut line = 1;
    let mut chars = source.chars().peekable();
    while let Some(one) = chars.next() {
        match one {
            '\n' => line += 1,
            '/' if chars.peek() == Some(&'/') => {
                while chars.next_if(|next| *next != '\n').is_some() {}
            }
            '\'' => {
                // A character, or a lifetime that has no end.
                let mut rest = chars.clone();
                let is_escape = rest.next() == Some('\\');
                let is_char = is_escape || rest.next() == Some('\'');
                if is_char {
                    let mut last = chars.next();
                    for next in chars.by_ref() {
                        if next == '\'' && last != Some('\\') {
                            break;
                        }
                        last = (last != Some('\\')).then_some(next);
                    }
                }
            }
            '"' => {
                let (start, mut text) = (line, String::new());
                while let Some(next) = chars.next() {
                    match next {
                        '"' => break,
                        '\\' => match chars.next() {
                            Some('\n') => {
                                line += 1;
                                while chars.next_if(|next| next.is_whitespace()).is_some() {}
                            }
                            Some('n') => text.push('\n'),
                            Some(escaped) => text.push(escaped),
                            None => {}
                        },
                        '\n' => {
                            line += 1;
                            text.push('\n');
                        }
                        next => text.push(next),
                    }
                }
                found.push((start, text));
            }
            _ => {}
        }
    }
    found
}

/// Whether two words of at least two letters stand one after the other, with a blank between.
fn is_sentence(literal: &str) -> bool {
    // Markup and its attributes say nothing to a reader.
    if literal.contains('<') || literal.contains("=\"") {
        return false;
    }
    let is_word = |piece: &str| {
        let piece = piece.trim_matches(|one: char| one.is_ascii_punctuation());
        piece.chars().count() > 1 && piece.chars().all(char::is_alphabetic)
    };
    let pieces: Vec<&str> = literal.split_whitespace().collect();
    pieces.windows(2).any(|two| {
        two.iter()
            .all(|piece| !piece.contains('{') && is_word(piece))
    })
}

#[test]
fn no_form_of_a_report_has_a_sentence_of_its_own() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/report");
    let mut files = 0;
    let mut apart = 0;
    let mut sentences = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if !name.ends_with(".rs") {
            continue;
        }
        if FOR_NO_READER.contains(&name.as_str()) {
            apart += 1;
            continue;
        }
        files += 1;
        let source = fs::read_to_string(&path).unwrap();
        // Tests inside stand at the end.
        let source = source.split("#[cfg(test)]").next().unwrap();
        for (line, text) in literals(source) {
            let is_allowed = ALLOWED.iter().any(|allowed| text.starts_with(allowed));
            if is_sentence(&text) && !is_allowed {
                sentences.push(format!("{name}:{line}: {text:?}"));
            }
        }
    }
    assert!(files > 35, "only {files} files");
    assert_eq!(apart, FOR_NO_READER.len());
    assert!(
        sentences.is_empty(),
        "these belong into words_english.rs:\n{}",
        sentences.join("\n")
    );
}

/// The words with other sentences of what happened, in a language that nobody speaks.
fn unspoken() -> &'static Words {
    let told = Told {
        zero: |_| Some("zz zero".to_owned()),
        tool_changed: "zz tool",
        temperatures: |part, gauge| format!("zz temperatures {part:?} {gauge:?}"),
        put_back: |method, runout| format!("zz back {method} {runout:?}"),
        taken_out: |open| format!("zz out {}", open.len()),
        error_stated: |mpe| format!("zz stated {mpe}"),
        gauge_kind: |word| format!("zz {word}"),
        zero_good: |time, on, offset| format!("zz good {time} {on:?} {offset}"),
        limit_step: |_| "zz step".to_owned(),
        ..ENGLISH.told
    };
    Box::leak(Box::new(Words { told, ..ENGLISH }))
}

#[test]
fn what_is_gathered_from_a_record_is_in_the_language_that_is_asked_for() {
    let mut bench = Bench::new(plan(&feature("A", "20 k6", "")));
    bench.asks(Command::ChangeTool {
        note: "insert 4".to_owned(),
    });
    bench.asks(Command::SetTemperature {
        part: Some(Celsius::parse("24.5").unwrap()),
        gauge: None,
    });
    bench.reads("20.009");
    bench.asks(Command::AskZeroCheck {
        gauge: GaugeId::new("mic"),
        standard: Some(GaugeId::new("ring")),
    });
    bench.reads("20.001");
    bench.asks(Command::TakeOut);
    bench.asks(Command::PutBack {
        method: "indicator".to_owned(),
        runout: Some(Length::from_um(12)),
    });
    let bytes = bytes_of(&bench);
    let english = sheet_in(&bytes, &ENGLISH);
    let other = sheet_in(&bytes, unspoken());
    let said = |sheet: &Sheet| -> Vec<String> {
        let happened = sheet.happenings.iter().map(|one| one.what.clone());
        let why = sheet.asked.iter().flat_map(|one| one.why.clone());
        let mic = sheet.gauges.iter().find(|one| one.id == "mic").unwrap();
        let of_gauge = [mic.zero.clone(), mic.error_basis.clone(), mic.kind.clone()];
        happened.chain(why).chain(of_gauge).collect()
    };
    assert!(said(&english).contains(&"The tool was changed: insert 4.".to_owned()));
    assert!(said(&english).contains(&"Temperature of the part: 24.5 °C.".to_owned()));
    assert_eq!(said(&english).len(), said(&other).len());
    for text in [
        "zz tool: insert 4.",
        "zz back indicator Some(\"0.012\")",
        "zz good 2026-11-24 09:00:05 +01:00 Some(\"ring\") +0.001 mm",
        "zz stated 0.002 mm",
        "zz outside_micrometer",
    ] {
        assert!(
            said(&other).contains(&text.to_owned()),
            "{text}: {:?}",
            said(&other)
        );
    }
    for text in said(&other) {
        assert!(text.starts_with("zz "), "{text}");
    }
}

/// The words with other sentences about all parts together.
fn unspoken_of_batches() -> &'static Words {
    let batch = BatchWords {
        ahead: |_| "zz ahead".to_owned(),
        offset: |_| "zz offset".to_owned(),
        cannot_hold: |_| "zz cannot".to_owned(),
        sampling: |_| "zz sampling".to_owned(),
        give: |_| "zz give".to_owned(),
        damaged: |_| "zz damaged".to_owned(),
        left_out: |_| "zz left out".to_owned(),
        sampled: |_, _, _| "zz sampled".to_owned(),
        still_open: |_| "zz open".to_owned(),
        no_value: "zz none",
        one_value: "zz one",
        all_equal: "zz equal",
        no_bare_index: "zz bare",
        no_within: "zz within",
        ends_at_zero: "zz zero",
        no_capability: |_, _| "zz capability".to_owned(),
        no_interval: |_| "zz interval".to_owned(),
        no_test: |_, _| "zz test".to_owned(),
        no_trend: |_| "zz trend".to_owned(),
        ..ENGLISH.batch
    };
    Box::leak(Box::new(Words { batch, ..ENGLISH }))
}

#[test]
fn what_is_gathered_of_all_parts_is_in_the_language_that_is_asked_for() {
    let few = parts_of(
        "20 k6",
        "points = 2",
        &["20.008", "20.009", "20.004", "20.006", "20.007"],
    );
    let runout = parts_of("0.03 max", "surface = \"length\"", &["0.002", "0.004"]);
    let mut found = 0;
    for bench in [
        shafts(40),
        few,
        runout,
        parts_of("20 k6", "", &["20.008"; 3]),
    ] {
        let bytes = bytes_of(&bench);
        let said = |words| -> Vec<String> {
            let batch = sheet_in(&bytes, words).batch.unwrap();
            let facts = batch.characteristics.into_iter();
            let of_facts = facts.flat_map(|one| {
                let told = [one.offset_told]
                    .into_iter()
                    .filter(|text| !text.is_empty());
                let all = one.advice.into_iter().chain(one.remarks).chain(one.missing);
                all.chain(told).collect::<Vec<String>>()
            });
            batch.remarks.into_iter().chain(of_facts).collect()
        };
        let (english, other) = (said(&ENGLISH), said(unspoken_of_batches()));
        assert_eq!(english.len(), other.len());
        found += other.len();
        for text in other {
            assert!(text.starts_with("zz "), "{text}");
        }
    }
    assert!(found > 15, "{found}");
}

#[test]
fn a_sentence_in_source_is_found() {
    let source = r#"
        // "in a comment"
        fn a<'a>(b: &'a str) { let quote = ['"', '\'', '\\']; b("One \"two\", three"); }
        fn c() { d("span class=\"small\""); e("{one} {two}"); f("over \
            lines"); g("single"); }
    "#;
    let found: Vec<(usize, bool)> = literals(source)
        .into_iter()
        .map(|(line, text)| (line, is_sentence(&text)))
        .collect();
    let expected = [(3, true), (4, false), (4, false), (4, true), (5, false)];
    assert_eq!(found, expected);
}
