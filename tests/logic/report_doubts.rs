//! A gauge that is found wrong in a later session puts earlier records in doubt: their reports and
//! exports say so, with the real program.

#![cfg(unix)]

use std::fs;
use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::Duration;

use serde_json::Value;

use crate::support::program::{Answer, Shop};

const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
resolution = 0.001\nmpe = 0.002\nzero_check = { every_hours = 8, bound = 0.003, on = \"block\" }\n\
[[gauge]]\nid = \"other\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\nresolution = 0.001\n\
mpe = 0.002\n[[gauge]]\nid = \"block\"\nkind = \"gauge_block\"\nrange = 20\n";
const PART: [&str; 5] = ["inspect", "--json", "--callout", "20 k6", "--parts"];

fn shop() -> Shop {
    let shop = Shop::new();
    fs::write(shop.path("gauges.toml"), GAUGES).unwrap();
    shop
}

/// A session of parts that are all GO, measured with that gauge; its journal.
fn measured(shop: &Shop, gauge: &str, values: &str) -> PathBuf {
    sleep(Duration::from_millis(5));
    let source = format!("{gauge}=typed");
    let count = values.lines().count().to_string();
    let answer = shop.run(&[&PART[..], &[&count, "--gauge", &source]].concat(), values);
    assert_eq!(answer.code, 0, "{} {}", answer.text, answer.told);
    PathBuf::from(answer.lines.last().unwrap()["journal"].as_str().unwrap())
}

fn checked(shop: &Shop, shown: &str) -> Answer {
    sleep(Duration::from_millis(5));
    shop.run(&["zero-check", "--gauge", "mic=typed", "--json"], shown)
}

/// The journal in which the micrometer fails its check.
fn found_wrong(shop: &Shop) -> String {
    let before = shop.journals();
    assert_eq!(checked(shop, "20.006\n").code, 1);
    let mut new = shop.journals().into_iter();
    let new = new.find(|path| !before.contains(path)).unwrap();
    new.file_name().unwrap().to_str().unwrap().to_owned()
}

fn report(shop: &Shop, journal: &Path, more: &[&str]) -> (Answer, String) {
    let all = ["report", journal.to_str().unwrap(), "--replace", "--out"];
    let answer = shop.run(&[&all[..], &["page.html", "--readings"], more].concat(), "");
    let page = fs::read_to_string(shop.path("page.html")).unwrap();
    (answer, page)
}

fn exported(shop: &Shop, journal: &Path, format: &str) -> (Answer, String) {
    let all = ["export", journal.to_str().unwrap(), "--replace", "--out"];
    let answer = shop.run(&[&all[..], &["file", "--format", format]].concat(), "");
    let text = fs::read_to_string(shop.path("file")).unwrap();
    (answer, text)
}

fn json(shop: &Shop, journal: &Path) -> Value {
    serde_json::from_str(&exported(shop, journal, "json").1).unwrap()
}

/// The fields of the only row of a table that has that line.
fn field(table: &str, line: &Value, column: &str) -> String {
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let heads = rows.headers().unwrap().clone();
    let at = |name: &str| heads.iter().position(|head| head == name).unwrap();
    let (key, wanted) = (at("reading"), line.to_string());
    let mut found = rows.records().map(Result::unwrap);
    let row = found.find(|row| row[key] == wanted).unwrap();
    row[at(column)].to_owned()
}

fn is_told(text: &str, found: &str) -> bool {
    text.contains("in doubt since 20") && text.contains(found) && text.contains("mic failed its")
}

#[test]
fn what_a_later_session_found_stands_on_the_report_and_in_the_exports() {
    let shop = shop();
    let journal = measured(&shop, "mic", "20.008\n20.009\n");
    let untouched = measured(&shop, "other", "20.008\n");
    let (answer, page) = report(&shop, &journal, &[]);
    assert_eq!(answer.code, 0, "{}", answer.text);
    assert!(!page.contains(">DOUBT<") && !page.contains("in doubt since"));
    assert!(page.contains("looked through for gauges found wrong: 2, the newest of 20"));
    let bytes = fs::read(&journal).unwrap();

    let found = found_wrong(&shop);
    let (answer, page) = report(&shop, &journal, &[]);
    assert_eq!(answer.code, 1, "{}", answer.text);
    assert!(answer.text.contains("part 1: DOUBT\n") && is_told(&answer.text, &found));
    assert!(page.contains("<span class=\"standing doubt\">DOUBT</span>"));
    assert!(!page.contains("class=\"standing go\"") && !page.contains("class=\"verdict go\""));
    assert!(is_told(&page, &found));
    assert!(page.contains("Found in other records of the workspace on 20"));
    assert!(page.contains("looked through for gauges found wrong: 3, the newest of 20"));
    // All parts together: the cells are in doubt, and it is said that the numbers count them still.
    let batch = &json(&shop, &journal)["batch"];
    for row in batch["rows"].as_array().unwrap() {
        assert_eq!(
            (
                &row["cells"][0]["standing"],
                &row["cells"][0]["is_in_doubt"]
            ),
            (&"DOUBT".into(), &true.into())
        );
    }
    assert_eq!(batch["characteristics"][0]["stands"]["go"], 2);
    let remark = "2 values came in doubt by other records of the workspace.";
    assert!(batch["remarks"][0].as_str().unwrap().starts_with(remark));
    assert!(page.contains(remark));
    // The same of one part, and nothing of one that a good gauge measured.
    let (answer, page) = report(&shop, &journal, &["--part", "2"]);
    assert_eq!(answer.code, 1);
    assert!(is_told(&page, &found) && !answer.text.contains("part 1"));
    let (answer, page) = report(&shop, &untouched, &[]);
    assert_eq!(answer.code, 0, "{}", answer.text);
    assert!(page.contains("class=\"standing go\"") && !page.contains("in doubt since"));

    let sheet = json(&shop, &journal);
    let part = &sheet["parts"][0];
    for (word, of) in [
        ("state", part),
        ("standing", part),
        ("verdict", &part["results"][0]),
    ] {
        assert_eq!(of[word], "DOUBT", "{word}");
    }
    assert_eq!(
        (&part["is_good"], &part["results"][0]["is_in_doubt"]),
        (&false.into(), &true.into())
    );
    let reading = &part["readings"][0];
    assert_eq!(reading["verdict"], "GO", "the record's word stays");
    assert!(is_told(reading["doubt"].as_str().unwrap(), &found));
    assert!(is_told(part["doubts"][0].as_str().unwrap(), &found));
    assert!(sheet["gauges"].to_string().contains(&found));
    let (answer, table) = exported(&shop, &journal, "csv");
    assert!(is_told(&answer.told, &found), "{}", answer.told);
    let of = |column| field(&table, &reading["line"], column);
    assert_eq!(
        [of("result"), of("in_doubt"), of("part_standing")],
        ["DOUBT", "true", "DOUBT"]
    );
    assert!(is_told(&of("doubt"), &found) && is_told(&of("part_doubts"), &found));
    let (_, results) = exported(&shop, &journal, "qif");
    assert!(results.contains("INDETERMINATE") && !results.contains("PASS"));
    assert!(is_told(&results, &found));
    assert!(results.contains("in doubt by"), "{results}");
    let words = "the gauge was found wrong after this value";
    assert_eq!(results.matches(words).count(), 2, "once a part: {results}");
    assert_eq!(
        fs::read(&journal).unwrap(),
        bytes,
        "the record is as it was"
    );
}

/// Also what was NO-GO is not known any more: no customer's program reads it as decided.
#[test]
fn what_was_no_go_is_neither_passed_nor_failed_once_its_gauge_was_found_wrong() {
    let shop = shop();
    let all = [&PART[..], &["1", "--gauge", "mic=typed"]].concat();
    let answer = shop.run(&all, "20.031\n");
    assert_eq!(answer.code, 1, "{} {}", answer.text, answer.told);
    let journal = PathBuf::from(answer.lines.last().unwrap()["journal"].as_str().unwrap());
    let (_, before) = exported(&shop, &journal, "qif");
    assert!(
        !before.contains("INDETERMINATE") && before.contains("REWORK"),
        "{before}"
    );
    found_wrong(&shop);
    let (_, after) = exported(&shop, &journal, "qif");
    assert!(after.contains("INDETERMINATE"), "{after}");
}

#[test]
fn a_part_released_before_stays_released_and_is_in_doubt() {
    let shop = shop();
    measured(&shop, "mic", "20.008\n");
    let journal = shop.journal();
    let release = [
        "decide",
        journal.to_str().unwrap(),
        "release",
        "--part",
        "1",
        "--by",
        "Weber",
    ];
    assert_eq!(shop.run(&release, "").code, 0);
    let part = |shop: &Shop| json(shop, &newest(shop, &journal))["parts"][0].clone();
    let before = part(&shop);
    assert_eq!(
        (&before["standing"], &before["is_good"]),
        (&"released".into(), &true.into())
    );
    let found = found_wrong(&shop);
    let after = part(&shop);
    assert_eq!(
        (&after["standing"], &after["state"], &after["is_good"]),
        (&"released".into(), &"DOUBT".into(), &false.into())
    );
    let doubt = after["doubts"][0].as_str().unwrap();
    assert!(doubt.starts_with("Released, and in doubt since"), "{doubt}");
    assert_eq!(after["signatures"], before["signatures"]);
    let (answer, page) = report(&shop, &journal, &[]);
    assert_eq!(answer.code, 1);
    assert!(page.contains("<span class=\"standing doubt\">released</span>"));
    assert!(is_told(&page, &found));
}

/// The file that the session goes on in.
fn newest(shop: &Shop, journal: &Path) -> PathBuf {
    let answer = shop.run(
        &[
            "report",
            "--json",
            journal.to_str().unwrap(),
            "--out",
            "a.html",
        ],
        "",
    );
    drop(fs::remove_file(shop.path("a.html")));
    let head = answer.lines[0]["head"].clone();
    let mut all = shop.journals().into_iter();
    all.find(|path| shop.verified(path)["head"] == head)
        .unwrap()
}

#[test]
fn measured_again_it_is_clear_again() {
    let shop = shop();
    let count = ["1", "--gauge", "mic=typed"];
    let mut running = shop.start(&[&PART[..], &count].concat());
    running.type_text("20.008\n");
    assert_eq!(running.next()["verdict"], "GO");
    let journal = shop.journal();
    running.killed();
    let first = json(&shop, &journal)["parts"][0]["readings"][0]["line"].clone();
    let found = found_wrong(&shop);
    let (answer, page) = report(&shop, &journal, &[]);
    assert_eq!(answer.code, 1);
    assert!(is_told(&page, &found));
    assert_eq!(shop.run(&["doubtful"], "").code, 1);

    assert_eq!(checked(&shop, "20.000\n").code, 0);
    let (answer, page) = report(&shop, &journal, &[]);
    assert_eq!(answer.code, 1, "a good check afterwards clears nothing");
    assert!(is_told(&page, &found));
    let path = journal.to_str().unwrap();
    let again = [
        "inspect",
        "--json",
        "--continue",
        path,
        "--gauge",
        "mic=typed",
    ];
    let answer = shop.run(&again, "f A\n20.009\nq\n");
    assert_eq!(
        answer.lines[0]["verdict"], "GO",
        "{} {}",
        answer.text, answer.told
    );
    assert_eq!(shop.run(&["doubtful"], "").code, 0);
    let (answer, page) = report(&shop, &journal, &[]);
    assert_eq!(answer.code, 0, "{} {}", answer.text, answer.told);
    assert!(page.contains("<span class=\"standing go\">GO</span>"));
    // What was in doubt says so still.
    let sheet = json(&shop, &journal);
    let readings = sheet["parts"][0]["readings"].as_array().unwrap();
    let doubted = readings.iter().find(|row| row["line"] == first).unwrap();
    assert!(is_told(doubted["doubt"].as_str().unwrap(), &found));
    assert_eq!(sheet["parts"][0]["doubts"], serde_json::json!([]));
}

#[test]
fn a_record_outside_the_workspace_says_that_nothing_was_looked_for() {
    let shop = shop();
    let journal = measured(&shop, "mic", "20.008\n");
    found_wrong(&shop);
    let outside = shop.path("copied.jsonl");
    fs::copy(&journal, &outside).unwrap();
    let (answer, page) = report(&shop, &outside, &[]);
    assert_eq!(answer.code, 0, "{}", answer.text);
    assert!(page.contains("Not looked for: whether another record found a gauge"));
    assert!(!page.contains("looked through for gauges"));
    // Nor does another session that has the name of one in the workspace hear of that one.
    let (of, other) = (
        journal.file_name().unwrap(),
        measured(&shop, "other", "20.009\n"),
    );
    fs::create_dir(shop.path("elsewhere")).unwrap();
    let namesake = shop.path("elsewhere").join(of);
    fs::copy(&other, &namesake).unwrap();
    let (answer, page) = report(&shop, &namesake, &[]);
    assert_eq!(answer.code, 0, "{}", answer.text);
    assert!(page.contains("Not looked for: whether another record found a gauge"));
}

#[test]
fn records_that_cannot_be_read_are_counted() {
    let shop = shop();
    let journal = measured(&shop, "mic", "20.008\n");
    let (_, page) = report(&shop, &journal, &[]);
    assert!(!page.contains("could not be read whole"));
    fs::write(shop.path("sessions/noise.jsonl"), [0x80; 300]).unwrap();
    let (answer, page) = report(&shop, &journal, &[]);
    assert!(page.contains("Records of the workspace that could not be read whole: 1."));
    assert_eq!(answer.code, 0);
}

/// Names of files, people and parts are shown, whatever is in them, and do nothing to a terminal.
#[test]
fn hidden_characters_are_shown_in_lists() {
    let shop = shop();
    let source = [
        "1",
        "--gauge",
        "mic=typed",
        "--operator",
        "We\u{202e}ber\u{7}",
    ];
    shop.run(&[&PART[..], &source].concat(), "20.008\n");
    let journal = shop.journal();
    fs::rename(&journal, shop.path("sessions/a\u{1b}[2J\u{202e}b.jsonl")).unwrap();
    fs::write(shop.path("sessions/n\u{1b}[31m.jsonl"), [0x80; 300]).unwrap();
    fs::write(shop.path("sessions/e\u{1b}[1m.jsonl"), "").unwrap();
    let wrong = found_wrong(&shop);
    fs::rename(
        shop.path("sessions").join(wrong),
        shop.path("sessions/w\u{9b}.jsonl"),
    )
    .unwrap();
    let hidden = |text: &str| {
        let mut all = text.chars();
        all.any(|c| (c.is_control() && c != '\n') || c == '\u{202e}')
    };
    let list = shop.run(&["list"], "");
    let doubtful = shop.run(&["doubtful"], "");
    for answer in [&list, &doubtful] {
        assert!(!hidden(&answer.text), "{:?}", answer.text);
        assert!(!hidden(&answer.told), "{:?}", answer.told);
    }
    for (answer, name) in [
        (&list, "a\\u{1b}[2J\\u{202e}b.jsonl"),
        (&list, "We\\u{202e}ber\\u{7}"),
        (&list, "n\\u{1b}[31m.jsonl"),
        (&doubtful, "a\\u{1b}[2J\\u{202e}b.jsonl"),
        (&doubtful, "w\\u{9b}.jsonl"),
    ] {
        assert!(answer.text.contains(name), "{name}: {}", answer.text);
    }
    assert!(list.told.contains("e\\u{1b}[1m.jsonl"), "{}", list.told);
    // For programs they are what they are.
    let lines = shop.run(&["list", "--json"], "").text;
    assert!(lines.contains("\\u001b[2J"), "{lines}");
}
