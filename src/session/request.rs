//! What a window may ask of the running session.

use super::command::Command;
use crate::gauge::{GaugeId, Reading};

/// One request; see [`super::Live::send`].
#[derive(Debug, Clone, PartialEq)]
pub enum Request {
    /// A typed reading.
    Reading(Reading),
    /// Something to be carried out at the bench.
    Command(Command),
    /// A value of a gauge that must be asked or that streams, in the way that the characteristic
    /// at hand is taken; once more at the end of a sweep.
    AskGauge(GaugeId),
    /// The same of the gauge that is bound to the characteristic at hand.
    AskAnyGauge,
    /// One move of the simulated hand, as if its gauge's data button were pressed.
    PressGauge,
    /// The simulated hand goes on by itself, or pauses.
    Play(bool),
    /// Try now to record what is NOT RECORDED.
    TryRecording,
}
