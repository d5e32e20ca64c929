//! The one writer: what comes in is on the disk before anything is computed from it, and what is
//! computed is on the disk before anybody is told.
//!
//! After a failed write or sync nothing more is claimed to be recorded; the readings stay in
//! memory, NOT RECORDED, until [`Recorder::continue_in`] has put them into a continuation.

use std::panic::{AssertUnwindSafe, catch_unwind};

use super::command::{Command, Refusal};
use super::decide::{decide_command, decide_reading};
use super::state::{Misfit, Pending, State};
use crate::gauge::Reading;
use crate::journal::{
    Event, JournalWriter, Link, Moment, Sequence, StorageFolder, WriterError, body_of,
};

/// Wall and monotonic clock may drift apart by so much before it counts as a step (chosen).
const CLOCK_STEP_MS: i64 = 1_000;

/// Something that reaches the writer.
#[derive(Debug, Clone, PartialEq)]
pub enum Incoming {
    /// A gauge's reading.
    Reading(Reading),
    /// Something that is an event as it stands (refused bytes, the state of a line).
    Notice(Event),
    /// A request of a person or a script.
    Command(Command),
}

/// One event that is on the disk now.
#[derive(Debug, Clone, PartialEq)]
pub struct Recorded {
    /// Its line.
    pub sequence: Sequence,
    /// When, as given.
    pub moment: Moment,
    /// What.
    pub event: Event,
}

/// What came of a batch.
#[derive(Debug, Default)]
pub struct Taken {
    /// Everything that is on the disk now, in order.
    pub recorded: Vec<Recorded>,
    /// Requests that could not be carried out.
    pub refused: Vec<(Command, Refusal)>,
    /// Readings whose judging failed inside the program; they are safe on the disk.
    pub undecided: Vec<Sequence>,
    /// Why the rest is not on the disk, when it is not.
    pub failure: Option<WriterError>,
}

/// A reading or notice that could not be written.
#[derive(Debug, Clone, PartialEq)]
pub struct Unwritten {
    /// When it came.
    pub moment: Moment,
    /// The event that is not on the disk.
    pub event: Event,
}

/// State and journal of one session.
pub struct Recorder<F: StorageFolder> {
    writer: JournalWriter<F::File>,
    state: State,
    unwritten: Vec<Unwritten>,
    last_moment: Option<Moment>,
    failed: bool,
}

impl<F: StorageFolder> Recorder<F> {
    /// A recorder of a session whose first event has just been written, or that was replayed.
    pub fn new(writer: JournalWriter<F::File>, state: State) -> Self {
        Self {
            writer,
            state,
            unwritten: Vec::new(),
            last_moment: None,
            failed: false,
        }
    }

    /// A recorder of a session taken up again at `moment`.
    pub fn resumed(writer: JournalWriter<F::File>, state: State, moment: Moment) -> Self {
        Self {
            last_moment: Some(moment),
            ..Self::new(writer, state)
        }
    }

    /// The state as the disk has it.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// Last line that is on the disk.
    pub fn head(&self) -> Link {
        self.writer.acknowledged()
    }

    /// Name of the journal file.
    pub fn journal(&self) -> &str {
        self.writer.name()
    }

    /// Whether the journal takes nothing more, until [`Recorder::continue_in`].
    pub fn has_failed(&self) -> bool {
        self.failed
    }

    /// What is NOT RECORDED, oldest first.
    pub fn unwritten(&self) -> &[Unwritten] {
        &self.unwritten
    }

    /// Takes a batch: first all readings are appended and synced together, then each is decided
    /// in order, and what was decided is appended and synced together.
    pub fn take(&mut self, batch: Vec<(Moment, Incoming)>) -> Taken {
        let mut taken = Taken::default();
        let mut events: Vec<Unwritten> = Vec::new();
        for (moment, incoming) in batch {
            if let Some(step) = self.clock_step(moment) {
                events.push(Unwritten {
                    moment,
                    event: step,
                });
            }
            self.last_moment = Some(moment);
            match incoming {
                Incoming::Reading(reading) => {
                    events.push(Unwritten {
                        moment,
                        event: Event::ReadingReceived(reading),
                    });
                }
                Incoming::Notice(event) => events.push(Unwritten { moment, event }),
                Incoming::Command(command) => {
                    // Order matters: what came before the command is decided before it.
                    self.write_and_decide(std::mem::take(&mut events), &mut taken);
                    self.carry_out(moment, command, &mut taken);
                }
            }
        }
        self.write_and_decide(events, &mut taken);
        taken
    }

    /// Goes on in a new journal file, which names the old one; then everything NOT RECORDED is
    /// written there and decided.
    ///
    /// # Errors
    /// What kept the new file from being made; nothing is lost, and it may be tried again.
    pub fn continue_in(
        &mut self,
        folder: &F,
        name: &str,
        moment: Moment,
    ) -> Result<Taken, WriterError> {
        let writer = self.writer.start_continuation(folder, name, moment)?;
        self.writer = writer;
        self.failed = false;
        let mut taken = Taken::default();
        let events = std::mem::take(&mut self.unwritten);
        self.write_and_decide(events, &mut taken);
        Ok(taken)
    }

    fn clock_step(&self, moment: Moment) -> Option<Event> {
        let last = self.last_moment?;
        let wall = moment.time.as_millisecond() - last.time.as_millisecond();
        let mono = i64::try_from(moment.mono_ms).ok()? - i64::try_from(last.mono_ms).ok()?;
        let by_ms = wall.checked_sub(mono)?;
        (by_ms.abs() > CLOCK_STEP_MS).then_some(Event::ClockStepped { by_ms })
    }

    /// Records the events, then decides what is pending.
    fn write_and_decide(&mut self, events: Vec<Unwritten>, taken: &mut Taken) {
        if events.is_empty() && self.state.next_pending().is_none() {
            return;
        }
        if !self.write(events, taken) {
            return;
        }
        self.decide_pending(taken);
    }

    /// Appends and syncs; only then the state takes them in. False after a failure: then they
    /// are kept as NOT RECORDED.
    fn write(&mut self, events: Vec<Unwritten>, taken: &mut Taken) -> bool {
        if self.failed {
            self.unwritten.extend(events);
            return false;
        }
        let mut numbered = Vec::with_capacity(events.len());
        let mut left = events.into_iter();
        while let Some(unwritten) = left.next() {
            match self.append(&unwritten) {
                Ok(sequence) => numbered.push((sequence, unwritten)),
                Err(error @ WriterError::Refused { .. }) => taken.failure = Some(error),
                Err(WriterError::CommitTooLarge { .. }) => {
                    // The batch is larger than one commit may be: sync, then go on.
                    if !self.sync(std::mem::take(&mut numbered), taken) {
                        self.unwritten.push(unwritten);
                        self.unwritten.extend(left);
                        return false;
                    }
                    match self.append(&unwritten) {
                        Ok(sequence) => numbered.push((sequence, unwritten)),
                        Err(error) => taken.failure = Some(error),
                    }
                }
                Err(error) => {
                    self.fail(error, taken);
                    self.unwritten
                        .extend(numbered.into_iter().map(|(_, event)| event));
                    self.unwritten.push(unwritten);
                    self.unwritten.extend(left);
                    return false;
                }
            }
        }
        self.sync(numbered, taken)
    }

    fn append(&mut self, unwritten: &Unwritten) -> Result<Sequence, WriterError> {
        self.writer.append(
            unwritten.event.kind(),
            &body_of(&unwritten.event),
            unwritten.moment,
        )
    }

    fn sync(&mut self, numbered: Vec<(Sequence, Unwritten)>, taken: &mut Taken) -> bool {
        if let Err(error) = self.writer.commit() {
            self.fail(error, taken);
            self.unwritten
                .extend(numbered.into_iter().map(|(_, event)| event));
            return false;
        }
        for (sequence, Unwritten { moment, event }) in numbered {
            self.apply(sequence, moment, &event);
            taken.recorded.push(Recorded {
                sequence,
                moment,
                event,
            });
        }
        true
    }

    /// Decides every pending reading in order. The state runs ahead of the disk while a group is
    /// decided; it is put back when the group cannot be written, and nobody is told of it.
    fn decide_pending(&mut self, taken: &mut Taken) {
        if self.failed || self.state.next_pending().is_none() {
            return;
        }
        let before = self.state.clone();
        let mut decided: Vec<Recorded> = Vec::new();
        while let Some(pending) = self.state.next_pending().cloned() {
            let Some(events) = self.decide_one(&pending) else {
                self.state.leave_undecided(pending.sequence);
                taken.undecided.push(pending.sequence);
                continue;
            };
            let moment = self.last_moment.unwrap_or(Moment {
                time: jiff::Timestamp::UNIX_EPOCH,
                mono_ms: pending.at_ms,
            });
            for event in events {
                match self.append(&Unwritten {
                    moment,
                    event: event.clone(),
                }) {
                    Ok(sequence) => {
                        self.apply(sequence, moment, &event);
                        decided.push(Recorded {
                            sequence,
                            moment,
                            event,
                        });
                    }
                    Err(error) => {
                        self.state = before;
                        self.fail(error, taken);
                        return;
                    }
                }
            }
        }
        match self.writer.commit() {
            Ok(_) => taken.recorded.append(&mut decided),
            Err(error) => {
                self.state = before;
                self.fail(error, taken);
            }
        }
    }

    /// A fault in a formula must not take the session down: the reading is already safe.
    fn decide_one(&self, pending: &Pending) -> Option<Vec<Event>> {
        catch_unwind(AssertUnwindSafe(|| decide_reading(&self.state, pending))).ok()
    }

    fn carry_out(&mut self, moment: Moment, command: Command, taken: &mut Taken) {
        match decide_command(&self.state, &command) {
            Ok(events) => {
                let unwritten = events.into_iter().map(|event| Unwritten { moment, event });
                self.write_and_decide(unwritten.collect(), taken);
            }
            Err(refusal) => taken.refused.push((command, refusal)),
        }
    }

    fn apply(&mut self, sequence: Sequence, moment: Moment, event: &Event) {
        let applied: Result<(), Misfit> = self.state.apply(sequence, moment.mono_ms, event);
        debug_assert!(
            applied.is_ok(),
            "an event that was just decided must fit: {applied:?}"
        );
    }

    fn fail(&mut self, error: WriterError, taken: &mut Taken) {
        self.failed = true;
        taken.failure = Some(error);
    }
}
