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
  joining (pressed or shrunk) and surface (dry, oiled or degreased), which choose the usual
  friction where none is said;
  bore (the class of a bush's bore, such as \"16 H7\") or bore_limits_mm, and bore_mm where the
  bore is measured: whether it stays within its limits when the bush is pressed in;
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

/// What `assembly` says of itself after its options.
pub(super) const ASSEMBLY_HELP: &str = "\
Examples:
  fitledger assembly plans/pump.toml
  fitledger assembly plans/pump.toml housing=GH-3 bush=GB-7 shaft=GS-12
  fitledger assembly plans/pump.toml housing=GH-3 bush=GB-7 shaft=GS-12 --record-as PH-1 --by Ada

The file names the plans that lie beside it ([[member]] with id and plan), what goes into what
([[mate]] with hole, shaft and intended), and lengths in a row ([[stack]] with name, plus, minus and
limits). Each real part is found by its serial number in the records of the workspace. The assembly
is GO when every part, pair and gap is; the exit is 1 when it is not.";

/// See [`super::Command::Assembly`].
#[derive(Debug, Args)]
pub struct AssemblyArguments {
    /// The assembly, a TOML file beside the plans of its parts
    pub file: PathBuf,
    /// The real part of a member, by its serial number
    #[arg(value_name = "MEMBER=SERIAL")]
    pub parts: Vec<String>,
    /// Serial number of the assembly: records in each part's record that it went into it
    #[arg(long, value_name = "SERIAL", requires = "by")]
    pub record_as: Option<String>,
    /// Who put it together
    #[arg(long, value_name = "NAME", requires = "record_as")]
    pub by: Option<String>,
    /// One JSON object
    #[arg(long)]
    pub json: bool,
}
