//! What becomes of the values of a line: a gauge that sends by itself is believed at once, one that
//! is asked answers, a stream is only shown until a value is taken. Pure: times come with what is
//! heard, and what is to be done is answered.

use std::collections::BTreeMap;

use super::taking::{FRESH_MS, TakenReading, Taking, TakingSoFar};
use super::tap::TapKind;
use crate::gauge::{GaugeId, GaugeStatus, Observed, Reading};
use crate::journal::ReadingTaken;
use crate::plan::Take;
use crate::quantity::Length;
use crate::wire::{Adapter, Trigger};

/// An answer that comes later than the adapter allows, but within this time, is kept and marked as
/// late, milliseconds (chosen).
pub const LATE_MS: u64 = 10_000;
/// The word of such an answer in records.
pub const LATE: &str = "late";

/// A value is wanted of a gauge: the first time it starts, the second time it ends what goes on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ask {
    /// Of which.
    pub gauge: GaugeId,
    /// In which way.
    pub how: Take,
    /// The gauge's step, where the register states it.
    pub step: Option<Length>,
}

/// Something to be done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Deed {
    /// Ask the gauge, as its adapter says.
    Send,
    /// A reading, as it came.
    Record(Reading),
    /// A reading that was taken, and out of what.
    Take(Box<TakenReading>),
    /// A sentence for the person who asked.
    Tell(Told),
    /// The gauge did not answer in time.
    Unanswered(Told),
}

/// A sentence for the person who asked; nothing of it is recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// The stable word of what went wrong; none where the sentence only says what to do now.
    pub code: Option<&'static str>,
    /// The sentence.
    pub text: String,
}

impl Told {
    /// Nothing was taken.
    pub(super) fn nothing(text: String) -> Self {
        let code = Some("nothing_taken");
        Self { code, text }
    }
}

/// The asking on one line.
#[derive(Debug)]
pub(super) struct Asking {
    kind: TapKind,
    reply_ms: u64,
    /// The last value of each gauge that streams.
    newest: BTreeMap<GaugeId, (Reading, u64)>,
    taking: Option<Taking>,
    /// Asked, and until when an answer may come.
    awaited: Option<(GaugeId, u64)>,
    late_until_ms: Option<u64>,
}

/// Who starts a reading of that adapter.
pub(super) fn kind_of(adapter: &Adapter) -> TapKind {
    match adapter.trigger() {
        Trigger::Unsolicited | Trigger::Typed => TapKind::Sends,
        Trigger::Request { .. } | Trigger::LinePulse { .. } => TapKind::Asked,
        Trigger::Stream => TapKind::Streams,
    }
}

impl Asking {
    pub(super) fn new(adapter: &Adapter) -> Self {
        let reply_ms = match adapter.trigger() {
            Trigger::Request { reply_ms, .. } => *reply_ms,
            _ => Adapter::REPLY_MS,
        };
        Self {
            kind: kind_of(adapter),
            reply_ms: u64::from(reply_ms),
            newest: BTreeMap::new(),
            taking: None,
            awaited: None,
            late_until_ms: None,
        }
    }

    /// What is being taken, as far as it is.
    pub(super) fn so_far(&self) -> Option<TakingSoFar> {
        self.taking.as_ref().map(Taking::so_far)
    }

    /// A person wants a value.
    pub(super) fn asked(&mut self, ask: Ask, at_ms: u64) -> Vec<Deed> {
        if self.kind == TapKind::Sends {
            let text = format!("{} sends by itself: press its data button.", ask.gauge);
            return vec![Deed::Tell(Told::nothing(text))];
        }
        if let Some(taking) = self.taking.take() {
            return vec![match taking.end() {
                Ok(taken) => Deed::Take(Box::new(taken)),
                Err(why) => Deed::Tell(Told::nothing(why.to_string())),
            }];
        }
        let Ask { gauge, how, step } = ask;
        if self.awaited.is_some() {
            let text = format!("{gauge} has been asked and has not answered yet.");
            return vec![Deed::Tell(Told::nothing(text))];
        }
        let mut taking = Taking::new(gauge.clone(), how, step, at_ms);
        if self.kind == TapKind::Asked {
            self.awaited = Some((gauge.clone(), at_ms.saturating_add(self.reply_ms)));
            // A single value is the gauge's own answer: there is nothing to be taken out of.
            self.taking = (how != Take::Press).then_some(taking);
            return self.started(&gauge, how).chain([Deed::Send]).collect();
        }
        let fresh = self
            .newest
            .get(&gauge)
            .filter(|(_, came_ms)| at_ms.saturating_sub(*came_ms) <= FRESH_MS);
        if let (Take::Press, Some((reading, came_ms))) = (how, fresh)
            && let Some(taken) = taking.value(reading, *came_ms)
        {
            return vec![Deed::Take(Box::new(taken))];
        }
        self.taking = Some(taking);
        self.started(&gauge, how).collect()
    }

    /// What to do now, for ways that need a hand.
    fn started(&self, gauge: &GaugeId, how: Take) -> impl Iterator<Item = Deed> + use<> {
        let text = match how {
            Take::Press => None,
            Take::Stable => Some(format!("{gauge}: hold still until a value is taken.")),
            Take::Largest | Take::Smallest | Take::Range => Some(format!(
                "{gauge}: sweep now, and ask once more at the end; the {} is taken.",
                how.word()
            )),
        };
        text.map(|text| Deed::Tell(Told { code: None, text }))
            .into_iter()
    }

    /// A value came.
    pub(super) fn value(&mut self, reading: Reading, at_ms: u64) -> Vec<Deed> {
        if self.kind == TapKind::Sends {
            return vec![Deed::Record(reading)];
        }
        let is_awaited = self.awaited.take().is_some();
        let Some(taking) = self
            .taking
            .as_mut()
            .filter(|taking| taking.gauge() == &reading.gauge)
        else {
            if self.kind == TapKind::Streams {
                self.newest.insert(reading.gauge.clone(), (reading, at_ms));
                return Vec::new();
            }
            let late = self.late_until_ms.take().filter(|until| at_ms <= *until);
            return vec![match late {
                Some(_) if !is_awaited => Deed::Take(Box::new(late_reading(reading))),
                _ => Deed::Record(reading),
            }];
        };
        let taken = taking.value(&reading, at_ms);
        if self.kind == TapKind::Streams {
            self.newest.insert(reading.gauge.clone(), (reading, at_ms));
        }
        match taken {
            Some(taken) => {
                self.taking = None;
                vec![Deed::Take(Box::new(taken))]
            }
            None => self.once_more(at_ms),
        }
    }

    /// A state came without a value: of a gauge that was asked, that is its answer.
    pub(super) fn status(&mut self, status: GaugeStatus, at_ms: u64) -> Vec<Deed> {
        if let Some(taking) = &mut self.taking {
            taking.status(status);
        }
        let was_awaited = self.awaited.take().is_some();
        if was_awaited {
            self.once_more(at_ms)
        } else {
            Vec::new()
        }
    }

    /// Bytes came that are no reading. An answer may still be behind them.
    pub(super) fn garbled(&mut self) {
        if let Some(taking) = &mut self.taking {
            taking.garbled();
        }
    }

    /// Asks again, for as long as something is being taken.
    fn once_more(&mut self, at_ms: u64) -> Vec<Deed> {
        match (&self.taking, self.kind) {
            (Some(taking), TapKind::Asked) => {
                let until = at_ms.saturating_add(self.reply_ms);
                self.awaited = Some((taking.gauge().clone(), until));
                vec![Deed::Send]
            }
            _ => Vec::new(),
        }
    }

    /// Whether something goes on that ends by itself.
    pub(super) fn is_busy(&self) -> bool {
        match &self.taking {
            Some(taking) => taking.ends_by_itself(),
            None => self.awaited.is_some(),
        }
    }

    /// Nothing goes on any more; whether something did.
    pub(super) fn forget(&mut self) -> bool {
        let went_on = self.taking.is_some() || self.awaited.is_some();
        (self.taking, self.awaited) = (None, None);
        self.newest.clear();
        went_on
    }

    /// Looks at the clock.
    pub(super) fn look(&mut self, at_ms: u64) -> Vec<Deed> {
        let mut deeds = Vec::new();
        if let Some((gauge, _)) = self.awaited.take_if(|(_, until)| at_ms > *until) {
            self.taking = None;
            self.late_until_ms = Some(at_ms.saturating_add(LATE_MS));
            let text = format!(
                "{gauge} did not answer within {} ms. Is it switched on, and is the line right?",
                self.reply_ms
            );
            let code = Some("no_reply");
            deeds.push(Deed::Unanswered(Told { code, text }));
        }
        let is_over = |taking: &mut Taking| {
            let waited = at_ms.saturating_sub(taking.so_far().since_ms);
            taking.how() == Take::Press && waited > FRESH_MS
        };
        if let Some(taking) = self.taking.take_if(is_over) {
            let text = format!("Nothing was taken: no value comes from {}.", taking.gauge());
            deeds.push(Deed::Tell(Told::nothing(text)));
        }
        deeds
    }
}

/// A reading that came after nobody waited for it any more: kept, and marked.
fn late_reading(reading: Reading) -> TakenReading {
    let length = match reading.observed {
        Observed::Length(length) => Some(length),
        Observed::Angle(_) | Observed::Check { .. } => None,
    };
    TakenReading {
        reading,
        from: ReadingTaken {
            reading: ReadingTaken::JUST_BEFORE,
            how: LATE.to_owned(),
            values: 1,
            smallest: length,
            largest: length,
            over_ms: 0,
        },
    }
}
