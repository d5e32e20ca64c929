//! The report for other programs: the table and its description, the JSON, the exchange file.
//! Reports made by hand, and hostile texts in every field.
//!
//! What is written to `qif` in the tests' folder is validated against the schemas by `.ci/run`.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use fitledger::report::{Sheet, csv, csv_metadata, csv_text_back, json, qif, shown};
use quick_xml::Reader;
use quick_xml::events::Event;
use serde_json::Value;

use crate::support::exchange_sheets::{HOSTILE, hostile, plain};

type Row = BTreeMap<String, String>;

/// The rows of a table by the names of its columns, with the guards of texts taken off.
fn rows(bytes: &[u8]) -> (Vec<String>, Vec<Row>) {
    let mut reader = csv::ReaderBuilder::new().flexible(false).from_reader(bytes);
    let header: Vec<String> = reader
        .headers()
        .unwrap()
        .iter()
        .map(str::to_owned)
        .collect();
    let rows = reader.records().map(|record| {
        let record = record.unwrap();
        let fields = record.iter().map(|field| csv_text_back(field).to_owned());
        header.iter().cloned().zip(fields).collect()
    });
    let rows = rows.collect();
    (header, rows)
}

#[test]
fn every_reading_has_its_row_and_nothing_is_left_out() {
    let sheet = plain();
    let bytes = csv(&sheet).unwrap();
    let (_, rows) = rows(&bytes);
    let own = sheet.parts.iter().flat_map(|part| &part.readings);
    let all: Vec<_> = own.chain(&sheet.record.other_readings).collect();
    assert_eq!(rows.len(), all.len());
    for (row, reading) in rows.iter().zip(&all) {
        assert_eq!(row["reading"], reading.line.to_string());
        assert_eq!(row["value"], reading.value);
        assert_eq!(row["raw"], reading.raw);
        assert_eq!(row["end"], reading.end);
        assert_eq!(row["reason"], reading.reason);
        assert_eq!(row["voided_by"], reading.by);
        assert_eq!(row["held"], reading.held);
        assert_eq!(row["time"], reading.time);
    }
    let ends: Vec<&str> = rows.iter().map(|row| row["end"].as_str()).collect();
    for end in [
        "voided",
        "set_aside",
        "held",
        "cutting",
        "repeat",
        "zero_check",
    ] {
        assert!(ends.contains(&end), "{end}");
    }
    // What only the reading that decides has.
    let deciding: Vec<&Row> = rows.iter().filter(|row| row["decides"] == "true").collect();
    let numbers: Vec<&str> = deciding
        .iter()
        .map(|row| row["characteristic"].as_str())
        .collect();
    assert_eq!(numbers, ["1", "2", "3", "4", "5", "6", "7", "8", "9"]);
    assert_eq!(deciding[0]["u_mm"], "0.0012");
    assert_eq!(deciding[0]["deviation_mm"], "-0.0015");
    assert_eq!(deciding[0]["place"], "right");
    assert_eq!(deciding[6]["u_degree"], "0.05");
    assert_eq!(deciding[6]["u_mm"], "");
    assert_eq!(deciding[6]["angle_degree"], "30.2");
    assert_eq!(deciding[2]["check_outcome"], "goes");
    // A reading in inches has its size in millimetres.
    assert_eq!(
        (
            deciding[4]["value"].as_str(),
            deciding[4]["value_unit"].as_str()
        ),
        ("0.2358", "in")
    );
    assert_eq!(deciding[4]["value_at_20_mm"], "5.990");
    // The zero check belongs to no part.
    assert_eq!(rows.last().unwrap()["part"], "");
}

#[test]
fn the_table_keeps_rfc_4180_and_numbers_stay_numbers() {
    let bytes = csv(&plain()).unwrap();
    let text = String::from_utf8(bytes).unwrap();
    // Lines end with CR LF, the last one too (RFC 4180, section 2, rules 1 and 2).
    assert!(text.ends_with("\r\n"));
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    assert_eq!(text.lines().count(), 17);
    // A negative number is no formula and gets no guard, in columns of numbers alone.
    let line = text.lines().find(|line| line.starts_with("21,")).unwrap();
    assert!(line.contains(",-3.25,mm,"), "{line}");
    let line = text.lines().find(|line| line.starts_with("11,")).unwrap();
    assert!(line.contains(",-0.0015,"), "{line}");
    // But what arrived is a text, whatever it looks like.
    assert_eq!(text.matches("'-").count(), 1);
    assert!(text.contains(",'-3.25,-3.25,mm,"));
}

#[test]
fn a_number_column_takes_nothing_but_a_number_without_its_guard() {
    let mut sheet = plain();
    for (number, wanted) in [
        ("-0.012", "-0.012"),
        ("+0.012", "0.012"),
        ("-1+2", "'-1+2"),
        ("-@", "'-@"),
        ("=1", "'=1"),
        ("-", "'-"),
        ("-1,5", "\"'-1,5\""),
    ] {
        sheet.parts[0].results[0].deviation = number.to_owned();
        let text = String::from_utf8(csv(&sheet).unwrap()).unwrap();
        let line = text.lines().find(|line| line.starts_with("11,")).unwrap();
        assert!(line.contains(&format!(",{wanted},")), "{number}: {line}");
    }
    // A serial number is a text, whatever it looks like.
    sheet.parts[0].serial = "-0.012".to_owned();
    let text = String::from_utf8(csv(&sheet).unwrap()).unwrap();
    assert!(text.contains(",'-0.012,"));
}

#[test]
fn every_hostile_text_comes_back_from_the_table() {
    let of_parts = [
        "serial",
        "raw",
        "operator",
        "reason",
        "voided_by",
        "stage",
        "held",
    ];
    let of_all = [
        "part_name",
        "drawing",
        "revision",
        "customer",
        "order",
        "material",
        "material_lot",
        "machine",
        "plan",
        "rule_agreed_with",
    ];
    let of_asked = ["feature", "characteristic_name"];
    let mut compared = 0;
    for text in HOSTILE {
        let bytes = csv(&hostile(text)).unwrap();
        let (_, rows) = rows(&bytes);
        for row in &rows {
            let in_part = !row["part"].is_empty();
            let in_asked = !row["characteristic"].is_empty();
            let parts = of_parts.iter().filter(|_| in_part);
            let asked = of_asked.iter().filter(|_| in_asked);
            for name in of_all.iter().chain(parts).chain(asked) {
                assert_eq!(row[*name], text, "{name}");
                compared += 1;
            }
        }
        // No field starts as a formula would, but for plain numbers.
        let mut raw = csv::ReaderBuilder::new().from_reader(bytes.as_slice());
        for record in raw.records() {
            for field in record.unwrap().iter() {
                let is_number = field.strip_prefix('-').is_some_and(|rest| {
                    rest.chars().all(|c| c.is_ascii_digit() || c == '.') && rest.len() > 1
                });
                let starts = field.starts_with(['=', '+', '-', '@', '\t', '\r', '\0']);
                assert!(is_number || !starts, "{field:?}");
            }
        }
    }
    assert!(compared > 5_000, "{compared}");
}

/// W3C Recommendation of 17 December 2015, "Metadata Vocabulary for Tabular Data": the properties
/// that a table description has (sections 5.3, 5.5, 5.6, 5.9), and the names of datatypes
/// (section 5.11.1 and the diagram of "Model for Tabular Data", section 4.6.1), from memory.
#[test]
fn the_description_describes_exactly_the_header() {
    let described: Value = serde_json::from_slice(&csv_metadata("report.csv")).unwrap();
    assert_eq!(described["@context"][0], "http://www.w3.org/ns/csvw");
    assert_eq!(described["url"], "report.csv");
    assert_eq!(described["dialect"]["delimiter"], ",");
    assert_eq!(described["dialect"]["lineTerminators"][0], "\r\n");
    let columns = described["tableSchema"]["columns"].as_array().unwrap();
    let (header, rows) = rows(&csv(&plain()).unwrap());
    let names: Vec<&str> = columns
        .iter()
        .map(|column| column["name"].as_str().unwrap())
        .collect();
    let titles: Vec<&str> = columns
        .iter()
        .map(|column| column["titles"].as_str().unwrap())
        .collect();
    assert_eq!(names, header);
    assert_eq!(titles, header);
    let key = described["tableSchema"]["primaryKey"].as_str().unwrap();
    let mut keys: Vec<&str> = rows.iter().map(|row| row[key].as_str()).collect();
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), rows.len(), "the key names one row");
    let mut checked = 0;
    for column in columns {
        let name = column["name"].as_str().unwrap();
        let base = column["datatype"]["base"]
            .as_str()
            .or(column["datatype"].as_str())
            .unwrap();
        assert_eq!(column["null"], "");
        let unit = column["schema:unitText"].as_str();
        assert_eq!(unit == Some("mm"), name.ends_with("_mm"), "{name}");
        assert_eq!(unit == Some("degree"), name.ends_with("_degree"), "{name}");
        for field in rows
            .iter()
            .map(|row| &row[name])
            .filter(|field| !field.is_empty())
        {
            let is_right = match base {
                "string" => true,
                "integer" => field.parse::<i64>().is_ok(),
                "decimal" => field.parse::<f64>().is_ok() && !field.contains(['e', 'E']),
                "boolean" => ["true", "false"].contains(&field.as_str()),
                "dateTimeStamp" => field.parse::<jiff::Timestamp>().is_ok(),
                "date" => field.parse::<jiff::civil::Date>().is_ok(),
                other => panic!("{other}"),
            };
            assert!(is_right, "{name}: {field} is no {base}");
            checked += 1;
        }
    }
    assert!(checked > 500, "{checked}");
}

/// Every text of a value, wherever it is in the object.
fn texts<'v>(value: &'v Value, found: &mut Vec<&'v str>) {
    match value {
        Value::String(text) => found.push(text),
        Value::Array(all) => all.iter().for_each(|one| texts(one, found)),
        Value::Object(map) => map.values().for_each(|one| texts(one, found)),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

#[test]
fn the_json_holds_the_whole_sheet_in_its_one_form() {
    let sheet = plain();
    let bytes = json(&sheet);
    let value: Value = serde_json::from_slice(&bytes).unwrap();
    assert_eq!(value["form"], "fitledger report 1");
    assert_eq!(
        value["record"]["head"],
        "0123456789abcdef".repeat(4).as_str()
    );
    assert_eq!(value["record"]["events"], 42);
    assert_eq!(value["parts"][0]["results"][0]["actual"], "20.0100");
    assert_eq!(value["parts"][0]["results"][0]["bar"]["at"], 540);
    assert_eq!(
        value["parts"][0]["readings"][10]["reason"],
        "a chip was under the anvil"
    );
    assert_eq!(value["parts"][0]["decisions"][0]["what"], "concession");
    assert_eq!(value["parts"][0]["signatures"][0]["covers"], 40);
    assert_eq!(value["happenings"][0]["what"], "tool changed");
    // What was not recorded is not there; nothing is null, no number has a fraction.
    assert!(value["job"].get("machine").is_none());
    let text = String::from_utf8(bytes).unwrap();
    assert!(!text.contains("null"));
    assert!(!text.contains(": ") || serde_json::from_str::<Value>(&text).is_ok());
    fn numbers(value: &Value) {
        match value {
            Value::Number(number) => assert!(number.is_i64() || number.is_u64(), "{number}"),
            Value::Array(all) => all.iter().for_each(numbers),
            Value::Object(map) => map.values().for_each(numbers),
            Value::Null | Value::Bool(_) | Value::String(_) => {}
        }
    }
    numbers(&value);
    // The same sheet, the same bytes.
    assert_eq!(json(&plain()), text.into_bytes());
}

#[test]
fn every_hostile_text_comes_back_from_the_json() {
    for text in HOSTILE {
        let sheet = hostile(text);
        let value: Value = serde_json::from_slice(&json(&sheet)).unwrap();
        let mut found = Vec::new();
        texts(&value, &mut found);
        let count = found.iter().filter(|one| **one == text).count();
        // 34 fields of the session, 60 of the ten characteristics, and those of two parts.
        assert!(count > 250, "{text:?} comes back {count} times");
        assert_eq!(value["job"]["customer"], text);
        assert_eq!(value["gauges"][0]["source"], text);
    }
}

/// The document's elements and attributes with their texts, in order; fails where it is not well
/// formed.
fn xml_texts(bytes: &[u8]) -> Vec<(String, String)> {
    let mut reader = Reader::from_reader(bytes);
    let config = reader.config_mut();
    config.check_end_names = true;
    config.check_comments = true;
    let mut found = Vec::new();
    let mut open: Vec<String> = Vec::new();
    let mut text = String::new();
    loop {
        match reader.read_event().unwrap() {
            Event::Eof => break,
            Event::Start(start) | Event::Empty(start)
                if start.name().as_ref() == b"AttributeStr" =>
            {
                let value = |key: &str| {
                    let attribute = start.try_get_attribute(key).unwrap().unwrap();
                    attribute
                        .decoded_and_normalized_value(
                            quick_xml::XmlVersion::Explicit1_0,
                            reader.decoder(),
                        )
                        .unwrap()
                        .into_owned()
                };
                found.push((value("name"), value("value")));
            }
            Event::Start(start) => {
                open.push(String::from_utf8(start.name().as_ref().to_vec()).unwrap());
                text.clear();
            }
            Event::Text(piece) => text.push_str(&piece.decode().unwrap()),
            Event::GeneralRef(reference) => {
                let name = reference.decode().unwrap();
                let resolved = quick_xml::escape::unescape(&format!("&{name};"))
                    .unwrap()
                    .into_owned();
                text.push_str(&resolved);
            }
            Event::End(_) => {
                let name = open.pop().unwrap();
                found.push((name, std::mem::take(&mut text)));
            }
            _ => {}
        }
    }
    assert!(open.is_empty());
    found
}

fn all_of<'x>(found: &'x [(String, String)], name: &str) -> Vec<&'x str> {
    let all = found.iter().filter(|(known, _)| known == name);
    all.map(|(_, text)| text.as_str()).collect()
}

fn kept(name: &str, bytes: &[u8]) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("qif");
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join(name), bytes).unwrap();
}

#[test]
fn the_exchange_file_says_what_the_sheet_says() {
    let sheet = plain();
    let bytes = qif(&sheet).unwrap();
    kept("by-hand.qif", &bytes);
    let text = String::from_utf8(bytes.clone()).unwrap();
    let found = xml_texts(&bytes);
    // The values that were measured, in order, with their decimals; the thread's pitch diameter
    // stands there twice, as the thread's and on its own.
    let values = all_of(&found, "Value");
    assert_eq!(
        values,
        [
            "20.0100", "8.931", "goes", "40.00", "5.990", "12.020", "30.2", "2.05", "8.01"
        ]
    );
    assert_eq!(all_of(&found, "PitchDiameter"), ["8.931"]);
    assert!(text.contains(
        "<Value decimalPlaces=\"4\" combinedUncertainty=\"0.0012\" meanError=\"0\">20.0100</Value>"
    ));
    // Limits of size, both or one.
    assert!(text.contains("<MaxValue decimalPlaces=\"3\">20.015</MaxValue>"));
    assert_eq!(all_of(&found, "DefinedAsLimit").len(), 8);
    assert_eq!(all_of(&found, "NonTolerance"), ["MEASURED"]);
    assert_eq!(all_of(&found, "TextSpecification"), ["M10-6g"]);
    // The statuses, by the table of the mapping: the seat, the thread and its two elements, the
    // length on a gauge found wrong, the slot with metal on, the depth, the angle, the radius with
    // points still wanted, the size without limits, the one left out by sampling.
    let statuses = all_of(&found, "CharacteristicStatusEnum");
    let first = [
        "PASS",
        "PASS",
        "PASS",
        "PASS",
        "INDETERMINATE",
        "REWORK",
        "FAIL",
        "INDETERMINATE",
        "INDETERMINATE",
        "NOT_ANALYZED",
        "NOT_ANALYZED",
    ];
    assert_eq!(statuses[..11], first);
    assert!(
        statuses[11..]
            .iter()
            .all(|status| *status == "NOT_ANALYZED")
    );
    // Accepted under a concession is not PASS, and a part without a reading was not measured.
    let of_parts = all_of(&found, "InspectionStatusEnum");
    assert_eq!(
        of_parts,
        ["UNKNOWN", "NOT_MEASURED", "UNKNOWN", "NOT_MEASURED"]
    );
    assert_eq!(all_of(&found, "standing"), ["under concession", "open"]);
    assert_eq!(all_of(&found, "SerialNumber"), ["EX-0001", "GP-0007"]);
    assert_eq!(
        all_of(&found, "expanded uncertainty U, k = 2"),
        ["0.0024", "0.008", "0.10"]
    );
    let concession = "line 40, by foreman: the key is ground to match";
    assert_eq!(all_of(&found, "concession"), [concession]);
    assert_eq!(
        all_of(&found, "record head"),
        ["0123456789abcdef".repeat(4)]
    );
    let designators = all_of(&found, "Designator");
    assert_eq!(
        designators,
        [
            "ISO 8015", "1", "2", "2.1", "2.2", "4", "5", "6", "7", "8", "9", "10"
        ]
    );
    assert_eq!(all_of(&found, "ExpirationDate"), ["2027-03-01T00:00:00"]);
    assert_eq!(all_of(&found, "InternalExternal"), ["EXTERNAL"]);
    assert_eq!(bytes, qif(&plain()).unwrap());
}

#[test]
fn every_reference_of_the_exchange_file_leads_somewhere_and_no_id_is_there_twice() {
    let bytes = qif(&plain()).unwrap();
    let text = String::from_utf8(bytes.clone()).unwrap();
    let mut ids: Vec<u32> = text
        .split(" id=\"")
        .skip(1)
        .map(|rest| rest.split('"').next().unwrap().parse().unwrap())
        .collect();
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count);
    assert!(text.contains(&format!("idMax=\"{}\"", ids.last().unwrap())));
    let found = xml_texts(&bytes);
    let is_reference = |name: &str| name == "Id" || (name.ends_with("Id") && name != "QPId");
    let mut led = 0;
    for (name, id) in found.iter().filter(|(name, _)| is_reference(name)) {
        let id: u32 = id.parse().unwrap();
        assert!(ids.contains(&id), "{name} {id}");
        led += 1;
    }
    assert!(led > 80, "{led}");
}

#[test]
fn hostile_texts_stand_escaped_in_a_well_formed_exchange_file() {
    for (at, text) in HOSTILE.into_iter().enumerate() {
        let sheet = hostile(text);
        let bytes = qif(&sheet).unwrap();
        kept(&format!("hostile-{at}.qif"), &bytes);
        let written = String::from_utf8(bytes.clone()).unwrap();
        // XML 1.0, section 2.2: the characters that a document may hold.
        let is_allowed = |c: char| {
            matches!(c, '\t' | '\n' | '\r' | ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}'
                | '\u{10000}'..='\u{10ffff}')
        };
        assert!(written.chars().all(is_allowed), "{text:?}");
        let found = xml_texts(&bytes);
        let seen = shown(text);
        assert_eq!(all_of(&found, "customer")[0], seen);
        assert_eq!(all_of(&found, "operator")[0], seen);
        assert_eq!(all_of(&found, "OrderNumber")[0], seen);
        assert_eq!(all_of(&found, "SerialNumber")[1], seen);
    }
}

#[test]
fn nothing_asked_and_nothing_measured_is_a_file_too() {
    let empty = Sheet::default();
    kept("empty.qif", &qif(&empty).unwrap());
    let (header, rows) = rows(&csv(&empty).unwrap());
    assert!(header.len() > 60);
    assert!(rows.is_empty());
    let value: Value = serde_json::from_slice(&json(&empty)).unwrap();
    assert_eq!(value["parts"].as_array().unwrap().len(), 0);
    // A part and nothing asked; and asked and no part.
    let mut part = plain();
    part.asked.clear();
    kept("nothing-asked.qif", &qif(&part).unwrap());
    let mut asked = plain();
    asked.parts.clear();
    asked.gauges.clear();
    kept("no-part.qif", &qif(&asked).unwrap());
}

/// Without the schemas `.ci/run` could validate nothing, and says so; here they are counted.
#[test]
fn the_schemas_and_their_licences_are_kept_with_the_tests() {
    let kept = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests")
        .join("qif");
    let count = |folder: &str| fs::read_dir(kept.join("xsd").join(folder)).unwrap().count();
    assert_eq!((count("QIFApplications"), count("QIFLibrary")), (7, 16));
    assert!(kept.join("xsd").join("catalog.xml").is_file());
    let licences = fs::read_to_string(kept.join("LICENSES.md")).unwrap();
    assert!(licences.contains("Boost Software License"));
}
