//! Reads one gauge's port for as long as the session lasts: decodes, hands over, and finds an
//! unplugged adapter again, by its USB identity if it has one, under whatever name it comes back.
//!
//! Runs on a blocking thread of the runner; knows no runtime itself.

use std::sync::Arc;

use super::intake::Intake;
use super::recorder::Incoming;
use super::runner::Mailer;
use crate::journal::Event;
use crate::wire::{
    Adapter, Backoff, Decoder, LineSettings, PortAddress, PortError, PortFault, PortNews,
    SerialLine, list_ports, read_port,
};

/// One gauge's port, opened and ready to be read.
#[derive(Debug)]
pub struct GaugePort {
    gauge: String,
    address: PortAddress,
    line: LineSettings,
    adapter: Arc<Adapter>,
    intake: Intake,
    open: SerialLine,
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
        let open = SerialLine::open(&address, line)?;
        let address = identity_of(&open).unwrap_or(address);
        Ok(Self {
            gauge: gauge.to_owned(),
            address,
            line,
            adapter,
            intake,
            open,
        })
    }

    /// Reads until the mailer says stop, or nobody listens any more.
    pub fn read(self, mailer: &Mailer) {
        let Self {
            gauge,
            address,
            line,
            adapter,
            mut intake,
            open,
        } = self;
        let mut open = Some(open);
        let mut backoff = Backoff::new();
        let mut told = None;
        while !mailer.is_stopped() {
            let opened = match open.take() {
                Some(opened) => Ok(opened),
                None => SerialLine::open(&address, line),
            };
            let fault = match opened {
                Ok(mut port) => {
                    backoff.reset();
                    told = None;
                    tell(mailer, &gauge, "attached", &attached(&port));
                    read_until_fault(&mut port, &adapter, &mut intake, mailer)
                }
                Err(fault) => Some(fault),
            };
            let Some(fault) = fault else { return };
            // The same fault again is no news.
            if told != Some(fault.fault) {
                told = Some(fault.fault);
                tell(mailer, &gauge, state_word(fault.fault), &fault.to_string());
            }
            mailer.pause(backoff.next_delay());
        }
    }
}

/// Reads an open port; the fault that ended it, or none when reading was stopped.
fn read_until_fault(
    port: &mut SerialLine,
    adapter: &Arc<Adapter>,
    intake: &mut Intake,
    mailer: &Mailer,
) -> Option<PortError> {
    let mut decoder = Decoder::new(Arc::clone(adapter));
    let hand_over = |incoming: Vec<Incoming>, moment| {
        for one in incoming {
            mailer.send(moment, one);
        }
    };
    let mut news = |news: PortNews<'_>| {
        let moment = mailer.now();
        match news {
            PortNews::Bytes(_) => {}
            PortNews::Heard(heard) => hand_over(intake.take(&heard, moment.mono_ms), moment),
            PortNews::Idle => {
                hand_over(intake.counted_until_now(moment.mono_ms, false), moment);
            }
        }
    };
    let ended = read_port(port, &mut decoder, mailer.stop_flag(), &mut news);
    let moment = mailer.now();
    hand_over(intake.counted_until_now(moment.mono_ms, true), moment);
    ended.err()
}

fn tell(mailer: &Mailer, gauge: &str, state: &str, detail: &str) {
    let event = Event::GaugeStateChanged {
        gauge: gauge.to_owned(),
        state: state.to_owned(),
        detail: detail.to_owned(),
    };
    mailer.send(mailer.now(), Incoming::Notice(event));
}

/// The adapter's identity, when it has a serial number to be told by.
fn identity_of(open: &SerialLine) -> Option<PortAddress> {
    let seen = list_ports().ok()?;
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
