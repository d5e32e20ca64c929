//! Where the readings of an inspection come from: ports opened, the simulated hand, typed lines.

use std::collections::BTreeSet;
use std::io::{self, IsTerminal};
use std::sync::Arc;

use super::InspectArguments;
use super::exit::Exit;
use super::inspect_sources::{Source, SourceKind};
use super::lines::{ItemLines, LINE_TOO_LONG};
use super::problem::Problem;
use super::wire_adapter;
use crate::gauge::{GaugeId, Origin, PortPlace, Register};
use crate::journal::{DiskFolder, GaugeSource, SessionOpened};
use crate::plan::Plan;
use crate::session::{
    Command, GaugePort, Inbox, Incoming, Intake, LineFault, Recorder, Simulated, Workspace,
    session_tables,
};
use crate::wire::{Adapter, DEFAULT_ADAPTER, Decoder, PortAddress, Trigger};

/// Names of gauges that were not named.
pub(super) const TYPED: &str = "typed";
const SERIAL: &str = "serial";
/// Longest typed line that is taken, in bytes (chosen: its characters go into a journal line as
/// hexadecimal and with room to spare).
const TYPED_BYTES_MAX: usize = 8 * 1024;

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

/// Standard input, line by line; a line that is none is told apart, and an input that fails ends.
fn typed_lines() -> impl Iterator<Item = Result<String, LineFault>> + Send {
    let input = io::BufReader::new(io::stdin());
    ItemLines::new(input).map_while(|line| match line {
        Ok(text) if text.len() > TYPED_BYTES_MAX => Some(Err(LineFault::TooLong)),
        Ok(text) => Some(Ok(text)),
        Err(bad) if bad.problem.exit == Exit::OutsideFailed => None,
        Err(bad) if bad.problem.code == LINE_TOO_LONG => Some(Err(LineFault::TooLong)),
        Err(_) => Some(Err(LineFault::NotText)),
    })
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
            inbox.read_lines(typed_lines())?;
        }
        let wanted = self.cutting && !recorder.state().bench().cutting;
        let switch = wanted.then_some(Incoming::Command(Command::SwitchCutting(true)));
        Ok(switch.into_iter().collect())
    }
}

/// The gauges of the session for its record. An unnamed simulated source stands for every gauge
/// that the plan lists.
pub(super) fn gauge_sources(
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
    let why = match adapter.trigger() {
        Trigger::Unsolicited => None,
        Trigger::Stream => Some((
            "adapter_streams",
            "sends all the time, so no reading is meant",
        )),
        _ => Some(("adapter_must_be_asked", "must be asked for each reading")),
    };
    if let Some((code, why)) = why {
        let message = format!("The adapter {} {why}.", adapter.name());
        let hint = "This version takes readings that a gauge sends at its data button.";
        return Err(Problem::bad(code, message, Some(hint)));
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

pub(super) fn wired(
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
