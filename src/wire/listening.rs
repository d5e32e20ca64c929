//! Reading a port without knowing what a port is: the loop, its errors, and when to try again.
//!
//! No clock here: silence is counted in reads that timed out.

use std::fmt;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use super::decode::Decoder;
use super::decoded::Heard;

/// What is wrong with a port.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PortFault {
    /// Nothing came within the read's time; not a fault of the port.
    Timeout,
    /// It was there and is no longer: unplugged.
    Gone,
    /// Another program, or this one, has it open.
    Busy,
    /// This user may not open it.
    NotPermitted,
    /// There is no such port.
    NotFound,
    /// It exists but is no serial port.
    NotSerial,
    /// Several attached adapters have that identity.
    Several,
    /// The system cannot set the line as the adapter asks.
    Unsupported,
    /// Anything else that the system reports.
    Other,
}

/// A fault of a port, with the port and the system's own number and words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PortError {
    /// What is wrong.
    pub fault: PortFault,
    /// Path or identity of the port.
    pub port: String,
    /// The system's error number, where it gave one.
    pub errno: Option<i32>,
    /// What was found, in words.
    pub found: String,
}

impl PortError {
    /// The error's stable word for machines.
    pub fn code(&self) -> &'static str {
        match self.fault {
            PortFault::Timeout => "port_timeout",
            PortFault::Gone => "port_gone",
            PortFault::Busy => "port_busy",
            PortFault::NotPermitted => "port_not_permitted",
            PortFault::NotFound => "port_not_found",
            PortFault::NotSerial => "port_not_serial",
            PortFault::Several => "port_ambiguous",
            PortFault::Unsupported => "port_unsupported",
            PortFault::Other => "port_failed",
        }
    }

    /// What to do about it, one sentence.
    pub fn hint(&self) -> &'static str {
        match self.fault {
            PortFault::Timeout => "Press the gauge's data button.",
            PortFault::Gone => "Plug the adapter in again; it is found under any port.",
            PortFault::Busy => "Close the other program that reads this port.",
            PortFault::NotPermitted => {
                "Add yourself to the group that owns the port (often dialout or uucp) and log in \
                 again, or save the udev rule that fitledger ports --udev prints."
            }
            PortFault::NotFound => "Plug the adapter in, or name a port that is listed.",
            PortFault::NotSerial => "Name a serial port.",
            PortFault::Several => "Name the port by its path, or unplug the other adapter.",
            PortFault::Unsupported => "Set the gauge or the adapter's description otherwise.",
            PortFault::Other => "Unplug the adapter, plug it in again, and try once more.",
        }
    }

    /// What is wrong with which port, without what to do.
    pub fn sentence(&self) -> String {
        let what = match self.fault {
            PortFault::Timeout => "sent nothing in time",
            PortFault::Gone => "was unplugged",
            PortFault::Busy => "is in use",
            PortFault::NotPermitted => "may not be opened by this user",
            PortFault::NotFound => "is not there",
            PortFault::NotSerial => "is no serial port",
            PortFault::Several => "is not the only one of that identity",
            PortFault::Unsupported => "cannot be set as the adapter asks",
            PortFault::Other => "failed",
        };
        let found = match self.found.is_empty() {
            true => String::new(),
            false => format!(" ({})", self.found),
        };
        let errno = self.errno.map(|errno| format!(" [system error {errno}]"));
        let errno = errno.unwrap_or_default();
        format!("Port {} {what}{found}{errno}.", self.port)
    }
}

impl fmt::Display for PortError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.sentence(), self.hint())
    }
}

impl std::error::Error for PortError {}

/// Something that gives bytes as they come and takes bytes to send.
pub trait Port {
    /// Waits a short while for bytes; at least one byte, or [`PortFault::Timeout`].
    ///
    /// # Errors
    /// [`PortFault::Gone`] when the far end is no longer there, and other faults.
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize, PortError>;

    /// Sends all bytes.
    ///
    /// # Errors
    /// [`PortFault::Gone`] when the far end is no longer there, and other faults.
    fn write(&mut self, bytes: &[u8]) -> Result<(), PortError>;

    /// How long a read waits from now on, at most; answers how long it really will. A port that
    /// cannot be told waits [`READ_TIME`].
    fn wait_at_most(&mut self, _time: Duration) -> Duration {
        READ_TIME
    }
}

/// How long one read waits (chosen: a stop is obeyed within it, and a port that says nothing costs
/// next to no processor time).
pub const READ_TIME: Duration = Duration::from_millis(250);

/// How long one read waits at a port whose gauge is asked (chosen: so long may a request lie, and
/// nobody feels it).
pub const ASK_READ_TIME: Duration = Duration::from_millis(20);

/// What a port tells while it is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PortNews<'b> {
    /// Bytes as they came, before what they complete. Bytes without anything heard for long
    /// mean wrong line settings.
    Bytes(&'b [u8]),
    /// What the bytes said.
    Heard(Heard<'b>),
    /// The line went idle.
    Idle,
}

/// Reads of [`READ_TIME`] that time out, one after the other, until the line counts as idle
/// (chosen: one second, far longer than any gauge pauses within a frame).
pub const IDLE_READS: u32 = 4;

/// Reads a port until `stop` is set (`Ok`) or the port fails (`Err`).
///
/// Blocking; the time of one read bounds how long a stop takes. An unfinished frame is reported
/// as truncated when the line goes idle, the port vanishes or reading stops; it is never read.
///
/// # Errors
/// The port's fault, after everything that came before it was handed on.
pub fn read_port(
    port: &mut impl Port,
    decoder: &mut Decoder,
    stop: &AtomicBool,
    news: &mut impl FnMut(PortNews<'_>),
) -> Result<(), PortError> {
    read_port_between(port, decoder, stop, READ_TIME, news, &mut |_| Ok(()))
}

/// The same; `between` is called with the port before each read, at least once in `read_time`, so
/// that something may be sent.
///
/// Where frames end at a pause, a pause of the adapter's length after bytes is waited for and
/// handed to the decoder: the system cannot tell shorter from longer ones afterwards.
///
/// # Errors
/// The port's fault, or the one that `between` answers.
pub fn read_port_between<P: Port>(
    port: &mut P,
    decoder: &mut Decoder,
    stop: &AtomicBool,
    read_time: Duration,
    news: &mut impl FnMut(PortNews<'_>),
    between: &mut impl FnMut(&mut P) -> Result<(), PortError>,
) -> Result<(), PortError> {
    let mut buffer = [0; 4_096];
    let gap_ms = decoder.adapter().gap_ms();
    let gap = gap_ms.map(|ms| Duration::from_millis(u64::from(ms.max(1))));
    let idle = READ_TIME.saturating_mul(IDLE_READS);
    let mut is_idle = false;
    // Since the last byte, in reads that timed out.
    let mut silent = Duration::ZERO;
    let mut gap_due = false;
    let ended = loop {
        if stop.load(Ordering::Relaxed) {
            break Ok(());
        }
        if let Err(error) = between(port) {
            break Err(error);
        }
        let wanted = gap.filter(|_| gap_due).unwrap_or(read_time);
        let wait = port.wait_at_most(wanted);
        match port.read(&mut buffer) {
            Ok(count) => {
                (silent, is_idle, gap_due) = (Duration::ZERO, false, gap.is_some());
                let came = buffer.get(..count).unwrap_or(&buffer);
                news(PortNews::Bytes(came));
                decoder.push(came, &mut |heard: Heard<'_>| news(PortNews::Heard(heard)));
            }
            Err(error) if error.fault == PortFault::Timeout => {
                silent = silent.saturating_add(wait);
                if gap_due && gap.is_some_and(|gap| silent >= gap) {
                    gap_due = false;
                    decoder.gap(&mut |heard: Heard<'_>| news(PortNews::Heard(heard)));
                }
                if silent >= idle && !is_idle {
                    is_idle = true;
                    decoder.idle(&mut |heard: Heard<'_>| news(PortNews::Heard(heard)));
                    news(PortNews::Idle);
                }
            }
            Err(error) => break Err(error),
        }
    };
    decoder.idle(&mut |heard: Heard<'_>| news(PortNews::Heard(heard)));
    ended
}

/// How long to wait before a port that is gone is tried again: 100 ms, doubling to 2 s (chosen).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Backoff {
    next: Duration,
}

impl Backoff {
    /// The first wait.
    pub const FIRST: Duration = Duration::from_millis(100);
    /// The longest wait.
    pub const LONGEST: Duration = Duration::from_secs(2);

    /// Before the first attempt.
    pub fn new() -> Self {
        Self { next: Self::FIRST }
    }

    /// The wait before the next attempt; the one after it will be twice as long.
    pub fn next_delay(&mut self) -> Duration {
        let delay = self.next;
        self.next = delay.saturating_mul(2).min(Self::LONGEST);
        delay
    }

    /// The port answered: begin anew at the next fault.
    pub fn reset(&mut self) {
        *self = Self::new();
    }
}

impl Default for Backoff {
    fn default() -> Self {
        Self::new()
    }
}

#[cfg(test)]
mod tests {
    use super::Backoff;

    #[test]
    fn the_wait_doubles_from_a_tenth_of_a_second_to_two_seconds_and_begins_anew() {
        let mut backoff = Backoff::new();
        let waits: Vec<u128> = (0..7).map(|_| backoff.next_delay().as_millis()).collect();
        assert_eq!(waits, [100, 200, 400, 800, 1600, 2000, 2000]);
        backoff.reset();
        assert_eq!(backoff.next_delay(), Backoff::FIRST);
    }
}
