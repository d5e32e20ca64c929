//! Leaving the session, and the window: not before it is said that readings are lost by it.

use eframe::egui::{Context, Ui, ViewportCommand};

use super::{Room, Window};
use crate::session::Begin;
use crate::window::plan_room::LeaveTo;
use crate::window::press::Press;
use crate::window::start::Start;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Leaving {
    ToStart,
    Quit,
}

impl Window {
    /// Whether readings would be lost with the session.
    fn not_recorded(&self) -> bool {
        match &self.room {
            Room::Bench(bench) => bench.session.snapshot().unrecorded.is_some(),
            Room::Start { .. } => false,
        }
    }

    pub(super) fn leave(&mut self, leaving: Leaving, context: &Context) {
        match self.not_recorded() {
            true => self.leaving = Some(leaving),
            false => self.leave_now(leaving, context),
        }
    }

    /// Another session of the same, by whoever measures now; the ports of the closed one are let go
    /// of first.
    pub(super) fn begin_next_batch(&mut self) {
        let Room::Bench(bench) = &self.room else {
            return;
        };
        let Some(begin) = &bench.again else {
            return;
        };
        let operator = bench.session.snapshot().state.bench().operator.clone();
        let begin = Begin {
            operator,
            ..begin.clone()
        };
        bench.session.stop();
        self.begin(&begin, Start::default());
    }

    fn leave_now(&mut self, leaving: Leaving, context: &Context) {
        self.leaving = None;
        self.stop();
        match leaving {
            Leaving::ToStart => self.enter_start(Start::default()),
            Leaving::Quit => {
                self.may_close = true;
                context.send_viewport_cmd(ViewportCommand::Close);
            }
        }
    }

    pub(super) fn press_while_leaving(
        &mut self,
        press: Press,
        leaving: Leaving,
        context: &Context,
    ) {
        match press {
            Press::Plus | Press::Escape | Press::Backspace => self.leaving = None,
            Press::Minus => self.leave_now(leaving, context),
            // Readings go on being taken.
            Press::Burst(_) => {
                self.leaving = None;
                self.press(press, context);
                self.leaving = Some(leaving);
            }
            _ => {}
        }
    }

    /// The window is to close: not before it is said that readings are lost by it.
    pub(super) fn see_close_request(&mut self, ui: &Ui) {
        if !ui.input(|input| input.viewport().close_requested()) {
            return;
        }
        if !self.may_close && !self.may_leave_plan(LeaveTo::Quit) {
            ui.send_viewport_cmd(ViewportCommand::CancelClose);
            return;
        }
        if !self.may_close && self.not_recorded() {
            ui.send_viewport_cmd(ViewportCommand::CancelClose);
            self.leaving = Some(Leaving::Quit);
        }
    }
}
