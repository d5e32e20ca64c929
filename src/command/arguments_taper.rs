//! The arguments of `taper`.

use std::path::PathBuf;

use clap::Args;

/// What `taper` says of itself after its options.
pub(super) const TAPER_HELP: &str = "\
Examples:
  fitledger taper --json < cones.jsonl
  fitledger taper --from plug.toml

One JSON object a line, or one TOML file. `kind` says how the cone is known:
  ratio      one of taper (\"1:12\", or \"30°\" of the whole angle), x, morse (0 to 6),
             included_angle_deg, half_angle_deg; of a Morse taper large_mm is that of the table
  diameters  large_mm, small_mm, length_mm
  rollers    roller_diameter_mm, h1_mm and M1_mm (lower blocks, reading over the rollers),
             h2_mm and M2_mm (upper); plug_height_mm
  balls      small_ball_mm, small_top_below_face_mm, large_ball_mm, large_top_below_face_mm
             (negative: above the face); length_mm
  sine_bar   bar_mm (distance of its rollers), height_mm (blocks)
sine_bar also takes large_mm and length_mm, ratio any two of large_mm, small_mm, length_mm.

Every length may have its standard uncertainty beside it: large_u_mm beside large_mm.

With every kind: slide_travel_mm (an indicator over so much travel of the top slide; 100),
between_centres_mm (the tailstock is set over), axial_move_mm (what a move along the axis does to
the diameter), diameter_change_mm (which move does that), set_on_bar_mm (blocks under a sine bar).";

/// See [`super::Command::Taper`].
#[derive(Debug, Args)]
pub struct TaperArguments {
    /// A TOML file with one cone; without it JSON objects from standard input
    #[arg(long, value_name = "FILE")]
    pub from: Option<PathBuf>,
    /// One JSON object a cone
    #[arg(long)]
    pub json: bool,
}
