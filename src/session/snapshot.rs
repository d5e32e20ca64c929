//! Everything that may be seen of a running session at one moment.

use std::sync::Arc;

use super::batch_brief::BatchBrief;
use super::state::State;
use super::tap::{Tap, TapKind};
use crate::gauge::GaugeId;
use crate::journal::Sequence;

/// A session at one moment; cheap to clone.
#[derive(Debug, Clone)]
pub struct Snapshot {
    /// The state, as the disk has it.
    pub state: State,
    /// What the rows of numbers over the parts say.
    pub batch: Arc<BatchBrief>,
    /// Name of the journal file.
    pub journal: String,
    /// Where it is.
    pub path: String,
    /// The last event that is on the disk.
    pub head: Sequence,
    /// What is NOT RECORDED; none while everything is.
    pub unrecorded: Option<Unrecorded>,
    /// What could not be carried out, or was no reading, last: a sentence and what to do.
    pub message: Option<Message>,
    /// The simulated hand, if a gauge of the session is simulated: whether it goes on by itself.
    pub is_playing: Option<bool>,
    /// The line of each port of the session, live; nothing of it is recorded.
    pub taps: Vec<Tap>,
    /// Monotonic milliseconds since the session started.
    pub now_ms: u64,
    /// Why nothing more is taken in, in a sentence, when the program failed; none while it runs,
    /// and after an ordinary end.
    pub ended: Option<String>,
}

impl Snapshot {
    /// The line on which that gauge sends.
    pub fn tap(&self, gauge: &GaugeId) -> Option<&Tap> {
        self.taps.iter().find(|tap| tap.is_of(gauge))
    }

    /// The gauges whose value a person takes: those that stream, or wait to be asked.
    pub fn live_gauges(&self) -> Vec<GaugeId> {
        let live = self.taps.iter().filter(|tap| tap.kind != TapKind::Sends);
        live.flat_map(|tap| tap.gauges.iter().cloned()).collect()
    }
}

/// What came and is not on the disk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unrecorded {
    /// Why, in a sentence.
    pub cause: String,
    /// What to do.
    pub hint: String,
    /// How many readings wait in memory.
    pub count: usize,
    /// The last of them as they came, newest first, a few.
    pub readings: Vec<String>,
}

/// A sentence for the person at the bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Message {
    /// Told after this event; a later one makes it old.
    pub after: Sequence,
    /// How many have been told so far, so that the same sentence twice is seen as two.
    pub number: u64,
    /// The sentence.
    pub text: String,
}
