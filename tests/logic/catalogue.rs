//! What the catalogue says of sessions: the same as their records.

use std::collections::BTreeMap;
use std::fs;

use fitledger::journal::{FileStart, StorageFolder};
use fitledger::session::{
    Catalogue, Check, Entry, JournalState, PartState, SessionRecord, sessions_of,
};

use crate::support::bench::{Bench, NAME, feature, plan};
use crate::support::cabinet::{Cabinet, random_session};

const SESSIONS: u64 = 60;

fn cabinet_of_random_sessions(seed: u64, count: u64) -> Cabinet {
    let cabinet = Cabinet::new();
    for session in 0..count {
        let bench = random_session(seed + session, 40);
        cabinet.put(&format!("random-{seed}-{session:03}.jsonl"), &bench);
    }
    cabinet
}

/// Compares an entry with what the record itself gives.
fn check_entry(cabinet: &Cabinet, entry: &Entry, seen: &mut BTreeMap<String, usize>) {
    let read = SessionRecord::read(&cabinet.folders(), entry.record_parts(), Check::State).unwrap();
    let case = entry.journal();
    let state = read.replayed.state.as_ref().unwrap();
    assert_eq!(entry.state, JournalState::Read(read.state()), "{case}");
    assert_eq!(entry.part_name, read.part_name(), "{case}");
    assert_eq!(entry.readings, read.readings(), "{case}");
    assert_eq!(
        (entry.opened, entry.last),
        (read.replayed.first_time, read.replayed.last_time),
        "{case}"
    );
    let events: u64 = read.reports.iter().map(|report| report.events).sum();
    let head = read.reports.last().unwrap().head.hash.to_string();
    assert_eq!((entry.events, &entry.head), (events, &head), "{case}");
    assert_eq!(entry.closed, state.is_closed(), "{case}");
    assert_eq!(entry.job(), Some(&state.bench().job), "{case}");
    assert!(entry.operators.contains(&state.bench().operator), "{case}");
    let origins = entry.origins;
    let all = origins.sent + origins.typed + origins.simulated + origins.imported;
    assert_eq!(all, read.readings(), "{case}");
    assert_eq!(entry.parts.len(), state.parts().len(), "{case}");
    for (kept, part) in entry.parts.iter().zip(state.parts()) {
        assert_eq!(kept.number, part.number, "{case}");
        assert_eq!(kept.serial, part.decided.serial, "{case}");
        assert_eq!(kept.state, part.state(), "{case}");
        assert_eq!(kept.standing, state.standing(part), "{case}");
        let selected = part.characteristics.iter().filter(|one| one.selected);
        let counted = kept.go + kept.no_go + kept.doubt + kept.open;
        assert!(
            usize::try_from(counted).unwrap() <= selected.count(),
            "{case}"
        );
        match kept.state {
            PartState::Go => assert!(kept.go > 0 && kept.no_go + kept.doubt + kept.open == 0),
            PartState::NoGo => assert!(kept.no_go > 0 && kept.open == 0, "{case}"),
            PartState::Doubt => assert!(kept.doubt > 0 && kept.open == 0, "{case}"),
            PartState::Open => assert!(kept.open + kept.no_go + kept.doubt > 0, "{case}"),
            PartState::Noted | PartState::NotSelected => assert_eq!(counted, 0, "{case}"),
        }
        *seen.entry(kept.standing.word().to_owned()).or_default() += 1;
    }
    let checks: usize = state
        .zeros()
        .all()
        .map(|(_, all)| all.iter().filter(|zero| zero.line > 0).count())
        .sum();
    assert_eq!(entry.checks.len(), checks, "{case}");
}

#[test]
fn an_entry_says_what_the_record_says_and_the_index_says_the_same() {
    let cabinet = cabinet_of_random_sessions(4_100, SESSIONS);
    let first = cabinet.opened();
    assert_eq!((first.read(), first.missing()), (60, 0));
    assert_eq!(first.entries().len(), 60);
    let mut seen = BTreeMap::new();
    for entry in first.entries() {
        check_entry(&cabinet, entry, &mut seen);
    }
    // The sessions hold what a list is asked for.
    for word in ["GO", "NO-GO", "open", "scrap", "on hold", "rework"] {
        assert!(seen.contains_key(word), "no part is {word}: {seen:?}");
    }
    let lasts: Vec<_> = first.entries().iter().map(|entry| entry.last).collect();
    assert!(
        lasts.is_sorted_by(|one, two| one >= two),
        "the newest first"
    );
    let again = cabinet.opened();
    assert_eq!(again.read(), 0, "everything is in the index");
    assert_eq!(again.entries(), first.entries());
    assert_eq!(again.story().checks, first.story().checks);
    assert_eq!(again.story().doubtful, first.story().doubtful);
}

#[test]
fn only_what_is_new_or_changed_is_read_again() {
    let cabinet = cabinet_of_random_sessions(4_200, 6);
    cabinet.opened();
    let more = random_session(4_300, 40);
    cabinet.put("random-more.jsonl", &more);
    let mut catalogue = cabinet.opened();
    assert_eq!((catalogue.read(), catalogue.entries().len()), (1, 7));
    // One grows, one goes.
    let grown = random_session(4_200, 30);
    let longer = random_session(4_200, 45);
    assert!(longer.disk.bytes(NAME).len() > grown.disk.bytes(NAME).len());
    cabinet.put("random-4200-000.jsonl", &longer);
    fs::remove_file(cabinet.session("random-4200-001.jsonl")).unwrap();
    let opened = cabinet.opened();
    assert_eq!((opened.read(), opened.entries().len()), (1, 6));
    assert_eq!(opened.entries(), cabinet.read_anew());
    // What is open is looked at again the same way.
    catalogue.refresh(|_| true).unwrap();
    assert_eq!(catalogue.entries(), opened.entries());
    assert!(catalogue.read() >= 1 && catalogue.read() <= 6);
}

#[test]
fn what_is_stopped_says_what_is_missing_and_goes_on_from_there() {
    let cabinet = cabinet_of_random_sessions(4_400, 12);
    let later = jiff::Timestamp::now() + jiff::SignedDuration::from_hours(1);
    let mut heard = Vec::new();
    let told = |progress: fitledger::session::Progress| {
        heard.push(progress);
        progress.done < 5
    };
    let stopped = Catalogue::open_at(&cabinet.workspace(), later, told).unwrap();
    assert_eq!(heard.first().map(|one| (one.done, one.of)), Some((0, 12)));
    assert!(heard.is_sorted_by_key(|one| one.done));
    let (read, missing) = (stopped.read(), stopped.missing());
    assert!(
        read >= 5 && missing > 0 && read + missing == 12,
        "{read} {missing}"
    );
    let whole = cabinet.opened();
    assert_eq!((whole.read(), whole.missing()), (missing, 0));
    assert_eq!(whole.entries(), cabinet.read_anew());
}

fn small() -> Bench {
    let mut bench = Bench::new(plan(&feature("A", "20 k6", "")));
    bench.reads("20.008");
    bench
}

#[test]
fn damage_is_listed_with_where_and_what() {
    let cabinet = Cabinet::new();
    cabinet.put("whole.jsonl", &small());
    let mut bytes = small().disk.bytes(NAME);
    let line_starts = crate::support::journals::line_starts(&bytes);
    let at = bytes.windows(6).position(|six| six == b"20.008").unwrap();
    bytes[at + 5] = b'9';
    fs::write(cabinet.session("changed.jsonl"), &bytes).unwrap();
    let whole = small().disk.bytes(NAME);
    fs::write(cabinet.session("torn.jsonl"), &whole[..whole.len() - 9]).unwrap();
    fs::write(cabinet.session("odd:name.jsonl"), &whole).unwrap();
    fs::write(cabinet.session(".hidden.jsonl"), &whole).unwrap();
    let catalogue = cabinet.opened();
    let of = |name: &str| {
        let mut all = catalogue.entries().iter();
        all.find(|entry| entry.journal() == name).unwrap()
    };
    assert_eq!(catalogue.entries().len(), 4);
    assert_eq!(of("whole.jsonl").state.code(), "not_closed");
    assert!(of("whole.jsonl").findings.is_empty());
    let damaged = of("changed.jsonl");
    assert_eq!(
        (damaged.state.code(), damaged.state.passes()),
        ("damaged", false)
    );
    let finding = &damaged.findings[0];
    let line = line_starts.iter().filter(|start| **start <= at).count();
    assert_eq!(
        (finding.kind.as_str(), finding.file.as_str(), finding.line),
        ("altered", "changed.jsonl", line as u64)
    );
    assert_eq!(finding.offset, line_starts[line - 1] as u64);
    assert!(finding.what.contains("altered"), "{finding:?}");
    assert_eq!(of("torn.jsonl").state.code(), "torn_tail");
    assert_eq!(of("torn.jsonl").findings[0].kind, "torn_tail");
    let unreadable = of("odd:name.jsonl");
    assert_eq!(unreadable.state, JournalState::Unreadable);
    assert!(unreadable.findings[0].what.contains("plain file name"));
    // All of that comes from the index too, but what cannot be read is tried again.
    assert_eq!(cabinet.opened().entries(), catalogue.entries());
}

/// A continuation of that file, with what follows.
fn continuation(of: &str, bench: &Bench, events: &[(&str, String)]) -> Vec<u8> {
    let link = bench.recorder.head();
    let name = serde_json::Value::from(of);
    let first = format!(
        "{{\"file\":{name},\"seq\":{},\"hash\":\"{}\"}}",
        link.seq, link.hash
    );
    let first = [("continuation_opened", first)];
    let mut bytes = Vec::new();
    let (mut seq, mut prev) = (link.seq, link.hash);
    for (kind, body) in first.iter().chain(events) {
        seq += 1;
        let moment = crate::support::bench::moment_at(100_000 + seq);
        prev = fitledger::journal::encode(&mut bytes, seq, moment, kind, body, prev).unwrap();
    }
    bytes
}

fn closed() -> (&'static str, String) {
    let body = r#"{"readings":1,"parts":1,"reason":"done"}"#;
    ("session_closed", body.to_owned())
}

#[test]
fn files_that_hold_nothing_are_no_sessions() {
    let cabinet = Cabinet::new();
    let bench = small();
    cabinet.put("a.jsonl", &bench);
    // Two retries failed before the one that went on.
    fs::write(
        cabinet.session("a-2.jsonl"),
        continuation("a.jsonl", &bench, &[]),
    )
    .unwrap();
    fs::write(cabinet.session("a-3.jsonl"), "").unwrap();
    let went_on = continuation("a.jsonl", &bench, &[closed()]);
    fs::write(cabinet.session("a-4.jsonl"), went_on).unwrap();
    fs::write(
        cabinet.session("lost.jsonl"),
        continuation("gone.jsonl", &bench, &[]),
    )
    .unwrap();
    let catalogue = cabinet.opened();
    let listed: Vec<&str> = catalogue.entries().iter().map(Entry::journal).collect();
    assert_eq!(listed, ["a-4.jsonl"]);
    assert_eq!(catalogue.left_out(), ["a-3.jsonl", "lost.jsonl"]);
    let files = &catalogue.entries()[0].files;
    let names: Vec<&str> = files.iter().map(|file| file.stamp.name.as_str()).collect();
    assert_eq!(names, ["a.jsonl", "a-4.jsonl"]);
    assert_eq!(files[0].until, Some(bench.recorder.head()));
    assert_eq!(cabinet.opened().entries(), catalogue.entries());
}

#[test]
fn a_continuation_without_its_first_file_is_one_finding() {
    let cabinet = Cabinet::new();
    let event = || ("operator_changed", r#"{"name":"Bo"}"#.to_owned());
    let bytes = continuation(
        "gone.jsonl",
        &small(),
        &[event(), event(), event(), closed()],
    );
    fs::write(cabinet.session("rest.jsonl"), bytes).unwrap();
    let catalogue = cabinet.opened();
    let entry = &catalogue.entries()[0];
    assert_eq!(entry.absent.as_deref(), Some("gone.jsonl"));
    assert_eq!(
        (entry.findings.len(), entry.more_findings),
        (1, 0),
        "{entry:?}"
    );
    assert_eq!(entry.findings[0].kind, "earlier_file_absent");
    assert_eq!(entry.state.code(), "damaged");
    // When it comes back nothing of that is believed any more.
    cabinet.put("gone.jsonl", &small());
    let entry = cabinet.opened().entries()[0].clone();
    assert_eq!(
        (entry.absent.as_deref(), entry.state.code()),
        (None, "sound")
    );
}

/// The sessions that the catalogue groups are those that the folders hold, however files name
/// each other.
#[test]
fn files_are_put_into_sessions_as_they_say() {
    let cabinet = Cabinet::new();
    let bench = small();
    cabinet.put("one.jsonl", &bench);
    for (name, of) in [("two.jsonl", "one.jsonl"), ("three.jsonl", "one.jsonl")] {
        let bytes = continuation(of, &bench, &[closed()]);
        fs::write(cabinet.session(name), bytes).unwrap();
    }
    for (name, of) in [("x.jsonl", "y.jsonl"), ("y.jsonl", "x.jsonl")] {
        let bytes = continuation(of, &bench, &[closed()]);
        fs::write(cabinet.session(name), bytes).unwrap();
    }
    let folders = cabinet.folders();
    let names = folders.list().unwrap();
    let of_file = |name: &String| FileStart::read(name, folders.open_read(name).unwrap()).unwrap();
    assert!(names.iter().map(of_file).all(|start| start.holds_events));
    let sessions = sessions_of(&folders, &names).unwrap();
    let mut expected: Vec<Vec<String>> = sessions
        .iter()
        .map(|session| session.parts.iter().map(|part| part.name.clone()).collect())
        .collect();
    expected.sort();
    let catalogue = cabinet.opened();
    let of_entry = |entry: &Entry| {
        let files = entry.files.iter();
        files
            .map(|file| file.stamp.name.clone())
            .collect::<Vec<_>>()
    };
    let mut found: Vec<Vec<String>> = catalogue.entries().iter().map(of_entry).collect();
    found.sort();
    assert_eq!(found, expected);
    let text = |names: &[&str]| {
        names
            .iter()
            .map(|name| (*name).to_owned())
            .collect::<Vec<_>>()
    };
    assert!(
        found.contains(&text(&["one.jsonl", "two.jsonl"])),
        "{found:?}"
    );
    assert!(
        found.contains(&text(&["one.jsonl", "three.jsonl"])),
        "{found:?}"
    );
}
