//! What the bench answered last, and how the gauges' lines are: read by whoever shows the state.

use std::collections::BTreeMap;

use super::state::{Bench, State};
use crate::journal::{Event, Place, Sequence};

/// What a reading came to, as an event: a verdict, a note while cutting, held, set aside.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The line of the answer.
    pub sequence: Sequence,
    /// Monotonic milliseconds since the session started.
    pub at_ms: u64,
    /// The answer.
    pub event: Event,
}

/// How a gauge's line is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GaugeLine {
    /// One word: `attached`, `unplugged`, `busy`, `missing`, ...
    pub state: String,
    /// The port's name and what was said of it.
    pub detail: String,
    /// Monotonic milliseconds since the session started.
    pub at_ms: u64,
    /// Frames that were no readings, so far.
    pub refused: u64,
}

/// Answers of the part at hand, and the state of each line.
#[derive(Debug, Clone, Default)]
pub(super) struct Answers {
    /// By characteristic in measuring order: what stands, of the part at hand.
    standing: BTreeMap<usize, Answer>,
    /// The characteristic answered last.
    latest: Option<usize>,
    lines: BTreeMap<String, GaugeLine>,
}

impl State {
    /// What stands for a characteristic of the part at hand: its last answer, unless that was
    /// voided.
    pub fn answer(&self, target: usize) -> Option<&Answer> {
        self.bench.answers.standing.get(&target)
    }

    /// The last answer on the part at hand, and its characteristic.
    pub fn latest_answer(&self) -> Option<(usize, &Answer)> {
        let latest = self.bench.answers.latest?;
        Some((latest, self.answer(latest)?))
    }

    /// How the line of each gauge is, as far as anything was said of it.
    pub fn gauge_lines(&self) -> impl Iterator<Item = (&str, &GaugeLine)> {
        let lines = self.bench.answers.lines.iter();
        lines.map(|(gauge, line)| (gauge.as_str(), line))
    }

    /// Keeps an answer, or drops what no longer stands.
    pub(super) fn keep_answer(&mut self, sequence: Sequence, at_ms: u64, event: &Event) {
        match event {
            Event::PartStarted { .. } | Event::PartTakenUp { .. } => {
                self.bench.answers.standing.clear();
                self.bench.answers.latest = None;
            }
            Event::VerdictGiven(verdict) => self.stand(sequence, at_ms, &verdict.place, event),
            Event::CuttingNoted { place, .. } | Event::ReadingHeld { place, .. } => {
                self.stand(sequence, at_ms, place, event);
            }
            Event::ReadingVoided { reading, .. } | Event::ReadingSetAside { reading, .. } => {
                self.bench.answers.forget(*reading);
            }
            Event::GaugeStateChanged {
                gauge,
                state,
                detail,
            } => {
                let line = self.bench.answers.line(gauge);
                line.state.clone_from(state);
                line.detail.clone_from(detail);
                line.at_ms = at_ms;
            }
            Event::ReadingRefused { gauge, .. } => {
                self.bench.answers.line(gauge).refused += 1;
            }
            Event::GarbageCounted { gauge, count, .. } => {
                let line = self.bench.answers.line(gauge);
                line.refused = line.refused.saturating_add(*count);
            }
            _ => {}
        }
    }

    fn stand(&mut self, sequence: Sequence, at_ms: u64, place: &Place, event: &Event) {
        let is_at_hand = self
            .current_part()
            .is_some_and(|part| part.number == place.part);
        let target = self.setup.target_index(&place.feature, &place.element);
        if let (true, Some(target)) = (is_at_hand, target) {
            let event = event.clone();
            let answer = Answer {
                sequence,
                at_ms,
                event,
            };
            self.bench.answers.standing.insert(target, answer);
            self.bench.answers.latest = Some(target);
        }
    }
}

impl Answers {
    fn forget(&mut self, reading: Sequence) {
        self.standing
            .retain(|_, answer| reading_of(&answer.event) != Some(reading));
        let stands = |latest: &usize| self.standing.contains_key(latest);
        self.latest = self.latest.filter(stands);
    }

    fn line(&mut self, gauge: &str) -> &mut GaugeLine {
        self.lines
            .entry(gauge.to_owned())
            .or_insert_with(|| GaugeLine {
                state: String::new(),
                detail: String::new(),
                at_ms: 0,
                refused: 0,
            })
    }
}

/// The reading that an answer is to.
fn reading_of(answer: &Event) -> Option<Sequence> {
    match answer {
        Event::VerdictGiven(verdict) => Some(verdict.reading),
        Event::CuttingNoted { reading, .. } | Event::ReadingHeld { reading, .. } => Some(*reading),
        _ => None,
    }
}

impl Bench {
    pub(super) fn new(operator: &str) -> Self {
        Self {
            operator: operator.to_owned(),
            ..Self::default()
        }
    }
}
