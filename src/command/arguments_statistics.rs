//! The arguments of the commands that compute over many values.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::arguments_report::Decimal;
use super::arguments_study::GuidedStudyArguments;

/// What `statistics` says of itself after its options.
pub(super) const STATISTICS_HELP: &str = "\
Examples:
  fitledger statistics --lower 20.002 --upper 20.015 < diameters.txt
  fitledger statistics --json --upper 0.02 --bounded < runout.txt
  fitledger statistics --subgroup 5 --tests sevens < diameters.txt
  fitledger statistics sessions/2026-11-24-1.jsonl
  fitledger statistics sessions/hardened.jsonl --before sessions/turned.jsonl

From a journal: every characteristic of its session over the parts, with advice; --before adds
what the operation between two sessions changed, and what to leave for it. Parts are known by
their serial numbers, or by their order where none has one.

From a list: one number a line, in the order of making; a point or a comma, no unit. Intervals
are of 95 %. Under 30 values an index is told by its interval alone. Points and values are
counted from 1.";

/// What `gauge-study` says of itself after its options.
pub(super) const GAUGE_STUDY_HELP: &str = "\
Examples:
  fitledger gauge-study --gauge mic-25 --parts 10 --operators Ada,Bea --tolerance 0.013
  fitledger gauge-study --gauge mic-25 --on ring-20 --trials 25 --write
  fitledger gauge-study --gauge mic-25=typed --reference 2.5 10.1 20.2 --trials 12
  fitledger gauge-study --record sessions/2026-11-26-080000-gauge-study.jsonl --write
  fitledger gauge-study --tolerance 0.013 < study.csv
  fitledger gauge-study --json --pooling never < study.csv

With --gauge the study is measured now, cell by cell, with the gauge's data button or typed: * or r
takes the last reading once more, v WHY takes it out, q leaves the study, which --continue takes up
again. Every reading is recorded first. One person alone learns the repeatability, with --reference
or --on the bias, and with studies of the same part on several days the stability.

From a table on standard input:
The first line names the columns, in any order: part and value; operator, trial, reference and day
(such as 2026-11-26) where there are any. Every operator measures every part equally often. With one
operator the study gives repeatability. With references, the known sizes, it gives bias and
linearity too; with days whether each part reads alike on all of them.";

/// What `chart` says of itself after its options.
pub(super) const CHART_HELP: &str = "\
Examples:
  fitledger chart sessions/2026-11-24-1.jsonl --feature A --kind control --out a.svg
  fitledger chart --kind run --lower 20.002 --upper 20.015 --out run.svg < diameters.txt
  fitledger chart --kind control --subgroup 5 --out control.png --scale 2 < diameters.txt
  fitledger chart --kind capability --upper 0.02 --bounded --out runout.svg < runout.txt

From a journal: the sizes of one characteristic over the parts, with tool changes, what is in doubt
and the control limits that the bench uses. Without one: one number a line, in the order of making.
The ending of the name chooses SVG or PNG.";

/// The out-of-control tests by the standard or handbook that has them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum TestsName {
    /// All eight: Nelson 1984, ISO 8258
    Nelson,
    /// 1, 2, 5 and 6 with eight points on one side
    EightOnOneSide,
    /// 1, 2 and 3 with runs of seven: ISO 7870-2, main text
    Sevens,
}

/// What is asked of a list of values.
#[derive(Debug, Clone, Args)]
pub struct ValuesArguments {
    /// Lower limit
    #[arg(long, value_name = "L", allow_hyphen_values = true)]
    pub lower: Option<String>,
    /// Upper limit
    #[arg(long, value_name = "U", allow_hyphen_values = true)]
    pub upper: Option<String>,
    /// Values in each subgroup, 2 to 25: as many as were made one after the other
    #[arg(long, value_name = "N")]
    pub subgroup: Option<usize>,
    /// Which out-of-control tests
    #[arg(long, value_enum, default_value = "nelson")]
    pub tests: TestsName,
    /// The values end at zero, such as runout or ovality: they are not treated as normal
    #[arg(long)]
    pub bounded: bool,
    /// The step of the readings; the last decimal of the list unless said
    #[arg(long, value_name = "STEP")]
    pub resolution: Option<String>,
}

/// See [`super::Command::Statistics`].
#[derive(Debug, Args)]
pub struct StatisticsArguments {
    /// Journal of a session: its numbers over the parts, instead of a list
    #[arg(conflicts_with_all = ["lower", "upper", "subgroup", "bounded", "resolution"])]
    pub journal: Option<PathBuf>,
    /// Journal of the session that measured the same parts before an operation
    #[arg(long, value_name = "JOURNAL", requires = "journal")]
    pub before: Option<PathBuf>,
    /// What is asked.
    #[command(flatten)]
    pub asked: ValuesArguments,
    /// One JSON object
    #[arg(long)]
    pub json: bool,
}

/// What becomes of the interaction of operators and parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PoolingAsked {
    /// It stays.
    Never,
    /// It always joins the repeatability.
    Always,
    /// It joins where its probability is above this.
    Above(f64),
}

impl std::str::FromStr for PoolingAsked {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        match text {
            "never" => Ok(Self::Never),
            "always" => Ok(Self::Always),
            number => match number.replace(',', ".").parse::<f64>() {
                Ok(level) if (0.0..=1.0).contains(&level) => Ok(Self::Above(level)),
                _ => Err("say never, always, or a probability from 0 to 1".to_owned()),
            },
        }
    }
}

/// See [`super::Command::GaugeStudy`].
#[derive(Debug, Args)]
pub struct GaugeStudyArguments {
    /// Width of the limits that the gauge is to judge: its share is told
    #[arg(long, value_name = "T")]
    pub tolerance: Option<String>,
    /// Join operators × parts with the repeatability: never, always, or above a probability
    #[arg(long, value_name = "WHEN", default_value = "0.05")]
    pub pooling: PoolingAsked,
    /// A study that is measured now.
    #[command(flatten)]
    pub guided: GuidedStudyArguments,
    /// One JSON object; of a study that is measured now, one a reading too
    #[arg(long)]
    pub json: bool,
}

/// The kinds of charts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ChartName {
    /// Values in their order, with the limits
    Run,
    /// Control charts of location and spread, with signals by name
    Control,
    /// How often the values lie where, with limits and fitted curve
    Histogram,
    /// Capability as intervals
    Capability,
    /// The line through the values, with the band of prediction
    Trend,
}

/// See [`super::Command::Chart`].
#[derive(Debug, Args)]
pub struct ChartArguments {
    /// Journal file of a session; without it the values come from standard input
    #[arg(
        value_name = "JOURNAL",
        conflicts_with_all = ["lower", "upper", "subgroup", "bounded", "resolution"],
        conflicts_with_all = ["title", "unit"]
    )]
    pub journal: Option<PathBuf>,
    /// The feature of the session's plan
    #[arg(long, value_name = "ID", requires = "journal")]
    pub feature: Option<String>,
    /// The element of the feature, such as pitch; its first unless said
    #[arg(long, value_name = "ELEMENT", requires = "feature")]
    pub element: Option<String>,
    /// Kind of chart
    #[arg(long, value_enum)]
    pub kind: ChartName,
    /// Where the chart goes; its ending chooses the form
    #[arg(long, value_name = "FILE.svg|FILE.png")]
    pub out: PathBuf,
    /// What is asked.
    #[command(flatten)]
    pub asked: ValuesArguments,
    /// Name over the chart
    #[arg(long)]
    pub title: Option<String>,
    /// Unit of the values, such as mm
    #[arg(long)]
    pub unit: Option<String>,
    /// Width and height in pixels of 1/96 inch; 900x540 unless said, 900x760 for control charts
    #[arg(long, value_name = "WIDTHxHEIGHT")]
    pub size: Option<String>,
    /// Pixels of a PNG for each of the size, 0.5 to 4
    #[arg(long, default_value = "2")]
    pub scale: f64,
    /// Black and greys alone
    #[arg(long)]
    pub black_and_white: bool,
    /// The decimal mark
    #[arg(long, value_enum, default_value = "point")]
    pub decimal: Decimal,
    /// Replace a file that is there
    #[arg(long)]
    pub replace: bool,
    /// One JSON object about what was written
    #[arg(long)]
    pub json: bool,
}
