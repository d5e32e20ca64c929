//! The state of the bench: what the events so far give. `apply` is the only way to change it, and
//! it asks nothing but the event, so that live and replayed sessions cannot differ.

use std::collections::{BTreeMap, VecDeque};
use std::sync::Arc;

use super::setup::Setup;
use crate::gauge::{GaugeId, Observed, Origin, Reading, Shown};
use crate::journal::{Event, Outcome, Place, Sequence, VerdictGiven};
use crate::measure::{Side, VerdictWord};
use crate::quantity::{Celsius, Exact};

/// Everything that is true of a session at one moment.
#[derive(Debug, Clone)]
pub struct State {
    pub(super) setup: Arc<Setup>,
    /// Shared, so that a copy of the state costs little; a part at hand is copied when changed.
    pub(super) parts: Vec<Arc<Part>>,
    pub(super) readings: Vec<Record>,
    pub(super) pending: VecDeque<Pending>,
    pub(super) last_frames: BTreeMap<GaugeId, Frame>,
    pub(super) bench: Bench,
    pub(super) closed: bool,
}

/// What the operator set at the bench.
#[derive(Debug, Clone, Default)]
pub struct Bench {
    /// Cutting goes on.
    pub cutting: bool,
    /// A characteristic chosen by hand, by its place in measuring order.
    pub chosen: Option<usize>,
    /// A reading that waits for an answer.
    pub held: Option<Held>,
    /// The temperatures entered last.
    pub temperature: Option<Temperature>,
    /// Who measures.
    pub operator: String,
    /// Readings before this line are no repeats of later ones: the work or its temperature
    /// changed in between.
    pub(super) repeats_from: Sequence,
    /// The part is out of the machine.
    pub taken_out: bool,
}

/// A reading that waits for an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    /// Its sequence number.
    pub reading: Sequence,
    /// Where it would belong.
    pub place: Place,
    /// The likely cause, one word.
    pub cause: String,
    /// The likely cause in a sentence.
    pub sentence: String,
}

/// Temperatures, and when they were entered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Temperature {
    /// Of the part.
    pub part: Option<Celsius>,
    /// Of the gauge.
    pub gauge: Option<Celsius>,
    /// Monotonic milliseconds since the session started.
    pub at_ms: u64,
}

/// One part of the session.
#[derive(Debug, Clone)]
pub struct Part {
    /// Running number, from 1.
    pub number: u32,
    /// In measuring order, as [`Setup::targets`].
    pub characteristics: Vec<Characteristic>,
}

/// How far a characteristic of a part is.
#[derive(Debug, Clone)]
pub struct Characteristic {
    /// Left out on this part by the sampling plan.
    pub selected: bool,
    /// One entry for each wanted point.
    pub points: Vec<Point>,
    /// The verdict, once it is settled.
    pub settled: Option<VerdictWord>,
}

/// How far one point is.
#[derive(Debug, Clone, Copy, Default)]
pub struct Point {
    /// What the last judged reading came to.
    pub outcome: Option<Outcome>,
    /// Its value at 20 °C in smallest steps.
    pub value_at_20: i64,
    /// Where it lies.
    pub side: Option<Side>,
    /// The reading that brought it.
    pub reading: Sequence,
}

/// What is kept of a reading once it has ended (the journal has the rest).
#[derive(Debug, Clone, Copy)]
pub struct Record {
    /// Its line in the journal.
    pub sequence: Sequence,
    /// Monotonic milliseconds since the session started.
    pub at_ms: u64,
    /// The value as read, in smallest steps; 0 for a check.
    pub value: i64,
    /// Index into [`Setup::sources`], if the gauge is one of the session.
    pub gauge: Option<u16>,
    /// Part number, 0 when it was never assigned.
    pub part: u32,
    /// Characteristic in measuring order.
    pub target: u16,
    /// Point, from 1.
    pub point: u16,
    /// What became of it.
    pub end: End,
    /// How it was shown.
    pub shown: Shown,
    /// Where it came from.
    pub origin: Origin,
}

/// What became of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Recorded, nothing decided yet.
    Received,
    /// Given to a characteristic, not yet judged.
    Assigned,
    /// Waiting for an answer.
    Held,
    /// Judged.
    Judged,
    /// Taken while cutting.
    Cutting,
    /// Put aside.
    SetAside,
    /// The same press again.
    Repeat,
    /// Voided with a reason.
    Voided,
}

/// A recorded reading that has not ended yet.
#[derive(Debug, Clone)]
pub struct Pending {
    /// Its line.
    pub sequence: Sequence,
    /// Monotonic milliseconds since the session started.
    pub at_ms: u64,
    /// The reading.
    pub reading: Reading,
    /// The same frame came just before, as this line.
    pub repeat_of: Option<Sequence>,
}

/// The last frame of a gauge, to tell a bounced button.
#[derive(Debug, Clone)]
pub(super) struct Frame {
    sequence: Sequence,
    at_ms: u64,
    raw: Vec<u8>,
}

/// An event that does not fit the state: the journal holds something that cannot have happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misfit {
    /// The line.
    pub sequence: Sequence,
    /// What does not fit, in words.
    pub what: String,
}

impl std::fmt::Display for Misfit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "Line {} does not fit what came before: {}.",
            self.sequence, self.what
        )
    }
}

impl std::error::Error for Misfit {}

impl State {
    /// The state of a session that has just been opened.
    pub fn new(setup: Arc<Setup>) -> Self {
        let bench = Bench {
            operator: setup.operator.clone(),
            ..Bench::default()
        };
        Self {
            setup,
            parts: Vec::new(),
            readings: Vec::new(),
            pending: VecDeque::new(),
            last_frames: BTreeMap::new(),
            bench,
            closed: false,
        }
    }

    /// Takes one event in. Events that say nothing about the bench change nothing.
    ///
    /// # Errors
    /// [`Misfit`] when the event names a part, characteristic or reading that there is not; the
    /// state is then as before.
    pub fn apply(&mut self, sequence: Sequence, at_ms: u64, event: &Event) -> Result<(), Misfit> {
        match event {
            Event::PartStarted { part } => return self.start_part(sequence, *part),
            Event::ReadingReceived(reading) => self.receive(sequence, at_ms, reading),
            Event::ReadingAssigned { reading, place } => {
                self.place_reading(sequence, *reading, place, End::Assigned)?;
                self.bench.held.take_if(|held| held.reading == *reading);
            }
            Event::VerdictGiven(verdict) => return self.take_verdict(sequence, verdict),
            Event::CuttingNoted { reading, place, .. } => {
                self.place_reading(sequence, *reading, place, End::Cutting)?;
                self.finish(*reading);
            }
            Event::ReadingHeld {
                reading,
                place,
                cause,
                sentence,
            } => {
                self.place_reading(sequence, *reading, place, End::Held)?;
                self.bench.held = Some(Held {
                    reading: *reading,
                    place: place.clone(),
                    cause: cause.clone(),
                    sentence: sentence.clone(),
                });
            }
            Event::ReadingSetAside { reading, .. } => {
                self.end(sequence, *reading, End::SetAside)?;
                self.bench.held.take_if(|held| held.reading == *reading);
                self.finish(*reading);
            }
            Event::RepeatMarked { reading, .. } => {
                self.end(sequence, *reading, End::Repeat)?;
                self.finish(*reading);
            }
            Event::ReadingVoided { reading, .. } => return self.void(sequence, *reading),
            _ => self.apply_to_bench(sequence, at_ms, event),
        }
        Ok(())
    }

    fn apply_to_bench(&mut self, sequence: Sequence, at_ms: u64, event: &Event) {
        match event {
            Event::CuttingSwitched { on } => {
                self.bench.cutting = *on;
                self.bench.repeats_from = sequence;
            }
            Event::CharacteristicChosen { feature, element } => {
                self.bench.chosen = self.setup.target_index(feature, element);
            }
            Event::TemperatureSet { part, gauge } => {
                self.bench.temperature = Some(Temperature {
                    part: *part,
                    gauge: *gauge,
                    at_ms,
                });
                self.bench.repeats_from = sequence;
            }
            Event::OperatorChanged { name } => self.bench.operator.clone_from(name),
            Event::TakenOut { .. } => self.bench.taken_out = true,
            Event::PutBack { .. } => self.bench.taken_out = false,
            Event::SessionClosed { .. } => self.closed = true,
            _ => {}
        }
    }

    fn start_part(&mut self, sequence: Sequence, part: u32) -> Result<(), Misfit> {
        let expected = u32::try_from(self.parts.len())
            .unwrap_or(u32::MAX)
            .saturating_add(1);
        if part != expected {
            let what = format!("part {part} was started where part {expected} comes next");
            return Err(Misfit { sequence, what });
        }
        let characteristics = self.setup.targets.iter().map(|target| Characteristic {
            selected: target.is_selected(part),
            points: vec![Point::default(); usize::from(target.points)],
            settled: None,
        });
        let part = Part {
            number: part,
            characteristics: characteristics.collect(),
        };
        self.parts.push(Arc::new(part));
        self.bench.chosen = None;
        Ok(())
    }

    fn receive(&mut self, sequence: Sequence, at_ms: u64, reading: &Reading) {
        let repeat_ms = self.setup.repeat_ms(&reading.gauge);
        let repeat_of = self.last_frames.get(&reading.gauge).and_then(|frame| {
            let soon = repeat_ms > 0 && at_ms.saturating_sub(frame.at_ms) < u64::from(repeat_ms);
            (soon && frame.raw == reading.raw).then_some(frame.sequence)
        });
        if repeat_ms > 0 {
            let frame = Frame {
                sequence,
                at_ms,
                raw: reading.raw.clone(),
            };
            self.last_frames.insert(reading.gauge.clone(), frame);
        }
        self.readings.push(Record {
            sequence,
            at_ms,
            value: match reading.observed {
                Observed::Length(length) => length.units(),
                Observed::Angle(angle) => angle.units(),
                Observed::Check { .. } => 0,
            },
            gauge: self.setup.gauge_index(&reading.gauge),
            part: 0,
            target: 0,
            point: 0,
            end: End::Received,
            shown: reading.shown,
            origin: reading.origin,
        });
        let reading = reading.clone();
        self.pending.push_back(Pending {
            sequence,
            at_ms,
            reading,
            repeat_of,
        });
    }

    /// The reading of that line.
    pub fn reading(&self, sequence: Sequence) -> Option<&Record> {
        let at = self
            .readings
            .binary_search_by_key(&sequence, |record| record.sequence)
            .ok()?;
        self.readings.get(at)
    }

    fn end(&mut self, line: Sequence, reading: Sequence, end: End) -> Result<(), Misfit> {
        self.record_mut(line, reading)?.end = end;
        Ok(())
    }

    /// The reading of that line: mostly the last one.
    fn record_mut(&mut self, line: Sequence, reading: Sequence) -> Result<&mut Record, Misfit> {
        let is_last = self
            .readings
            .last()
            .is_some_and(|last| last.sequence == reading);
        let at = if is_last {
            self.readings.len().checked_sub(1)
        } else {
            self.readings
                .binary_search_by_key(&reading, |record| record.sequence)
                .ok()
        };
        at.and_then(|at| self.readings.get_mut(at))
            .ok_or_else(|| Misfit {
                sequence: line,
                what: format!("there is no reading {reading}"),
            })
    }

    fn place_reading(
        &mut self,
        line: Sequence,
        reading: Sequence,
        place: &Place,
        end: End,
    ) -> Result<(), Misfit> {
        let (target, _) = self.find(line, place)?;
        self.place_at(line, reading, place, target, end)
    }

    fn place_at(
        &mut self,
        line: Sequence,
        reading: Sequence,
        place: &Place,
        target: usize,
        end: End,
    ) -> Result<(), Misfit> {
        let record = self.record_mut(line, reading)?;
        record.part = place.part;
        record.target = u16::try_from(target).unwrap_or(u16::MAX);
        record.point = place.point;
        record.end = end;
        Ok(())
    }

    /// Characteristic and point of a place, both checked to be there.
    fn find(&self, line: Sequence, place: &Place) -> Result<(usize, usize), Misfit> {
        let misfit = |what: String| Misfit {
            sequence: line,
            what,
        };
        let target = self
            .setup
            .target_index(&place.feature, &place.element)
            .ok_or_else(|| misfit(format!("there is no characteristic {}", place.feature)))?;
        let part = self
            .part(place.part)
            .ok_or_else(|| misfit(format!("part {} was not started", place.part)))?;
        let points = part
            .characteristics
            .get(target)
            .map_or(0, |c| c.points.len());
        match usize::from(place.point) {
            point if (1..=points).contains(&point) => Ok((target, point - 1)),
            point => Err(misfit(format!(
                "there is no point {point} of {}",
                place.feature
            ))),
        }
    }

    fn take_verdict(&mut self, line: Sequence, verdict: &VerdictGiven) -> Result<(), Misfit> {
        let (target, point) = self.find(line, &verdict.place)?;
        self.place_at(line, verdict.reading, &verdict.place, target, End::Judged)?;
        let always = self.setup.advance_always;
        let Some(characteristic) = self.characteristic_mut(verdict.place.part, target) else {
            return Ok(());
        };
        if let Some(slot) = characteristic.points.get_mut(point) {
            *slot = Point {
                outcome: Some(verdict.outcome),
                value_at_20: verdict.value_at_20,
                side: Some(verdict.side),
                reading: verdict.reading,
            };
        }
        let complete = characteristic
            .points
            .iter()
            .all(|point| point.outcome.is_some());
        characteristic.settled = match verdict.outcome {
            Outcome::Verdict(VerdictWord::Go) => Some(VerdictWord::Go),
            Outcome::Verdict(word) if always && complete => Some(word),
            _ => None,
        };
        let is_settled = characteristic.settled.is_some();
        self.bench
            .chosen
            .take_if(|chosen| *chosen == target && is_settled);
        self.bench
            .held
            .take_if(|held| held.reading == verdict.reading);
        self.finish(verdict.reading);
        Ok(())
    }

    fn void(&mut self, line: Sequence, reading: Sequence) -> Result<(), Misfit> {
        let record = self.reading(reading).copied();
        self.end(line, reading, End::Voided)?;
        self.bench.held.take_if(|held| held.reading == reading);
        self.finish(reading);
        let Some(record) = record.filter(|record| record.end == End::Judged) else {
            return Ok(());
        };
        let point = usize::from(record.point).wrapping_sub(1);
        let target = usize::from(record.target);
        if let Some(characteristic) = self.characteristic_mut(record.part, target) {
            characteristic.settled = None;
            if let Some(slot) = characteristic.points.get_mut(point) {
                *slot = Point::default();
            }
        }
        Ok(())
    }

    fn characteristic_mut(&mut self, part: u32, target: usize) -> Option<&mut Characteristic> {
        let at = usize::try_from(part).ok()?.checked_sub(1)?;
        Arc::make_mut(self.parts.get_mut(at)?)
            .characteristics
            .get_mut(target)
    }

    /// Takes a reading out of the queue without an end: judging it failed inside the program. It
    /// is judged again when the session is opened next.
    pub(super) fn leave_undecided(&mut self, reading: Sequence) {
        self.finish(reading);
    }

    fn finish(&mut self, reading: Sequence) {
        self.pending.retain(|pending| pending.sequence != reading);
    }
}
