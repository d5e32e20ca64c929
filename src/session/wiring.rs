//! Where the readings of a session come from: ports opened, the simulated hand, typed values.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::adapter_named::adapter_named;
use super::asking::{Ask, Told, kind_of};
use super::begin_error::BeginError;
use super::command::Command;
use super::hand::Hand;
use super::intake::Intake;
use super::live_gauge::LiveGauge;
use super::opening::session_tables;
use super::port_control::PortControl;
use super::port_reader::GaugePort;
use super::recorder::{Incoming, Recorder};
use super::runner::Inbox;
use super::setup::Target;
use super::sources::{Source, SourceKind, UNNAMED_TYPED};
use super::state::State;
use super::tap::{Tap, TapKind};
use super::workspace::Workspace;
use crate::gauge::{GaugeId, Origin, Register};
use crate::journal::{DiskFolder, GaugeSource, SessionOpened};
use crate::plan::{Plan, Take};
use crate::wire::{Adapter, DEFAULT_ADAPTER, PortAddress};

/// The gauge of a port when none was named.
const SERIAL: &str = "serial";

/// The word of a question that must be answered before anybody is asked for a value.
pub(super) const WHICH_GAUGE: &str = "which_gauge";

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
    lines: Vec<Line>,
}

/// The port of one or several gauges.
#[derive(Debug)]
struct Line {
    gauges: Vec<GaugeId>,
    kind: TapKind,
    control: Arc<PortControl>,
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

    /// Whether a gauge of the session must be asked, or streams.
    pub fn can_be_asked(&self) -> bool {
        self.asked_lines().next().is_some()
    }

    /// Whether nothing can come but what is asked for.
    pub fn is_only_asked(&self) -> bool {
        let all_asked = self.lines.iter().all(|line| line.kind != TapKind::Sends);
        self.can_be_asked() && all_asked && !self.has_typed && self.hand.is_none()
    }

    /// Whether an answer to what was asked is still to come without anybody's doing.
    pub fn is_busy(&self) -> bool {
        self.lines.iter().any(|line| line.control.is_busy())
    }

    /// Asks for a value in the way of the characteristic at hand: of that gauge, or of the one
    /// that is bound to the characteristic. Never waits.
    ///
    /// # Errors
    /// Why nobody can be asked.
    pub fn ask(&self, state: &State, gauge: Option<&GaugeId>) -> Result<(), Told> {
        let nothing = |text: String| Told {
            code: Some("gauge_not_asked"),
            text,
        };
        let setup = state.setup();
        let target = state.target_at_hand();
        let target = target.and_then(|target| setup.targets.get(target));
        // A zero check that waits comes before whatever is measured.
        let mut zeros = state.zeros().all_asked().map(|(gauge, _)| gauge);
        let zero = zeros.find(|zero| gauge.is_none_or(|named| named == *zero));
        let target = target.filter(|_| zero.is_none());
        if let Some(check) = target.and_then(Target::check) {
            let text = format!("The {} is asked here: say whether it goes.", check.name());
            return Err(nothing(text));
        }
        let gauge = match gauge.or(zero) {
            Some(gauge) => gauge.clone(),
            None => match state.live_gauge(&self.live_gauges()) {
                LiveGauge::Of(gauge) => gauge,
                LiveGauge::Which(several) => return Err(which_gauge(target, &several)),
                LiveGauge::Nobody => {
                    let text = "No gauge here must be asked: press its data button.";
                    return Err(nothing(text.to_owned()));
                }
            },
        };
        let Some(line) = self.lines.iter().find(|line| line.gauges.contains(&gauge)) else {
            let text = format!("{gauge} has no line in this session.");
            return Err(nothing(text));
        };
        let how = target.map_or(Take::Press, |target| target.take);
        let step = setup.gauge(&gauge).and_then(|entry| entry.resolution);
        line.control.ask(Ask { gauge, how, step }).map_err(nothing)
    }

    /// The gauges whose value a person takes: those that stream, or wait to be asked.
    pub fn live_gauges(&self) -> Vec<GaugeId> {
        let all = self.asked_lines().flat_map(|line| &line.gauges);
        all.cloned().collect()
    }

    /// What naming that gauge says for the characteristic at hand; none where nothing is to be
    /// said.
    pub fn naming(&self, state: &State, gauge: &GaugeId) -> Option<Command> {
        let live = self.live_gauges();
        let is_choice = state.live_choice(&live).contains(gauge);
        let is_new = state.named_gauge(&live) != Some(gauge);
        let target = state.setup().targets.get(state.target_at_hand()?)?;
        (is_choice && is_new).then(|| Command::NameGauge {
            gauge: gauge.clone(),
            feature: target.feature.clone(),
            element: target.element.clone(),
        })
    }

    fn asked_lines(&self) -> impl Iterator<Item = &Line> {
        self.lines.iter().filter(|line| line.kind != TapKind::Sends)
    }

    /// The lines as they were last seen.
    pub fn taps(&self) -> Vec<Tap> {
        self.lines.iter().map(|line| line.control.seen()).collect()
    }
}

/// Several gauges may be meant; it is asked in the words of the terminal.
fn which_gauge(target: Option<&Target>, several: &[GaugeId]) -> Told {
    let at = target.map_or_else(String::new, |target| format!(" at {}", target.feature));
    let ways: Vec<String> = several.iter().map(|one| format!("take {one}")).collect();
    let text = format!(
        "Which gauge{at}? Say it once: {}. Enter asks that one from then on.",
        ways.join(", or ")
    );
    Told {
        code: Some(WHICH_GAUGE),
        text,
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
                (Some(adapter), SourceKind::Serial(_)) => repeat_ms(adapter),
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

/// A button may bounce; what was asked for was meant.
fn repeat_ms(adapter: &Adapter) -> u32 {
    match kind_of(adapter) {
        TapKind::Sends => adapter.repeat_ignore_ms().unwrap_or(0),
        TapKind::Asked | TapKind::Streams => 0,
    }
}

/// Whether a value may be taken out of moving ones here: a gauge streams or can be asked again and
/// again, or a hand does it (typed and simulated values are what it found).
///
/// # Errors
/// An adapter that cannot be used.
pub(super) fn takes_moving(asked: &[Source], workspace: &Workspace) -> Result<bool, BeginError> {
    for source in asked {
        let is_by_hand = !matches!(source.kind, SourceKind::Serial(_));
        if is_by_hand || kind_of(adapter(source, workspace)?.as_ref()) != TapKind::Sends {
            return Ok(true);
        }
    }
    Ok(false)
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
            .filter(|bound| PortAddress::from(&bound.place).means(address));
        if let Some(id) = bound.and_then(|bound| bound.frame_id.as_deref()) {
            intake = intake.with_id(id, entry.id.clone());
        }
    }
    let address = address.clone();
    Ok(GaugePort::open(gauge, address, line, adapter, intake)?)
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
        lines: ports.iter().map(line_of).collect(),
        ports,
        cutting,
    })
}

fn line_of(port: &GaugePort) -> Line {
    let control = port.control();
    let seen = control.seen();
    Line {
        gauges: seen.gauges,
        kind: seen.kind,
        control,
    }
}
