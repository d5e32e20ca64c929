//! The index is a cache only: whatever stands in it, the answers are those of the journals.

use std::fs;
use std::path::Path;
use std::time::SystemTime;

use fitledger::journal::Hash;
use fitledger::session::{Catalogue, Command, Entry};

use crate::support::bench::{Bench, NAME, feature, plan};
use crate::support::cabinet::{Cabinet, random_session};
use crate::support::journals::Seeded;

fn small(operator: &str) -> Bench {
    let mut opened = plan(&feature("A", "20 k6", ""));
    operator.clone_into(&mut opened.operator);
    // Little to read, for many thousand times.
    opened.gauges.clear();
    opened.sources.clear();
    let mut bench = Bench::new(opened);
    bench.asks(Command::Close {
        reason: "done".to_owned(),
    });
    bench
}

fn two() -> (Cabinet, Vec<Entry>, Vec<u8>) {
    let cabinet = Cabinet::new();
    cabinet.put("one.jsonl", &small("Ada"));
    cabinet.put("two.jsonl", &small("Bea"));
    let entries = cabinet.opened().entries().to_vec();
    assert_eq!(entries.len(), 2);
    let index = fs::read(cabinet.index()).unwrap();
    (cabinet, entries, index)
}

/// With that index, the answers are these; and the next one is whole again.
fn check(cabinet: &Cabinet, index: &[u8], expected: &[Entry], case: &str) -> usize {
    fs::write(cabinet.index(), index).unwrap();
    let opened = cabinet.opened();
    assert_eq!(opened.entries(), expected, "{case}");
    assert_eq!(opened.unwritten(), None, "{case}");
    opened.read()
}

#[test]
fn an_index_with_any_bit_flipped_gives_the_same_answers() {
    let (cabinet, expected, index) = two();
    let mut random = Seeded(11);
    let mut read = 0;
    for at in 0..index.len() {
        let mut bytes = index.clone();
        bytes[at] ^= 1 << random.below(8);
        let again = check(&cabinet, &bytes, &expected, &format!("byte {at}"));
        // A line that is not as it was written is not believed: what it told is read again.
        read += usize::from(again > 0);
    }
    assert!(read > index.len() / 2, "{read} of {}", index.len());
}

#[test]
fn an_index_cut_off_anywhere_gives_the_same_answers() {
    let (cabinet, expected, index) = two();
    for length in 0..index.len() {
        let case = format!("{length} bytes");
        let read = check(&cabinet, &index[..length], &expected, &case);
        assert!(read > 0, "{case}");
    }
    assert_eq!(check(&cabinet, &index, &expected, "whole"), 0);
}

#[test]
fn an_index_put_together_anew_gives_the_same_answers() {
    let cabinet = Cabinet::new();
    for session in 0..8 {
        cabinet.put(
            &format!("{session}.jsonl"),
            &random_session(900 + session, 30),
        );
    }
    let expected = cabinet.opened().entries().to_vec();
    let index = fs::read(cabinet.index()).unwrap();
    let lines: Vec<&[u8]> = index.split_inclusive(|byte| *byte == b'\n').collect();
    let mut random = Seeded(12);
    for case in 0..60 {
        let mut taken: Vec<&[u8]> = Vec::new();
        for _ in 0..random.below(30) {
            taken.push(lines[random.below(lines.len())]);
        }
        // The version's line comes first, or not.
        if random.below(4) > 0 {
            taken.insert(0, lines[0]);
        }
        check(
            &cabinet,
            &taken.concat(),
            &expected,
            &format!("case {case}"),
        );
    }
}

/// A line as the index writes them, with its right checksum.
fn forged(first: &str, json: &str) -> String {
    let covered = format!("{first}\n{json}");
    let rest = json.strip_prefix('{').unwrap();
    format!("{{\"sum\":\"{}\",{rest}\n", Hash::of(covered.as_bytes()))
}

#[test]
fn a_foreign_or_hostile_index_is_not_believed() {
    let (cabinet, expected, index) = two();
    let text = String::from_utf8(index.clone()).unwrap();
    let (first, rest) = text.split_once('\n').unwrap();
    // The helper makes lines as the program does: a whole index of them is believed.
    let lines = rest.lines().map(|line| {
        let json = format!("{{{}", &line["{\"sum\":\"".len() + 64 + 2..]);
        forged(first, &json)
    });
    let same = format!("{first}\n{}", lines.collect::<String>());
    assert_eq!(same, text);
    let older = text.replacen("\"index_version\":2", "\"index_version\":1", 1);
    let newer = text.replacen("\"index_version\":2", "\"index_version\":3", 1);
    assert!(older != text && newer != text);
    let deep = format!(
        "{{\"session\":{}{}}}",
        "[".repeat(50_000),
        "]".repeat(50_000)
    );
    let hostile = [
        String::new(),
        "\n".to_owned(),
        "not an index at all\n".to_owned(),
        older,
        newer,
        format!("{first}\n{}", forged(first, "{\"session\":{}}")),
        format!("{first}\n{}", forged(first, "{\"file\":7}")),
        format!("{first}\n{}", forged(first, "{\"other\":{}}")),
        format!(
            "{first}\n{}",
            forged(first, "{\"session\":null,\"file\":null}")
        ),
        format!("{first}\n{}", forged(first, &deep)),
        format!("{first}\n{}", "x".repeat(3_000_000)),
        format!("{first}\n{rest}").replace("\"sound\"", "\"damaged\""),
        format!("{first}\n{}", rest.replace('\n', "\r\n")),
        format!("\u{feff}{text}"),
        "\0".repeat(10_000),
    ];
    for (case, index) in hostile.iter().enumerate() {
        let read = check(
            &cabinet,
            index.as_bytes(),
            &expected,
            &format!("case {case}"),
        );
        assert_eq!(read, 2, "case {case}");
    }
    // Of another workspace, with files of the same names and lengths.
    let (other, _, _) = two();
    cabinet.put("one.jsonl", &small("Kim"));
    let mine = cabinet.opened().entries().to_vec();
    assert_ne!(mine, expected);
    fs::write(cabinet.index(), fs::read(other.index()).unwrap()).unwrap();
    let opened = cabinet.opened();
    assert_eq!((opened.entries(), opened.read()), (mine.as_slice(), 2));
}

#[cfg(unix)]
#[test]
fn something_else_in_the_place_of_the_index_does_no_harm() {
    let (cabinet, expected, _) = two();
    let names = |folder: &Path| {
        let entries = fs::read_dir(folder).unwrap();
        let mut names: Vec<_> = entries.map(|entry| entry.unwrap().file_name()).collect();
        names.sort();
        names
    };
    // A folder: nothing can take its place, and that is told; the answers are the same.
    fs::remove_file(cabinet.index()).unwrap();
    fs::create_dir_all(cabinet.index().join("in the way")).unwrap();
    let opened = cabinet.opened();
    assert_eq!((opened.entries(), opened.read()), (expected.as_slice(), 2));
    assert!(
        opened
            .unwritten()
            .is_some_and(|why| why.contains("records.index"))
    );
    assert_eq!(names(cabinet.index().parent().unwrap()), ["records.index"]);
    // A file where its folder should be.
    let cache = cabinet.place.path().join("cache");
    fs::remove_dir_all(&cache).unwrap();
    fs::write(&cache, "in the way").unwrap();
    let opened = cabinet.opened();
    assert_eq!(opened.entries(), expected);
    assert!(opened.unwritten().is_some());
    assert_eq!(fs::read(&cache).unwrap(), b"in the way");
    // A pipe, which would never end.
    fs::remove_file(&cache).unwrap();
    fs::create_dir(&cache).unwrap();
    let made = std::process::Command::new("mkfifo")
        .arg(cabinet.index())
        .status();
    assert!(made.unwrap().success());
    let opened = cabinet.opened();
    assert_eq!(
        (opened.entries(), opened.unwritten()),
        (expected.as_slice(), None)
    );
    assert!(fs::metadata(cabinet.index()).unwrap().is_file());
    // Gone altogether.
    fs::remove_dir_all(&cache).unwrap();
    assert_eq!(cabinet.opened().entries(), expected);
    assert_eq!(cabinet.opened().read(), 0);
}

#[test]
fn without_a_session_no_cache_is_made() {
    let place = tempfile::tempdir().unwrap();
    let workspace = fitledger::session::Workspace::locate(Some(place.path()));
    let opened = Catalogue::open(&workspace, |_| true).unwrap();
    assert!(opened.entries().is_empty());
    assert_eq!(fs::read_dir(place.path()).unwrap().count(), 0);
}

/// What was changed just before the look is looked at again: the file system's times are coarse.
#[test]
fn what_has_just_changed_is_not_kept() {
    let (cabinet, expected, _) = two();
    fs::remove_file(cabinet.index()).unwrap();
    let now = jiff::Timestamp::now();
    let open = |moment| Catalogue::open_at(&cabinet.workspace(), moment, |_| true).unwrap();
    assert_eq!(open(now).read(), 2);
    assert_eq!(open(now).read(), 2);
    let later = now + jiff::SignedDuration::from_secs(10);
    assert_eq!(open(later).read(), 2);
    let opened = open(later);
    assert_eq!((opened.read(), opened.entries()), (0, expected.as_slice()));
}

fn modified(path: &Path) -> SystemTime {
    fs::metadata(path).unwrap().modified().unwrap()
}

fn set_modified(path: &Path, time: SystemTime) {
    let file = fs::File::options().append(true).open(path).unwrap();
    file.set_modified(time).unwrap();
}

/// Same name, same length, same time of change: the number on the disk tells another file, and
/// the time of the last change of anything, which nobody can set, tells another content.
#[cfg(unix)]
#[test]
fn a_file_of_the_same_length_and_time_is_known_to_be_another() {
    let (cabinet, expected, _) = two();
    let path = cabinet.session("one.jsonl");
    let (time, length) = (modified(&path), fs::metadata(&path).unwrap().len());
    let other = small("Eva").disk.bytes(NAME);
    assert_eq!(other.len() as u64, length, "the case is as it is meant");
    // Replaced by another file.
    let beside = cabinet.place.path().join("beside");
    fs::write(&beside, &other).unwrap();
    set_modified(&beside, time);
    fs::rename(&beside, &path).unwrap();
    assert_eq!(
        (modified(&path), fs::metadata(&path).unwrap().len()),
        (time, length)
    );
    let opened = cabinet.opened();
    assert_eq!(opened.read(), 1);
    assert_ne!(opened.entries(), expected);
    assert_eq!(opened.entries(), cabinet.read_anew());
    // Written over in its place.
    fs::write(&path, small("Dea").disk.bytes(NAME)).unwrap();
    set_modified(&path, time);
    assert_eq!(
        (modified(&path), fs::metadata(&path).unwrap().len()),
        (time, length)
    );
    let again = cabinet.opened();
    assert_eq!(again.read(), 1);
    assert_ne!(again.entries(), opened.entries());
    assert_eq!(again.entries(), cabinet.read_anew());
}

#[test]
fn several_programs_at_once_do_no_harm() {
    let cabinet = Cabinet::new();
    for session in 0..40 {
        cabinet.put(
            &format!("{session:02}.jsonl"),
            &random_session(500 + session, 20),
        );
    }
    let expected = cabinet.read_anew();
    for _ in 0..3 {
        std::thread::scope(|scope| {
            for _ in 0..4 {
                scope.spawn(|| assert_eq!(cabinet.opened().entries(), expected));
            }
        });
        assert_eq!(cabinet.opened().read(), 0);
        let names = fs::read_dir(cabinet.index().parent().unwrap()).unwrap();
        assert_eq!(names.count(), 1, "nothing unfinished is left");
        fs::remove_file(cabinet.index()).unwrap();
    }
}
