//! What a wire and a teaching have come to, as the Gauges room is told it.

/// What came down the wire of a gauge.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LiveFacts {
    /// How the port is, in a sentence; what to do.
    pub state: String,
    /// Nothing is wrong with it.
    pub is_fine: bool,
    /// A session holds the port: what comes is recorded.
    pub is_recorded: bool,
    /// Frames as they came, the newest last.
    pub frames: Vec<LiveFrame>,
}

/// One frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LiveFrame {
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// The reading in it, or why it is none.
    pub reading: Result<String, String>,
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
}
