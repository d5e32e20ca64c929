//! `fitledger manual`: manual pages, as `man` reads them.

use clap::CommandFactory;
use clap_mangen::Man;

use super::arguments::{Arguments, ManualArguments};
use super::output::{Output, Stopped};

/// Writes the page of the program, or of one of its commands, to standard output.
pub(super) fn run(arguments: &ManualArguments, out: &mut Output) -> Result<(), Stopped> {
    let mut program = Arguments::command();
    // Only then the commands know the program's name.
    program.build();
    let about = arguments.command.as_deref();
    let command = about.and_then(|name| program.find_subcommand(name));
    let mut page = Vec::new();
    Man::new(command.unwrap_or(&program).clone()).render(&mut page)?;
    out.bytes(&page)
}

/// A command that has a page.
pub(super) fn known(name: &str) -> Result<String, String> {
    let mut program = Arguments::command();
    program.build();
    if program.find_subcommand(name).is_some() {
        return Ok(name.to_owned());
    }
    Err(format!(
        "No command is called {name:?}; `fitledger help` lists them."
    ))
}
