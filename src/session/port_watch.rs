//! Looks at a port that no session holds: its bytes and what they say, live. Nothing is recorded.

use std::sync::{Arc, Mutex, PoisonError};

use super::asking::Ask;
use super::begin_error::BeginError;
use super::intake::Intake;
use super::port_control::PortControl;
use super::port_reader::{GaugePort, Listing};
use super::recorder::Incoming;
use super::runner::{Arrival, Clock, Inbox, Requests, WriterThread};
use super::tap::Tap;
use crate::gauge::{GaugeId, Origin};
use crate::journal::Event;
use crate::plan::Take;
use crate::wire::{Adapter, PortAddress, list_ports};

/// The name under which the gauge of a watched port stands.
const WATCHED: &str = "gauge";

/// What is seen of a watched port.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Seen {
    /// The line: last bytes, what they said, the last value, its state.
    pub tap: Tap,
    /// Readings that came, or that were taken, so far.
    pub readings: u64,
    /// Frames that were no readings, so far.
    pub refused: u64,
    /// What was said last: what to do, or why an answer did not come.
    pub message: Option<String>,
}

/// A port that is watched until this is dropped.
pub struct PortWatch {
    control: Arc<PortControl>,
    seen: Arc<Mutex<Arc<Seen>>>,
    requests: Requests,
    thread: Option<WriterThread>,
}

impl PortWatch {
    /// Watches a port; it is opened in the background, and again when it comes back. `notify` is
    /// called, on a thread of its own, after each change of what is to be seen.
    ///
    /// # Errors
    /// The adapter has no serial line, or the system gave no thread.
    pub fn start(
        address: PortAddress,
        adapter: Arc<Adapter>,
        notify: impl Fn() + Send + Sync + 'static,
    ) -> Result<Self, BeginError> {
        Self::start_listed(address, adapter, Arc::new(list_ports), notify)
    }

    /// The same, with the ports that `listing` gives.
    ///
    /// # Errors
    /// As [`PortWatch::start`].
    pub fn start_listed(
        address: PortAddress,
        adapter: Arc<Adapter>,
        listing: Listing,
        notify: impl Fn() + Send + Sync + 'static,
    ) -> Result<Self, BeginError> {
        let Some(line) = adapter.line() else {
            let message = format!("The adapter {} types like a keyboard.", adapter.name());
            let hint = Some("Name the adapter of a serial line.");
            return Err(BeginError::bad("adapter_has_no_line", message, hint));
        };
        let threads = |error| BeginError::no_threads(&error);
        let mut inbox = Inbox::new(Clock::starting_at(0)).map_err(threads)?;
        let intake = Intake::new(GaugeId::new(WATCHED), Origin::Sent);
        let port = GaugePort::unopened(WATCHED, address, line, adapter, intake, listing);
        let control = port.control();
        let requests = inbox.requests();
        let first = Seen {
            tap: control.seen(),
            ..Seen::default()
        };
        let seen = Arc::new(Mutex::new(Arc::new(first)));
        let shown = (Arc::clone(&seen), Arc::clone(&control));
        let thread = WriterThread::spawn(move || {
            inbox.spawn_reader(move |mailer| port.read(mailer));
            watch(&mut inbox, &shown.0, &shown.1, &notify);
        });
        Ok(Self {
            control,
            seen,
            requests,
            thread: Some(thread.map_err(threads)?),
        })
    }

    /// The port as it was last seen.
    pub fn seen(&self) -> Arc<Seen> {
        Arc::clone(&self.seen.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// Asks the gauge for a value, or takes the value now of one that streams; never waits. What
    /// kept it from being asked is the message that is seen next.
    ///
    /// # Errors
    /// A sentence, when the gauge is not attached or does not follow.
    pub fn ask(&self) -> Result<(), String> {
        self.control.ask(Ask {
            gauge: GaugeId::new(WATCHED),
            how: Take::Press,
            step: None,
        })
    }
}

impl Drop for PortWatch {
    fn drop(&mut self) {
        self.requests.interrupt();
        if let Some(thread) = self.thread.take() {
            thread.join();
        }
    }
}

/// Publishes what there is to be seen until it is told to end.
fn watch(
    inbox: &mut Inbox,
    shown: &Mutex<Arc<Seen>>,
    control: &PortControl,
    notify: &(impl Fn() + Send + Sync),
) {
    let mut seen = Seen::default();
    loop {
        for arrival in inbox.batch_until(None) {
            match arrival {
                Arrival::Interrupted => {
                    inbox.shut_down();
                    return;
                }
                Arrival::Incoming(_, Incoming::Reading(_) | Incoming::Taken(_)) => {
                    seen.readings = seen.readings.saturating_add(1);
                }
                Arrival::Incoming(_, Incoming::Notice(Event::ReadingRefused { .. })) => {
                    seen.refused = seen.refused.saturating_add(1);
                }
                Arrival::Incoming(_, Incoming::Notice(Event::GarbageCounted { count, .. })) => {
                    seen.refused = seen.refused.saturating_add(count);
                }
                Arrival::Told(told) => seen.message = Some(told.text),
                _ => {}
            }
        }
        seen.tap = control.seen();
        *shown.lock().unwrap_or_else(PoisonError::into_inner) = Arc::new(seen.clone());
        notify();
    }
}
