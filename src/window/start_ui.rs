//! Paints the Start room.

use eframe::egui::{Align2, Color32, Painter, Rect, Ui, pos2, vec2};

use super::line_ui::{cut_bottom, cut_top};
use super::look::{Look, REGULAR, bold, fitted_text, spoken, text_width, wrapped_text};
use super::press::Press;
use super::room_ui::{first_seen, fitting};
use super::start_view::{FieldView, ItemView, StartView};

const MARGIN: f32 = 16.0;
const GAP: f32 = 8.0;
const TITLE: f32 = 24.0;
const SMALL: f32 = 15.0;
const FIELD_HEIGHT: f32 = 48.0;
const FIELD_TEXT: f32 = 26.0;
/// Height of a line of the explanation.
const LINE: f32 = 22.0;
/// Most lines of the explanation.
const LINES: usize = 3;
/// Height of a row of the list, for fingers (WCAG 2.2, 2.5.8, from memory: at least 24).
const ROW: f32 = 36.0;
const CAUTION: &str = "Stop the spindle and keep hands and gauges clear before measuring.";

/// Paints the room; a click on an entry is the press of its number.
pub fn start_ui(ui: &mut Ui, view: &StartView, look: &Look, presses: &mut Vec<Press>) {
    let window = ui.max_rect().intersect(ui.clip_rect());
    if !window.is_positive() || !window.is_finite() {
        return;
    }
    ui.painter().rect_filled(window, 0.0, look.tokens.ground);
    let margin = MARGIN.min(window.width() / 8.0).min(window.height() / 8.0);
    let mut rest = window.shrink(margin);
    head_ui(ui, &mut rest, view, look);
    foot_ui(ui, &mut rest, view, look);
    let title = cut_top(&mut rest, LINE);
    let (size, ink) = (SMALL, look.tokens.muted);
    text_ui(ui, title, "list", &view.list_title, size, false, ink);
    list_ui(ui, rest, &view.items, look, presses);
}

/// Title, field and what its text means.
fn head_ui(ui: &mut Ui, rest: &mut Rect, view: &StartView, look: &Look) {
    let tokens = &look.tokens;
    let title = cut_top(rest, TITLE * 1.3);
    text_ui(ui, title, "title", "Fitledger", TITLE, true, tokens.text);
    let label = cut_top(rest, LINE);
    text_ui(
        ui,
        label,
        "label",
        &view.field.label,
        SMALL,
        false,
        tokens.muted,
    );
    let field = cut_top(rest, FIELD_HEIGHT);
    field_ui(ui, field, &view.field, look);
    for at in 0..LINES {
        let line = cut_top(rest, LINE);
        if let Some(text) = view.field.lines.get(at) {
            let id = format!("line {at}");
            text_ui(ui, line, &id, text, SMALL + 2.0, false, tokens.text);
        }
    }
}

/// Caution, keys, and what went wrong, from the bottom up.
fn foot_ui(ui: &mut Ui, rest: &mut Rect, view: &StartView, look: &Look) {
    let tokens = &look.tokens;
    let foot = cut_bottom(rest, LINE);
    text_ui(ui, foot, "caution", CAUTION, SMALL, false, tokens.muted);
    let keys = cut_bottom(rest, LINE + 2.0);
    let strip = view.keys.iter().map(|(key, does)| format!("{key}: {does}"));
    let strip = strip.collect::<Vec<_>>().join("     ");
    text_ui(ui, keys, "keys", &strip, SMALL, false, tokens.text);
    let notes = view.notes.join(" ");
    if !notes.is_empty() {
        let place = cut_bottom(rest, 2.0 * LINE);
        block_ui(ui, place, "notes", &notes, tokens.muted);
    }
    if !view.fault.is_empty() {
        let place = cut_bottom(rest, 3.0 * LINE + GAP);
        fault_ui(ui, place, view, look);
    }
}

fn text_ui(ui: &mut Ui, place: Rect, id: &str, text: &str, size: f32, is_bold: bool, ink: Color32) {
    if !place.is_positive() || text.is_empty() {
        return;
    }
    spoken(ui, place, id, text, false);
    let family = if is_bold { bold() } else { REGULAR };
    let painter = ui.painter_at(place);
    fitted_text(
        &painter,
        place,
        Align2::LEFT_CENTER,
        text,
        size,
        family,
        ink,
    );
}

/// A text of several lines.
fn block_ui(ui: &mut Ui, place: Rect, id: &str, text: &str, ink: Color32) {
    if !place.is_positive() {
        return;
    }
    spoken(ui, place, id, text, false);
    let painter = ui.painter_at(place);
    wrapped_text(
        &painter,
        (place, 3),
        Align2::LEFT_TOP,
        text,
        SMALL,
        REGULAR,
        ink,
    );
}

fn field_ui(ui: &mut Ui, place: Rect, field: &FieldView, look: &Look) {
    if !place.is_positive() {
        return;
    }
    let said = format!("{}: {}", field.label, field.text);
    spoken(ui, place, "field", &said, false);
    let painter = ui.painter_at(place);
    let tokens = &look.tokens;
    let edge = if field.is_focused {
        tokens.text
    } else {
        tokens.line
    };
    painter.rect_filled(place, 0.0, edge);
    painter.rect_filled(place.shrink(2.0), 0.0, tokens.panel);
    let inner = place.shrink2(vec2(10.0_f32.min(place.width() / 4.0), 4.0));
    if !inner.is_positive() {
        return;
    }
    // What does not fit is cut on the left: one sees what one types.
    let seen = tail_that_fits(&painter, &field.text, inner.width() - 4.0);
    let cut = field.text.chars().count() - seen.chars().count();
    let ink = tokens.text;
    fitted_text(
        &painter,
        inner,
        Align2::LEFT_CENTER,
        seen,
        FIELD_TEXT,
        REGULAR,
        ink,
    );
    let x_of = |characters: usize| {
        let before: String = seen.chars().take(characters).collect();
        inner.left() + text_width(&painter, &before, FIELD_TEXT, REGULAR)
    };
    if let Some(at) = field.wrong_at.and_then(|at| at.checked_sub(cut)) {
        let (from, to) = (x_of(at), x_of(at + 1).max(x_of(at) + 8.0));
        let bottom = inner.bottom();
        let under = Rect::from_min_max(pos2(from, bottom - 3.0), pos2(to, bottom));
        painter.rect_filled(under, 0.0, tokens.no_go);
    }
    if field.is_focused {
        let x = x_of(usize::MAX) + 1.0;
        let cursor = Rect::from_min_max(
            pos2(x, inner.top() + 6.0),
            pos2(x + 2.0, inner.bottom() - 6.0),
        );
        painter.rect_filled(cursor, 0.0, ink);
    }
}

fn tail_that_fits<'a>(painter: &Painter, text: &'a str, width: f32) -> &'a str {
    let fits = |part: &str| text_width(painter, part, FIELD_TEXT, REGULAR) <= width;
    let starts = text.char_indices().map(|(at, _)| at);
    let mut parts = starts.filter_map(|at| text.get(at..));
    parts.find(|part| fits(part)).unwrap_or("")
}

fn fault_ui(ui: &mut Ui, place: Rect, view: &StartView, look: &Look) {
    if !place.is_positive() {
        return;
    }
    let painter = ui.painter_at(place);
    let tokens = &look.tokens;
    painter.rect_filled(place, 0.0, tokens.panel);
    let bar = Rect::from_min_max(place.min, pos2(place.left() + 6.0, place.bottom()));
    painter.rect_filled(bar.intersect(place), 0.0, tokens.no_go);
    let text = format!("{} {}", view.fault, view.hint);
    let inner = Rect::from_min_max(place.min + vec2(14.0, 4.0), place.max - vec2(4.0, 4.0));
    block_ui(ui, inner, "fault", text.trim(), tokens.text);
}

/// As many rows as there is room for, with the chosen one among them.
fn list_ui(ui: &mut Ui, place: Rect, items: &[ItemView], look: &Look, presses: &mut Vec<Press>) {
    if !place.is_positive() {
        return;
    }
    let fit = fitting(place.height(), ROW, items.len());
    let chosen = items.iter().position(|item| item.is_chosen).unwrap_or(0);
    let first = first_seen(chosen, fit);
    let mut rest = place;
    for (at, item) in items.iter().enumerate().skip(first).take(fit) {
        let row = cut_top(&mut rest, ROW);
        item_ui(ui, row.shrink2(vec2(0.0, 1.0)), at, item, look, presses);
    }
}

fn item_ui(
    ui: &mut Ui,
    place: Rect,
    at: usize,
    item: &ItemView,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if !place.is_positive() {
        return;
    }
    let said = match item.is_chosen {
        true => format!("{} {}, chosen", item.text, item.detail),
        false => format!("{} {}", item.text, item.detail),
    };
    let response = spoken(ui, place, &format!("item {at}"), said.trim(), true);
    if response.clicked() {
        presses.push(Press::Choose(at));
    }
    let painter = ui.painter_at(place);
    let tokens = &look.tokens;
    let (ground, ink, _) = tokens.row(item.is_chosen);
    painter.rect_filled(place, 0.0, ground);
    let inner = place.shrink2(vec2(8.0_f32.min(place.width() / 4.0), 2.0));
    let key = Rect::from_min_max(inner.min, pos2(inner.left() + 28.0, inner.bottom()));
    let middle = (inner.left() + 32.0 + (inner.width() - 32.0) * 0.6).max(key.right());
    let name = Rect::from_min_max(
        pos2(key.right() + 4.0, inner.top()),
        pos2(middle, inner.bottom()),
    );
    let detail = Rect::from_min_max(pos2(middle + GAP, inner.top()), inner.max);
    let parts = [
        (key, Align2::LEFT_CENTER, &item.key, 17.0, bold()),
        (name, Align2::LEFT_CENTER, &item.text, 17.0, REGULAR),
        (detail, Align2::RIGHT_CENTER, &item.detail, SMALL, REGULAR),
    ];
    for (rect, anchor, text, size, family) in parts {
        let rect = rect.intersect(place);
        if rect.is_positive() && !text.is_empty() {
            fitted_text(&painter, rect, anchor, text, size, family, ink);
        }
    }
}
