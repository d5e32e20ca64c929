//! The arguments of a gauge study that is measured here.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

/// In which order the parts of a study are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum StudyOrder {
    /// Drawn anew each time round, so that nobody knows which part comes next
    Random,
    /// As the parts stand
    Stated,
}

/// A study that is measured now, or was measured before.
#[derive(Debug, Args)]
pub struct GuidedStudyArguments {
    /// The gauge and where its readings come from: ID=serial:PORT, ID=typed, or ID alone; then
    /// the study is measured now, and nothing is read as a table
    #[arg(long, value_name = "[ID=]SOURCE[@ADAPTER]", conflicts_with = "record")]
    pub gauge: Option<String>,
    /// Adapter that decodes the bytes: a name, or FILE or FILE#name
    #[arg(long, value_name = "NAME|FILE")]
    pub adapter: Option<String>,
    /// How many parts; 1 unless said
    #[arg(long, value_name = "N", conflicts_with = "part")]
    pub parts: Option<u32>,
    /// A part's name; once for each
    #[arg(long, value_name = "NAME")]
    pub part: Vec<String>,
    /// Who measures, separated by commas; one person unless said
    #[arg(long, value_name = "A,B", value_delimiter = ',')]
    pub operators: Vec<String>,
    /// How often each measures each part; 3, with one person 10, with one part 25 unless said
    #[arg(long, value_name = "R")]
    pub trials: Option<u32>,
    /// The known size of each part in mm, in the order of the parts
    #[arg(long, value_name = "SIZE", num_args = 1.., allow_negative_numbers = true)]
    pub reference: Vec<String>,
    /// The parts are these setting standards of the register
    #[arg(
        long,
        value_name = "ID",
        num_args = 1..,
        conflicts_with_all = ["parts", "part", "reference"]
    )]
    pub on: Vec<String>,
    /// The order of the parts; random unless said
    #[arg(long, value_enum, value_name = "ORDER")]
    pub order: Option<StudyOrder>,
    /// Where a random order begins: the same number gives the same order
    #[arg(long, value_name = "NUMBER", conflicts_with = "order")]
    pub seed: Option<u64>,
    /// Go on with a study that was left
    #[arg(long = "continue", value_name = "JOURNAL", conflicts_with = "record")]
    pub continue_journal: Option<PathBuf>,
    /// What a recorded study comes to
    #[arg(long, value_name = "JOURNAL")]
    pub record: Option<PathBuf>,
    /// Write the repeatability into gauges.toml
    #[arg(long)]
    pub write: bool,
}

impl GuidedStudyArguments {
    /// Whether a study of this program is meant, and no table.
    pub(super) fn is_meant(&self) -> bool {
        self.gauge.is_some() || self.continue_journal.is_some() || self.record.is_some()
    }

    /// What is said that only a study of this program understands.
    pub(super) fn only_here(&self) -> Option<&'static str> {
        let said = [
            (self.adapter.is_some(), "--adapter"),
            (self.parts.is_some(), "--parts"),
            (!self.part.is_empty(), "--part"),
            (!self.operators.is_empty(), "--operators"),
            (self.trials.is_some(), "--trials"),
            (!self.reference.is_empty(), "--reference"),
            (!self.on.is_empty(), "--on"),
            (self.order.is_some(), "--order"),
            (self.seed.is_some(), "--seed"),
            (self.write, "--write"),
        ];
        said.iter()
            .find(|(is_said, _)| *is_said)
            .map(|(_, name)| *name)
    }
}
