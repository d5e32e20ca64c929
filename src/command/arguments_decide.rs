//! The arguments of `fitledger decide`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

/// What is decided.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Decision {
    /// It is worked on again and measured again.
    Rework,
    /// It is kept back.
    Hold,
    /// It is given up.
    Scrap,
    /// It is accepted though it is not within its limits.
    Concession,
    /// An earlier decision no longer holds; --of names its line.
    Withdraw,
    /// "I measured this."
    Measured,
    /// "I looked through it."
    Checked,
    /// It may leave: everything is proved, or covered by concessions.
    Release,
    /// It may leave before everything is measured.
    ReleaseEarly,
    /// It may leave though a gauge could not decide; that is no GO.
    ReleaseInDoubt,
    /// The part gets the serial number of --serial.
    Name,
}

/// See [`super::Command::Decide`].
#[derive(Debug, Args)]
pub struct DecideArguments {
    /// Journal file of the session
    #[arg(value_name = "JOURNAL")]
    pub journal: PathBuf,
    /// What is decided
    #[arg(value_enum, value_name = "WHAT")]
    pub what: Decision,
    /// The part by its number in the session; of a signature none is the session as a whole
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub part: Option<u32>,
    /// Only this feature of the part
    #[arg(long, value_name = "ID", requires = "part")]
    pub feature: Option<String>,
    /// Only this element of the feature
    #[arg(long, value_name = "ELEMENT", requires = "feature")]
    pub element: Option<String>,
    /// Who decides
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    /// Why
    #[arg(long, value_name = "TEXT")]
    pub reason: Option<String>,
    /// With whom it was agreed, such as the customer
    #[arg(long, value_name = "NAME")]
    pub agreed_with: Option<String>,
    /// The line of the decision that is withdrawn
    #[arg(long, value_name = "LINE", required_if_eq("what", "withdraw"))]
    pub of: Option<u64>,
    /// The serial number
    #[arg(long, value_name = "SERIAL", required_if_eq("what", "name"))]
    pub serial: Option<String>,
    /// One JSON object a decision, and one for the record
    #[arg(long)]
    pub json: bool,
}
