//! Looks for the session that measured the same parts before an operation.

use super::catalogue::Catalogue;
use super::operation::operation_changes;
use super::record::SessionRecord;
use super::record_folders::RecordFolders;
use super::replay::Check;
use super::state::State;
use super::workspace::Workspace;

/// So many sessions of the same part at another stage are opened, the newest first (chosen).
const OPENED_MAX: usize = 8;

/// The session used last that measured some of the same parts at an earlier stage, begun before
/// `journal`, whose state is given; none where there is none, or it cannot be read whole.
pub fn session_before(workspace: &Workspace, journal: &str, state: &State) -> Option<State> {
    let part = &state.setup().plan.part;
    if part.name.is_empty() {
        return None;
    }
    let catalogue = Catalogue::open(workspace, |_| true).ok()?;
    let folders = RecordFolders::of_workspace(workspace);
    let entries = catalogue.entries();
    let own = entries.iter().find(|entry| entry.journal() == journal);
    let began = own.and_then(|own| own.opened);
    let fits = entries.iter().filter(|entry| {
        entry.journal() != journal
            && !entry.is_damaged()
            && entry.part == part.name
            && entry.drawing == part.drawing.clone().unwrap_or_default()
            && entry.stage != state.setup().stage
            && (began.is_none() || entry.opened < began)
    });
    fits.take(OPENED_MAX).find_map(|entry| {
        let read = SessionRecord::read(&folders, entry.record_parts(), Check::State).ok()?;
        let earlier = read.replayed.state?;
        let changes = operation_changes(&earlier, state).ok()?;
        let has_parts = changes.iter().any(|change| !change.parts.is_empty());
        has_parts.then_some(earlier)
    })
}
