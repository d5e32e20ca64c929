//! Which journals there are, and which of them make one session.

use std::collections::{BTreeMap, BTreeSet};

use super::Known;
use super::entry::{Entry, Stamp};
use super::gather;
use crate::journal::{FileStart, Part, SessionFiles, StorageFolder, sessions};
use crate::session::record_folders::RecordFolders;
use crate::session::workspace::WorkspaceError;
use crate::session::workspace_files::journal_stamps;

/// The journals of the workspace.
pub(super) struct Found {
    /// How each begins.
    pub(super) starts: Vec<(Stamp, FileStart)>,
    /// Those that were opened for it, because nothing was known of them as they are.
    pub(super) opened: Vec<Stamp>,
    /// Those that cannot be opened.
    pub(super) unreadable: Vec<Entry>,
    /// The sessions that they make.
    pub(super) sessions: Vec<ToRead>,
    /// The names of those in which nothing was ever recorded.
    pub(super) left_out: Vec<String>,
}

/// A session whose entry is wanted.
pub(super) struct ToRead {
    pub(super) files: SessionFiles,
    /// Of each of its files.
    pub(super) stamps: Vec<Stamp>,
}

impl ToRead {
    /// What is known of it, if its files are as they were then.
    pub(super) fn known(&self, known: &mut Known) -> Option<Entry> {
        let newest = self.files.parts.last()?;
        let entry = known.entries.remove(&newest.name)?;
        let absent = self.files.absent.as_ref().map(|origin| &origin.file);
        let is_same = entry.absent.as_ref() == absent
            && entry.files.len() == self.stamps.len()
            && entry
                .files
                .iter()
                .zip(self.stamps.iter().zip(&self.files.parts))
                .all(|(file, (stamp, part))| file.stamp == *stamp && file.until == part.until);
        known.is_stale |= !is_same;
        is_same.then_some(entry)
    }

    /// When its newest file was written to.
    pub(super) fn modified_ns(&self) -> i64 {
        let modified = self.stamps.iter().map(|stamp| stamp.modified_ns);
        modified.max().unwrap_or(i64::MIN)
    }
}

/// Looks through the folders; a file that is known as it is now is not opened.
///
/// # Errors
/// The folder of sessions cannot be listed.
pub(super) fn found(folders: &RecordFolders, known: &mut Known) -> Result<Found, WorkspaceError> {
    let own = journal_stamps(folders.own(), false)?;
    let own_names: BTreeSet<String> = own.iter().map(|stamp| stamp.name.clone()).collect();
    let mut stamps: BTreeMap<String, Stamp> = BTreeMap::new();
    for other in folders.others() {
        // A folder that is not there, or cannot be listed, holds none of this.
        for stamp in journal_stamps(other, true).unwrap_or_default() {
            stamps.entry(stamp.name.clone()).or_insert(stamp);
        }
    }
    stamps.extend(own.into_iter().map(|stamp| (stamp.name.clone(), stamp)));
    let mut unreadable = Vec::new();
    let mut opened = Vec::new();
    let mut starts: BTreeMap<String, FileStart> = BTreeMap::new();
    for (name, stamp) in &stamps {
        if let Some(start) = known_start(known, stamp) {
            starts.insert(name.clone(), start);
            continue;
        }
        let source = folders.open_read(name);
        match source.and_then(|source| FileStart::read(name, source)) {
            Ok(start) => {
                starts.insert(name.clone(), start);
                opened.push(stamp.clone());
            }
            // What lies elsewhere may be another's.
            Err(_) if stamp.is_elsewhere => {}
            Err(error) => {
                let why = format!("{name} could not be read: {error}.");
                unreadable.push(gather::unreadable(stamp.clone(), why));
            }
        }
    }
    let (to_read, left_out) = sessions_among(&starts, &stamps, &own_names);
    let starts = starts.into_iter();
    let starts = starts.filter_map(|(name, start)| Some((stamps.get(&name)?.clone(), start)));
    Ok(Found {
        starts: starts.collect(),
        opened,
        unreadable,
        sessions: to_read,
        left_out,
    })
}

/// How a file begins, if that is known of it as it is now.
fn known_start(known: &mut Known, stamp: &Stamp) -> Option<FileStart> {
    let key = (stamp.is_elsewhere, stamp.name.clone());
    let (known_stamp, start) = known.files.remove(&key)?;
    let is_same = known_stamp == *stamp;
    known.is_stale |= !is_same;
    is_same.then_some(start)
}

/// The workspace's sessions, and the files that hold nothing.
fn sessions_among(
    starts: &BTreeMap<String, FileStart>,
    stamps: &BTreeMap<String, Stamp>,
    own_names: &BTreeSet<String>,
) -> (Vec<ToRead>, Vec<String>) {
    let all: Vec<FileStart> = starts.values().cloned().collect();
    let mut left_out = Vec::new();
    let mut wanted = Vec::new();
    let holds = |part: &Part| starts.get(&part.name).is_some_and(|one| one.holds_events);
    for files in sessions(&all) {
        // What another workspace left where recording goes on elsewhere is not ours.
        if !files
            .parts
            .iter()
            .any(|part| own_names.contains(&part.name))
        {
            continue;
        }
        if !files.parts.iter().any(holds) {
            left_out.extend(files.parts.into_iter().map(|part| part.name));
            continue;
        }
        let parts = files.parts.iter();
        let stamps = parts.filter_map(|part| stamps.get(&part.name).cloned());
        wanted.push(ToRead {
            stamps: stamps.collect(),
            files,
        });
    }
    (wanted, left_out)
}
