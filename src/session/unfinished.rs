//! The sessions that can be taken up again, for whoever asks at the start.

use std::path::PathBuf;

use super::record::{SessionRecord, sessions_of};
use super::record_folders::RecordFolders;
use super::replay::Check;
use super::workspace::{
    Workspace, WorkspaceError, file_end, file_length, local_text, newest_journals, rescue_folder,
};
use crate::journal::{DiskFolder, SessionFiles, State as RecordState};

/// So many files are looked at, the newest first (chosen: weeks of work).
const FILES_MAX: usize = 50;
/// So many bytes of a session are read to tell what is in it (chosen: some hundred parts).
const BYTES_MAX: u64 = 16 * 1024 * 1024;
/// The last line of a closed record is shorter than that.
const END_BYTES: usize = 4 * 1024;
/// How the last line of a closed record says so; inside a text its quotes would be escaped.
const CLOSED: &str = "\"kind\":\"session_closed\"";

/// A session that is not closed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unfinished {
    /// Its journal, to be continued.
    pub path: PathBuf,
    /// The plan's file name, or the callouts.
    pub name: String,
    /// The part and its drawing, or the callouts.
    pub part: String,
    /// When it was opened, local date and time; empty when that cannot be read.
    pub started: String,
    /// Parts started.
    pub parts_started: usize,
    /// Parts wanted, if that was said.
    pub parts_wanted: Option<u32>,
    /// Readings taken.
    pub readings: usize,
    /// What is wrong with the record, in a sentence; a damaged one goes on in a new file.
    pub damage: Option<String>,
}

/// The sessions of the workspace that are not closed, the one used last first; looked for in the
/// newest files only.
///
/// # Errors
/// The folder of sessions cannot be read. A file that cannot be is listed with its damage.
pub fn unfinished(workspace: &Workspace) -> Result<Vec<Unfinished>, WorkspaceError> {
    let sessions = DiskFolder::new(workspace.sessions_path());
    let own = newest_journals(&sessions, FILES_MAX)?;
    // Where none could be made there is none.
    let elsewhere = newest_journals(&rescue_folder(), FILES_MAX).unwrap_or_default();
    let folder = RecordFolders::of_workspace(workspace);
    let names: Vec<String> = own.iter().chain(&elsewhere).cloned().collect();
    let found = match sessions_of(&folder, &names) {
        Ok(found) => found,
        // One file that cannot be read keeps no other from being listed.
        Err(_) => readable(&folder, &names),
    };
    let mut listed: Vec<(usize, Unfinished)> = Vec::new();
    for session in found {
        let Some(newest) = session.parts.last().map(|part| part.name.clone()) else {
            continue;
        };
        let is_of = |name: &&String| session.parts.iter().any(|part| part.name == **name);
        let Some(place) = own.iter().position(|name| is_of(&name)) else {
            continue;
        };
        let is_here = own.contains(&newest);
        let home = if is_here { &sessions } else { &rescue_folder() };
        if !is_closed(home, &newest) {
            let one = looked_at(&folder, home, session, is_here);
            listed.extend(one.map(|one| (place, one)));
        }
    }
    let unreadable = own.iter().enumerate().filter_map(|(place, name)| {
        let cause = file_end(&sessions, name, 1).err()?;
        Some((place, damaged(&sessions, name, format!("{cause}."))))
    });
    listed.extend(unreadable);
    listed.sort_by_key(|(place, _)| *place);
    Ok(listed.into_iter().map(|(_, one)| one).collect())
}

/// The sessions of those files that can be opened.
fn readable(folder: &RecordFolders, names: &[String]) -> Vec<SessionFiles> {
    let opens = |name: &&String| sessions_of(folder, std::slice::from_ref(name)).is_ok();
    let names: Vec<String> = names.iter().filter(opens).cloned().collect();
    sessions_of(folder, &names).unwrap_or_default()
}

fn is_closed(home: &DiskFolder, name: &str) -> bool {
    let Ok(end) = file_end(home, name, END_BYTES) else {
        return false;
    };
    let Some(lines) = end.strip_suffix(b"\n") else {
        return false;
    };
    let last = lines.rsplit(|byte| *byte == b'\n').next();
    last.is_some_and(|line| String::from_utf8_lossy(line).contains(CLOSED))
}

fn damaged(home: &DiskFolder, name: &str, damage: String) -> Unfinished {
    Unfinished {
        path: home.path().join(name),
        name: name.to_owned(),
        part: String::new(),
        started: String::new(),
        parts_started: 0,
        parts_wanted: None,
        readings: 0,
        damage: Some(damage),
    }
}

/// What a session holds; none when it is closed, or nothing was ever recorded in it.
fn looked_at(
    folder: &RecordFolders,
    home: &DiskFolder,
    session: SessionFiles,
    is_here: bool,
) -> Option<Unfinished> {
    let newest = session.parts.last()?.name.clone();
    if file_length(home, &newest).is_some_and(|length| length > BYTES_MAX) {
        let told = "It is too long to be looked through here; it can be taken up all the same.";
        return Some(damaged(home, &newest, told.to_owned()));
    }
    let absent = session.absent.as_ref().map(|origin| origin.file.clone());
    let read = match SessionRecord::read(folder, session.parts, Check::State) {
        Ok(read) => read,
        Err(error) => return Some(damaged(home, &newest, error.to_string())),
    };
    let elsewhere = (!is_here).then(|| {
        format!(
            "It goes on in {}: move that file beside the first one, then take it up.",
            home.path().join(&newest).display()
        )
    });
    let gone = absent.map(|file| format!("The file {file}, which it continues, is not there."));
    let damage = gone.or(elsewhere).or_else(|| damage_of(&read));
    let Some(state) = &read.replayed.state else {
        if damage.is_none() && file_length(home, &newest) == Some(0) {
            return None;
        }
        let nothing = || "It holds no session that could be taken up again.".to_owned();
        return Some(damaged(home, &newest, damage.unwrap_or_else(nothing)));
    };
    if state.is_closed() && damage.is_none() {
        return None;
    }
    let opened = read.replayed.opened.as_ref()?;
    Some(Unfinished {
        path: home.path().join(&newest),
        name: opened.plan_name.clone(),
        part: read.part_name().unwrap_or_default(),
        started: read
            .replayed
            .first_time
            .map_or_else(String::new, local_text),
        parts_started: state.parts().len(),
        parts_wanted: state.setup().parts_wanted,
        readings: read.readings(),
        damage,
    })
}

/// The first damage that was found, in a sentence.
fn damage_of(read: &SessionRecord) -> Option<String> {
    if read.state() != RecordState::Damaged {
        return None;
    }
    let findings = read.reports.iter().flat_map(|report| &report.findings);
    let first = findings.into_iter().find(|finding| !finding.is_notice());
    let fault = read.replayed.faults.first();
    let what = first.map(ToString::to_string);
    let what = what.or_else(|| fault.map(|fault| fault.what.clone()));
    let what = what.unwrap_or_else(|| "something is not as it was written".to_owned());
    Some(format!("The record is damaged: {what}."))
}
