//! The commands that work on a session or its record.

use super::output::{Output, Stopped};
use super::{Command, InspectArguments, inspect, records};
use crate::session::Workspace;

/// Runs one of them; no command at all is the demo.
pub(super) fn run(
    command: Option<Command>,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    match command {
        Some(Command::Inspect(arguments)) => inspect::run(&arguments, workspace, out),
        Some(Command::Verify(arguments)) => records::verify(&arguments, workspace, out),
        Some(Command::Replay(arguments)) => records::replay_lines(&arguments, workspace, out),
        Some(Command::List(arguments)) => records::list(&arguments, workspace, out),
        _ => {
            let demo = InspectArguments {
                demo: true,
                ..InspectArguments::default()
            };
            inspect::run(&demo, workspace, out)
        }
    }
}
