//! The Pairs room in the window: it is entered, pressed and drawn while a session goes on behind.

use eframe::egui::Ui;

use super::Window;
use super::seen::SeenRoom;
use crate::window::drawn::PageDrawn;
use crate::window::links_facts::LinksTold;
use crate::window::look::Look;
use crate::window::pairs_room::{PairsAsked, PairsRoom};
use crate::window::pairs_ui::pairs_ui;
use crate::window::press::Press;
use crate::window::view::{PairsSeen, pairs_now, pairs_view, press_choices};

/// The function key of the Pairs room.
pub(super) const PAIRS_KEY: u8 = 3;

/// The room, while it is seen.
#[derive(Default)]
pub(super) struct AtPairs {
    pub(super) room: PairsRoom,
    drawn: PageDrawn,
    /// What was drawn last: a press means what was seen.
    pub(super) told: LinksTold,
}

impl Window {
    /// What is just being done in the Pairs room, while it is seen.
    pub fn pairs(&self) -> Option<&PairsRoom> {
        match &self.seen {
            Some(SeenRoom::Pairs(pairs)) => Some(&pairs.room),
            _ => None,
        }
    }

    /// The records are looked at anew each time.
    pub(super) fn enter_pairs(&mut self) {
        self.forget_asked_links();
        self.seen = Some(SeenRoom::Pairs(Box::default()));
    }

    pub(super) fn press_at_pairs(&mut self, press: &Press) {
        let snapshot = self.snapshot();
        let Some(SeenRoom::Pairs(pairs)) = &mut self.seen else {
            return;
        };
        let seen = (&pairs.room, &pairs.told);
        let now = pairs_now(seen, snapshot.as_deref(), pairs.drawn);
        match pairs.room.press(press, now) {
            None => {}
            Some(PairsAsked::Bench) => self.seen = None,
            Some(PairsAsked::Step { next }) => {
                let choices = press_choices(&pairs.room, snapshot.as_deref());
                pairs.room.step(&choices, next);
            }
            Some(PairsAsked::Links(asked)) => self.carry_out_at_links(asked),
        }
    }

    pub(super) fn draw_pairs(&mut self, ui: &mut Ui, look: &Look, presses: &mut Vec<Press>) {
        let snapshot = self.snapshot();
        let now_ms = self.session_now_ms().unwrap_or(0);
        self.follow_links();
        let Some(SeenRoom::Pairs(pairs)) = &mut self.seen else {
            return;
        };
        let mut view = pairs_view(&PairsSeen {
            room: &pairs.room,
            snapshot: snapshot.as_deref(),
            told: &pairs.told,
            now_ms,
            marker: self.settings.marker,
        });
        view.status.say_else(self.fault.as_deref());
        pairs.drawn = pairs_ui(ui, &view, look, presses);
    }
}
