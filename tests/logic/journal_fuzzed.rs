//! Journals changed at random, from fixed seeds: what is read was written, and the reader stays
//! within its bounds. Structured: the changes keep lines, fields and hashes in mind, and some give
//! a changed line its right hash. `fuzz/fuzz_targets/journal.rs` does the same for raw bytes
//! without an end; what it found is kept in `fuzz/kept/journal` and read here.

use std::fs;
use std::path::Path;

use fitledger::journal::{Hash, Line, MOST_FINDINGS, Part, State, StorageFolder, verify};
use fitledger::session::{Check, replay};

use crate::support::counted::most_held;
use crate::support::cruel_disk::CruelDisk;
use crate::support::damage::{MOST_BYTES, Written, on_two_threads};
use crate::support::journals::{Seeded, closed_journal};

/// Seeds of the journals of plain lines.
const SEEDS: usize = 100_000;
/// Seeds of changed real sessions, which are read to the end: state and verdicts.
const SESSIONS: usize = 2_000;

/// One change at random.
fn change(bytes: &mut Vec<u8>, random: &mut Seeded) {
    if bytes.is_empty() {
        return bytes.push(b'\n');
    }
    let at = random.below(bytes.len());
    let length = random.below(400).min(bytes.len() - at);
    match random.below(10) {
        0 => bytes[at] = random.next().to_le_bytes()[0],
        1 => bytes[at] ^= 1 << random.below(8),
        2 => drop(bytes.drain(at..at + length.min(bytes.len() - 1))),
        3 => {
            let piece = bytes[at..at + length].to_vec();
            let to = random.below(bytes.len());
            drop(bytes.splice(to..to, piece));
        }
        4 => bytes.extend_from_within(at..at + length),
        5 => bytes[at..at + length].fill([0, 0xff, b'\n', b'"'][random.below(4)]),
        6 => bytes.truncate(at),
        7 => move_line(bytes, random),
        8 => change_number(bytes, at, random),
        _ => {
            let word = [
                &b"\r\n"[..],
                b"\xEF\xBB\xBF",
                b"}\r{",
                b"\\u0000",
                b"{\"v\":2",
            ];
            let word = word[random.below(5)];
            drop(bytes.splice(at..at, word.iter().copied()));
        }
    }
}

fn lines_of(bytes: &[u8]) -> Vec<Vec<u8>> {
    let lines = bytes.split_inclusive(|byte| *byte == b'\n');
    lines.map(<[u8]>::to_vec).collect()
}

fn move_line(bytes: &mut Vec<u8>, random: &mut Seeded) {
    let mut lines = lines_of(bytes);
    let (from, to) = (random.below(lines.len()), random.below(lines.len()));
    match random.below(3) {
        0 => lines.swap(from, to),
        1 => drop(lines.remove(from)),
        _ => lines.insert(to, lines[from].clone()),
    }
    *bytes = lines.concat();
}

/// The next number behind `at` becomes another one, such as a claim that is far too large.
fn change_number(bytes: &mut Vec<u8>, at: usize, random: &mut Seeded) {
    let Some(from) = bytes[at..].iter().position(u8::is_ascii_digit) else {
        return;
    };
    let from = at + from;
    let digits = bytes[from..]
        .iter()
        .take_while(|byte| byte.is_ascii_digit());
    let to = from + digits.count();
    let claims = [
        "0",
        "9007199254740991",
        "18446744073709551616",
        "4294967295",
        "65535",
        "1",
        "01",
    ];
    drop(bytes.splice(from..to, claims[random.below(7)].bytes()));
}

/// Gives one line its right hash again, whatever it says: a clumsy forger's line.
fn rehash(bytes: &mut Vec<u8>, random: &mut Seeded) {
    let mut lines = lines_of(bytes);
    if lines.is_empty() {
        return;
    }
    let at = random.below(lines.len());
    let line = &mut lines[at];
    let text = String::from_utf8_lossy(line).into_owned();
    if let Some((covered, _)) = text.rsplit_once(",\"hash\":\"") {
        let hash = Hash::of(covered.as_bytes());
        *line = format!("{covered},\"hash\":\"{hash}\"}}\n").into_bytes();
    }
    *bytes = lines.concat();
}

#[test]
fn no_change_of_a_journal_makes_the_reader_panic_or_invent_a_line() {
    let written = Written::new(closed_journal(12));
    let originals: Vec<&[u8]> = (0..written.lines()).map(|at| written.line(at)).collect();
    on_two_threads(SEEDS, 1, |seed| {
        let mut random = Seeded(seed as u64);
        let mut bytes = written.bytes.clone();
        for _ in 0..=random.below(4) {
            change(&mut bytes, &mut random);
        }
        let mut total = 0;
        let (report, held) = most_held(|| {
            let each = |sound: &fitledger::journal::SoundLine<'_>| {
                total += 1;
                let from = usize::try_from(sound.place.offset).unwrap();
                let from = from + if sound.byte_order_mark { 3 } else { 0 };
                let line = bytes[from..].split(|byte| *byte == b'\n').next().unwrap();
                let line = line.strip_suffix(b"\r").unwrap_or(line);
                assert!(originals.contains(&line), "seed {seed}: never written");
            };
            verify(&*bytes, each).unwrap()
        });
        assert_eq!(report.events, total, "seed {seed}");
        assert_eq!(report.length, bytes.len() as u64, "seed {seed}");
        assert!(held <= MOST_BYTES, "seed {seed}: {held} bytes held");
        assert!(report.findings.len() <= MOST_FINDINGS, "seed {seed}");
        let unchanged = bytes == written.bytes;
        assert_eq!(
            report.state == State::Sound,
            unchanged,
            "seed {seed}: {report:?}"
        );
    });
}

/// Reads a file to the end: lines, damage, events, state, verdicts.
fn read_through(bytes: &[u8], case: &str) {
    let disk = CruelDisk::with_file("fuzzed.jsonl", bytes);
    let part = Part {
        name: "fuzzed.jsonl".to_owned(),
        until: None,
    };
    let open = |part: &Part| disk.open_read(&part.name);
    let ((reports, replayed), held) = most_held(|| replay(&[part], open, Check::Verdicts).unwrap());
    // Plan, register and tables of a session take some megabytes of their own.
    assert!(held <= 32 * 1024 * 1024, "{case}: {held} bytes held");
    assert!(replayed.faults.len() <= 1_000, "{case}");
    assert_eq!(reports[0].length, bytes.len() as u64, "{case}");
    assert_eq!(disk.bytes("fuzzed.jsonl"), bytes, "{case}: was changed");
}

#[test]
fn changed_sessions_with_forged_lines_are_read_to_the_end() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sessions");
    let names = [
        "example-two-parts",
        "example-threads",
        "example-gauges",
        "example-study",
    ];
    let sessions = names.map(|name| fs::read(folder.join(format!("{name}.jsonl"))).unwrap());
    on_two_threads(SESSIONS, 1, |seed| {
        let mut random = Seeded(seed as u64);
        let mut bytes = sessions[seed % sessions.len()].clone();
        for _ in 0..=random.below(4) {
            change(&mut bytes, &mut random);
            rehash(&mut bytes, &mut random);
        }
        read_through(&bytes, &format!("seed {seed}"));
    });
}

#[test]
fn what_fuzzing_found_and_its_beginnings_are_read_to_the_end() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/kept/journal");
    let mut read = 0;
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        read_through(&fs::read(&path).unwrap(), &path.display().to_string());
        read += 1;
    }
    assert!(read >= 8, "only {read} files");
    assert!(Line::parse(b"").is_err());
}
