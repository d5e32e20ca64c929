//! What the workspace's files have in common on the disk: they are read within a bound, written
//! whole or not at all, listed where there is a folder, and told from what they were before.

use std::fs::{self, DirEntry, File, Metadata, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// Longest part of a file's name in the name of what is being written beside it, in characters:
/// the system limits the length of names.
const NAME_SHOWN: usize = 40;

/// A whole file of at most `most` bytes.
///
/// # Errors
/// What kept it from being read; `FileTooLarge` for a file beyond the bound.
pub(super) fn read_within(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    let file = File::open(path)?;
    let length = file.metadata()?.len();
    let mut bytes = Vec::new();
    // What the system says of the length is not relied on: a pipe has none.
    if length <= most {
        file.take(most.saturating_add(1)).read_to_end(&mut bytes)?;
    }
    if length > most || bytes.len() as u64 > most {
        return Err(io::ErrorKind::FileTooLarge.into());
    }
    Ok(bytes)
}

/// The same, as text.
///
/// # Errors
/// As [`read_within`], and `InvalidData` for what is not UTF-8.
pub(super) fn read_text_within(path: &Path, most: u64) -> io::Result<String> {
    let text = String::from_utf8(read_within(path, most)?);
    text.map_err(|_| io::Error::new(io::ErrorKind::InvalidData, "it is not UTF-8 text"))
}

/// What is in a folder, in no order; nothing when there is no such folder.
///
/// # Errors
/// What kept the folder from being listed.
pub(super) fn entries(folder: &Path) -> io::Result<Vec<DirEntry>> {
    match fs::read_dir(folder) {
        Ok(entries) => entries.collect(),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
        Err(error) => Err(error),
    }
}

/// Writes a file that is not there yet, whole or not at all; nothing is ever replaced.
///
/// # Errors
/// What kept it from being written; `AlreadyExists` for a name that is taken.
pub(super) fn write_fresh(path: &Path, bytes: &[u8]) -> io::Result<()> {
    if path.symlink_metadata().is_ok() {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    let fresh = unfinished_name(path);
    // A second name for it is refused where there is one, however late that came there.
    let written = write_new(&fresh, bytes).and_then(|()| match fs::hard_link(&fresh, path) {
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Err(error),
        // File systems without links.
        Err(_) => write_new(path, bytes),
        Ok(()) => Ok(()),
    });
    drop(fs::remove_file(&fresh));
    path.parent().into_iter().for_each(sync_folder);
    written
}

/// New bytes that are on the disk beside the file whose place they are to take; removed again
/// unless they do, and the old file is as it was then.
#[derive(Debug)]
pub(super) struct Replacement {
    fresh: PathBuf,
    /// The old file; where its name is a link, the file that it leads to.
    target: PathBuf,
}

impl Replacement {
    /// Writes them, with the permissions of the old file.
    ///
    /// # Errors
    /// What kept them from being written; there is no old file, it may not be written, or it is
    /// something else than a file.
    pub(super) fn write(path: &Path, bytes: &[u8]) -> io::Result<Self> {
        let target = fs::canonicalize(path)?;
        let status = fs::metadata(&target)?;
        if !status.is_file() {
            return Err(io::Error::other("it is not a plain file"));
        }
        if status.permissions().readonly() {
            let kind = io::ErrorKind::PermissionDenied;
            return Err(io::Error::new(kind, "it may not be written"));
        }
        let fresh = unfinished_name(&target);
        write_new(&fresh, bytes)?;
        // From here on they are removed again when something fails.
        let replacement = Self { fresh, target };
        fs::set_permissions(&replacement.fresh, status.permissions())?;
        Ok(replacement)
    }

    /// Puts them in the old file's place.
    ///
    /// # Errors
    /// What kept them from getting there.
    pub(super) fn put_in_place(self) -> io::Result<()> {
        fs::rename(&self.fresh, &self.target)?;
        self.target.parent().into_iter().for_each(sync_folder);
        Ok(())
    }
}

impl Drop for Replacement {
    fn drop(&mut self) {
        // After a rename it is not there any more, and that is right.
        drop(fs::remove_file(&self.fresh));
    }
}

/// Another name for each program and each time, so that no two write the same file.
fn unfinished_name(path: &Path) -> PathBuf {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let shown: String = name.chars().take(NAME_SHOWN).collect();
    path.with_file_name(format!(".{shown}.{}-{count}.new", std::process::id()))
}

/// A file that was not there, on the disk, or not there at all.
fn write_new(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
    let written = file.write_all(bytes).and_then(|()| file.sync_all());
    if written.is_err() {
        drop(fs::remove_file(path));
    }
    written
}

/// A folder cannot be flushed everywhere; the file itself is on the disk.
fn sync_folder(folder: &Path) {
    let folder = File::open(folder);
    folder
        .into_iter()
        .for_each(|folder| drop(folder.sync_all()));
}

/// What tells two versions of a file apart beside its length and its time of writing: the moment
/// of its last change in nanoseconds since 1970, and its number on the disk. Zeros where the
/// system keeps none.
#[cfg(unix)]
pub(super) fn change_and_inode(status: &Metadata) -> (i64, u64) {
    use std::os::unix::fs::MetadataExt;
    let seconds = status.ctime().saturating_mul(1_000_000_000);
    (seconds.saturating_add(status.ctime_nsec()), status.ino())
}

#[cfg(not(unix))]
pub(super) fn change_and_inode(_status: &Metadata) -> (i64, u64) {
    (0, 0)
}
