//! `sessions/FORMAT.md`, which goes out with a record, says what the program writes: every kind,
//! every field and whether it may be left out or null, every word, and the worked example.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

use fitledger::journal::{DEEPEST_BODY, LONGEST_LINE, LONGEST_SESSION, body_of, event_of};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;
use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::events::any_event;

fn text(name: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(name);
    fs::read_to_string(path).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// Kind and body of each row of the table of kinds.
fn rows(page: &str) -> BTreeMap<String, String> {
    let table = page
        .split("| kind | what happened | body |")
        .nth(1)
        .unwrap();
    let rows = table
        .lines()
        .skip(2)
        .take_while(|line| line.starts_with('|'));
    let cells = rows.map(|row| {
        let row = row.replace("\\|null", "∅"); // a bar of a cell's text is no end of the cell
        let cells: Vec<&str> = row.trim_matches('|').split(" | ").collect();
        let [kind, what, body] = cells.as_slice() else {
            panic!("not three cells: {row}")
        };
        assert!(!what.trim().is_empty(), "{row}");
        (kind.trim().trim_matches('`').to_owned(), (*body).to_owned())
    });
    cells.collect()
}

/// What a field may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Mark {
    LeftOut,
    Null,
}

/// The fields that a row names, and how each is marked.
fn told(body: &str) -> BTreeMap<&str, BTreeSet<Mark>> {
    let mut fields: BTreeMap<&str, BTreeSet<Mark>> = BTreeMap::new();
    let pieces: Vec<&str> = body.split('`').collect();
    for (name, after) in pieces
        .iter()
        .skip(1)
        .step_by(2)
        .zip(pieces.iter().skip(2).step_by(2))
    {
        let marks = fields.entry(name).or_default();
        marks.extend(after.starts_with('?').then_some(Mark::LeftOut));
        marks.extend(after.starts_with('∅').then_some(Mark::Null));
    }
    fields
}

/// Every object of a body that is no place, with its path, and every word in it with its field.
fn objects(
    path: &str,
    value: &Value,
    found: &mut Vec<(String, Vec<(String, bool)>)>,
    words: &mut BTreeSet<(String, String)>,
) {
    match value {
        Value::Object(fields) if !path.ends_with("/place") => {
            let named = fields
                .iter()
                .map(|(name, value)| (name.clone(), value.is_null()));
            found.push((path.to_owned(), named.collect()));
            for (name, value) in fields {
                objects(&format!("{path}/{name}"), value, found, words);
            }
        }
        Value::Array(all) => all.iter().for_each(|one| objects(path, one, found, words)),
        Value::String(word) => {
            let field = path.rsplit('/').next().unwrap_or_default();
            words.insert((field.to_owned(), word.clone()));
        }
        _ => {}
    }
}

/// For each field: how often it was there, how often null.
type FieldCounts = BTreeMap<String, (u32, u32)>;

/// What bodies of one kind are seen to hold.
#[derive(Default)]
struct Seen {
    /// For each path of an object: how many there were, and for each field how often it was there
    /// and how often it was null.
    objects: BTreeMap<String, (u32, FieldCounts)>,
    words: BTreeSet<(String, String)>,
}

impl Seen {
    fn take(&mut self, body: &str) {
        let value: Value = serde_json::from_str(body).unwrap();
        let mut found = Vec::new();
        objects("", &value, &mut found, &mut self.words);
        for (path, fields) in found {
            let (count, known) = self.objects.entry(path).or_default();
            *count += 1;
            for (name, is_null) in fields {
                let (there, null) = known.entry(name).or_default();
                *there += 1;
                *null += u32::from(is_null);
            }
        }
    }

    fn fields(&self) -> BTreeMap<&str, BTreeSet<Mark>> {
        let mut all: BTreeMap<&str, BTreeSet<Mark>> = BTreeMap::new();
        for (count, fields) in self.objects.values() {
            for (name, (there, null)) in fields {
                let marks = all.entry(name).or_default();
                marks.extend((there < count).then_some(Mark::LeftOut));
                marks.extend((*null > 0).then_some(Mark::Null));
            }
        }
        all
    }
}

/// Bodies of every kind, made as the program makes them.
fn seen() -> BTreeMap<String, Seen> {
    let mut runner = TestRunner::deterministic();
    let strategy = any_event();
    let mut kinds: BTreeMap<String, Seen> = BTreeMap::new();
    for _ in 0..20_000 {
        let event = strategy.new_tree(&mut runner).unwrap().current();
        let kind = event.kind().to_owned();
        kinds.entry(kind).or_default().take(&body_of(&event));
    }
    // What those made above do not show: a rounded inch value, a decision that withdraws nothing.
    let rounded = concat!(
        r#"{"gauge":"g","origin":"sent","value":"0.7877001","unit":"in","#,
        r#""status":"ok","rounded":true,"raw":""}"#
    );
    let decision = r#"{"part":1,"what":"hold","reason":"r","by":"b"}"#;
    for (kind, body) in [
        ("reading_received", rounded),
        ("disposition_given", decision),
    ] {
        let event = event_of(kind, body).unwrap();
        kinds.get_mut(kind).unwrap().take(&body_of(&event));
    }
    kinds
}

#[test]
fn every_kind_of_event_is_in_the_table_of_kinds_and_no_other() {
    let source = text("src/journal/event.rs");
    let kinds = source.split("pub fn kind(&self)").nth(1).unwrap();
    let kinds = kinds.split("\n    }\n").next().unwrap();
    let kinds: BTreeSet<&str> = kinds.split('"').skip(1).step_by(2).collect();
    assert!(kinds.len() >= 37, "only {} kinds", kinds.len());
    let page = text("sessions/FORMAT.md");
    let rows = rows(&page);
    assert_eq!(kinds, rows.keys().map(String::as_str).collect());
    // And all of them are among those that the tests below look at.
    assert_eq!(
        seen_once().keys().collect::<Vec<_>>(),
        rows.keys().collect::<Vec<_>>()
    );
}

#[test]
fn every_field_is_in_the_row_of_its_kind_with_whether_it_may_be_absent_or_null_and_no_other() {
    let page = text("sessions/FORMAT.md");
    let mut fields = 0;
    for (kind, body) in rows(&page) {
        let seen = seen_once().get(&kind).unwrap();
        assert_eq!(told(&body), seen.fields(), "{kind}");
        fields += seen.fields().len();
    }
    assert!(fields > 130, "only {fields} fields");
}

fn seen_once() -> &'static BTreeMap<String, Seen> {
    static SEEN: std::sync::OnceLock<BTreeMap<String, Seen>> = std::sync::OnceLock::new();
    SEEN.get_or_init(seen)
}

#[test]
fn every_word_that_is_written_in_a_field_of_words_is_in_its_row() {
    const OF_WORDS: [&str; 10] = [
        "origin", "unit", "status", "end", "outcome", "verdict", "side", "what", "meaning",
        "manner",
    ];
    let page = text("sessions/FORMAT.md");
    let rows = rows(&page);
    let mut words = 0;
    for (kind, seen) in seen_once() {
        let quoted: BTreeSet<&str> = rows[kind].split('"').skip(1).step_by(2).collect();
        for (field, word) in &seen.words {
            if OF_WORDS.contains(&field.as_str()) {
                words += 1;
                assert!(quoted.contains(word.as_str()), "{kind}, {field}: {word}");
            }
        }
    }
    assert!(words >= 40, "only {words} words");
}

#[test]
fn the_worked_example_is_a_line_of_the_example_and_its_hash_is_right() {
    let page = text("sessions/FORMAT.md");
    let block = |name: &str| {
        let begin = format!("```{name}\n");
        let rest = page.split(&begin).nth(1).unwrap();
        rest.split("\n```").next().unwrap().to_owned()
    };
    let (line, covered, digits) = (block("line"), block("covered"), block("hash"));
    let example = text("sessions/example-continued-2.jsonl");
    assert_eq!(example.lines().last().unwrap(), line);
    assert_eq!(line, format!("{covered},\"hash\":\"{digits}\"}}"));
    let mut hashed = vec![0_u8];
    hashed.extend_from_slice(covered.as_bytes());
    let hash: String = Sha256::digest(&hashed)
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect();
    assert_eq!(hash, digits);
    for number in [covered.len(), hashed.len()] {
        assert!(page.contains(&format!("{number} ")), "{number} is not told");
    }
    let before: Value = serde_json::from_str(example.lines().rev().nth(1).unwrap()).unwrap();
    assert!(covered.ends_with(&format!("\"prev\":{}", before["hash"])));
}

#[test]
fn the_bounds_are_those_of_the_program() {
    let page = text("sessions/FORMAT.md");
    let grouped = |number: u64| {
        let digits = number.to_string();
        let groups = digits.as_bytes().rchunks(3).rev();
        groups
            .map(|g| String::from_utf8_lossy(g).into_owned())
            .collect::<Vec<_>>()
            .join(",")
    };
    for bound in [
        format!("**Longest line**: {} bytes", grouped(LONGEST_LINE as u64)),
        format!("**Longest session**: {} lines", grouped(LONGEST_SESSION)),
        format!("nesting of at most {DEEPEST_BODY}"),
    ] {
        let found = page
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .contains(&bound);
        assert!(found, "{bound}");
    }
}
