//! Sheets to test with: of a journal on the disk, and of a bench's record.

use std::fs;
use std::path::Path;

use fitledger::report::{ENGLISH, ReadingRow, Selection, Sheet, Words, gather};
use fitledger::session::{RecordFolders, Workspace, session_parts};

use super::bench::Bench;

/// The sheet of the journal at `path`, the newest file of its session.
pub(crate) fn sheet_at(path: &Path, which: &Selection) -> Sheet {
    gathered(path, which, &ENGLISH)
}

fn gathered(path: &Path, which: &Selection, words: &'static Words) -> Sheet {
    let empty = tempfile::tempdir().unwrap();
    let workspace = Workspace::locate(Some(empty.path()));
    let (folder, name) = RecordFolders::of_journal(path, &workspace);
    let files = session_parts(&folder, &name).unwrap();
    gather(&folder, files, which, words).unwrap()
}

/// The sheet of these bytes, as a journal of one file, in that language.
pub(crate) fn sheet_in(bytes: &[u8], words: &'static Words) -> Sheet {
    let place = tempfile::tempdir().unwrap();
    let path = place.path().join("session.jsonl");
    fs::write(&path, bytes).unwrap();
    gathered(&path, &Selection::default(), words)
}

/// The sheet of these bytes, as a journal of one file.
pub(crate) fn sheet_of_bytes(bytes: &[u8], which: &Selection) -> Sheet {
    let place = tempfile::tempdir().unwrap();
    let path = place.path().join("session.jsonl");
    fs::write(&path, bytes).unwrap();
    sheet_at(&path, which)
}

/// What the bench's disk holds.
pub(crate) fn bytes_of(bench: &Bench) -> Vec<u8> {
    bench.disk.bytes(bench.recorder.journal())
}

/// The sheet of all that the bench recorded.
pub(crate) fn sheet_of(bench: &Bench) -> Sheet {
    sheet_of_bytes(&bytes_of(bench), &Selection::default())
}

/// The row of the reading in that line, of whatever part.
pub(crate) fn row(sheet: &Sheet, line: u64) -> &ReadingRow {
    let of_parts = sheet.parts.iter().flat_map(|part| &part.readings);
    let mut all = of_parts.chain(&sheet.record.other_readings);
    all.find(|row| row.line == line)
        .unwrap_or_else(|| panic!("no row for line {line}"))
}
