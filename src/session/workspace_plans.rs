//! Plan files on the disk: read whole, replaced whole or not at all and never over what somebody
//! else wrote meanwhile, kept beside each other under names that say so, and watched.

use std::fs::{self, Metadata, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use super::workspace::{Workspace, WorkspaceError};

/// Largest plan file (chosen: a thousand times a large one).
const PLAN_BYTES_MAX: u64 = 16 * 1024 * 1024;
/// What else lies in a workspace as TOML.
const OTHER_FILES: [&str; 2] = ["gauges.toml", "window.toml"];
/// Most files of one name beside a plan (chosen).
const BESIDE_MAX: u32 = 1_000;
/// So often a watched file is looked at (chosen: sooner than a person comes back from an editor).
const LOOK_MS: u64 = 500;

/// Why a plan file was not replaced.
#[derive(Debug)]
pub enum PlanWriteError {
    /// It says something else by now: this.
    Overtaken(String),
    /// It is not there any more.
    Gone,
    /// The system refused.
    Failed(WorkspaceError),
}

/// The TOML files of a workspace that may be plans, in its folder and in `plans`; and what could
/// not be listed, a sentence each. What is hidden is none of them.
pub fn plan_files(root: &Path) -> (Vec<PathBuf>, Vec<String>) {
    let (mut paths, mut faults) = (Vec::new(), Vec::new());
    for folder in [root.to_path_buf(), root.join("plans")] {
        match toml_files(&folder) {
            Ok(found) => paths.extend(found),
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => {
                let folder = folder.display();
                faults.push(format!("“{folder}” could not be listed: {error}."));
            }
        }
    }
    (paths, faults)
}

fn toml_files(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let is_other = OTHER_FILES.contains(&&*name) || name.starts_with('.');
        if !is_other && path.extension().is_some_and(|end| end == "toml") {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

/// The whole text of a plan file, every byte of it.
///
/// # Errors
/// What kept it from being read; text that is not UTF-8 and files beyond the bound too.
pub fn read_plan(path: &Path) -> Result<String, WorkspaceError> {
    let failed = |cause| failed(path, "read", cause);
    let file = fs::File::open(path).map_err(failed)?;
    if file.metadata().map_err(failed)?.len() > PLAN_BYTES_MAX {
        return Err(failed(io::Error::from(io::ErrorKind::FileTooLarge)));
    }
    let mut bytes = Vec::new();
    let mut source = file.take(PLAN_BYTES_MAX);
    source.read_to_end(&mut bytes).map_err(failed)?;
    let text = String::from_utf8(bytes);
    text.map_err(|_| failed(io::Error::from(io::ErrorKind::InvalidData)))
}

/// Puts a new text in the place of a plan's, whole or not at all: it is written beside the old one
/// and takes its name when it is on the disk. `before` is the text that the change began from.
///
/// # Errors
/// The file says something else by now, is gone, or cannot be written; it is as it was then.
pub fn replace_plan(path: &Path, before: &str, text: &str) -> Result<(), PlanWriteError> {
    let refused = |cause| PlanWriteError::Failed(failed(path, "written", cause));
    unchanged(path, before)?;
    // Where the name is a link, the file that it leads to.
    let target = fs::canonicalize(path).map_err(refused)?;
    let permissions = fs::metadata(&target).map_err(refused)?.permissions();
    if permissions.readonly() {
        let cause = io::Error::new(io::ErrorKind::PermissionDenied, "it may not be written");
        return Err(refused(cause));
    }
    let fresh = unfinished_name(&target);
    let written = write_new(&fresh, text).and_then(|()| fs::set_permissions(&fresh, permissions));
    // It may have been changed while this one was written.
    let result = written
        .map_err(refused)
        .and_then(|()| unchanged(path, before))
        .and_then(|()| fs::rename(&fresh, &target).map_err(refused));
    match result {
        Ok(()) => target.parent().into_iter().for_each(sync_folder),
        // The old file is whole; what is left of the new one is of no use.
        Err(_) => drop(fs::remove_file(&fresh)),
    }
    result
}

fn unchanged(path: &Path, before: &str) -> Result<(), PlanWriteError> {
    match read_plan(path) {
        Ok(now) if now == before => Ok(()),
        Ok(now) => Err(PlanWriteError::Overtaken(now)),
        Err(error) if error.cause.kind() == io::ErrorKind::NotFound => Err(PlanWriteError::Gone),
        Err(error) => Err(PlanWriteError::Failed(error)),
    }
}

/// Writes a plan file that is not there yet, whole or not at all; its folder is made.
///
/// # Errors
/// What kept it from being written, a file of that name too.
pub fn new_plan(path: &Path, text: &str) -> Result<(), WorkspaceError> {
    let failed = |cause| failed(path, "written", cause);
    if let Some(folder) = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
    {
        fs::create_dir_all(folder).map_err(failed)?;
    }
    if path.symlink_metadata().is_ok() {
        return Err(failed(io::Error::from(io::ErrorKind::AlreadyExists)));
    }
    let fresh = unfinished_name(path);
    // A second name for it is refused where there is one, so nothing is ever replaced.
    let written = write_new(&fresh, text).and_then(|()| match fs::hard_link(&fresh, path) {
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Err(error),
        Err(_) => write_new(path, text),
        Ok(()) => Ok(()),
    });
    drop(fs::remove_file(&fresh));
    path.parent().into_iter().for_each(sync_folder);
    written.map_err(failed)
}

/// Writes a text beside a plan, as `shaft.mine.toml`, or with the first number that is free; for a
/// plan without a file, into `folder`. Answers where.
///
/// # Errors
/// What kept it from being written.
pub fn plan_beside(
    path: Option<&Path>,
    folder: &Path,
    word: &str,
    text: &str,
) -> Result<PathBuf, WorkspaceError> {
    let path = path.map_or_else(|| folder.join("plan.toml"), Path::to_path_buf);
    let stem = path
        .file_stem()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned();
    let mut last = None;
    for number in 1..=BESIDE_MAX {
        let name = match number {
            1 => format!("{stem}.{word}.toml"),
            number => format!("{stem}.{word}-{number}.toml"),
        };
        let beside = path.with_file_name(name);
        match new_plan(&beside, text) {
            Ok(()) => return Ok(beside),
            Err(error) if error.cause.kind() == io::ErrorKind::AlreadyExists => last = Some(error),
            Err(error) => return Err(error),
        }
    }
    let taken = || io::Error::from(io::ErrorKind::AlreadyExists);
    Err(last.unwrap_or_else(|| failed(&path, "written", taken())))
}

fn failed(path: &Path, action: &'static str, cause: io::Error) -> WorkspaceError {
    WorkspaceError {
        path: path.to_path_buf(),
        action,
        cause,
    }
}

/// Another name for each program and each time, so that no two write the same file.
fn unfinished_name(path: &Path) -> PathBuf {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    path.with_file_name(format!(".plan.{}-{count}.new", std::process::id()))
}

fn write_new(path: &Path, text: &str) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
    let written = file
        .write_all(text.as_bytes())
        .and_then(|()| file.sync_all());
    if written.is_err() {
        drop(fs::remove_file(path));
    }
    written
}

/// A folder cannot be flushed everywhere; the file itself is on the disk.
fn sync_folder(folder: &Path) {
    let folder = fs::File::open(folder);
    folder
        .into_iter()
        .for_each(|folder| drop(folder.sync_all()));
}

/// What a plan file says, looked at again and again until this is dropped.
#[derive(Debug)]
pub struct PlanWatch(Arc<Mutex<Option<String>>>);

impl PlanWatch {
    /// Watches a file; `changed` is called when it says something that was not seen before. Files
    /// that only got a new time are not news.
    ///
    /// # Errors
    /// There is no thread for it.
    pub fn start(
        path: PathBuf,
        known: String,
        changed: impl Fn() + Send + 'static,
    ) -> io::Result<Self> {
        let mut known = known;
        let at = path.clone();
        // A file that is gone, or just being written, is told when it is saved.
        let read = move || {
            let text = read_plan(&at).ok().filter(|text| *text != known)?;
            known.clone_from(&text);
            Some(text)
        };
        watched("plan file", path, read, changed).map(Self)
    }

    /// What it says now, once since it was last asked.
    pub fn news(&self) -> Option<String> {
        taken(&self.0)
    }
}

/// What the gauge register's file says.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum GaugesSaid {
    /// This text, whatever it is worth.
    Text(String),
    /// Nothing: there is no such file.
    #[default]
    NotThere,
    /// It is there and cannot be read: why, in a sentence.
    Unreadable(String),
}

impl GaugesSaid {
    /// What it says in a workspace now.
    pub fn now(workspace: &Workspace) -> Self {
        match workspace.gauges() {
            Ok(Some((_, text))) => Self::Text(text),
            Ok(None) => Self::NotThere,
            Err(error) => Self::Unreadable(error.to_string()),
        }
    }
}

/// The gauge register's file, looked at again and again until this is dropped.
#[derive(Debug)]
pub struct GaugesWatch(Arc<Mutex<Option<GaugesSaid>>>);

impl GaugesWatch {
    /// Watches that of a workspace, which says this now; `changed` is called when it says something
    /// else, is gone, or cannot be read.
    ///
    /// # Errors
    /// There is no thread for it.
    pub fn start(
        workspace: Workspace,
        known: GaugesSaid,
        changed: impl Fn() + Send + 'static,
    ) -> io::Result<Self> {
        let mut known = known;
        let path = workspace.gauges_path();
        let read = move || {
            let now = GaugesSaid::now(&workspace);
            (now != known).then(|| {
                known.clone_from(&now);
                now
            })
        };
        watched("gauge register", path, read, changed).map(Self)
    }

    /// What it says now, once since it was last asked.
    pub fn news(&self) -> Option<GaugesSaid> {
        taken(&self.0)
    }
}

/// Reads a file on a thread of its own whenever its status on the disk is another one, and keeps
/// what is news of it, until nobody holds that any more.
fn watched<T: Send + 'static>(
    name: &str,
    path: PathBuf,
    mut read: impl FnMut() -> Option<T> + Send + 'static,
    changed: impl Fn() + Send + 'static,
) -> io::Result<Arc<Mutex<Option<T>>>> {
    let seen = Arc::new(Mutex::new(None));
    let shared = Arc::clone(&seen);
    let work = move || {
        let mut stamp = None;
        let mut is_missed = false;
        while Arc::strong_count(&shared) > 1 {
            let now = fs::metadata(&path).ok().map(|status| stamp_of(&status));
            // Who saves a file may take its name away for a moment.
            let is_settled = now.is_some() || is_missed;
            is_missed = now.is_none();
            if is_settled && stamp.as_ref() != Some(&now) {
                stamp = Some(now);
                if let Some(news) = read() {
                    *shared.lock().unwrap_or_else(PoisonError::into_inner) = Some(news);
                    changed();
                }
            }
            std::thread::sleep(Duration::from_millis(LOOK_MS));
        }
    };
    let thread = std::thread::Builder::new().name(name.to_owned());
    thread.spawn(work)?;
    Ok(seen)
}

fn taken<T>(seen: &Mutex<Option<T>>) -> Option<T> {
    seen.lock().unwrap_or_else(PoisonError::into_inner).take()
}

/// What changes with every write.
type FileStamp = (u64, Option<std::time::SystemTime>, Option<(i64, u64)>);

fn stamp_of(status: &Metadata) -> FileStamp {
    (status.len(), status.modified().ok(), beyond(status))
}

#[cfg(unix)]
fn beyond(status: &Metadata) -> Option<(i64, u64)> {
    use std::os::unix::fs::MetadataExt;
    let seconds = status.ctime().saturating_mul(1_000_000_000);
    Some((seconds.saturating_add(status.ctime_nsec()), status.ino()))
}

#[cfg(not(unix))]
fn beyond(_status: &Metadata) -> Option<(i64, u64)> {
    None
}
