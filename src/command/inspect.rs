//! The main job without a window: readings come in, verdicts go out, the record is kept.
//!
//! One loop, the only writer: it drains the queue, lets the recorder take it, and shows what is
//! on the disk. Readers of ports and of standard input run beside it.

use std::io::IsTerminal;
use std::time::Duration;

use super::InspectArguments;
use super::exit::Exit;
use super::inspect_decide::DECISION_KEYS;
use super::inspect_rescue::Rescue;
use super::inspect_setup::{prepare, typed_lines};
use super::inspect_show::Show;
use super::inspect_typed::{KEYS, Typed, line_problem, not_typed, typed_line};
use super::output::{Output, Stopped};
use super::problem::Problem;
use crate::gauge::GaugeId;
use crate::journal::{DiskFolder, Moment};
use crate::session::{
    Arrival, Command, Inbox, Incoming, LineFault, Prepared, Recorder, State, Taken, Target, Told,
    Wanted, Wired, Workspace, Zero,
};

const CAUTION: &str = "Stop the spindle and keep hands and gauges clear before measuring.";
/// How long the loop waits before it looks whether something is due.
const TICK: Duration = Duration::from_millis(100);
/// Pause between two moves of the simulated hand when a person looks on (chosen).
const DEMO_PACE: Duration = Duration::from_millis(350);

/// Runs an inspection to its end.
pub(super) fn run(
    arguments: &InspectArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    match prepare(arguments, workspace, out) {
        Ok(prepared) => Inspection::new(prepared, arguments.json).run(out),
        Err(problem) => out.refuse(arguments.json, "inspect", &problem),
    }
}

pub(super) struct Inspection {
    pub(super) recorder: Recorder<DiskFolder>,
    pub(super) folder: DiskFolder,
    pub(super) inbox: Inbox,
    wired: Wired,
    show: Show,
    /// A person answers at a terminal.
    is_attended: bool,
    /// A person looks on at the simulated hand: not faster than the eye.
    is_paced: bool,
    /// The gauge of typed readings.
    typed_gauge: GaugeId,
    /// The typed line that is being carried out.
    line: String,
    /// What became of readings that could not be recorded.
    pub(super) rescue: Rescue,
    ended: bool,
    /// Only a gauge is checked: what is asked for it, until it is asked.
    about_gauge: Option<Command>,
    is_about_gauge: bool,
    /// No more lines are typed.
    lines_ended: bool,
    /// Why, when the operator ended it.
    pub(super) ended_because: Option<String>,
}

impl Inspection {
    /// A record that is only about a gauge.
    pub(super) fn of_gauge(prepared: Prepared, json: bool, ask: Option<Command>) -> Self {
        Self {
            is_about_gauge: true,
            about_gauge: ask,
            ..Self::new(prepared, json)
        }
    }

    pub(super) fn new(prepared: Prepared, json: bool) -> Self {
        let typed_gauge = GaugeId::new(&prepared.wired.typed_gauge);
        Self {
            recorder: prepared.recorder,
            folder: prepared.folder,
            inbox: prepared.inbox,
            wired: prepared.wired,
            show: Show { json },
            is_attended: std::io::stdin().is_terminal() && !json,
            is_paced: std::io::stdout().is_terminal() && !json,
            typed_gauge,
            line: String::new(),
            rescue: Rescue::default(),
            ended: false,
            about_gauge: None,
            is_about_gauge: false,
            lines_ended: false,
            ended_because: None,
        }
    }

    pub(super) fn run(self, out: &mut Output) -> Result<(), Stopped> {
        self.run_then(|_, _, _| Ok(()), out)
    }

    /// As [`Inspection::run`]; what `then` has to say comes before the last line.
    pub(super) fn run_then(
        mut self,
        then: impl FnOnce(&State, &str, &mut Output) -> Result<(), Stopped>,
        out: &mut Output,
    ) -> Result<(), Stopped> {
        let done = self.work(out);
        // Whatever ends the loop, the record is closed if it can be, and the readers are stopped.
        let closed = self.close(out);
        let Self {
            recorder,
            folder,
            mut inbox,
            show,
            rescue,
            is_about_gauge,
            ..
        } = self;
        inbox.shut_down();
        done?;
        closed?;
        if rescue.has_failed {
            out.note(Exit::OutsideFailed);
        }
        note_what_is_not_good(recorder.state(), is_about_gauge, out);
        then(recorder.state(), recorder.journal(), out)?;
        let path = folder.path().join(recorder.journal());
        let head = recorder.head().hash.to_string();
        show.ended(&path.display().to_string(), head, recorder.state(), out)
    }

    fn work(&mut self, out: &mut Output) -> Result<(), Stopped> {
        if !self.show.json {
            out.message(CAUTION);
        }
        let begun = self.inbox.clock().now();
        self.inbox.watch_interrupt();
        let first = self.wired.start(&self.inbox, &self.recorder);
        // Requests in one letter are read at a terminal beside every source but the simulated.
        let at_terminal = std::io::stdin().is_terminal();
        let has_keys = at_terminal && self.wired.hand.is_none();
        if self.wired.has_typed || has_keys || self.wired.can_be_asked() {
            let lines = self.inbox.read_lines(typed_lines());
            lines.map_err(Stopped::Failed)?;
        }
        let first = first
            .into_iter()
            .map(|incoming| (begun, incoming))
            .collect();
        // A session taken up again may hold readings that nothing has come of yet.
        let taken = self.recorder.take(first);
        self.shown(taken, out)?;
        if let Some(command) = self.about_gauge.take() {
            self.take(vec![(begun, Incoming::Command(command))], out)?;
            self.end_when_done();
        }
        self.answer_held(out)?;
        self.prompt(out)?;
        while !self.ended && !self.recorder.state().is_closed() {
            let wait = if self.wired.hand.is_some() {
                Duration::ZERO
            } else {
                TICK
            };
            let batch = self.inbox.next_batch(wait);
            if batch.is_empty() {
                // Nobody is left to ask, and nothing is awaited.
                let is_over = self.lines_ended && self.wired.is_only_asked();
                self.ended |= is_over && !self.wired.is_busy();
                self.simulate(out)?;
            } else {
                self.arrive(batch, out)?;
            }
            self.retry_when_due(out)?;
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
                    self.line.clear();
                }
                Arrival::LinesEnded => {
                    self.take(std::mem::take(&mut ready), out)?;
                    self.ended |= self.wired.is_only_typed;
                    self.lines_ended = true;
                }
                Arrival::Interrupted => self.ended = true,
                Arrival::Told(told) => {
                    self.take(std::mem::take(&mut ready), out)?;
                    self.told(&told, out)?;
                }
                // There is no window here.
                Arrival::Request(..) | Arrival::Seen => {}
            }
            if self.ended || self.recorder.state().is_closed() {
                break;
            }
        }
        let is_news = !ready.is_empty();
        self.take(ready, out)?;
        match is_news && self.is_guided() && !self.ended {
            true => self.prompt(out),
            false => Ok(()),
        }
    }

    /// A study is measured with a gauge's button: it is said what comes next, whoever typed.
    fn is_guided(&self) -> bool {
        let is_study = self.recorder.state().study().is_some();
        is_study && !self.wired.is_only_typed && self.wired.hand.is_none()
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
        self.line.clone_from(&text);
        if text.trim().is_empty() && self.wired.can_be_asked() {
            return self.ask_gauge(None, out);
        }
        let state = self.recorder.state();
        let target = state
            .current_target()
            .or((state.parts().is_empty()).then_some(0));
        let target = target.and_then(|target| state.setup().targets.get(target));
        let gauge = answered_by(state, target, &self.typed_gauge);
        let is_check = target.is_some_and(|target| target.check().is_some());
        let is_held = state.bench().held.is_some();
        // A zero is a length, whatever the characteristic at hand takes.
        let is_zero = state.zeros().all_asked().next().is_some();
        let wanted = if is_zero {
            Wanted::Length
        } else {
            Wanted::of(target)
        };
        let typed = typed_line(&text, &gauge, wanted, is_held);
        match typed.and_then(|typed| typed.of_known_gauge(state.setup())) {
            Ok(Typed::Incoming(Incoming::Command(Command::Close { reason }))) => {
                self.ended = true;
                self.ended_because = Some(reason);
                return Ok(());
            }
            Ok(Typed::Incoming(incoming)) => {
                let is_reading = matches!(incoming, Incoming::Reading(_));
                // No line of a port tells what a plug did: that is always said by hand.
                if is_reading && !self.wired.has_typed && !is_check {
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
            Ok(Typed::Take(Some(gauge))) => return self.take_of(&gauge, moment, out),
            Ok(Typed::Take(None)) => return self.ask_gauge(None, out),
            Ok(Typed::Gauge(gauge)) => self.typed_gauge = gauge,
            Ok(Typed::Help) => {
                out.message(KEYS);
                out.message(DECISION_KEYS);
            }
            Err(problem) => return self.refuse(&text, &problem, out),
        }
        self.prompt(out)
    }

    /// Asks a gauge for a value, or ends the sweep that goes on.
    fn ask_gauge(&mut self, gauge: Option<&GaugeId>, out: &mut Output) -> Result<(), Stopped> {
        match self.wired.ask(self.recorder.state(), gauge) {
            Ok(()) => Ok(()),
            Err(told) => self.told(&told, out),
        }
    }

    /// A value of a gauge by its name, which is remembered where several could be meant.
    fn take_of(
        &mut self,
        gauge: &GaugeId,
        moment: Moment,
        out: &mut Output,
    ) -> Result<(), Stopped> {
        if let Some(command) = self.wired.naming(self.recorder.state(), gauge) {
            self.take(vec![(moment, Incoming::Command(command))], out)?;
        }
        self.ask_gauge(Some(gauge), out)
    }

    /// What a gauge that was asked has to say, beside its readings.
    fn told(&mut self, told: &Told, out: &mut Output) -> Result<(), Stopped> {
        let Some(code) = told.code else {
            out.message(&told.text);
            return Ok(());
        };
        // The record says what is missing; the line is no bad end by itself.
        let problem = Problem {
            exit: Exit::Answered,
            ..Problem::bad(code, told.text.clone(), None)
        };
        self.refuse("take", &problem, out)
    }

    pub(super) fn refuse(
        &mut self,
        input: &str,
        problem: &Problem,
        out: &mut Output,
    ) -> Result<(), Stopped> {
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
    pub(super) fn take(
        &mut self,
        batch: Vec<(Moment, Incoming)>,
        out: &mut Output,
    ) -> Result<(), Stopped> {
        if batch.is_empty() {
            return Ok(());
        }
        let taken = self.recorder.take(batch);
        self.shown(taken, out)?;
        self.answer_held(out)
    }

    pub(super) fn shown(&mut self, taken: Taken, out: &mut Output) -> Result<(), Stopped> {
        for recorded in &taken.recorded {
            if let Some(hand) = &mut self.wired.hand {
                hand.heard(&recorded.event);
            }
            self.show.recorded(recorded, self.recorder.state(), out)?;
        }
        for (command, refusal) in &taken.refused {
            let hint = Some(refusal.hint());
            let problem = Problem::bad(refusal.code(), refusal.to_string(), hint);
            // What was typed, where it was typed.
            let input = match self.line.as_str() {
                "" => command.word().to_owned(),
                line => line.to_owned(),
            };
            self.refuse(&input, &problem, out)?;
        }
        for sequence in &taken.undecided {
            let message = format!("The program failed while judging line {sequence}.");
            let hint = "The reading is recorded; it is judged again when the session is reopened.";
            let problem = Problem::bad("judging_failed", message, Some(hint));
            self.refuse(&format!("line {sequence}"), &problem, out)?;
        }
        self.tell_unrecorded(taken.failure.as_ref(), out)
    }

    /// Nobody can answer without a terminal: a held reading is then set aside, and that is said.
    pub(super) fn answer_held(&mut self, out: &mut Output) -> Result<(), Stopped> {
        while !self.is_attended
            && !self.recorder.has_failed()
            && self.wired.hand.is_none()
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
        let Some(hand) = &mut self.wired.hand else {
            return Ok(());
        };
        if self.recorder.has_failed() {
            // The hand waits until what it sent is recorded.
            std::thread::sleep(TICK);
            return Ok(());
        }
        let now = self.inbox.clock().now();
        let Some(batch) = hand.next_move(self.recorder.state(), now.mono_ms) else {
            self.ended = true;
            return Ok(());
        };
        self.take(
            batch.into_iter().map(|incoming| (now, incoming)).collect(),
            out,
        )?;
        if self.is_paced {
            std::thread::sleep(DEMO_PACE);
        }
        Ok(())
    }

    fn end_when_done(&mut self) {
        let state = self.recorder.state();
        if self.is_about_gauge {
            let is_asked = state.zeros().all_asked().next().is_some();
            self.ended |= !is_asked && self.recorder.unwritten().is_empty();
            return;
        }
        let settled = match state.study() {
            Some(study) => study.is_complete(),
            None => state.current_part().is_some() && state.current_target().is_none(),
        };
        let waiting = state.bench().held.is_some() || !self.recorder.unwritten().is_empty();
        // A person may still void the last reading, and each typed line gets its answer; without
        // either the work is done.
        let more_may_come = self.is_attended || self.wired.is_only_typed;
        let is_last = state.study().is_some() || !state.has_parts_left();
        self.ended |= settled && is_last && !waiting && !more_may_come;
    }

    /// A simulated hand that nobody watches has taken no reading that must wait for a disk.
    pub(super) fn end_unattended_play(&mut self) {
        self.ended |= self.wired.hand.is_some() && !self.is_attended;
    }

    fn prompt(&self, out: &mut Output) -> Result<(), Stopped> {
        if !self.is_attended && !self.is_guided() {
            return Ok(());
        }
        self.show.next(self.recorder.state(), out)
    }
}

/// What the exit code says of the parts that were measured and of the zeros that were checked.
fn note_what_is_not_good(state: &State, is_about_gauge: bool, out: &mut Output) {
    if !state.parts().iter().all(|part| part.state().is_good()) {
        out.note(Exit::NotGood);
    }
    // A check of a gauge and a study of one have no parts; elsewhere verdicts were asked for.
    if state.parts().is_empty() && !is_about_gauge && state.study().is_none() {
        out.note(Exit::NotGood);
        out.message("No part was measured: no reading came to a verdict.");
    }
    if let Some((gauge, _)) = state.zeros().all_asked().next() {
        out.note(Exit::NotGood);
        out.message(&format!(
            "The zero of {gauge} was not checked: no reading came."
        ));
    }
    let has_failed = |(_, checks): (_, &[Zero])| {
        let last = checks.last().filter(|zero| zero.line > 0);
        last.is_some_and(|zero| !zero.good && zero.reading > 0)
    };
    if state.zeros().all().any(has_failed) {
        out.note(Exit::NotGood);
    }
}

/// The gauge of a typed line that names none.
fn answered_by(state: &State, target: Option<&Target>, typed: &GaugeId) -> GaugeId {
    match target.filter(|target| target.check().is_some()) {
        Some(target) => state.setup().check_gauge(target, typed),
        None => typed.clone(),
    }
}
