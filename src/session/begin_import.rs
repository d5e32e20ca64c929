//! How a session of values begins that were measured elsewhere and are read from a table.

use super::begin::{Begin, gauge_text, opened};
use super::begin_error::BeginError;
use super::doubtful::GaugeStory;
use super::opening::open_session;
use super::recorder::Recorder;
use super::runner::Clock;
use super::workspace::{Workspace, journal_name, local_now, now};
use crate::gauge::Register;
use crate::journal::{DiskFolder, GaugeSource};

/// The gauge of imported values whose gauge nobody names.
pub const UNNAMED_IMPORTED: &str = "imported";
/// How a source of imported values begins; the table's name follows.
pub(super) const IMPORTED_SOURCE: &str = "imported:";

/// A session whose first event is on the disk.
pub struct Importing {
    /// The one writer.
    pub recorder: Recorder<DiskFolder>,
    /// Where its journal is.
    pub folder: DiskFolder,
    /// Its clock.
    pub clock: Clock,
}

/// Opens the journal for the values of the table `table`, measured with these gauges of the
/// register (or [`UNNAMED_IMPORTED`]).
///
/// # Errors
/// What is wrong with the plan, the files or the disk; nothing has been recorded then.
pub fn begin_import(
    begin: &Begin,
    table: &str,
    gauges: &[String],
    workspace: &Workspace,
) -> Result<Importing, BeginError> {
    let (text, _) = gauge_text(begin, workspace)?;
    let register =
        Register::parse(&text, "gauges.toml").map_err(|errors| BeginError::register(&errors))?;
    let mut opened = opened(begin, workspace, text)?;
    let sources = gauges.iter().map(|gauge| GaugeSource {
        gauge: gauge.clone(),
        source: format!("{IMPORTED_SOURCE}{table}"),
        adapter: String::new(),
        // Two equal rows were both meant.
        repeat_ms: 0,
    });
    opened.sources = sources.collect();
    opened.zeros = GaugeStory::before(workspace, &register, now());
    let folder = workspace.sessions()?;
    let clock = Clock::starting_at(0);
    let start = local_now();
    let what = opened.plan_name.trim_end_matches(".toml").to_owned();
    let name = |attempt| journal_name(&start, &what, attempt);
    let recorder = open_session(&folder, name, opened, clock.now())?;
    Ok(Importing {
        recorder,
        folder,
        clock,
    })
}
