//! The state of the bench: what the events so far give. `apply` is the only way to change it, and
//! it asks nothing but the event, so that live and replayed sessions cannot differ.

use std::collections::{BTreeMap, VecDeque};
use std::sync::Arc;

use super::answers::Answers;
use super::batch_breaks::WorkBreak;
use super::log::Parts;
use super::packed::Records;
use super::setup::Setup;
use super::standing::{DecidedOfPart, GivenSignature};
use super::study::Study;
use super::uncertainty_kept::{Uncertainties, UncertaintyAt};
use super::zero::Zeros;
use crate::gauge::{CheckEnd, GaugeId, Origin, Reading, Shown};
use crate::journal::{Event, Job, Outcome, Place, Sequence};
use crate::measure::Side;
use crate::quantity::{Celsius, Length};

/// Everything that is true of a session at one moment.
#[derive(Debug, Clone)]
pub struct State {
    pub(super) setup: Arc<Setup>,
    /// Shared, so that a copy of the state costs little; a part at hand is copied when changed.
    pub(super) parts: Parts,
    pub(super) readings: Records,
    pub(super) pending: VecDeque<Pending>,
    pub(super) last_frames: BTreeMap<GaugeId, Frame>,
    pub(super) bench: Bench,
    pub(super) closed: bool,
    pub(super) zeros: Zeros,
    pub(super) uncertainties: Uncertainties,
    /// What happened to the work between the parts; shared like the parts.
    pub(super) breaks: Arc<Vec<WorkBreak>>,
    /// Under the session as a whole.
    pub(super) signatures: Vec<GivenSignature>,
    /// The study of a gauge, if the session is one.
    pub(super) study: Option<Study>,
}

/// What the operator set at the bench.
#[derive(Debug, Clone, Default)]
pub struct Bench {
    /// Cutting goes on.
    pub cutting: bool,
    /// A characteristic chosen by hand, by its place in measuring order.
    pub chosen: Option<usize>,
    /// A point to be measured once more, from 1, and the line that asked for it.
    pub(super) chosen_point: Option<(u16, Sequence)>,
    /// A reading that waits for an answer.
    pub held: Option<Held>,
    /// Which characteristic a gauge feeds that sends out of turn, as it was answered.
    pub(super) routes: Vec<(GaugeId, usize)>,
    /// Whose value is taken at a characteristic where the plan does not say it.
    pub(super) named: BTreeMap<usize, GaugeId>,
    /// The temperatures entered last.
    pub temperature: Option<Temperature>,
    /// Who measures.
    pub operator: String,
    /// Readings before this line are no repeats of later ones: the work or its temperature
    /// changed in between.
    pub(super) repeats_from: Sequence,
    /// What names the work.
    pub job: Job,
    /// The part at hand, when it is not the newest.
    pub(super) part_at_hand: Option<u32>,
    /// The part is out of the machine.
    pub taken_out: bool,
    /// The setting of what was measured last since the part was clamped.
    pub(super) setting: Option<u32>,
    /// What was answered last, and the gauges' lines.
    pub(super) answers: Answers,
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
    pub characteristics: Box<[Characteristic]>,
    /// What was decided about it.
    pub decided: DecidedOfPart,
}

/// How far a characteristic of a part is.
#[derive(Debug, Clone)]
pub struct Characteristic {
    /// Left out on this part by the sampling plan.
    pub selected: bool,
    /// One entry for each wanted point.
    pub points: Box<[Point]>,
    /// The verdict, or that it was noted, once it is settled.
    pub settled: Option<Outcome>,
}

/// How far one point is. There are as many as readings, hence the packing and the short line.
#[derive(Debug, Clone, Copy, Default)]
#[repr(C, packed(4))]
pub struct Point {
    /// Its value at 20 °C in smallest steps.
    pub value_at_20: i64,
    /// The reading that brought it.
    pub(super) line: u32,
    /// The standard uncertainty of that value: see [`State::standard_of`].
    pub standard: UncertaintyAt,
    /// Chance of conformity in parts per million, where it was computed.
    pub conformance_ppm: Conformance,
    /// What the last judged reading came to at this point alone.
    pub outcome: Option<Outcome>,
    /// Where it lies.
    pub side: Option<Side>,
    /// Its gauge was found wrong after it: it has to be measured again.
    pub is_in_doubt: bool,
}

impl Point {
    /// The reading that brought it; 0 where none did.
    #[must_use]
    pub fn reading(&self) -> Sequence {
        self.line.into()
    }
}

/// A chance of conformity that may not have been computed, in the room of the number alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Conformance([u8; 3]);

impl Conformance {
    /// No chance is that large.
    const NONE: Self = Self([u8::MAX; 3]);

    /// Parts per million, where it was computed.
    pub fn ppm(self) -> Option<u32> {
        let [low, middle, high] = self.0;
        (self != Self::NONE).then_some(u32::from_le_bytes([low, middle, high, 0]))
    }
}

impl From<Option<u32>> for Conformance {
    fn from(ppm: Option<u32>) -> Self {
        match ppm.map(u32::to_le_bytes) {
            Some([low, middle, high, 0]) => Self([low, middle, high]),
            _ => Self::NONE,
        }
    }
}

impl Default for Conformance {
    fn default() -> Self {
        Self::NONE
    }
}

/// What is kept of a reading once it has ended (the journal has the rest).
#[derive(Debug, Clone, Copy)]
pub struct Record {
    /// Its line in the journal.
    pub sequence: Sequence,
    /// Monotonic milliseconds since the session started.
    pub at_ms: u64,
    /// The value as read, in smallest steps; of a check its outcome's number.
    pub value: i64,
    /// Which end was tried, where it is a check; none where a size or an angle was read.
    pub check: Option<CheckEnd>,
    /// The value at 20 °C that it came to, in smallest steps (of a check its outcome's number); 0
    /// until it was judged or noted while cutting.
    pub value_at_20: i64,
    /// Its gauge, by its place in the setup (see [`Setup::gauge_id`]), if known there.
    pub gauge: Option<u16>,
    /// Part number, 0 when it was never assigned.
    pub part: u32,
    /// Characteristic in measuring order.
    pub target: u16,
    /// Point, from 1.
    pub point: u16,
    /// What became of it.
    pub end: End,
    /// What the zero check of its gauge takes off it, once it was given a place.
    pub offset: Length,
    /// The line that put it in doubt after it counted; 0: none.
    pub doubted_by: Sequence,
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
    /// It was the check of its gauge's zero.
    ZeroCheck,
    /// It filled a cell of a study.
    Study,
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
    pub(super) sequence: Sequence,
    pub(super) at_ms: u64,
    pub(super) raw: Vec<u8>,
}

impl End {
    /// Whether a reading that is here may come to `next`: each reading ends in one way, and only
    /// a judged one may be judged again or voided later.
    pub(super) fn may_become(self, next: Self) -> bool {
        match self {
            Self::Received => true,
            Self::Assigned | Self::Held => !matches!(next, Self::Repeat),
            Self::Judged => matches!(next, Self::Judged | Self::Voided),
            Self::Cutting | Self::ZeroCheck | Self::Study => next == Self::Voided,
            Self::SetAside | Self::Repeat | Self::Voided => false,
        }
    }

    /// Whether something is still to come of the reading.
    pub fn is_open(self) -> bool {
        matches!(self, Self::Received | Self::Assigned | Self::Held)
    }
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
            job: setup.job.clone(),
            ..Bench::new(&setup.operator)
        };
        let zeros = Zeros::of(&setup.zeros);
        Self {
            setup,
            parts: Parts::default(),
            readings: Records::default(),
            pending: VecDeque::new(),
            last_frames: BTreeMap::new(),
            bench,
            closed: false,
            zeros,
            uncertainties: Uncertainties::default(),
            breaks: Arc::default(),
            signatures: Vec::new(),
            study: None,
        }
    }

    /// Takes one event in. Events that say nothing about the bench change nothing.
    ///
    /// # Errors
    /// [`Misfit`] when the event names a part, characteristic or reading that there is not; the
    /// state is then as before.
    pub fn apply(&mut self, sequence: Sequence, at_ms: u64, event: &Event) -> Result<(), Misfit> {
        self.change(sequence, at_ms, event)?;
        self.forget_chosen_point(event);
        self.keep_break(sequence, event);
        self.follow_study(sequence, event);
        self.keep_answer(sequence, at_ms, event);
        Ok(())
    }

    fn change(&mut self, sequence: Sequence, at_ms: u64, event: &Event) -> Result<(), Misfit> {
        match event {
            Event::PartStarted { part } => return self.start_part(sequence, *part),
            Event::PartTakenUp { part } => return self.take_up_part(sequence, *part),
            Event::PartNamed { part, serial } => return self.name_part(sequence, *part, serial),
            Event::DispositionGiven(given) => {
                return self.take_disposition(sequence, at_ms, given);
            }
            Event::PartAssembled(one) => return self.put_together(sequence, one),
            Event::SignedOff(signed) => return self.take_signature(sequence, at_ms, signed),
            Event::ReadingReceived(reading) => self.receive(sequence, at_ms, reading),
            Event::ReadingAssigned { reading, place } => {
                self.place_reading(sequence, *reading, place, End::Assigned)?;
                self.bench.held.take_if(|held| held.reading == *reading);
            }
            Event::VerdictGiven(verdict) => return self.take_verdict(sequence, verdict),
            Event::CuttingNoted {
                reading,
                place,
                value_at_20,
                ..
            } => {
                self.place_reading(sequence, *reading, place, End::Cutting)?;
                self.keep_value(*reading, value_at_20.as_nm());
                self.measured_in_setting_of(place);
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
            Event::ZeroChecked(checked) => return self.take_zero(sequence, at_ms, checked),
            Event::StudyOpened(opened) => return self.open_study(sequence, opened),
            Event::StudyCellFilled { reading, cell } => {
                return self.fill_cell(sequence, *reading, *cell);
            }
            Event::ReadingVoided { reading, .. } => return self.void(sequence, *reading),
            Event::PointChosen { place } => return self.choose_point(sequence, place),
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
            Event::ZeroCheckAsked {
                gauge,
                standard,
                shows,
            } => self.ask_zero(gauge, standard, *shows),
            Event::ZeroCheckDropped { gauge } => self.drop_zero(gauge),
            Event::GaugeRouted {
                gauge,
                feature,
                element,
            } => self.keep_route(gauge, feature, element),
            Event::GaugeDoubted {
                gauge,
                since,
                reason,
                ..
            } => self.doubt_gauge(sequence, at_ms, gauge, since.as_deref(), reason),
            Event::JobNoted(job) => note_job(&mut self.bench.job, job),
            Event::OperatorChanged { name } => self.bench.operator.clone_from(name),
            Event::TakenOut { .. } => self.bench.taken_out = true,
            Event::PutBack { .. } => {
                self.bench.taken_out = false;
                self.bench.setting = None;
                self.ask_after_rechucking();
            }
            Event::SessionClosed { .. } => self.closed = true,
            _ => {}
        }
    }

    fn start_part(&mut self, sequence: Sequence, part: u32) -> Result<(), Misfit> {
        let expected = self.next_part_number();
        if part != expected {
            let what = format!("part {part} was started where part {expected} comes next");
            return Err(Misfit { sequence, what });
        }
        let characteristics = self.setup.targets.iter().map(|target| Characteristic {
            selected: target.is_selected(part),
            points: vec![Point::default(); usize::from(target.points)].into_boxed_slice(),
            settled: None,
        });
        let part = Part {
            number: part,
            characteristics: characteristics.collect(),
            decided: DecidedOfPart::default(),
        };
        self.parts.push(Arc::new(part));
        self.bench.part_at_hand = None;
        self.bench.chosen = None;
        self.bench.setting = None;
        Ok(())
    }

    /// Work goes on at an earlier part, or again at the newest.
    fn take_up_part(&mut self, sequence: Sequence, part: u32) -> Result<(), Misfit> {
        if self.part(part).is_none() {
            let what = format!("part {part} was not started");
            return Err(Misfit { sequence, what });
        }
        self.bench.part_at_hand = (part != self.parts_started()).then_some(part);
        self.bench.chosen = None;
        self.bench.chosen_point = None;
        self.bench.setting = None;
        self.bench.repeats_from = sequence;
        Ok(())
    }
}

/// What is said takes the place of what was; what is not said holds on.
fn note_job(job: &mut Job, said: &Job) {
    for (old, new) in [
        (&mut job.order, &said.order),
        (&mut job.customer, &said.customer),
        (&mut job.material_lot, &said.material_lot),
        (&mut job.machine, &said.machine),
    ] {
        if !new.is_empty() {
            old.clone_from(new);
        }
    }
}
