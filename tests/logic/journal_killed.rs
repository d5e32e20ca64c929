//! Real processes that write a journal, killed at random or starved of space.

#![allow(clippy::unwrap_used, clippy::panic)] // helpers of tests are tests too

use std::io::{BufRead, BufReader, Write};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use fitledger::journal::{
    DiskFile, DiskFolder, JournalWriter, State, StorageFolder, Tail, WriterError, verify,
};

use crate::support::journals::{Seeded, moment, reading_body};

const KIND: &str = "reading_received";

fn folder() -> (tempfile::TempDir, DiskFolder) {
    let place = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let folder = DiskFolder::new(place.path());
    (place, folder)
}

fn open(folder: &DiskFolder, name: &str) -> Result<JournalWriter<DiskFile>, WriterError> {
    JournalWriter::open(folder, name, moment(90), |_| {}).map(|(writer, _)| writer)
}

const CHILD_FOLDER: &str = "FITLEDGER_TEST_JOURNAL_CHILD";
const CHILD_NAME: &str = "FITLEDGER_TEST_JOURNAL_NAME";
const CHILD_TEST: &str = "journal_killed::a_child_process_appends_until_it_is_stopped";

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
