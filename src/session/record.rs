//! A session's record read whole: which files it lies in, what state they are in, and what was
//! measured. For lists and checks.

use std::collections::BTreeSet;
use std::io;

use super::opening::{OpeningError, session_tables, tables_digest};
use super::record_folders::RecordFolders;
use super::replay::{Check, Replayed, Retold, replay_with};
use super::view::PartState;
use crate::journal::{
    FileStart, Part, Report, SessionFiles, State as RecordState, StorageFolder, session_state,
    sessions,
};

/// A session read whole.
#[derive(Debug)]
pub struct SessionRecord {
    /// Its files, the oldest first.
    pub parts: Vec<Part>,
    /// What was found in each.
    pub reports: Vec<Report>,
    /// What they give.
    pub replayed: Replayed,
}

impl SessionRecord {
    /// Reads the files of a session.
    ///
    /// # Errors
    /// [`OpeningError::Read`]; damage is no error.
    pub fn read(
        folder: &RecordFolders,
        parts: Vec<Part>,
        check: Check,
    ) -> Result<Self, OpeningError> {
        Self::read_with(folder, parts, check, |_| {})
    }

    /// As [`SessionRecord::read`]; `told` hears of every sound event, in order.
    ///
    /// # Errors
    /// As there.
    pub fn read_with(
        folder: &RecordFolders,
        parts: Vec<Part>,
        check: Check,
        told: impl FnMut(&Retold<'_>),
    ) -> Result<Self, OpeningError> {
        let open = |part: &Part| folder.open_read(&part.name);
        let last = parts.last().map(|part| part.name.clone());
        let name = last.unwrap_or_default();
        let (reports, replayed) = replay_with(&parts, open, check, told)
            .map_err(|cause| OpeningError::Read { name, cause })?;
        Ok(Self {
            parts,
            reports,
            replayed,
        })
    }

    /// How sound it is.
    pub fn state(&self) -> RecordState {
        if self.replayed.faults.is_empty() {
            session_state(&self.reports)
        } else {
            RecordState::Damaged
        }
    }

    /// Whether the tolerance tables are others than when the session was opened.
    pub fn tables_differ(&self) -> bool {
        let Some(opened) = &self.replayed.opened else {
            return false;
        };
        let now = session_tables(opened).map(|tables| tables_digest(&tables));
        now.is_ok_and(|now| now != opened.tables)
    }

    /// How many parts there are, how many are GO, how many open.
    pub fn counts(&self) -> (usize, usize, usize) {
        let Some(state) = &self.replayed.state else {
            return (0, 0, 0);
        };
        let parts = state.parts();
        let count = |wanted| parts.iter().filter(|part| part.state() == wanted).count();
        (parts.len(), count(PartState::Go), count(PartState::Open))
    }

    /// The part and its drawing, or the callouts.
    pub fn part_name(&self) -> Option<String> {
        let part = &self.replayed.state.as_ref()?.setup().plan.part;
        let drawing = part
            .drawing
            .as_deref()
            .map_or_else(String::new, |d| format!(" {d}"));
        let opened = self.replayed.opened.as_ref()?;
        if opened.plan.is_none() && opened.callouts.is_empty() {
            let study = self.replayed.state.as_ref()?.study();
            return Some(match study {
                Some(study) => format!("study of {}", study.gauge()),
                None => "gauges".to_owned(),
            });
        }
        if opened.plan.is_none() {
            return Some(opened.callouts.join(", "));
        }
        Some(format!("{}{drawing}", part.name))
    }

    /// How many readings there are.
    pub fn readings(&self) -> usize {
        let state = self.replayed.state.as_ref();
        state.map_or(0, |state| state.readings().len())
    }
}

/// The sessions of the workspace, by their first file's name; those of `names` only, and of what
/// these continue.
///
/// # Errors
/// What the system answered.
pub fn sessions_of(folder: &RecordFolders, names: &[String]) -> io::Result<Vec<SessionFiles>> {
    let own = match folder.own_names() {
        Ok(names) => names,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(error),
    };
    let mut starts: Vec<FileStart> = Vec::new();
    let mut wanted: Vec<String> = names.to_vec();
    let mut seen = BTreeSet::new();
    while let Some(name) = wanted.pop() {
        if !name.ends_with(".jsonl") || !seen.insert(name.clone()) {
            continue;
        }
        let start = match folder.open_read(&name) {
            Ok(source) => FileStart::read(&name, source)?,
            // What another file continues may be gone; then that one says so.
            Err(_) if !names.contains(&name) => continue,
            Err(error) => return Err(error),
        };
        wanted.extend(start.continues.iter().map(|origin| origin.file.clone()));
        starts.push(start);
    }
    // What another workspace left in the rescue folder is not ours.
    let is_ours = |session: &SessionFiles| {
        let mut parts = session.parts.iter();
        parts.any(|part| own.contains(&part.name))
    };
    Ok(sessions(&starts).into_iter().filter(is_ours).collect())
}
