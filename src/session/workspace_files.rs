//! The journals of a folder as the disk lists them, and the cache that is kept beside them. What
//! stands in the cache is known elsewhere; it may be deleted at any time.

use std::fs::{self, Metadata, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, SystemTime};

use super::catalogue::Stamp;
use super::plain_files::{change_and_inode, entries, read_within};
use super::workspace::WorkspaceError;
use crate::journal::DiskFolder;

/// The folder of the workspace for what can be made again from the rest.
const CACHE: &str = "cache";
/// What is being written has this at the end of its name.
const UNFINISHED: &str = "new";
/// What a program that died left unfinished is removed after so long (chosen).
const LEFT_BEHIND: Duration = Duration::from_secs(3_600);

/// The journals of a folder, as the disk knows them, in no order; none when there is no such
/// folder. Hidden files are none of them.
///
/// # Errors
/// What kept the folder from being listed.
pub(super) fn journal_stamps(
    folder: &DiskFolder,
    is_elsewhere: bool,
) -> Result<Vec<Stamp>, WorkspaceError> {
    let failed = |cause| WorkspaceError::new(folder.path(), "listed", cause);
    let mut found = Vec::new();
    for entry in entries(folder.path()).map_err(failed)? {
        let Ok(name) = entry.file_name().into_string() else {
            continue;
        };
        if !name.ends_with(".jsonl") || name.starts_with('.') {
            continue;
        }
        // Through links, as the file is read.
        match fs::metadata(entry.path()) {
            Ok(status) if status.is_file() => found.push(stamp(name, is_elsewhere, &status)),
            _ => {}
        }
    }
    Ok(found)
}

fn stamp(name: String, is_elsewhere: bool, status: &Metadata) -> Stamp {
    let (changed_ns, inode) = change_and_inode(status);
    Stamp {
        name,
        is_elsewhere,
        length: status.len(),
        modified_ns: status.modified().map_or(0, since_epoch),
        changed_ns,
        inode,
    }
}

fn since_epoch(time: SystemTime) -> i64 {
    let ns = |passed: Duration| i64::try_from(passed.as_nanos()).unwrap_or(i64::MAX);
    match time.duration_since(SystemTime::UNIX_EPOCH) {
        Ok(passed) => ns(passed),
        Err(before) => -ns(before.duration()),
    }
}

/// The moment in nanoseconds since 1970.
pub(super) fn now_ns() -> i64 {
    since_epoch(SystemTime::now())
}

/// A file of the cache; none where it is not there, is no plain file, is longer than `most`, or
/// cannot be read.
pub(super) fn cache_bytes(root: &Path, name: &str, most: u64) -> Option<Vec<u8>> {
    let path = root.join(CACHE).join(name);
    match fs::metadata(&path) {
        Ok(status) if status.is_file() => read_within(&path, most).ok(),
        _ => None,
    }
}

/// Puts a file of the cache in its place, whole or not at all. Nothing waits for the disk: what a
/// power cut leaves of it is found out when it is read.
///
/// # Errors
/// What kept it from being written.
pub(super) fn keep_in_cache(root: &Path, name: &str, bytes: &[u8]) -> Result<(), WorkspaceError> {
    let folder = root.join(CACHE);
    let path = folder.join(name);
    let failed = |cause| WorkspaceError::new(&path, "written", cause);
    fs::create_dir_all(&folder).map_err(failed)?;
    let fresh = folder.join(unfinished_name(name));
    let written = write_new(&fresh, bytes).and_then(|()| fs::rename(&fresh, &path));
    if written.is_err() {
        // Of no use to anybody.
        drop(fs::remove_file(&fresh));
    }
    remove_left_behind(&folder, name);
    written.map_err(failed)
}

/// Another name for each program and each time, so that no two write the same file.
fn unfinished_name(name: &str) -> String {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    format!("{name}.{}-{count}.{UNFINISHED}", std::process::id())
}

fn write_new(path: &PathBuf, bytes: &[u8]) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
    file.write_all(bytes)?;
    file.flush()
}

/// Removes what programs that died while writing left unfinished.
fn remove_left_behind(folder: &Path, name: &str) {
    let Ok(entries) = fs::read_dir(folder) else {
        return;
    };
    for entry in entries.flatten() {
        let found = entry.file_name().to_string_lossy().into_owned();
        let rest = found.strip_prefix(name).unwrap_or_default();
        let is_unfinished = rest.starts_with('.') && rest.ends_with(UNFINISHED);
        let modified = entry.metadata().and_then(|status| status.modified()).ok();
        let age = modified.and_then(|modified| modified.elapsed().ok());
        if is_unfinished && age.is_some_and(|age| age > LEFT_BEHIND) {
            drop(fs::remove_file(entry.path()));
        }
    }
}
