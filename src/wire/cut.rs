//! Cutting frames out of a stream of bytes.
//!
//! Knows where a frame begins and ends, nothing of what it means. The result depends only on the
//! bytes, never on how they were split, and the memory is bounded by the longest frame.

use super::adapter::{Framing, Terminator};
use super::check_frame::skipped_before_frame;
use super::cut_gap::Gap;
use super::cut_started::{StartEnd, StartLength};
use super::error::WireError;

/// One frame that was cut out.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame<'b> {
    /// All its bytes, for the record: without the terminator, with start, end and check bytes.
    pub(super) raw: &'b [u8],
    /// Its text within `raw`.
    pub(super) text: (usize, usize),
    /// Place of `raw` in the stream.
    pub(super) offset: u64,
}

impl<'b> Frame<'b> {
    pub(super) fn body(&self) -> &'b [u8] {
        self.raw.get(self.text.0..self.text.1).unwrap_or_default()
    }
}

/// Who takes what is cut.
pub(super) trait Take {
    /// A chance to take a whole frame with its terminator from the front of `rest`; the number
    /// of bytes taken, or 0.
    fn quick(&mut self, rest: &[u8], offset: u64) -> usize;
    /// One frame; `behind` are the bytes of its terminator, if they are at hand. False when it
    /// was no good frame: where a frame begins is then in doubt.
    fn frame(&mut self, frame: Frame<'_>, behind: &[u8]) -> bool;
    /// Bytes that are no frame.
    fn fault(&mut self, error: WireError, raw: &[u8], offset: u64);
}

/// The cutter of a framing.
#[derive(Debug)]
pub(super) enum Cutter {
    Terminated(Terminated),
    StartEnd(StartEnd),
    StartLength(StartLength),
    Gap(Gap),
}

impl Cutter {
    pub(super) fn new(framing: &Framing) -> Self {
        match *framing {
            Framing::Terminated { end, max_bytes } => Self::Terminated(Terminated {
                end,
                max: max_bytes,
                held: Held::default(),
                dropping: None,
            }),
            Framing::StartEnd {
                start,
                end,
                trailer,
                max_bytes,
            } => Self::StartEnd(StartEnd::new(start, end, trailer, max_bytes)),
            Framing::StartLength {
                start,
                length,
                text_from,
            } => Self::StartLength(StartLength::new(start, length, text_from)),
            Framing::Gap { max_bytes, .. } => Self::Gap(Gap::new(max_bytes)),
        }
    }

    /// Takes bytes of which the first stands at `offset` of the stream.
    #[inline]
    pub(super) fn push(&mut self, bytes: &[u8], offset: u64, take: &mut impl Take) {
        match self {
            Self::Terminated(cutter) => cutter.push(bytes, offset, take),
            Self::StartEnd(cutter) => cutter.push(bytes, offset, take),
            Self::StartLength(cutter) => cutter.push(bytes, offset, take),
            Self::Gap(cutter) => cutter.push(bytes, offset),
        }
    }

    /// A pause ends a burst; where frames have ends of their own it means nothing.
    pub(super) fn gap(&mut self, take: &mut impl Take) {
        if let Self::Gap(cutter) = self {
            cutter.end(take);
        }
    }

    /// The line went idle: what is held will not be completed.
    pub(super) fn idle(&mut self, take: &mut impl Take) {
        match self {
            Self::Terminated(cutter) => cutter.idle(take),
            Self::StartEnd(cutter) => cutter.idle(take),
            Self::StartLength(cutter) => cutter.idle(take),
            Self::Gap(cutter) => cutter.end(take),
        }
    }

    /// Bytes of memory for what is held back.
    pub(super) fn held(&self) -> usize {
        match self {
            Self::Terminated(cutter) => cutter.held.bytes.capacity(),
            Self::StartEnd(cutter) => cutter.held(),
            Self::StartLength(cutter) => cutter.held(),
            Self::Gap(cutter) => cutter.held(),
        }
    }
}

/// The beginning of a frame, kept until its end comes.
#[derive(Debug, Default)]
pub(super) struct Held {
    pub(super) bytes: Vec<u8>,
    /// Place of the first of them in the stream.
    pub(super) offset: u64,
}

impl Held {
    pub(super) fn push(&mut self, byte: u8, offset: u64) {
        if self.bytes.is_empty() {
            self.offset = offset;
        }
        self.bytes.push(byte);
    }

    /// Forgets the first bytes.
    pub(super) fn drop_first(&mut self, count: usize) {
        let count = count.min(self.bytes.len());
        self.bytes.drain(..count);
        self.offset += count as u64;
    }

    fn only(&self, allowed: impl Fn(u8) -> bool) -> bool {
        self.bytes.iter().all(|byte| allowed(*byte))
    }
}

impl Terminator {
    /// The terminator as bytes: for `Any` none.
    fn sequence(&self) -> &[u8] {
        match self {
            Self::Any => &[],
            Self::LineFeed => b"\n",
            Self::Bytes(marker) => marker.as_slice(),
        }
    }

    /// Length of the frame when `bytes` ends with a terminator.
    #[inline]
    fn frame_length(&self, bytes: &[u8]) -> Option<usize> {
        let (last, before) = bytes.split_last()?;
        match self {
            Self::Any => matches!(last, b'\r' | b'\n').then_some(before.len()),
            Self::LineFeed => (*last == b'\n').then(|| match before.split_last() {
                Some((b'\r', line)) => line.len(),
                _ => before.len(),
            }),
            Self::Bytes(marker) => {
                let sequence = marker.as_slice();
                bytes
                    .ends_with(sequence)
                    .then(|| bytes.len() - sequence.len())
            }
        }
    }

    /// Whether bytes beyond the longest frame may still turn out to be its terminator.
    fn may_begin_with(&self, excess: &[u8]) -> bool {
        match self {
            Self::Any => false,
            Self::LineFeed => excess == b"\r",
            Self::Bytes(_) => {
                let sequence = self.sequence();
                excess.len() < sequence.len() && sequence.starts_with(excess)
            }
        }
    }
}

/// Frames of text with a terminator.
#[derive(Debug)]
pub(super) struct Terminated {
    end: Terminator,
    max: usize,
    held: Held,
    /// After a frame that is too long: the last four bytes, while the rest is dropped.
    dropping: Option<[u8; 4]>,
}

impl Terminated {
    #[inline]
    fn push(&mut self, bytes: &[u8], offset: u64, take: &mut impl Take) {
        let mut rest = bytes;
        let mut at = offset;
        while let Some((first, after)) = rest.split_first() {
            if self.dropping.is_none() && self.held.bytes.is_empty() {
                let nothing = skipped_before_frame(*first)
                    || self.end.frame_length(std::slice::from_ref(first)).is_some();
                if nothing {
                    rest = after;
                    at += 1;
                    continue;
                }
                let mut used = take.quick(rest, at);
                if used == 0 {
                    used = self.whole(rest, at, take);
                }
                if used > 0 {
                    rest = rest.get(used..).unwrap_or_default();
                    at += used as u64;
                    continue;
                }
            }
            self.hold(*first, at, take);
            rest = after;
            at += 1;
        }
    }

    /// Takes a frame that lies in `rest` with its terminator, without holding it.
    fn whole(&mut self, rest: &[u8], at: u64, take: &mut impl Take) -> usize {
        let reach = rest.len().min(self.max + 5);
        for to in 1..=reach {
            let Some(seen) = rest.get(..to) else { break };
            if let Some(length) = self.end.frame_length(seen) {
                if length > self.max {
                    return 0;
                }
                let (raw, behind) = seen.split_at(length);
                if !raw.is_empty() {
                    let text = (0, length);
                    let offset = at;
                    take.frame(Frame { raw, text, offset }, behind);
                }
                return to;
            }
        }
        0
    }

    fn hold(&mut self, byte: u8, at: u64, take: &mut impl Take) {
        if let Some(last) = &mut self.dropping {
            last.rotate_left(1);
            last[3] = byte;
            if self.end.frame_length(last).is_some() {
                self.dropping = None;
            }
            return;
        }
        self.held.push(byte, at);
        let held = self.held.bytes.as_slice();
        if let Some(length) = self.end.frame_length(held) {
            let raw = held.get(..length).unwrap_or_default();
            if length > 0 {
                let (text, offset) = ((0, length), self.held.offset);
                take.frame(Frame { raw, text, offset }, &[]);
            }
            self.held.bytes.clear();
        } else if held.len() > self.max {
            let (raw, excess) = held.split_at(self.max);
            if !self.end.may_begin_with(excess) {
                take.fault(WireError::TooLong, raw, self.held.offset);
                let mut last = [0xff; 4];
                for (place, byte) in last.iter_mut().rev().zip(held.iter().rev()) {
                    *place = *byte;
                }
                self.dropping = Some(last);
                self.held.bytes.clear();
            }
        }
    }

    fn idle(&mut self, take: &mut impl Take) {
        self.dropping = None;
        if !self
            .held
            .only(|byte| byte == b' ' || skipped_before_frame(byte))
        {
            take.fault(WireError::Truncated, &self.held.bytes, self.held.offset);
        }
        self.held.bytes.clear();
    }
}
