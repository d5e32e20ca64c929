//! Which of the rooms behind the function keys is seen: one of them at most, while the session, or
//! the Start room, goes on behind it.

use eframe::egui::{Context, Ui};

use super::Window;
use super::batch::{AtBatch, BATCH_KEY};
use super::gauges::{AtGauges, GAUGES_KEY};
use super::pairs::{AtPairs, PAIRS_KEY};
use super::plan::{AtPlan, PLAN_KEY};
use super::records::{AtRecords, RECORDS_KEY};
use crate::window::look::Look;
use crate::window::plan_room::LeaveTo;
use crate::window::press::Press;

/// The function key of the Bench, and of the Start room before a session runs.
pub(super) const BENCH_KEY: u8 = 1;

/// A room over the Bench, with what the window keeps of it.
pub(super) enum SeenRoom {
    Plan(Box<AtPlan>),
    Pairs(Box<AtPairs>),
    Batch(Box<AtBatch>),
    Records(Box<AtRecords>),
    Gauges(Box<AtGauges>),
}

impl SeenRoom {
    /// Its function key.
    fn key(&self) -> u8 {
        match self {
            Self::Plan(_) => PLAN_KEY,
            Self::Pairs(_) => PAIRS_KEY,
            Self::Batch(_) => BATCH_KEY,
            Self::Records(_) => RECORDS_KEY,
            Self::Gauges(_) => GAUGES_KEY,
        }
    }
}

impl Window {
    /// The function key of the room that is seen.
    pub(super) fn open_tab(&self) -> u8 {
        self.seen.as_ref().map_or(BENCH_KEY, SeenRoom::key)
    }

    /// To the room of a function key; the Plan room may ask first.
    pub(super) fn open_room(&mut self, key: u8) {
        if self.open_tab() == key || !self.may_leave_plan(LeaveTo::Room(key)) {
            return;
        }
        // What the other one had going on ends before this one begins.
        self.seen = None;
        match key {
            PLAN_KEY => self.enter_plan(),
            PAIRS_KEY => self.enter_pairs(),
            BATCH_KEY => self.enter_batch(),
            RECORDS_KEY => self.enter_records(),
            GAUGES_KEY => self.enter_gauges(),
            _ => {}
        }
    }

    /// A press goes to the room that is seen; false: it is for what is behind it.
    pub(super) fn press_at_seen(&mut self, press: &Press, context: &Context) -> bool {
        match &self.seen {
            None => return false,
            Some(SeenRoom::Plan(_)) => self.press_at_plan(press, context),
            Some(SeenRoom::Pairs(_)) => self.press_at_pairs(press),
            Some(SeenRoom::Batch(_)) => self.press_at_batch(press),
            Some(SeenRoom::Records(_)) => self.press_at_records(press),
            Some(SeenRoom::Gauges(_)) => self.press_at_gauges(press.clone()),
        }
        true
    }

    /// Draws the room that is seen; false: what is behind it is to be drawn.
    pub(super) fn draw_seen(&mut self, ui: &mut Ui, look: &Look, presses: &mut Vec<Press>) -> bool {
        match &self.seen {
            None => return false,
            Some(SeenRoom::Plan(_)) => self.draw_plan(ui, look, presses),
            Some(SeenRoom::Pairs(_)) => self.draw_pairs(ui, look, presses),
            Some(SeenRoom::Batch(_)) => self.draw_batch(ui, look, presses),
            Some(SeenRoom::Records(_)) => self.draw_records(ui, look, presses),
            Some(SeenRoom::Gauges(_)) => self.draw_gauges(ui, look, presses),
        }
        true
    }
}
