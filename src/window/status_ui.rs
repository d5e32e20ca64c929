//! The foot: is it recorded, how are the gauges, which keys do something now, and the caution.

use eframe::egui::{Align2, Color32, Painter, Pos2, Rangef, Rect, Shape, Stroke, Ui, pos2, vec2};

use super::line_ui::{
    Line, cut_left, cut_left_most, cut_right, cut_right_most, cut_top, has_area, inset, name_ui,
};
use super::look::{Look, REGULAR, bold, paint_mark, paint_pattern, pattern_of, text_width};
use super::press::Press;
use super::view::{JournalView, KeyView, Mark, StatusView};

const TEXT: f32 = 11.5;
const LINE: f32 = 18.0;
const KEY_LINE: f32 = 17.0;
const MARGIN: f32 = 12.0;
const GAP: f32 = 13.0;
const ALARM: f32 = 30.0;
/// Room for how many gauges more there are.
const MORE: f32 = 54.0;
/// The key that a pointer presses too: what comes next must not need another hand.
const ENTER: &str = "Enter";

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

/// Paints the foot. Where Enter does something now, it may be pointed at.
pub(super) fn status_ui(
    ui: &mut Ui,
    rect: Rect,
    status: &StatusView,
    keys: &[KeyView],
    look: &Look,
    presses: &mut Vec<Press>,
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
        keys_ui(ui, line, keys, look, presses);
    }
}

/// The journal, then the gauges in what is left.
fn states_ui(ui: &mut Ui, line: Rect, status: &StatusView, look: &Look) {
    let tokens = &look.tokens;
    let mut rest = line;
    let mark = TEXT * 0.8;
    // Those with something wrong come first: not all of them may fit.
    let (ready, troubled): (Vec<_>, Vec<_>) =
        status.gauges.iter().partition(|gauge| gauge.is_ready);
    let all: Vec<_> = troubled.into_iter().chain(ready).collect();
    let widths: Vec<f32> = all
        .iter()
        .map(|gauge| text_width(ui.painter(), &gauge.text, TEXT, REGULAR) + mark + 7.0)
        .collect();
    if status.journal.is_recorded {
        let text = &status.journal.text;
        let wide = text_width(ui.painter(), text, TEXT, REGULAR);
        // The name of a record may be long: the first gauge is read all the same.
        let more = if widths.len() > 1 { MORE } else { 0.0 };
        let first = widths.first().map_or(0.0, |wide| wide + more + GAP * 2.0);
        let share = (1.0 - first / rest.width().max(1.0)).clamp(0.3, 0.6);
        let place = cut_left_most(&mut rest, wide, share);
        Line::regular(TEXT, tokens.text).say(ui, place, "journal", text);
        cut_left(&mut rest, GAP);
    }
    for (at, (gauge, &wide)) in all.iter().zip(&widths).enumerate() {
        let others: f32 = widths.iter().skip(at + 1).map(|wide| wide + GAP).sum();
        let for_others = others.min(MORE);
        if wide + for_others > rest.width() && (for_others > 0.0 || rest.width() < 90.0) {
            let text = format!("{} more", all.len() - at);
            Line::regular(TEXT, tokens.muted).say(ui, rest, "more gauges", &text);
            return;
        }
        let mut place = cut_left(&mut rest, wide);
        cut_left(&mut rest, GAP);
        let side = cut_left(&mut place, mark);
        let side = Rect::from_center_size(side.center(), vec2(mark, mark));
        let state = match (gauge.is_ready, gauge.is_due) {
            (true, _) => Mark::Inside,
            (false, true) => Mark::Doubt,
            (false, false) => Mark::NoGo,
        };
        paint_mark(ui.painter(), side, state, look);
        cut_left(&mut place, 5.0);
        let line = Line::regular(TEXT, tokens.text);
        line.say(ui, place, &format!("gauge {at}"), &gauge.text);
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
fn keys_ui(ui: &mut Ui, line: Rect, keys: &[KeyView], look: &Look, presses: &mut Vec<Press>) {
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
        let place = Rect::from_x_y_ranges(across, line.y_range());
        key_ui(ui, place, key, look, presses);
        left = right + GAP;
    }
    let across = Rangef::new(left, left + wide(ui, last));
    let place = Rect::from_x_y_ranges(across, line.y_range());
    if place.right() <= line.right() + 1.0 {
        key_ui(ui, place, last, look, presses);
    }
}

fn key_ui(ui: &mut Ui, place: Rect, key: &KeyView, look: &Look, presses: &mut Vec<Press>) {
    let name = format!("{} {}", key.key, key.does);
    let can_press = key.key == ENTER;
    let response = name_ui(ui, place, &format!("key {}", key.key), &name, can_press);
    // The second click of two was meant for what the first one did.
    if can_press && response.clicked() && !response.double_clicked() {
        presses.push(Press::Enter);
    }
    if can_press && response.hovered() {
        let edge = Stroke::new(look.tokens.hairline, look.tokens.text);
        ui.painter().hline(place.x_range(), place.bottom(), edge);
    }
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
    let sign = pos2(place.left() - 10.0, place.center().y - 0.25);
    attention_ui(ui.painter(), sign, 11.5, ink, look);
}

/// The sign of a caution: a triangle so high, with its stroke and dot.
pub(super) fn attention_ui(painter: &Painter, at: Pos2, high: f32, ink: Color32, look: &Look) {
    let (half, side) = (high / 2.0, high * 0.61);
    let corners = vec![
        at - vec2(0.0, half),
        at + vec2(side, half),
        at + vec2(-side, half),
    ];
    painter.add(Shape::convex_polygon(
        corners,
        look.tokens.cutting,
        Stroke::new(high * 0.087, ink),
    ));
    let black = look.tokens.on_fill;
    let stroke = Rangef::new(at.y - high * 0.2, at.y + high * 0.15);
    painter.vline(at.x, stroke, Stroke::new(high * 0.14, black));
    painter.circle_filled(at + vec2(0.0, high * 0.33), high * 0.087, black);
}
