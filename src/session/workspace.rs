//! The folder of plain files that the program works in: plans, gauges, adapters, house tables,
//! and the sessions' journals. This is where they are found and read; what they mean is known
//! elsewhere.

use std::fs;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

use etcetera::AppStrategy;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};

use super::plain_files::{Replacement, entries, read_text_within, write_fresh};
use crate::gauge::Date;
use crate::journal::{DiskFolder, StorageFolder};
use crate::material::MATERIALS_FILE;

/// The environment variable that names the workspace.
pub(super) const WORKSPACE_VARIABLE: &str = "FITLEDGER_WORKSPACE";

/// Largest text file that is read whole (chosen: a thousand times a large plan).
const TEXT_BYTES_MAX: u64 = 16 * 1024 * 1024;

/// Most reports of one name (chosen).
const REPORTS_MAX: u32 = 10_000;

/// Longest part of a journal's name that is made from the plan's name, in bytes.
const SLUG_BYTES_MAX: usize = 40;

/// The workspace folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Workspace {
    root: PathBuf,
}

/// Why a file or folder of the workspace cannot be used.
#[derive(Debug)]
pub struct WorkspaceError {
    /// Which file or folder.
    pub path: PathBuf,
    /// What was to be done with it.
    pub action: &'static str,
    /// What the system answered.
    pub cause: io::Error,
}

impl WorkspaceError {
    /// What the system answered when a file was to be read, written or listed.
    pub(super) fn new(path: &Path, action: &'static str, cause: io::Error) -> Self {
        Self {
            path: path.to_path_buf(),
            action,
            cause,
        }
    }

    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self.cause.kind() {
            io::ErrorKind::NotFound => "file_not_found",
            io::ErrorKind::PermissionDenied => "file_not_permitted",
            io::ErrorKind::AlreadyExists => "file_exists",
            io::ErrorKind::InvalidData => "file_not_text",
            io::ErrorKind::FileTooLarge => "file_too_large",
            _ => "file_unusable",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> &'static str {
        match self.cause.kind() {
            io::ErrorKind::NotFound => "Check the name and the folder.",
            io::ErrorKind::PermissionDenied => "Check who may read and write it.",
            io::ErrorKind::AlreadyExists => "Choose another name, or say --replace.",
            io::ErrorKind::InvalidData => "Save it as UTF-8 text.",
            io::ErrorKind::FileTooLarge => "Check that it is the right file.",
            _ => "Check the disk and the folder, or give another one with --workspace.",
        }
    }
}

impl std::fmt::Display for WorkspaceError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let path = self.path.display();
        write!(f, "“{path}” could not be {}: {}.", self.action, self.cause)
    }
}

impl std::error::Error for WorkspaceError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        Some(&self.cause)
    }
}

impl Workspace {
    /// The workspace: the folder asked for, else the one that the environment names, else the
    /// current folder if it holds a `sessions` folder, else the platform's data folder.
    pub fn locate(asked: Option<&Path>) -> Self {
        let named = std::env::var_os(WORKSPACE_VARIABLE).filter(|value| !value.is_empty());
        if let Some(root) = asked
            .map(Path::to_path_buf)
            .or_else(|| named.map(PathBuf::from))
        {
            return Self { root };
        }
        let here = PathBuf::from(".");
        if here.join("sessions").is_dir() {
            return Self { root: here };
        }
        let strategy = etcetera::choose_app_strategy(etcetera::AppStrategyArgs {
            top_level_domain: "org".to_owned(),
            author: "Fitledger".to_owned(),
            app_name: "fitledger".to_owned(),
        });
        Self {
            root: strategy.map_or(here, |strategy| strategy.data_dir()),
        }
    }

    /// The folder itself.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// Where journals are.
    pub fn sessions_path(&self) -> PathBuf {
        self.root.join("sessions")
    }

    /// The folder of journals, made if it is not there.
    ///
    /// # Errors
    /// What kept the folder from being made.
    pub fn sessions(&self) -> Result<DiskFolder, WorkspaceError> {
        let path = self.sessions_path();
        match fs::create_dir_all(&path) {
            Ok(()) => Ok(DiskFolder::new(path)),
            Err(cause) => Err(WorkspaceError::new(&path, "made", cause)),
        }
    }

    /// Where the gauge register is, or would be.
    pub fn gauges_path(&self) -> PathBuf {
        self.root.join("gauges.toml")
    }

    /// The gauge register's text; `None` when there is no `gauges.toml`.
    ///
    /// # Errors
    /// What kept the file from being read, other than its absence.
    pub fn gauges(&self) -> Result<Option<(String, String)>, WorkspaceError> {
        let path = self.gauges_path();
        match read_text(&path) {
            Ok(text) => Ok(Some((path.display().to_string(), text))),
            Err(error) if error.cause.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// Puts a new text in the place of the gauge register's, whole or not at all: it is written
    /// beside the old one and takes its name when it is on the disk. Answers the file's path.
    ///
    /// `before` is the text that the change began from; a file that says something else by now is
    /// left alone.
    ///
    /// # Errors
    /// What kept it from being written.
    pub fn replace_gauges(&self, before: &str, text: &str) -> Result<PathBuf, WorkspaceError> {
        let path = self.gauges_path();
        let failed = |cause| WorkspaceError::new(&path, "written", cause);
        if read_text(&path)? != before {
            return Err(failed(io::Error::other("it was changed meanwhile")));
        }
        let fresh = Replacement::write(&path, text.as_bytes()).map_err(failed)?;
        fresh.put_in_place().map_err(failed)?;
        Ok(path)
    }

    /// The text of an adapter file: the path as given, or a file of that name in `adapters/`.
    ///
    /// # Errors
    /// What kept it from being read.
    pub fn adapter(&self, file: &str) -> Result<String, WorkspaceError> {
        let given = Path::new(file);
        if given.exists() {
            return read_text(given);
        }
        let kept = self.root.join("adapters").join(format!("{file}.toml"));
        if kept.exists() {
            read_text(&kept)
        } else {
            read_text(given)
        }
    }

    /// Writes an adapter's file, whole or not at all: the path as given, or `adapters/NAME.toml`.
    /// A file that is there is kept unless `replace` is set.
    ///
    /// # Errors
    /// What kept it from being written, a file of that name too.
    pub fn keep_adapter(
        &self,
        name: &str,
        path: Option<&Path>,
        text: &str,
        replace: bool,
    ) -> Result<PathBuf, WorkspaceError> {
        let folder = self.root.join("adapters");
        let path = match path {
            Some(path) => path.to_path_buf(),
            None => folder.join(format!("{name}.toml")),
        };
        let failed = |cause| WorkspaceError::new(&path, "written", cause);
        if path.starts_with(&folder) {
            fs::create_dir_all(&folder).map_err(failed)?;
        }
        if replace && path.exists() {
            let fresh = Replacement::write(&path, text.as_bytes()).map_err(failed)?;
            fresh.put_in_place().map_err(failed)?;
        } else {
            write_fresh(&path, text.as_bytes()).map_err(failed)?;
        }
        Ok(path)
    }

    /// Writes files into the folder `reports`, all of them or none. Nothing is ever replaced:
    /// where one of the names is taken, all of them get the first free number. `named` gives the
    /// names for a number, 1 standing for none; `made` their bytes. Answers the first one's path.
    ///
    /// # Errors
    /// What kept them from being written; nothing is left of them then.
    pub fn keep_reports(
        &self,
        named: impl Fn(u32) -> Vec<String>,
        made: impl FnOnce(&[String]) -> Vec<Vec<u8>>,
    ) -> Result<PathBuf, WorkspaceError> {
        let folder = self.root.join("reports");
        let failed = |path: &Path, cause| WorkspaceError::new(path, "written", cause);
        fs::create_dir_all(&folder).map_err(|cause| failed(&folder, cause))?;
        let is_taken = |name: &String| folder.join(name).symlink_metadata().is_ok();
        let mut names = (1..=REPORTS_MAX).map(named);
        let names = names.find(|names| !names.iter().any(is_taken));
        let names = names.unwrap_or_default();
        let mut written: Vec<PathBuf> = Vec::new();
        for (name, bytes) in names.iter().zip(made(&names)) {
            let path = folder.join(name);
            if let Err(cause) = write_fresh(&path, &bytes) {
                written.iter().for_each(|path| drop(fs::remove_file(path)));
                return Err(failed(&path, cause));
            }
            written.push(path);
        }
        let taken = || io::Error::from(io::ErrorKind::AlreadyExists);
        let first = written.into_iter().next();
        first.ok_or_else(|| failed(&folder, taken()))
    }

    /// What the house adds to the program's tables: name and text of each CSV file of the folder
    /// `tolerances`, sorted by name, and of [`MATERIALS_FILE`] where there is one.
    ///
    /// # Errors
    /// What kept one of them from being read.
    pub fn house_tables(&self) -> Result<Vec<(String, String)>, WorkspaceError> {
        let folder = self.root.join("tolerances");
        let mut tables = Vec::new();
        for path in csv_files(&folder)? {
            let name = path
                .file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned();
            tables.push((name, read_text(&path)?));
        }
        let materials = self.root.join(MATERIALS_FILE);
        if materials.symlink_metadata().is_ok() {
            tables.push((MATERIALS_FILE.to_owned(), read_text(&materials)?));
        }
        Ok(tables)
    }
}

/// The CSV files of a folder, sorted; none when there is no such folder.
fn csv_files(folder: &Path) -> Result<Vec<PathBuf>, WorkspaceError> {
    let entries = entries(folder).map_err(|cause| WorkspaceError::new(folder, "listed", cause))?;
    let paths = entries.into_iter().map(|entry| entry.path());
    let mut found: Vec<PathBuf> = paths
        .filter(|path| path.extension().is_some_and(|end| end == "csv"))
        .collect();
    found.sort();
    Ok(found)
}

/// A whole text file, bounded.
///
/// # Errors
/// What kept it from being read; text that is not UTF-8 and files beyond the bound too.
pub fn read_text(path: &Path) -> Result<String, WorkspaceError> {
    let text = read_text_within(path, TEXT_BYTES_MAX);
    let text = text.map_err(|cause| WorkspaceError::new(path, "read", cause))?;
    Ok(text.strip_prefix('\u{feff}').unwrap_or(&text).to_owned())
}

/// Where a session goes on when its own folder fails.
pub fn rescue_folder() -> DiskFolder {
    DiskFolder::new(std::env::temp_dir().join("fitledger-sessions"))
}

/// Makes a folder for journals. If it cannot be made, whoever writes there is told so.
pub(super) fn make_folder(folder: &DiskFolder) {
    drop(fs::create_dir_all(folder.path()));
}

/// Whether there is anything of that name.
pub(super) fn is_there(folder: &DiskFolder, name: &str) -> bool {
    folder.path().join(name).exists()
}

/// The journals of a folder, the one written last first, at most so many.
///
/// # Errors
/// What kept the folder from being listed, other than its absence.
pub(super) fn newest_journals(
    folder: &DiskFolder,
    most: usize,
) -> Result<Vec<String>, WorkspaceError> {
    let failed = |cause| WorkspaceError::new(folder.path(), "listed", cause);
    let mut found = Vec::new();
    for entry in entries(folder.path()).map_err(failed)? {
        let written = entry.metadata().and_then(|status| status.modified()).ok();
        match entry.file_name().into_string() {
            Ok(name) if name.ends_with(".jsonl") => found.push((written, name)),
            _ => {}
        }
    }
    found.sort_by(|one, two| two.cmp(one));
    found.truncate(most);
    Ok(found.into_iter().map(|(_, name)| name).collect())
}

/// The last bytes of a file, so many at most.
///
/// # Errors
/// What kept it from being read; anything but a plain file too.
pub(super) fn file_end(folder: &DiskFolder, name: &str, most: usize) -> io::Result<Vec<u8>> {
    let mut source = folder.open_read(name)?;
    let length = source.seek(SeekFrom::End(0))?;
    let from = length.saturating_sub(most as u64);
    source.seek(SeekFrom::Start(from))?;
    let mut end = Vec::new();
    source.take(most as u64).read_to_end(&mut end)?;
    Ok(end)
}

/// How long a file is, in bytes.
pub(super) fn file_length(folder: &DiskFolder, name: &str) -> Option<u64> {
    let status = fs::metadata(folder.path().join(name)).ok()?;
    Some(status.len())
}

/// A moment as local date and time, to the minute.
pub(super) fn local_text(moment: Timestamp) -> String {
    let local = moment.to_zoned_datetime(TimeZone::system());
    local.strftime("%Y-%m-%d %H:%M").to_string()
}

/// The local date and time.
pub(super) fn local_now() -> ZonedDateTime {
    ZonedDateTime::now()
}

/// The moment.
pub(super) fn now() -> jiff::Timestamp {
    jiff::Timestamp::now()
}

/// The local date; none when the system's clock is far off.
pub fn today() -> Option<Date> {
    let now = local_now();
    let number = |number: i8| u8::try_from(number).ok();
    let year = u16::try_from(now.year()).ok()?;
    Date::new(year, number(now.month())?, number(now.day())?)
}

/// A new journal's name: local date and time, and what is measured, in safe characters only.
/// `attempt` tells names of the same second apart.
pub(super) fn journal_name(start: &ZonedDateTime, what: &str, attempt: u32) -> String {
    let stamp = start.strftime("%Y-%m-%d-%H%M%S");
    let slug = slug(what);
    match attempt {
        0 => format!("{stamp}-{slug}.jsonl"),
        n => format!("{stamp}-{slug}-{}.jsonl", n + 1),
    }
}

/// Letters, digits and single hyphens; no separator, no dot, no reserved name.
fn slug(what: &str) -> String {
    let mut slug = String::new();
    for c in what.chars() {
        if c.is_ascii_alphanumeric() {
            slug.push(c.to_ascii_lowercase());
        } else if !slug.ends_with('-') && !slug.is_empty() {
            slug.push('-');
        }
        if slug.len() >= SLUG_BYTES_MAX {
            break;
        }
    }
    let trimmed = slug.trim_end_matches('-');
    if trimmed.is_empty() {
        "session".to_owned()
    } else {
        trimmed.to_owned()
    }
}
