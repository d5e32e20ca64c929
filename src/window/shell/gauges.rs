//! The Gauges room in the window: it is entered, pressed and drawn while a session goes on behind.

use std::sync::Arc;

use eframe::egui::Ui;

use super::{Room, Window};
use crate::session::Snapshot;
use crate::window::gauges_room::{GaugesAsked, GaugesFacts, GaugesRoom};
use crate::window::gauges_ui::gauges_ui;
use crate::window::look::Look;
use crate::window::press::Press;
use crate::window::view::{GaugesSeen, gauges_now, gauges_view};

/// The function key of the Gauges room.
const GAUGES_KEY: u8 = 6;

/// The room, while it is seen.
pub(super) struct AtGauges {
    room: GaugesRoom,
    facts: GaugesFacts,
    /// The page had more lines than there was room for, when it was drawn last.
    has_more: bool,
}

impl Window {
    /// What is just being done in the Gauges room, while it is seen.
    pub fn gauges(&self) -> Option<&GaugesRoom> {
        self.gauges.as_ref().map(|gauges| &gauges.room)
    }

    /// To the room of a function key.
    pub(super) fn open_room(&mut self, key: u8) {
        match (key == GAUGES_KEY, self.gauges.is_some()) {
            (true, false) => {
                let facts = self.gauge_facts();
                self.gauges = Some(Box::new(AtGauges {
                    room: GaugesRoom::default(),
                    facts,
                    has_more: false,
                }));
            }
            (false, true) => self.gauges = None,
            _ => {}
        }
    }

    /// What is known now; of a session its own register counts, on which it rests.
    fn gauge_facts(&mut self) -> GaugesFacts {
        let mut facts = self.outside.gauge_facts();
        if let Some(snapshot) = self.snapshot() {
            facts.register = snapshot.state.setup().register.clone();
        }
        facts
    }

    fn snapshot(&self) -> Option<Arc<Snapshot>> {
        match &self.room {
            Room::Bench(bench) => Some(bench.session.snapshot()),
            Room::Start { .. } => None,
        }
    }

    pub(super) fn press_at_gauges(&mut self, press: Press) {
        let snapshot = self.snapshot();
        let Some(gauges) = &mut self.gauges else {
            return;
        };
        let seen = GaugesSeen {
            room: &gauges.room,
            facts: &gauges.facts,
            snapshot: snapshot.as_deref(),
            now_ms: 0,
            marker: self.settings.marker,
        };
        let now = gauges_now(&seen, gauges.has_more);
        let asked = gauges.room.press(press, &gauges.facts, now);
        for one in asked {
            self.carry_out_at_gauges(one);
        }
    }

    fn carry_out_at_gauges(&mut self, asked: GaugesAsked) {
        match asked {
            GaugesAsked::Bench => self.gauges = None,
            GaugesAsked::LookAgain | GaugesAsked::Chosen => {
                let facts = self.gauge_facts();
                if let Some(gauges) = &mut self.gauges {
                    gauges.facts = facts;
                }
            }
            _ => {}
        }
    }

    pub(super) fn draw_gauges(&mut self, ui: &mut Ui, look: &Look, presses: &mut Vec<Press>) {
        let snapshot = self.snapshot();
        let now_ms = self.session_now_ms().unwrap_or(0);
        let Some(gauges) = &mut self.gauges else {
            return;
        };
        let mut view = gauges_view(&GaugesSeen {
            room: &gauges.room,
            facts: &gauges.facts,
            snapshot: snapshot.as_deref(),
            now_ms,
            marker: self.settings.marker,
        });
        if view.status.message.is_none() {
            view.status.message = self.fault.clone();
        }
        gauges.has_more = gauges_ui(ui, &view, look, presses);
    }
}
