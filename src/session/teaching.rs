//! Teaching an adapter, step by step: what is to be asked next, what was heard, what is known.
//!
//! A state machine for the command line and the window alike. Whoever drives it shows
//! [`Teaching::prompt`], listens as it says ([`super::listen_press`] does, on any port) and gives
//! back what came ([`Teaching::heard`]) or what the user answered ([`Teaching::answer`]). No
//! clock, no port, no thread here: the listener is given both.

use std::collections::VecDeque;

use crate::gauge::Date;
use crate::quantity::Length;
use crate::wire::{
    Adapter, Lesson, Likeness, LineSettings, Pin, Press, Role, Taught, Trigger, draft_file,
    likeness, line_text, lines_to_try, teach,
};

/// What is to be done next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Prompt {
    /// For the user, one or two sentences.
    pub sentence: String,
    /// What is awaited.
    pub awaited: Awaited,
}

/// What a prompt waits for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Awaited {
    /// Bytes: listen with these settings, and ask the gauge so if it must be asked.
    Bytes {
        /// How the line is set.
        line: LineSettings,
        /// What is sent before listening, if anything.
        trigger: Trigger,
        /// Whether the user must first say that the gauge is ready.
        ready_first: bool,
        /// Whether the gauge is expected to say nothing.
        quiet: bool,
    },
    /// Yes or no.
    Answer,
    /// Nothing: there is an adapter, or there will be none.
    End,
}

/// Where the routine is.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Stage {
    /// Whether the gauge sends by itself.
    Quiet,
    /// The first size, at one line setting after the other.
    Search,
    /// Whether the next way to make a silent gauge speak may be tried.
    MaySpeak,
    /// The other presses.
    Press(Role),
    /// Whether an optional press is made.
    May(Role),
    End,
}

/// A teaching that goes on.
#[derive(Debug, Clone)]
pub struct Teaching {
    lesson: Lesson,
    sizes: Vec<Length>,
    confirm: Length,
    lines: Vec<LineSettings>,
    at: usize,
    /// The readable settings that did not agree; the last resort of the search.
    readable: Option<LineSettings>,
    /// Settings that were left after several sizes.
    left: Vec<LineSettings>,
    /// Requests that the user named, tried before anything is guessed.
    named: VecDeque<Trigger>,
    ways: VecDeque<Way>,
    /// Resting states of DTR and RTS that are tried now.
    resting: (bool, bool),
    todo: VecDeque<Role>,
    stage: Stage,
    streams: bool,
    heard_any: bool,
    skipped: Vec<&'static str>,
}

impl Teaching {
    /// Teaching on these sizes (at least one); `confirm` is measured last and must be a fresh one.
    /// `only` is the line's setting where it is known.
    pub fn new(
        sizes: &[Length],
        confirm: Length,
        error: Length,
        only: Option<LineSettings>,
    ) -> Self {
        let lines = only.map_or_else(lines_to_try, |line| vec![line]);
        Self {
            lesson: Lesson {
                presses: Vec::new(),
                trigger: Trigger::Unsolicited,
                error,
            },
            sizes: sizes.to_vec(),
            confirm,
            lines,
            at: 0,
            readable: None,
            left: Vec::new(),
            named: VecDeque::new(),
            ways: ways(),
            resting: (true, true),
            todo: VecDeque::new(),
            stage: Stage::Quiet,
            streams: false,
            heard_any: false,
            skipped: Vec::new(),
        }
    }

    /// Asks a gauge that does not send by itself with these bytes, one request after the other,
    /// before other ways are tried. Whoever names them gives leave to send them.
    #[must_use]
    pub fn asking_with(mut self, requests: Vec<Vec<u8>>) -> Self {
        self.named = requests.iter().map(|send| request(send)).collect();
        let named = &self.named;
        self.ways
            .retain(|way| !matches!(way, Way::Ask(ask) if named.contains(ask)));
        self
    }

    /// What is to be done next.
    pub fn prompt(&self) -> Prompt {
        let bytes = |quiet| match self.line() {
            None => Awaited::End,
            Some(line) => Awaited::Bytes {
                line,
                trigger: self.lesson.trigger.clone(),
                ready_first: self.streams || self.asks(),
                quiet,
            },
        };
        let (sentence, awaited) = match &self.stage {
            Stage::Quiet => (
                "Do not touch the gauge for a moment: does it send by itself?".to_owned(),
                bytes(true),
            ),
            Stage::Search => {
                let (at, line) = (self.at + 1, self.line().map(line_text).unwrap_or_default());
                let place = self.measure(Role::Size(self.first_size()));
                (
                    format!("{place} (setting {line}, {at} of {})", self.lines.len()),
                    bytes(false),
                )
            }
            Stage::MaySpeak => (self.way_sentence(), Awaited::Answer),
            Stage::Press(role) => (self.measure(*role), bytes(false)),
            Stage::May(role) => (may_sentence(*role), Awaited::Answer),
            Stage::End => (self.end_sentence(), Awaited::End),
        };
        Prompt { sentence, awaited }
    }

    /// What came, cut at pauses; nothing when nothing came in time.
    pub fn heard(&mut self, chunks: Vec<Vec<u8>>) {
        let nothing = chunks.iter().all(Vec::is_empty);
        self.heard_any |= !nothing;
        match self.stage.clone() {
            Stage::Quiet => {
                self.streams = !nothing;
                if self.streams {
                    self.lesson.trigger = Trigger::Stream;
                } else if let Some(way) = self.named.pop_front() {
                    self.lesson.trigger = way;
                }
                self.stage = Stage::Search;
            }
            Stage::Search => self.searched(chunks),
            // A press that did not arrive is asked for again.
            Stage::Press(_) if nothing => {}
            Stage::Press(role) => {
                self.keep(role, chunks);
                self.pressed(role);
            }
            Stage::MaySpeak | Stage::May(_) | Stage::End => {}
        }
    }

    /// The answer to a question.
    pub fn answer(&mut self, yes: bool) {
        match (self.stage.clone(), yes) {
            (Stage::MaySpeak, true) => {
                match self.ways.pop_front() {
                    Some(Way::Rest(dtr, rts)) => self.resting = (dtr, rts),
                    Some(Way::Ask(ask)) => {
                        self.resting = (true, true);
                        self.lesson.trigger = ask;
                    }
                    None => {}
                }
                self.at = 0;
                self.stage = Stage::Search;
            }
            (Stage::MaySpeak, false) => {
                self.ways.pop_front();
                if self.ways.is_empty() {
                    self.stage = Stage::End;
                }
            }
            (Stage::May(role), true) => self.stage = Stage::Press(role),
            (Stage::May(role), false) => {
                self.skipped.push(match role {
                    Role::OtherUnit(_) => "the unit key",
                    _ => "a negative reading",
                });
                self.next();
            }
            _ => {}
        }
    }

    /// Everything that is known so far.
    pub fn finding(&self) -> Taught {
        teach(&self.lesson)
    }

    /// The adapter's file, once a fresh size has confirmed it.
    pub fn adapter_text(&self, name: &str, on: Date) -> Option<String> {
        let taught = self.finding();
        let draft = taught.draft.filter(|_| taught.confirmed)?;
        Some(draft_file(&draft, name, on, &self.confirm.to_mm()))
    }

    /// What was heard, for a file of captured bursts.
    pub fn lesson(&self) -> &Lesson {
        &self.lesson
    }

    /// Steps that the user left out.
    pub fn skipped(&self) -> &[&'static str] {
        &self.skipped
    }

    fn line(&self) -> Option<LineSettings> {
        let (dtr, rts) = self.resting;
        let line = *self.lines.get(self.at)?;
        Some(LineSettings {
            dtr: line.dtr && dtr,
            rts: line.rts && rts,
            ..line
        })
    }

    fn first_size(&self) -> Length {
        self.sizes.first().copied().unwrap_or(self.confirm)
    }

    fn asks(&self) -> bool {
        matches!(
            self.lesson.trigger,
            Trigger::Request { .. } | Trigger::LinePulse { .. }
        )
    }

    fn keep(&mut self, role: Role, chunks: Vec<Vec<u8>>) {
        if let Some(line) = self.line() {
            self.lesson.presses.push(Press { role, line, chunks });
        }
    }

    /// A press of the line search came, or did not.
    fn searched(&mut self, chunks: Vec<Vec<u8>>) {
        let (Some(line), role) = (self.line(), Role::Size(self.first_size())) else {
            self.stage = Stage::End;
            return;
        };
        let alone = Lesson {
            presses: vec![Press { role, line, chunks }],
            ..self.lesson.clone()
        };
        let like = likeness(&alone);
        self.lesson.presses.extend(alone.presses);
        let one_way = self.lines.len() == 1 && like > Likeness::Nothing;
        let several = self.sizes.len() > 1;
        if like == Likeness::Agrees || (like == Likeness::Readable && several) || one_way {
            self.readable = self.readable.or(Some(line));
            self.found_line();
        } else {
            self.next_line();
        }
    }

    fn next_line(&mut self) {
        self.at += 1;
        while self.line().is_some_and(|line| self.left.contains(&line)) {
            self.at += 1;
        }
        self.stage = if self.line().is_some() {
            Stage::Search
        } else if self.heard_any {
            Stage::End
        } else if let Some(way) = self.named.pop_front() {
            self.lesson.presses.clear();
            self.lesson.trigger = way;
            self.at = 0;
            Stage::Search
        } else if self.ways.is_empty() {
            Stage::End
        } else {
            self.lesson.presses.clear();
            Stage::MaySpeak
        };
    }

    /// The setting is worth the other presses: each size twice, then the optional ones.
    fn found_line(&mut self) {
        let again = Role::Size(self.first_size());
        let mut todo = VecDeque::from([again]);
        for size in self.sizes.iter().skip(1) {
            todo.extend([Role::Size(*size), Role::Size(*size)]);
        }
        let (least, largest) = (self.sizes.iter().min(), self.sizes.iter().max());
        if let (Some(least), Some(largest)) = (least, largest)
            && least < largest
        {
            let middle = self
                .sizes
                .get(self.sizes.len() / 2)
                .filter(|s| *s < largest);
            todo.push_back(Role::Zeroed {
                on: *largest,
                size: *middle.unwrap_or(least),
            });
        }
        if let Some(largest) = largest {
            todo.push_back(Role::OtherUnit(*largest));
        }
        todo.push_back(Role::Confirm(self.confirm));
        self.todo = todo;
        self.next();
    }

    fn next(&mut self) {
        self.stage = match self.todo.pop_front() {
            None => Stage::End,
            Some(role @ (Role::Zeroed { .. } | Role::OtherUnit(_))) => Stage::May(role),
            Some(role) => Stage::Press(role),
        };
    }

    /// After the sizes, a setting that does not explain them is left and the search goes on.
    fn pressed(&mut self, role: Role) {
        let sizes_done = !matches!(self.todo.front(), Some(Role::Size(_)));
        let last_size = matches!(role, Role::Size(_)) && sizes_done;
        let taught = last_size.then(|| self.finding());
        if let Some(taught) = taught.filter(|taught| taught.draft.is_none()) {
            let problem = taught.problem;
            let told = problem.is_some_and(|problem| problem.is_about_sizes());
            match self.line() {
                Some(line) if !told => {
                    self.left.push(line);
                    self.next_line();
                }
                _ => self.stage = Stage::End,
            }
            return;
        }
        self.next();
    }

    /// How the gauge is to be made to send.
    fn measure(&self, role: Role) -> String {
        let size = |length: Length| format!("{} mm", length.to_mm());
        let place = match role {
            Role::Size(of) => format!("Measure {}", size(of)),
            Role::Zeroed { on, size: of } => {
                format!("Zero the gauge on {}, then measure {}", size(on), size(of))
            }
            Role::OtherUnit(of) => {
                format!("Press the gauge's unit key once, then measure {}", size(of))
            }
            Role::Confirm(of) => {
                format!(
                    "Zero the gauge as usual, in its first unit, then measure {}",
                    size(of)
                )
            }
        };
        match self.streams || self.asks() {
            true => format!("{place} and hold still."),
            false => format!("{place} and press the data button."),
        }
    }

    fn way_sentence(&self) -> String {
        match self.ways.front() {
            Some(Way::Rest(dtr, rts)) => {
                let level = |on: &bool| if *on { "on" } else { "off" };
                format!(
                    "Nothing came. May DTR be {} and RTS be {} from here on? Many adapters take \
                     their power from them.",
                    level(dtr),
                    level(rts)
                )
            }
            Some(Way::Ask(Trigger::Request { send, .. })) => format!(
                "Nothing came. May {} be sent to the gauge? A byte may zero some gauges.",
                bytes_words(send)
            ),
            Some(Way::Ask(Trigger::LinePulse { pin, pulse_ms })) => format!(
                "Nothing came. May {} be pulsed for {pulse_ms} ms? Some adapters take their power \
                 from it.",
                match pin {
                    Pin::Dtr => "DTR",
                    Pin::Rts => "RTS",
                }
            ),
            _ => "Nothing came.".to_owned(),
        }
    }

    fn end_sentence(&self) -> String {
        let taught = self.finding();
        match (&taught.problem, taught.confirmed) {
            (None, true) => "The adapter is known and confirmed.".to_owned(),
            (None, false) => "The adapter is not confirmed.".to_owned(),
            (Some(problem), _) => format!("{problem} {}", problem.hint()),
        }
    }
}

fn may_sentence(role: Role) -> String {
    match role {
        Role::OtherUnit(_) => "Has the gauge a unit key that may be pressed now?".to_owned(),
        _ => "Can the gauge be zeroed on a size and read below zero?".to_owned(),
    }
}

fn request(send: &[u8]) -> Trigger {
    Trigger::Request {
        send: send.to_vec(),
        reply_ms: Adapter::REPLY_MS,
    }
}

/// One way to make a silent gauge speak.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Way {
    /// DTR and RTS rest so; the gauge is pressed as before.
    Rest(bool, bool),
    /// It is asked.
    Ask(Trigger),
}

/// What may make a silent gauge speak, in the order in which it is tried: resting states, bytes,
/// pulses.
fn ways() -> VecDeque<Way> {
    let pulse = |pin| Way::Ask(Trigger::LinePulse { pin, pulse_ms: 20 });
    let rests = [(true, false), (false, true), (false, false)];
    let rests = rests.map(|(dtr, rts)| Way::Rest(dtr, rts));
    let asked = [b"\r".as_slice(), b"R\r", b"\x05", b"?\r"];
    let asked = asked.map(|send| Way::Ask(request(send)));
    let pulses = [pulse(Pin::Dtr), pulse(Pin::Rts)];
    rests.into_iter().chain(asked).chain(pulses).collect()
}

fn bytes_words(bytes: &[u8]) -> String {
    let words: Vec<String> = bytes
        .iter()
        .map(|byte| match byte {
            0x0d => "CR".to_owned(),
            0x05 => "ENQ".to_owned(),
            byte if byte.is_ascii_graphic() => char::from(*byte).to_string(),
            byte => format!("{byte:02x}"),
        })
        .collect();
    words.join(" ")
}
