//! Patterns, so that states differ without colour: GO plain, NO-GO and metal gone diagonal
//! hatch, guard zones and DOUBT dots, metal on and CUTTING long lines along the bar.

use eframe::egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, pos2, vec2};

use super::Look;
use super::text::has_room;
use crate::window::view::Mark;

/// One pattern.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// Plain fill.
    Plain,
    /// Diagonal hatch.
    Hatch,
    /// Dots.
    Dots,
    /// Long lines.
    Lines,
}

/// The pattern of a state.
pub fn pattern_of(mark: Mark) -> Pattern {
    match mark {
        Mark::NoGo | Mark::NotRecorded => Pattern::Hatch,
        Mark::Doubt | Mark::Held => Pattern::Dots,
        Mark::Cutting => Pattern::Lines,
        Mark::Open | Mark::Inside | Mark::Noted | Mark::Go | Mark::NotSelected => Pattern::Plain,
    }
}

/// Most shapes that one pattern is made of.
const MOST: f32 = 300.0;

/// Paints a pattern over a rectangle, cut at its edges.
pub fn paint_pattern(painter: &Painter, rect: Rect, pattern: Pattern, look: &Look) {
    if !has_room(rect) {
        return;
    }
    let ink = look.tokens.on_fill;
    match pattern {
        Pattern::Plain => {}
        Pattern::Hatch => hatch(painter, rect, (14.0, 5.5), ink.gamma_multiply(0.6)),
        Pattern::Dots => dots(painter, rect, 8.0, ink.gamma_multiply(0.62)),
        Pattern::Lines => lines(painter, rect, (12.0, 2.0), ink.gamma_multiply(0.42)),
    }
}

/// Bands that rise to the right; `pitch` and `width` along the level.
pub(super) fn hatch(painter: &Painter, rect: Rect, pitch_width: (f32, f32), ink: Color32) {
    let (pitch, width) = pitch_width;
    let reach = rect.width() + rect.height();
    let pitch = pitch.max(reach / MOST);
    let mut from = 0.0;
    while from < reach {
        let band = band(rect, from, (from + width).min(reach));
        if band.len() >= 3 {
            painter.add(Shape::convex_polygon(band, ink, Stroke::NONE));
        }
        from += pitch;
    }
}

/// The part of a rectangle whose distance from its upper left corner, along x plus y, lies
/// between two numbers: a convex shape of at most six corners.
fn band(rect: Rect, from: f32, to: f32) -> Vec<Pos2> {
    let (wide, high) = (rect.width(), rect.height());
    let along_top = |sum: f32| vec2(sum.min(wide), (sum - wide).max(0.0));
    let along_left = |sum: f32| vec2((sum - high).max(0.0), sum.min(high));
    let mut corners = vec![along_left(from), along_top(from)];
    if from < wide && wide < to {
        corners.push(vec2(wide, 0.0));
    }
    corners.push(along_top(to));
    corners.push(along_left(to));
    if from < high && high < to {
        corners.push(vec2(0.0, high));
    }
    corners.dedup_by(|a, b| (*a - *b).length() < 0.01);
    corners
        .into_iter()
        .map(|corner| rect.min + corner)
        .collect()
}

/// Whole dots on a square grid, centred in the rectangle.
fn dots(painter: &Painter, rect: Rect, pitch: f32, ink: Color32) {
    let pitch = pitch.max((rect.area() / MOST).sqrt());
    let radius = pitch * 0.2;
    let across = (rect.width() / pitch).floor();
    let down = (rect.height() / pitch).floor();
    let first = rect.center() - vec2(across - 1.0, down - 1.0) * pitch / 2.0;
    let mut row = 0.0;
    while row < down {
        let mut column = 0.0;
        while column < across {
            painter.circle_filled(first + vec2(column, row) * pitch, radius, ink);
            column += 1.0;
        }
        row += 1.0;
    }
}

/// Level lines over the whole width.
fn lines(painter: &Painter, rect: Rect, pitch_width: (f32, f32), ink: Color32) {
    let (pitch, width) = pitch_width;
    let pitch = pitch.max(rect.height() / MOST);
    let count = (rect.height() / pitch).floor().max(1.0);
    let mut middle = rect.center().y - (count - 1.0) * pitch / 2.0;
    while middle + width / 2.0 <= rect.bottom() + 0.01 {
        let line = Rect::from_min_max(
            pos2(rect.left(), (middle - width / 2.0).max(rect.top())),
            pos2(rect.right(), middle + width / 2.0),
        );
        painter.rect_filled(line, 0.0, ink);
        middle += pitch;
    }
}

/// Paints the small mark of a state: fill, pattern and shape that differ from each other.
pub fn paint_mark(painter: &Painter, rect: Rect, mark: Mark, look: &Look) {
    paint_mark_on(painter, rect, mark, look, look.tokens.text);
}

/// The same on a ground of another colour: `ink` is the colour of text there.
pub fn paint_mark_on(painter: &Painter, rect: Rect, mark: Mark, look: &Look, ink: Color32) {
    let side = rect.width().min(rect.height());
    if side < 2.0 {
        return;
    }
    let square = Rect::from_center_size(rect.center(), vec2(side, side));
    let fill = look.tokens.fill(mark).unwrap_or(Color32::TRANSPARENT);
    let black = look.tokens.on_fill;
    let edge = Stroke::new((side * 0.09).max(1.0), ink);
    let cut = square.shrink(side * 0.09);
    match mark {
        Mark::Open => {
            painter.rect_stroke(square, 0.0, edge, StrokeKind::Inside);
        }
        Mark::Inside => {
            painter.circle_stroke(square.center(), side * 0.42, edge);
            painter.circle_filled(square.center(), side * 0.16, ink);
        }
        Mark::Noted => {
            // Lines of writing, in no frame.
            for at in [0.3, 0.5, 0.7] {
                let end = if at > 0.6 { 0.6 } else { 0.9 };
                stroke_in(painter, square, &[(0.1, at), (end, at)], edge);
            }
        }
        Mark::NotSelected => {
            let dash = Rect::from_center_size(square.center(), vec2(side * 0.8, side * 0.14));
            painter.rect_filled(dash, 0.0, ink);
        }
        Mark::Go => {
            painter.rect_filled(square, 0.0, fill);
            let tick = [(0.2, 0.52), (0.42, 0.74), (0.8, 0.28)];
            stroke_in(painter, square, &tick, Stroke::new(side * 0.15, black));
        }
        Mark::NoGo => {
            painter.rect_filled(square, 0.0, fill);
            let thick = Stroke::new(side * 0.16, black);
            stroke_in(painter, square, &[(0.2, 0.2), (0.8, 0.8)], thick);
            stroke_in(painter, square, &[(0.8, 0.2), (0.2, 0.8)], thick);
        }
        Mark::Cutting => {
            painter.rect_filled(square, 0.0, fill);
            for at in [0.24, 0.5, 0.76] {
                let thick = Stroke::new(side * 0.13, black);
                stroke_in(painter, square, &[(0.0, at), (1.0, at)], thick);
            }
        }
        Mark::Doubt => {
            painter.circle_filled(square.center(), side * 0.5, fill);
            for (x, y) in [(-0.2, 0.0), (0.2, 0.0), (0.0, -0.24), (0.0, 0.24)] {
                painter.circle_filled(square.center() + vec2(x, y) * side, side * 0.09, black);
            }
        }
        Mark::Held => {
            painter.circle_filled(square.center(), side * 0.5, fill);
            for at in [0.36, 0.64] {
                let thick = Stroke::new(side * 0.14, black);
                stroke_in(painter, square, &[(at, 0.26), (at, 0.74)], thick);
            }
        }
        Mark::NotRecorded => {
            painter.rect_filled(square, 0.0, fill);
            hatch(painter, cut, (side * 0.5, side * 0.22), black);
            painter.rect_stroke(square, 0.0, edge, StrokeKind::Inside);
        }
    }
    if look.tokens.has_edges {
        rim(painter, square, mark, edge);
    }
}

/// The edge of a mark whose fill alone would be too faint.
fn rim(painter: &Painter, square: Rect, mark: Mark, edge: Stroke) {
    match mark {
        Mark::Doubt | Mark::Held => {
            let radius = (square.width() - edge.width) / 2.0;
            painter.circle_stroke(square.center(), radius, edge);
        }
        Mark::Cutting => {
            painter.rect_stroke(square, 0.0, edge, StrokeKind::Inside);
        }
        _ => {}
    }
}

/// A line through places that are fractions of a square.
fn stroke_in(painter: &Painter, square: Rect, places: &[(f32, f32)], stroke: Stroke) {
    let at = |&(x, y): &(f32, f32)| square.min + vec2(x, y) * square.width();
    painter.line(places.iter().map(at).collect(), stroke);
}
