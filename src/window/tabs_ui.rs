//! The line of tabs over every room: which rooms there are, with the keys that open them.

use eframe::egui::{Rangef, Rect, Ui, vec2};

use super::line_ui::{Line, has_area, name_ui};
use super::look::{Look, REGULAR, bold, text_width};
use super::press::Press;

/// Height of the line.
pub const TABS_HEIGHT: f32 = 22.0;
const TEXT: f32 = 12.0;
const MARGIN: f32 = 12.0;
const PAD: f32 = 8.0;

/// A tab.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TabView {
    /// The number of its function key.
    pub key: u8,
    /// The room's name.
    pub name: &'static str,
    /// It is the room that is seen.
    pub is_open: bool,
}

/// The rooms that there are; `at` is the function key of the open one.
pub fn tabs(at: u8) -> [TabView; 4] {
    let rooms = [(1, "Bench"), (4, "Batch"), (5, "Records"), (6, "Gauges")];
    rooms.map(|(key, name)| TabView {
        key,
        name,
        is_open: key == at,
    })
}

/// Paints the tabs; a click is the press of the function key.
pub fn tabs_ui(ui: &mut Ui, rect: Rect, tabs: &[TabView], look: &Look, presses: &mut Vec<Press>) {
    if !has_area(rect) {
        return;
    }
    let tokens = &look.tokens;
    ui.painter().rect_filled(rect, 0.0, tokens.ground);
    let edge = (tokens.hairline, tokens.line);
    ui.painter().hline(rect.x_range(), rect.bottom(), edge);
    let mut left = rect.left() + MARGIN.min(rect.width() / 8.0) - PAD;
    for tab in tabs {
        let key = format!("F{}", tab.key);
        let key_wide = text_width(ui.painter(), &key, TEXT, bold());
        let name_wide = text_width(ui.painter(), tab.name, TEXT, REGULAR);
        let right = left + key_wide + name_wide + 2.0 * PAD + 5.0;
        if right > rect.right() {
            return;
        }
        let place = Rect::from_x_y_ranges(Rangef::new(left, right), rect.y_range());
        let (ground, ink, key_ink) = match tab.is_open {
            true => (tokens.chosen, tokens.ground, tokens.ground),
            false => (tokens.ground, tokens.text, tokens.muted),
        };
        let open = if tab.is_open { ", open" } else { "" };
        let said = format!("{key} {}{open}", tab.name);
        let id = format!("tab {}", tab.key);
        if name_ui(ui, place, &id, &said, true).clicked() {
            presses.push(Press::Room(tab.key));
        }
        ui.painter().rect_filled(place, 0.0, ground);
        let inner = place.shrink2(vec2(PAD, 0.0));
        let split = inner.left() + key_wide + 1.0;
        let cap = Rect::from_x_y_ranges(Rangef::new(inner.left(), split), inner.y_range());
        Line::bold(TEXT, key_ink).paint(ui, cap, &key);
        let name = Rangef::new(split + 4.0, inner.right() + 2.0);
        let name = Rect::from_x_y_ranges(name, inner.y_range());
        Line::regular(TEXT, ink).paint(ui, name, tab.name);
        left = right + 4.0;
    }
}
