//! The arguments of `fitledger report`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

/// The mark between whole numbers and decimals in a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Decimal {
    /// 12,5
    Comma,
    /// 12.5
    Point,
}

/// See [`super::Command::Report`].
#[derive(Debug, Args)]
pub struct ReportArguments {
    /// Journal file of the session; any of its files
    #[arg(value_name = "JOURNAL")]
    pub journal: PathBuf,
    /// Where the report goes; its ending chooses the form
    #[arg(long, value_name = "FILE.html|FILE.pdf")]
    pub out: PathBuf,
    /// Only this part, by its number in the session; may be given several times
    #[arg(long, value_name = "N")]
    pub part: Vec<u32>,
    /// Only the part with this serial number
    #[arg(long, value_name = "S")]
    pub serial: Option<String>,
    /// The decimal mark, for people; files for programs always have a point
    #[arg(long, value_enum, default_value = "point")]
    pub decimal: Decimal,
    /// Every reading, and not only those that count or were corrected
    #[arg(long)]
    pub readings: bool,
    /// Replace a file that is there
    #[arg(long)]
    pub replace: bool,
    /// One JSON object about what was written
    #[arg(long)]
    pub json: bool,
}
