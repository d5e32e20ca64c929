//! What an inspection needs before the first reading: the plan, the gauges, the journal, and the
//! lines that readings come by.

use std::collections::BTreeSet;
use std::io::{self, IsTerminal};
use std::path::Path;
use std::sync::Arc;

use jiff::ZonedDateTime;

use super::inspect_sources::{Source, SourceKind, sources};
use super::output::Output;
use super::problem::Problem;
use super::rule::asked_rule;
use super::wire_adapter;
use super::{Advance, InspectArguments};
use crate::gauge::{GaugeId, Origin, PortPlace, Register};
use crate::journal::{DiskFolder, GaugeSource, SessionOpened, rule_text};
use crate::plan::Plan;
use crate::session::{
    Clock, Command, GaugePort, Inbox, Incoming, Intake, OpeningError, Recorder, Simulated,
    Workspace, journal_name, open_session, read_text, resume_session, session_tables,
    tables_digest,
};
use crate::wire::{Adapter, DEFAULT_ADAPTER, Decoder, PortAddress, Trigger};

/// Name and version, as it stands in every record.
pub(super) const PROGRAM: &str = concat!("fitledger ", env!("CARGO_PKG_VERSION"));
/// Names of gauges that were not named.
const TYPED: &str = "typed";
const SERIAL: &str = "serial";

/// Everything that the loop needs.
pub(super) struct Prepared {
    pub(super) recorder: Recorder<DiskFolder>,
    pub(super) folder: DiskFolder,
    pub(super) inbox: Inbox,
    pub(super) wired: Wired,
}

/// Where readings come from, ready to be started.
pub(super) struct Wired {
    /// The simulated hand, if a source is simulated.
    pub(super) simulated: Option<SimulatedLine>,
    /// A person looks on: not faster than the eye.
    pub(super) is_paced: bool,
    /// Values may be typed.
    pub(super) takes_typed: bool,
    /// Standard input is read at all.
    reads_lines: bool,
    /// The end of standard input ends the session.
    pub(super) ends_with_input: bool,
    /// The gauge of typed readings.
    pub(super) typed_gauge: String,
    cutting: bool,
    ports: Vec<GaugePort>,
}

/// The simulated hand and the way of its bytes.
pub(super) struct SimulatedLine {
    pub(super) hand: Simulated,
    adapter: Arc<Adapter>,
}

impl SimulatedLine {
    /// What the bytes become, through the same decoder as a gauge's.
    pub(super) fn readings(
        &self,
        bytes: &[u8],
        gauge: Option<&GaugeId>,
        at_ms: u64,
    ) -> Vec<Incoming> {
        let gauge = gauge.cloned().unwrap_or_else(|| GaugeId::new("simulated"));
        let mut decoder = Decoder::new(Arc::clone(&self.adapter));
        let mut intake = Intake::new(gauge, Origin::Simulated);
        let mut all = Vec::new();
        decoder.push(bytes, &mut |decoded| {
            all.extend(intake.take(&decoded, at_ms))
        });
        decoder.idle(&mut |decoded| all.extend(intake.take(&decoded, at_ms)));
        all
    }
}

impl Wired {
    /// Starts the readers; what the session begins with is answered.
    pub(super) fn begin(
        &mut self,
        inbox: &Inbox,
        recorder: &Recorder<DiskFolder>,
    ) -> io::Result<Vec<Incoming>> {
        inbox.watch_interrupt();
        for port in std::mem::take(&mut self.ports) {
            inbox.spawn_reader(move |mailer| port.read(mailer));
        }
        if self.reads_lines {
            inbox.read_lines(io::stdin())?;
        }
        let wanted = self.cutting && !recorder.state().bench().cutting;
        let switch = wanted.then_some(Incoming::Command(Command::SwitchCutting(true)));
        Ok(switch.into_iter().collect())
    }
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

/// The gauges of the session for its record. An unnamed simulated source stands for every gauge
/// that the plan lists.
fn gauge_sources(
    asked: &[Source],
    register: &Register,
    opened: &SessionOpened,
    workspace: &Workspace,
) -> Result<Vec<GaugeSource>, Problem> {
    let mut all = Vec::new();
    for source in asked {
        let adapter = match source.kind {
            SourceKind::Typed => None,
            _ => Some(adapter(source, workspace)?),
        };
        let entry = |gauge: &str| GaugeSource {
            gauge: gauge.to_owned(),
            source: source.text.clone(),
            adapter: adapter
                .as_ref()
                .map_or_else(String::new, |a| a.name().to_owned()),
            repeat_ms: match (&adapter, &source.kind) {
                // The simulated hand has no bouncing button and needs no time between presses.
                (Some(adapter), SourceKind::Serial(_)) => adapter.repeat_ignore_ms().unwrap_or(0),
                _ => 0,
            },
        };
        let is_simulated = matches!(source.kind, SourceKind::Simulated(_));
        match source.gauge.as_str() {
            "" if is_simulated => {
                let listed = plan_gauges(opened, register);
                let alone = listed.is_empty().then(|| "simulated".to_owned());
                all.extend(listed.into_iter().chain(alone).map(|gauge| entry(&gauge)));
            }
            "" if source.kind == SourceKind::Typed => all.push(entry(TYPED)),
            "" => all.push(entry(SERIAL)),
            gauge => all.push(entry(gauge)),
        }
    }
    Ok(all)
}

/// Every gauge that the plan lists, in its order, each once.
fn plan_gauges(opened: &SessionOpened, register: &Register) -> Vec<String> {
    let Some(text) = &opened.plan else {
        return Vec::new();
    };
    let tables = session_tables(opened).ok();
    let plan = tables.and_then(|tables| Plan::parse(text, &opened.plan_name, &tables).ok());
    let mut seen = BTreeSet::new();
    let mut all = Vec::new();
    for characteristic in plan.iter().flat_map(Plan::order) {
        for gauge in &characteristic.gauges {
            if register.gauge(gauge).is_some() && seen.insert(gauge.clone()) {
                all.push(gauge.as_str().to_owned());
            }
        }
    }
    all
}

fn adapter(source: &Source, workspace: &Workspace) -> Result<Arc<Adapter>, Problem> {
    wire_adapter::named(
        workspace,
        source.adapter.as_deref().unwrap_or(DEFAULT_ADAPTER),
    )
}

/// Opens the port of a source; nothing is recorded when one cannot be opened.
fn port(
    source: &Source,
    address: &PortAddress,
    register: &Register,
    workspace: &Workspace,
) -> Result<GaugePort, Problem> {
    let adapter = adapter(source, workspace)?;
    if !matches!(adapter.trigger(), Trigger::Unsolicited | Trigger::Stream) {
        let message = format!(
            "The adapter {} must be asked for each reading.",
            adapter.name()
        );
        let hint = "This version reads gauges that send by themselves or at a data button.";
        return Err(Problem::bad("adapter_must_be_asked", message, Some(hint)));
    }
    let Some(line) = adapter.line() else {
        let message = format!(
            "The adapter {} is for typing, not for a port.",
            adapter.name()
        );
        return Err(Problem::bad(
            "adapter_without_line",
            message,
            Some("Name another adapter."),
        ));
    };
    let gauge = if source.gauge.is_empty() {
        SERIAL
    } else {
        source.gauge.as_str()
    };
    let mut intake = Intake::new(GaugeId::new(gauge), Origin::Sent);
    for entry in register.gauges() {
        // Several gauges may share a box; each frame then says which it is from.
        let bound = entry
            .port
            .as_ref()
            .filter(|bound| same_place(&bound.place, address));
        if let Some(id) = bound.and_then(|bound| bound.frame_id.as_deref()) {
            intake = intake.with_id(id, entry.id.clone());
        }
    }
    Ok(GaugePort::open(
        gauge,
        address.clone(),
        line,
        adapter,
        intake,
    )?)
}

fn same_place(place: &PortPlace, address: &PortAddress) -> bool {
    match (place, address) {
        (PortPlace::Path(path), PortAddress::Path(asked)) => path == asked,
        (
            PortPlace::Usb {
                vendor,
                product,
                serial,
            },
            PortAddress::Usb(asked),
        ) => (*vendor, *product) == (asked.vendor, asked.product) && *serial == asked.serial,
        _ => false,
    }
}

fn wired(
    arguments: &InspectArguments,
    asked: &[Source],
    register: &Register,
    workspace: &Workspace,
) -> Result<Wired, Problem> {
    let mut ports = Vec::new();
    for source in asked {
        if let SourceKind::Serial(address) = &source.kind {
            ports.push(port(source, address, register, workspace)?);
        }
    }
    let typed = asked.iter().find(|source| source.kind == SourceKind::Typed);
    let seed = asked.iter().find_map(|source| match source.kind {
        SourceKind::Simulated(seed) => Some((seed, source)),
        _ => None,
    });
    let simulated = match seed {
        Some((seed, source)) => {
            let adapter = adapter(source, workspace)?;
            Some(SimulatedLine {
                hand: Simulated::new(seed),
                adapter,
            })
        }
        None => None,
    };
    let at_terminal = io::stdin().is_terminal();
    let typed_gauge = typed.map_or(TYPED, |source| match source.gauge.as_str() {
        "" => TYPED,
        gauge => gauge,
    });
    Ok(Wired {
        is_paced: simulated.is_some() && io::stdout().is_terminal() && !arguments.json,
        takes_typed: typed.is_some(),
        // Requests in one letter are read at a terminal beside every source but the simulated.
        reads_lines: typed.is_some() || (at_terminal && simulated.is_none()),
        ends_with_input: asked.iter().all(|source| source.kind == SourceKind::Typed),
        typed_gauge: typed_gauge.to_owned(),
        simulated,
        ports,
        cutting: arguments.cutting,
    })
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
