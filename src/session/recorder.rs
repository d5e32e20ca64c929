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
    Event, JournalWriter, Link, Moment, ReadingTaken, Sequence, SignedOff, StorageFolder,
    WriterError, body_of,
};

/// When wall and monotonic clock drift apart by so much between two moments, it counts as a step
/// (chosen).
const CLOCK_STEP_MS: i64 = 1_000;

/// Once a disk has failed, so many readings are synced together and no more (chosen): where space
/// is short, some may fit where all do not.
const PIECE: usize = 4;

/// Something that reaches the writer.
#[derive(Debug, Clone, PartialEq)]
pub enum Incoming {
    /// A gauge's reading.
    Reading(Reading),
    /// A reading taken out of values that were seen live, and what it was taken out of.
    Taken(Box<(Reading, ReadingTaken)>),
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

/// Something that came and is not on the disk.
#[derive(Debug, Clone, PartialEq)]
pub struct Unwritten {
    /// When it came.
    pub moment: Moment,
    /// What came; a request is carried out once what came before it is on the disk.
    pub incoming: Incoming,
}

/// State and journal of one session.
pub struct Recorder<F: StorageFolder> {
    writer: JournalWriter<F::File>,
    state: State,
    unwritten: Vec<Unwritten>,
    /// Name of the session's first file.
    first: String,
    last_moment: Option<Moment>,
    failed: bool,
    has_continued: bool,
    /// The reading that was written last; none when it could not be written.
    last_reading: Option<Sequence>,
}

impl<F: StorageFolder> Recorder<F> {
    /// A recorder of a session whose first event has just been written, or that was replayed.
    pub fn new(writer: JournalWriter<F::File>, state: State) -> Self {
        Self {
            first: writer.name().to_owned(),
            writer,
            state,
            unwritten: Vec::new(),
            last_moment: None,
            failed: false,
            has_continued: false,
            last_reading: None,
        }
    }

    /// A recorder of a session taken up again at `moment`; `first` is its first file's name.
    pub fn resumed(
        writer: JournalWriter<F::File>,
        state: State,
        moment: Moment,
        first: String,
    ) -> Self {
        Self {
            last_moment: Some(moment),
            first,
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

    /// Name of the session's first file; that of the journal itself where there is no other.
    pub fn first_journal(&self) -> &str {
        &self.first
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
    /// in order, and what was decided is appended and synced together. An empty batch decides
    /// what a program that was stopped left undecided.
    pub fn take(&mut self, batch: Vec<(Moment, Incoming)>) -> Taken {
        let mut dated = Vec::with_capacity(batch.len());
        for (moment, incoming) in batch {
            let step = self.last_moment.and_then(|last| clock_step(last, moment));
            if let Some(step) = step {
                dated.push(Unwritten {
                    moment,
                    incoming: Incoming::Notice(step),
                });
            }
            self.last_moment = Some(moment);
            dated.push(Unwritten { moment, incoming });
        }
        let mut taken = Taken::default();
        self.take_dated(dated, &mut taken);
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
        self.has_continued = true;
        let mut waiting = std::mem::take(&mut self.unwritten).into_iter().peekable();
        while waiting.peek().is_some() && !self.failed {
            let piece = waiting.by_ref().take(PIECE).collect();
            self.take_dated(piece, &mut taken);
        }
        self.unwritten.extend(waiting);
        self.decide_pending(&mut taken);
        Ok(taken)
    }

    fn take_dated(&mut self, batch: Vec<Unwritten>, taken: &mut Taken) {
        let mut events: Vec<(Moment, Event)> = Vec::new();
        for Unwritten { moment, incoming } in batch {
            match incoming {
                Incoming::Reading(reading) => {
                    events.push((moment, Event::ReadingReceived(reading)));
                }
                Incoming::Taken(both) => {
                    let (reading, taken_from) = *both;
                    events.push((moment, Event::ReadingReceived(reading)));
                    events.push((moment, Event::ReadingTaken(taken_from)));
                }
                Incoming::Notice(event) => events.push((moment, event)),
                Incoming::Command(command) => {
                    // Order matters: what came before the command is decided before it.
                    self.record(std::mem::take(&mut events), taken);
                    self.decide_pending(taken);
                    self.carry_out(moment, command, taken);
                }
            }
        }
        self.record(events, taken);
        self.decide_pending(taken);
    }

    /// Appends and syncs; only then the state takes them in. After a failure they are kept as
    /// NOT RECORDED.
    fn record(&mut self, events: Vec<(Moment, Event)>, taken: &mut Taken) {
        let mut group: Vec<Recorded> = Vec::with_capacity(events.len());
        let mut left = events.into_iter();
        while !self.failed {
            let Some((moment, event)) = left.next() else {
                break;
            };
            self.append(moment, event, &mut group, taken);
        }
        self.sync(&mut group, taken);
        if self.failed {
            let group = group.into_iter().map(|one| (one.moment, one.event));
            self.unwritten.extend(group.chain(left).map(kept));
        }
    }

    /// Appends one event to the group; a group that is as large as one commit may be is synced
    /// first. After a failure the event is in the group all the same.
    fn append(
        &mut self,
        moment: Moment,
        mut event: Event,
        group: &mut Vec<Recorded>,
        taken: &mut Taken,
    ) {
        if let Event::ReadingTaken(taken_from) = &mut event
            && taken_from.reading == ReadingTaken::JUST_BEFORE
            && !self.failed
        {
            // Without its reading there is nothing that it would speak of.
            let Some(reading) = self.last_reading else {
                return;
            };
            taken_from.reading = reading;
        }
        let is_reading = matches!(event, Event::ReadingReceived(_));
        self.seal(&mut event);
        let mut answer = self.write(moment, &event);
        if matches!(answer, Err(WriterError::CommitTooLarge { .. })) {
            self.sync(group, taken);
            if !self.failed {
                answer = self.write(moment, &event);
            }
        }
        if is_reading {
            self.last_reading = answer.as_ref().ok().copied();
        }
        let sequence = match answer {
            Ok(sequence) => sequence,
            Err(error @ WriterError::NotRecorded { .. }) => {
                self.fail(error, taken);
                0
            }
            Err(_) if self.failed => 0,
            // This one alone cannot be written down; that is told.
            Err(error) => {
                taken.failure = Some(error);
                return;
            }
        };
        group.push(Recorded {
            sequence,
            moment,
            event,
        });
    }

    fn write(&mut self, moment: Moment, event: &Event) -> Result<Sequence, WriterError> {
        self.writer.append(event.kind(), &body_of(event), moment)
    }

    /// A signature names the line that is written just before it, and that line's hash.
    fn seal(&self, event: &mut Event) {
        if let Event::SignedOff(signed) = event
            && signed.covers == SignedOff::JUST_BEFORE
            && !self.failed
        {
            let covered = self.writer.tail();
            signed.covers = covered.seq;
            signed.hash = covered.hash.to_string();
        }
    }

    fn sync(&mut self, group: &mut Vec<Recorded>, taken: &mut Taken) {
        if self.failed {
            return;
        }
        match self.writer.commit() {
            Ok(_) => {
                for one in group.iter() {
                    self.apply(one);
                }
                taken.recorded.append(group);
            }
            Err(error) => self.fail(error, taken),
        }
    }

    /// Decides every pending reading in order. The state runs ahead of the disk while a group is
    /// decided; it is put back when the group cannot be written, and nobody is told of it.
    fn decide_pending(&mut self, taken: &mut Taken) {
        if self.failed || self.state.next_pending().is_none() {
            return;
        }
        let mut ahead = Ahead::of(&self.state);
        let mut decided_since = 0;
        while let Some(pending) = self.state.next_pending().cloned() {
            if self.has_continued && decided_since >= PIECE {
                self.catch_up(std::mem::replace(&mut ahead, Ahead::of(&self.state)), taken);
                decided_since = 0;
                if self.failed {
                    return;
                }
            }
            decided_since += 1;
            let moment = self.last_moment.unwrap_or(Moment {
                time: jiff::Timestamp::UNIX_EPOCH,
                mono_ms: pending.at_ms,
            });
            let decided = self.decide_one(&pending);
            let written =
                decided.is_some_and(|events| self.run_ahead(moment, events, &mut ahead, taken));
            if self.failed {
                return;
            }
            if !written {
                self.state.leave_undecided(pending.sequence);
                taken.undecided.push(pending.sequence);
            }
        }
        self.catch_up(ahead, taken);
    }

    /// Appends what was decided, and lets the state run ahead. False when it cannot be written.
    fn run_ahead(
        &mut self,
        moment: Moment,
        events: Vec<Event>,
        ahead: &mut Ahead,
        taken: &mut Taken,
    ) -> bool {
        for mut event in events {
            self.seal(&mut event);
            let mut answer = self.write(moment, &event);
            if matches!(answer, Err(WriterError::CommitTooLarge { .. })) {
                answer = self.writer.commit().and_then(|_| {
                    taken.recorded.append(&mut ahead.group);
                    ahead.before = self.state.clone();
                    self.write(moment, &event)
                });
            }
            match answer {
                Ok(sequence) => {
                    let one = Recorded {
                        sequence,
                        moment,
                        event,
                    };
                    self.apply(&one);
                    ahead.group.push(one);
                }
                Err(error @ WriterError::NotRecorded { .. }) => {
                    self.state = ahead.before.clone();
                    self.fail(error, taken);
                    return false;
                }
                Err(error) => {
                    taken.failure = Some(error);
                    return false;
                }
            }
        }
        true
    }

    /// Syncs what the state ran ahead by, or puts the state back.
    fn catch_up(&mut self, mut ahead: Ahead, taken: &mut Taken) {
        match self.writer.commit() {
            Ok(_) => taken.recorded.append(&mut ahead.group),
            Err(error) => {
                self.state = ahead.before;
                self.fail(error, taken);
            }
        }
    }

    /// A fault in a formula must not take the session down: the reading is already safe.
    fn decide_one(&self, pending: &Pending) -> Option<Vec<Event>> {
        catch_unwind(AssertUnwindSafe(|| decide_reading(&self.state, pending))).ok()
    }

    fn carry_out(&mut self, moment: Moment, command: Command, taken: &mut Taken) {
        // What it means depends on readings that wait; it is decided after them.
        if !self.failed {
            match decide_command(&self.state, &command) {
                Err(refusal) => return taken.refused.push((command, refusal)),
                Ok(events) => {
                    let mut ahead = Ahead::of(&self.state);
                    if self.run_ahead(moment, events, &mut ahead, taken) {
                        self.catch_up(ahead, taken);
                    }
                }
            }
        }
        if self.failed {
            let incoming = Incoming::Command(command);
            self.unwritten.push(Unwritten { moment, incoming });
        }
    }

    fn apply(&mut self, one: &Recorded) {
        let at_ms = one.moment.mono_ms;
        let applied: Result<(), Misfit> = self.state.apply(one.sequence, at_ms, &one.event);
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

/// What the state ran ahead of the disk by.
struct Ahead {
    before: State,
    group: Vec<Recorded>,
}

impl Ahead {
    fn of(state: &State) -> Self {
        Self {
            before: state.clone(),
            group: Vec::new(),
        }
    }
}

fn kept((moment, event): (Moment, Event)) -> Unwritten {
    let incoming = match event {
        Event::ReadingReceived(reading) => Incoming::Reading(reading),
        // Its reading may get another number where it is written in the end.
        Event::ReadingTaken(taken_from) => Incoming::Notice(Event::ReadingTaken(ReadingTaken {
            reading: ReadingTaken::JUST_BEFORE,
            ..taken_from
        })),
        // It is sealed anew where it is written in the end.
        Event::SignedOff(signed) => Incoming::Notice(Event::SignedOff(Box::new(SignedOff {
            covers: SignedOff::JUST_BEFORE,
            hash: String::new(),
            ..*signed
        }))),
        other => Incoming::Notice(other),
    };
    Unwritten { moment, incoming }
}

/// The wall clock was set between two moments, seen against the count that never steps.
pub(super) fn clock_step(last: Moment, moment: Moment) -> Option<Event> {
    let wall = moment.time.as_millisecond() - last.time.as_millisecond();
    let mono = i64::try_from(moment.mono_ms).ok()? - i64::try_from(last.mono_ms).ok()?;
    let by_ms = wall.checked_sub(mono)?;
    (by_ms.abs() >= CLOCK_STEP_MS).then_some(Event::ClockStepped { by_ms })
}
