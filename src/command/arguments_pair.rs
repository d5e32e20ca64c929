//! The arguments of the commands about two parts together.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

/// What `press` says of itself after its options.
pub(super) const PRESS_HELP: &str = "\
Examples:
  fitledger press --json < fits.jsonl
  fitledger press --from bush.toml

One JSON object a line, or one TOML file:
  joint_diameter_mm, hub_outside_mm (left out: so thick that its end does not matter),
  shaft_bore_mm (0: solid), length_mm; one of
    fit (a callout such as \"20 H7/p6\"), shaft_deviations_um and hub_deviations_um ([low, high]),
    or the measured shaft_mm and hub_mm;
  hub_material and shaft_material (names of the table), or E_hub_MPa, nu_hub, alpha_hub_per_K,
  yield_hub_MPa, and the same of the shaft, which come before the table's;
  Rz_hub_um, Rz_shaft_um, mu_slip, mu_press_in (the low end where mu_slip_max,
  mu_press_in_max are the high one),
  assembly_clearance_mm, room_C, hub_heat_max_C, hub_length_mm, seat_length_mm.

What it says is an estimate: the cautions beside every answer are part of it.";

/// See [`super::Command::Press`].
#[derive(Debug, Args)]
pub struct PressArguments {
    /// A TOML file with one fit; without it JSON objects from standard input
    #[arg(long, value_name = "FILE")]
    pub from: Option<PathBuf>,
    /// One JSON object a fit
    #[arg(long)]
    pub json: bool,
}

/// What `pair` says of itself after its options.
pub(super) const PAIR_HELP: &str = "\
Examples:
  fitledger pair --json '25 H7/g6' < holes_and_shafts.csv
  fitledger pair --objective most '25 H7/g6' < holes_and_shafts.csv

The first line names the columns part, kind (hole or shaft) and size (mm), in any order. `nearest`
makes as many pairs as there can be, all together as near to the wanted clearance as possible (the
middle of the fit, or --wanted); `most` makes the most pairs that keep the fit. What is left over is
told with its reason.";

/// What pairs are made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ObjectiveName {
    /// Clearances as near to the wanted one as they can be all together
    Nearest,
    /// The most pairs that keep the fit
    Most,
}

/// See [`super::Command::Pair`].
#[derive(Debug, Args)]
pub struct PairArguments {
    /// The fit, such as '25 H7/g6'
    pub fit: String,
    /// What pairs are made for
    #[arg(long, value_enum, default_value = "nearest")]
    pub objective: ObjectiveName,
    /// The clearance that pairs are brought near to, mm; the middle of the fit unless said
    #[arg(long, value_name = "MM", allow_hyphen_values = true)]
    pub wanted: Option<String>,
    /// One JSON object
    #[arg(long)]
    pub json: bool,
}
