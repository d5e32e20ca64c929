//! From what a decoder says to what the writer takes: which gauge it was, and garbage counted
//! instead of flooding the journal. Pure: times come with the bytes.

use std::collections::BTreeMap;

use super::recorder::Incoming;
use crate::gauge::{GaugeId, Origin};
use crate::journal::Event;
use crate::wire::{Decoded, Heard};

/// Refused frames are written whole at most once in this time; the rest are counted.
const GARBAGE_EVERY_MS: u64 = 1_000;
/// Bytes of a refused frame that are kept.
const GARBAGE_BYTES_MAX: usize = 256;

/// The intake of one line.
#[derive(Debug, Clone)]
pub struct Intake {
    gauge: GaugeId,
    origin: Origin,
    /// Gauge of each id that frames carry; empty when frames carry none that matters.
    ids: BTreeMap<String, GaugeId>,
    written_at_ms: Option<u64>,
    counted: u64,
    last_code: &'static str,
}

impl Intake {
    /// The intake of a line on which `gauge` sends.
    pub fn new(gauge: GaugeId, origin: Origin) -> Self {
        let ids = BTreeMap::new();
        Self {
            gauge,
            origin,
            ids,
            written_at_ms: None,
            counted: 0,
            last_code: "",
        }
    }

    /// Frames with this id come from that gauge; frames with an id not named are then refused.
    #[must_use]
    pub fn with_id(mut self, id: &str, gauge: GaugeId) -> Self {
        self.ids.insert(id.to_owned(), gauge);
        self
    }

    /// The gauges that frames with an id come from.
    pub(super) fn gauges(&self) -> impl Iterator<Item = &GaugeId> {
        self.ids.values()
    }

    /// What one decoded thing becomes, having come at `at_ms`.
    pub fn take(&mut self, decoded: &Heard<'_>, at_ms: u64) -> Vec<Incoming> {
        match decoded {
            Decoded::Reading(sent) => {
                let Some(gauge) = self.gauge_of(sent.id) else {
                    return self.keep("unknown_gauge_id", sent.raw, at_ms);
                };
                match sent.to_reading(gauge, self.origin) {
                    Ok(reading) => {
                        let mut all = self.counted_until_now(at_ms, false);
                        all.push(Incoming::Reading(reading));
                        all
                    }
                    Err(error) => self.keep(error.code(), sent.raw, at_ms),
                }
            }
            Decoded::Status(sent) => self.refuse(sent.status.word(), sent.raw, at_ms),
            Decoded::Error(sent) => self.refuse(sent.error.code(), sent.raw, at_ms),
        }
    }

    /// The count of garbage since it was last written, if a second has passed, or if the line is
    /// being left (`now`).
    pub fn counted_until_now(&mut self, at_ms: u64, now: bool) -> Vec<Incoming> {
        let due = self
            .written_at_ms
            .is_none_or(|written| at_ms >= written + GARBAGE_EVERY_MS);
        if self.counted == 0 || !(due || now) {
            return Vec::new();
        }
        self.written_at_ms = Some(at_ms);
        vec![Incoming::Notice(Event::GarbageCounted {
            gauge: self.gauge.as_str().to_owned(),
            count: std::mem::take(&mut self.counted),
            code: self.last_code.to_owned(),
        })]
    }

    fn gauge_of(&self, id: Option<&str>) -> Option<GaugeId> {
        match id {
            Some(id) if !self.ids.is_empty() => self.ids.get(id).cloned(),
            _ => Some(self.gauge.clone()),
        }
    }

    fn refuse(&mut self, code: &'static str, raw: &[u8], at_ms: u64) -> Vec<Incoming> {
        let mut all = self.counted_until_now(at_ms, false);
        self.last_code = code;
        let due = self
            .written_at_ms
            .is_none_or(|written| at_ms >= written + GARBAGE_EVERY_MS);
        if !due {
            self.counted += 1;
            return all;
        }
        self.written_at_ms = Some(at_ms);
        all.push(self.refused(code, raw));
        all
    }

    /// A frame that is whole, but gives no reading here: it is no garbage, so its bytes are always
    /// kept.
    fn keep(&mut self, code: &str, raw: &[u8], at_ms: u64) -> Vec<Incoming> {
        let mut all = self.counted_until_now(at_ms, false);
        all.push(self.refused(code, raw));
        all
    }

    fn refused(&self, code: &str, raw: &[u8]) -> Incoming {
        Incoming::Notice(Event::ReadingRefused {
            gauge: self.gauge.as_str().to_owned(),
            code: code.to_owned(),
            raw: raw.iter().copied().take(GARBAGE_BYTES_MAX).collect(),
        })
    }
}
