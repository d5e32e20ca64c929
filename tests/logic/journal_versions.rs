//! Records of every version of the form and of the events that was ever released: read for ever.
//! What a newer program wrote is reported and kept.

use std::fs;
use std::path::Path;

use fitledger::journal::{
    Hash, Line, Part, State as RecordState, StorageFolder, session_state, verify,
};
use fitledger::session::{Check, Replayed, replay, resume_session, session_parts};

use crate::support::bench::moment_at;
use crate::support::cruel_disk::CruelDisk;
use crate::support::forged::{chained, lines_of};
use crate::support::journals::line_starts;

/// Released records: form, first file, last file, state, and what the first one was written by.
/// New releases add theirs; none is ever taken out or made anew.
const RELEASED: [(u64, &str, &str, RecordState); 6] = [
    (
        1,
        "example-not-closed",
        "example-not-closed",
        RecordState::NotClosed,
    ),
    (
        1,
        "example-two-parts",
        "example-two-parts",
        RecordState::Sound,
    ),
    (
        1,
        "example-continued",
        "example-continued-2",
        RecordState::Sound,
    ),
    (1, "example-threads", "example-threads", RecordState::Sound),
    (1, "example-gauges", "example-gauges", RecordState::Sound),
    (1, "example-study", "example-study", RecordState::Sound),
];

fn sessions() -> CruelDisk {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sessions");
    let disk = CruelDisk::default();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if name.starts_with("example-") {
            disk.put_file(&name, &fs::read(&path).unwrap());
        }
    }
    disk
}

fn read(disk: &CruelDisk, name: &str) -> (RecordState, Replayed) {
    let parts = session_parts(disk, name).unwrap();
    let open = |part: &Part| disk.open_read(&part.name);
    let (reports, replayed) = replay(&parts, open, Check::Verdicts).unwrap();
    (session_state(&reports), replayed)
}

#[test]
fn a_record_of_every_released_version_is_read_and_gives_the_same_verdicts() {
    let disk = sessions();
    let mut seen = Vec::new();
    for (version, first, last, expected) in RELEASED {
        let (state, replayed) = read(&disk, &format!("{last}.jsonl"));
        assert_eq!(state, expected, "{last}");
        // Every verdict was derived anew and is the one that stands there.
        assert_eq!(replayed.faults, Vec::new(), "{last}");
        assert_eq!(replayed.unknown_events, 0, "{last}");
        let mut text = String::from_utf8(disk.bytes(&format!("{first}.jsonl"))).unwrap();
        assert!(text.starts_with(&format!("{{\"v\":{version},")), "{first}");
        if first != last {
            // Of the first file only what was acknowledged counts.
            let parts = session_parts(&disk, &format!("{last}.jsonl")).unwrap();
            let until = parts[0].until.unwrap().seq;
            text = text
                .lines()
                .take(usize::try_from(until).unwrap())
                .collect::<Vec<_>>()
                .join("\n");
            text.push_str(&String::from_utf8(disk.bytes(&format!("{last}.jsonl"))).unwrap());
        }
        let written = text.matches("\"kind\":\"reading_received\"").count();
        let state = replayed.state.unwrap();
        assert_eq!(state.readings().len(), written, "{last}");
        let parts = text.matches("\"kind\":\"part_started\"").count();
        assert_eq!(state.parts().len(), parts, "{last}");
        seen.extend([format!("{first}.jsonl"), format!("{last}.jsonl")]);
    }
    let named = |name: &String| seen.contains(name);
    assert!(
        disk.list().unwrap().iter().all(named),
        "each record in sessions/ is in the table"
    );
}

#[test]
fn events_of_kinds_that_only_a_newer_program_knows_are_reported_and_kept() {
    let name = "example-not-closed.jsonl";
    let lines = lines_of(&sessions().bytes(name));
    let calm = CruelDisk::default();
    calm.put_file(name, &chained(&lines));
    let (_, before) = read(&calm, name);
    for at in 1..=lines.len() {
        let mut newer = lines.clone();
        let body = "{\"surface\":\"Ra 0.8\",\"by\":[1,null,{\"x\":true}]}".to_owned();
        newer.insert(at, ("roughness_measured".to_owned(), body.clone()));
        // Events name others by line: those behind the new one are one further on.
        let moved = |text: &str| shifted(text, at as u64);
        for line in &mut newer[at + 1..] {
            line.1 = moved(&line.1);
        }
        let disk = CruelDisk::default();
        disk.put_file(name, &chained(&newer));
        let (state, after) = read(&disk, name);
        assert_eq!(
            (state, after.unknown_events),
            (RecordState::NotClosed, 1),
            "line {at}"
        );
        assert_eq!(after.faults, Vec::new(), "line {at}");
        let (before, after) = (before.state.as_ref().unwrap(), after.state.unwrap());
        assert_eq!(after.readings().len(), before.readings().len());
        assert_eq!(after.parts().len(), before.parts().len());
        // It is still there when the session goes on.
        let resumed = resume_session(
            &disk,
            name,
            |_, _| String::new(),
            "test",
            |last, _| moment_at(last + 1_000),
        );
        assert!(resumed.is_ok(), "line {at}");
        let text = String::from_utf8(disk.bytes(name)).unwrap();
        assert!(text.contains(&body), "line {at}");
    }
}

/// Numbers of lines in a body, moved on by one from line `from` on.
fn shifted(body: &str, from: u64) -> String {
    let mut value: serde_json::Value = serde_json::from_str(body).unwrap();
    let step = |number: &mut serde_json::Value| {
        if let Some(line) = number.as_u64().filter(|line| *line > from) {
            *number = (line + 1).into();
        }
    };
    for key in ["reading", "of"] {
        value.get_mut(key).into_iter().for_each(step);
    }
    if let Some(serde_json::Value::Array(all)) = value.get_mut("from") {
        all.iter_mut().for_each(step);
    }
    value.to_string()
}

#[test]
fn a_newer_field_of_a_known_kind_is_reported_with_its_place_and_nothing_is_dropped() {
    let name = "example-two-parts.jsonl";
    let mut lines = lines_of(&sessions().bytes(name));
    let at = lines
        .iter()
        .position(|(kind, _)| kind == "part_started")
        .unwrap();
    lines[at].1 = "{\"part\":1,\"colour\":\"red\"}".to_owned();
    let journal = chained(&lines);
    let disk = CruelDisk::default();
    disk.put_file(name, &journal);
    let (_, replayed) = read(&disk, name);
    let first = &replayed.faults[0];
    assert_eq!(
        (first.kind, first.sequence),
        ("body_unreadable", at as u64 + 1)
    );
    assert_eq!(first.offset, line_starts(&journal)[at] as u64);
    assert_eq!(disk.bytes(name), journal);
}

/// A journal of a newer form: each line is named as such, none is taken for damage of another
/// kind, none is read as if it were known, and the file is not written to.
#[test]
fn a_journal_of_a_newer_form_is_named_so_and_left_alone() {
    let name = "example-not-closed.jsonl";
    let known = sessions().bytes(name);
    let mut newer = Vec::new();
    for line in known
        .split(|byte| *byte == b'\n')
        .filter(|line| !line.is_empty())
    {
        let text = String::from_utf8(line.to_vec()).unwrap();
        let (covered, _) = text.rsplit_once(",\"hash\":").unwrap();
        let covered = covered.replacen("{\"v\":1,", "{\"v\":2,", 1);
        let hash = Hash::of(covered.as_bytes());
        newer.extend_from_slice(format!("{covered},\"hash\":\"{hash}\"}}\n").as_bytes());
    }
    let report = verify(newer.as_slice(), |_| {}).unwrap();
    assert_eq!((report.state, report.events), (RecordState::Damaged, 0));
    let codes: Vec<&str> = report.findings.iter().map(|one| one.code()).collect();
    assert_eq!(codes, vec!["newer_version"; line_starts(&newer).len() - 1]);
    let told = report.findings[0].to_string();
    assert!(told.contains("version 2"), "{told}");
    let disk = CruelDisk::default();
    disk.put_file(name, &newer);
    let resumed = resume_session(
        &disk,
        name,
        |_, _| "new.jsonl".to_owned(),
        "test",
        |last, _| moment_at(last),
    );
    assert_eq!(resumed.err().unwrap().code(), "nothing_to_resume");
    assert_eq!((disk.bytes(name), disk.changes()), (newer, 0));
    assert!(Line::parse(known.split(|byte| *byte == b'\n').next().unwrap()).is_ok());
}
