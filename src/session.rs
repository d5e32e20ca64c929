//! The truth of the bench: what each input does (`decide`), and the state that events give.

mod workspace;

pub use workspace::{WORKSPACE_VARIABLE, Workspace, WorkspaceError, journal_name, read_text};
