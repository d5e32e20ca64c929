//! The arguments of `fitledger fit`, `wires` and `plugs`.

use clap::{Args, ValueEnum};

/// What stands below `fitledger fit --help`.
pub(super) const FIT_HELP: &str = "\
Examples:
  fitledger fit '25 H7/p6'
  fitledger fit '25 H7/g6' --hole 25.018 --hole-u 0.0015
  fitledger fit '25 H7/g6' --hole 25.018 --hole-u 0.0015 --shaft 24.986 --shaft-u 0.001
  fitledger fit '25 H7/g6' --working-temperature 80 --hole-material brass --shaft-material steel
  fitledger fit 'M20x2-6H/6g' --hole 18.80 --hole-u 0.01 --shaft 18.60 --shaft-u 0.005
  fitledger fit --for sliding 25
  fitledger fit --for bearing-shaft --ring rotates --load normal 20

With one measured size it says what the other part must become; an uncertainty for that part is the
one that it will be measured with, and widens the guard bands.";

/// What a joint is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PurposeName {
    /// The shaft turns in the hole.
    Running,
    /// It moves by hand and locates.
    Sliding,
    /// Parts at rest that locate each other.
    Locating,
    /// Pressed together lightly.
    LightPress,
    /// Driven or shrunk together for good.
    Permanent,
    /// The seat of a rolling bearing's inner ring.
    BearingShaft,
    /// The seat of a rolling bearing's outer ring.
    BearingHousing,
    /// A dowel pin in its hole.
    Dowel,
}

impl PurposeName {
    /// The word in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Running => "running",
            Self::Sliding => "sliding",
            Self::Locating => "locating",
            Self::LightPress => "light_press",
            Self::Permanent => "permanent",
            Self::BearingShaft => "bearing_shaft",
            Self::BearingHousing => "bearing_housing",
            Self::Dowel => "dowel",
        }
    }
}

/// What a bearing's ring does, seen from the direction of the load.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RingName {
    /// It rotates relative to the load.
    Rotates,
    /// It stands still relative to the load.
    Stands,
    /// The direction of the load is not determined.
    Indeterminate,
}

/// How a bearing is loaded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LoadName {
    /// Light load.
    Light,
    /// Normal load.
    Normal,
    /// Heavy load.
    Heavy,
    /// Shocks.
    Shock,
}

/// See [`super::Command::Fit`].
#[derive(Debug, Args)]
pub struct FitArguments {
    /// Fits such as '25 H7/p6' or M20x2-6H/6g, with --for diameters; - reads one a line
    #[arg(value_name = "FIT", required = true)]
    pub fits: Vec<String>,
    /// Which classes are usual for this purpose at a diameter, and what is proved of them here
    #[arg(
        long = "for",
        value_name = "PURPOSE",
        value_enum,
        conflicts_with_all = ["hole", "hole_u", "shaft", "shaft_u", "working_temperature"]
    )]
    pub purpose: Option<PurposeName>,
    /// What the bearing's ring on this seat does, seen from the direction of the load
    #[arg(long, value_enum, requires = "purpose")]
    pub ring: Option<RingName>,
    /// How the bearing is loaded
    #[arg(long, value_enum, requires = "purpose")]
    pub load: Option<LoadName>,
    /// Measured size of the hole at 20 °C (of a thread its pitch diameter), mm
    #[arg(long, value_name = "SIZE")]
    pub hole: Option<String>,
    /// Standard uncertainty of it, mm
    #[arg(long, value_name = "u")]
    pub hole_u: Option<String>,
    /// Measured size of the shaft at 20 °C (of a thread its pitch diameter), mm
    #[arg(long, value_name = "SIZE")]
    pub shaft: Option<String>,
    /// Standard uncertainty of it, mm
    #[arg(long, value_name = "u")]
    pub shaft_u: Option<String>,
    /// What becomes of the clearance at this temperature of both parts, °C
    #[arg(
        long,
        value_name = "CELSIUS",
        allow_hyphen_values = true,
        requires_all = ["hole_material", "shaft_material"]
    )]
    pub working_temperature: Option<String>,
    /// Material of the part with the hole, for its expansion
    #[arg(long, value_name = "MATERIAL", requires = "working_temperature")]
    pub hole_material: Option<String>,
    /// Material of the shaft, for its expansion
    #[arg(long, value_name = "MATERIAL", requires = "working_temperature")]
    pub shaft_material: Option<String>,
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
