//! The main job without a window: readings come in, verdicts go out, the record is kept.
//!
//! One loop, the only writer: it drains the queue, lets the recorder take it, and shows what is
//! on the disk. Readers of ports and of standard input run beside it.

use std::io::IsTerminal;
use std::time::Duration;

use super::InspectArguments;
use super::exit::Exit;
use super::inspect_setup::{Prepared, prepare};
use super::inspect_show::Show;
use super::inspect_typed::{KEYS, Typed, typed_line};
use super::inspect_wiring::Wired;
use super::output::{Output, Stopped};
use super::problem::Problem;
use crate::journal::{DiskFolder, Event, Moment, WriterError};
use crate::session::{
    Arrival, Command, Inbox, Incoming, LineFault, Move, PartState, Recorder, State, Taken,
    Workspace, sight,
};

const CAUTION: &str = "Stop the spindle and keep hands and gauges clear before measuring.";
/// How long the loop waits before it looks whether something is due.
const TICK: Duration = Duration::from_millis(100);
/// Pause between two moves of the simulated hand when a person looks on (chosen).
const DEMO_PACE: Duration = Duration::from_millis(350);
/// A failed journal is not tried again sooner (chosen).
const RETRY_AFTER_MS: u64 = 2_000;
/// The simulated hand gives up after so many moves without a new part (a plan may ask for what it
/// cannot play).
const MOVES_MAX: u32 = 2_000;

/// Runs an inspection to its end.
pub(super) fn run(
    arguments: &InspectArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    match prepare(arguments, workspace, out) {
        Ok(prepared) => Inspection::new(prepared, arguments).run(out),
        Err(problem) if arguments.json => out.json_problem("inspect", &problem),
        Err(problem) => {
            out.complain(&problem);
            Ok(())
        }
    }
}

struct Inspection {
    recorder: Recorder<DiskFolder>,
    folder: DiskFolder,
    inbox: Inbox,
    wired: Wired,
    show: Show,
    /// A person answers at a terminal.
    is_attended: bool,
    /// The gauge of typed readings.
    typed_gauge: String,
    /// The last event that answered a reading, for the simulated hand.
    last_answer: Option<Event>,
    moves: u32,
    retried_at_ms: u64,
    continuations: u32,
    ended: bool,
    failed: bool,
}

impl Inspection {
    fn new(prepared: Prepared, arguments: &InspectArguments) -> Self {
        let typed_gauge = prepared.wired.typed_gauge.clone();
        Self {
            recorder: prepared.recorder,
            folder: prepared.folder,
            inbox: prepared.inbox,
            wired: prepared.wired,
            show: Show {
                json: arguments.json,
            },
            is_attended: std::io::stdin().is_terminal() && !arguments.json,
            typed_gauge,
            last_answer: None,
            moves: 0,
            retried_at_ms: 0,
            continuations: 0,
            ended: false,
            failed: false,
        }
    }

    fn run(mut self, out: &mut Output) -> Result<(), Stopped> {
        let done = self.work(out);
        // Whatever ends the loop, the record is closed if it can be, and the readers are stopped.
        let closed = self.close(out);
        let Self {
            recorder,
            folder,
            inbox,
            show,
            failed,
            ..
        } = self;
        inbox.shut_down();
        done?;
        closed?;
        if failed {
            out.note(Exit::OutsideFailed);
        }
        let all_go = recorder
            .state()
            .parts()
            .iter()
            .all(|part| part.state() == PartState::Go);
        if !all_go {
            out.note(Exit::NotGood);
        }
        let path = folder.path().join(recorder.journal());
        let head = recorder.head().hash.to_string();
        show.ended(&path.display().to_string(), head, recorder.state(), out)
    }

    fn work(&mut self, out: &mut Output) -> Result<(), Stopped> {
        if !self.show.json {
            out.message(CAUTION);
        }
        let begun = self.inbox.clock().now();
        let first = self
            .wired
            .begin(&self.inbox, &self.recorder)
            .map_err(Stopped::Failed)?;
        let first = first
            .into_iter()
            .map(|incoming| (begun, incoming))
            .collect();
        self.take(first, out)?;
        self.prompt(out)?;
        while !self.ended && !self.recorder.state().is_closed() {
            let wait = if self.wired.simulated.is_some() {
                Duration::ZERO
            } else {
                TICK
            };
            let batch = self.inbox.next_batch(wait);
            if batch.is_empty() {
                self.simulate(out)?;
            } else {
                self.arrive(batch, out)?;
            }
            self.retry(out)?;
            self.end_when_done();
        }
        Ok(())
    }

    /// Takes what has arrived. A line is read in the light of what came before it.
    fn arrive(&mut self, batch: Vec<Arrival>, out: &mut Output) -> Result<(), Stopped> {
        let mut ready: Vec<(Moment, Incoming)> = Vec::new();
        for arrival in batch {
            match arrival {
                Arrival::Incoming(moment, incoming) => ready.push((moment, incoming)),
                Arrival::Line(moment, line) => {
                    self.take(std::mem::take(&mut ready), out)?;
                    self.line(moment, line, out)?;
                }
                Arrival::LinesEnded => {
                    self.take(std::mem::take(&mut ready), out)?;
                    self.ended |= self.wired.ends_with_input;
                }
                Arrival::Interrupted => self.ended = true,
            }
            if self.ended || self.recorder.state().is_closed() {
                break;
            }
        }
        self.take(ready, out)
    }

    fn line(
        &mut self,
        moment: Moment,
        line: Result<String, LineFault>,
        out: &mut Output,
    ) -> Result<(), Stopped> {
        let text = match line {
            Ok(text) => text,
            Err(fault) => return self.refuse("", &line_problem(fault), out),
        };
        let state = self.recorder.state();
        let target = state
            .current_target()
            .or((state.parts().is_empty()).then_some(0));
        let target = target.and_then(|target| state.setup().targets.get(target));
        let is_angle = target.is_some_and(|target| target.is_angle());
        match typed_line(&text, &self.typed_gauge, is_angle) {
            Ok(Typed::Incoming(incoming)) => {
                let is_reading = matches!(incoming, Incoming::Reading(_));
                if is_reading && !self.wired.takes_typed {
                    return self.refuse(&text, &not_typed(), out);
                }
                self.take(vec![(moment, incoming)], out)?;
            }
            Ok(Typed::ToggleCutting) => {
                let on = !self.recorder.state().bench().cutting;
                self.take(
                    vec![(moment, Incoming::Command(Command::SwitchCutting(on)))],
                    out,
                )?;
            }
            Ok(Typed::Gauge(gauge)) => self.typed_gauge = gauge,
            Ok(Typed::Help) => out.message(KEYS),
            Err(problem) => return self.refuse(&text, &problem, out),
        }
        self.prompt(out)
    }

    fn refuse(&mut self, input: &str, problem: &Problem, out: &mut Output) -> Result<(), Stopped> {
        if self.show.json {
            return out.json_problem(input, problem);
        }
        if self.is_attended && problem.exit == Exit::BadInput {
            // A slip of the keyboard is answered by typing again; it is no bad end.
            out.message(&problem.told());
        } else {
            out.complain(problem);
        }
        Ok(())
    }

    /// Lets the recorder take a batch, and shows what is on the disk then.
    fn take(&mut self, batch: Vec<(Moment, Incoming)>, out: &mut Output) -> Result<(), Stopped> {
        if batch.is_empty() {
            return Ok(());
        }
        let taken = self.recorder.take(batch);
        self.shown(taken, out)?;
        self.answer_held(out)
    }

    fn shown(&mut self, taken: Taken, out: &mut Output) -> Result<(), Stopped> {
        for recorded in &taken.recorded {
            if answers_reading(&recorded.event) {
                self.last_answer = Some(recorded.event.clone());
            } else if starts_anew(&recorded.event) {
                self.last_answer = None;
            }
            self.show.recorded(recorded, self.recorder.state(), out)?;
        }
        for (command, refusal) in &taken.refused {
            let hint = Some(refusal.hint());
            let problem = Problem::bad(refusal.code(), refusal.to_string(), hint);
            let input = format!("{command:?}");
            self.refuse(&input, &problem, out)?;
        }
        for sequence in &taken.undecided {
            let message = format!("The program failed while judging line {sequence}.");
            let hint = "The reading is recorded; it is judged again when the session is reopened.";
            let problem = Problem::bad("judging_failed", message, Some(hint));
            self.refuse(&format!("line {sequence}"), &problem, out)?;
        }
        if let Some(failure) = &taken.failure {
            self.not_recorded(failure, out)?;
        }
        Ok(())
    }

    /// Nobody can answer without a terminal: a held reading is then set aside, and that is said.
    fn answer_held(&mut self, out: &mut Output) -> Result<(), Stopped> {
        while !self.is_attended
            && self.wired.simulated.is_none()
            && self.recorder.state().bench().held.is_some()
        {
            let answer = Command::AnswerHeld {
                belongs: false,
                reason: String::new(),
            };
            let now = self.inbox.clock().now();
            let taken = self.recorder.take(vec![(now, Incoming::Command(answer))]);
            let stuck = taken.recorded.is_empty();
            self.shown(taken, out)?;
            if stuck {
                break;
            }
        }
        Ok(())
    }

    /// The next move of the simulated hand, if there is one.
    fn simulate(&mut self, out: &mut Output) -> Result<(), Stopped> {
        let Some(simulated) = &mut self.wired.simulated else {
            return Ok(());
        };
        let view = sight(self.recorder.state(), self.last_answer.as_ref());
        let now = self.inbox.clock().now();
        let batch = match simulated.hand.next_move(&view) {
            Move::Send(bytes) => simulated.readings(&bytes, view.gauge.as_ref(), now.mono_ms),
            Move::Cutting(on) => vec![Incoming::Command(Command::SwitchCutting(on))],
            Move::SetHeldAside => {
                let reason = "the gauge was tilted".to_owned();
                vec![Incoming::Command(Command::AnswerHeld {
                    belongs: false,
                    reason,
                })]
            }
            Move::Void { reading, reason } => vec![Incoming::Command(Command::VoidReading {
                reading: Some(reading),
                reason: reason.to_owned(),
            })],
            Move::ChangeTool => {
                vec![Incoming::Command(Command::ChangeTool {
                    note: "worn insert".to_owned(),
                })]
            }
            Move::NextPart if self.recorder.state().has_parts_left() => {
                self.moves = 0;
                vec![Incoming::Command(Command::StartNextPart)]
            }
            Move::NextPart => {
                self.ended = true;
                return Ok(());
            }
        };
        self.moves += 1;
        self.ended |= self.moves > MOVES_MAX;
        self.take(
            batch.into_iter().map(|incoming| (now, incoming)).collect(),
            out,
        )?;
        if self.wired.is_paced {
            std::thread::sleep(DEMO_PACE);
        }
        Ok(())
    }

    /// After a failure the session goes on in a continuation, as soon as one can be made.
    fn retry(&mut self, out: &mut Output) -> Result<(), Stopped> {
        let now = self.inbox.clock().now();
        let due = now.mono_ms >= self.retried_at_ms.saturating_add(RETRY_AFTER_MS);
        if !self.recorder.has_failed() || !(due || self.retried_at_ms == 0) {
            return Ok(());
        }
        self.retried_at_ms = now.mono_ms.max(1);
        self.continuations += 1;
        let stem = self
            .recorder
            .journal()
            .trim_end_matches(".jsonl")
            .to_owned();
        let name = format!("{stem}-{}.jsonl", self.continuations + 1);
        for folder in [self.folder.clone(), rescue_folder()] {
            match self.recorder.continue_in(&folder, &name, now) {
                Ok(taken) => {
                    let path = folder.path().join(&name);
                    out.message(&format!("Recording goes on in {}.", path.display()));
                    self.folder = folder;
                    self.shown(taken, out)?;
                    return Ok(());
                }
                Err(error) => out.message(&error.to_string()),
            }
        }
        // A simulated hand that nobody watches has taken no reading that must wait for a disk.
        self.ended |= self.wired.simulated.is_some() && !self.is_attended;
        Ok(())
    }

    fn not_recorded(&mut self, failure: &WriterError, out: &mut Output) -> Result<(), Stopped> {
        self.failed = true;
        let waiting = self.recorder.unwritten().len();
        let message = format!("NOT RECORDED ({waiting} waiting): {failure}");
        let problem = Problem::outside(failure.code(), message, Some(failure.hint()));
        self.refuse("", &problem, out)
    }

    fn end_when_done(&mut self) {
        let state = self.recorder.state();
        let settled = state.current_part().is_some() && state.current_target().is_none();
        let waiting = state.bench().held.is_some() || !self.recorder.unwritten().is_empty();
        // A person may still void the last reading; without one the work is done.
        self.ended |= settled && !state.has_parts_left() && !waiting && !self.is_attended;
    }

    fn prompt(&self, out: &mut Output) -> Result<(), Stopped> {
        if !self.is_attended {
            return Ok(());
        }
        self.show.next(self.recorder.state(), out)
    }

    fn close(&mut self, out: &mut Output) -> Result<(), Stopped> {
        if self.recorder.state().is_closed() {
            return Ok(());
        }
        let reason = close_reason(self.recorder.state()).to_owned();
        let now = self.inbox.clock().now();
        let closing = Incoming::Command(Command::Close { reason });
        let mut batch: Vec<(Moment, Incoming)> = Vec::new();
        if self.recorder.state().bench().held.is_some() {
            let reason = "not answered before the session was closed".to_owned();
            let answer = Command::AnswerHeld {
                belongs: false,
                reason,
            };
            batch.push((now, Incoming::Command(answer)));
        }
        batch.push((now, closing));
        self.take(batch, out)
    }
}

fn close_reason(state: &State) -> &'static str {
    match state.current_target() {
        None if !state.parts().is_empty() => "all that was at hand has been measured",
        _ => "ended by the user or the end of input",
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

/// Where a session goes on when its own folder fails.
fn rescue_folder() -> DiskFolder {
    DiskFolder::new(std::env::temp_dir())
}

fn line_problem(fault: LineFault) -> Problem {
    match fault {
        LineFault::TooLong => Problem::bad(
            "line_too_long",
            "The line is too long to be a reading.".to_owned(),
            Some("Give one value a line."),
        ),
        LineFault::NotText => Problem::bad(
            "line_not_text",
            "The line is not UTF-8 text.".to_owned(),
            Some("Give values as plain text."),
        ),
    }
}

fn not_typed() -> Problem {
    Problem::bad(
        "no_typed_gauge",
        "Readings come from the gauge here, not from the keyboard.".to_owned(),
        Some("Start with --gauge typed, or --gauge ID=typed, to type readings."),
    )
}
