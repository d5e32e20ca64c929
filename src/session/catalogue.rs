//! What is in the sessions of a workspace, so that thousands of them are found at once.
//!
//! It is gathered from the journals and kept in an index, which is a cache and nothing more: of a
//! session whose files are not exactly as they were (name, length, times, number on the disk) the
//! journal is read again, and of an index that is gone, torn, altered or of another version nothing
//! is believed. It says what is in the records for lists and for finding; who proves something
//! reads the journal itself (`verify`, reports, exports do).

mod entry;
mod files;
mod format;
mod gather;
mod question;

use std::cmp::Reverse;
use std::collections::HashMap;
use std::path::Path;

use jiff::Timestamp;

use super::doubtful::GaugeStory;
use super::opening::tables_digest;
use super::record_folders::RecordFolders;
use super::runner::at_once;
use super::workspace::{Workspace, WorkspaceError};
use super::workspace_files::{cache_bytes, keep_in_cache, now_ns};
use crate::journal::FileStart;
use crate::tolerance::Tables;
pub(crate) use entry::bench_offset;
pub use entry::{
    Entry, EntryCheck, EntryFile, EntryFinding, EntryPart, JournalState, Origins, RestsOn, Stamp,
};
use files::{Found, ToRead};
use question::Asked;
pub use question::Question;

/// The index's file in the cache folder.
const INDEX: &str = "records.index";
/// A longer index is not read (chosen: some hundred thousand sessions).
const INDEX_BYTES_MAX: u64 = 1024 * 1024 * 1024;
/// What changed so shortly before it was looked at may change again without a trace in the file
/// system's times (chosen: the coarsest of them count in two seconds). It is read anew each time.
const SETTLED_NS: i64 = 2_000_000_000;
/// Where not all is wanted, an index is written again for so many new sessions (chosen).
const WORTH_WRITING: usize = 20;

/// How far the reading of journals is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// Sessions read by now.
    pub done: usize,
    /// Sessions whose journals have to be read; those that the index tells of are not counted.
    pub of: usize,
}

/// The sessions of a workspace.
#[derive(Debug)]
pub struct Catalogue {
    folders: RecordFolders,
    entries: Vec<Entry>,
    story: GaugeStory,
    starts: Vec<(Stamp, FileStart)>,
    looked_at_ns: i64,
    read: usize,
    missing: usize,
    left_out: Vec<String>,
    unwritten: Option<String>,
}

/// What is known before the journals are read.
#[derive(Debug, Default)]
pub(super) struct Known {
    files: HashMap<(bool, String), (Stamp, FileStart)>,
    entries: HashMap<String, Entry>,
    /// Something in it is not so any more.
    is_stale: bool,
}

/// What of a catalogue is wanted.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Wanted {
    /// Everything, and what is in doubt.
    All,
    /// Only what is known and what can be read in short time.
    Soon,
}

impl Known {
    fn add_file(&mut self, file: Option<(Stamp, FileStart)>) {
        let Some((stamp, start)) = file else { return };
        let key = (stamp.is_elsewhere, stamp.name.clone());
        self.files.insert(key, (stamp, start));
    }

    fn add_entry(&mut self, entry: Option<Entry>) {
        let Some(entry) = entry else { return };
        self.entries.insert(entry.journal().to_owned(), entry);
    }
}

impl Catalogue {
    /// The workspace's sessions: what the index tells, and the journals of what it does not.
    /// `told` hears how far it is and says whether to go on; if not, the rest is missing
    /// ([`Catalogue::missing`]), and what was read is kept for the next time.
    ///
    /// # Errors
    /// The folder of sessions cannot be listed. A file that cannot be read is no error: it is an
    /// entry that says so.
    pub fn open(
        workspace: &Workspace,
        told: impl FnMut(Progress) -> bool,
    ) -> Result<Self, WorkspaceError> {
        Self::of_folders(&RecordFolders::of_workspace(workspace), told)
    }

    /// As [`Catalogue::open`], without a look at the index; a new one is written.
    ///
    /// # Errors
    /// As there.
    pub fn open_anew(
        workspace: &Workspace,
        told: impl FnMut(Progress) -> bool,
    ) -> Result<Self, WorkspaceError> {
        let folders = RecordFolders::of_workspace(workspace);
        let known = Known {
            is_stale: true,
            ..Known::default()
        };
        Self::build(&folders, known, Wanted::All, now_ns(), told)
    }

    /// As [`Catalogue::open`], looked at in that moment: files that changed two seconds before it
    /// or later are read anew the next time.
    ///
    /// # Errors
    /// As there.
    pub fn open_at(
        workspace: &Workspace,
        moment: Timestamp,
        told: impl FnMut(Progress) -> bool,
    ) -> Result<Self, WorkspaceError> {
        let folders = RecordFolders::of_workspace(workspace);
        let known = known_of(folders.root());
        let ns = i64::try_from(moment.as_nanosecond()).unwrap_or(i64::MAX);
        Self::build(&folders, known, Wanted::All, ns, told)
    }

    /// As [`Catalogue::open`], of those folders.
    pub(super) fn of_folders(
        folders: &RecordFolders,
        told: impl FnMut(Progress) -> bool,
    ) -> Result<Self, WorkspaceError> {
        let known = known_of(folders.root());
        Self::build(folders, known, Wanted::All, now_ns(), told)
    }

    /// What the index tells, and the newest `most` of the sessions that it does not.
    pub(super) fn soon(folders: &RecordFolders, most: usize) -> Result<Self, WorkspaceError> {
        let known = known_of(folders.root());
        let told = |progress: Progress| progress.done < most;
        Self::build(folders, known, Wanted::Soon, now_ns(), told)
    }

    /// Looks again: reads what is new or changed since.
    ///
    /// # Errors
    /// As [`Catalogue::open`]; everything is then as before.
    pub fn refresh(&mut self, told: impl FnMut(Progress) -> bool) -> Result<(), WorkspaceError> {
        let mut known = Known::default();
        let settled = |stamp: &Stamp| is_settled(stamp, self.looked_at_ns);
        let starts = self.starts.iter().filter(|(stamp, _)| settled(stamp));
        starts.for_each(|file| known.add_file(Some(file.clone())));
        let entries = self.kept_entries().cloned();
        entries.for_each(|entry| known.add_entry(Some(entry)));
        *self = Self::build(&self.folders, known, Wanted::All, now_ns(), told)?;
        Ok(())
    }

    /// Every session, the one used last first.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Those that a question asks for, in the same order.
    pub fn find(&self, question: &Question) -> Vec<&Entry> {
        let asked = Asked::new(question);
        let fits = |entry: &&Entry| asked.fits(entry);
        self.entries.iter().filter(fits).collect()
    }

    /// The gauges over time, and what is in doubt.
    pub fn story(&self) -> &GaugeStory {
        &self.story
    }

    /// The story alone.
    pub(super) fn into_story(self) -> GaugeStory {
        self.story
    }

    /// How many sessions were read from their journals and not told by the index.
    pub fn read(&self) -> usize {
        self.read
    }

    /// How many sessions are not among the entries because reading was stopped.
    pub fn missing(&self) -> usize {
        self.missing
    }

    /// Files in which nothing was ever recorded: empty ones, and continuations that hold nothing
    /// and whose first file is not there. They are no sessions.
    pub fn left_out(&self) -> &[String] {
        &self.left_out
    }

    /// Why the index could not be kept, in a sentence; nothing else suffers from it.
    pub fn unwritten(&self) -> Option<&str> {
        self.unwritten.as_deref()
    }

    fn build(
        folders: &RecordFolders,
        mut known: Known,
        wanted: Wanted,
        looked_at_ns: i64,
        mut told: impl FnMut(Progress) -> bool,
    ) -> Result<Self, WorkspaceError> {
        let Found {
            starts,
            opened,
            unreadable,
            sessions,
            left_out,
        } = files::found(folders, &mut known)?;
        let mut entries = unreadable;
        let mut to_read: Vec<ToRead> = Vec::new();
        for session in sessions {
            match session.known(&mut known) {
                Some(entry) => entries.push(entry),
                None => to_read.push(session),
            }
        }
        to_read.sort_by_key(|session| Reverse(session.modified_ns()));
        let of = to_read.len();
        let read = at_once(
            &to_read,
            |session| gather::entry_of(folders, &session.files, session.stamps.clone()),
            |done| told(Progress { done, of }),
        );
        let read: Vec<Entry> = read.into_iter().flatten().collect();
        let is_stale = known.is_stale
            || !known.entries.is_empty()
            || !known.files.is_empty()
            || opened.iter().any(|stamp| is_settled(stamp, looked_at_ns));
        let mut catalogue = Self {
            folders: folders.clone(),
            story: GaugeStory::default(),
            starts,
            looked_at_ns,
            read: read.len(),
            missing: of - read.len(),
            left_out,
            unwritten: None,
            entries,
        };
        let new = read.iter().filter(|entry| catalogue.keeps(entry)).count();
        catalogue.entries.extend(read);
        catalogue.entries.sort_by_cached_key(|entry| {
            (Reverse(used_ns(entry)), Reverse(entry.journal().to_owned()))
        });
        match wanted {
            Wanted::All => {
                catalogue.look_for_doubt();
                catalogue.keep_index(is_stale || new > 0);
            }
            Wanted::Soon => {
                catalogue.story = GaugeStory::of_checks(&catalogue.entries);
                catalogue.keep_index(new >= WORTH_WRITING);
            }
        }
        Ok(catalogue)
    }

    fn look_for_doubt(&mut self) {
        self.story = GaugeStory::of_entries(&self.folders, &self.entries);
        let mut in_doubt: HashMap<String, Vec<u32>> = HashMap::new();
        for (journal, part) in self.story.parts().into_keys() {
            in_doubt.entry(journal.to_owned()).or_default().push(part);
        }
        for entry in &mut self.entries {
            entry.in_doubt = in_doubt.remove(entry.journal()).unwrap_or_default();
        }
    }

    /// Whether an entry may be believed the next time.
    fn keeps(&self, entry: &Entry) -> bool {
        let mut files = entry.files.iter();
        entry.state != JournalState::Unreadable
            && files.all(|file| is_settled(&file.stamp, self.looked_at_ns))
    }

    fn kept_entries(&self) -> impl Iterator<Item = &Entry> {
        self.entries.iter().filter(|entry| self.keeps(entry))
    }

    fn keep_index(&mut self, is_changed: bool) {
        let Some(root) = self.folders.root().filter(|_| is_changed) else {
            return;
        };
        let settled = |stamp: &Stamp| is_settled(stamp, self.looked_at_ns);
        let starts = self.starts.iter().filter(|(stamp, _)| settled(stamp));
        let starts = starts.map(|(stamp, start)| (stamp, start));
        let written = format::written(&tables(), starts, self.kept_entries());
        let Some(bytes) = written else { return };
        let kept = keep_in_cache(root, INDEX, &bytes);
        self.unwritten = kept.err().map(|error| error.to_string());
    }
}

fn known_of(root: Option<&Path>) -> Known {
    let bytes = root.and_then(|root| cache_bytes(root, INDEX, INDEX_BYTES_MAX));
    bytes.map_or_else(Known::default, |bytes| format::read(&bytes, &tables()))
}

/// The program's own tolerance tables, which tell what is asked of a part.
fn tables() -> String {
    tables_digest(Tables::standard())
}

fn is_settled(stamp: &Stamp, looked_at_ns: i64) -> bool {
    let last = match stamp.changed_ns {
        0 => stamp.modified_ns,
        changed_ns => changed_ns,
    };
    last.saturating_add(SETTLED_NS) <= looked_at_ns
}

/// When a session was used last; the disk says it where the record does not.
fn used_ns(entry: &Entry) -> i128 {
    let on_disk = entry.files.last().map_or(0, |file| file.stamp.modified_ns);
    let last = entry.last.or(entry.opened);
    last.map_or(i128::from(on_disk), Timestamp::as_nanosecond)
}
