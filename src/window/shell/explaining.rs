//! What is what: a key goes through everything that is seen and tells what it is; so does the
//! pointer, when it was moved and rests.

use eframe::egui::{Context, Pos2, Ui};

use super::guide::AtGuide;
use super::seen::BENCH_KEY;
use super::{Window, milliseconds, repaint_after};
use crate::report::{ReportOptions, key_card_pdf};
use crate::window::explain_places::{Asked, at, in_order, moved, name, pointed};
use crate::window::explain_ui::explain_ui;
use crate::window::look::Look;
use crate::window::named::{NamedPlace, gather_named, take_named};
use crate::window::press::Press;
use crate::window::view::{explain, key_card};

/// How one goes on.
const KEYS: &str = "Arrows go to the next place, Enter through all of them; / opens the guide, * \
                    writes a card of all keys to print; Esc or F7 ends.";
/// A pointer that rests so long asks what is under it, in milliseconds (chosen).
const RESTS_MS: u64 = 700;
/// A pointer that was left lying asks no more after this (chosen).
const LEFT_MS: u64 = 20_000;

/// What is being explained.
#[derive(Default)]
pub(super) struct Explaining {
    /// The keys go through what is seen.
    is_on: bool,
    asked: Option<Asked>,
    /// What was seen in the last frame.
    places: Vec<NamedPlace>,
    /// What became of the card of keys.
    card: Option<String>,
    /// When the pointer was moved last; none: not since the last key, so it asks nothing.
    pointer_moved_ms: Option<u64>,
}

impl Explaining {
    /// Keys go through what is seen, or do so no longer.
    pub(super) fn turn(&mut self) {
        *self = Self {
            is_on: !self.is_on,
            ..Self::default()
        };
    }

    pub(super) fn end(&mut self) {
        *self = Self::default();
    }

    pub(super) fn is_on(&self) -> bool {
        self.is_on
    }

    /// A press while keys go through what is seen.
    fn press(&mut self, press: &Press) {
        if matches!(press, Press::Escape | Press::Backspace | Press::Marker) {
            return self.end();
        }
        self.card = None;
        let Some(from) = at(&self.places, self.asked.as_ref()) else {
            return;
        };
        if let Some(to) = moved(&self.places, from, press) {
            self.asked = Some(name(&self.places, to));
        }
    }

    /// The pointer, and whether it asks; what it waits for is waited for.
    fn pointer(&mut self, context: &Context, now_ms: u64) -> Option<Pos2> {
        let (pointer, was_moved, is_used) = context.input(|input| {
            let pointer = &input.pointer;
            let was_moved = pointer.delta().length_sq() > 0.0;
            (pointer.hover_pos(), was_moved, pointer.any_down())
        });
        if is_used || pointer.is_none() {
            self.pointer_moved_ms = None;
            return None;
        }
        if was_moved {
            self.pointer_moved_ms = Some(now_ms);
        }
        let rests_ms = now_ms.saturating_sub(self.pointer_moved_ms?);
        match rests_ms {
            ..RESTS_MS => repaint_after(context, RESTS_MS - rests_ms + 1),
            RESTS_MS..LEFT_MS => {
                repaint_after(context, LEFT_MS - rests_ms + 1);
                return pointer;
            }
            LEFT_MS.. => self.pointer_moved_ms = None,
        }
        None
    }
}

impl Window {
    /// Takes what is pressed while it is explained what is what; false: it is for somebody else.
    pub(super) fn press_while_explaining(&mut self, press: &Press) -> bool {
        // A key is pressed: the pointer was left lying.
        self.explaining.pointer_moved_ms = None;
        if *press == Press::Explain {
            self.explaining.turn();
            return true;
        }
        if !self.explaining.is_on() {
            return false;
        }
        match press {
            // What a gauge types is a reading; what is pointed at is done.
            Press::Burst(_) | Press::BurstCut(_) | Press::Pasted(_) => return false,
            Press::Choose(_) | Press::Verdict | Press::Room(_) => {
                self.explaining.end();
                return false;
            }
            Press::Slash => {
                self.explaining.end();
                self.guide = Some(AtGuide::default());
            }
            Press::Star => {
                let options = ReportOptions::default();
                let made = key_card_pdf(&key_card(), &options).map_err(|error| error.to_string());
                let kept = made.and_then(|bytes| self.outside.keep_card(bytes));
                self.explaining.card = Some(match kept {
                    Ok(path) => format!("The card of keys is in {path}"),
                    Err(error) => format!("The card of keys was not written: {error}"),
                });
            }
            press => self.explaining.press(press),
        }
        true
    }

    /// From here on names are gathered, if somebody asks.
    pub(super) fn begin_explaining(&mut self, context: &Context) -> Option<Pos2> {
        let now_ms = milliseconds(context.input(|input| input.time));
        let pointer = self.explaining.pointer(context, now_ms);
        if self.explaining.is_on || pointer.is_some() {
            gather_named(context);
        }
        pointer
    }

    /// What was drawn is explained, if somebody asks.
    pub(super) fn explain(&mut self, ui: &mut Ui, pointer: Option<Pos2>, look: &Look) {
        let room = match self.desk() {
            None if self.open_tab() == BENCH_KEY => 0,
            _ => self.open_tab(),
        };
        let mut places = in_order(take_named(ui.ctx()));
        places.retain(|place| explain(room, &place.id, &place.text).is_some());
        let explaining = &mut self.explaining;
        let under = pointer.and_then(|pointer| pointed(&places, pointer));
        let place = match (explaining.is_on, under) {
            (_, Some(under)) => Some(under),
            (true, None) => at(&places, explaining.asked.as_ref()),
            (false, None) => None,
        };
        if let Some(place) = place
            && let Some(view) = explain(room, &place.id, &place.text)
        {
            let mut foot = "";
            if explaining.is_on {
                explaining.asked = Some(name(&places, place));
                foot = explaining.card.as_deref().unwrap_or(KEYS);
            }
            explain_ui(ui, place.rect, &view, look, foot);
        }
        explaining.places = places;
    }
}
