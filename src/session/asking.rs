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
pub(super) const LATE_MS: u64 = 10_000;
/// The word of such an answer in records.
pub(super) const LATE: &str = "late";

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
    /// A sweep was ended while an answer was under way, which may come until then.
    spare_until_ms: Option<u64>,
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
            spare_until_ms: None,
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
            self.spare_until_ms = self.awaited.take().map(|(_, until)| until);
            return vec![match taking.end() {
                Ok(taken) => Deed::Take(Box::new(taken)),
                Err(why) => Deed::Tell(Told::nothing(why.to_string())),
            }];
        }
        let Ask { gauge, how, step } = ask;
        let is_spare_due = self.spare_until_ms.is_some_and(|until| at_ms <= until);
        if self.awaited.is_some() || is_spare_due {
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
        let is_of_another = |taking: &Taking| taking.gauge() != &reading.gauge;
        if self.kind == TapKind::Asked && self.taking.as_ref().is_some_and(is_of_another) {
            // Several gauges on one line: what is awaited of this one is still to come.
            return vec![Deed::Record(reading)];
        }
        let is_awaited = self.awaited.take().is_some();
        let spare = self.spare_until_ms.take();
        if spare.is_some_and(|until| at_ms <= until) {
            return Vec::new();
        }
        let Some(taking) = self
            .taking
            .as_mut()
            .filter(|taking| taking.gauge() == &reading.gauge)
        else {
            if self.kind == TapKind::Streams {
                self.newest.insert(reading.gauge.clone(), (reading, at_ms));
                return Vec::new();
            }
            if is_awaited {
                return vec![Deed::Record(reading)];
            }
            let late = self.late_until_ms.take();
            return vec![match late.filter(|until| at_ms <= *until) {
                Some(_) => Deed::Take(Box::new(late_reading(reading))),
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
        self.spare_until_ms = None;
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

#[cfg(test)]
mod tests {
    use super::{Ask, Asking, Deed, LATE, LATE_MS};
    use crate::gauge::{GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
    use crate::plan::Take;
    use crate::quantity::{Length, LengthUnit};
    use crate::wire::Adapter;

    fn asking(trigger: &str) -> Asking {
        let text = format!(
            "line = {{ baud = 9600, data_bits = 8, parity = \"none\", stop_bits = 1 }}\n\
             trigger = {{ {trigger} }}\n\
             frame = {{ kind = \"terminated\", terminator = \"cr\", max_bytes = 24 }}\n\
             fields = {{ kind = \"pattern\", pattern = '^(?P<num>[0-9.]+)$' }}\n\
             number = {{ decimal = \"point\" }}\n\
             unit = {{ rule = \"fixed\", value = \"mm\" }}\n"
        );
        Asking::new(&Adapter::from_text(&text, None).unwrap())
    }

    fn request() -> Asking {
        asking("kind = \"request\", send_hex = \"520d\", reply_ms = 300")
    }

    fn stream() -> Asking {
        asking("kind = \"stream\"")
    }

    fn ask(how: Take) -> Ask {
        Ask {
            gauge: GaugeId::new("mic"),
            how,
            step: None,
        }
    }

    fn read(um: i64) -> Reading {
        Reading {
            gauge: GaugeId::new("mic"),
            observed: Observed::Length(Length::from_um(um)),
            shown: Shown {
                unit: LengthUnit::Millimetre,
                decimals: 3,
                minus: false,
            },
            status: GaugeStatus::Ok,
            origin: Origin::Sent,
            raw: format!("+{um}").into_bytes(),
            rounded: false,
        }
    }

    fn words(deeds: &[Deed]) -> Vec<String> {
        let word = |deed: &Deed| match deed {
            Deed::Send => "send".to_owned(),
            Deed::Record(reading) => format!("record {}", reading.observed.value() / 1_000),
            Deed::Take(taken) => format!(
                "{} {} of {}",
                taken.from.how,
                taken.reading.observed.value() / 1_000,
                taken.from.values
            ),
            Deed::Tell(told) => told.code.unwrap_or("now").to_owned(),
            Deed::Unanswered(told) => told.code.unwrap_or("?").to_owned(),
        };
        deeds.iter().map(word).collect()
    }

    #[test]
    fn a_gauge_that_is_asked_is_asked_once_and_its_answer_is_a_reading() {
        let mut one = request();
        assert_eq!(words(&one.asked(ask(Take::Press), 0)), ["send"]);
        assert!(one.is_busy());
        assert_eq!(words(&one.asked(ask(Take::Press), 10)), ["nothing_taken"]);
        assert_eq!(words(&one.look(300)), [""; 0]);
        assert_eq!(words(&one.value(read(20_000), 300)), ["record 20000"]);
        assert!(!one.is_busy());
        assert_eq!(words(&one.look(9_000)), [""; 0]);
        // Its own data button.
        assert_eq!(words(&one.value(read(20_001), 9_000)), ["record 20001"]);
    }

    #[test]
    fn an_answer_that_does_not_come_is_told_and_one_that_comes_late_is_kept_and_marked() {
        let mut one = request();
        one.asked(ask(Take::Press), 0);
        assert_eq!(words(&one.look(301)), ["no_reply"]);
        assert_eq!(words(&one.look(302)), [""; 0]);
        let late = one.value(read(20_000), 700);
        assert_eq!(words(&late), [format!("{LATE} 20000 of 1")]);
        assert_eq!(words(&one.value(read(20_000), 800)), ["record 20000"]);
        one.asked(ask(Take::Press), 1_000);
        assert_eq!(words(&one.look(1_301)), ["no_reply"]);
        let after = 1_302 + LATE_MS;
        assert_eq!(words(&one.value(read(20_002), after)), ["record 20002"]);
        // A late answer and then the one that was asked for: both are kept.
        one.asked(ask(Take::Press), 50_000);
        one.look(50_301);
        assert_eq!(words(&one.asked(ask(Take::Press), 50_400)), ["send"]);
        assert_eq!(words(&one.value(read(1), 50_410)), ["record 1"]);
        assert_eq!(words(&one.value(read(2), 50_420)), ["late 2 of 1"]);
    }

    #[test]
    fn a_gauge_that_is_asked_sweeps_by_being_asked_again_and_again() {
        let mut one = request();
        assert_eq!(words(&one.asked(ask(Take::Largest), 0)), ["now", "send"]);
        for (at, um) in [(10, 5), (20, 9), (30, 7)] {
            assert_eq!(words(&one.value(read(um), at)), ["send"]);
        }
        assert!(!one.is_busy(), "a hand ends it");
        assert_eq!(
            words(&one.asked(ask(Take::Largest), 40)),
            ["largest 9 of 3"]
        );
        // The answer that was still under way belongs to nothing that goes on.
        assert_eq!(words(&one.value(read(3), 50)), [""; 0]);
        assert_eq!(words(&one.look(5_000)), [""; 0]);
    }

    #[test]
    fn a_value_of_another_gauge_of_the_line_ends_no_waiting() {
        let another = || Reading {
            gauge: GaugeId::new("plug"),
            ..read(8)
        };
        let mut one = request();
        one.asked(ask(Take::Largest), 0);
        assert_eq!(words(&one.value(another(), 5)), ["record 8"]);
        assert_eq!(words(&one.value(read(5), 10)), ["send"]);
        assert_eq!(words(&one.value(another(), 15)), ["record 8"]);
        assert_eq!(words(&one.look(311)), ["no_reply"]);
    }

    #[test]
    fn a_stream_is_no_reading_until_a_value_is_taken() {
        let mut one = stream();
        assert_eq!(words(&one.value(read(1), 0)), [""; 0]);
        assert_eq!(words(&one.asked(ask(Take::Press), 900)), ["press 1 of 1"]);
        assert_eq!(words(&one.value(read(2), 950)), [""; 0]);
        // What was shown long ago is not the value now: the next one is.
        assert_eq!(words(&one.asked(ask(Take::Press), 2_000)), [""; 0]);
        assert_eq!(words(&one.value(read(3), 2_100)), ["press 3 of 1"]);
        assert_eq!(words(&one.asked(ask(Take::Press), 9_000)), [""; 0]);
        assert_eq!(words(&one.look(10_001)), ["nothing_taken"]);
        assert_eq!(words(&one.value(read(4), 10_100)), [""; 0]);
    }

    #[test]
    fn a_sweep_that_a_state_broke_gives_nothing() {
        let mut one = stream();
        assert_eq!(words(&one.asked(ask(Take::Range), 0)), ["now"]);
        one.value(read(1), 10);
        one.status(GaugeStatus::OverRange, 20);
        one.value(read(5), 30);
        assert_eq!(words(&one.asked(ask(Take::Range), 40)), ["nothing_taken"]);
        one.asked(ask(Take::Range), 50);
        one.value(read(1), 60);
        one.value(read(5), 70);
        assert_eq!(words(&one.asked(ask(Take::Range), 80)), ["range 4 of 2"]);
        one.asked(ask(Take::Range), 90);
        one.value(read(1), 100);
        one.garbled();
        one.value(read(5), 110);
        assert_eq!(words(&one.asked(ask(Take::Range), 120)), ["nothing_taken"]);
    }

    #[test]
    fn a_gauge_that_sends_by_itself_is_not_asked() {
        let mut one = asking("kind = \"unsolicited\"");
        assert_eq!(words(&one.asked(ask(Take::Press), 0)), ["nothing_taken"]);
        assert_eq!(words(&one.value(read(7), 1)), ["record 7"]);
    }
}
