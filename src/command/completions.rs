//! `fitledger completions`: a completion script for a shell.

use clap::CommandFactory;

use super::arguments::{Arguments, CompletionsArguments};
use super::output::{Output, Stopped};

/// Writes the script to standard output.
pub(super) fn run(arguments: &CompletionsArguments, out: &mut Output) -> Result<(), Stopped> {
    let mut script = Vec::new();
    let mut command = Arguments::command();
    clap_complete::generate(arguments.shell, &mut command, "fitledger", &mut script);
    out.bytes(&script)
}
