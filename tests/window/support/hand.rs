//! A hand at the desk: presses go through the desk to a real recorder on a cruel disk.

use fitledger::journal::Event;
use fitledger::session::{Command, Incoming, Request, Snapshot, Tap};
use fitledger::window::desk::{Asked, Desk, Mode};
use fitledger::window::press::Press;

use super::bench::{Bench, typed};
use super::shown::snapshot;

pub(crate) struct Hand {
    pub(crate) bench: Bench,
    pub(crate) desk: Desk,
    /// What the session did not do itself.
    pub(crate) asked: Vec<Asked>,
    pub(crate) is_playing: Option<bool>,
    /// The lines of live gauges.
    pub(crate) taps: Vec<Tap>,
    pub(crate) refused: Vec<&'static str>,
}

impl Hand {
    pub(crate) fn at(bench: Bench) -> Self {
        let desk = Desk::default();
        Self {
            bench,
            desk,
            asked: Vec::new(),
            is_playing: None,
            taps: Vec::new(),
            refused: Vec::new(),
        }
    }

    /// The session as it is seen now.
    pub(crate) fn seen(&self) -> Snapshot {
        let mut seen = snapshot(&self.bench);
        seen.is_playing = self.is_playing;
        seen.taps.clone_from(&self.taps);
        seen
    }

    /// One press; what was recorded because of it.
    pub(crate) fn press(&mut self, press: Press) -> Vec<Event> {
        let seen = self.seen();
        let asked = self.desk.press(press, &seen);
        let mut events = Vec::new();
        for one in asked {
            let incoming = match one {
                Asked::Request(Request::Reading(reading)) => Incoming::Reading(reading),
                Asked::Request(Request::Command(command)) => Incoming::Command(command),
                other => {
                    self.asked.push(other);
                    continue;
                }
            };
            let taken = self.bench.take(vec![incoming]);
            let refused = taken.refused.iter();
            self.refused
                .extend(refused.map(|(_, refusal)| refusal.code()));
            events.extend(taken.recorded.into_iter().map(|one| one.event));
        }
        events
    }

    /// Keys one after another: characters as they stand on the keys, `⏎` Enter, `⌫` Backspace,
    /// `␛` Escape, `␣` the space bar, `↑` and `↓`. Answers the kinds of the events recorded.
    pub(crate) fn keys(&mut self, keys: &str) -> Vec<String> {
        let mut kinds = Vec::new();
        for key in keys.chars() {
            let press = match key {
                '⏎' => Press::Enter,
                '⌫' => Press::Backspace,
                '␛' => Press::Escape,
                '␣' => Press::Space,
                '↑' => Press::Up,
                '↓' => Press::Down,
                other => fitledger::window::keys::character_press(other),
            };
            kinds.extend(self.press(press).iter().map(|event| match event {
                Event::ReadingReceived(_) => "received".to_owned(),
                other => other.kind().to_owned(),
            }));
        }
        kinds
    }

    /// A gauge sends meanwhile.
    pub(crate) fn sends(&mut self, gauge: &str, text: &str) -> Vec<Event> {
        self.bench.events(gauge, text)
    }

    pub(crate) fn typed_text(&self) -> Option<&str> {
        match &self.desk.mode {
            Mode::Typing { text, .. } | Mode::Filling { text, .. } => Some(text),
            Mode::Measuring | Mode::Choosing(_) => None,
        }
    }

    pub(crate) fn fault(&self) -> &str {
        self.desk.fault.as_deref().unwrap_or_default()
    }

    /// Nothing was lost: a reading that a gauge sent is the last one of the record.
    pub(crate) fn count(&self) -> usize {
        self.bench.state().readings().len()
    }

    pub(crate) fn commands(asked: &[Asked]) -> Vec<&Command> {
        let commands = asked.iter().filter_map(|one| match one {
            Asked::Request(Request::Command(command)) => Some(command),
            _ => None,
        });
        commands.collect()
    }
}

pub(crate) fn reading(gauge: &str, text: &str) -> Incoming {
    Incoming::Reading(typed(gauge, text))
}
