//! The characteristics in measuring order, each with the mark of its state; and the points of the
//! one that is measured.

use eframe::egui::{Align2, Rect, Stroke, StrokeKind, Ui, pos2, vec2};

use super::line_ui::{
    Line, cut_left, cut_left_most, cut_right, cut_right_most, cut_top, has_area, inset, name_ui,
    square_in,
};
use super::look::{Look, REGULAR, bold, paint_mark, paint_mark_on, text_width};
use super::outline_text_ui::{balloon_ui, balloon_width};
use super::press::Press;
use super::view::{PointView, RowView};

/// Height of a row: a finger hits it (WCAG 2.2, 2.5.8: at least 24, from memory).
const ROW: f32 = 26.0;
/// A line that says that a setting begins, or how many rows there are beyond.
const SMALL: f32 = 18.0;
const TEXT: f32 = 13.0;
const MARK: f32 = 12.0;
/// Height of the balloon with a characteristic's number.
const BALLOON: f32 = 16.0;

/// Paints as many rows as fit, the current one always among them.
pub(super) fn list_ui(
    ui: &mut Ui,
    rect: Rect,
    rows: &[RowView],
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if !has_area(rect) || rect.height() < ROW || rows.is_empty() {
        return;
    }
    let (from, to) = seen(rect.height(), rows);
    let mut rest = rect;
    let muted = look.tokens.muted;
    if from > 0 {
        let place = cut_top(&mut rest, SMALL);
        let text = format!("{from} more above");
        Line::regular(12.0, muted).say(
            ui,
            inset(place, 1.0).translate(vec2(8.0, 0.0)),
            "above",
            &text,
        );
    }
    for row in rows.iter().take(to).skip(from) {
        if let Some(setting) = &row.setting {
            let place = cut_top(&mut rest, SMALL);
            let line = (look.tokens.hairline, look.tokens.line);
            ui.painter().hline(place.x_range(), place.top() + 1.0, line);
            let place = Rect::from_min_max(place.min + vec2(8.0, 2.0), place.max);
            let id = format!("setting {}", row.target);
            Line::regular(12.0, muted).say(ui, place, &id, setting);
        }
        let place = cut_top(&mut rest, ROW);
        row_ui(ui, place, row, look, presses);
    }
    let beyond = rows.len() - to;
    if beyond > 0 {
        let place = cut_top(&mut rest, SMALL);
        let text = format!("{beyond} more below");
        Line::regular(12.0, muted).say(
            ui,
            inset(place, 1.0).translate(vec2(8.0, 0.0)),
            "below",
            &text,
        );
    }
}

fn height(row: &RowView) -> f32 {
    ROW + if row.setting.is_some() { SMALL } else { 0.0 }
}

/// Which rows are seen: all of them, or those around the current one.
fn seen(room: f32, rows: &[RowView]) -> (usize, usize) {
    let all: f32 = rows.iter().map(height).sum();
    if all <= room {
        return (0, rows.len());
    }
    let current = rows.iter().position(|row| row.is_current).unwrap_or(0);
    let mut left = room - 2.0 * SMALL - rows.get(current).map_or(0.0, height);
    let (mut from, mut to) = (current, (current + 1).min(rows.len()));
    loop {
        let below = rows.get(to).map(height).filter(|high| *high <= left);
        if let Some(high) = below {
            left -= high;
            to += 1;
        }
        let above = from.checked_sub(1).and_then(|at| rows.get(at)).map(height);
        let above = above.filter(|high| *high <= left);
        if let Some(high) = above {
            left -= high;
            from -= 1;
        }
        if below.is_none() && above.is_none() {
            return (from, to);
        }
    }
}

fn row_ui(ui: &mut Ui, rect: Rect, row: &RowView, look: &Look, presses: &mut Vec<Press>) {
    let response = name_ui(
        ui,
        rect,
        &format!("row {}", row.target),
        &row.spoken(),
        true,
    );
    if response.clicked() {
        presses.push(Press::Choose(row.target));
    }
    let tokens = &look.tokens;
    let ink = if row.is_current {
        ui.painter().rect_filled(rect, 0.0, tokens.chosen);
        tokens.ground
    } else {
        tokens.text
    };
    if response.hovered() || response.has_focus() {
        let edge = Stroke::new(tokens.hairline, tokens.muted);
        ui.painter()
            .rect_stroke(rect, 0.0, edge, StrokeKind::Inside);
    }
    let mut rest = rect.shrink2(vec2(8.0, 1.0));
    let mark = square_in(cut_left(&mut rest, MARK), MARK);
    paint_mark_on(ui.painter(), mark, row.mark, look, ink);
    cut_left(&mut rest, 6.0);
    let number = row.number.to_string();
    let wide = balloon_width(ui.painter(), &number, BALLOON, BALLOON);
    let place = cut_left(&mut rest, wide);
    let place = Rect::from_center_size(place.center(), vec2(place.width(), BALLOON));
    let ground = match row.is_current {
        true => tokens.chosen,
        false => tokens.ground,
    };
    balloon_ui(ui.painter(), place, &number, BALLOON, (ink, ground));
    cut_left(&mut rest, 6.0);
    let wide = text_width(ui.painter(), &row.id, TEXT, bold()).max(14.0);
    let id = cut_left_most(&mut rest, wide, 0.4);
    Line::bold(TEXT, ink).paint(ui, id, &row.id);
    cut_left(&mut rest, 8.0);
    let wide = text_width(ui.painter(), &row.state, TEXT, REGULAR);
    let state = cut_right_most(&mut rest, wide, 0.6);
    let line = Line::regular(TEXT, ink).at(Align2::RIGHT_CENTER);
    line.paint(ui, state, &row.state);
    cut_right(&mut rest, 8.0);
    Line::regular(TEXT, ink).paint(ui, rest, &row.callout);
}

/// Paints the points of a characteristic in a row, and its form beside them.
pub(super) fn points_ui(ui: &mut Ui, rect: Rect, points: &[PointView], form: &str, look: &Look) {
    if !has_area(rect) || points.is_empty() {
        return;
    }
    let tokens = &look.tokens;
    let size = (rect.height() * 0.48).clamp(10.0, 18.0);
    let mut rest = rect;
    let room = if form.is_empty() { 1.0 } else { 0.64 };
    let end = rect.left() + rect.width() * room;
    for (at, point) in points.iter().enumerate() {
        let value = if point.value.is_empty() {
            "open"
        } else {
            &point.value
        };
        let wide = text_width(ui.painter(), value, size, REGULAR) + size * 3.2;
        let left = points.len() - at;
        if rest.left() + wide > end && left > 0 {
            let text = format!("{left} more");
            let place = cut_left(&mut rest, size * 4.5);
            Line::regular(size * 0.9, tokens.muted).say(ui, place, "more points", &text);
            break;
        }
        let place = cut_left(&mut rest, wide);
        cut_left(&mut rest, 6.0);
        point_ui(ui, place, point, value, look);
    }
    let form_place = Rect::from_min_max(pos2(rest.left() + 8.0, rest.top() - 2.0), rest.max);
    let line = Line::regular(12.0, tokens.muted).on(2);
    line.say(ui, form_place, "form", form);
}

fn point_ui(ui: &mut Ui, place: Rect, point: &PointView, value: &str, look: &Look) {
    let tokens = &look.tokens;
    let size = (place.height() * 0.48).clamp(10.0, 18.0);
    let id = format!("point {}", point.number);
    name_ui(ui, place, &id, &point.spoken(), false);
    let edge = if point.is_current {
        Stroke::new(2.0 * tokens.hairline.max(1.0), tokens.text)
    } else {
        Stroke::new(tokens.hairline, tokens.line)
    };
    ui.painter()
        .rect_stroke(place, 0.0, edge, StrokeKind::Inside);
    let mut rest = place.shrink2(vec2(6.0, 1.0));
    let mark = square_in(cut_left(&mut rest, size * 0.8), size * 0.8);
    paint_mark(ui.painter(), mark, point.mark, look);
    cut_left(&mut rest, 5.0);
    let number = cut_left(&mut rest, size * 0.75);
    Line::bold(size * 0.9, tokens.muted).paint(ui, number, &point.number.to_string());
    let ink = if point.value.is_empty() {
        tokens.muted
    } else {
        tokens.text
    };
    let line = Line::regular(size, ink).at(Align2::RIGHT_CENTER);
    line.paint(ui, rest, value);
}
