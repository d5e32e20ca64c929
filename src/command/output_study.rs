//! The JSON Lines of a gauge study that is measured here.

use serde::Serialize;

use super::output_gauge_study::GaugeStudyLine;

/// A reading that filled a cell.
#[derive(Debug, Serialize)]
pub(super) struct CellLine<'a> {
    pub(super) part: &'a str,
    pub(super) operator: &'a str,
    pub(super) trial: u32,
    /// As the gauge showed it, mm.
    pub(super) value: Option<String>,
    /// What looks odd in it.
    pub(super) remark: Option<String>,
    pub(super) event: u64,
    pub(super) reading: u64,
}

/// How the line of the gauge is.
#[derive(Debug, Serialize)]
pub(super) struct GaugeLine<'a> {
    pub(super) line: GaugeLineBody<'a>,
}

#[derive(Debug, Serialize)]
pub(super) struct GaugeLineBody<'a> {
    pub(super) gauge: &'a str,
    /// As in the record: `attached`, `unplugged`, ...; of refused frames why.
    pub(super) state: &'a str,
    pub(super) detail: &'a str,
    /// So many frames were no readings, beside those told one by one.
    pub(super) refused: Option<u64>,
}

/// What a study has come to.
#[derive(Debug, Serialize)]
pub(super) struct StudyLine {
    pub(super) gauge: String,
    pub(super) wanted: usize,
    pub(super) filled: usize,
    pub(super) missing: Vec<MissingBody>,
    /// In the form of a study from a table; what needs every reading is null while some are
    /// missing.
    pub(super) study: GaugeStudyLine,
    /// The same thing read on several days.
    pub(super) days: Vec<DaysBody>,
    /// Why the study is in doubt: its gauge was found wrong after it.
    pub(super) in_doubt: Option<String>,
    /// What to do, the most urgent first.
    pub(super) next: Vec<String>,
    /// The line of `gauges.toml`.
    pub(super) register: Option<String>,
    /// Where it was written.
    pub(super) written: Option<String>,
}

#[derive(Debug, Serialize)]
pub(super) struct MissingBody {
    pub(super) part: String,
    pub(super) operator: String,
    pub(super) trial: u32,
}

#[derive(Debug, Serialize)]
pub(super) struct DaysBody {
    pub(super) part: String,
    pub(super) reference: Option<f64>,
    pub(super) days: Vec<DayBody>,
    pub(super) within_sd: Option<f64>,
    pub(super) between_sd: Option<f64>,
    /// Of a reading on any day: both together.
    pub(super) sd: Option<f64>,
    /// The probability of such differences between days by chance.
    pub(super) p: Option<f64>,
    /// Change of a day's mean for each day; none under three days.
    pub(super) drift: Option<f64>,
    pub(super) drift_p: Option<f64>,
    /// What the days say.
    pub(super) sentence: String,
    /// Of the readings, where it is known: told to people.
    #[serde(skip)]
    pub(super) unit: &'static str,
}

#[derive(Debug, Serialize)]
pub(super) struct DayBody {
    pub(super) day: String,
    pub(super) n: usize,
    /// Less the reference, where there is one.
    pub(super) mean: f64,
}
