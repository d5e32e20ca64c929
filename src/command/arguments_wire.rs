//! The arguments of the commands about ports, bytes and adapters.

use std::path::PathBuf;

use clap::Args;

/// See [`super::Command::Ports`].
#[derive(Debug, Args)]
pub struct PortsArguments {
    /// One JSON object a port
    #[arg(long)]
    pub json: bool,
    /// Text of a udev rule that lets you open the adapters attached, or the one of that identity
    #[arg(
        long,
        value_name = "VENDOR:PRODUCT[:SERIAL]",
        num_args = 0..=1,
        default_missing_value = "",
        conflicts_with = "json"
    )]
    pub udev: Option<String>,
}

/// See [`super::Command::Listen`].
#[derive(Debug, Args)]
pub struct ListenArguments {
    /// Where bytes come from: serial:PORT
    #[arg(long, value_name = "SOURCE")]
    pub gauge: String,
    /// Adapter that decodes them: a name, or FILE or FILE#name
    #[arg(long, value_name = "NAME|FILE", default_value = "line-free")]
    pub adapter: String,
    /// One JSON object an event
    #[arg(long)]
    pub json: bool,
}

/// See [`super::Command::Decode`].
#[derive(Debug, Args)]
pub struct DecodeArguments {
    /// Adapter that decodes them: a name, or FILE or FILE#name
    #[arg(long, value_name = "NAME|FILE", default_value = "line-free")]
    pub adapter: String,
    /// One JSON object a line
    #[arg(long)]
    pub json: bool,
}

/// See [`super::Command::Teach`].
#[derive(Debug, Args)]
pub struct TeachArguments {
    /// Where the gauge is: serial:PORT
    #[arg(long, value_name = "SOURCE", conflicts_with = "captured")]
    pub gauge: Option<String>,
    /// A file of captured bursts instead of a gauge
    #[arg(long, value_name = "FILE")]
    pub captured: Option<PathBuf>,
    /// A known size in mm; give a small, a middle and a large one
    #[arg(long, value_name = "MM")]
    pub size: Vec<String>,
    /// A known size in mm, none of the others, that confirms at the end
    #[arg(long, value_name = "MM")]
    pub confirm: Option<String>,
    /// Name of the adapter
    #[arg(long, value_name = "NAME", default_value = "taught")]
    pub name: String,
    /// File to write instead of adapters/NAME.toml of the workspace
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long)]
    pub replace: bool,
    /// What gauge and block may be off together, mm
    #[arg(long, value_name = "MM", default_value = "0.02")]
    pub error: String,
    /// The line's settings where they are known, such as 9600-8N1
    #[arg(long, value_name = "SETTING")]
    pub line: Option<String>,
    /// Bytes that ask the gauge for a reading when it does not send by itself, such as 21 or
    /// 010300000002c40b; give several to try one after the other
    #[arg(long, value_name = "HEX", conflicts_with = "captured")]
    pub request: Vec<String>,
    /// One JSON object
    #[arg(long)]
    pub json: bool,
}
