//! What a wire and a teaching have come to, as the Gauges room is told it.

use crate::session::Tap;

/// What comes down the wire of a gauge.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LiveFacts {
    /// The line as it was last seen.
    pub tap: Tap,
    /// A session holds the port: what is taken is recorded.
    pub is_recorded: bool,
    /// What was said last: what to do, or why an answer did not come.
    pub message: Option<String>,
}

/// What teaching has come to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TeachFacts {
    /// It goes on.
    pub is_running: bool,
    /// The step, from 1.
    pub step: usize,
    /// How many there are.
    pub steps: usize,
    /// What to do now, one sentence.
    pub prompt: String,
    /// The name of a size that is to be typed now, else empty.
    pub awaits: String,
    /// The question is answered with yes or no.
    pub asks_yes_or_no: bool,
    /// What was found.
    pub found: Vec<String>,
    /// What could not be identified.
    pub unknown: Vec<String>,
    /// What is assumed.
    pub assumed: Vec<String>,
    /// The adapter's text, once there is one.
    pub adapter: String,
    /// Where it was written; empty before.
    pub written: String,
    /// What the register says to use it; empty before it is written.
    pub usage: String,
}
