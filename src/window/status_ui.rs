//! The foot: is it recorded, how are the gauges, which keys do something now, and the caution.

use eframe::egui::{Align2, Rect, Shape, Stroke, Ui, pos2, vec2};

use super::line_ui::{
    Line, cut_left, cut_left_most, cut_right_most, cut_top, has_area, inset, name_ui,
};
use super::look::{Look, REGULAR, bold, paint_mark, paint_pattern, pattern_of, text_width};
use super::view::{JournalView, KeyView, Mark, StatusView};

const TEXT: f32 = 11.5;
const LINE: f32 = 18.0;
const KEY_LINE: f32 = 17.0;
const MARGIN: f32 = 12.0;
const GAP: f32 = 14.0;
const ALARM: f32 = 30.0;
/// The keys take at most so many lines.
const KEY_LINES: usize = 3;

/// Height of the foot at this width.
pub(super) fn foot_height(ui: &Ui, width: f32, status: &StatusView, keys: &[KeyView]) -> f32 {
    let lines = key_places(ui, width - 2.0 * MARGIN, keys, &status.caution).1;
    let lines = f32::from(u8::try_from(lines).unwrap_or(u8::MAX));
    8.0 + LINE + KEY_LINE * lines
}

/// Height of the line that says that nothing is recorded.
pub(super) fn alarm_height(journal: &JournalView) -> f32 {
    if journal.is_recorded || journal.text.is_empty() {
        0.0
    } else {
        ALARM
    }
}

/// Paints the line that says that nothing is recorded, over the window's whole width.
pub(super) fn alarm_ui(ui: &mut Ui, rect: Rect, journal: &JournalView, look: &Look) {
    if !has_area(rect) {
        return;
    }
    let tokens = &look.tokens;
    let mark = Mark::NotRecorded;
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 0.0, tokens.no_go);
    paint_pattern(&painter, rect, pattern_of(mark), look);
    let plate = rect.shrink2(vec2(
        28.0_f32.min(rect.width() / 10.0),
        3.0_f32.min(rect.height() / 8.0),
    ));
    painter.rect_filled(plate, 0.0, tokens.plate(mark));
    let inner = inset(plate, 2.0).shrink2(vec2(6.0_f32.min(plate.width() / 8.0), 0.0));
    let line = Line::bold((inner.height() * 0.66).min(15.0), tokens.on_plate(mark));
    line.say(ui, inner, "journal", &journal.text);
}

/// Paints the last request that could not be carried out.
pub(super) fn message_ui(ui: &mut Ui, rect: Rect, message: &str, look: &Look) {
    if !has_area(rect) {
        return;
    }
    let tokens = &look.tokens;
    ui.painter().rect_filled(rect, 0.0, tokens.chosen);
    let inner = rect.shrink2(vec2(MARGIN.min(rect.width() / 8.0), 2.0));
    Line::regular(13.0, tokens.ground).say(ui, inner, "message", message);
}

/// Paints the foot.
pub(super) fn status_ui(
    ui: &mut Ui,
    rect: Rect,
    status: &StatusView,
    keys: &[KeyView],
    look: &Look,
) {
    if !has_area(rect) {
        return;
    }
    let tokens = &look.tokens;
    ui.painter().rect_filled(rect, 0.0, tokens.panel);
    let edge = Stroke::new(tokens.hairline, tokens.line);
    ui.painter().hline(rect.x_range(), rect.top(), edge);
    let mut rest = rect.shrink2(vec2(MARGIN.min(rect.width() / 8.0), 4.0));
    let line = cut_top(&mut rest, LINE);
    states_ui(ui, line, status, look);
    let (places, _) = key_places(ui, rest.width(), keys, &status.caution);
    for (key, offset) in keys.iter().zip(&places) {
        let place = Rect::from_min_size(rest.min + offset.min.to_vec2(), offset.size());
        if place.bottom() <= rect.bottom() + 1.0 && place.right() <= rest.right() + 1.0 {
            key_ui(ui, place, key, look);
        }
    }
    let high = KEY_LINE.min(rest.height());
    let foot = Rect::from_min_max(pos2(rest.left(), rest.bottom() - high), rest.max);
    caution_ui(ui, foot, &status.caution, look);
}

/// The journal, then the gauges in what is left.
fn states_ui(ui: &mut Ui, line: Rect, status: &StatusView, look: &Look) {
    let tokens = &look.tokens;
    let mut rest = line;
    if status.journal.is_recorded {
        let text = &status.journal.text;
        let wide = text_width(ui.painter(), text, TEXT, REGULAR);
        let place = cut_left_most(&mut rest, wide, 0.5);
        Line::regular(TEXT, tokens.text).say(ui, place, "journal", text);
        cut_left(&mut rest, GAP * 1.5);
    }
    let mark = TEXT * 0.8;
    for (at, gauge) in status.gauges.iter().enumerate() {
        let wide = text_width(ui.painter(), &gauge.text, TEXT, REGULAR) + mark + 7.0;
        let left = status.gauges.len() - at;
        let is_last = left == 1;
        let more = if is_last { 0.0 } else { 54.0 };
        if wide + more > rest.width() && (!is_last || rest.width() < 90.0) {
            let text = format!("{left} more");
            Line::regular(TEXT, tokens.muted).say(ui, rest, "more gauges", &text);
            return;
        }
        let mut place = cut_left(&mut rest, wide);
        cut_left(&mut rest, GAP);
        let side = cut_left(&mut place, mark);
        let side = Rect::from_center_size(side.center(), vec2(mark, mark));
        let (state, ink) = match gauge.is_ready {
            true => (Mark::Inside, tokens.text),
            false => (Mark::NoGo, tokens.text),
        };
        paint_mark(ui.painter(), side, state, look);
        cut_left(&mut place, 5.0);
        Line::regular(TEXT, ink).say(ui, place, &format!("gauge {at}"), &gauge.text);
    }
}

fn key_widths(ui: &Ui, key: &KeyView) -> (f32, f32) {
    let painter = ui.painter();
    (
        text_width(painter, &key.key, TEXT, bold()),
        text_width(painter, &key.does, TEXT, REGULAR),
    )
}

/// Where the keys stand from the upper left corner, and on how many lines, the caution with them.
fn key_places(ui: &Ui, width: f32, keys: &[KeyView], caution: &str) -> (Vec<Rect>, usize) {
    let mut places = Vec::with_capacity(keys.len());
    let (mut left, mut line) = (0.0, 0_u8);
    let top = |line: u8| f32::from(line) * KEY_LINE;
    for key in keys {
        let (name, does) = key_widths(ui, key);
        let wide = name + does + 6.0;
        if left > 0.0 && left + wide > width {
            left = 0.0;
            line += 1;
        }
        places.push(Rect::from_min_size(
            pos2(left, top(line)),
            vec2(wide, KEY_LINE),
        ));
        left += wide + GAP;
    }
    let caution = text_width(ui.painter(), caution, TEXT, bold()) + 24.0;
    if left > 0.0 && left + caution > width {
        line += 1;
    }
    (places, (usize::from(line) + 1).min(KEY_LINES))
}

fn key_ui(ui: &mut Ui, place: Rect, key: &KeyView, look: &Look) {
    let name = format!("{} {}", key.key, key.does);
    name_ui(ui, place, &format!("key {}", key.key), &name, false);
    let (wide, _) = key_widths(ui, key);
    let mut rest = place;
    let cap = cut_left(&mut rest, wide + 1.0);
    Line::bold(TEXT, look.tokens.text).paint(ui, cap, &key.key);
    cut_left(&mut rest, 4.0);
    Line::regular(TEXT, look.tokens.muted).paint(ui, rest.expand2(vec2(1.0, 0.0)), &key.does);
}

/// The caution with its sign, drawn as a shape.
fn caution_ui(ui: &mut Ui, line: Rect, text: &str, look: &Look) {
    if text.is_empty() || !has_area(line) {
        return;
    }
    let mut rest = line;
    let wide = text_width(ui.painter(), text, TEXT, bold());
    let place = cut_right_most(&mut rest, wide, 0.95);
    let ink = look.tokens.text;
    let ground = Rect::from_min_max(place.min - vec2(22.0, 0.0), place.max);
    ui.painter().rect_filled(ground, 0.0, look.tokens.panel);
    let line = Line::bold(TEXT, ink).at(Align2::RIGHT_CENTER);
    line.say(ui, place, "caution", text);
    let (x, y) = (place.left() - 10.0, place.center().y);
    let corners = vec![
        pos2(x, y - 6.0),
        pos2(x + 7.0, y + 5.5),
        pos2(x - 7.0, y + 5.5),
    ];
    let painter = ui.painter();
    painter.add(Shape::convex_polygon(
        corners,
        look.tokens.cutting,
        Stroke::new(1.0, ink),
    ));
    let black = look.tokens.on_fill;
    painter.vline(
        x,
        eframe::egui::Rangef::new(y - 2.5, y + 1.5),
        Stroke::new(1.6, black),
    );
    painter.circle_filled(pos2(x, y + 3.6), 1.0, black);
}
