//! The command line: reads arguments, calls the rooms below, prints, and answers an exit code.

use std::ffi::OsString;
use std::process::ExitCode;

/// Runs the program with its arguments (the first is the program's name).
pub fn run(_arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    ExitCode::from(2)
}
