//! The guide in the window: it is entered from where it is asked what is what, and read while a
//! session goes on behind.

use eframe::egui::Ui;

use super::Window;
use crate::guide::pages;
use crate::window::guide_reader::{GuideDrawn, GuideReader};
use crate::window::guide_ui::guide_ui;
use crate::window::look::Look;
use crate::window::press::Press;
use crate::window::view::guide_view;

/// The guide, while it is read.
#[derive(Default)]
pub(super) struct AtGuide {
    reader: GuideReader,
    drawn: GuideDrawn,
}

impl Window {
    /// What is read of the guide, while it is seen.
    pub fn guide(&self) -> Option<GuideReader> {
        self.guide.as_ref().map(|guide| guide.reader)
    }

    /// Takes a press while the guide is seen; false: it is for somebody else.
    pub(super) fn press_at_guide(&mut self, press: &Press) -> bool {
        let Some(guide) = &mut self.guide else {
            return false;
        };
        match press {
            // What a gauge types is a reading, whatever is seen.
            Press::Burst(_) | Press::BurstCut(_) => return false,
            Press::Room(_) => {
                self.guide = None;
                return false;
            }
            press => {
                if !guide.reader.press(press, pages().len(), guide.drawn) {
                    self.guide = None;
                }
            }
        }
        true
    }

    /// Draws it, where it is seen.
    pub(super) fn draw_guide(
        &mut self,
        ui: &mut Ui,
        look: &Look,
        presses: &mut Vec<Press>,
    ) -> bool {
        let snapshot = self.snapshot();
        let now_ms = self.session_now_ms().unwrap_or(0);
        let Some(guide) = &mut self.guide else {
            return false;
        };
        let foot = (snapshot.as_deref(), now_ms, self.settings.marker);
        let view = guide_view(guide.reader, foot);
        guide.drawn = guide_ui(ui, &view, look, presses);
        true
    }
}
