//! Listening for one press while an adapter is taught: on any port, with any clock.

use crate::wire::{GAP_MS, Port, PortError, PortFault, SerialLine, Trigger};

/// A port that can also be asked for a reading.
pub trait AskedPort: Port {
    /// Sends the request or pulses the line; nothing for gauges that send by themselves.
    ///
    /// # Errors
    /// What keeps the port from doing so.
    fn ask(&mut self, trigger: &Trigger) -> Result<(), PortError>;
}

impl AskedPort for SerialLine {
    fn ask(&mut self, trigger: &Trigger) -> Result<(), PortError> {
        self.request(trigger)
    }
}

/// How long a press is waited for, and how long the line must be silent behind it, milliseconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Patience {
    /// Until the first byte.
    pub first_ms: u64,
    /// Silence that ends a press.
    pub silent_ms: u64,
    /// The longest that is listened to (a stream never falls silent).
    pub longest_ms: u64,
}

impl Patience {
    /// A press that the user makes (chosen: time enough to take up a block).
    pub const PRESS: Self = Self {
        first_ms: 30_000,
        silent_ms: 300,
        longest_ms: 1_500,
    };
    /// A gauge that is asked, that streams, or that is expected to be quiet.
    pub const REPLY: Self = Self {
        first_ms: 1_500,
        silent_ms: 300,
        longest_ms: 1_500,
    };
}

/// Longest that bytes from before the prompt are thrown away, milliseconds (chosen).
const DRAIN_MS: u64 = 200;

/// Listens for one press: the bytes that come, cut at pauses. `now_ms` is a clock that only goes
/// on. Bytes that wait at the port already, from before, are thrown away if `drain` is set.
///
/// # Errors
/// What the port reports, other than that nothing came.
pub fn listen_press<P: AskedPort + ?Sized>(
    port: &mut P,
    trigger: &Trigger,
    patience: Patience,
    drain: bool,
    now_ms: &mut dyn FnMut() -> u64,
) -> Result<Vec<Vec<u8>>, PortError> {
    let mut buffer = [0; 4096];
    let begun = now_ms();
    while drain && now_ms().saturating_sub(begun) < DRAIN_MS {
        let asked = now_ms();
        read(port, &mut buffer)?;
        // A read that had to wait found nothing old.
        if now_ms().saturating_sub(asked) > 1 {
            break;
        }
    }
    port.ask(trigger)?;
    let since = now_ms();
    let mut chunks: Vec<Vec<u8>> = Vec::new();
    let mut heard: Option<(u64, u64)> = None;
    loop {
        let count = read(port, &mut buffer)?;
        let now = now_ms();
        let bytes = buffer.get(..count).filter(|bytes| !bytes.is_empty());
        match (bytes, heard) {
            (Some(bytes), None) => {
                chunks.push(bytes.to_vec());
                heard = Some((now, now));
            }
            (Some(bytes), Some((first, last))) => {
                match chunks.last_mut() {
                    Some(chunk) if now.saturating_sub(last) < u64::from(GAP_MS) => {
                        chunk.extend_from_slice(bytes);
                    }
                    _ => chunks.push(bytes.to_vec()),
                }
                heard = Some((first, now));
            }
            (None, _) => {}
        }
        let done = match heard {
            None => now.saturating_sub(since) >= patience.first_ms,
            Some((first, last)) => {
                now.saturating_sub(last) >= patience.silent_ms
                    || now.saturating_sub(first) >= patience.longest_ms
            }
        };
        if done {
            return Ok(chunks);
        }
    }
}

/// Bytes that came; none when nothing came in the read's time.
fn read<P: Port + ?Sized>(port: &mut P, buffer: &mut [u8]) -> Result<usize, PortError> {
    match port.read(buffer) {
        Err(error) if error.fault == PortFault::Timeout => Ok(0),
        other => other,
    }
}
