//! The arguments of the commands about the gauge register.

use std::path::PathBuf;

use clap::Args;

/// See [`super::Command::Gauges`].
#[derive(Debug, Default, Args)]
pub struct GaugesArguments {
    /// The day that is asked about; today unless said
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// Write the numbers that are assumed of this gauge into gauges.toml, as confirmed
    #[arg(long, value_name = "ID")]
    pub confirm: Option<String>,
    /// One JSON object a gauge
    #[arg(long)]
    pub json: bool,
}

/// See [`super::Command::Certificate`].
#[derive(Debug, Args)]
pub struct CertificateArguments {
    /// The certificate's XML file
    #[arg(value_name = "FILE.xml")]
    pub file: PathBuf,
    /// The gauge that it is for, by its id in the register
    #[arg(long, value_name = "ID")]
    pub gauge: Option<String>,
    /// Write calibration, date, certificate and serial number into gauges.toml
    #[arg(long, requires = "gauge")]
    pub write: bool,
    /// The serial number as it stands on the gauge
    #[arg(long, value_name = "NUMBER")]
    pub serial: Option<String>,
    /// The table, where the names leave it open
    #[arg(long, value_name = "N")]
    pub table: Option<usize>,
    /// The column of the sizes
    #[arg(long, value_name = "N")]
    pub at_column: Option<usize>,
    /// The column of the errors
    #[arg(long, value_name = "N")]
    pub error_column: Option<usize>,
    /// The day of the next calibration, to be written too
    #[arg(long, value_name = "DATE")]
    pub due: Option<String>,
    /// One JSON object
    #[arg(long)]
    pub json: bool,
}
