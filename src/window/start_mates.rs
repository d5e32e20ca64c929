//! The step of the Start room after a plan whose mates other plans make: by its own class, or made
//! to suit a measured mate, out of the records or typed. Plans without such a pair have no such
//! step.
//!
//! A keypad alone is enough: Enter takes, `*` and `/` go through the list, digits type a size and
//! `+` its ±, Backspace erases and goes back.

use super::press::{NUM_LOCK_OFF, Press};
use super::start::{Start, StartAsked, StartFacts, StartFault};
use crate::session::{HalfParts, MateWanted, check_typed_mate};

/// Longest typed size, in characters.
const TYPED_MAX: usize = 40;
const PLUS_MINUS: char = '±';

/// What was said of one mate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MateAnswer {
    /// What goes with it is judged by its own class.
    Class,
    /// It is made to suit.
    Suit {
        /// As `--suit` takes it.
        suit: String,
        /// In words: `housing.toml#B, H-0101`.
        told: String,
    },
    /// It was not asked: its own mate is made to suit another one already.
    Skipped,
}

/// The mates of the plan, one after the other.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct MateSteps {
    /// The mates that the plan has.
    pub wanted: Vec<MateWanted>,
    /// What was said of those that were asked so far.
    pub answers: Vec<MateAnswer>,
    /// The chosen entry of the list: 0 is the class, then the measured parts.
    pub chosen: usize,
    /// What is typed.
    pub text: String,
}

/// What became of a press.
pub(super) enum MateStep {
    /// It is still asked, or the next mate is.
    Stay,
    /// Every mate is answered.
    Done,
    /// Back to what is measured.
    Back,
    /// It is not possible, and why.
    Fault(StartFault),
}

impl MateSteps {
    /// The steps of those mates.
    pub fn of(wanted: Vec<MateWanted>) -> Self {
        Self {
            wanted,
            ..Self::default()
        }
    }

    /// The mate that is asked now.
    pub fn asked(&self) -> Option<&MateWanted> {
        self.wanted.get(self.answers.len())
    }

    /// What the session is made to suit, as `--suit` takes it.
    pub fn suits(&self) -> Vec<String> {
        let suits = self.answers.iter().filter_map(|answer| match answer {
            MateAnswer::Suit { suit, .. } => Some(suit.clone()),
            MateAnswer::Class | MateAnswer::Skipped => None,
        });
        suits.collect()
    }

    /// The same in words.
    pub fn told(&self) -> Vec<&str> {
        let told = self.answers.iter().filter_map(|answer| match answer {
            MateAnswer::Suit { told, .. } => Some(told.as_str()),
            MateAnswer::Class | MateAnswer::Skipped => None,
        });
        told.collect()
    }

    /// Measured parts of the mate that is asked now, as far as the records are read.
    pub fn parts<'f>(&self, facts: &'f StartFacts) -> Option<&'f HalfParts> {
        let mates = facts.told.mates.as_deref()?;
        mates.mates.get(self.answers.len())
    }

    pub(super) fn press(&mut self, press: &Press, facts: &StartFacts) -> MateStep {
        let last = self.parts(facts).map_or(0, |parts| parts.offered.len());
        self.chosen = self.chosen.min(last);
        match press {
            Press::Enter => return self.take(facts),
            Press::Choose(at) => {
                self.text.clear();
                self.chosen = (*at).min(last);
                return self.take(facts);
            }
            Press::Star | Press::Down | Press::Tab => {
                self.text.clear();
                // Past the end it begins again: one key is enough to reach each.
                self.chosen = match self.chosen {
                    at if at == last => 0,
                    at => at + 1,
                };
            }
            Press::Slash | Press::Up => {
                self.text.clear();
                self.chosen = self.chosen.saturating_sub(1);
            }
            Press::Escape => return MateStep::Back,
            Press::Backspace if self.text.is_empty() => return self.back(),
            Press::Backspace | Press::BackspaceHeld => {
                self.text.pop();
            }
            Press::NumLockOff => {
                return MateStep::Fault(StartFault {
                    message: NUM_LOCK_OFF.to_owned(),
                    hint: String::new(),
                });
            }
            Press::Plus if self.text.contains(PLUS_MINUS) => {}
            Press::Plus => self.write(PLUS_MINUS),
            Press::Pasted(text) | Press::BurstCut(text) => {
                let letters = text.trim().chars().filter(|one| !one.is_control());
                letters.for_each(|letter| self.write(letter));
            }
            other => {
                if let Some(letter) = other.character() {
                    self.write(letter);
                }
            }
        }
        MateStep::Stay
    }

    fn write(&mut self, letter: char) {
        self.chosen = 0;
        if self.text.chars().count() < TYPED_MAX {
            self.text.push(letter);
        }
    }

    /// The typed size before the chosen entry.
    fn take(&mut self, facts: &StartFacts) -> MateStep {
        let Some(mate) = self.asked() else {
            return MateStep::Done;
        };
        let typed = self.text.trim();
        let part = self.chosen.checked_sub(1).and_then(|at| {
            let parts = self.parts(facts)?;
            parts.offered.get(at)
        });
        let answer = match part {
            _ if !typed.is_empty() => match check_typed_mate(typed) {
                Ok(_) => MateAnswer::Suit {
                    suit: format!("{}={typed}", mate.name),
                    told: format!("{}, {typed} mm", mate.name),
                },
                Err(error) => return MateStep::Fault(StartFault::from(error)),
            },
            Some(part) => MateAnswer::Suit {
                suit: format!("{}={}", mate.name, part.reference()),
                told: match part.serial.as_str() {
                    "" => format!("{}, {} part {}", mate.name, part.journal, part.number),
                    serial => format!("{}, {serial}", mate.name),
                },
            },
            None => MateAnswer::Class,
        };
        self.answers.push(answer);
        while self.asked().is_some_and(|mate| self.is_suited(mate)) {
            self.answers.push(MateAnswer::Skipped);
        }
        self.clear();
        match self.asked() {
            Some(_) => MateStep::Stay,
            None => MateStep::Done,
        }
    }

    /// What would be made to suit this mate is made to suit another one already.
    fn is_suited(&self, mate: &MateWanted) -> bool {
        let answered = self.wanted.iter().zip(&self.answers);
        let mut suited = answered.filter(|(_, answer)| matches!(answer, MateAnswer::Suit { .. }));
        suited.any(|(one, _)| one.made.iter().any(|made| mate.made.contains(made)))
    }

    /// To the mate that was asked before; from the first of them away.
    pub(super) fn back(&mut self) -> MateStep {
        self.clear();
        loop {
            match self.answers.pop() {
                Some(MateAnswer::Skipped) => {}
                Some(_) => return MateStep::Stay,
                None => return MateStep::Back,
            }
        }
    }

    fn clear(&mut self) {
        (self.chosen, self.text) = (0, String::new());
    }
}

impl Start {
    /// While a mate is asked.
    pub(super) fn press_at_mates(&mut self, press: &Press, facts: &StartFacts) -> Vec<StartAsked> {
        match self.mates.press(press, facts) {
            MateStep::Stay | MateStep::Done => Vec::new(),
            MateStep::Back => self.leave(),
            MateStep::Fault(fault) => self.complain(fault.message, fault.hint),
        }
    }

    /// Back to what is measured.
    pub(super) fn leave(&mut self) -> Vec<StartAsked> {
        (self.gauge, self.what) = (None, None);
        self.mates = MateSteps::default();
        Vec::new()
    }
}
