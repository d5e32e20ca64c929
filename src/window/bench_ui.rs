//! Stands in until the Bench is painted.

use eframe::egui::Ui;

use super::look::Look;
use super::press::Press;
use super::view::BenchView;

/// Paints the Bench.
pub fn bench_ui(ui: &mut Ui, view: &BenchView, look: &Look, presses: &mut Vec<Press>) {
    let _ = presses;
    let rect = ui.max_rect();
    super::look::spoken(ui, rect, "action", &view.action, false);
    ui.painter().rect_filled(rect, 0.0, look.tokens.ground);
}
