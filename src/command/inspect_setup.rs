//! What an inspection needs before the first reading: the plan, the gauges, the journal, and the
//! lines that readings come by.

use std::io::{self, IsTerminal};
use std::path::Path;

use jiff::ZonedDateTime;

use super::inspect_sources::sources;
use super::inspect_wiring::{TYPED, Wired, gauge_sources, wired};
use super::output::Output;
use super::problem::Problem;
use super::rule::asked_rule;
use super::{Advance, InspectArguments};
use crate::gauge::{Date, Due, GaugeId, Register};
use crate::journal::{DiskFolder, GaugeSource, SessionOpened, rule_text};
use crate::plan::{Plan, Take};
use crate::session::{
    Clock, Inbox, OpeningError, Recorder, Setup, Workspace, journal_name, open_session, read_text,
    resume_session, session_tables, tables_digest,
};

/// Name and version, as it stands in every record.
pub(super) const PROGRAM: &str = concat!("fitledger ", env!("CARGO_PKG_VERSION"));

/// Everything that the loop needs.
pub(super) struct Prepared {
    pub(super) recorder: Recorder<DiskFolder>,
    pub(super) folder: DiskFolder,
    pub(super) inbox: Inbox,
    pub(super) wired: Wired,
}

/// Reads the plan and the gauges, opens or takes up the journal.
///
/// # Errors
/// What is wrong with the arguments, the files or the disk; nothing has been recorded then.
pub(super) fn prepare(
    arguments: &InspectArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<Prepared, Problem> {
    if let Some(journal) = &arguments.continue_journal {
        return take_up(arguments, journal, workspace, out);
    }
    let gauges = gauge_text(arguments, workspace)?;
    let register =
        Register::parse(&gauges, "gauges.toml").map_err(|errors| Problem::register(&errors))?;
    let asked = sources(arguments, &register)?;
    if asked.is_empty() {
        return Err(Problem::bad(
            "gauge_missing",
            "No gauge was named.".to_owned(),
            Some("Give --gauge typed, --gauge serial:PORT or --gauge simulated, or run --demo."),
        ));
    }
    let mut opened = opened(arguments, workspace, gauges)?;
    opened.sources = gauge_sources(&asked, &register, &opened, workspace)?;
    let setup = Setup::of(&opened).map_err(OpeningError::Setup)?;
    refuse_moving_readings(&setup)?;
    warn_of_due_dates(&opened.sources, &register, out);
    let wired = wired(arguments, &asked, &register, workspace)?;
    let folder = workspace.sessions()?;
    let inbox = Inbox::new(Clock::starting_at(0)).map_err(no_threads)?;
    let start = ZonedDateTime::now();
    let what = opened.plan_name.trim_end_matches(".toml").to_owned();
    let name = |attempt| journal_name(&start, &what, attempt);
    let recorder = open_session(&folder, name, opened, inbox.clock().now())?;
    Ok(Prepared {
        recorder,
        folder,
        inbox,
        wired,
    })
}

fn take_up(
    arguments: &InspectArguments,
    journal: &Path,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<Prepared, Problem> {
    let name = journal
        .file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned();
    let parent = journal
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty());
    let folder = DiskFolder::new(parent.unwrap_or(Path::new(".")));
    let stem = name.trim_end_matches(".jsonl").to_owned();
    let mut clock = None;
    let continued = |attempt: u32| format!("{stem}-{}.jsonl", attempt + 2);
    let resumed = resume_session(&folder, &name, continued, PROGRAM, |last_ms, last_time| {
        let started = Clock::resuming(last_ms, last_time);
        let moment = started.now();
        clock = Some(started);
        moment
    })?;
    let setup = resumed.recorder.state().setup();
    let mut asked = sources(arguments, &setup.register)?;
    if asked.is_empty() {
        for source in &setup.sources {
            let mut again = arguments_of(source);
            let recorded = Some(source.adapter.clone()).filter(|name| !name.is_empty());
            again.adapter = arguments.adapter.clone().or(recorded);
            asked.extend(sources(&again, &setup.register)?);
        }
    }
    for report in &resumed.reports {
        for finding in &report.findings {
            out.message(&finding.to_string());
        }
    }
    let wired = wired(arguments, &asked, &setup.register, workspace)?;
    let inbox = Inbox::new(clock.unwrap_or_else(|| Clock::starting_at(resumed.last_ms)))
        .map_err(no_threads)?;
    Ok(Prepared {
        recorder: resumed.recorder,
        folder,
        inbox,
        wired,
    })
}

/// A value that is to be taken out of moving readings needs a gauge that streams.
fn refuse_moving_readings(setup: &Setup) -> Result<(), Problem> {
    let moving = setup
        .plan
        .order()
        .into_iter()
        .find(|one| one.take != Take::Press);
    let Some(one) = moving else { return Ok(()) };
    let message = format!(
        "{} takes the {} of moving readings, and this version takes single readings only.",
        one.id,
        one.take.word()
    );
    Err(Problem::bad(
        "take_not_available",
        message,
        Some("Leave take out of the plan, or write \"press\"."),
    ))
}

/// An overdue calibration is shown before measuring, and one that is due soon.
fn warn_of_due_dates(sources: &[GaugeSource], register: &Register, out: &mut Output) {
    let now = ZonedDateTime::now();
    let number = |number: i8| u8::try_from(number).unwrap_or(0);
    let year = u16::try_from(now.year()).unwrap_or(0);
    let Some(today) = Date::new(year, number(now.month()), number(now.day())) else {
        return;
    };
    for source in sources {
        let Some(gauge) = register.gauge(&GaugeId::new(&source.gauge)) else {
            continue;
        };
        let Some(date) = gauge.due else { continue };
        match gauge.due_on(today) {
            Due::Overdue { .. } => {
                out.message(&format!("{}: the calibration was due on {date}.", gauge.id));
            }
            Due::Soon { .. } => {
                out.message(&format!("{}: the calibration is due on {date}.", gauge.id));
            }
            Due::Ok | Due::NotStated => {}
        }
    }
}

/// A source of the record as an option.
fn arguments_of(source: &GaugeSource) -> InspectArguments {
    InspectArguments {
        gauge: vec![source.source.clone()],
        ..InspectArguments::default()
    }
}

fn gauge_text(arguments: &InspectArguments, workspace: &Workspace) -> Result<String, Problem> {
    if arguments.demo {
        return Ok(Register::DEMO_TEXT.to_owned());
    }
    Ok(workspace
        .gauges()?
        .map(|(_, text)| text)
        .unwrap_or_default())
}

/// The session's first event, without its sources.
fn opened(
    arguments: &InspectArguments,
    workspace: &Workspace,
    gauges: String,
) -> Result<SessionOpened, Problem> {
    let (plan_name, plan) = match &arguments.plan {
        Some(path) => {
            let name = path
                .file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned();
            (name, Some(read_text(path)?))
        }
        None if arguments.demo => (
            "pump-shaft-demo".to_owned(),
            Some(Plan::DEMO_TEXT.to_owned()),
        ),
        None if arguments.callout.is_empty() => {
            return Err(Problem::bad(
                "plan_missing",
                "There is nothing to measure against.".to_owned(),
                Some("Give --plan FILE, --callout CALLOUT, --demo or --continue JOURNAL."),
            ));
        }
        None => (arguments.callout.join(" "), None),
    };
    let only_typed = arguments.gauge.iter().all(|gauge| gauge.ends_with(TYPED));
    let piped = only_typed && !arguments.gauge.is_empty() && !io::stdin().is_terminal();
    let rule = asked_rule(&arguments.rule)?;
    let mut opened = SessionOpened {
        program: PROGRAM.to_owned(),
        plan_name,
        plan,
        callouts: arguments.callout.clone(),
        gauges,
        house: workspace.house_tables()?,
        operator: arguments.operator.clone().unwrap_or_default(),
        rule: rule.map_or_else(String::new, rule_text),
        stage: arguments.stage.clone().unwrap_or_default(),
        general: arguments.general.clone().unwrap_or_default(),
        dial: arguments.dial.clone().unwrap_or_default(),
        parts: arguments.parts,
        advance_always: match arguments.advance {
            Some(advance) => advance == Advance::Always,
            None => piped,
        },
        offset: ZonedDateTime::now().strftime("%:z").to_string(),
        ..SessionOpened::default()
    };
    let tables = session_tables(&opened).map_err(|error| {
        Problem::bad(error.code, error.messages.join(" "), error.hint.as_deref())
    })?;
    opened.tables = tables_digest(&tables);
    if arguments.demo && opened.parts.is_none() {
        opened.parts = Plan::demo().part.quantity;
    }
    Ok(opened)
}

fn no_threads(error: io::Error) -> Problem {
    let message = format!("No thread could be started: {error}.");
    Problem::outside(
        "no_threads",
        message,
        Some("Close other programs and try again."),
    )
}

impl From<OpeningError> for Problem {
    fn from(error: OpeningError) -> Self {
        let hint = error.hint();
        let make = if error.is_outside() {
            Self::outside
        } else {
            Self::bad
        };
        make(error.code(), error.to_string(), hint.as_deref())
    }
}
