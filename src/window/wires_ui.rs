//! The worked example of a measurement over three wires: what must be found, and the sum.

use eframe::egui::{Rect, Ui};

use super::line_ui::{Line, cut_top, has_area, inset};
use super::look::{Look, REGULAR, bold, text_width};
use super::view::WiresView;

/// Height of a line over its text size.
const LINE: f32 = 1.35;
const MARGIN: f32 = 5.0;
/// Text sizes, in points.
const LEAST: f32 = 10.0;
const MOST: f32 = 22.0;

/// Paints the example into `rect`, all of it in one size.
pub(super) fn wires_ui(ui: &mut Ui, rect: Rect, view: &WiresView, look: &Look) {
    if !has_area(rect) {
        return;
    }
    ui.painter_at(rect)
        .rect_filled(rect, 0.0, look.tokens.panel);
    let mut rest = inset(rect, MARGIN);
    let lines = view.lines();
    let high = rest.height() / (4.0 * LINE);
    let widest = |(at, text): (usize, &&str)| {
        let family = if at == 0 { bold() } else { REGULAR };
        text_width(ui.painter(), text, 20.0, family) / 20.0
    };
    let ems = lines.iter().enumerate().map(widest).fold(1.0, f32::max);
    let size = high.min((rest.width() - 2.0) / ems).clamp(LEAST, MOST);
    for (at, text) in lines.into_iter().enumerate() {
        let place = cut_top(&mut rest, size * LINE);
        let line = match at {
            0 => Line::bold(size, look.tokens.text),
            2 => Line::regular(size, look.tokens.text),
            _ => Line::regular(size, look.tokens.muted),
        };
        line.say(ui, place, &format!("wires {at}"), text);
    }
}
