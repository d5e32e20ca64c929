//! Cutting frames that begin with known bytes: up to an end byte, or of a known length.

use super::adapter::Marker;
use super::check_frame::skipped_before_frame;
use super::cut::{Frame, Held, Take};
use super::error::WireError;

/// Frames with start bytes, end bytes and perhaps check bytes after them.
#[derive(Debug)]
pub(super) struct StartEnd {
    start: Marker,
    end: Marker,
    trailer: usize,
    max: usize,
    held: Held,
    phase: Phase,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Phase {
    /// Before a frame; what is held is no frame, or begins one.
    Before {
        /// Such bytes were told already and are only looked through.
        reported: bool,
    },
    Inside,
    /// So many check bytes are still to come.
    Trailer(usize),
}

impl StartEnd {
    pub(super) fn new(start: Marker, end: Marker, trailer: usize, max: usize) -> Self {
        Self {
            start,
            end,
            trailer,
            max,
            held: Held::default(),
            phase: Phase::Before { reported: false },
        }
    }

    pub(super) fn push(&mut self, bytes: &[u8], offset: u64, take: &mut impl Take) {
        for (byte, at) in bytes.iter().zip(offset..) {
            self.step(*byte, at, take);
        }
    }

    fn step(&mut self, byte: u8, at: u64, take: &mut impl Take) {
        let begins = self.start.as_slice().first() == Some(&byte);
        let blank = byte == b' ' || skipped_before_frame(byte);
        match self.phase {
            Phase::Before { reported: false } if self.held.bytes.is_empty() && blank && !begins => {
            }
            Phase::Before { reported } => {
                self.held.push(byte, at);
                self.before(reported, take);
            }
            Phase::Inside => {
                self.held.push(byte, at);
                self.inside(take);
            }
            Phase::Trailer(still) => {
                self.held.push(byte, at);
                self.phase = Phase::Trailer(still.saturating_sub(1));
                self.finish(take);
            }
        }
    }

    fn before(&mut self, reported: bool, take: &mut impl Take) {
        let start = self.start.as_slice();
        let held = self.held.bytes.as_slice();
        if held.ends_with(start) {
            let noise = held.len() - start.len();
            self.report(noise, reported, take);
            self.phase = Phase::Inside;
            return;
        }
        let noise = held.len() - self.start.begun_at_end_of(held);
        if reported || noise >= self.max {
            self.report(noise, reported, take);
            self.phase = Phase::Before { reported: true };
        }
    }

    fn inside(&mut self, take: &mut impl Take) {
        let held = self.held.bytes.as_slice();
        let (start, end) = (self.start.as_slice(), self.end.as_slice());
        let body = held.get(start.len()..).unwrap_or_default();
        if body.ends_with(start) {
            let old = held.len() - start.len();
            let raw = held.get(..old).unwrap_or_default();
            take.fault(WireError::Truncated, raw, self.held.offset);
            self.held.drop_first(old);
            return;
        }
        let ended = body.ends_with(end);
        let still = if ended { self.trailer } else { 0 };
        if held.len() + still > self.max {
            // Its last bytes may be the beginning of the next frame's start.
            let old = held.len() - self.start.begun_at_end_of(body);
            let raw = held.get(..old).unwrap_or_default();
            take.fault(WireError::TooLong, raw, self.held.offset);
            self.held.drop_first(old);
            self.phase = Phase::Before { reported: true };
        } else if ended {
            self.phase = Phase::Trailer(still);
            self.finish(take);
        }
    }

    fn finish(&mut self, take: &mut impl Take) {
        if self.phase != Phase::Trailer(0) {
            return;
        }
        let raw = self.held.bytes.as_slice();
        let behind = self.end.as_slice().len() + self.trailer;
        let text = (
            self.start.as_slice().len(),
            raw.len().saturating_sub(behind),
        );
        let offset = self.held.offset;
        take.frame(Frame { raw, text, offset }, &[]);
        self.held.bytes.clear();
        self.phase = Phase::Before { reported: false };
    }

    /// Tells the first bytes as bytes before a frame, unless such were told, and forgets them.
    fn report(&mut self, noise: usize, reported: bool, take: &mut impl Take) {
        report(&mut self.held, noise, reported, take);
    }

    pub(super) fn idle(&mut self, take: &mut impl Take) {
        match self.phase {
            Phase::Inside | Phase::Trailer(_) => {
                take.fault(WireError::Truncated, &self.held.bytes, self.held.offset);
            }
            Phase::Before { reported } => self.report(self.held.bytes.len(), reported, take),
        }
        self.held.bytes.clear();
        self.phase = Phase::Before { reported: false };
    }

    /// Bytes of memory for what is held back.
    pub(super) fn held(&self) -> usize {
        self.held.bytes.capacity()
    }
}

/// Frames with start bytes and a known length.
///
/// After a frame that says nothing good the search goes on one byte after its first, because
/// what looked like a start may have been part of a number.
#[derive(Debug)]
pub(super) struct StartLength {
    start: Marker,
    length: usize,
    text_from: usize,
    held: Held,
    /// What is held begins with the start bytes.
    inside: bool,
    /// Bytes before a frame were told already, or belong to a frame that failed.
    reported: bool,
}

impl StartLength {
    pub(super) fn new(start: Marker, length: usize, text_from: usize) -> Self {
        Self {
            start,
            length,
            text_from,
            held: Held::default(),
            inside: false,
            reported: false,
        }
    }

    pub(super) fn push(&mut self, bytes: &[u8], offset: u64, take: &mut impl Take) {
        for (byte, at) in bytes.iter().zip(offset..) {
            self.held.push(*byte, at);
            if self.inside {
                self.complete(take);
            } else if self.held.bytes.ends_with(self.start.as_slice()) {
                self.begin(self.held.bytes.len() - self.start.as_slice().len(), take);
            } else {
                self.before(take);
            }
        }
    }

    /// Hands on the frame that is held, once it is whole.
    fn complete(&mut self, take: &mut impl Take) {
        if self.held.bytes.len() < self.length {
            return;
        }
        let raw = self.held.bytes.as_slice();
        let (text, offset) = ((self.text_from, raw.len()), self.held.offset);
        if take.frame(Frame { raw, text, offset }, &[]) {
            self.held.bytes.clear();
            self.inside = false;
            self.reported = false;
            return;
        }
        self.held.drop_first(1);
        self.inside = false;
        self.reported = true;
        let start = self.start.as_slice();
        let mut places = self.held.bytes.windows(start.len());
        match places.position(|seen| seen == start) {
            Some(noise) => self.begin(noise, take),
            None => self.before(take),
        }
    }

    /// A start was found behind `noise` bytes. What is left is shorter than a frame, because it
    /// was less than a frame before.
    fn begin(&mut self, noise: usize, take: &mut impl Take) {
        report(&mut self.held, noise, self.reported, take);
        self.inside = true;
    }

    /// No start was found: what cannot begin one is let go once it is long enough to be told.
    fn before(&mut self, take: &mut impl Take) {
        let held = self.held.bytes.as_slice();
        let noise = held.len() - self.start.begun_at_end_of(held);
        if self.reported || noise >= self.length {
            report(&mut self.held, noise, self.reported, take);
            self.reported = true;
        }
    }

    pub(super) fn idle(&mut self, take: &mut impl Take) {
        if self.inside {
            take.fault(WireError::Truncated, &self.held.bytes, self.held.offset);
        } else {
            report(&mut self.held, usize::MAX, self.reported, take);
        }
        self.held.bytes.clear();
        self.inside = false;
        self.reported = false;
    }

    /// Bytes of memory for what is held back.
    pub(super) fn held(&self) -> usize {
        self.held.bytes.capacity()
    }
}

/// Tells the first bytes as bytes before a frame, unless such were told, and forgets them.
fn report(held: &mut Held, noise: usize, reported: bool, take: &mut impl Take) {
    let noise = noise.min(held.bytes.len());
    let raw = held.bytes.get(..noise).unwrap_or_default();
    if !reported && !raw.is_empty() {
        take.fault(WireError::BadHeader, raw, held.offset);
    }
    held.drop_first(noise);
}
