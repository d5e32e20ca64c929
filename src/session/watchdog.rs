//! Watches what comes from a line: bytes and no readings, nothing at all, no answer. Pure: times
//! come with the bytes. A state is told once, when it changes, and readings end it.

/// So many refused frames without a reading between them: the line settings may be wrong (chosen:
/// noise after plugging in is one or two).
pub(super) const REFUSALS: u32 = 3;
/// So many bytes that made neither a reading nor a refusal, for [`UNHEARD_MS`] and more, mean the
/// same (chosen: more than one frame of most gauges).
pub(super) const UNHEARD_BYTES: u64 = 16;
/// See [`UNHEARD_BYTES`], milliseconds (chosen).
pub(super) const UNHEARD_MS: u64 = 2_000;
/// A line that says nothing for so long is silent, milliseconds (chosen: longer than it takes to
/// turn a part over and measure again).
pub(super) const SILENT_MS: u64 = 30_000;

/// How a line that is open goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineState {
    /// Nothing is wrong with it.
    Attached,
    /// Bytes come, no readings.
    NoReadings,
    /// Nothing came for long.
    Silent,
    /// It was asked and did not answer in time.
    NoReply,
}

impl LineState {
    /// The state's word in records.
    pub fn word(self) -> &'static str {
        match self {
            Self::Attached => "attached",
            Self::NoReadings => "no_readings",
            Self::Silent => "silent",
            Self::NoReply => "no_reply",
        }
    }
}

/// The watch over one open line.
#[derive(Debug, Clone)]
pub struct Watchdog {
    state: LineState,
    refused: u32,
    /// Bytes that nothing has come of, and when the first of them came.
    unheard: u64,
    unheard_ms: u64,
    last_byte_ms: u64,
    minds_silence: bool,
}

impl Watchdog {
    /// The watch over a line opened at `at_ms`. A gauge that must be asked is silent by itself.
    pub fn new(at_ms: u64, is_asked: bool) -> Self {
        Self {
            state: LineState::Attached,
            refused: 0,
            unheard: 0,
            unheard_ms: at_ms,
            last_byte_ms: at_ms,
            minds_silence: !is_asked,
        }
    }

    /// The state now.
    pub fn state(&self) -> LineState {
        self.state
    }

    /// So many bytes came.
    pub fn bytes(&mut self, count: usize, at_ms: u64) {
        if self.unheard == 0 {
            self.unheard_ms = at_ms;
        }
        self.last_byte_ms = at_ms;
        self.unheard = self
            .unheard
            .saturating_add(u64::try_from(count).unwrap_or(u64::MAX));
    }

    /// A reading or a state of the gauge came: the line is set right. The state, if it changed.
    pub fn understood(&mut self) -> Option<LineState> {
        (self.refused, self.unheard) = (0, 0);
        self.become_(LineState::Attached)
    }

    /// Bytes came that are no reading. The state, if it changed.
    pub fn refused(&mut self) -> Option<LineState> {
        self.unheard = 0;
        self.refused = self.refused.saturating_add(1);
        (self.refused >= REFUSALS)
            .then(|| self.become_(LineState::NoReadings))
            .flatten()
    }

    /// An answer did not come in time. The state, if it changed.
    pub fn unanswered(&mut self) -> Option<LineState> {
        match self.state {
            // What came instead says more.
            LineState::NoReadings => None,
            _ => self.become_(LineState::NoReply),
        }
    }

    /// Looks at the clock. The state, if it changed.
    pub fn look(&mut self, at_ms: u64) -> Option<LineState> {
        let unheard_for = at_ms.saturating_sub(self.unheard_ms);
        if self.unheard >= UNHEARD_BYTES && unheard_for >= UNHEARD_MS {
            return self.become_(LineState::NoReadings);
        }
        let is_silent = at_ms.saturating_sub(self.last_byte_ms) >= SILENT_MS;
        if self.minds_silence && is_silent {
            return self.become_(LineState::Silent);
        }
        None
    }

    fn become_(&mut self, state: LineState) -> Option<LineState> {
        let changed = self.state != state;
        self.state = state;
        changed.then_some(state)
    }
}

#[cfg(test)]
mod tests {
    use super::{LineState, SILENT_MS, UNHEARD_MS, Watchdog};

    #[test]
    fn three_refusals_in_a_row_are_told_once_and_a_reading_ends_it() {
        let mut watch = Watchdog::new(0, false);
        assert_eq!([watch.refused(), watch.refused()], [None, None]);
        assert_eq!(watch.understood(), None);
        assert_eq!([watch.refused(), watch.refused()], [None, None]);
        assert_eq!(watch.refused(), Some(LineState::NoReadings));
        assert_eq!([watch.refused(), watch.refused()], [None, None]);
        assert_eq!(watch.understood(), Some(LineState::Attached));
        assert_eq!(watch.understood(), None);
    }

    #[test]
    fn bytes_that_nothing_comes_of_are_told_after_a_while() {
        let mut watch = Watchdog::new(0, false);
        watch.bytes(15, 1_000);
        assert_eq!(watch.look(1_000 + 2 * UNHEARD_MS), None, "too few");
        watch.bytes(1, 6_000);
        assert_eq!(watch.look(6_000), Some(LineState::NoReadings));
        assert_eq!(watch.look(6_001), None);
        let mut watch = Watchdog::new(0, false);
        watch.bytes(400, 1_000);
        assert_eq!(watch.look(1_000 + UNHEARD_MS - 1), None, "too soon");
        assert_eq!(watch.understood(), None);
        assert_eq!(watch.look(1_000 + UNHEARD_MS), None, "a reading came");
    }

    #[test]
    fn a_long_silence_is_told_once_and_not_of_a_gauge_that_must_be_asked() {
        let mut watch = Watchdog::new(1_000, false);
        assert_eq!(watch.look(1_000 + SILENT_MS - 1), None);
        assert_eq!(watch.look(1_000 + SILENT_MS), Some(LineState::Silent));
        assert_eq!(watch.look(9_000 + SILENT_MS), None);
        watch.bytes(8, 60_000);
        assert_eq!(watch.understood(), Some(LineState::Attached));
        assert_eq!(watch.look(60_000 + SILENT_MS), Some(LineState::Silent));
        let mut asked = Watchdog::new(0, true);
        assert_eq!(asked.look(10 * SILENT_MS), None);
        assert_eq!(asked.unanswered(), Some(LineState::NoReply));
        assert_eq!(asked.unanswered(), None);
        assert_eq!(asked.understood(), Some(LineState::Attached));
    }
}
