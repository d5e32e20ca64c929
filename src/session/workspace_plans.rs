//! Plan files on the disk: read whole, replaced whole or not at all and never over what somebody
//! else wrote meanwhile, kept beside each other under names that say so, and watched.

use std::fs::{self, Metadata};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use super::plain_files::{Replacement, change_and_inode, entries, read_text_within, write_fresh};
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
    for entry in entries(folder)? {
        let path = entry.path();
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
    let text = read_text_within(path, PLAN_BYTES_MAX);
    text.map_err(|cause| WorkspaceError::new(path, "read", cause))
}

/// Puts a new text in the place of a plan's, whole or not at all: it is written beside the old one
/// and takes its name when it is on the disk. `before` is the text that the change began from.
///
/// # Errors
/// The file says something else by now, is gone, or cannot be written; it is as it was then.
pub fn replace_plan(path: &Path, before: &str, text: &str) -> Result<(), PlanWriteError> {
    let refused = |cause| PlanWriteError::Failed(WorkspaceError::new(path, "written", cause));
    unchanged(path, before)?;
    let fresh = Replacement::write(path, text.as_bytes()).map_err(refused)?;
    // It may have been changed while this one was written.
    unchanged(path, before)?;
    fresh.put_in_place().map_err(refused)
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
    let failed = |cause| WorkspaceError::new(path, "written", cause);
    if let Some(folder) = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
    {
        fs::create_dir_all(folder).map_err(failed)?;
    }
    write_fresh(path, text.as_bytes()).map_err(failed)
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
    Err(last.unwrap_or_else(|| WorkspaceError::new(&path, "written", taken())))
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
type FileStamp = (u64, Option<std::time::SystemTime>, (i64, u64));

fn stamp_of(status: &Metadata) -> FileStamp {
    let modified = status.modified().ok();
    (status.len(), modified, change_and_inode(status))
}
