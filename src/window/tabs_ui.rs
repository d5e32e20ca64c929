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
/// What the key on the right does.
const WHAT: (&str, &str) = ("F7", "what is this");

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
pub fn tabs(at: u8) -> [TabView; 6] {
    let rooms = [
        (1, "Bench"),
        (2, "Plan"),
        (3, "Pairs"),
        (4, "Batch"),
        (5, "Records"),
        (6, "Gauges"),
    ];
    rooms.map(|(key, name)| TabView {
        key,
        name,
        is_open: key == at,
    })
}

/// A key and the word beside it.
struct Cap<'a> {
    key: &'a str,
    name: &'a str,
    id: String,
    said: String,
    /// It is the room that is seen.
    is_open: bool,
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
    let margin = MARGIN.min(rect.width() / 8.0) - PAD;
    let mut left = rect.left() + margin;
    for tab in tabs {
        let key = format!("F{}", tab.key);
        let open = if tab.is_open { ", open" } else { "" };
        let cap = Cap {
            key: &key,
            name: tab.name,
            id: format!("tab {}", tab.key),
            said: format!("{key} {}{open}", tab.name),
            is_open: tab.is_open,
        };
        let right = left + cap_width(ui, &cap);
        if right > rect.right() {
            return;
        }
        let place = Rect::from_x_y_ranges(Rangef::new(left, right), rect.y_range());
        if cap_ui(ui, place, &cap, look) {
            presses.push(Press::Room(tab.key));
        }
        left = right + 4.0;
    }
    let cap = Cap {
        key: WHAT.0,
        name: WHAT.1,
        id: "tab what".to_owned(),
        said: format!("{} {}", WHAT.0, WHAT.1),
        is_open: false,
    };
    let right = rect.right() - margin;
    let begins = right - cap_width(ui, &cap);
    if begins > left {
        let place = Rect::from_x_y_ranges(Rangef::new(begins, right), rect.y_range());
        if cap_ui(ui, place, &cap, look) {
            presses.push(Press::Explain);
        }
    }
}

fn cap_width(ui: &Ui, cap: &Cap<'_>) -> f32 {
    let key = text_width(ui.painter(), cap.key, TEXT, bold());
    key + text_width(ui.painter(), cap.name, TEXT, REGULAR) + 2.0 * PAD + 5.0
}

/// Paints key and word; true when it is pointed at.
fn cap_ui(ui: &mut Ui, place: Rect, cap: &Cap<'_>, look: &Look) -> bool {
    let tokens = &look.tokens;
    let (ground, ink, key_ink) = match cap.is_open {
        true => (tokens.chosen, tokens.ground, tokens.ground),
        false => (tokens.ground, tokens.text, tokens.muted),
    };
    let is_clicked = name_ui(ui, place, &cap.id, &cap.said, true).clicked();
    ui.painter().rect_filled(place, 0.0, ground);
    let inner = place.shrink2(vec2(PAD, 0.0));
    let split = inner.left() + text_width(ui.painter(), cap.key, TEXT, bold()) + 1.0;
    let key = Rect::from_x_y_ranges(Rangef::new(inner.left(), split), inner.y_range());
    Line::bold(TEXT, key_ink).paint(ui, key, cap.key);
    let name = Rangef::new(split + 4.0, inner.right() + 2.0);
    let name = Rect::from_x_y_ranges(name, inner.y_range());
    Line::regular(TEXT, ink).paint(ui, name, cap.name);
    is_clicked
}
