//! The foot: is it recorded, how are the gauges, which keys do something now, and the caution.

use eframe::egui::{Align2, Rangef, Rect, Shape, Stroke, Ui, pos2, vec2};

use super::line_ui::{
    Line, cut_left, cut_left_most, cut_right, cut_right_most, cut_top, has_area, inset, name_ui,
};
use super::look::{Look, REGULAR, bold, paint_mark, paint_pattern, pattern_of, text_width};
use super::view::{JournalView, KeyView, Mark, StatusView};

const TEXT: f32 = 11.5;
const LINE: f32 = 18.0;
const KEY_LINE: f32 = 17.0;
const MARGIN: f32 = 12.0;
const GAP: f32 = 13.0;
const ALARM: f32 = 30.0;

/// Height of the foot.
pub(super) fn foot_height(keys: &[KeyView]) -> f32 {
    let for_keys = if keys.is_empty() { 0.0 } else { KEY_LINE };
    8.0 + LINE + for_keys
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
    let mut line = cut_top(&mut rest, LINE);
    caution_ui(ui, &mut line, &status.caution, look);
    states_ui(ui, line, status, look);
    let line = cut_top(&mut rest, KEY_LINE);
    if has_area(line) {
        keys_ui(ui, line, keys, look);
    }
}

/// The journal, then the gauges in what is left.
fn states_ui(ui: &mut Ui, line: Rect, status: &StatusView, look: &Look) {
    let tokens = &look.tokens;
    let mut rest = line;
    if status.journal.is_recorded {
        let text = &status.journal.text;
        let wide = text_width(ui.painter(), text, TEXT, REGULAR);
        let place = cut_left_most(&mut rest, wide, 0.6);
        Line::regular(TEXT, tokens.text).say(ui, place, "journal", text);
        cut_left(&mut rest, GAP);
    }
    let mark = TEXT * 0.8;
    // Those with something wrong come first: not all of them may fit.
    let (ready, troubled): (Vec<_>, Vec<_>) =
        status.gauges.iter().partition(|gauge| gauge.is_ready);
    let all: Vec<_> = troubled.into_iter().chain(ready).collect();
    let widths: Vec<f32> = all
        .iter()
        .map(|gauge| text_width(ui.painter(), &gauge.text, TEXT, REGULAR) + mark + 7.0)
        .collect();
    for (at, (gauge, &wide)) in all.iter().zip(&widths).enumerate() {
        let others: f32 = widths.iter().skip(at + 1).map(|wide| wide + GAP).sum();
        let for_others = others.min(54.0);
        if wide + for_others > rest.width() && (for_others > 0.0 || rest.width() < 90.0) {
            let text = format!("{} more", all.len() - at);
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

/// The keys that fit, the first being the most useful; the last, which leads to all the others,
/// stands whatever else must go.
fn keys_ui(ui: &mut Ui, line: Rect, keys: &[KeyView], look: &Look) {
    let wide = |ui: &Ui, key: &KeyView| {
        let (name, does) = key_widths(ui, key);
        name + does + 6.0
    };
    let Some((last, others)) = keys.split_last() else {
        return;
    };
    let end = line.right() - wide(ui, last);
    let mut left = line.left();
    for key in others {
        let right = left + wide(ui, key);
        if right + GAP > end {
            break;
        }
        let across = Rangef::new(left, right);
        key_ui(ui, Rect::from_x_y_ranges(across, line.y_range()), key, look);
        left = right + GAP;
    }
    let across = Rangef::new(left, left + wide(ui, last));
    let place = Rect::from_x_y_ranges(across, line.y_range());
    if place.right() <= line.right() + 1.0 {
        key_ui(ui, place, last, look);
    }
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

/// The caution with its sign, drawn as a shape, at the right; the line keeps what is left of it.
fn caution_ui(ui: &mut Ui, rest: &mut Rect, text: &str, look: &Look) {
    if text.is_empty() || !has_area(*rest) {
        return;
    }
    let wide = text_width(ui.painter(), text, TEXT, bold());
    let place = cut_right_most(rest, wide, 0.95);
    cut_right(rest, 22.0 + GAP);
    let ink = look.tokens.text;
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
    painter.vline(x, Rangef::new(y - 2.5, y + 1.5), Stroke::new(1.6, black));
    painter.circle_filled(pos2(x, y + 3.6), 1.0, black);
}
