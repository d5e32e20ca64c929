//! The Batch room in the window: it is entered, pressed and drawn while a session goes on behind
//! and the numbers are worked out beside.

use std::sync::Arc;

use eframe::egui::Ui;

use super::Window;
use super::seen::SeenRoom;
use crate::journal::Sequence;
use crate::session::Snapshot;
use crate::window::batch_room::{BatchAsked, BatchRoom};
use crate::window::batch_run::{BatchHandle, BatchJob, BatchTold, LookedAt, batch_ends};
use crate::window::batch_ui::batch_ui;
use crate::window::chart_paint_ui::LaidChart;
use crate::window::drawn::PageDrawn;
use crate::window::look::Look;
use crate::window::press::Press;
use crate::window::view::{BatchSeen, batch_now, batch_view};

/// The function key of the Batch room.
pub(super) const BATCH_KEY: u8 = 4;

/// The room, while it is seen.
pub(super) struct AtBatch {
    room: BatchRoom,
    handle: BatchHandle,
    told: BatchTold,
    /// What was asked for last: until something is recorded or another page is looked at, it is
    /// not asked again.
    asked: Option<(String, Sequence, LookedAt)>,
    drawn: PageDrawn,
    laid: LaidChart,
    /// The last answer that has been taken in.
    answered: u64,
    /// What was said last, until the next press.
    message: Option<String>,
}

impl AtBatch {
    fn seen<'a>(&'a self, snapshot: Option<&'a Snapshot>, marker: char) -> BatchSeen<'a> {
        BatchSeen {
            room: &self.room,
            facts: self.told.facts.as_deref(),
            snapshot,
            now_ms: 0,
            marker,
            message: self.message.as_deref(),
        }
    }

    /// Asks for what is looked at, once for each recorded event, and takes in what has come.
    fn follow(&mut self, snapshot: Option<&Arc<Snapshot>>, marker: char) {
        if let Some(snapshot) = snapshot {
            let at = LookedAt {
                target: self.room.chosen,
                page: self.room.page,
                marker,
            };
            let wanted = (snapshot.journal.clone(), snapshot.head, at);
            if self.asked.as_ref() != Some(&wanted) {
                self.handle.ask(BatchJob::Show(Arc::clone(snapshot), at));
                self.asked = Some(wanted);
            }
        }
        self.told = self.handle.told();
        let done = &self.told.done;
        if done.number != self.answered {
            self.answered = done.number;
            self.message = Some(done.said.clone());
        }
    }
}

impl Window {
    /// What is just being done in the Batch room, while it is seen.
    pub fn batch(&self) -> Option<&BatchRoom> {
        match &self.seen {
            Some(SeenRoom::Batch(batch)) => Some(&batch.room),
            _ => None,
        }
    }

    /// What the Batch room has been told, while it is seen.
    pub fn batch_told(&self) -> Option<BatchTold> {
        match &self.seen {
            Some(SeenRoom::Batch(batch)) => Some(batch.handle.told()),
            _ => None,
        }
    }

    /// At the characteristic that is measured now.
    pub(super) fn enter_batch(&mut self) {
        let (handle, side) = batch_ends();
        let fault = self.outside.batch(side).err();
        let snapshot = self.snapshot();
        let at = snapshot.and_then(|snapshot| snapshot.state.current_target());
        self.seen = Some(SeenRoom::Batch(Box::new(AtBatch {
            room: BatchRoom {
                fault,
                ..BatchRoom::at(at.unwrap_or(0))
            },
            handle,
            told: BatchTold::default(),
            asked: None,
            drawn: PageDrawn::default(),
            laid: LaidChart::default(),
            answered: 0,
            message: None,
        })));
    }

    pub(super) fn press_at_batch(&mut self, press: &Press) {
        let snapshot = self.snapshot();
        let marker = self.settings.marker;
        let Some(SeenRoom::Batch(batch)) = &mut self.seen else {
            return;
        };
        batch.message = None;
        let drawn = (batch.drawn.shown, batch.drawn.has_more);
        let now = batch_now(&batch.seen(snapshot.as_deref(), marker), drawn);
        match batch.room.press(press, now) {
            None => {}
            Some(BatchAsked::Bench) => self.seen = None,
            Some(BatchAsked::Keep(form)) => {
                batch.message = Some("The chart is being written.".to_owned());
                batch.handle.ask(BatchJob::Keep(form));
            }
        }
    }

    pub(super) fn draw_batch(&mut self, ui: &mut Ui, look: &Look, presses: &mut Vec<Press>) {
        let snapshot = self.snapshot();
        let now_ms = self.session_now_ms().unwrap_or(0);
        let marker = self.settings.marker;
        let Some(SeenRoom::Batch(batch)) = &mut self.seen else {
            return;
        };
        batch.follow(snapshot.as_ref(), marker);
        let mut view = batch_view(&BatchSeen {
            now_ms,
            ..batch.seen(snapshot.as_deref(), marker)
        });
        view.status.say_else(self.fault.as_deref());
        batch.drawn = batch_ui(ui, &view, look, &mut batch.laid, presses);
    }
}
