//! The simulated hand at the bench: what it does next, and the way of its bytes. It goes through
//! the same decoder, the same intake and the same requests as a person with a gauge.

use std::sync::Arc;

use super::command::Command;
use super::intake::Intake;
use super::recorder::Incoming;
use super::sight::sight;
use super::simulated::{Move, Simulated, part_of_study};
use super::state::State;
use super::study::Study;
use super::typed::check_reading;
use crate::gauge::{Gauge, GaugeId, Origin, Reading};
use crate::journal::{Event, StudyCell};
use crate::quantity::Length;
use crate::wire::{Adapter, Decoder};

/// The hand gives up after so many moves without a new part (a plan may ask for what it cannot
/// play).
const MOVES_MAX: u32 = 2_000;

/// The simulated gauge where the session names none.
const SIMULATED: &str = "simulated";

/// The simulated hand of a session.
#[derive(Debug)]
pub struct Hand {
    simulated: Simulated,
    adapter: Arc<Adapter>,
    /// The last event that answered a reading.
    last_answer: Option<Event>,
    moves: u32,
}

impl Hand {
    /// The hand of that seed, whose bytes go through `adapter`.
    pub fn new(seed: u64, adapter: Arc<Adapter>) -> Self {
        Self {
            simulated: Simulated::new(seed),
            adapter,
            last_answer: None,
            moves: 0,
        }
    }

    /// Tells the hand what was recorded: it remembers what came of its last reading.
    pub fn heard(&mut self, event: &Event) {
        if answers_reading(event) {
            self.last_answer = Some(event.clone());
        } else if starts_anew(event) {
            self.last_answer = None;
        }
    }

    /// Its next move at the bench; none when everything that was wanted has been measured, or
    /// nothing comes of its moves any more.
    pub fn next_move(&mut self, state: &State, at_ms: u64) -> Option<Vec<Incoming>> {
        if let Some(study) = state.study() {
            let bytes = self.study_bytes(state, study, study.next()?)?;
            let readings = self.readings(&bytes, Some(study.gauge()), at_ms);
            return self.counted(readings);
        }
        let view = sight(state, self.last_answer.as_ref());
        let command = match self.simulated.next_move(&view) {
            Move::Send(bytes) => {
                let readings = self.readings(&bytes, view.gauge.as_ref(), at_ms);
                return self.counted(readings);
            }
            Move::Try { end, outcome } => {
                let gauge = view.gauge.unwrap_or_else(|| GaugeId::new(SIMULATED));
                let reading = Reading {
                    origin: Origin::Simulated,
                    ..check_reading(end, outcome, &gauge, outcome.word())
                };
                return self.counted(vec![Incoming::Reading(reading)]);
            }
            Move::Cutting(on) => Command::SwitchCutting(on),
            Move::SetHeldAside => Command::AnswerHeld {
                belongs: false,
                reason: "the gauge was tilted".to_owned(),
            },
            Move::Void { reading, reason } => Command::VoidReading {
                reading: Some(reading),
                reason: reason.to_owned(),
            },
            Move::ChangeTool => Command::ChangeTool {
                note: "worn insert".to_owned(),
            },
            Move::NextPart if state.has_parts_left() => {
                self.moves = 0;
                Command::StartNextPart
            }
            Move::NextPart => return None,
        };
        self.counted(vec![Incoming::Command(command)])
    }

    /// The gauge on the next part of a study: of its known size, else in the middle of the range.
    fn study_bytes(&mut self, state: &State, study: &Study, cell: StudyCell) -> Option<Vec<u8>> {
        let part = study.opened().parts.get(cell.part as usize - 1)?;
        let entry = state.setup().gauge(study.gauge());
        let middle = entry.and_then(|entry| entry.range);
        let middle = middle.map_or(Length::from_mm(20), |(lower, upper)| {
            (lower + upper).div_half_even(2)
        });
        let zero = entry.map_or(Length::ZERO, |entry| entry.size_of(Length::ZERO));
        let step = entry.and_then(Gauge::step).map(|step| step.value());
        let step = step.unwrap_or(Length::from_um(1));
        let (size, own) = match part.reference {
            Some(size) => (size - zero, 0.0),
            None => (middle, part_of_study(cell.part)),
        };
        Some(self.simulated.study_reading(size, step, own, cell.operator))
    }

    fn counted(&mut self, batch: Vec<Incoming>) -> Option<Vec<Incoming>> {
        self.moves += 1;
        (self.moves <= MOVES_MAX).then_some(batch)
    }

    /// What the bytes become, through the same decoder as a gauge's.
    fn readings(&self, bytes: &[u8], gauge: Option<&GaugeId>, at_ms: u64) -> Vec<Incoming> {
        let gauge = gauge.cloned().unwrap_or_else(|| GaugeId::new(SIMULATED));
        let mut decoder = Decoder::new(Arc::clone(&self.adapter));
        let mut intake = Intake::new(gauge, Origin::Simulated);
        let mut all = Vec::new();
        decoder.push(bytes, &mut |decoded| {
            all.extend(intake.take(&decoded, at_ms))
        });
        decoder.idle(&mut |decoded| all.extend(intake.take(&decoded, at_ms)));
        all
    }
}

/// Whether an event tells the hand what came of its last reading.
fn answers_reading(event: &Event) -> bool {
    matches!(
        event,
        Event::VerdictGiven(_)
            | Event::CuttingNoted { .. }
            | Event::ReadingHeld { .. }
            | Event::ReadingSetAside { .. }
    )
}

fn starts_anew(event: &Event) -> bool {
    matches!(
        event,
        Event::PartStarted { .. } | Event::ReadingVoided { .. }
    )
}
