//! Writes files whole or not at all: beside their place under another name, brought to the disk,
//! then put in their place, and the folder's entry brought to the disk too. What was there before
//! stays until then, and nothing is replaced unless that is asked for.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::problem::Problem;

/// The end of a record's name. A record is never written over, whatever is asked.
const RECORD_END: &str = ".jsonl";

/// A file to be written.
#[derive(Debug)]
pub(super) struct Whole<'a> {
    /// Where.
    pub(super) path: &'a Path,
    /// What.
    pub(super) bytes: &'a [u8],
}

/// Writes all of them, or none where that can be helped: all are on the disk under other names
/// before the first is put in its place.
///
/// `goes_on` is asked until the first is put in its place; what it answers instead ends the
/// writing, and no piece of a file is left.
///
/// # Errors
/// `file_exists` without `replace`, `is_a_record`, `file_not_written`, and what `goes_on` says.
pub(super) fn write_whole(
    files: &[Whole<'_>],
    replace: bool,
    goes_on: &dyn Fn() -> Result<(), Problem>,
) -> Result<(), Problem> {
    for file in files {
        refuse_unless_free(file.path, replace)?;
    }
    let mut staged = Vec::with_capacity(files.len());
    for file in files {
        goes_on()?;
        match Staged::write(file) {
            Ok(fresh) => staged.push(fresh),
            Err(error) => return Err(not_written(file.path, &error)),
        }
    }
    goes_on()?;
    let mut placed: Vec<PathBuf> = Vec::new();
    for fresh in staged {
        let path = fresh.path.clone();
        match fresh.put_in_place(replace) {
            Ok(()) => placed.push(path),
            Err(error) => {
                // What was there is gone only where that was asked for.
                if !replace {
                    placed.iter().for_each(|path| drop(fs::remove_file(path)));
                }
                return Err(match error.kind() {
                    io::ErrorKind::AlreadyExists => is_there(&path),
                    _ => not_written(&path, &error),
                });
            }
        }
    }
    Ok(())
}

fn refuse_unless_free(path: &Path, replace: bool) -> Result<(), Problem> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    if name.to_lowercase().ends_with(RECORD_END) {
        let message = format!("{} has the name of a record.", shown(path));
        let hint = "Records are never written over. Choose another name.";
        return Err(Problem::bad("is_a_record", message, Some(hint)));
    }
    // A link is looked at itself, not what it leads to.
    match fs::symlink_metadata(path) {
        Ok(found) if found.is_dir() => {
            let message = format!("{} is a folder.", shown(path));
            let hint = "Name a file in it.";
            Err(Problem::bad("is_a_folder", message, Some(hint)))
        }
        Ok(_) if !replace => Err(is_there(path)),
        _ => Ok(()),
    }
}

/// A file that is on the disk under another name. It is removed unless it is put in its place.
struct Staged {
    fresh: PathBuf,
    path: PathBuf,
}

impl Staged {
    fn write(file: &Whole<'_>) -> io::Result<Self> {
        let name = file.path.file_name().unwrap_or_default().to_string_lossy();
        // Short, whatever the name: the system limits the length of names.
        let short: String = name.chars().take(40).collect();
        let folder = folder_of(file.path);
        let own = std::process::id();
        let named = |attempt: u32| folder.join(format!(".{short}.{own}-{attempt}.part"));
        let (fresh, mut to) = fresh_file(named)?;
        // From here on it is removed again when something fails.
        let staged = Self {
            fresh,
            path: file.path.to_path_buf(),
        };
        to.write_all(file.bytes)?;
        to.sync_all()?;
        Ok(staged)
    }

    fn put_in_place(self, replace: bool) -> io::Result<()> {
        if replace {
            fs::rename(&self.fresh, &self.path)?;
        } else {
            // A link is made only where nothing is, however late it came there.
            match fs::hard_link(&self.fresh, &self.path) {
                Ok(()) => fs::remove_file(&self.fresh)?,
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => return Err(error),
                // File systems without links.
                Err(_) if fs::symlink_metadata(&self.path).is_err() => {
                    fs::rename(&self.fresh, &self.path)?;
                }
                Err(_) => return Err(io::ErrorKind::AlreadyExists.into()),
            }
        }
        sync_folder(&folder_of(&self.path))
    }
}

impl Drop for Staged {
    fn drop(&mut self) {
        // After a rename it is not there any more, and that is right.
        drop(fs::remove_file(&self.fresh));
    }
}

/// A file that was not there; what a program that was stopped left behind is passed over.
fn fresh_file(named: impl Fn(u32) -> PathBuf) -> io::Result<(PathBuf, File)> {
    let mut attempt = 0;
    loop {
        let fresh = named(attempt);
        match OpenOptions::new().write(true).create_new(true).open(&fresh) {
            Ok(file) => return Ok((fresh, file)),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists && attempt < 100 => {
                attempt += 1;
            }
            Err(error) => return Err(error),
        }
    }
}

fn folder_of(path: &Path) -> PathBuf {
    let parent = path
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty());
    parent.unwrap_or(Path::new(".")).to_path_buf()
}

/// Elsewhere than on Unix a folder cannot be opened like a file.
fn sync_folder(folder: &Path) -> io::Result<()> {
    if cfg!(unix) {
        return File::open(folder)?.sync_all();
    }
    Ok(())
}

fn shown(path: &Path) -> String {
    path.display().to_string().escape_debug().to_string()
}

fn is_there(path: &Path) -> Problem {
    let message = format!("{} is there already.", shown(path));
    let hint = "Choose another name, or replace it with --replace.";
    Problem::bad("file_exists", message, Some(hint))
}

fn not_written(path: &Path, error: &io::Error) -> Problem {
    let message = format!("{} could not be written: {error}.", shown(path));
    let hint = "Check the folder, its rights and the space on the disk. Nothing was changed there.";
    Problem::outside("file_not_written", message, Some(hint))
}

#[cfg(test)]
mod tests {
    use std::fs;

    use std::cell::Cell;

    use super::{Whole, write_whole};
    use crate::command::problem::Problem;

    fn to_the_end() -> Result<(), Problem> {
        Ok(())
    }

    fn names(folder: &std::path::Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap();
        let mut names: Vec<String> = entries
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn both_files_are_there_whole_and_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        let (one, two) = (folder.path().join("a.csv"), folder.path().join("b.json"));
        let files = [
            Whole {
                path: &one,
                bytes: b"first",
            },
            Whole {
                path: &two,
                bytes: b"second",
            },
        ];
        write_whole(&files, false, &to_the_end).unwrap();
        assert_eq!(names(folder.path()), ["a.csv", "b.json"]);
        assert_eq!(fs::read(&one).unwrap(), b"first");
        assert_eq!(fs::read(&two).unwrap(), b"second");
    }

    #[test]
    fn nothing_is_replaced_unless_asked_and_then_none_of_both_is_written() {
        let folder = tempfile::tempdir().unwrap();
        let (one, two) = (folder.path().join("a.csv"), folder.path().join("b.json"));
        fs::write(&two, "kept").unwrap();
        let files = [
            Whole {
                path: &one,
                bytes: b"first",
            },
            Whole {
                path: &two,
                bytes: b"second",
            },
        ];
        let problem = write_whole(&files, false, &to_the_end).unwrap_err();
        assert_eq!(problem.code, "file_exists");
        assert_eq!(names(folder.path()), ["b.json"]);
        assert_eq!(fs::read(&two).unwrap(), b"kept");
        write_whole(&files, true, &to_the_end).unwrap();
        assert_eq!(fs::read(&two).unwrap(), b"second");
        assert_eq!(names(folder.path()), ["a.csv", "b.json"]);
    }

    /// Asked before each file, and before the first is put in its place: wherever the end is
    /// wished for, nothing is there that was not, and no piece.
    #[test]
    fn a_wish_to_end_leaves_what_was_there_and_no_piece() {
        let folder = tempfile::tempdir().unwrap();
        let (one, two) = (folder.path().join("a.csv"), folder.path().join("b.json"));
        fs::write(&one, "kept").unwrap();
        let files = [
            Whole {
                path: &one,
                bytes: b"first",
            },
            Whole {
                path: &two,
                bytes: b"second",
            },
        ];
        for last in 0..3 {
            let asked = Cell::new(0);
            let goes_on = || {
                asked.set(asked.get() + 1);
                match asked.get() > last {
                    true => Err(Problem::outside("interrupted", String::new(), None)),
                    false => Ok(()),
                }
            };
            let problem = write_whole(&files, true, &goes_on).unwrap_err();
            assert_eq!((problem.code, asked.get()), ("interrupted", last + 1));
            assert_eq!(names(folder.path()), ["a.csv"], "{last}");
            assert_eq!(fs::read(&one).unwrap(), b"kept");
        }
        write_whole(&files, true, &to_the_end).unwrap();
        assert_eq!(names(folder.path()), ["a.csv", "b.json"]);
    }

    #[test]
    fn a_record_a_folder_and_a_missing_folder_are_refused() {
        let folder = tempfile::tempdir().unwrap();
        let record = folder.path().join("2026-11-24-1.JSONL");
        fs::write(&record, "kept").unwrap();
        let nowhere = folder.path().join("none").join("a.csv");
        for (path, code) in [
            (record.as_path(), "is_a_record"),
            (folder.path(), "is_a_folder"),
            (nowhere.as_path(), "file_not_written"),
        ] {
            let problem =
                write_whole(&[Whole { path, bytes: b"x" }], true, &to_the_end).unwrap_err();
            assert_eq!(problem.code, code);
        }
        assert_eq!(fs::read(&record).unwrap(), b"kept");
        assert_eq!(names(folder.path()), ["2026-11-24-1.JSONL"]);
    }

    #[test]
    fn a_file_that_cannot_be_put_in_its_place_leaves_what_was_there() {
        let folder = tempfile::tempdir().unwrap();
        let one = folder.path().join("a.csv");
        fs::write(&one, "kept").unwrap();
        let nowhere = folder.path().join("none").join("b.json");
        let files = [
            Whole {
                path: &one,
                bytes: b"first",
            },
            Whole {
                path: &nowhere,
                bytes: b"second",
            },
        ];
        assert_eq!(
            write_whole(&files, true, &to_the_end).unwrap_err().code,
            "file_not_written"
        );
        assert_eq!(fs::read(&one).unwrap(), b"kept");
        assert_eq!(names(folder.path()), ["a.csv"]);
    }
}
