//! When frames were drawn, written down for those who measure.

use std::fs;
use std::io::Write;
use std::time::Instant;

use crate::journal::Sequence;

/// The environment variable that names the file for the log of frames.
pub(super) const FRAME_LOG_VARIABLE: &str = "FITLEDGER_FRAME_LOG";

/// One line for each frame, for those who measure how long a reading takes to the screen.
pub(super) struct FrameLog {
    file: fs::File,
    started: Instant,
    shown: Sequence,
}

impl FrameLog {
    /// The log, if the environment asks for one.
    pub(super) fn asked_for(started: Instant) -> Option<Self> {
        let path = std::env::var_os(FRAME_LOG_VARIABLE).filter(|path| !path.is_empty())?;
        let mut file = fs::File::create(path).ok()?;
        writeln!(file, "frame_ms first_shown_sequence received_ms drawn_ms").ok()?;
        Some(Self {
            file,
            started,
            shown: 0,
        })
    }

    /// Milliseconds since the program was asked for a window.
    pub(super) fn now_ms(&self) -> f64 {
        self.started.elapsed().as_secs_f64() * 1_000.0
    }

    /// `drawn`: the newest reading on the screen and when it was received; `now_ms`: the session's
    /// clock. Only the frame that shows a reading first names it; the others say 0.
    pub(super) fn frame(
        &mut self,
        frame_ms: f64,
        drawn: Option<(Sequence, u64)>,
        now_ms: Option<u64>,
    ) {
        let fresh = drawn.filter(|(sequence, _)| *sequence > self.shown);
        let (sequence, received_ms) = fresh.unwrap_or((0, 0));
        let drawn_ms = fresh.and(now_ms).unwrap_or(0);
        self.shown = drawn.map_or(0, |(sequence, _)| sequence);
        let line = format!("{frame_ms:.3} {sequence} {received_ms} {drawn_ms}\n");
        // A log that cannot be written must not disturb the work.
        drop(self.file.write_all(line.as_bytes()));
    }
}
