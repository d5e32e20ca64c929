//! The commands with their help and examples, and the arguments of those that came first; each
//! other's stand in an `arguments_*.rs`.

use std::path::PathBuf;

use super::arguments_decide::DecideArguments;
use super::arguments_exchange::{EXPORT_HELP, ExportArguments, IMPORT_HELP, ImportArguments};
use super::arguments_fit::{FIT_HELP, FitArguments, PlugsArguments, WiresArguments};
use super::arguments_gauge::{DoubtArguments, DoubtfulArguments, ZeroCheckArguments};
use super::arguments_guide::{GUIDE_HELP, GuideArguments};
use super::arguments_list::{LIST_HELP, ListArguments};
use super::arguments_pair::{
    ASSEMBLY_HELP, AssemblyArguments, PAIR_HELP, PRESS_HELP, PairArguments, PressArguments,
};
use super::arguments_record::{ReplayArguments, VerifyArguments};
use super::arguments_register::{CertificateArguments, GaugesArguments};
use super::arguments_report::ReportArguments;
use super::arguments_statistics::{
    CHART_HELP, ChartArguments, GAUGE_STUDY_HELP, GaugeStudyArguments, STATISTICS_HELP,
    StatisticsArguments,
};
use super::arguments_taper::{TAPER_HELP, TaperArguments};
use super::arguments_wire::{DecodeArguments, ListenArguments, PortsArguments, TeachArguments};
use clap::{Args, Parser, Subcommand, ValueEnum};

use super::suitability::SuitabilityArguments;

/// Measure parts at the machine against ISO limits and keep an inspection record.
#[derive(Debug, Parser)]
#[command(name = "fitledger", version, about, long_about = None, max_term_width = 100)]
#[command(after_help = "\
Without a command, the window opens with the built-in demo: a batch of pump shafts with a simulated
gauge. Without a display, `fitledger inspect --demo` runs it in the terminal. `fitledger guide`
lists the pages of the guide; the first one leads to the first part.

Stop the spindle and keep hands and gauges clear before measuring. A recorded verdict is not a
certificate of calibration.")]
pub struct Arguments {
    /// Folder with plans, gauges.toml, adapters and sessions [env: FITLEDGER_WORKSPACE]
    #[arg(long, global = true, value_name = "DIR")]
    pub workspace: Option<PathBuf>,
    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Limits of size for callouts
    #[command(after_help = "\
Examples:
  fitledger limits '25 H7' '12 ±0.05' '25 H7/p6'
  fitledger limits --json --general m 12
  fitledger limits '20 k6' --coating 0.006..0.010
  fitledger limits M10-6H --drill 8.6
  fitledger limits M10-6g --making
  fitledger limits M8 --clearance
  fitledger limits --json 'M20x2-6H/6g'
  echo '25 H7' | fitledger limits --json -")]
    Limits(LimitsArguments),
    /// One value against the limits of a callout
    #[command(after_help = "\
Examples:
  fitledger judge '20 k6' 20.009
  fitledger judge '20 k6' 20.009 --gauge mic-25
  fitledger judge '20 k6' 20.031 --part-temperature 31 --material 1.4301
  fitledger judge '25 H7' 25.019 --uncertainty 0.004 --k 2 --rule guard
  fitledger judge M10-6g 8.95 --element pitch
  fitledger judge M10-6H 1.5 --element no_go_plug
  fitledger judge M10-6g 10.342 --element wires --wire 0.895 --lead-angle-correction
  printf '20 k6 | 20.009\\n25 H7 | 25.030 | 0.002\\n' | fitledger judge --json -")]
    Judge(JudgeArguments),
    /// A fit: its limits, what two measured parts do, what the other must become
    #[command(after_help = FIT_HELP)]
    Fit(FitArguments),
    /// An external thread by three wires: which wire, and how much over it
    #[command(after_help = "\
Examples:
  fitledger wires M10-6g
  fitledger wires M10-6g --wire 0.895 --measured 10.342
  fitledger wires --json M16xPh4.5P1.5-6g --lead-angle-correction")]
    Wires(WiresArguments),
    /// The GO and NO-GO screw gauges of a thread: plugs for a hole, rings for a screw
    #[command(after_help = "\
Examples:
  fitledger plugs M10-6H
  fitledger plugs --json M10-6g
  fitledger plugs M20x2-6H/6g

Count the turns while unscrewing the NO-GO gauge: two or fewer are within the rule.")]
    Plugs(PlugsArguments),
    /// Which gauges of the register can prove a plan's characteristics, before measuring
    #[command(after_help = "\
Examples:
  fitledger suitability --plan plans/pump-shaft.toml
  fitledger suitability '20 k6' '6 H7' --material steel
  fitledger suitability --json --plan plans/pump-shaft.toml --gauges gauges.toml

The exit is 1 when a characteristic can be proved by no gauge of the register.")]
    Suitability(SuitabilityArguments),
    /// Real parts put together: how each stands, what each pair does, which gap is left
    #[command(after_help = ASSEMBLY_HELP)]
    Assembly(AssemblyArguments),
    /// Which of many measured holes takes which of many measured shafts
    #[command(after_help = PAIR_HELP)]
    Pair(PairArguments),
    /// What a press or shrink fit does: grip, stresses, forces, temperatures
    #[command(after_help = PRESS_HELP)]
    Press(PressArguments),
    /// A cone from diameters, rollers, balls, a sine bar or its ratio: angles, and how to turn it
    #[command(after_help = TAPER_HELP)]
    Taper(TaperArguments),
    /// Numbers of a list of values: spread, capability, signals, trend, with intervals
    #[command(after_help = STATISTICS_HELP)]
    Statistics(StatisticsArguments),
    /// How much of the spread a gauge and its users make, from repeated readings of some parts
    #[command(after_help = GAUGE_STUDY_HELP)]
    GaugeStudy(GaugeStudyArguments),
    /// A chart of a list of values as SVG or PNG
    #[command(after_help = CHART_HELP)]
    Chart(ChartArguments),
    /// Measure parts: the main job without a window
    #[command(after_help = "\
Examples:
  fitledger inspect --demo
  fitledger inspect --callout '20 k6' --gauge typed
  fitledger inspect --plan plans/pump-shaft.toml --gauge mic-25=serial:/dev/ttyUSB0@line-free
  printf '20.009\\n' | fitledger inspect --json --callout '20 k6' --gauge typed
  fitledger inspect --continue sessions/2026-11-24-1.jsonl --gauge typed

At a terminal, besides readings: n next part, v void the last, c cutting on or off,
t 31 part temperature, o taken out, p put back, y / x answer for a held reading,
q end the session, ? help.

Stop the spindle and keep hands and gauges clear before measuring.")]
    Inspect(InspectArguments),
    /// Measure parts in the window; alone it opens where a session is chosen
    #[command(after_help = "\
Examples:
  fitledger window
  fitledger window --demo
  fitledger window --callout '20 k6'
  fitledger window --plan plans/pump-shaft.toml --gauge mic-25=serial:/dev/ttyUSB0@line-free
  fitledger window --continue sessions/2026-11-24-1.jsonl

Values may always be typed, whatever other gauges there are.

Stop the spindle and keep hands and gauges clear before measuring.")]
    Window(WindowArguments),
    /// Check that a record is whole, in order and unaltered, and its verdicts right
    Verify(VerifyArguments),
    /// Print each sound line of a record as it is stored, and name the damaged stretches
    Replay(ReplayArguments),
    /// A record's report for other programs: a table, JSON, or a standard exchange file
    #[command(after_help = EXPORT_HELP)]
    Export(ExportArguments),
    /// Record values that were measured elsewhere, from a table; they are marked as imported
    #[command(after_help = IMPORT_HELP)]
    Import(ImportArguments),
    /// The sessions of the workspace, the one used last first; or those that are looked for
    #[command(after_help = LIST_HELP)]
    List(ListArguments),
    /// Decide about a part after the session: rework, concession, scrap, hold, signatures
    #[command(after_help = "\
Examples:
  fitledger decide sessions/2026-11-24-1.jsonl release --part 3 --by 'A. Weber'
  fitledger decide sessions/2026-11-24-1.jsonl concession --part 4 --feature B \\
      --by 'A. Weber' --agreed-with customer --reason 'bore 0.004 over, bush fitted to it'
  fitledger decide sessions/2026-11-24-1.jsonl withdraw --part 4 --of 41 --by 'A. Weber' \\
      --reason 'mixed up with part 5'
  fitledger decide sessions/2026-11-24-1.jsonl checked --by 'A. Weber'

Nothing that was measured is changed: each decision is a further event of the record, with name and
reason. A closed record goes on in a further file beside it. A part that is open, NO-GO or in doubt
is never simply released: release-early, concession and release-in-doubt say so and stay visible.")]
    Decide(DecideArguments),
    /// Write what a record says as a page for people
    #[command(after_help = "\
Examples:
  fitledger report sessions/2026-11-24-1.jsonl --out pump-shafts.html
  fitledger report sessions/2026-11-24-1.jsonl --out part-3.html --part 3 --readings
  fitledger report sessions/2026-11-24-1.jsonl --out S-0012.html --serial S-0012 --decimal comma

The page stands alone: nothing in it is loaded from elsewhere. Corrections, concessions and what
is open or in doubt are always shown. The exit is 1 when a part is not GO or the record is damaged;
the report is written all the same.")]
    Report(ReportArguments),
    /// The gauges of the register: what is due, overdue, to be checked or only assumed
    #[command(after_help = "\
Examples:
  fitledger gauges
  fitledger gauges --json --on 2027-03-02
  fitledger gauges --confirm caliper-150

A permissible error that the register does not state is assumed by the gauge's kind, from older
published limits where there are any. --confirm writes it into gauges.toml, with its source.")]
    Gauges(GaugesArguments),
    /// What a Digital Calibration Certificate says, and its way into the register
    #[command(after_help = "\
Examples:
  fitledger certificate mic-25.xml
  fitledger certificate mic-25.xml --table 1 --at-column 1 --error-column 3
  fitledger certificate mic-25.xml --gauge mic-25 --serial EX-0001 --write

The signature is not checked. U, k, the errors found, the date, the certificate's number and the
serial number are written, never for another serial number than the gauge's; comments stay.")]
    Certificate(CertificateArguments),
    /// Check the zero of a gauge, on its own or on a setting standard; the check is recorded
    ZeroCheck(ZeroCheckArguments),
    /// Record that a gauge was found wrong: what it measured is in doubt
    Doubt(DoubtArguments),
    /// What is in doubt after a failed zero check, by part, in all sessions of the workspace
    Doubtful(DoubtfulArguments),
    /// Serial ports that are attached
    #[command(after_help = "\
Examples:
  fitledger ports
  fitledger ports --udev 1209:0001")]
    Ports(PortsArguments),
    /// Show raw bytes and decoded readings of a gauge, live
    #[command(after_help = "\
Examples:
  fitledger listen --gauge serial:/dev/ttyUSB0 --adapter line-free")]
    Listen(ListenArguments),
    /// Decode bytes given in hexadecimal, one stream a line; a blank is a pause
    #[command(after_help = "\
Examples:
  echo '2b31322e33340d0a' | fitledger decode --json --adapter line-free
  echo 'd20400 d30400' | fitledger decode --adapter bin24")]
    Decode(DecodeArguments),
    /// Learn an adapter from presses on known sizes
    #[command(after_help = "\
Examples:
  fitledger teach --gauge serial:/dev/ttyUSB0 --size 1.005 --size 7.5 --size 20 --confirm 12.5
  fitledger teach --captured bursts.txt --name bench-caliper --json")]
    Teach(TeachArguments),
    /// Print a completion script for a shell
    Completions(CompletionsArguments),
    /// The guide: what the program can do and how it is used, a page a topic
    #[command(after_help = GUIDE_HELP)]
    Guide(GuideArguments),
    /// Print a manual page, as man reads it: of the program, or of one command
    #[command(after_help = "\
Examples:
  fitledger manual | man -l -
  fitledger manual inspect > fitledger-inspect.1")]
    Manual(ManualArguments),
}

/// See [`Command::Limits`].
#[derive(Debug, Args)]
pub struct LimitsArguments {
    /// Callouts such as '25 H7', '12 ±0.05', '20.000..20.021'; - reads one a line
    #[arg(value_name = "CALLOUT", required = true)]
    pub callouts: Vec<String>,
    /// General tolerance class of ISO 2768-1 for bare sizes
    #[arg(long, value_name = "f|m|c|v")]
    pub general: Option<String>,
    /// Length of the shorter side of an angle, mm (ISO 2768-1 asks for it)
    #[arg(long, value_name = "MM")]
    pub shorter_side: Option<String>,
    /// Coating thickness per surface in mm: the limits before coating follow
    #[arg(long, value_name = "MIN..MAX")]
    pub coating: Option<String>,
    /// Where the metal is, when the callout does not say: outside, inside, length, ...
    #[arg(long, value_name = "SURFACE")]
    pub surface: Option<String>,
    /// A drill's diameter in mm: the percentage of an internal thread that its hole leaves
    #[arg(long, value_name = "MM")]
    pub drill: Option<String>,
    /// How a thread is made: bore target, depth, infeed, relief and lead-in
    #[arg(long)]
    pub making: bool,
    /// The holes that a bolt of that thread passes through: fine, medium, coarse (ISO 273)
    #[arg(long, conflicts_with_all = ["drill", "making", "coating", "surface"])]
    pub clearance: bool,
    /// One JSON object a line
    #[arg(long)]
    pub json: bool,
}

/// The decision rule by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RuleName {
    /// ISO 14253-1:2017: proved at 95 % probability.
    Probability,
    /// A guard band of a multiple of u at each limit.
    Guard,
    /// Inside is GO.
    Simple,
}

/// Options of the decision rule.
#[derive(Debug, Default, Args)]
pub struct RuleArguments {
    /// Decision rule; probability when u is known, else simple
    #[arg(long, value_enum)]
    pub rule: Option<RuleName>,
    /// Probability asked for by the rule probability
    #[arg(long, value_name = "P")]
    pub confidence: Option<f64>,
    /// Multiple of u in the rule guard
    #[arg(long, value_name = "FACTOR")]
    pub guard_factor: Option<f64>,
}

/// See [`Command::Judge`].
#[derive(Debug, Args)]
pub struct JudgeArguments {
    /// Callout; - reads `CALLOUT | VALUE [| u]` from each line
    #[arg(value_name = "CALLOUT")]
    pub callout: String,
    /// Measured value in mm (or degrees); of a limit gauge what it did
    #[arg(value_name = "VALUE", allow_hyphen_values = true)]
    pub value: Option<String>,
    /// Element of a thread: major, pitch, minor, wires (a reading over three wires); or go_plug,
    /// no_go_plug, go_ring, no_go_ring: VALUE is goes, does_not or the turns
    #[arg(long)]
    pub element: Option<String>,
    /// Mean diameter of the three wires in mm; the best wire unless said
    #[arg(long, value_name = "MM", requires = "element")]
    pub wire: Option<String>,
    /// Standard uncertainty of the mean wire diameter in mm; it counts three times
    #[arg(long, value_name = "u", requires = "element")]
    pub wire_uncertainty: Option<String>,
    /// Take off what the lead angle adds over the wires
    #[arg(long, requires = "element")]
    pub lead_angle_correction: bool,
    /// Expanded uncertainty U in mm (or degrees)
    #[arg(long, value_name = "U", conflicts_with = "standard_uncertainty")]
    pub uncertainty: Option<String>,
    /// Coverage factor of U
    #[arg(long, default_value = "2")]
    pub k: String,
    /// Standard uncertainty u in mm (or degrees)
    #[arg(long, value_name = "u")]
    pub standard_uncertainty: Option<String>,
    /// The decision rule.
    #[command(flatten)]
    pub rule: RuleArguments,
    /// Gauge of the register: its error gives the uncertainty
    #[arg(long, value_name = "ID")]
    pub gauge: Option<String>,
    /// Allowance for the form of the part in mm, plus or minus: a line of the budget
    #[arg(long, value_name = "MM", requires = "gauge")]
    pub form: Option<String>,
    /// Temperature of the part, °C
    #[arg(long, value_name = "CELSIUS", allow_hyphen_values = true)]
    pub part_temperature: Option<String>,
    /// Temperature of the gauge, °C
    #[arg(long, value_name = "CELSIUS", allow_hyphen_values = true)]
    pub gauge_temperature: Option<String>,
    /// Material of the part, for its expansion
    #[arg(long)]
    pub material: Option<String>,
    /// Where the metal is: outside, inside, length, depth, slot, step
    #[arg(long)]
    pub surface: Option<String>,
    /// General tolerance class of ISO 2768-1 for a bare size
    #[arg(long, value_name = "f|m|c|v")]
    pub general: Option<String>,
    /// The cross-slide dial, so that the cut is told in its steps: radius:0.02 or diameter:0.02
    #[arg(long, value_name = "READS:STEP", requires = "cutting")]
    pub dial: Option<String>,
    /// Cutting goes on: on the metal-on side say what is left
    #[arg(long)]
    pub cutting: bool,
    /// One JSON object a line
    #[arg(long)]
    pub json: bool,
}

/// When a reading that is not GO moves on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Advance {
    /// Only GO moves on; the next reading repeats the point
    Go,
    /// All but metal still on: that point is cut, and the next reading measures it anew
    Rework,
    /// Every reading settles its point: parts are sorted
    Always,
}

/// What is measured, and with what: of [`Command::Inspect`] and [`Command::Window`].
#[derive(Debug, Default, Args)]
pub struct SessionArguments {
    /// Inspection plan (TOML)
    #[arg(long, value_name = "FILE", conflicts_with_all = ["callout", "demo", "continue_journal"])]
    pub plan: Option<PathBuf>,
    /// Measure against this callout; may be given several times
    #[arg(long, value_name = "CALLOUT", conflicts_with_all = ["demo", "continue_journal"])]
    pub callout: Vec<String>,
    /// The built-in batch of pump shafts with a simulated gauge
    #[arg(long, conflicts_with = "continue_journal")]
    pub demo: bool,
    /// Take up an unfinished session
    #[arg(long = "continue", value_name = "JOURNAL")]
    pub continue_journal: Option<PathBuf>,
    /// Where readings come from
    #[arg(
        long,
        value_name = "SOURCE",
        help = "Where readings come from: [ID=]serial:PORT|simulated[:SEED]|typed[@ADAPTER]"
    )]
    pub gauge: Vec<String>,
    /// Adapter that decodes the bytes: a name, or FILE or FILE#name
    #[arg(long, value_name = "NAME|FILE")]
    pub adapter: Option<String>,
    /// Who measures
    #[arg(long, value_name = "NAME")]
    pub operator: Option<String>,
    /// Order that the parts are for; the plan's unless said
    #[arg(long, value_name = "TEXT")]
    pub order: Option<String>,
    /// Customer; the plan's unless said
    #[arg(long, value_name = "TEXT")]
    pub customer: Option<String>,
    /// Lot of the material; the plan's unless said
    #[arg(long, value_name = "TEXT")]
    pub lot: Option<String>,
    /// Machine that the parts are made on
    #[arg(long, value_name = "TEXT")]
    pub machine: Option<String>,
    /// How many parts
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub parts: Option<u32>,
    /// Stage of the plan at which the parts are measured; the last one unless said
    #[arg(long, value_name = "NAME")]
    pub stage: Option<String>,
    /// The cross-slide dial, so that cuts are told in its steps: radius:0.02 or diameter:0.02
    #[arg(long, value_name = "READS:STEP")]
    pub dial: Option<String>,
    /// A measured half of a pair of the plan: its mate is made to suit, in this session only
    #[arg(
        long,
        value_name = "FEATURE=MEASURED",
        help = "Make the mate of FEATURE to suit: FEATURE=SIZE[±u] or FEATURE=RECORD.jsonl[#PART]",
        conflicts_with = "continue_journal"
    )]
    pub suit: Vec<String>,
    /// What is made to suit must lie in its own class, too
    #[arg(long, requires = "suit")]
    pub keep_class: bool,
    /// The decision rule.
    #[command(flatten)]
    pub rule: RuleArguments,
    /// General tolerance class of ISO 2768-1 for bare callouts
    #[arg(long, value_name = "f|m|c|v")]
    pub general: Option<String>,
}

/// See [`Command::Inspect`].
#[derive(Debug, Default, Args)]
pub struct InspectArguments {
    /// What is measured, and with what.
    #[command(flatten)]
    pub session: SessionArguments,
    /// What moves on to the next point, characteristic and part
    #[arg(long, value_enum)]
    pub advance: Option<Advance>,
    /// Start with cutting on
    #[arg(long)]
    pub cutting: bool,
    /// One JSON object a verdict
    #[arg(long)]
    pub json: bool,
}

/// See [`Command::Window`].
#[derive(Debug, Default, Args)]
pub struct WindowArguments {
    /// What is measured, and with what.
    #[command(flatten)]
    pub session: SessionArguments,
    /// What moves on to the next point, characteristic and part
    #[arg(long, value_enum)]
    pub advance: Option<Advance>,
}

/// See [`Command::Manual`].
#[derive(Debug, Args)]
pub struct ManualArguments {
    /// The command; the program as a whole unless said
    #[arg(value_name = "COMMAND", value_parser = super::manual::known)]
    pub command: Option<String>,
}

/// See [`Command::Completions`].
#[derive(Debug, Args)]
pub struct CompletionsArguments {
    /// The shell
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}
