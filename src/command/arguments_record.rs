//! The arguments of the commands that check and print a record.

use std::path::PathBuf;

use clap::Args;

/// See [`Command::Verify`](super::Command::Verify).
#[derive(Debug, Args)]
pub struct VerifyArguments {
    /// Journal files
    #[arg(value_name = "JOURNAL", required = true)]
    pub journals: Vec<PathBuf>,
    /// One JSON object a journal
    #[arg(long)]
    pub json: bool,
}

/// See [`Command::Replay`](super::Command::Replay).
#[derive(Debug, Args)]
pub struct ReplayArguments {
    /// Journal file
    #[arg(value_name = "JOURNAL")]
    pub journal: PathBuf,
    /// Lines exactly as stored, damaged stretches as error objects
    #[arg(long)]
    pub json: bool,
}
