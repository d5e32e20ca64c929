//! The writer against real files: one at a time, never truncating, bounded, and noticing when the
//! file is taken from under it. And real processes, killed at random.

#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests too

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Barrier;
use std::time::{Duration, Instant};

use fitledger::journal::{
    Cause, ContinuationOf, DiskFile, DiskFolder, EncodeFault, JournalWriter, LARGEST_COMMIT,
    LONGEST_LINE, SESSION_CLOSED, State, StorageFolder, Tail, WriterError, verify,
};

use crate::support::journals::{
    Seeded, checked, closed_journal, line_starts, moment, reading_body,
};

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

const CHILD_FOLDER: &str = "FITLEDGER_TEST_JOURNAL_CHILD";
const CHILD_NAME: &str = "FITLEDGER_TEST_JOURNAL_NAME";
const CHILD_TEST: &str = "journal_writers::a_child_process_appends_until_it_is_stopped";

/// Not a test by itself: the program that the tests below start, kill and starve. Without its
/// variables it has nothing to do.
#[test]
fn a_child_process_appends_until_it_is_stopped() {
    let (Ok(place), Ok(name)) = (std::env::var(CHILD_FOLDER), std::env::var(CHILD_NAME)) else {
        return;
    };
    let folder = DiskFolder::new(PathBuf::from(place));
    let mut out = std::io::stdout().lock();
    let fresh = !folder.path().join(&name).exists();
    let opened = if fresh {
        JournalWriter::create(&folder, &name)
    } else {
        open(&folder, &name)
    };
    let mut writer = opened.unwrap();
    writeln!(out, "\nopen {}", writer.acknowledged().seq).unwrap();
    for number in 0.. {
        for _ in 0..=number % 3 {
            writer
                .append(KIND, &reading_body(number), moment(number))
                .unwrap();
        }
        match writer.commit() {
            Ok(link) => writeln!(out, "ack {}", link.seq).unwrap(),
            Err(error) => {
                writeln!(out, "{} {}", error.code(), error).unwrap();
                return;
            }
        }
    }
}

fn child(shell: Option<&str>, folder: &DiskFolder, name: &str) -> Child {
    let program = std::env::current_exe().unwrap();
    let mut command = match shell {
        Some(line) => {
            let mut command = Command::new("sh");
            command.args(["-c", line]).arg(program);
            command
        }
        None => Command::new(program),
    };
    command
        .args([CHILD_TEST, "--exact", "--nocapture", "--test-threads=1"])
        .env(CHILD_FOLDER, folder.path())
        .env(CHILD_NAME, name)
        .stdout(Stdio::piped())
        .spawn()
        .unwrap()
}

/// The number behind `word` in a child's line.
fn number_after(line: &str, word: &str) -> Option<u64> {
    line.strip_prefix(word)?.trim().parse().ok()
}

#[test]
fn a_writer_killed_at_any_time_leaves_all_it_acknowledged_and_no_lock() {
    let kills = 50;
    let seed = u64::from(std::process::id());
    println!("seed {seed}");
    let mut random = Seeded(seed);
    let (_place, folder) = folder();
    let (mut name, mut torn, mut acknowledged) = (String::new(), 0, 0);
    for kill in 0..kills {
        if kill % 10 == 0 {
            name = format!("session-{kill}.jsonl");
            acknowledged = 0;
        }
        let mut child = child(None, &folder, &name);
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let opened = lines
            .by_ref()
            .find_map(|line| number_after(&line.unwrap(), "open "));
        assert!(
            opened.is_some_and(|seq| seq >= acknowledged),
            "seed {seed}, kill {kill}"
        );
        if kill == 0 {
            let refused = open(&folder, &name).unwrap_err();
            let WriterError::Locked { holder, .. } = refused else {
                panic!("{refused}")
            };
            if cfg!(target_os = "linux") {
                assert!(
                    holder
                        .unwrap()
                        .starts_with(&format!("process {} ", child.id()))
                );
            }
        }
        let wait = Duration::from_micros(random.next() % 30_000);
        let start = Instant::now();
        while start.elapsed() < wait {
            std::thread::sleep(Duration::from_micros(200));
        }
        child.kill().unwrap();
        child.wait().unwrap();
        let acks = lines.filter_map(|line| number_after(&line.ok()?, "ack "));
        acknowledged = acks.last().or(opened).unwrap();
        let report = verify(folder.open_read(&name).unwrap(), |_| {}).unwrap();
        let readable = report.head.seq;
        let case = format!("seed {seed}, kill {kill}: {report:?}");
        assert_ne!(report.state, State::Damaged, "{case}");
        // In flight: one commit of at most three events that was not acknowledged yet, and one
        // whose acknowledgement was on its way into the pipe.
        assert!(
            (acknowledged..=acknowledged + 6).contains(&readable),
            "{case}"
        );
        torn += u32::from(report.tail != Tail::Whole);
        acknowledged = readable;
    }
    println!("{kills} kills, {torn} torn tails");
}

#[cfg(unix)]
#[test]
fn a_file_size_limit_leaves_what_was_acknowledged_and_says_not_recorded() {
    let (_place, folder) = folder();
    for blocks in [1, 2, 5, 9] {
        // The limit counts blocks of 512 or 1024 bytes, by shell; the signal is ignored, as the
        // program does at its start.
        let shell = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
        let name = format!("limited-{blocks}.jsonl");
        let child = child(Some(&shell), &folder, &name);
        let output = child.wait_with_output().unwrap();
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        let acknowledged = text
            .lines()
            .filter_map(|line| number_after(line, "ack "))
            .next_back();
        let failure = text.lines().find(|line| line.starts_with("not_recorded "));
        assert!(
            failure.is_some_and(|line| line.contains("NOT RECORDED")),
            "{text}"
        );
        let report = verify(folder.open_read(&name).unwrap(), |_| {}).unwrap();
        assert!(report.head.seq >= acknowledged.unwrap_or(0), "{report:?}");
        assert!(
            report.head.seq <= acknowledged.unwrap_or(0) + 3,
            "{report:?}"
        );
        assert!(report.length <= blocks * 1024);
    }
}
