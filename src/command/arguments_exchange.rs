//! The arguments of the commands that exchange results with other programs.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

/// What `export` says of itself after its options.
pub(super) const EXPORT_HELP: &str = "\
Examples:
  fitledger export sessions/2026-11-24-1.jsonl --format csv --out report.csv
  fitledger export sessions/2026-11-24-1.jsonl --format qif --out report.qif --part 1
  fitledger export sessions/2026-11-24-1.jsonl --format json --out report.json --replace

The table has a row for every reading, also for those that were voided or set aside. Of several
parts with sizes report-batch.csv is written beside it: the numbers of all parts together. A text
that a spreadsheet would take for a formula has a single quote before it. The exit is 1 when the
record is damaged; the file says so too.";

/// What `import` says of itself after its options.
pub(super) const IMPORT_HELP: &str = "\
Examples:
  fitledger import --plan plans/pump-shaft.toml measured.csv --operator 'bench 2' --gauge mic-25
  fitledger import --plan plans/pump-shaft.toml measured.csv --partly --json

The first line names the columns, in any order: part or serial, feature, value; and element, point,
unit (mm, in, degree, check), gauge, operator, time, note where there are any. Nothing is recorded
unless every row is right. Each row stays in the record as it stands, its time and note with it; the
record's own times are those of the import.";

/// The forms for other programs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ExchangeFormat {
    /// A table with a row a reading, and its description beside it.
    Csv,
    /// The whole report in canonical form (RFC 8785).
    Json,
    /// Results of the Quality Information Framework 3.0 (ISO 23952:2020).
    Qif,
}

impl ExchangeFormat {
    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Csv => "csv",
            Self::Json => "json",
            Self::Qif => "qif",
        }
    }
}

/// See [`Command::Export`](super::Command::Export).
#[derive(Debug, Args)]
pub struct ExportArguments {
    /// Journal file
    #[arg(value_name = "JOURNAL")]
    pub journal: PathBuf,
    /// The form
    #[arg(long, value_enum)]
    pub format: ExchangeFormat,
    /// The file to be written; of csv its description too, with -metadata.json behind the name
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Only this part, by its running number; may be given several times
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    pub part: Vec<u32>,
    /// Only the part with this serial number
    #[arg(long, value_name = "SERIAL", allow_hyphen_values = true)]
    pub serial: Option<String>,
    /// Replace the file if it is there
    #[arg(long)]
    pub replace: bool,
    /// One JSON object
    #[arg(long)]
    pub json: bool,
}

/// See [`Command::Import`](super::Command::Import).
#[derive(Debug, Args)]
pub struct ImportArguments {
    /// The table of measured values (CSV with a header line)
    #[arg(value_name = "MEASURED")]
    pub measured: PathBuf,
    /// Inspection plan (TOML) that the values are judged by
    #[arg(long, value_name = "FILE")]
    pub plan: PathBuf,
    /// Who measured, where the table does not say
    #[arg(long, value_name = "NAME")]
    pub operator: Option<String>,
    /// Gauge of the register, where the table does not say
    #[arg(long, value_name = "ID")]
    pub gauge: Option<String>,
    /// Record the rows that are right, although others are not
    #[arg(long)]
    pub partly: bool,
    /// Take values that are far off for what they say, instead of setting them aside
    #[arg(long)]
    pub take_implausible: bool,
    /// One JSON object a verdict
    #[arg(long)]
    pub json: bool,
}
