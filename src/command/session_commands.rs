//! The commands that open, continue, check and list sessions.

use crate::session::Workspace;

use super::arguments::Command;
use super::output::{Output, Stopped};
use super::problem::Problem;

/// Runs one of them; none means the demonstration.
pub(super) fn run(
    _command: Option<Command>,
    _workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let message = "This command is not available in this build.".to_owned();
    out.complain(&Problem::bad("not_available", message, None));
    Ok(())
}
