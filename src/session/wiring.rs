//! Where the readings of a session come from: ports opened, the simulated hand, typed values.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::adapter_named::adapter_named;
use super::begin_error::BeginError;
use super::command::Command;
use super::hand::Hand;
use super::intake::Intake;
use super::opening::session_tables;
use super::port_reader::GaugePort;
use super::recorder::{Incoming, Recorder};
use super::runner::Inbox;
use super::sources::{Source, SourceKind, UNNAMED_TYPED};
use super::workspace::Workspace;
use crate::gauge::{GaugeId, Origin, PortPlace, Register};
use crate::journal::{DiskFolder, GaugeSource, SessionOpened};
use crate::plan::Plan;
use crate::wire::{Adapter, DEFAULT_ADAPTER, PortAddress, Trigger};

/// The gauge of a port when none was named.
const SERIAL: &str = "serial";

/// Where readings come from, ready to be started.
#[derive(Debug)]
pub struct Wired {
    /// The simulated hand, if a source is simulated.
    pub hand: Option<Hand>,
    /// A source is typed.
    pub has_typed: bool,
    /// Every source is typed.
    pub is_only_typed: bool,
    /// The gauge of typed readings unless another is named.
    pub typed_gauge: String,
    cutting: bool,
    ports: Vec<GaugePort>,
}

impl Wired {
    /// Starts the readers of the ports; what the session begins with is answered.
    pub fn start(&mut self, inbox: &Inbox, recorder: &Recorder<DiskFolder>) -> Vec<Incoming> {
        for port in std::mem::take(&mut self.ports) {
            inbox.spawn_reader(move |mailer| port.read(mailer));
        }
        let wanted = self.cutting && !recorder.state().bench().cutting;
        let switch = wanted.then_some(Incoming::Command(Command::SwitchCutting(true)));
        switch.into_iter().collect()
    }
}

/// The gauges of the session for its record. An unnamed simulated source stands for every gauge
/// that the plan lists.
pub(super) fn gauge_sources(
    asked: &[Source],
    register: &Register,
    opened: &SessionOpened,
    workspace: &Workspace,
) -> Result<Vec<GaugeSource>, BeginError> {
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
            "" if source.kind == SourceKind::Typed => all.push(entry(UNNAMED_TYPED)),
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

fn adapter(source: &Source, workspace: &Workspace) -> Result<Arc<Adapter>, BeginError> {
    adapter_named(
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
) -> Result<GaugePort, BeginError> {
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
        return Err(BeginError::bad(code, message, Some(hint)));
    }
    let Some(line) = adapter.line() else {
        let message = format!(
            "The adapter {} is for typing, not for a port.",
            adapter.name()
        );
        return Err(BeginError::bad(
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
    let address = address.clone();
    Ok(GaugePort::open(gauge, address, line, adapter, intake)?)
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

/// Opens the ports and readies the hand.
///
/// # Errors
/// A port or an adapter that cannot be used.
pub(super) fn wired(
    cutting: bool,
    asked: &[Source],
    register: &Register,
    workspace: &Workspace,
) -> Result<Wired, BeginError> {
    let mut ports = Vec::new();
    for source in asked {
        if let SourceKind::Serial(address) = &source.kind {
            ports.push(port(source, address, register, workspace)?);
        }
    }
    let simulated = asked.iter().find_map(|source| match source.kind {
        SourceKind::Simulated(seed) => Some((seed, source)),
        _ => None,
    });
    let hand = match simulated {
        Some((seed, source)) => Some(Hand::new(seed, adapter(source, workspace)?)),
        None => None,
    };
    let is_typed = |source: &&Source| source.kind == SourceKind::Typed;
    let typed = asked.iter().find(is_typed);
    let typed_gauge = typed.map_or(UNNAMED_TYPED, |source| match source.gauge.as_str() {
        "" => UNNAMED_TYPED,
        gauge => gauge,
    });
    Ok(Wired {
        hand,
        has_typed: typed.is_some(),
        is_only_typed: asked.iter().all(|source| is_typed(&source)),
        typed_gauge: typed_gauge.to_owned(),
        ports,
        cutting,
    })
}
