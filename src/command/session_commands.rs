//! The commands that work on a session or its record.

use super::output::{Output, Stopped};
use super::{
    Command, decide, doubtful, export, import, inspect, list, records, report, zero_check,
};
use crate::session::Workspace;

/// Runs one of them; the others have been run before.
pub(super) fn run(
    command: Command,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    match command {
        Command::Inspect(arguments) => inspect::run(&arguments, workspace, out),
        Command::Verify(arguments) => records::verify(&arguments, workspace, out),
        Command::Replay(arguments) => records::replay_lines(&arguments, workspace, out),
        Command::Decide(arguments) => decide::run(&arguments, out),
        Command::Report(arguments) => report::run(&arguments, workspace, out),
        Command::List(arguments) => list::run(&arguments, workspace, out),
        Command::Import(arguments) => import::run(&arguments, workspace, out),
        Command::Export(arguments) => export::run(&arguments, workspace, out),
        Command::ZeroCheck(arguments) => zero_check::run(&arguments, workspace, out),
        Command::Doubt(arguments) => zero_check::doubt(&arguments, workspace, out),
        Command::Doubtful(arguments) => doubtful::run(&arguments, workspace, out),
        _ => Ok(()),
    }
}
