//! The decoder: bytes in, readings, states and errors out.

use std::sync::Arc;

use regex::bytes::CaptureLocations;

use super::adapter::Adapter;
use super::check_frame::skipped_before_frame;
use super::cut::{Cutter, Frame, Take};
use super::decoded::{Decoded, Heard, SentError, SentReading, SentStatus};
use super::error::WireError;
use super::layout::{self, Layout, Window};
use super::reader::{self, Said};
use crate::quantity::{Decimal, Length};

/// Decodes one stream of bytes by one adapter.
///
/// Total: any bytes give readings, states or named errors, never a panic. What comes out
/// depends only on the bytes and on where the line paused or was idle, never on how they were
/// split. Memory is bounded by the adapter's longest frame, however long the stream.
#[derive(Debug)]
pub struct Decoder {
    adapter: Arc<Adapter>,
    cutter: Cutter,
    places: Option<CaptureLocations>,
    layouts: Layouts,
    offset: u64,
}

impl Decoder {
    /// A decoder at the start of a stream.
    pub fn new(adapter: Arc<Adapter>) -> Self {
        let layouts = Layouts {
            on: layout::may_remember(&adapter),
            ..Layouts::default()
        };
        Self {
            cutter: Cutter::new(&adapter.framing),
            adapter,
            places: None,
            layouts,
            offset: 0,
        }
    }

    /// Takes the next bytes; `out` gets what they complete, in order.
    #[inline]
    pub fn push(&mut self, bytes: &[u8], out: &mut impl FnMut(Heard<'_>)) {
        let offset = self.offset;
        self.offset += bytes.len() as u64;
        let (cutter, mut reader) = self.parts(out);
        cutter.push(bytes, offset, &mut reader);
    }

    /// A pause of at least the adapter's [`gap_ms`](Adapter::gap_ms) was seen: it ends a frame
    /// that has no other end, and means nothing to the others.
    pub fn gap(&mut self, out: &mut impl FnMut(Heard<'_>)) {
        let (cutter, mut reader) = self.parts(out);
        cutter.gap(&mut reader);
    }

    /// The line went idle: an unfinished frame is reported as truncated and never read; what
    /// comes next begins a new frame. An idle line with nothing but blanks held is nothing. A
    /// frame that only a pause ends is ended by this too.
    pub fn idle(&mut self, out: &mut impl FnMut(Heard<'_>)) {
        let (cutter, mut reader) = self.parts(out);
        cutter.idle(&mut reader);
    }

    /// What cuts the frames, and what reads them.
    #[inline]
    fn parts<'d, F>(&'d mut self, out: &'d mut F) -> (&'d mut Cutter, FrameReader<'d, F>) {
        let reader = FrameReader {
            adapter: &self.adapter,
            places: &mut self.places,
            layouts: &mut self.layouts,
            out,
        };
        (&mut self.cutter, reader)
    }

    /// The adapter.
    pub fn adapter(&self) -> &Arc<Adapter> {
        &self.adapter
    }

    /// Bytes taken so far.
    pub fn offset(&self) -> u64 {
        self.offset
    }

    /// Bytes of memory that unfinished frames have needed so far.
    pub fn held_bytes(&self) -> usize {
        self.cutter.held()
    }
}

/// Decodes a whole stream after which the line stays idle. Any bytes will do: this is the
/// function for fuzzing and for single answers.
pub fn decode_all(adapter: &Arc<Adapter>, bytes: &[u8]) -> Vec<Decoded> {
    let mut decoder = Decoder::new(Arc::clone(adapter));
    let mut found = Vec::new();
    let mut out = |heard: Heard<'_>| found.push(heard.to_decoded());
    decoder.push(bytes, &mut out);
    decoder.idle(&mut out);
    found
}

/// Decodes groups of bytes with a pause after each, after which the line stays idle. The pauses
/// end the frames of an adapter with [`gap_ms`](Adapter::gap_ms) and mean nothing to the others.
pub fn decode_groups(adapter: &Arc<Adapter>, groups: &[Vec<u8>]) -> Vec<Decoded> {
    let mut decoder = Decoder::new(Arc::clone(adapter));
    let mut found = Vec::new();
    let mut out = |heard: Heard<'_>| found.push(heard.to_decoded());
    for group in groups {
        decoder.push(group, &mut out);
        decoder.gap(&mut out);
    }
    decoder.idle(&mut out);
    found
}

/// The layouts seen last, newest use first.
#[derive(Debug, Default)]
struct Layouts {
    on: bool,
    known: Vec<Layout>,
}

impl Layouts {
    /// Enough for plus and minus, and for numbers that grow by a digit (chosen).
    const KEPT: usize = 4;

    /// The layout of the frame at the front of `window`.
    #[inline]
    fn find(&mut self, window: &Window) -> Option<&Layout> {
        let at = self
            .known
            .iter()
            .position(|layout| layout.value(window).is_some())?;
        if at != 0 {
            self.known.swap(0, at);
        }
        self.known.first()
    }

    fn keep(&mut self, layout: Layout) {
        self.known.truncate(Self::KEPT - 1);
        self.known.insert(0, layout);
    }
}

/// Reads frames and hands on what they say.
struct FrameReader<'d, F> {
    adapter: &'d Adapter,
    places: &'d mut Option<CaptureLocations>,
    layouts: &'d mut Layouts,
    out: &'d mut F,
}

/// The bytes of `rest` from `taken` on, in place or padded behind their end.
#[inline]
fn window<'w>(rest: &'w [u8], taken: usize, padded: &'w mut Window) -> &'w Window {
    let ahead = rest.get(taken..).unwrap_or_default();
    match ahead.first_chunk() {
        Some(window) => window,
        None => {
            *padded = layout::padded_window(ahead);
            padded
        }
    }
}

#[inline]
fn id_text(raw: &[u8], span: Option<(usize, usize)>) -> Option<&str> {
    let (from, to) = span?;
    let text = std::str::from_utf8(raw.get(from..to)?).ok()?;
    (!text.is_empty()).then_some(text)
}

impl<F: FnMut(Heard<'_>)> Take for FrameReader<'_, F> {
    #[inline]
    fn quick(&mut self, rest: &[u8], offset: u64) -> usize {
        let mut taken = 0;
        let mut padded = layout::Window::default();
        while let Some(layout) = self.layouts.find(window(rest, taken, &mut padded)) {
            let before = taken;
            while let Some((count, nm)) = layout.value(window(rest, taken, &mut padded)) {
                let end = taken + layout.frame_length;
                let Some(raw) = rest.get(taken..end) else {
                    break;
                };
                if taken + layout.used > rest.len() {
                    break;
                }
                (self.out)(Heard::Reading(SentReading {
                    value: Decimal::of_count(count, layout.decimals),
                    unit: layout.unit,
                    length: Ok(Length::from_nm(nm)),
                    minus: layout.minus,
                    id: id_text(raw, layout.id),
                    status: layout.status,
                    rounded: false,
                    raw,
                    offset: offset + taken as u64,
                }));
                taken += layout.used;
                while rest.get(taken).copied().is_some_and(skipped_before_frame) {
                    taken += 1;
                }
            }
            if taken == before {
                break;
            }
        }
        taken
    }

    fn frame(&mut self, frame: Frame<'_>, behind: &[u8]) -> bool {
        let Frame { raw, offset, .. } = frame;
        match reader::read(self.adapter, self.places, &frame) {
            Ok(Said::Nothing) => {}
            Ok(Said::Status { status, id }) => (self.out)(Heard::Status(SentStatus {
                id: id_text(raw, id),
                status,
                raw,
                offset,
            })),
            Ok(Said::Reading(said)) => {
                if self.layouts.on
                    && let Some(layout) = Layout::new(self.adapter, raw, behind, &said)
                {
                    self.layouts.keep(layout);
                }
                (self.out)(Heard::Reading(SentReading {
                    value: said.value,
                    unit: said.unit,
                    length: said.length,
                    minus: said.minus,
                    id: id_text(raw, said.spans.id).or(self.adapter.address_id.as_deref()),
                    status: said.status,
                    rounded: said.rounded,
                    raw,
                    offset,
                }));
            }
            Err(error) => {
                self.fault(error, raw, offset);
                return false;
            }
        }
        true
    }

    fn fault(&mut self, error: WireError, raw: &[u8], offset: u64) {
        (self.out)(Heard::Error(SentError { error, raw, offset }));
    }
}
