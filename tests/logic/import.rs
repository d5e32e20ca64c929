//! Values measured elsewhere: what a table may say, what is refused and where, and that the record
//! says of each that it was imported.

#![cfg(unix)]

use std::fs;
use std::path::{Path, PathBuf};

use fitledger::command::{ImportDefaults, ImportTable, import_table};
use fitledger::session::{Begin, Setup, What, Workspace, setup_asked};
use serde_json::{Value, json};

use crate::support::exchange_sheets::HOSTILE;
use crate::support::program::{Answer, Shop, lines_of};

const PLAN: &str = "[part]\nname = \"Pump shaft\"\n\n\
    [[feature]]\nid = \"A\"\ncallout = \"20 k6\"\npoints = 2\n\n\
    [[feature]]\nid = \"B\"\ncallout = \"30° ±0.5°\"\n\n\
    [[feature]]\nid = \"T\"\ncallout = \"M10-6g\"\nelements = [\"pitch\", \"go_ring\", \"no_go_ring\"]\n\n\
    [[feature]]\nid = \"E\"\ncallout = \"40 ±0.1\"\nsurface = \"length\"\nevery = 2\n";
const GAUGES: &str = "[[gauge]]\nid = \"mic-25\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
    resolution = 0.001\nmpe = 0.002\n";

fn shop() -> Shop {
    let shop = Shop::in_memory();
    fs::write(shop.path("shaft.toml"), PLAN).unwrap();
    fs::write(shop.path("gauges.toml"), GAUGES).unwrap();
    shop
}

fn setup(shop: &Shop) -> Setup {
    let workspace = Workspace::locate(Some(shop.place.path()));
    setup_asked(
        &Begin::new(What::Plan(shop.path("shaft.toml"))),
        None,
        &workspace,
    )
    .unwrap()
}

fn read(shop: &Shop, text: &str) -> ImportTable {
    import_table(text, &setup(shop), ImportDefaults::default())
}

#[test]
fn columns_stand_in_any_order_and_each_value_keeps_its_decimals_and_its_row() {
    let shop = shop();
    let text = "value,feature,Part,note,point,serial,mood\r\n\
        20.0090,A,1,\"left, dry\",1,GP-1,calm\r\n\
        20.010,A,1,,2,GP-1,\r\n\
        0.78780 in,A,2,,,GP-2,\r\n\
        30.25,B,1,,,,\r\n\
        goes,T,1,,,,\r\n";
    let table = read(&shop, text);
    assert_eq!(table.unknown_columns, ["mood"]);
    // A length where the thread's first element is wanted.
    assert_eq!(table.wrong.len(), 1, "{:?}", table.wrong);
    assert_eq!(table.wrong[0].line, 6);
    let rows = &table.rows;
    let raw: Vec<&str> = rows
        .iter()
        .map(|row| std::str::from_utf8(&row.reading.raw).unwrap())
        .collect();
    assert_eq!(raw[0], "20.0090,A,1,\"left, dry\",1,GP-1,calm");
    let read: Vec<(u32, u64, u16, u8)> = rows
        .iter()
        .map(|row| (row.part, row.line, row.point, row.reading.shown.decimals))
        .collect();
    assert_eq!(
        read,
        [(1, 2, 1, 4), (1, 3, 2, 3), (1, 5, 1, 0), (2, 4, 1, 5)]
    );
    assert_eq!(rows[3].serial, "GP-2");
    // 0.7878 in is 20.01012 mm exactly (1 in is 25.4 mm).
    assert_eq!(rows[3].reading.observed.value(), 20_010_120);
}

#[test]
fn semicolons_and_decimal_commas_are_read_as_what_they_are() {
    let shop = shop();
    let table = read(&shop, "\u{feff}part;feature;value\n1;A;20,009\n");
    assert_eq!(table.wrong, []);
    assert_eq!(table.rows[0].reading.observed.value(), 20_009_000);
}

#[test]
fn what_this_program_writes_is_read_again_with_its_guards_taken_off() {
    let shop = shop();
    let text = "part,serial,feature,value,value_unit,gauge,counts\n\
        1,'-7,A,20.009,mm,mic-25,true\n\
        1,'-7,A,20.022,mm,mic-25,false\n";
    let table = read(&shop, text);
    assert_eq!(table.wrong, []);
    assert_eq!((table.rows.len(), table.not_counting), (1, 1));
    assert_eq!(table.rows[0].serial, "-7");
    assert_eq!(table.rows[0].reading.gauge.as_str(), "mic-25");
}

#[test]
fn every_wrong_row_is_told_with_its_line_and_its_code() {
    let shop = shop();
    let head = "part,serial,feature,element,point,value,unit,gauge,operator,time,note,counts\n";
    for (row, code) in [
        ("1,,A,,,20.009\n", "wrong_field_count"),
        ("1,,Z,,,20.009,,,,,,\n", "no_such_characteristic"),
        ("1,,A,pitch,,20.009,,,,,,\n", "no_such_characteristic"),
        ("1,,A,,3,20.009,,,,,,\n", "no_such_point"),
        ("1,,A,,0,20.009,,,,,,\n", "no_such_point"),
        ("1,,A,,-1,20.009,,,,,,\n", "no_such_point"),
        ("1,,A,,1,,,,,,,\n", "value_missing"),
        ("1,,A,,1,mic-25=20.009,,,,,,\n", "not_a_value"),
        ("1,,A,,1,20.009,furlong,,,,,\n", "wrong_unit"),
        ("1,,A,,1,20.009,degree,,,,,\n", "wrong_unit"),
        ("1,,A,,1,20.009 in,mm,,,,,\n", "wrong_unit"),
        ("1,,A,,1,20.009mm,in,,,,,\n", "wrong_unit"),
        ("1,,A,,1,\"20.009\"\"\",mm,,,,,\n", "wrong_unit"),
        ("1,,A,,1,20.009,,mic-99,,,,\n", "no_such_gauge"),
        ("0,,A,,1,20.009,,,,,,\n", "no_part_number"),
        ("1.5,,A,,1,20.009,,,,,,\n", "no_part_number"),
        ("+1,,A,,1,20.009,,,,,,\n", "no_part_number"),
        ("1000001,,A,,1,20.009,,,,,,\n", "no_part_number"),
        (",,A,,1,20.009,,,,,,\n", "part_missing"),
        ("1,,A,,2,20.009,,,,,,\n", "point_missing"),
        ("1,,A,,1,20.009,,,,,,maybe\n", "counts_unclear"),
        ("1,,T,go_ring,,turns_more,check,,,,,\n", "no_answer"),
        ("1,,T,go_ring,,20.009,,,,,,\n", "no_answer"),
    ] {
        let table = read(&shop, &format!("{head}{row}"));
        let found: Vec<(u64, &str)> = table
            .wrong
            .iter()
            .map(|wrong| (wrong.line, wrong.code))
            .collect();
        assert_eq!(found, [(2, code)], "{row}");
        assert!(table.rows.is_empty(), "{row}");
        assert!(
            table.wrong[0].sentence.ends_with('.'),
            "{}",
            table.wrong[0].sentence
        );
    }
    let long = format!("{head}1,,A,,1,20.009,,,,,{},\n", "x".repeat(5_000));
    assert_eq!(read(&shop, &long).wrong[0].code, "row_too_long");
    // E is measured on every second part: on 1, 3 and so on.
    let sampled = format!("{head}1,,E,,,40.0,,,,,,\n2,,E,,,40.0,,,,,,\n");
    let table = read(&shop, &sampled);
    assert_eq!(table.rows.len(), 1);
    assert_eq!(
        (table.wrong[0].line, table.wrong[0].code),
        (3, "not_selected")
    );
    // What is no number at all says so in the words of typed values.
    let table = read(&shop, &format!("{head}1,,A,,1,abc,,,,,,\n"));
    assert_eq!(table.wrong[0].line, 2);
}

#[test]
fn rows_that_contradict_each_other_are_wrong() {
    let shop = shop();
    let head = "part,serial,feature,point,value\n";
    for (rows, line, code) in [
        ("1,,A,1,20.009\n1,,A,1,20.010\n", 3, "point_twice"),
        (
            "1,,A,,20.009\n1,,A,,20.010\n1,,A,,20.011\n",
            4,
            "point_twice",
        ),
        ("1,a,A,1,20.009\n1,b,A,2,20.010\n", 3, "serial_differs"),
        ("1,a,A,1,20.009\n2,a,A,1,20.010\n", 3, "serial_twice"),
    ] {
        let table = read(&shop, &format!("{head}{rows}"));
        let found: Vec<(u64, &str)> = table
            .wrong
            .iter()
            .map(|wrong| (wrong.line, wrong.code))
            .collect();
        assert!(found.contains(&(line, code)), "{rows}: {found:?}");
    }
}

#[test]
fn the_table_as_a_whole_is_refused_where_its_header_is_none() {
    let shop = shop();
    for (text, code) in [
        ("", "column_missing"),
        ("\n\n", "column_missing"),
        ("part,feature\n1,A\n", "column_missing"),
        ("feature,value\nA,20.009\n", "column_missing"),
        (
            "part,feature,value,value\n1,A,20.009,20.009\n",
            "column_twice",
        ),
    ] {
        let table = read(&shop, text);
        assert_eq!(table.wrong[0].code, code, "{text:?}");
        assert_eq!(table.wrong[0].line, 1);
        assert!(table.rows.is_empty());
    }
}

#[test]
fn parts_are_numbered_from_one_in_the_order_of_the_tables_numbers() {
    let shop = shop();
    let text =
        "part,serial,feature,value\n7,,A,20.009\n5,,A,20.009\n,x,A,20.009\n,y,A,20.009\n,x,B,30\n";
    let table = read(&shop, text);
    assert_eq!(table.wrong, []);
    let found: Vec<(u64, u32)> = table.rows.iter().map(|row| (row.line, row.part)).collect();
    assert_eq!(found, [(3, 1), (2, 2), (4, 3), (6, 3), (5, 4)]);
    assert_eq!(table.renumbered, [(5, 1), (7, 2)]);
}

/// A row that is nonsense is told, and never taken for something; the reader neither panics nor
/// hangs, whatever stands there.
#[test]
fn hostile_texts_in_any_column_are_values_texts_or_told() {
    let shop = shop();
    let setup = setup(&shop);
    let names = [
        "part", "serial", "feature", "element", "point", "value", "unit", "gauge", "operator",
        "time", "note",
    ];
    let good = [
        "1", "GP-1", "A", "", "1", "20.009", "mm", "mic-25", "bench 2", "", "",
    ];
    for text in HOSTILE {
        for at in 0..names.len() {
            let mut writer = csv::Writer::from_writer(Vec::new());
            writer.write_record(names).unwrap();
            let mut row = good;
            row[at] = text;
            writer.write_record(row).unwrap();
            let bytes = writer.into_inner().unwrap();
            let table = import_table(
                std::str::from_utf8(&bytes).unwrap(),
                &setup,
                ImportDefaults::default(),
            );
            let is_text = ["serial", "operator", "time", "note"].contains(&names[at]);
            assert_eq!(
                table.rows.len() + table.wrong.len(),
                1,
                "{text:?} in {}",
                names[at]
            );
            // A number is a value, if a strange one.
            let is_value = names[at] == "value" && ["+1", "-1", "-1.5"].contains(&text);
            let is_row = table.rows.len() == 1;
            assert_eq!(is_row, is_text || is_value, "{text:?} in {}", names[at]);
        }
    }
}

fn import(shop: &Shop, text: &str, more: &[&str]) -> Answer {
    fs::write(shop.path("measured.csv"), text).unwrap();
    let mut arguments = vec!["import", "--plan", "shaft.toml", "measured.csv"];
    arguments.extend_from_slice(more);
    shop.run(&arguments, "")
}

const GOOD: &str = "part,feature,element,point,value,gauge\n\
    1,A,,1,20.009,mic-25\n1,A,,2,20.010,mic-25\n1,B,,,30.1,\n1,T,pitch,,8.931,mic-25\n\
    1,T,go_ring,,goes,\n1,T,no_go_ring,,does not,\n1,E,,,40.02,\n2,A,,1,20.030,mic-25\n";

#[test]
fn a_right_table_becomes_a_closed_record_that_says_imported_everywhere() {
    let shop = shop();
    let answer = import(&shop, GOOD, &["--json", "--operator", "bench 2"]);
    // The second part is NO-GO and not done.
    assert_eq!(answer.code, 1, "{} {}", answer.text, answer.told);
    let verdicts: Vec<&Value> = answer
        .lines
        .iter()
        .filter(|line| line["verdict"].is_string())
        .collect();
    assert_eq!(verdicts.len(), 8);
    assert!(verdicts.iter().all(|line| line["origin"] == "imported"));
    assert_eq!(verdicts[1]["verdict"], "GO");
    assert_eq!(verdicts[7]["verdict"], "NO-GO");
    let journal = shop.journal();
    assert_eq!(shop.verified(&journal)["state"], "sound");
    let received = lines_of(&journal, "reading_received");
    assert_eq!(received.len(), 8);
    assert!(
        received
            .iter()
            .all(|line| line["body"]["origin"] == "imported")
    );
    // The row as it stands: `1,A,,1,20.009,mic-25`.
    assert_eq!(
        received[0]["body"]["raw"],
        "312c412c2c312c32302e3030392c6d69632d3235"
    );
    let opened = &lines_of(&journal, "session_opened")[0]["body"];
    assert_eq!(opened["sources"][0]["source"], "imported:measured.csv");
    assert_eq!(opened["operator"], "bench 2");
    // And in what is made of it.
    let path = journal.to_str().unwrap();
    let answer = shop.run(&["export", path, "--format", "csv", "--out", "out.csv"], "");
    assert_eq!(answer.code, 0, "{}", answer.told);
    let mut table = csv::Reader::from_path(shop.path("out.csv")).unwrap();
    let header = table.headers().unwrap().clone();
    let origin = header.iter().position(|name| name == "origin").unwrap();
    let origins: Vec<String> = table
        .records()
        .map(|record| record.unwrap()[origin].to_owned())
        .collect();
    assert_eq!(origins, ["imported"; 8]);
    let text = import(&shop, GOOD, &[]);
    let marked = text
        .text
        .lines()
        .filter(|line| line.ends_with("  imported"));
    assert_eq!(marked.count(), 8, "{}", text.text);
}

#[test]
fn one_wrong_row_and_nothing_is_recorded_unless_partly() {
    let shop = shop();
    let text = format!("{GOOD}2,Z,,1,3,\n2,A,,9,20.01,\n");
    let answer = import(&shop, &text, &["--json"]);
    assert_eq!(answer.code, 2);
    let codes: Vec<&Value> = answer
        .lines
        .iter()
        .filter_map(|line| line["error"].get("code"))
        .collect();
    assert_eq!(
        codes,
        [
            &json!("no_such_characteristic"),
            &json!("no_such_point"),
            &json!("nothing_imported")
        ]
    );
    let message = answer.lines[0]["error"]["message"].as_str().unwrap();
    assert!(message.starts_with("line 10: "), "{message}");
    assert!(shop.journals().is_empty());
    let answer = import(&shop, &text, &["--json", "--partly"]);
    assert_eq!(answer.code, 2);
    assert_eq!(lines_of(&shop.journal(), "reading_received").len(), 8);
    assert_eq!(shop.verified(&shop.journal())["state"], "sound");
}

/// Sampling goes by the numbers of parts: a part is not given the number of another because every
/// row of that one is wrong.
#[test]
fn a_part_of_which_every_row_is_wrong_stays_open_and_the_next_keeps_its_number() {
    let shop = shop();
    let text = "part,serial,feature,value\n1,GP-1,B,30\n2,GP-2,Z,1\n3,GP-3,B,30.1\n";
    let answer = import(&shop, text, &["--json", "--partly"]);
    let codes = answer
        .lines
        .iter()
        .filter_map(|line| line["error"].get("code"));
    let codes: Vec<&Value> = codes.collect();
    assert_eq!(codes, [&json!("no_such_characteristic")], "{}", answer.text);
    let journal = shop.journal();
    let parts = |kind: &str, of: fn(&Value) -> &Value| -> Vec<Value> {
        let lines = lines_of(&journal, kind);
        lines.iter().map(|line| of(&line["body"]).clone()).collect()
    };
    assert_eq!(parts("part_started", |body| &body["part"]), [1, 2, 3]);
    assert_eq!(
        parts("reading_assigned", |body| &body["place"]["part"]),
        [1, 3]
    );
    assert_eq!(parts("part_named", |body| &body["part"]), [1, 3]);
    assert_eq!(
        parts("part_named", |body| &body["serial"]),
        ["GP-1", "GP-3"]
    );
}

#[test]
fn a_value_that_is_far_off_is_set_aside_and_told_unless_it_is_taken_on_purpose() {
    let shop = shop();
    let text = "part,feature,value\n1,A,2.009\n1,B,30\n";
    let answer = import(&shop, text, &[]);
    assert_eq!(answer.code, 1, "{}", answer.told);
    assert!(
        answer.told.contains("One value was far off and set aside"),
        "{}",
        answer.told
    );
    let journal = shop.journal();
    assert_eq!(lines_of(&journal, "reading_set_aside").len(), 1);
    fs::remove_file(&journal).unwrap();
    import(&shop, text, &["--take-implausible"]);
    let journal = shop.journal();
    assert_eq!(lines_of(&journal, "reading_set_aside").len(), 0);
    assert_eq!(lines_of(&journal, "verdict_given").len(), 2);
}

#[test]
fn a_record_that_was_exported_and_imported_has_the_same_values_and_verdicts() {
    let mut compared = 0;
    for (name, least) in [
        ("example-two-parts", 4),
        ("example-threads", 5),
        ("example-not-closed", 1),
    ] {
        let golden = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("sessions/{name}.jsonl"));
        let shop = Shop::in_memory();
        let opened = lines_of(&golden, "session_opened")[0]["body"].clone();
        assert_eq!(
            lines_of(&golden, "temperature_set").len(),
            0,
            "temperatures are not imported"
        );
        fs::write(shop.path("plan.toml"), opened["plan"].as_str().unwrap()).unwrap();
        fs::write(shop.path("gauges.toml"), opened["gauges"].as_str().unwrap()).unwrap();
        let export = |journal: &Path, format: &str, out: &str| {
            let answer = shop.run(
                &[
                    "export",
                    journal.to_str().unwrap(),
                    "--format",
                    format,
                    "--out",
                    out,
                ],
                "",
            );
            assert_eq!(answer.code, 0, "{}", answer.told);
        };
        export(&golden, "csv", "there.csv");
        export(&golden, "json", "there.json");
        let answer = shop.run(
            &[
                "import",
                "--plan",
                "plan.toml",
                "there.csv",
                "--take-implausible",
            ],
            "",
        );
        assert!(answer.code <= 1, "{}", answer.told);
        let journal: PathBuf = shop.journal();
        export(&journal, "json", "here.json");
        let report = |name: &str| -> Value {
            serde_json::from_slice(&fs::read(shop.path(name)).unwrap()).unwrap()
        };
        let (there, here) = (report("there.json"), report("here.json"));
        let results = |report: &Value| -> Vec<Value> {
            let parts = report["parts"].as_array().unwrap().iter();
            parts
                .flat_map(|part| part["results"].as_array().unwrap().clone())
                .collect()
        };
        let (there, here) = (results(&there), results(&here));
        let mut same = 0;
        for (one, other) in there.iter().zip(&here) {
            for key in [
                "number",
                "actual",
                "verdict",
                "u",
                "side",
                "rule",
                "deviation",
            ] {
                assert_eq!(one[key], other[key], "{name} {key}: {one} {other}");
            }
            same += usize::from(one.get("actual").is_some());
        }
        assert!(same >= least, "{name}: {same}");
        compared += same;
    }
    assert!(compared >= 10, "{compared}");
}
