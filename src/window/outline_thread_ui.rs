//! Threads of the drawn part by the thin-line convention of ISO 6410-1 (from memory): the crest is
//! a visible edge, the root a thin line, the end of the thread a heavy line that stops at the
//! larger of the two. Hidden ones are dashed and thin. Section lines go to the crest.

use eframe::egui::{Painter, Shape, Stroke, pos2};

use super::look::Look;
use super::outline_metal_ui::{HEAVY, Scale, thin};
use super::view::OutlineShape;

/// From crest to root on the screen at least, in points: two lines must be seen, however flat the
/// thread (ISO 6410-1, from memory: not less than twice the heavy line).
const LEAST_DEPTH: f32 = 2.5 * HEAVY;
/// A thread is drawn no deeper than this part of its crest's radius.
const DEEPEST: f32 = 0.4;

/// Distances from the axis on the screen: what is seen, and the root.
fn crest_and_root(shape: &OutlineShape, scale: &Scale) -> Option<(f32, f32)> {
    let crest = scale.bottom(shape.radius_from) - scale.axis_y;
    let root = scale.bottom(shape.thread_root?) - scale.axis_y;
    let least = LEAST_DEPTH.min(DEEPEST * crest);
    let depth = (root - crest).abs().max(least);
    let root = if shape.is_bore {
        crest + depth
    } else {
        crest - depth
    };
    (crest.is_finite() && root.is_finite() && crest > 0.0).then_some((crest, root.max(0.0)))
}

/// The radius that a leader points at: of a thread its major one.
pub(super) fn major_radius(shape: &OutlineShape) -> f32 {
    let seen = (shape.radius_from + shape.radius_to) / 2.0;
    shape.thread_root.map_or(seen, |root| root.max(seen))
}

/// A thread of the outside: seen in the upper half, cut in the lower one.
pub(super) fn outside_thread_ui(
    painter: &Painter,
    shape: &OutlineShape,
    scale: &Scale,
    look: &Look,
) {
    let Some((crest, root)) = crest_and_root(shape, scale) else {
        return;
    };
    let (left, right) = (scale.x(shape.from), scale.x(shape.to));
    for y in [scale.axis_y - root, scale.axis_y + root] {
        painter.line_segment([pos2(left, y), pos2(right, y)], thin(look));
    }
    let heavy = Stroke::new(HEAVY, look.tokens.text);
    for x in [left, right] {
        let seen = [pos2(x, scale.axis_y), pos2(x, scale.axis_y - crest)];
        let cut = [pos2(x, scale.axis_y + root), pos2(x, scale.axis_y + crest)];
        painter.line_segment(seen, heavy);
        painter.line_segment(cut, heavy);
    }
}

/// A thread of a bore: cut in the lower half, hidden in the upper one.
pub(super) fn inside_thread_ui(painter: &Painter, bore: &OutlineShape, scale: &Scale, look: &Look) {
    let Some((crest, root)) = crest_and_root(bore, scale) else {
        return;
    };
    let (left, right) = (scale.x(bore.from), scale.x(bore.to));
    let below = scale.axis_y + root;
    painter.line_segment([pos2(left, below), pos2(right, below)], thin(look));
    let heavy = Stroke::new(HEAVY, look.tokens.text);
    for x in [left, right] {
        painter.line_segment([pos2(x, scale.axis_y + crest), pos2(x, below)], heavy);
    }
    let above = scale.axis_y - root;
    let hidden = [
        pos2(left, scale.axis_y - crest),
        pos2(left, above),
        pos2(right, above),
        pos2(right, scale.axis_y - crest),
    ];
    painter.extend(Shape::dashed_line(&hidden, thin(look), 4.0, 3.0));
}
