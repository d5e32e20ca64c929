//! Reads one gauge's port for as long as the session lasts: decodes, hands over, and finds an
//! unplugged adapter again, by its USB identity if it has one, under whatever name it comes back.
//!
//! Runs on a blocking thread of the runner; knows no runtime itself.

use std::cell::RefCell;
use std::sync::Arc;

use super::asking::kind_of;
use super::intake::Intake;
use super::open_line::{Desk, OpenLine, tell};
use super::port_control::PortControl;
use super::runner::Mailer;
use super::tap::{Tap, TapKind};
use crate::gauge::GaugeId;
use crate::wire::{
    ASK_READ_TIME, Adapter, Backoff, Decoder, LineSettings, PortAddress, PortError, PortFault,
    READ_TIME, SeenPort, SerialLine, list_ports, read_port_between,
};

/// Where attached ports are listed.
pub type Listing = Arc<dyn Fn() -> Result<Vec<SeenPort>, PortError> + Send + Sync>;

/// One gauge's port, ready to be read.
pub struct GaugePort {
    gauge: String,
    address: PortAddress,
    line: LineSettings,
    adapter: Arc<Adapter>,
    intake: Intake,
    listing: Listing,
    open: Option<SerialLine>,
    control: Arc<PortControl>,
}

impl std::fmt::Debug for GaugePort {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("GaugePort")
            .field("gauge", &self.gauge)
            .field("address", &self.address)
            .finish_non_exhaustive()
    }
}

impl GaugePort {
    /// Opens the port of a gauge. An adapter opened by its path is looked for by its USB identity
    /// later, if the system knows one with a serial number.
    ///
    /// # Errors
    /// Why the port cannot be opened now.
    pub fn open(
        gauge: &str,
        address: PortAddress,
        line: LineSettings,
        adapter: Arc<Adapter>,
        intake: Intake,
    ) -> Result<Self, PortError> {
        Self::open_listed(gauge, address, line, adapter, intake, Arc::new(list_ports))
    }

    /// The same, with the ports that `listing` gives.
    ///
    /// # Errors
    /// As [`GaugePort::open`].
    pub fn open_listed(
        gauge: &str,
        address: PortAddress,
        line: LineSettings,
        adapter: Arc<Adapter>,
        intake: Intake,
        listing: Listing,
    ) -> Result<Self, PortError> {
        let open = SerialLine::open_listed(&address, line, || listing())?;
        let address = identity_of(&open, &listing).unwrap_or(address);
        let mut port = Self::unopened(gauge, address, line, adapter, intake, listing);
        port.open = Some(open);
        Ok(port)
    }

    /// The port of a gauge, to be opened when it is read.
    pub(super) fn unopened(
        gauge: &str,
        address: PortAddress,
        line: LineSettings,
        adapter: Arc<Adapter>,
        intake: Intake,
        listing: Listing,
    ) -> Self {
        let first = GaugeId::new(gauge);
        let others = intake.gauges().filter(|other| **other != first);
        let tap = Tap {
            gauges: std::iter::once(&first).chain(others).cloned().collect(),
            port: address.to_string(),
            adapter: adapter.name().to_owned(),
            kind: kind_of(&adapter),
            ..Tap::default()
        };
        Self {
            gauge: gauge.to_owned(),
            address,
            line,
            adapter,
            intake,
            listing,
            open: None,
            control: Arc::new(PortControl::new(tap)),
        }
    }

    /// What is shared with whoever asks the gauge and shows its line.
    pub fn control(&self) -> Arc<PortControl> {
        Arc::clone(&self.control)
    }

    /// Reads until the mailer says stop, or nobody listens any more.
    pub fn read(self, mailer: &Mailer) {
        let Self {
            gauge,
            address,
            line,
            adapter,
            mut intake,
            listing,
            mut open,
            control,
        } = self;
        let mut backoff = Backoff::new();
        let mut told = None;
        while !mailer.is_stopped() {
            let opened = match open.take() {
                Some(opened) => Ok(opened),
                None => SerialLine::open_listed(&address, line, || listing()),
            };
            let fault = match opened {
                Ok(mut port) => {
                    backoff.reset();
                    told = None;
                    let detail = attached(&port);
                    control.line_is(true, "attached", &detail);
                    tell(mailer, &gauge, "attached", &detail);
                    let desk = Desk {
                        gauge: &gauge,
                        place: &detail,
                        adapter: &adapter,
                        mailer,
                        control: &control,
                    };
                    read_until_fault(&mut port, desk, &mut intake)
                }
                Err(fault) => Some(fault),
            };
            let Some(fault) = fault else { return };
            // The same fault again is no news.
            if told != Some(fault.fault) {
                told = Some(fault.fault);
                let (state, detail) = (state_word(fault.fault), fault.to_string());
                control.line_is(false, state, &detail);
                tell(mailer, &gauge, state, &detail);
            }
            if control.is_due(mailer.now().mono_ms) {
                mailer.seen();
            }
            mailer.pause(backoff.next_delay());
        }
    }
}

/// Reads an open port; the fault that ended it, or none when reading was stopped.
fn read_until_fault(
    port: &mut SerialLine,
    desk: Desk<'_>,
    intake: &mut Intake,
) -> Option<PortError> {
    let mut decoder = Decoder::new(Arc::clone(desk.adapter));
    // A request must not lie for long where the gauge is asked.
    let read_time = match kind_of(desk.adapter) {
        TapKind::Sends => READ_TIME,
        TapKind::Asked | TapKind::Streams => ASK_READ_TIME,
    };
    let stop = desk.mailer.stop_flag();
    let line = RefCell::new(OpenLine::new(desk, intake));
    let ended = read_port_between(
        port,
        &mut decoder,
        stop,
        read_time,
        &mut |news| line.borrow_mut().news(news),
        &mut |port| line.borrow_mut().between(port),
    );
    line.into_inner().left(ended.as_ref().err());
    ended.err()
}

/// The adapter's identity, when it has a serial number to be told by.
fn identity_of(open: &SerialLine, listing: &Listing) -> Option<PortAddress> {
    let seen = listing().ok()?;
    let port = seen.into_iter().find(|port| port.path == open.path())?;
    port.usb
        .filter(|usb| usb.serial.is_some())
        .map(PortAddress::Usb)
}

/// The port's path, and what could not be set.
fn attached(port: &SerialLine) -> String {
    let mut text = port.path().to_owned();
    for warning in port.warnings() {
        text.push_str("; ");
        text.push_str(&warning.found);
    }
    text
}

fn state_word(fault: PortFault) -> &'static str {
    match fault {
        PortFault::Gone => "unplugged",
        PortFault::Busy => "busy",
        PortFault::NotPermitted => "not_permitted",
        PortFault::NotFound => "not_found",
        PortFault::NotSerial => "not_serial",
        PortFault::Several => "ambiguous",
        PortFault::Unsupported => "unsupported",
        PortFault::Timeout | PortFault::Other => "failed",
    }
}
