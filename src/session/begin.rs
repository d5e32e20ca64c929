//! How a session begins, for the command line and the window alike: what is measured, with which
//! gauges; then the plan is read, the ports are opened, the journal is made or taken up.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::begin_error::BeginError;
use super::command::Command;
use super::doubtful::GaugeStory;
use super::doubtful_study::trusted_register;
use super::opening::{OpeningError, open_session, resume_session, session_tables, tables_digest};
use super::record_folders::folder_and_name;
use super::recorder::{Incoming, Recorder};
use super::runner::{Clock, Inbox};
use super::setup::Setup;
use super::sources::{recorded_sources, sources};
use super::state::State;
use super::study_asked::{StudyAsked, only_gauge};
use super::suit_asked::suits_asked;
use super::suitable::{standard_caution, suitability_warnings};
use super::suited::SuitedLimit;
use super::wiring::{Wired, gauge_sources, takes_moving, wired};
use super::workspace::{Workspace, journal_name, local_now, now, read_text, today};
use super::zero::ZeroState;
use crate::gauge::{Due, GaugeId, Register};
use crate::journal::{DiskFolder, GaugeSource, Job, SessionOpened, continuation_name, rule_text};
use crate::measure::Rule;
use crate::plan::{Plan, Take};

/// Name and version, as it stands in every record.
pub(super) const PROGRAM: &str = concat!("fitledger ", env!("CARGO_PKG_VERSION"));

/// What a session is called that is a study of a gauge.
pub(super) const STUDY_NAME: &str = "gauge-study";

/// What is measured.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum What {
    /// The built-in batch of pump shafts.
    Demo,
    /// Each of these callouts on every part.
    Callouts(Vec<String>),
    /// What a plan file says.
    Plan(PathBuf),
    /// No part: only the zeros of gauges are checked.
    Gauges,
    /// No part of a plan: how far a gauge and its users can be trusted.
    Study(StudyAsked),
    /// What an unfinished session of this journal was measuring.
    Continue(PathBuf),
}

/// Everything that may be said of a session before it begins. An empty text says nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Begin {
    /// What is measured.
    pub what: What,
    /// Where readings come from: `[ID=]serial:PORT|simulated[:SEED]|typed[@ADAPTER]`, or the id
    /// of a gauge of the register that has a port. None: those of the record when a session is
    /// taken up, a simulated one for the demo, else typed.
    pub gauges: Vec<String>,
    /// Adapter of the sources that name none: a name, or `FILE`, or `FILE#name`.
    pub adapter: Option<String>,
    /// Who measures.
    pub operator: String,
    /// The decision rule; none: probability when the uncertainty is known, else simple.
    pub rule: Option<Rule>,
    /// Stage of the plan; empty: the last one.
    pub stage: String,
    /// General tolerance class of bare callouts.
    pub general: String,
    /// The cross-slide dial, `radius:0.02` or `diameter:0.02`.
    pub dial: String,
    /// How many parts.
    pub parts: Option<u32>,
    /// A verdict that is not GO moves on too.
    pub advance_always: bool,
    /// It does so unless metal can still be taken off.
    pub advance_rework: bool,
    /// Cutting is on at the start.
    pub cutting: bool,
    /// What names the work, beside the plan.
    pub job: Job,
    /// Measured halves whose mates in the plan are made to suit them: `FEATURE=SIZE[±u]` or
    /// `FEATURE=RECORD.jsonl[#PART]`.
    pub suits: Vec<String>,
    /// What is made to suit must lie in its own class, too.
    pub keep_class: bool,
}

impl Begin {
    /// That, with everything else left unsaid.
    pub fn new(what: What) -> Self {
        Self {
            what,
            gauges: Vec::new(),
            adapter: None,
            operator: String::new(),
            rule: None,
            stage: String::new(),
            general: String::new(),
            dial: String::new(),
            parts: None,
            advance_always: false,
            advance_rework: false,
            cutting: false,
            job: Job::default(),
            suits: Vec::new(),
            keep_class: false,
        }
    }
}

impl Default for Begin {
    /// The demo.
    fn default() -> Self {
        Self::new(What::Demo)
    }
}

/// A session whose first event is on the disk, and whose readers are ready to be started.
pub struct Prepared {
    /// The one writer.
    pub recorder: Recorder<DiskFolder>,
    /// Where its journal is.
    pub folder: DiskFolder,
    /// The queue to it.
    pub inbox: Inbox,
    /// Where readings come from.
    pub wired: Wired,
    /// What is to be known before measuring: due calibrations, findings in the record.
    pub told: Vec<String>,
    /// It is the demo, which plays by itself.
    pub is_demo: bool,
}

/// Reads the plan and the gauges, opens or takes up the journal.
///
/// # Errors
/// What is wrong with what was asked, with the files or the disk; nothing has been recorded then.
pub fn prepare(begin: &Begin, workspace: &Workspace) -> Result<Prepared, BeginError> {
    if let What::Continue(journal) = &begin.what {
        return take_up(begin, journal, workspace);
    }
    let (gauges, left_out) = gauge_text(begin, workspace)?;
    let register =
        Register::parse(&gauges, "gauges.toml").map_err(|errors| BeginError::register(&errors))?;
    let asked = sources(begin, &register)?;
    let mut opened = opened(begin, workspace, gauges)?;
    opened.sources = gauge_sources(&asked, &register, &opened, workspace)?;
    if begin.what != What::Demo {
        opened.zeros = GaugeStory::before(workspace, &register, now());
    }
    let study = match &begin.what {
        What::Study(asked) => Some(asked.plan(only_gauge(&opened.sources)?, &register)?),
        _ => None,
    };
    let setup = Setup::of(&opened).map_err(OpeningError::Setup)?;
    if !takes_moving(&asked, workspace)? {
        refuse_moving_readings(&setup)?;
    }
    let mut told = due_dates(&opened.sources, &register);
    told.extend(left_out);
    told.extend(zeros_told(&State::new(Arc::new(setup.clone())), 0));
    told.extend(standards_told(&setup));
    told.extend(suited_told(&setup));
    told.extend(suitability_warnings(&setup));
    let wired = wired(begin.cutting, &asked, &register, workspace)?;
    let folder = workspace.sessions()?;
    let inbox =
        Inbox::new(Clock::starting_at(0)).map_err(|error| BeginError::no_threads(&error))?;
    let start = local_now();
    let what = opened.plan_name.trim_end_matches(".toml").to_owned();
    let name = |attempt| journal_name(&start, &what, attempt);
    let mut recorder = open_session(&folder, name, opened, inbox.clock().now())
        .map_err(|error| BeginError::in_folder(error, &folder))?;
    if let Some(study) = study {
        let open = Incoming::Command(Command::OpenStudy(Box::new(study)));
        let taken = recorder.take(vec![(inbox.clock().now(), open)]);
        if let Some(failure) = taken.failure {
            return Err(BeginError::in_folder(failure.into(), &folder));
        }
    }
    Ok(Prepared {
        recorder,
        folder,
        inbox,
        wired,
        told,
        is_demo: begin.what == What::Demo,
    })
}

/// What a session would measure with which register, without beginning it; `gauges` is a register
/// in place of the workspace's.
///
/// # Errors
/// What is wrong with what was asked or with the files.
pub fn setup_asked(
    begin: &Begin,
    gauges: Option<&Path>,
    workspace: &Workspace,
) -> Result<Setup, BeginError> {
    let text = match gauges {
        Some(path) => read_text(path)?,
        None => gauge_text(begin, workspace)?.0,
    };
    let opened = opened(begin, workspace, text)?;
    Ok(Setup::of(&opened).map_err(OpeningError::Setup)?)
}

fn take_up(begin: &Begin, journal: &Path, workspace: &Workspace) -> Result<Prepared, BeginError> {
    let (folder, name) = folder_and_name(journal);
    let mut clock = None;
    let continued = |first: &str, attempt| continuation_name(first, &name, attempt);
    let now = |last_ms, last_time| {
        let started = Clock::resuming(last_ms, last_time);
        let moment = started.now();
        clock = Some(started);
        moment
    };
    let mut resumed = resume_session(&folder, &name, continued, PROGRAM, now)
        .map_err(|error| BeginError::in_folder(error, &folder))?;
    let setup = resumed.recorder.state().setup();
    let asked = if begin.gauges.is_empty() {
        recorded_sources(&setup.sources, begin.adapter.as_deref(), &setup.register)?
    } else {
        sources(begin, &setup.register)?
    };
    let findings = resumed.reports.iter().flat_map(|report| &report.findings);
    let mut told: Vec<String> = findings.map(ToString::to_string).collect();
    told.extend(standards_told(setup));
    told.extend(suited_told(setup));
    told.extend(suitability_warnings(setup));
    let wired = wired(begin.cutting, &asked, &setup.register, workspace)?;
    let clock = clock.unwrap_or_else(|| Clock::starting_at(resumed.last_ms));
    for doubt in failed_meanwhile(resumed.recorder.state(), workspace) {
        let incoming = Incoming::Command(doubt);
        resumed.recorder.take(vec![(clock.now(), incoming)]);
    }
    let now_ms = clock.now().mono_ms;
    told.extend(zeros_told(resumed.recorder.state(), now_ms));
    let inbox = Inbox::new(clock).map_err(|error| BeginError::no_threads(&error))?;
    Ok(Prepared {
        recorder: resumed.recorder,
        folder,
        inbox,
        wired,
        told,
        is_demo: false,
    })
}

/// Gauges that failed a check in another session while this one lay: that is recorded here too, so
/// that they prove nothing here until they are checked again.
fn failed_meanwhile(state: &State, workspace: &Workspace) -> Vec<Command> {
    let newest = GaugeStory::before(workspace, &state.setup().register, now());
    let failed = newest.into_iter().filter(|check| {
        let own = state.zeros().last(&GaugeId::new(&check.gauge));
        !check.good && own.is_none_or(|own| own.good)
    });
    let doubts = failed.map(|check| Command::DoubtGauge {
        gauge: GaugeId::new(&check.gauge),
        since: None,
        reason: format!("found wrong in another session at {}", check.time),
    });
    doubts.collect()
}

pub(super) fn file_name(path: &Path) -> String {
    let name = path.file_name().unwrap_or_default();
    name.to_string_lossy().into_owned()
}

/// A value that is to be taken out of moving readings needs a gauge that streams.
fn refuse_moving_readings(setup: &Setup) -> Result<(), BeginError> {
    let moving = setup
        .plan
        .order()
        .into_iter()
        .find(|one| one.take != Take::Press);
    let Some(one) = moving else { return Ok(()) };
    let message = format!(
        "{} takes the {} of moving readings, and the gauges of this session send single ones.",
        one.id,
        one.take.word()
    );
    Err(BeginError::bad(
        "take_not_available",
        message,
        Some("Name a gauge whose adapter streams or is asked, or write take = \"press\"."),
    ))
}

/// An overdue calibration is told before measuring, and one that is due soon.
fn due_dates(sources: &[GaugeSource], register: &Register) -> Vec<String> {
    let mut told = Vec::new();
    let Some(today) = today() else { return told };
    for source in sources {
        let Some(gauge) = register.gauge(&GaugeId::new(&source.gauge)) else {
            continue;
        };
        let Some(date) = gauge.due else { continue };
        match gauge.due_on(today) {
            Due::Overdue { .. } => {
                told.push(format!("{}: the calibration was due on {date}.", gauge.id));
            }
            Due::Soon { .. } => {
                told.push(format!("{}: the calibration is due on {date}.", gauge.id));
            }
            Due::Ok | Due::NotStated => {}
        }
    }
    told
}

/// A zero check that failed or is due is told before measuring.
fn zeros_told(state: &State, now_ms: u64) -> Vec<String> {
    let told = state.setup().sources.iter().filter_map(|source| {
        let gauge = GaugeId::new(&source.gauge);
        match state.zero_state(&gauge, now_ms) {
            ZeroState::Failed => Some(format!(
                "{gauge}: it failed its last zero check and proves nothing until it is checked \
                 again."
            )),
            ZeroState::Due => Some(format!("{gauge}: its zero check is due.")),
            ZeroState::Good | ZeroState::NotAsked => None,
        }
    });
    told.collect()
}

/// A standard whose error nobody states is told before measuring: U leaves it out.
fn standards_told(setup: &Setup) -> Vec<String> {
    let told = setup.sources.iter().filter_map(|source| {
        let gauge = setup.gauge(&GaugeId::new(&source.gauge))?;
        let caution = standard_caution(&setup.register, gauge)?;
        Some(format!("{}: {caution}.", gauge.id))
    });
    told.collect()
}

/// Limits that hold in this session only are told before measuring.
fn suited_told(setup: &Setup) -> Vec<String> {
    let suited = setup
        .targets
        .iter()
        .filter_map(|target| target.suited.as_deref());
    suited.flat_map(SuitedLimit::sentences).collect()
}

/// The register that a session rests on, and what was left out of it, a sentence each.
pub(super) fn gauge_text(
    begin: &Begin,
    workspace: &Workspace,
) -> Result<(String, Vec<String>), BeginError> {
    if begin.what == What::Demo {
        return Ok((Register::DEMO_TEXT.to_owned(), Vec::new()));
    }
    let kept = workspace.gauges()?;
    let text = kept.map(|(_, text)| text).unwrap_or_default();
    Ok(trusted_register(text, workspace))
}

/// The session's first event, without its sources.
pub(super) fn opened(
    begin: &Begin,
    workspace: &Workspace,
    gauges: String,
) -> Result<SessionOpened, BeginError> {
    let demo = || {
        let name = "pump-shaft-demo".to_owned();
        (name, Some(Plan::DEMO_TEXT.to_owned()), Vec::new())
    };
    let (plan_name, plan, callouts) = match &begin.what {
        What::Demo => demo(),
        What::Plan(path) => (file_name(path), Some(read_text(path)?), Vec::new()),
        What::Gauges => ("gauges".to_owned(), None, Vec::new()),
        What::Study(_) => (STUDY_NAME.to_owned(), None, Vec::new()),
        What::Callouts(callouts) if !callouts.is_empty() => {
            (callouts.join(" "), None, callouts.clone())
        }
        What::Callouts(_) | What::Continue(_) => {
            return Err(BeginError::bad(
                "plan_missing",
                "There is nothing to measure against.",
                Some("Give --plan FILE, --callout CALLOUT, --demo or --continue JOURNAL."),
            ));
        }
    };
    let mut opened = SessionOpened {
        program: PROGRAM.to_owned(),
        plan_name,
        plan,
        callouts,
        gauges,
        house: workspace.house_tables()?,
        operator: begin.operator.clone(),
        rule: begin.rule.map_or_else(String::new, rule_text),
        stage: begin.stage.clone(),
        general: begin.general.clone(),
        dial: begin.dial.clone(),
        parts: begin.parts,
        advance_always: begin.advance_always,
        advance_rework: begin.advance_rework,
        job: begin.job.clone(),
        offset: local_now().strftime("%:z").to_string(),
        ..SessionOpened::default()
    };
    let tables = session_tables(&opened).map_err(|error| {
        BeginError::bad(error.code, error.messages.join(" "), error.hint.as_deref())
    })?;
    opened.tables = tables_digest(&tables);
    opened.suits = suits_asked(
        &begin.suits,
        begin.keep_class,
        (&opened, &tables),
        workspace,
    )?;
    if begin.what == What::Demo && opened.parts.is_none() {
        opened.parts = Plan::demo().part.quantity;
    }
    Ok(opened)
}
