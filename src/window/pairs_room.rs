//! The Pairs room by its keys: which pair is seen, what is typed of a press fit, how far one has
//! read on. Nothing of it is truth, and nothing of it is kept.
//!
//! A keypad alone is enough: `+` and `-` go through the pairs, `*` reads on, `/` opens and leaves
//! what pressing a pair together takes, `.` leads to the Bench, `1` puts a batch together, `2`
//! shows the measured mates that another plan made. In the fields of a press fit `+` and `-` step
//! through what a field may hold.

use std::collections::BTreeMap;

use super::drawn::read_on;
use super::links_room::{LinksAsked, LinksNow, LinksPage, LinksRoom};
use super::press::{NUM_LOCK_OFF, Press};

const NOT_PRESSED: &str = "No interference is intended of this pair: nothing is pressed together.";
const NO_MATES: &str = "Both halves of this pair are made by this plan: measure them on this part.";
/// Longest text of a field, in characters.
const TYPED_MAX: usize = 40;
/// So many fields there are.
pub const FIELDS: usize = 11;

/// The fields of a press fit by their places.
pub mod press_field {
    /// Length of the joint, mm.
    pub const LENGTH: usize = 0;
    /// Outside of the hub, mm.
    pub const OUTSIDE: usize = 1;
    /// Bore of the shaft, mm.
    pub const BORE: usize = 2;
    /// Material of the hub.
    pub const HUB: usize = 3;
    /// Material of the shaft.
    pub const SHAFT: usize = 4;
    /// Roughness of the hub, µm.
    pub const RZ_HUB: usize = 5;
    /// Roughness of the shaft, µm.
    pub const RZ_SHAFT: usize = 6;
    /// Pressed or shrunk.
    pub const JOINING: usize = 7;
    /// Dry, oiled or degreased.
    pub const SURFACES: usize = 8;
    /// Limits of a bush's bore: a class or two sizes.
    pub const LIMITS: usize = 9;
    /// That bore as it was measured, mm.
    pub const MEASURED: usize = 10;

    /// What a field may hold can be stepped through.
    pub fn has_choices(at: usize) -> bool {
        matches!(at, HUB | SHAFT | JOINING | SURFACES | LIMITS)
    }
}

/// What is typed of a press fit, for one pair.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PressTyped {
    /// By the places of [`press_field`].
    pub fields: [String; FIELDS],
    /// What a field holds was stepped to and not typed: it is erased whole.
    pub stepped: [bool; FIELDS],
    /// The field that is typed into.
    pub at: usize,
}

/// The room's state.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PairsRoom {
    /// The pair, by its place in the plan.
    pub chosen: usize,
    /// So many sentences are passed over.
    pub skipped: usize,
    /// It is seen what pressing the pair together takes.
    pub is_pressing: bool,
    /// What was typed for that, by the pair's place.
    pub typed: BTreeMap<usize, PressTyped>,
    /// What could not be done, in a sentence; the next press takes it away.
    pub fault: Option<String>,
    /// The pages of a batch.
    pub links: LinksRoom,
}

/// What the room needs to know to understand a press.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PairsNow {
    /// So many pairs there are.
    pub pairs: usize,
    /// The chosen one may have interference, as it is intended.
    pub can_press: bool,
    /// Sentences that were seen.
    pub shown: usize,
    /// There are more below.
    pub has_more: bool,
    /// Of the pages of a batch.
    pub links: LinksNow,
}

/// What a press asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PairsAsked {
    /// Back to the Bench.
    Bench,
    /// To the next, or the one before, of what the field that is typed into may hold: see
    /// [`PairsRoom::step`].
    Step {
        /// The next.
        next: bool,
    },
    /// Something of the records.
    Links(LinksAsked),
}

impl PairsRoom {
    /// Takes one press.
    pub fn press(&mut self, press: &Press, now: PairsNow) -> Option<PairsAsked> {
        self.fault = None;
        if self.is_pressing && now.can_press {
            return self.type_into(press, now);
        }
        self.is_pressing = false;
        if self.links.page != LinksPage::Closed && now.pairs > 0 && *press != Press::NumLockOff {
            let asked = self.links.press(press, self.chosen, now.links);
            return asked.map(PairsAsked::Links);
        }
        match press {
            Press::Digit('1') if now.pairs > 0 => self.links.open(LinksPage::Rows),
            Press::Digit('2') if now.links.has_mates => self.links.open(LinksPage::Mates),
            Press::Digit('2') if now.pairs > 0 => self.fault = Some(NO_MATES.to_owned()),
            Press::NumLockOff => self.fault = Some(NUM_LOCK_OFF.to_owned()),
            Press::Plus | Press::Down | Press::Right | Press::Tab => {
                self.choose(self.chosen.saturating_add(1), now);
            }
            Press::Minus | Press::Up | Press::Left => {
                self.choose(self.chosen.saturating_sub(1), now);
            }
            // Past the last it begins again: one key is enough to see all of them.
            Press::Enter => match self.chosen.saturating_add(1) {
                next if next < now.pairs => self.choose(next, now),
                _ => self.choose(0, now),
            },
            Press::Choose(at) => self.choose(*at, now),
            Press::Star | Press::Space => self.read_on(now),
            Press::Slash if now.can_press => {
                self.is_pressing = true;
                self.skipped = 0;
            }
            Press::Slash if now.pairs > 0 => self.fault = Some(NOT_PRESSED.to_owned()),
            Press::Backspace | Press::Escape | Press::Marker => return Some(PairsAsked::Bench),
            _ => {}
        }
        None
    }

    fn choose(&mut self, at: usize, now: PairsNow) {
        let at = at.min(now.pairs.saturating_sub(1));
        if at != self.chosen {
            self.skipped = 0;
        }
        self.chosen = at;
    }

    fn read_on(&mut self, now: PairsNow) {
        self.skipped = read_on(self.skipped, (now.shown, now.has_more));
    }

    /// Puts the next, or the one before, of what it may hold into the field that is typed into. A
    /// typed beginning leads to the first that begins so.
    pub fn step(&mut self, choices: &[String], next: bool) {
        let typed = self.typed.entry(self.chosen).or_default();
        let at = typed.at.min(FIELDS - 1);
        let (Some(field), Some(stepped)) = (typed.fields.get_mut(at), typed.stepped.get_mut(at))
        else {
            return;
        };
        let text = field.trim().to_lowercase();
        let last = choices.len().saturating_sub(1);
        let is = |choice: &String| choice.to_lowercase() == text;
        let begins = |choice: &String| choice.to_lowercase().starts_with(&text);
        let to = match (choices.iter().position(is), next) {
            (Some(at), true) if at < last => at + 1,
            (Some(_), true) => 0,
            (Some(at), false) => at.checked_sub(1).unwrap_or(last),
            (None, true) => choices.iter().position(begins).unwrap_or(0),
            (None, false) => last,
        };
        if let Some(choice) = choices.get(to) {
            field.clone_from(choice);
            *stepped = true;
        }
        self.skipped = 0;
    }

    fn type_into(&mut self, press: &Press, now: PairsNow) -> Option<PairsAsked> {
        let typed = self.typed.entry(self.chosen).or_default();
        let at = typed.at.min(FIELDS - 1);
        let (Some(field), Some(stepped)) = (typed.fields.get_mut(at), typed.stepped.get_mut(at))
        else {
            return None;
        };
        // A word may have a hyphen in it, and two limits one between them.
        let steps_back = press_field::has_choices(at) && (field.is_empty() || *stepped);
        let letter = match press {
            Press::Digit(digit) => Some(*digit),
            Press::Letter(letter) => Some(*letter),
            Press::Marker => Some('.'),
            Press::Minus if !steps_back => Some('-'),
            Press::Space => Some(' '),
            _ => None,
        };
        if let Some(letter) = letter {
            let is_full = field.chars().count() >= TYPED_MAX;
            if !is_full && !letter.is_control() {
                field.push(letter);
                *stepped = false;
            }
            self.skipped = 0;
            return None;
        }
        match press {
            Press::Plus if press_field::has_choices(at) => {
                return Some(PairsAsked::Step { next: true });
            }
            Press::Minus => return Some(PairsAsked::Step { next: false }),
            Press::Backspace | Press::BackspaceHeld if *stepped && !field.is_empty() => {
                field.clear();
                self.skipped = 0;
            }
            Press::Backspace => {
                if field.pop().is_none() {
                    self.is_pressing = false;
                }
                self.skipped = 0;
            }
            Press::BackspaceHeld => {
                field.pop();
            }
            Press::Enter | Press::Down | Press::Tab => typed.at = (at + 1) % FIELDS,
            Press::Up => typed.at = (at + FIELDS - 1) % FIELDS,
            Press::Choose(chosen) => typed.at = (*chosen).min(FIELDS - 1),
            Press::Star => self.read_on(now),
            Press::Slash | Press::Escape => {
                self.is_pressing = false;
                self.skipped = 0;
            }
            Press::NumLockOff => self.fault = Some(NUM_LOCK_OFF.to_owned()),
            _ => {}
        }
        None
    }
}
