//! Looks for sessions that measured the same parts before an operation and after it.

use std::cmp::Reverse;

use jiff::Timestamp;

use super::catalogue::{Catalogue, Entry};
use super::operation::operation_changes;
use super::operation_learned::{
    LearnedOperation, MeasuredBatch, OperationBatch, learned_operations,
};
use super::pair_records::PlanKey;
use super::record::SessionRecord;
use super::record_folders::RecordFolders;
use super::replay::Check;
use super::runner::at_once;
use super::state::State;
use super::workspace::{Workspace, WorkspaceError};

/// So many sessions of the same part at another stage are opened, the newest first (chosen).
const OPENED_MAX: usize = 8;
/// What the batches of a part teach.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LearnedFound {
    /// What was learned, the newest first.
    pub operations: Vec<LearnedOperation>,
    /// So many older sessions of the part were not read.
    pub unread: usize,
}

/// Whether a session may have measured before another one, which is at that stage and began then.
fn may_be_before(entry: &Entry, stage: &str, began: Option<Timestamp>) -> bool {
    entry.stage != stage && (began.is_none() || entry.opened < began)
}

/// The session used last that measured some of the same parts at an earlier stage, begun before
/// `journal`, whose state is given; none where there is none, or it cannot be read whole.
pub fn session_before(workspace: &Workspace, journal: &str, state: &State) -> Option<State> {
    let setup = state.setup();
    let key = PlanKey::of(&setup.plan)?;
    let catalogue = Catalogue::open(workspace, |_| true).ok()?;
    let folders = RecordFolders::of_workspace(workspace);
    let entries = catalogue.entries();
    let own = entries.iter().find(|entry| entry.journal() == journal);
    let began = own.and_then(|own| own.opened);
    let fits = entries.iter().filter(|entry| {
        entry.journal() != journal
            && !entry.is_damaged()
            && key.is_of(entry)
            && may_be_before(entry, &setup.stage, began)
    });
    fits.take(OPENED_MAX).find_map(|entry| {
        let earlier = state_of(&folders, entry)?;
        let changes = operation_changes(&earlier, state).ok()?;
        let has_parts = changes.iter().any(|change| !change.parts.is_empty());
        has_parts.then_some(earlier)
    })
}

fn state_of(folders: &RecordFolders, entry: &Entry) -> Option<State> {
    let read = SessionRecord::read(folders, entry.record_parts(), Check::State).ok()?;
    read.replayed.state
}

/// What the records of a plan teach of operations: of each session the one before it, as
/// [`session_before`] finds it, and all such batches together. `most` sessions are read, those
/// used last; `goes_on` is asked while they are.
///
/// # Errors
/// The folder of sessions cannot be listed. A record that is damaged or cannot be read teaches
/// nothing.
pub fn operations_of(
    workspace: &Workspace,
    key: &PlanKey,
    most: usize,
    goes_on: &mut dyn FnMut() -> bool,
) -> Result<LearnedFound, WorkspaceError> {
    let catalogue = Catalogue::open(workspace, |_| goes_on())?;
    let folders = RecordFolders::of_workspace(workspace);
    let mut entries: Vec<&Entry> = catalogue
        .entries()
        .iter()
        .filter(|entry| !entry.is_damaged() && key.is_of(entry))
        .collect();
    let unread = entries.len().saturating_sub(most);
    entries.truncate(most);
    // At one stage alone there was no operation.
    let first = entries.first().map(|entry| &entry.stage);
    if entries.iter().all(|entry| Some(&entry.stage) == first) {
        entries.clear();
    }
    let states = at_once(&entries, |entry| state_of(&folders, entry), |_| goes_on());
    let read: Vec<(&Entry, State)> = entries
        .into_iter()
        .zip(states)
        .filter_map(|(entry, state)| Some((entry, state??)))
        .collect();
    let batches = read.iter().filter_map(|(entry, state)| {
        let after = measured(entry, state);
        let mut earlier = read
            .iter()
            .filter(|(other, _)| may_be_before(other, &entry.stage, entry.opened));
        let batch =
            earlier.find_map(|(other, state)| OperationBatch::of(measured(other, state), after))?;
        Some((Reverse(entry.opened), batch))
    });
    let mut batches: Vec<(Reverse<Option<Timestamp>>, OperationBatch)> = batches.collect();
    batches.sort_by_key(|(opened, _)| *opened);
    let batches: Vec<OperationBatch> = batches.into_iter().map(|(_, batch)| batch).collect();
    Ok(LearnedFound {
        operations: learned_operations(&batches),
        unread,
    })
}

fn measured<'s>(entry: &'s Entry, state: &'s State) -> MeasuredBatch<'s> {
    MeasuredBatch {
        journal: entry.journal(),
        state,
        in_doubt: &entry.in_doubt,
    }
}
