//! One number is the same text everywhere: each value that a record holds, in the record's own
//! line (read here as JSON, by none of the program's code), in the table, the JSON, the exchange
//! file, the page and the paper.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use fitledger::report::{
    ReportOptions, Selection, Sheet, csv, csv_text_back, html, json, pdf, qif,
};
use serde_json::Value;

use crate::support::pdf_read::{Read, bare};
use crate::support::sheets::sheet_at;

/// The newest file of each session, and the older one.
const RECORDS: [(&str, &[&str]); 6] = [
    ("example-continued-2.jsonl", &["example-continued.jsonl"]),
    ("example-gauges.jsonl", &[]),
    ("example-not-closed.jsonl", &[]),
    ("example-study.jsonl", &[]),
    ("example-threads.jsonl", &[]),
    ("example-two-parts.jsonl", &[]),
];

fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sessions")
        .join(name)
}

/// The last verdict line of each reading, by the reading's line: what the record itself says.
fn verdicts(newest: &str, older: &[&str]) -> BTreeMap<u64, Value> {
    let mut found = BTreeMap::new();
    for name in older.iter().chain([&newest]) {
        for line in fs::read_to_string(path(name)).unwrap().lines() {
            let line: Value = serde_json::from_str(line).unwrap();
            if line["kind"] == "verdict_given" {
                let body = line["body"].clone();
                found.insert(body["reading"].as_u64().unwrap(), body);
            }
        }
    }
    found
}

/// A text of the record's line; nothing for null.
fn said(body: &Value, key: &str) -> String {
    body[key].as_str().unwrap_or_default().to_owned()
}

type Row = BTreeMap<String, String>;

fn table(sheet: &Sheet) -> BTreeMap<u64, Row> {
    let bytes = csv(sheet).unwrap();
    let mut reader = csv::Reader::from_reader(bytes.as_slice());
    let header: Vec<String> = reader
        .headers()
        .unwrap()
        .iter()
        .map(str::to_owned)
        .collect();
    let rows = reader.records().map(|record| {
        let record = record.unwrap();
        let fields = record.iter().map(|field| csv_text_back(field).to_owned());
        let row: Row = header.iter().cloned().zip(fields).collect();
        (row["reading"].parse().unwrap(), row)
    });
    rows.collect()
}

/// The measurements of the exchange file that rest on a reading, by that reading.
fn measurements(sheet: &Sheet) -> BTreeMap<u64, String> {
    let text = String::from_utf8(qif(sheet).unwrap()).unwrap();
    let mut found = BTreeMap::new();
    let name = "name=\"reading, line of the record\" value=\"";
    for piece in text.split("CharacteristicMeasurement id=").skip(1) {
        let piece = piece.split("CharacteristicMeasurement>").next().unwrap();
        if let Some(rest) = piece.split(name).nth(1) {
            let reading = rest.split('"').next().unwrap().parse().unwrap();
            found.insert(reading, piece.to_owned());
        }
    }
    found
}

/// A page's text: what stands outside of tags, and in no style.
fn page_text(page: &str) -> String {
    let body = page.split("</style>").last().unwrap();
    let pieces = body
        .split('<')
        .map(|piece| piece.split_once('>').map_or("", |(_, text)| text));
    pieces.collect::<Vec<&str>>().join(" ")
}

/// Whether a number stands there by itself: no digit, point or sign touches it.
fn stands_alone(text: &str, number: &str) -> bool {
    let touches = |c: char| c.is_ascii_digit() || c == '.';
    text.match_indices(number).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let after = text[at + number.len()..].chars().next();
        !before.is_some_and(touches) && !after.is_some_and(touches)
    })
}

#[test]
fn every_value_is_the_same_text_in_the_record_and_in_all_forms() {
    let with_readings = ReportOptions {
        with_readings: true,
        ..ReportOptions::default()
    };
    let mut compared = BTreeMap::<&str, usize>::new();
    for (newest, older) in RECORDS {
        let sheet = sheet_at(&path(newest), &Selection::default());
        let record = verdicts(newest, older);
        let table = table(&sheet);
        let measured = measurements(&sheet);
        let object: Value = serde_json::from_slice(&json(&sheet)).unwrap();
        let page = page_text(&html(&sheet, &with_readings));
        let paper = Read::of(&pdf(&sheet, &with_readings).unwrap());
        let paper_text = paper.pages.join("\n");
        let paper_bare = paper.all();
        let parts = object["parts"].as_array().unwrap();
        let all = |key: &str| -> Vec<&Value> {
            parts
                .iter()
                .flat_map(|part| part[key].as_array().unwrap())
                .collect()
        };
        for (reading, body) in &record {
            let value = said(body, "value_at_20");
            let verdict = said(body, "verdict");
            let unit = said(body, "unit");
            let mut same = |form: &'static str, text: &str| {
                assert_eq!(text, value, "{newest}, reading {reading}, {form}");
                *compared.entry(form).or_default() += 1;
            };
            let row = &table[reading];
            let column = match unit.as_str() {
                "mm" => "value_at_20_mm",
                "angle" => "angle_degree",
                _ => "check_outcome",
            };
            same("table", &row[column]);
            assert_eq!(row["verdict"], verdict, "{newest} {reading}");
            let own = all("readings")
                .into_iter()
                .find(|row| row["line"] == *reading)
                .unwrap();
            same("json", own["value_at_20"].as_str().unwrap());
            assert_eq!(own["verdict"], verdict.as_str());
            let result = all("results")
                .into_iter()
                .find(|row| row["reading"] == *reading);
            if let Some(result) = result {
                same("json result", result["actual"].as_str().unwrap());
                assert_eq!(result["u"].as_str().unwrap_or_default(), said(body, "u"));
                let piece = &measured[reading];
                let end = format!(">{value}</Value>");
                assert!(piece.contains(&end), "{newest} {reading}: {piece}");
                *compared.entry("exchange").or_default() += 1;
                let u = said(body, "u");
                assert_eq!(u.is_empty(), !piece.contains("combinedUncertainty"));
                assert!(piece.contains(&format!("combinedUncertainty=\"{u}\"")) || u.is_empty());
                let number = said(body, "lower");
                if !number.is_empty() && row["decides"] == "true" && unit == "mm" {
                    assert_eq!(row["lower_limit_mm"], number);
                    assert_eq!(row["upper_limit_mm"], said(body, "upper"));
                    assert_eq!(row["u_mm"], u);
                }
            }
            if unit == "check" {
                continue;
            }
            assert!(
                stands_alone(&page, &value),
                "{newest} {reading}: {value} in the page"
            );
            let on_paper = stands_alone(&paper_text, &value) || paper_bare.contains(&bare(&value));
            assert!(on_paper, "{newest} {reading}: {value} on paper");
            *compared.entry("page and paper").or_default() += 1;
        }
        for text in [&page, &paper_bare] {
            assert!(text.contains(&sheet.record.head), "{newest}: the head");
        }
        assert_eq!(object["record"]["head"], sheet.record.head.as_str());
    }
    for (form, least) in [
        ("table", 25),
        ("json", 25),
        ("json result", 15),
        ("exchange", 15),
        ("page and paper", 20),
    ] {
        assert!(compared[form] >= least, "{form}: {compared:?}");
    }
}
