//! `list` with what is asked, by the real program; and what `verify` says of a session's files.

#![cfg(unix)]

use std::fs;
use std::path::PathBuf;
use std::time::Duration;

use serde_json::Value;

use crate::support::program::{Answer, Shop};

fn measured(shop: &Shop, arguments: &[&str], input: &str) -> PathBuf {
    let all = ["inspect", "--json", "--gauge", "typed"];
    let all: Vec<&str> = all.iter().chain(arguments).copied().collect();
    let answer = shop.run(&all, input);
    PathBuf::from(answer.lines.last().unwrap()["journal"].as_str().unwrap())
}

fn shop() -> Shop {
    let shop = Shop::in_memory();
    measured(
        &shop,
        &["--callout", "20 k6", "--operator", "Ada"],
        "20.008\n",
    );
    std::thread::sleep(Duration::from_millis(5));
    measured(
        &shop,
        &["--callout", "25 H7", "--operator", "Bo"],
        "25.001\n",
    );
    shop
}

fn names(answer: &Answer) -> Vec<String> {
    let lines = answer.lines.iter();
    let name = |line: &Value| line["part"].as_str().unwrap().to_owned();
    lines.map(name).collect()
}

#[test]
fn list_tells_the_newest_first_and_only_what_is_asked_for() {
    let shop = shop();
    let list = |more: &[&str]| {
        let arguments: Vec<&str> = ["list", "--json"].iter().chain(more).copied().collect();
        shop.run(&arguments, "")
    };
    let all = list(&[]);
    assert_eq!(
        (names(&all), all.code),
        (vec!["25 H7".to_owned(), "20 k6".to_owned()], 0)
    );
    let line = &all.lines[1];
    assert_eq!(
        (&line["state"], &line["readings"]),
        (&"sound".into(), &1.into())
    );
    assert_eq!(line["gauges"], serde_json::json!(["typed"]));
    assert_eq!(
        line["standing"]["GO"].as_u64().unwrap_or(0) + line["open"].as_u64().unwrap(),
        1
    );
    assert_eq!(
        (&line["closed"], &line["simulated"]),
        (&true.into(), &0.into())
    );
    assert_eq!(line["files"][0], line["journal"]);
    let cases: [(&[&str], &[&str]); 9] = [
        (&["K6"], &["20 k6"]),
        (&["H7", "bo"], &["25 H7"]),
        (&["H7", "ada"], &[]),
        (&["--operator", "ada"], &["20 k6"]),
        (&["--part", "h7"], &["25 H7"]),
        (&["--limit", "1"], &["25 H7"]),
        (&["--state", "sound"], &["25 H7", "20 k6"]),
        (&["--until", "2001-01-01"], &[]),
        (&["--since", "2001-01-01", "--rebuild"], &["25 H7", "20 k6"]),
    ];
    for (asked, expected) in cases {
        let answer = list(asked);
        assert_eq!(
            (names(&answer), answer.code),
            (expected.iter().map(|name| (*name).to_owned()).collect(), 0),
            "{asked:?}"
        );
    }
    let refused: [(&[&str], &str); 3] = [
        (&["--since", "yesterday"], "bad_date"),
        (&["--verdict", "fine"], "unknown_verdict"),
        (&["--state", "fine"], "unknown_state"),
    ];
    for (asked, code) in refused {
        let answer = list(asked);
        assert_eq!((answer.code, answer.lines.len()), (2, 1), "{asked:?}");
        assert_eq!(answer.lines[0]["error"]["code"], code);
    }
}

/// Days are those of the bench, both ends included. The examples were measured on the 25th (two
/// parts) and on the 26th (gauges) of November 2026, at +00:00.
#[test]
fn since_and_until_take_their_own_days_in() {
    let shop = Shop::in_memory();
    fs::create_dir(shop.path("sessions")).unwrap();
    for name in ["example-two-parts.jsonl", "example-gauges.jsonl"] {
        let example = concat!(env!("CARGO_MANIFEST_DIR"), "/sessions");
        let copied = shop.path("sessions").join(name);
        fs::copy(PathBuf::from(example).join(name), copied).unwrap();
    }
    let (parts, gauges) = ("example-two-parts.jsonl", "example-gauges.jsonl");
    let cases: [(&[&str], &[&str]); 7] = [
        (&["--since", "2026-11-25"], &[gauges, parts]),
        (&["--since", "2026-11-26"], &[gauges]),
        (&["--since", "2026-11-27"], &[]),
        (&["--until", "2026-11-26"], &[gauges, parts]),
        (&["--until", "2026-11-25"], &[parts]),
        (&["--until", "2026-11-24"], &[]),
        (
            &["--since", "2026-11-25", "--until", "2026-11-25"],
            &[parts],
        ),
    ];
    for (asked, expected) in cases {
        let arguments: Vec<&str> = ["list", "--json"].iter().chain(asked).copied().collect();
        let answer = shop.run(&arguments, "");
        let lines = answer.lines.iter();
        let found: Vec<&str> = lines
            .map(|line| line["journal"].as_str().unwrap())
            .collect();
        assert_eq!(found, expected, "{asked:?}");
    }
}

#[test]
fn a_person_sees_a_table_and_what_is_not_in_it() {
    let shop = shop();
    fs::write(shop.path("sessions/empty.jsonl"), "").unwrap();
    let text = fs::read_to_string(shop.journals().first().unwrap()).unwrap();
    fs::write(
        shop.path("sessions/changed.jsonl"),
        text.replace("Ada", "Eve"),
    )
    .unwrap();
    let answer = shop.run(&["list"], "");
    assert_eq!(answer.code, 0, "{}", answer.told);
    for words in [
        "last used",
        "standing",
        "20 k6",
        "25 H7",
        "changed.jsonl",
        "damaged",
        "finding",
    ] {
        assert!(answer.text.contains(words), "{words}: {}", answer.text);
    }
    assert!(
        answer.text.contains("changed.jsonl: line 1,"),
        "{}",
        answer.text
    );
    assert!(!answer.text.contains("empty.jsonl"), "{}", answer.text);
    assert!(
        answer
            .told
            .contains("Nothing was ever recorded in empty.jsonl"),
        "{}",
        answer.told
    );
    let none = shop.run(&["list", "nowhere"], "");
    assert_eq!((none.text.as_str(), none.code), ("", 0));
    assert!(
        none.told.contains("None of the 3 sessions"),
        "{}",
        none.told
    );
    let one = shop.run(&["list", "--limit", "1"], "");
    assert!(one.told.contains("2 more are not shown."), "{}", one.told);
    // The disk refuses the index: told, and no error.
    drop(fs::remove_dir_all(shop.path("cache")));
    fs::write(shop.path("cache"), "").unwrap();
    let answer = shop.run(&["list", "--rebuild"], "");
    assert_eq!(answer.code, 0);
    assert!(
        answer.told.contains("The index is not kept"),
        "{}",
        answer.told
    );
}

/// Nothing of a damaged record is counted as if it were whole: its state goes first, and its
/// numbers are qualified.
#[test]
fn a_damaged_record_never_looks_good() {
    let shop = Shop::in_memory();
    let journal = measured(&shop, &["--callout", "20 k6"], "20.008\n");
    let sound = shop.run(&["list"], "");
    let columns = |answer: &Answer| {
        let lines = answer.text.lines();
        let pairs = lines.filter_map(|line| line.split_once("  "));
        let pairs = pairs.map(|(name, cell)| (name.trim().to_owned(), cell.trim().to_owned()));
        pairs.collect::<Vec<_>>()
    };
    let before = columns(&sound);
    assert!(!sound.text.contains("as far as readable"), "{}", sound.text);
    let json = shop.run(&["list", "--json"], "");
    assert_eq!(json.lines[0]["as_far_as_readable"], false);
    let text = fs::read_to_string(&journal).unwrap();
    fs::write(&journal, text.replace("session_closed", "session_clozed")).unwrap();
    let damaged = shop.run(&["list"], "");
    let after = columns(&damaged);
    let at = |name: &str| after.iter().position(|(one, _)| one == name).unwrap();
    let cell = |name: &str| after[at(name)].1.as_str();
    assert_eq!(cell("record"), "damaged");
    for name in ["parts", "GO", "open", "in doubt", "readings"] {
        let whole = before.iter().find(|(one, _)| one == name).unwrap();
        assert_eq!(cell(name), format!("({})", whole.1), "{name}");
        assert!(at("record") < at(name), "{name} stands before the damage");
    }
    assert!(
        cell("standing").starts_with("as far as readable: 1 "),
        "{after:?}"
    );
    let far = "Of a damaged record numbers stand in brackets: as far as readable.";
    assert!(damaged.text.contains(far), "{}", damaged.text);
    let json = shop.run(&["list", "--json"], "");
    assert_eq!(json.lines[0]["as_far_as_readable"], true);
}

#[test]
fn verify_says_of_the_first_file_where_the_session_goes_on() {
    let shop = Shop::in_memory();
    let first = measured(&shop, &["--callout", "20 k6"], "20.008\n");
    let whole = fs::read_to_string(&first).unwrap();
    // The line that closed it goes; another file goes on.
    let lines: Vec<&str> = whole.lines().collect();
    let open = lines[..lines.len() - 1].join("\n") + "\n";
    fs::write(&first, open.clone() + "damage\n").unwrap();
    let name = first.display().to_string();
    let all = ["inspect", "--json", "--gauge", "typed", "--continue", &name];
    let answer = shop.run(&all, "20.009\n");
    let newest = PathBuf::from(answer.lines.last().unwrap()["journal"].as_str().unwrap());
    assert_ne!(newest, first);
    let verified = shop.run(&["verify", "--json", &name], "");
    let findings = verified.lines[0]["findings"].as_array().unwrap();
    let continued = findings
        .iter()
        .find(|one| one["kind"] == "continued")
        .unwrap();
    let newest_name = newest.file_name().unwrap().to_str().unwrap();
    assert!(
        continued["message"].as_str().unwrap().contains(newest_name),
        "{continued}"
    );
    assert_eq!(continued["notice"], true);
    let of_newest = shop.run(&["verify", "--json", newest.to_str().unwrap()], "");
    let findings = of_newest.lines[0]["findings"].as_array().unwrap();
    assert!(
        findings.iter().all(|one| one["kind"] != "continued"),
        "{findings:?}"
    );
    assert_eq!(of_newest.lines[0]["files"], 2);
    // Without its first file the newest gives one finding for all that hangs in the air.
    fs::remove_file(&first).unwrap();
    let alone = shop.run(&["verify", "--json", newest.to_str().unwrap()], "");
    let findings = alone.lines[0]["findings"].as_array().unwrap();
    let missing = findings
        .iter()
        .filter(|one| one["kind"] == "earlier_file_absent");
    assert_eq!(missing.count(), 1, "{findings:?}");
    assert_eq!(alone.code, 1);
}

/// Whatever was given as a name stands in the record as it was given, and at a terminal as what can
/// be seen.
#[test]
fn names_in_a_record_are_seen_and_steer_nothing() {
    let shop = Shop::in_memory();
    let name = "A\u{9b}31m\u{202e}da";
    let journal = measured(
        &shop,
        &["--callout", "20 k6", "--operator", name],
        "20.008\n",
    );
    let journal = journal.to_str().unwrap();
    let replayed = shop.run(&["replay", journal], "");
    let asked = shop.run(&["list"], "");
    for answer in [&replayed, &asked] {
        assert!(
            answer.text.contains("A\\u{9b}31m\\u{202e}da"),
            "{}",
            answer.text
        );
        assert!(!answer.text.contains(['\u{9b}', '\u{202e}']));
    }
    let whole = fs::read_to_string(journal).unwrap();
    let kept = shop.run(&["replay", "--json", journal], "");
    assert_eq!(kept.text + "\n", whole);
}

/// A session that begins asks the index too: a gauge that failed long ago, before the fifty newest
/// records, is not trusted.
#[test]
fn a_gauge_that_failed_long_ago_proves_nothing() {
    let shop = Shop::in_memory();
    let register = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
        resolution = 0.001\nmpe = 0.002\nzero_check = { bound = 0.002 }\n";
    fs::write(shop.path("gauges.toml"), register).unwrap();
    let failed = shop.run(&["doubt", "--json", "--reason", "dropped", "mic"], "");
    assert_eq!(failed.code, 0, "{}{}", failed.text, failed.told);
    std::thread::sleep(Duration::from_millis(20));
    let other = measured(&shop, &["--callout", "20 k6"], "20.008\n");
    let bytes = fs::read(other).unwrap();
    for copy in 0..60 {
        fs::write(shop.path(&format!("sessions/copy-{copy}.jsonl")), &bytes).unwrap();
    }
    std::thread::sleep(Duration::from_millis(2_100));
    assert_eq!(shop.run(&["list", "--json"], "").lines.len(), 62);
    let begun = shop.run(
        &[
            "inspect",
            "--json",
            "--callout",
            "20 k6",
            "--gauge",
            "mic=typed",
        ],
        "20.008\n",
    );
    assert!(
        begun.told.contains("failed its last zero check"),
        "{}",
        begun.told
    );
}
