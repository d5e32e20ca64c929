//! The loop of a running session: takes what has come, in its order; goes on elsewhere when a
//! disk fails; plays the simulated hand; and publishes what there is to be seen.

use super::batch_brief::BatchWatch;
use super::begin::Prepared;
use super::command::Command;
use super::live::Stage;
use super::live_closed::listen;
use super::live_told::{refused_sentence, set_aside_told, unrecorded_text};
use super::opening::resume_session;
use super::recorder::{Incoming, Recorder, Taken};
use super::request::Request;
use super::rescue::{Retry, close_reason, continuation_folders, continue_recording, folder_told};
use super::runner::{Arrival, Inbox};
use super::snapshot::{Message, Snapshot, Unrecorded};
use super::typed::known_gauge;
use super::wiring::{WHICH_GAUGE, Wired};
use crate::gauge::{GaugeId, Reading};
use crate::journal::{DiskFolder, Event, Moment, continuation_name};
use crate::quantity::counted;

/// Between two moves of the simulated hand (chosen: what a move came to can be read meanwhile).
const PACE_MS: u64 = 1_200;
/// So many readings that are NOT RECORDED are shown (chosen: what a person can write down).
pub(super) const UNRECORDED_SHOWN: usize = 8;
/// So many faults of the program are got over in one session (chosen).
const FAULTS_MAX: u32 = 3;

pub(super) struct LiveLoop {
    recorder: Recorder<DiskFolder>,
    batch: BatchWatch,
    folder: DiskFolder,
    inbox: Inbox,
    wired: Wired,
    retry: Retry,
    /// Why the journal takes nothing, and what to do.
    cause: Option<(String, String)>,
    message: Option<Message>,
    /// The simulated hand goes on by itself.
    is_playing: bool,
    play_at_ms: u64,
    is_started: bool,
    is_stopping: bool,
    /// There is something new to be seen.
    is_changed: bool,
    /// What the recorder is just taking in, and how many readings there were before.
    at_hand: (Vec<(Moment, Incoming)>, usize),
    faults: u32,
    /// What came behind the closing of the session, which no record takes.
    late: Vec<Incoming>,
}

impl LiveLoop {
    pub(super) fn new(prepared: Prepared) -> Self {
        let mut new = Self {
            is_playing: prepared.is_demo && prepared.wired.hand.is_some(),
            batch: BatchWatch::of(prepared.recorder.state()),
            recorder: prepared.recorder,
            folder: prepared.folder,
            inbox: prepared.inbox,
            wired: prepared.wired,
            retry: Retry::default(),
            cause: None,
            message: None,
            play_at_ms: 0,
            is_started: false,
            is_stopping: false,
            is_changed: false,
            at_hand: (Vec::new(), 0),
            faults: 0,
            late: Vec::new(),
        };
        if !prepared.told.is_empty() {
            new.tell(prepared.told.join(" "));
        }
        new
    }

    /// Waits for something and takes it in. False when the session has ended.
    pub(super) fn turn(&mut self, stage: &Stage) -> bool {
        self.publish(stage);
        if self.is_started {
            let batch = self.inbox.batch_until(self.wakes_at_ms());
            self.arrive(batch);
        } else {
            self.begin();
        }
        // What is NOT RECORDED is seen before it is tried again.
        self.publish(stage);
        let now = self.inbox.clock().now();
        if self.recorder.has_failed() && now.mono_ms >= self.retry.at_ms() {
            self.retry(now);
        }
        let is_due = self.is_hand_going() && now.mono_ms >= self.play_at_ms;
        if is_due {
            self.press(now);
            self.play_at_ms = now.mono_ms.saturating_add(PACE_MS);
        }
        self.publish(stage);
        !self.is_stopping && !self.recorder.state().is_closed()
    }

    /// Leaves the session as it is: the readers end, what had arrived is recorded. One that was
    /// closed lets its record go at once, and is listened to until it is left.
    pub(super) fn end(mut self, stage: &Stage) {
        let is_closed = self.recorder.state().is_closed() && !self.recorder.has_failed();
        if is_closed && !self.is_stopping {
            let shown = self.snapshot();
            drop(self.recorder);
            return listen(&self.inbox, &self.wired, shown, self.late, stage);
        }
        self.retry_to_the_end();
        let left = self.inbox.shut_down();
        self.arrive(left);
        self.retry_to_the_end();
        let lost = self.unwritten_readings().len();
        if lost > 0 {
            let (lost, them) = (
                counted(lost, "reading"),
                if lost == 1 { "it" } else { "them" },
            );
            self.tell(format!(
                "{lost} could not be recorded anywhere. Write {them} down from the screen."
            ));
        }
        self.is_changed = true;
        self.publish(stage);
    }

    fn begin(&mut self) {
        self.is_started = true;
        let now = self.inbox.clock().now();
        let first = self.wired.start(&self.inbox, &self.recorder);
        // A session taken up again may hold readings that nothing has come of yet, so that an
        // empty batch is taken too.
        let first = first.into_iter().map(|incoming| (now, incoming)).collect();
        let taken = self.recorder.take(first);
        self.shown(taken);
        self.is_changed = true;
    }

    /// When to look without anything having come; none: not at all.
    fn wakes_at_ms(&self) -> Option<u64> {
        if self.recorder.has_failed() {
            return Some(self.retry.at_ms());
        }
        self.is_hand_going().then_some(self.play_at_ms)
    }

    /// The hand waits until what it sent is recorded.
    fn is_hand_going(&self) -> bool {
        self.is_playing && !self.recorder.has_failed() && !self.recorder.state().is_closed()
    }

    fn arrive(&mut self, batch: Vec<Arrival>) {
        let mut ready: Vec<(Moment, Incoming)> = Vec::new();
        for arrival in batch {
            match arrival {
                Arrival::Incoming(moment, incoming) => ready.push((moment, incoming)),
                Arrival::Request(moment, request) => match request {
                    Request::Reading(reading) => match self.known(&reading) {
                        Ok(()) => ready.push((moment, Incoming::Reading(reading))),
                        Err(sentence) => {
                            self.take(std::mem::take(&mut ready));
                            self.tell(sentence);
                        }
                    },
                    Request::Command(Command::Close { reason }) => {
                        self.take(std::mem::take(&mut ready));
                        self.close(moment, reason);
                    }
                    Request::Command(command) => ready.push((moment, Incoming::Command(command))),
                    other => {
                        self.take(std::mem::take(&mut ready));
                        self.carry_out(moment, &other);
                    }
                },
                Arrival::Interrupted => self.is_stopping = true,
                Arrival::Told(told) => self.tell(told.text),
                Arrival::Seen => self.is_changed = true,
                // Nobody reads lines of text here.
                Arrival::Line(..) | Arrival::LinesEnded => {}
            }
        }
        self.take(ready);
    }

    /// Requests that are none of the bench's.
    fn carry_out(&mut self, moment: Moment, request: &Request) {
        match request {
            Request::AskGauge(gauge) => self.ask(Some(gauge)),
            Request::AskAnyGauge => self.ask(None),
            Request::PressGauge if self.recorder.has_failed() => {
                self.tell("Nothing can be recorded now: the simulated gauge waits.".to_owned());
            }
            Request::PressGauge => self.press(moment),
            Request::Play(on) if self.wired.hand.is_some() => {
                self.is_playing = *on;
                self.play_at_ms = moment.mono_ms;
                self.is_changed = true;
            }
            Request::Play(_) => self.tell_no_hand(),
            Request::TryRecording if self.recorder.has_failed() => {
                if !self.retry(moment) {
                    self.tell("Tried again: it cannot be recorded yet.".to_owned());
                }
            }
            Request::TryRecording => self.tell("Everything is recorded.".to_owned()),
            Request::Reading(_) | Request::Command(_) => {}
        }
    }

    /// Whether a typed reading may be from the gauge that it names; else a sentence.
    fn known(&self, reading: &Reading) -> Result<(), String> {
        known_gauge(self.recorder.state().setup(), &reading.gauge).map_err(|error| {
            format!(
                "“{}” was not taken: {error} {}",
                String::from_utf8_lossy(&reading.raw).escape_debug(),
                error.hint().unwrap_or_default()
            )
        })
    }

    fn ask(&mut self, gauge: Option<&GaugeId>) {
        if let Err(told) = self.wired.ask(self.recorder.state(), gauge) {
            self.tell(match told.code {
                // The window asks it with its own keys; a line came or went since.
                Some(WHICH_GAUGE) => {
                    "Several gauges are live: Enter asks which is meant.".to_owned()
                }
                _ => told.text,
            });
        }
    }

    fn tell_no_hand(&mut self) {
        self.tell("No gauge of this session is simulated.".to_owned());
    }

    /// One move of the simulated hand.
    fn press(&mut self, now: Moment) {
        if self.recorder.state().is_closed() {
            return;
        }
        let Some(hand) = &mut self.wired.hand else {
            return self.tell_no_hand();
        };
        match hand.next_move(self.recorder.state(), now.mono_ms) {
            Some(batch) => self.take(batch.into_iter().map(|one| (now, one)).collect()),
            None => {
                self.is_playing = false;
                self.tell("The simulated gauge has measured what was wanted.".to_owned());
            }
        }
    }

    fn take(&mut self, batch: Vec<(Moment, Incoming)>) {
        if batch.is_empty() {
            return;
        }
        if self.recorder.state().is_closed() {
            // It ends with this turn; what came too late is told, not dropped in silence.
            return self.late.extend(batch.into_iter().map(|(_, one)| one));
        }
        let before = self.recorder.state().readings().len();
        self.at_hand = (batch.clone(), before);
        let taken = self.recorder.take(batch);
        self.at_hand.0.clear();
        self.shown(taken);
    }

    fn shown(&mut self, taken: Taken) {
        self.is_changed |= !taken.recorded.is_empty();
        for recorded in &taken.recorded {
            self.batch.follow(self.recorder.state(), &recorded.event);
            if let Some(hand) = &mut self.wired.hand {
                hand.heard(&recorded.event);
            }
            if let Event::ReadingRefused { gauge, code, raw } = &recorded.event {
                self.tell(refused_sentence(gauge, code, raw));
            }
            if let Some(text) =
                set_aside_told(self.recorder.state(), &taken.recorded, &recorded.event)
            {
                self.tell(text);
            }
        }
        for (_, refusal) in &taken.refused {
            self.tell(format!("{refusal} {}", refusal.hint()));
        }
        for sequence in &taken.undecided {
            self.tell(format!(
                "The program failed while judging line {sequence}. The reading is recorded; it is \
                 judged again when the session is reopened."
            ));
        }
        if let Some(failure) = &taken.failure {
            if !self.recorder.has_failed() {
                let place = folder_told(&self.folder);
                self.tell(format!(
                    "NOT RECORDED: {failure}; {place}. {}",
                    failure.hint()
                ));
            }
            self.cause = Some((failure.reason(), failure.hint().to_owned()));
            self.is_changed = true;
        }
        // More may wait than before, without a new failure.
        self.is_changed |= self.recorder.has_failed();
    }

    fn tell(&mut self, text: String) {
        self.message = Some(Message {
            after: self.recorder.head().seq,
            number: self.message.as_ref().map_or(0, |last| last.number) + 1,
            text,
        });
        self.is_changed = true;
    }

    /// Goes on in a continuation, in the session's folder or elsewhere. Whether something more is
    /// recorded now.
    fn retry(&mut self, now: Moment) -> bool {
        let mut progress = false;
        for folder in continuation_folders(&self.folder) {
            // Why it failed at first says more than why each further try did.
            let gone_on = continue_recording(&mut self.recorder, &self.folder, &folder, now);
            if let Ok((taken, path)) = gone_on {
                self.folder = folder;
                progress |= !taken.recorded.is_empty();
                self.shown(taken);
                self.tell(format!("Recording goes on in {}.", path.display()));
            }
            if !self.recorder.has_failed() {
                progress = true;
                break;
            }
        }
        self.retry.tried(progress, now.mono_ms);
        progress
    }

    /// Tries for as long as that brings something more to the disk.
    fn retry_to_the_end(&mut self) {
        while self.recorder.has_failed() {
            if !self.retry(self.inbox.clock().now()) {
                break;
            }
        }
    }

    /// Closes the record. A reading that still waits for an answer is set aside first, so that
    /// those behind it are judged.
    fn close(&mut self, moment: Moment, reason: String) {
        self.retry_to_the_end();
        while self.recorder.state().bench().held.is_some() && !self.recorder.has_failed() {
            let reason = "not answered before the session was closed".to_owned();
            let belongs = false;
            let answer = Command::AnswerHeld { belongs, reason };
            let before = self.recorder.head();
            self.take(vec![(moment, Incoming::Command(answer))]);
            if self.recorder.head() == before {
                break;
            }
        }
        let reason = if reason.is_empty() {
            close_reason(self.recorder.state()).to_owned()
        } else {
            reason
        };
        self.take(vec![(moment, Incoming::Command(Command::Close { reason }))]);
        self.retry_to_the_end();
    }

    fn publish(&mut self, stage: &Stage) {
        if std::mem::take(&mut self.is_changed) {
            stage.show(self.snapshot());
        }
    }

    pub(super) fn snapshot(&self) -> Snapshot {
        let journal = self.recorder.journal().to_owned();
        Snapshot {
            state: self.recorder.state().clone(),
            batch: self.batch.brief(),
            path: self.folder.path().join(&journal).display().to_string(),
            journal,
            head: self.recorder.head().seq,
            unrecorded: self.unrecorded(),
            message: self.message.clone(),
            is_playing: self.wired.hand.is_some().then_some(self.is_playing),
            taps: self.wired.taps(),
            now_ms: self.inbox.clock().now().mono_ms,
            ended: None,
        }
    }

    /// The readings that wait in memory, as they came, oldest first.
    fn unwritten_readings(&self) -> Vec<&[u8]> {
        let all = self.recorder.unwritten().iter();
        let raw = all.filter_map(|one| match &one.incoming {
            Incoming::Reading(reading) => Some(reading.raw.as_slice()),
            Incoming::Taken(both) => Some(both.0.raw.as_slice()),
            Incoming::Notice(_) | Incoming::Command(_) => None,
        });
        raw.collect()
    }

    fn unrecorded(&self) -> Option<Unrecorded> {
        if !self.recorder.has_failed() {
            return None;
        }
        let (cause, hint) = self.cause.clone().unwrap_or_default();
        let waiting = self.unwritten_readings();
        let newest = waiting.iter().rev().take(UNRECORDED_SHOWN);
        let text = |raw: &&[u8]| unrecorded_text(raw);
        Some(Unrecorded {
            cause,
            hint,
            count: waiting.len(),
            readings: newest.map(text).collect(),
        })
    }

    /// After a fault of the program: the session as the disk has it, and then the readings that
    /// were at hand and are not there. A journal that had failed is left alone, and so is what
    /// waits in memory.
    ///
    /// # Errors
    /// A sentence, when the session cannot go on.
    pub(super) fn after_fault(mut self) -> Result<Self, String> {
        self.faults += 1;
        if self.faults > FAULTS_MAX {
            self.inbox.shut_down();
            let path = self.folder.path().join(self.recorder.journal());
            return Err(format!(
                "The program failed {FAULTS_MAX} times and more, and nothing more is recorded. \
                 Take the session up again: {}.",
                path.display()
            ));
        }
        if !self.recorder.has_failed() {
            self = self.taken_up_again()?;
        }
        self.tell(
            "The program failed while it took something in. The readings are recorded, and more \
             can be measured."
                .to_owned(),
        );
        Ok(self)
    }

    fn taken_up_again(self) -> Result<Self, String> {
        let Self {
            recorder,
            folder,
            mut inbox,
            at_hand: (batch, before),
            ..
        } = self;
        let name = recorder.journal().to_owned();
        // Lets the file's lock go.
        drop(recorder);
        let continued = |first: &str, attempt| continuation_name(first, &name, attempt);
        let program = super::begin::PROGRAM;
        let now = inbox.clock().now();
        let resumed = resume_session(&folder, &name, continued, program, |_, _| now);
        let recorder = match resumed {
            Ok(resumed) => resumed.recorder,
            Err(error) => {
                inbox.shut_down();
                return Err(format!(
                    "The program failed, and the session could not be taken up again: {error}"
                ));
            }
        };
        let mut kept = recorder.state().readings().len().saturating_sub(before);
        let is_missing = |(_, incoming): &(Moment, Incoming)| match incoming {
            Incoming::Reading(_) | Incoming::Taken(_) if kept > 0 => {
                kept -= 1;
                false
            }
            Incoming::Reading(_) | Incoming::Taken(_) => true,
            Incoming::Notice(_) | Incoming::Command(_) => false,
        };
        let missing = batch.into_iter().filter(is_missing).collect();
        let mut again = Self {
            batch: BatchWatch::of(recorder.state()),
            recorder,
            folder,
            inbox,
            at_hand: (Vec::new(), 0),
            ..self
        };
        again.take(missing);
        Ok(again)
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::LiveLoop;
    use crate::gauge::GaugeId;
    use crate::session::{Begin, Incoming, Wanted, What, Workspace, prepare, typed_reading};

    #[test]
    fn what_was_at_hand_in_a_fault_is_recorded_once() {
        let place = tempfile::tempdir().unwrap();
        let begin = Begin::new(What::Callouts(vec!["20 k6".to_owned()]));
        let workspace = Workspace::locate(Some(place.path()));
        let mut running = LiveLoop::new(prepare(&begin, &workspace).unwrap());
        let now = running.inbox.clock().now();
        let reading = |text: &str| {
            let reading = typed_reading(text, &GaugeId::new("typed"), Wanted::Length).unwrap();
            (now, Incoming::Reading(reading))
        };
        running.take(vec![reading("20.003")]);
        // Two of these come to the disk, and then the program fails.
        let batch = ["20.004", "20.005", "20.006", "20.007"]
            .map(reading)
            .to_vec();
        running.at_hand = (batch.clone(), 1);
        drop(running.recorder.take(batch[..2].to_vec()));
        let running = running.after_fault().unwrap();
        let journal = Path::new(&running.snapshot().path).to_owned();
        let text = std::fs::read_to_string(journal).unwrap();
        let hexadecimal = |text: &str| text.bytes().map(|b| format!("{b:02x}")).collect::<String>();
        for value in ["20.003", "20.004", "20.005", "20.006", "20.007"] {
            let raw = format!("\"raw\":\"{}\"", hexadecimal(value));
            assert_eq!(text.matches(&raw).count(), 1, "{value}");
        }
        assert!(running.snapshot().message.is_some());
    }
}
