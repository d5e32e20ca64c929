//! The arguments of `fitledger fit`, `wires` and `plugs`.

use clap::Args;

/// See [`super::Command::Fit`].
#[derive(Debug, Args)]
pub struct FitArguments {
    /// Fits such as '25 H7/p6' or M20x2-6H/6g; - reads one a line
    #[arg(value_name = "FIT", required = true)]
    pub fits: Vec<String>,
    /// Measured pitch diameter of the internal thread, mm
    #[arg(long, value_name = "MM")]
    pub hole: Option<String>,
    /// Standard uncertainty of it, mm
    #[arg(long, value_name = "u", requires = "hole")]
    pub hole_u: Option<String>,
    /// Measured pitch diameter of the external thread, mm
    #[arg(long, value_name = "MM")]
    pub shaft: Option<String>,
    /// Standard uncertainty of it, mm
    #[arg(long, value_name = "u", requires = "shaft")]
    pub shaft_u: Option<String>,
    /// One JSON object a line
    #[arg(long)]
    pub json: bool,
}

/// See [`super::Command::Wires`].
#[derive(Debug, Args)]
pub struct WiresArguments {
    /// External threads such as M10-6g; without a class the standard's default; - reads one a line
    #[arg(value_name = "CALLOUT", required = true)]
    pub callouts: Vec<String>,
    /// Mean diameter of the three wires in mm; the best wire unless said
    #[arg(long, value_name = "MM")]
    pub wire: Option<String>,
    /// What was measured over the wires, mm: the pitch diameter follows
    #[arg(long, value_name = "MM")]
    pub measured: Option<String>,
    /// Count what the lead angle adds over the wires
    #[arg(long)]
    pub lead_angle_correction: bool,
    /// One JSON object a line
    #[arg(long)]
    pub json: bool,
}

/// See [`super::Command::Plugs`].
#[derive(Debug, Args)]
pub struct PlugsArguments {
    /// Threads such as M10-6H or M20x2-6H/6g; - reads one a line
    #[arg(value_name = "CALLOUT", required = true)]
    pub callouts: Vec<String>,
    /// One JSON object a line
    #[arg(long)]
    pub json: bool,
}
