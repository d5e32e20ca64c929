//! What comes down a gauge's line, live: the last bytes and what they said, bounded. Nothing of it
//! is recorded; it is there to be looked at.

use std::collections::VecDeque;

use super::taking::TakingSoFar;
use crate::gauge::{GaugeId, Reading};
use crate::wire::{Decoded, Heard};

/// So many of the last bytes are kept (chosen: a few lines of a screen).
pub(super) const BYTES_KEPT: usize = 256;
/// So many of the last things heard are kept (chosen).
pub(super) const LINES_KEPT: usize = 12;
/// Bytes of one frame that are kept.
const FRAME_KEPT: usize = 64;

/// The line of one port as it was last seen.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tap {
    /// The gauges that send on it; the first is the one it was opened for.
    pub gauges: Vec<GaugeId>,
    /// Where it is attached: path, or USB identity.
    pub port: String,
    /// The adapter's name.
    pub adapter: String,
    /// Who starts a reading.
    pub kind: TapKind,
    /// The last bytes, oldest first.
    pub bytes: VecDeque<u8>,
    /// How many bytes came since it was opened.
    pub bytes_in_all: u64,
    /// The last things heard, oldest first.
    pub lines: VecDeque<TapLine>,
    /// The last value and when it came, by the session's clock.
    pub value: Option<(Reading, u64)>,
    /// What is being taken out of moving values.
    pub taking: Option<TakingSoFar>,
    /// The state of the line in one word, as in the record.
    pub state: String,
    /// And what is to be said of it.
    pub detail: String,
}

/// Who starts a reading.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum TapKind {
    /// The gauge, at its data button.
    #[default]
    Sends,
    /// The program, when it is asked to.
    Asked,
    /// Nobody: values are shown live, and one is taken.
    Streams,
}

/// One thing that was heard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TapLine {
    /// When, by the session's clock.
    pub at_ms: u64,
    /// The frame's bytes, cut at a bound.
    pub raw: Vec<u8>,
    /// The value with its unit, the gauge's state, or why it is no reading (its stable word).
    pub text: String,
    /// It is a value.
    pub is_value: bool,
}

impl Tap {
    /// Whether that gauge sends on this line.
    pub fn is_of(&self, gauge: &GaugeId) -> bool {
        self.gauges.contains(gauge)
    }

    /// Takes in bytes.
    pub(super) fn came(&mut self, bytes: &[u8]) {
        let count = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
        self.bytes_in_all = self.bytes_in_all.saturating_add(count);
        let newest = bytes.len().saturating_sub(BYTES_KEPT);
        self.bytes.extend(bytes.get(newest..).unwrap_or_default());
        let over = self.bytes.len().saturating_sub(BYTES_KEPT);
        self.bytes.drain(..over);
    }

    /// Takes in what they said.
    pub(super) fn heard(&mut self, heard: &Heard<'_>, at_ms: u64) {
        let (raw, text, is_value) = match heard {
            Decoded::Reading(sent) => {
                // The sign of a zero is kept beside its value.
                let is_zero = sent.value.mantissa() == 0;
                let minus = if sent.minus && is_zero { "-" } else { "" };
                let text = format!("{minus}{} {}", sent.value_text(), sent.unit.symbol());
                (sent.raw, text, true)
            }
            Decoded::Status(sent) => (sent.raw, sent.status.word().to_owned(), false),
            Decoded::Error(sent) => (sent.raw, sent.error.code().to_owned(), false),
        };
        if self.lines.len() >= LINES_KEPT {
            self.lines.pop_front();
        }
        self.lines.push_back(TapLine {
            at_ms,
            raw: raw.iter().copied().take(FRAME_KEPT).collect(),
            text,
            is_value,
        });
    }
}

#[cfg(test)]
mod tests {
    use super::{BYTES_KEPT, LINES_KEPT, Tap};
    use crate::wire::{Decoder, built_in};

    #[test]
    fn a_tap_keeps_the_last_and_does_not_grow() {
        let mut tap = Tap::default();
        let mut decoder = Decoder::new(built_in("line-free").unwrap());
        for at in 0..1_000_u64 {
            let line = format!("{at}.5 mm\r\n");
            tap.came(line.as_bytes());
            decoder.push(line.as_bytes(), &mut |heard| tap.heard(&heard, at));
        }
        tap.came(&[b'x'; 9_000]);
        assert_eq!((tap.bytes.len(), tap.lines.len()), (BYTES_KEPT, LINES_KEPT));
        assert!(tap.bytes.iter().all(|byte| *byte == b'x'));
        let last = tap.lines.back().unwrap();
        assert_eq!((last.text.as_str(), last.at_ms), ("999.5 mm", 999));
        assert_eq!(last.raw, b"999.5 mm");
        let zero = "-0.000\r\n?\r\n";
        decoder.push(zero.as_bytes(), &mut |heard| tap.heard(&heard, 0));
        let said: Vec<&str> = tap.lines.iter().map(|line| line.text.as_str()).collect();
        assert_eq!(said[LINES_KEPT - 2..], ["-0.000 mm", "malformed"]);
    }
}
