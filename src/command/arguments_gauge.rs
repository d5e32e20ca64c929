//! The arguments of the commands about gauges.

use clap::Args;

/// See [`super::Command::ZeroCheck`].
#[derive(Debug, Args)]
pub struct ZeroCheckArguments {
    /// The gauge and where its readings come from: ID=serial:PORT, ID=typed, or ID alone
    #[arg(long, value_name = "ID[=SOURCE]")]
    pub gauge: String,
    /// The setting standard; the register's, else the gauge's own zero
    #[arg(long, value_name = "ID")]
    pub on: Option<String>,
    /// Adapter that decodes the bytes: a name, or FILE or FILE#name
    #[arg(long, value_name = "NAME|FILE")]
    pub adapter: Option<String>,
    /// Who checks
    #[arg(long, value_name = "NAME")]
    pub operator: Option<String>,
    /// One JSON object a check
    #[arg(long)]
    pub json: bool,
}

/// See [`super::Command::Doubt`].
#[derive(Debug, Args)]
pub struct DoubtArguments {
    /// The gauge, by its id in the register
    #[arg(value_name = "ID")]
    pub gauge: String,
    /// Why: it fell, its certificate was corrected
    #[arg(long, value_name = "TEXT")]
    pub reason: String,
    /// In doubt is what was measured later than this moment; since its last good check unless said
    #[arg(long, value_name = "RFC 3339")]
    pub since: Option<String>,
    /// Who says so
    #[arg(long, value_name = "NAME")]
    pub operator: Option<String>,
    /// The record's place as a JSON object
    #[arg(long)]
    pub json: bool,
}

/// See [`super::Command::Doubtful`].
#[derive(Debug, Args)]
pub struct DoubtfulArguments {
    /// Only what this gauge puts in doubt
    #[arg(long, value_name = "ID")]
    pub gauge: Option<String>,
    /// One JSON object a reading
    #[arg(long)]
    pub json: bool,
}
