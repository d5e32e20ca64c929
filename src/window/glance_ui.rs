//! Stands in until the glance layout is painted.

use eframe::egui::Ui;

use super::look::Look;
use super::press::Press;
use super::view::BenchView;

/// Paints the glance layout.
pub fn glance_ui(ui: &mut Ui, view: &BenchView, look: &Look, presses: &mut Vec<Press>) {
    let _ = presses;
    let rect = ui.max_rect();
    super::look::spoken(ui, rect, "action", &view.action, false);
    ui.painter().rect_filled(rect, 0.0, look.tokens.ground);
}
