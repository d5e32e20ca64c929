//! A teaching that goes on behind the window: prompts go out, presses come in, and each burst that
//! is heard goes to [`Teaching`]. It waits, so it runs apart from the frame; the port, the clock
//! and the disk are given to it.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};

use super::behind::lock;
use super::gauges_facts::TeachFacts;
use super::gauges_room::TeachPress;
use super::teach_setup::TeachOrder;
use super::view::counted;
use crate::gauge::Date;
use crate::session::{AskedPort, Awaited, Patience, Teaching, listen_press};
use crate::wire::{LineSettings, PortError, Trigger};

/// What a teaching needs of the outside.
pub trait TeachOutside {
    /// Opens the port of the order so.
    ///
    /// # Errors
    /// Why it is not open.
    fn open(&mut self, line: LineSettings) -> Result<Box<dyn AskedPort>, PortError>;
    /// A clock that only goes on, milliseconds.
    fn now_ms(&mut self) -> u64;
    /// The day; none when the clock is not to be believed.
    fn today(&mut self) -> Option<Date>;
    /// Keeps the adapter; over one that is there only if `replace` says so.
    fn keep(&mut self, name: &str, text: &str, replace: bool) -> Kept;
    /// There is something new to be shown.
    fn changed(&mut self);
}

/// What became of an adapter that was to be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kept {
    /// It is in that file.
    At(String),
    /// There is one of that name; it was left as it was.
    IsThere,
    /// Why it could not be written, in a sentence.
    Failed(String),
}

/// The window's end of a teaching. Dropped, it ends the teaching, and nothing is written.
pub struct TeachHandle {
    facts: Arc<Mutex<TeachFacts>>,
    said: Sender<TeachPress>,
    is_left: Arc<AtomicBool>,
}

impl TeachHandle {
    /// What it has come to.
    pub fn facts(&self) -> TeachFacts {
        lock(&self.facts).clone()
    }

    /// Says something to it; never waits.
    pub fn say(&self, press: TeachPress) {
        // One that has ended hears nothing, and needs nothing.
        drop(self.said.send(press));
    }
}

impl Drop for TeachHandle {
    fn drop(&mut self) {
        self.is_left.store(true, Ordering::Relaxed);
    }
}

/// The other end, for whatever goes through the routine.
pub struct TeachSide {
    facts: Arc<Mutex<TeachFacts>>,
    said: Receiver<TeachPress>,
    is_left: Arc<AtomicBool>,
}

/// Both ends of a teaching.
pub fn teach_ends() -> (TeachHandle, TeachSide) {
    let (said, hears) = channel();
    let facts = Arc::new(Mutex::new(TeachFacts {
        is_running: true,
        prompt: "The port is being opened.".to_owned(),
        ..TeachFacts::default()
    }));
    let is_left = Arc::new(AtomicBool::new(false));
    let handle = TeachHandle {
        facts: Arc::clone(&facts),
        said,
        is_left: Arc::clone(&is_left),
    };
    let side = TeachSide {
        facts,
        said: hears,
        is_left,
    };
    (handle, side)
}

/// The window has left the teaching.
struct Left;

/// A port, and how it is set.
type Open = Option<(LineSettings, Box<dyn AskedPort>)>;

struct Run<'a> {
    side: TeachSide,
    order: &'a TeachOrder,
    outside: &'a mut dyn TeachOutside,
    shown: TeachFacts,
}

impl TeachSide {
    /// Goes through the routine to its end, or until the window leaves it.
    pub fn run(self, order: &TeachOrder, outside: &mut dyn TeachOutside) {
        let mut run = Run {
            side: self,
            order,
            outside,
            shown: TeachFacts {
                is_running: true,
                ..TeachFacts::default()
            },
        };
        let mut teaching = Teaching::new(&order.sizes, order.confirm, order.error, None);
        if run.routine(&mut teaching).is_ok() {
            // Left while its end was told: nothing more is to be done.
            drop(run.end(&teaching));
        }
    }
}

impl Run<'_> {
    fn routine(&mut self, teaching: &mut Teaching) -> Result<(), Left> {
        let mut open: Open = None;
        loop {
            let prompt = teaching.prompt();
            match prompt.awaited {
                Awaited::End => return Ok(()),
                Awaited::Answer => {
                    let is_yes = self.asked(&prompt.sentence)?;
                    teaching.answer(is_yes);
                }
                Awaited::Bytes {
                    line,
                    trigger,
                    ready_first,
                    quiet,
                } => {
                    let patience = match ready_first || quiet {
                        true => Patience::REPLY,
                        false => Patience::PRESS,
                    };
                    let how = (line, &trigger, patience, ready_first);
                    match self.heard(&mut open, how, &prompt.sentence)? {
                        Ok(chunks) => {
                            self.shown.step += 1;
                            let count: usize = chunks.iter().map(Vec::len).sum();
                            let bytes = counted(count, "byte");
                            self.show(&format!("{bytes} came: working it out."));
                            teaching.heard(chunks);
                            self.found(teaching);
                        }
                        Err(error) => {
                            // It is opened again: it may have been unplugged.
                            open = None;
                            let sentence = format!("{error} Then press Enter.");
                            self.ready(&sentence)?;
                        }
                    }
                }
            }
        }
    }

    /// Opens the port where it is not open so, and listens for one press.
    fn heard(
        &mut self,
        open: &mut Open,
        (line, trigger, patience, ready_first): (LineSettings, &Trigger, Patience, bool),
        sentence: &str,
    ) -> Result<Result<Vec<Vec<u8>>, PortError>, Left> {
        if open.as_ref().is_none_or(|(own, _)| *own != line) {
            // The port is let go before it is opened again.
            *open = None;
            match self.outside.open(line) {
                Ok(port) => *open = Some((line, port)),
                Err(error) => return Ok(Err(error)),
            }
        }
        // Asked only now: what a gauge sends before its port is open is lost.
        match ready_first {
            true => self.ready(&format!("{sentence} Enter when it is ready."))?,
            false => self.show(sentence),
        }
        let Some((_, port)) = open else {
            return Err(Left);
        };
        let (outside, is_left) = (&mut *self.outside, &self.side.is_left);
        // Where the window has left, all time is over.
        let mut now_ms = || match is_left.load(Ordering::Relaxed) {
            true => u64::MAX,
            false => outside.now_ms(),
        };
        let heard = listen_press(&mut **port, trigger, patience, ready_first, &mut now_ms);
        match self.side.is_left.load(Ordering::Relaxed) {
            true => Err(Left),
            false => Ok(heard),
        }
    }

    /// What is known now.
    fn found(&mut self, teaching: &Teaching) {
        let taught = teaching.finding();
        self.shown.found = taught.found;
        self.shown.unknown = taught.unknown;
        self.shown.assumed = taught.assumed;
    }

    /// The adapter is kept, or it is told why there is none.
    fn end(&mut self, teaching: &Teaching) -> Result<(), Left> {
        self.found(teaching);
        let sentence = teaching.prompt().sentence;
        let text = match (teaching.finding().confirmed, self.outside.today()) {
            (true, None) => {
                return self.last("The computer's date is far off: set it, then teach again.");
            }
            (_, today) => today.and_then(|on| teaching.adapter_text(&self.order.name, on)),
        };
        let Some(text) = text else {
            return self.last(&format!("{sentence} Nothing is written."));
        };
        self.shown.adapter.clone_from(&text);
        let name = &self.order.name;
        let mut kept = self.outside.keep(name, &text, false);
        if kept == Kept::IsThere {
            let question = format!("{sentence} There is an adapter {name} already: replace it?");
            if !self.asked(&question)? {
                return self.last("The adapter that was there is left. Nothing is written.");
            }
            kept = self.outside.keep(name, &text, true);
        }
        match kept {
            Kept::At(file) => {
                self.shown.written = file;
                self.shown.usage = self.order.usage();
                self.last(&format!(
                    "{sentence} It is written: name it in gauges.toml."
                ))
            }
            Kept::IsThere => self.last("Nothing is written: the file is there already."),
            Kept::Failed(why) => self.last(&why),
        }
    }

    /// The last that is said.
    fn last(&mut self, sentence: &str) -> Result<(), Left> {
        self.shown.is_running = false;
        self.show(sentence);
        Ok(())
    }

    /// Waits until the user says that something is ready.
    fn ready(&mut self, sentence: &str) -> Result<(), Left> {
        self.forget();
        self.show(sentence);
        while self.said()? != TeachPress::GoOn {}
        Ok(())
    }

    /// A question.
    fn asked(&mut self, sentence: &str) -> Result<bool, Left> {
        self.forget();
        self.shown.asks_yes_or_no = true;
        self.show(sentence);
        let is_yes = loop {
            match self.said()? {
                TeachPress::Yes => break true,
                TeachPress::No => break false,
                _ => {}
            }
        };
        self.shown.asks_yes_or_no = false;
        Ok(is_yes)
    }

    /// What was pressed before a question was seen is no answer to it.
    fn forget(&self) {
        while self.side.said.try_recv().is_ok() {}
    }

    fn said(&self) -> Result<TeachPress, Left> {
        self.side.said.recv().map_err(|_| Left)
    }

    fn show(&mut self, sentence: &str) {
        sentence.clone_into(&mut self.shown.prompt);
        let shown = self.shown.clone();
        *lock(&self.side.facts) = shown;
        self.outside.changed();
    }
}
