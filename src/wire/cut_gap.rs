//! Cutting frames that only a pause ends: one burst is one frame, never split, never joined.

use super::cut::{Frame, Held, Take};

/// Bytes that are kept of a burst beyond the longest frame, so that it is seen to be too long.
const EXCESS_KEPT: usize = 4;

/// Frames that a pause ends.
#[derive(Debug)]
pub(super) struct Gap {
    kept_max: usize,
    held: Held,
}

impl Gap {
    pub(super) fn new(max_bytes: usize) -> Self {
        Self {
            kept_max: max_bytes + EXCESS_KEPT,
            held: Held::default(),
        }
    }

    pub(super) fn push(&mut self, bytes: &[u8], offset: u64) {
        let room = self.kept_max.saturating_sub(self.held.bytes.len());
        for (byte, at) in bytes.iter().take(room).zip(offset..) {
            self.held.push(*byte, at);
        }
    }

    /// The burst is over.
    pub(super) fn end(&mut self, take: &mut impl Take) {
        if self.held.bytes.is_empty() {
            return;
        }
        let raw = self.held.bytes.as_slice();
        let text = (0, raw.len());
        let offset = self.held.offset;
        take.frame(Frame { raw, text, offset }, &[]);
        self.held.bytes.clear();
    }

    /// Bytes of memory for what is held back.
    pub(super) fn held(&self) -> usize {
        self.held.bytes.capacity()
    }
}
