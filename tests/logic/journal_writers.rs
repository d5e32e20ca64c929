//! The writer against real files: one at a time, never truncating, bounded, and noticing when the
//! file is taken from under it.

#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests too

use std::fs;
use std::io::Write;
use std::path::Path;
use std::sync::Barrier;

use fitledger::journal::{
    Cause, ContinuationOf, DiskFile, DiskFolder, EncodeFault, FileStart, Hash, JournalWriter,
    LARGEST_COMMIT, LONGEST_LINE, LONGEST_SESSION, Link, Part, SESSION_CLOSED, State,
    StorageFolder, Tail, WriterError, continuation_name, session_state, sessions, verify,
    verify_parts,
};

use crate::support::journals::{checked, closed_journal, line_starts, moment, reading_body};

const KIND: &str = "reading_received";

fn folder() -> (tempfile::TempDir, DiskFolder) {
    let place = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let folder = DiskFolder::new(place.path());
    (place, folder)
}

fn open(folder: &DiskFolder, name: &str) -> Result<JournalWriter<DiskFile>, WriterError> {
    JournalWriter::open(folder, name, moment(90), |_| {}).map(|(writer, _)| writer)
}

#[test]
fn of_two_writers_racing_for_a_journal_one_is_refused_and_told_who_holds_it() {
    let (_place, folder) = folder();
    drop(JournalWriter::create(&folder, "a.jsonl").unwrap());
    let (races, barrier) = (100, Barrier::new(2));
    let appended: u64 = std::thread::scope(|scope| {
        let race = || {
            let mut appended = 0;
            for _ in 0..races {
                barrier.wait();
                let opened = open(&folder, "a.jsonl");
                barrier.wait(); // both have tried, and the winner still holds it
                match opened {
                    Ok(mut writer) => {
                        writer.append(KIND, &reading_body(1), moment(1)).unwrap();
                        writer.commit().unwrap();
                        appended += 1;
                    }
                    Err(WriterError::Locked { holder, .. }) => {
                        if cfg!(target_os = "linux") {
                            let us = format!("process {} ", std::process::id());
                            assert!(holder.is_some_and(|holder| holder.starts_with(&us)));
                        }
                    }
                    Err(other) => panic!("{other}"),
                }
            }
            appended
        };
        let threads = [scope.spawn(race), scope.spawn(race)];
        threads
            .into_iter()
            .map(|thread| thread.join().unwrap())
            .sum()
    });
    assert_eq!(appended, races, "each race has exactly one winner");
    let report = verify(folder.open_read("a.jsonl").unwrap(), |_| {}).unwrap();
    assert_eq!((report.state, report.events), (State::NotClosed, races));
}

#[test]
fn opening_a_journal_to_go_on_keeps_every_byte_and_declares_a_torn_tail_void() {
    let (place, folder) = folder();
    let path = place.path().join("a.jsonl");
    let journal = closed_journal(5);
    let starts = line_starts(&journal);
    for cut in starts[3] + 1..=starts[4] {
        fs::write(&path, &journal[..cut]).unwrap();
        let read = JournalWriter::open(&folder, "a.jsonl", moment(9), |_| {});
        let (mut writer, report) = read.unwrap();
        writer.append(KIND, &reading_body(9), moment(9)).unwrap();
        writer.commit().unwrap();
        drop(writer);
        let after = fs::read(&path).unwrap();
        assert!(
            after.starts_with(&journal[..cut]),
            "cut at {cut}: bytes were changed"
        );
        let (numbers, now) = checked(&after);
        assert_eq!(
            now.state,
            State::NotClosed,
            "cut at {cut}: {:?}",
            now.findings
        );
        let (whole, codes): (u64, &[&str]) = match report.tail {
            Tail::Whole => (4, &[]),
            Tail::LineEndMissing => (4, &[]),
            Tail::Torn { offset, bytes } => {
                assert_eq!(
                    (offset, bytes),
                    (starts[3] as u64, (cut - starts[3]) as u64)
                );
                (3, &["torn_tail_continued"])
            }
        };
        let added = if report.tail == Tail::Whole { 1 } else { 2 };
        assert!(
            numbers.iter().copied().eq(1..=whole + added),
            "cut at {cut}: {numbers:?}"
        );
        let found: Vec<_> = now.findings.iter().map(|finding| finding.code()).collect();
        assert_eq!(found, codes, "cut at {cut}");
    }
}

/// While a torn tail is continued the power goes again: cut anywhere in what says so, the file
/// ends in a torn tail once more, as soon as the number that is due can be read in it. Before that
/// it could as well be a line that counted and was damaged, and the session goes on beside it.
#[test]
fn a_torn_tail_that_was_continued_and_torn_again_is_a_torn_tail() {
    let (place, folder) = folder();
    let path = place.path().join("a.jsonl");
    let journal = closed_journal(5);
    let starts = line_starts(&journal);
    let due = br#"{"v":1,"seq":4,"#.len();
    let torn = &journal[..starts[3] + 70];
    fs::write(&path, torn).unwrap();
    drop(open(&folder, "a.jsonl").unwrap());
    let once = fs::read(&path).unwrap();
    let mut twice = Vec::new();
    for cut in torn.len() + 1..once.len() - 1 {
        let (numbers, report) = checked(&once[..cut]);
        assert_eq!(numbers, [1, 2, 3], "cut at {cut}");
        let written = cut - torn.len() - 1;
        if written < due {
            assert_eq!(report.state, State::Damaged, "cut at {cut}");
            continue;
        }
        let offset = starts[3] as u64;
        let bytes = cut as u64 - offset;
        assert_eq!(report.state, State::TornTail, "cut at {cut}");
        assert_eq!(report.tail, Tail::Torn { offset, bytes }, "cut at {cut}");
        assert_eq!(report.findings.len(), 1, "{:?}", report.findings);
        fs::write(&path, &once[..cut]).unwrap();
        let mut writer = open(&folder, "a.jsonl").unwrap();
        writer.append(KIND, &reading_body(9), moment(99)).unwrap();
        writer.commit().unwrap();
        drop(writer);
        twice = fs::read(&path).unwrap();
        assert!(twice.starts_with(&once[..cut]), "bytes were changed");
        let (numbers, report) = checked(&twice);
        assert_eq!(numbers, [1, 2, 3, 4, 5], "cut at {cut}");
        assert_eq!(report.state, State::NotClosed, "{:?}", report.findings);
        let place = report.findings[0].place;
        assert_eq!(report.findings[0].code(), "torn_tail_continued");
        assert_eq!((place.offset, place.length), (offset, bytes + 1));
    }
    // And once more.
    let ends = line_starts(&twice);
    let cut = ends[ends.len() - 3] + due;
    assert_eq!(checked(&twice[..cut]).1.state, State::TornTail);
    // A line that counted once is followed by the next number: that is damage, and stays it.
    let mut damaged = journal[..starts[4] + 70].to_vec();
    damaged[starts[3] + 40] ^= 1;
    let (numbers, report) = checked(&damaged);
    assert_eq!((numbers.len(), report.state), (3, State::Damaged));
}

/// In a file that a further one continues, none of that counts, and none of it is damage.
#[test]
fn a_tail_torn_twice_in_a_continued_file_is_not_acknowledged() {
    let journal = closed_journal(5);
    let starts = line_starts(&journal);
    let until = checked(&journal[..starts[3]]).1.head;
    let mut bytes = journal[..starts[3] + 70].to_vec();
    bytes.push(b'\n');
    bytes.extend(&journal[starts[3]..starts[3] + 40]);
    let part = Part {
        name: "a.jsonl".to_owned(),
        until: Some(until),
    };
    let reports = verify_parts(&[part], |_| Ok(bytes.as_slice()), |_, _| {}).unwrap();
    assert_eq!(reports[0].state, State::NotClosed, "{:?}", reports[0]);
    let found = &reports[0].findings;
    assert_eq!((found.len(), found[0].code()), (1, "not_acknowledged"));
    let place = found[0].place;
    let expected = (starts[3] as u64, 111);
    assert_eq!((place.offset, place.length), expected);
}

#[test]
fn continuations_are_numbered_from_the_first_file_s_name() {
    let name = |newest, attempt| continuation_name("2026-11-24-shaft.jsonl", newest, attempt);
    for (newest, attempt, expected) in [
        ("2026-11-24-shaft.jsonl", 0, "2026-11-24-shaft-2.jsonl"),
        ("2026-11-24-shaft.jsonl", 1, "2026-11-24-shaft-3.jsonl"),
        ("2026-11-24-shaft-2.jsonl", 0, "2026-11-24-shaft-3.jsonl"),
        ("2026-11-24-shaft-41.jsonl", 2, "2026-11-24-shaft-44.jsonl"),
        // As they were named before, or by hand.
        ("2026-11-24-shaft-2-2.jsonl", 0, "2026-11-24-shaft-2.jsonl"),
        ("moved.jsonl", 0, "2026-11-24-shaft-2.jsonl"),
    ] {
        assert_eq!(name(newest, attempt), expected);
    }
}

#[test]
fn a_damaged_or_closed_journal_is_not_written_to() {
    let (place, folder) = folder();
    let path = place.path().join("a.jsonl");
    let closed = closed_journal(5);
    fs::write(&path, &closed).unwrap();
    assert!(matches!(
        open(&folder, "a.jsonl"),
        Err(WriterError::Closed { .. })
    ));
    let mut damaged = closed.clone();
    damaged[40] ^= 1;
    fs::write(&path, &damaged).unwrap();
    let Err(WriterError::Damaged { report, .. }) = open(&folder, "a.jsonl") else {
        panic!("a damaged journal was opened for writing");
    };
    assert_eq!(report.head.seq, 5);
    assert_eq!(fs::read(&path).unwrap(), damaged);
    let origin = ContinuationOf {
        file: "a.jsonl".to_owned(),
        link: report.head,
    };
    let writer = JournalWriter::continue_from(&folder, "b.jsonl", &origin, moment(9)).unwrap();
    assert_eq!(writer.acknowledged().seq, 6);
    let again = JournalWriter::continue_from(&folder, "b.jsonl", &origin, moment(9));
    assert!(matches!(again, Err(WriterError::Exists { .. })));
}

#[test]
fn what_does_not_fit_a_line_is_refused_before_anything_is_written() {
    let (place, folder) = folder();
    let mut writer = JournalWriter::create(&folder, "a.jsonl").unwrap();
    let too_long = format!("{{\"note\":\"{}\"}}", "x".repeat(LONGEST_LINE - 200));
    let fault = |kind: &str, body: &str, writer: &mut JournalWriter<DiskFile>| match writer.append(
        kind,
        body,
        moment(1),
    ) {
        Err(WriterError::Refused { fault, .. }) => fault.code(),
        other => panic!("{} bytes: {other:?}", body.len()),
    };
    assert_eq!(fault(KIND, &too_long, &mut writer), "line_too_long");
    for body in [
        "",
        "{",
        "[]",
        "{} ",
        "{ }",
        "{\"a\":1},\"x\":{}",
        "{\"a\":\"\n\"}",
        "{\"a\":01}",
    ] {
        assert_eq!(fault(KIND, body, &mut writer), "bad_body", "{body:?}");
    }
    for kind in ["", "Reading", "1st", "a-b", "a\"b", &"k".repeat(65)] {
        assert_eq!(fault(kind, "{}", &mut writer), "bad_kind", "{kind:?}");
    }
    let deep = format!("{{\"a\":{}{}}}", "[".repeat(32), "]".repeat(32));
    assert_eq!(fault(KIND, &deep, &mut writer), "bad_body");
    assert_eq!(writer.commit().unwrap().seq, 0);
    assert_eq!(fs::read(place.path().join("a.jsonl")).unwrap(), b"");

    let just_fits = format!("{{\"note\":\"{}\"}}", "x".repeat(LONGEST_LINE - 320));
    let mut taken = 0;
    let refused = loop {
        match writer.append(KIND, &just_fits, moment(1)) {
            Ok(_) => taken += 1,
            Err(error) => break error,
        }
    };
    assert!(matches!(refused, WriterError::CommitTooLarge { .. }));
    assert_eq!(taken, (LARGEST_COMMIT / (LONGEST_LINE - 32)) as u64);
    assert_eq!(writer.commit().unwrap().seq, taken);
    writer.append(SESSION_CLOSED, "{}", moment(2)).unwrap();
    let after = writer.append(KIND, "{}", moment(2));
    assert!(matches!(after, Err(WriterError::Closed { .. })));
    writer.commit().unwrap();
    let source = folder.open_read("a.jsonl").unwrap();
    assert_eq!(verify(source, |_| {}).unwrap().state, State::Sound);
    assert_eq!(EncodeFault::SessionFull.code(), "session_full");
}

#[test]
fn a_full_session_still_takes_its_closing_line_and_nothing_else() {
    let (_place, folder) = folder();
    let link = Link {
        seq: LONGEST_SESSION - 1,
        hash: Hash::of(b"some line"),
    };
    let origin = ContinuationOf {
        file: "old.jsonl".to_owned(),
        link,
    };
    let mut writer = JournalWriter::continue_from(&folder, "a.jsonl", &origin, moment(1)).unwrap();
    let refused = writer.append(KIND, "{}", moment(2)).unwrap_err();
    assert_eq!(refused.code(), "session_full");
    writer.append(SESSION_CLOSED, "{}", moment(3)).unwrap();
    assert_eq!(writer.commit().unwrap().seq, LONGEST_SESSION + 1);
    let report = verify(folder.open_read("a.jsonl").unwrap(), |_| {}).unwrap();
    assert_eq!((report.state, report.events), (State::Sound, 2));
}

#[test]
fn a_writer_can_be_handed_to_the_thread_that_writes_and_goes_on_only_after_a_failure() {
    let (_place, folder) = folder();
    let mut writer = JournalWriter::create(&folder, "a.jsonl").unwrap();
    let written = std::thread::spawn(move || {
        writer.append(KIND, &reading_body(1), moment(1)).unwrap();
        assert_eq!(writer.unrecorded_lines().count(), 1);
        writer.commit().unwrap();
        writer
    });
    let writer = written.join().unwrap();
    assert_eq!(
        (writer.unrecorded_lines().count(), writer.failure()),
        (0, None)
    );
    let early = writer
        .start_continuation(&folder, "b.jsonl", moment(2))
        .unwrap_err();
    assert_eq!(early.code(), "journal_not_failed");
    assert!(!folder.list().unwrap().contains(&"b.jsonl".to_owned()));
}

#[test]
fn a_failed_writer_starts_a_continuation_that_names_its_last_recorded_line() {
    let (place, folder) = folder();
    let mut writer = JournalWriter::create(&folder, "a.jsonl").unwrap();
    writer.append(KIND, &reading_body(1), moment(1)).unwrap();
    let recorded = writer.commit().unwrap();
    fs::rename(
        place.path().join("a.jsonl"),
        place.path().join("moved.jsonl"),
    )
    .unwrap();
    writer.append(KIND, &reading_body(2), moment(2)).unwrap();
    let error = writer.commit().unwrap_err();
    assert!(
        error.to_string().contains("events 2 to 2 are NOT RECORDED"),
        "{error}"
    );
    fs::rename(
        place.path().join("moved.jsonl"),
        place.path().join("a.jsonl"),
    )
    .unwrap();

    let mut next = writer
        .start_continuation(&folder, "b.jsonl", moment(3))
        .unwrap();
    for line in writer.unrecorded_lines() {
        next.append(line.kind, line.body, moment(2)).unwrap();
    }
    assert_eq!(next.commit().unwrap().seq, 3);
    let start = |name: &str| FileStart::read(name, folder.open_read(name).unwrap()).unwrap();
    let found = sessions(&[start("a.jsonl"), start("b.jsonl")]);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].parts[0].until, Some(recorded));
    let mut bodies = Vec::new();
    let reports = verify_parts(
        &found[0].parts,
        |part| folder.open_read(&part.name),
        |_, sound| bodies.push(sound.line.body.to_owned()),
    )
    .unwrap();
    assert_eq!(bodies.len(), 3);
    assert_eq!(
        (&bodies[0], &bodies[2]),
        (&reading_body(1), &reading_body(2))
    );
    assert_eq!(session_state(&reports), State::NotClosed);
    assert_eq!(reports[0].findings[0].code(), "not_acknowledged");
}

#[test]
fn a_file_moved_replaced_or_changed_under_the_writer_is_not_acknowledged() {
    let (place, folder) = folder();
    let path = |name: &str| place.path().join(name);
    type Disturbance<'a> = (&'a str, &'a dyn Fn(&Path));
    let disturbances: [Disturbance<'_>; 4] = [
        ("removed", &|at| fs::remove_file(at).unwrap()),
        ("renamed", &|at| {
            fs::rename(at, path("elsewhere.jsonl")).unwrap()
        }),
        ("replaced", &|at| {
            fs::copy(at, path("copy")).unwrap();
            fs::rename(path("copy"), at).unwrap();
        }),
        ("appended to", &|at| {
            fs::OpenOptions::new()
                .append(true)
                .open(at)
                .unwrap()
                .write_all(b"x\n")
                .unwrap();
        }),
    ];
    for (index, (what, disturb)) in disturbances.iter().enumerate() {
        let name = format!("{index}.jsonl");
        let mut writer = JournalWriter::create(&folder, &name).unwrap();
        writer.append(KIND, &reading_body(1), moment(1)).unwrap();
        let first = writer.commit().unwrap();
        disturb(&path(&name));
        writer.append(KIND, &reading_body(2), moment(2)).unwrap();
        let Err(WriterError::NotRecorded { unrecorded, .. }) = writer.commit() else {
            panic!("acknowledged although it was {what}");
        };
        assert_eq!(unrecorded.acknowledged, first);
        let expected = matches!(
            (index, &unrecorded.cause),
            (0..=2, Cause::NotInPlace) | (3, Cause::Length { .. })
        );
        assert!(expected, "{what}: {:?}", unrecorded.cause);
    }
}

#[test]
fn only_plain_files_by_plain_names_are_opened() {
    let (place, folder) = folder();
    for name in ["", "..", ".hidden", "a/b", "../a", "a\\b", "c:a"] {
        assert!(JournalWriter::create(&folder, name).is_err(), "{name:?}");
    }
    fs::create_dir(place.path().join("folder")).unwrap();
    assert!(open(&folder, "folder").is_err());
    #[cfg(unix)]
    assert!(open(&DiskFolder::new("/dev"), "full").is_err());
}
