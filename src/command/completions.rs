//! `fitledger completions`: a completion script for a shell.

use clap::CommandFactory;
use clap_complete::Shell;

use super::arguments::{Arguments, CompletionsArguments};
use super::output::{Output, Stopped};
use crate::guide::pages;

/// Writes the script to standard output.
pub(super) fn run(arguments: &CompletionsArguments, out: &mut Output) -> Result<(), Stopped> {
    let mut script = Vec::new();
    let mut command = Arguments::command();
    clap_complete::generate(arguments.shell, &mut command, "fitledger", &mut script);
    if arguments.shell == Shell::Fish {
        script.extend(guide_pages_for_fish().into_bytes());
    }
    out.bytes(&script)
}

/// What the generator leaves out for that shell: values of what is no option.
fn guide_pages_for_fish() -> String {
    let mut lines = String::new();
    for page in pages() {
        lines += &format!(
            "complete -c fitledger -n \"__fish_fitledger_using_subcommand guide\" -f -a \"{}\" \
             -d '{}'\n",
            page.name, page.title
        );
    }
    lines
}
