//! What is written at the drawn part: balloons, dimensions, the leader with its callout.

use eframe::egui::{
    Align2, Color32, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, Vec2, pos2, vec2,
};

use super::look::{Look, REGULAR, fitted_text, paint_mark, text_width};
use super::outline_metal_ui::{Scale, is_outside, thin};
use super::outline_thread_ui::major_radius;
use super::view::{OutlineShape, OutlineView};

/// No more of a text is measured: the rest cannot be seen anyway.
const MEASURED_MAX: usize = 120;

/// The bands of the box, from top to bottom.
pub(super) struct Bands {
    /// Text size.
    pub(super) size: f32,
    /// Where the leader has its callout; empty without one.
    pub(super) leader: Rect,
    /// Where the part is.
    pub(super) body: Rect,
    /// Down to here letters may stand; empty when there are none.
    pub(super) letters: Rect,
    /// A lane for each dimension line.
    pub(super) dimensions: Vec<Rect>,
}

/// Stroke of a balloon, in points.
const RING: f32 = 1.2;

/// How wide a balloon is that is so high: a circle, or longer where it has several numbers.
pub(super) fn balloon_width(painter: &Painter, text: &str, size: f32, high: f32) -> f32 {
    (width_of(painter, text, balloon_size(size, high)) + high * 0.5).max(high)
}

/// Its numbers are smaller than the text beside it, so that they stand inside the ring.
fn balloon_size(size: f32, high: f32) -> f32 {
    (size * 0.85).min(high * 0.7).max(6.0)
}

/// A balloon with its numbers, in the middle of its place.
pub(super) fn balloon_ui(
    painter: &Painter,
    place: Rect,
    text: &str,
    size: f32,
    (ink, ground): (Color32, Color32),
) {
    let high = place.height();
    painter.rect_filled(place, high / 2.0, ground);
    let ring = Stroke::new(RING, ink);
    painter.rect_stroke(place, high / 2.0, ring, StrokeKind::Inside);
    let size = balloon_size(size, high);
    fitted_text(
        painter,
        place,
        Align2::CENTER_CENTER,
        text,
        size,
        REGULAR,
        ink,
    );
}

fn width_of(painter: &Painter, text: &str, size: f32) -> f32 {
    let text: String = text.chars().take(MEASURED_MAX).collect();
    text_width(painter, &text, size, REGULAR) + 2.0
}

/// The largest radius of the outside between two places on the screen.
fn radius_over(view: &OutlineView, scale: &Scale, from: f32, to: f32) -> f32 {
    let metal = view.shapes.iter().filter(|shape| is_outside(shape));
    let over = metal.filter(|shape| scale.x(shape.from) < to && scale.x(shape.to) > from);
    over.map(|shape| shape.radius_from.max(shape.radius_to))
        .fold(0.0, f32::max)
}

/// Balloons: of the outside under it, of a wide bore in it, of a narrow bore beside.
pub(super) fn letters_ui(
    painter: &Painter,
    view: &OutlineView,
    scale: &Scale,
    bands: &Bands,
    look: &Look,
) {
    if !bands.letters.is_positive() {
        return;
    }
    let line = bands.letters.height();
    // Extension lines of dimensions: no letter is crossed.
    let lengths = view
        .shapes
        .iter()
        .filter(|shape| shape.is_length && !bands.dimensions.is_empty());
    let lines = lengths
        .flat_map(|shape| [shape.from, shape.to])
        .map(|end| scale.x(end));
    let line_at = |x: f32| Rect::from_x_y_ranges(x..=x, bands.body.top()..=bands.letters.bottom());
    let mut taken: Vec<Rect> = lines.map(line_at).collect();
    let mut shapes: Vec<&OutlineShape> = view.shapes.iter().collect();
    shapes.retain(|shape| !shape.is_length && !shape.balloon.is_empty());
    // The current one first: it is not the one to be left out.
    shapes.sort_by_key(|shape| shape.leader.is_none());
    for shape in shapes {
        let width = balloon_width(painter, &shape.balloon, bands.size, line);
        let width = width.min(bands.letters.width());
        let half = scale.half(shape, true);
        if shape.is_bore && half.height() >= bands.size * 1.1 && half.width() >= width + 4.0 {
            in_void_ui(
                painter,
                half,
                shape,
                vec2(width, line.min(half.height() - 2.0)),
                bands.size,
                look,
            );
            continue;
        }
        let under = |shift: f32| {
            let middle = half.center().x + shift;
            let least = bands.letters.left() + width / 2.0;
            let most = bands.letters.right() - width / 2.0;
            let middle = middle.clamp(least, most.max(least));
            let (from, to) = (middle - width / 2.0, middle + width / 2.0);
            let (first, last) = (from.min(half.left()), to.max(half.right()));
            let top = scale.bottom(radius_over(view, scale, first, last)) + 2.0;
            Rect::from_min_max(
                pos2(from, top),
                pos2(to, (top + line).min(bands.letters.bottom())),
            )
        };
        let aside = width / 2.0 + 2.0;
        let places = [0.0, aside, -aside, 2.0 * aside, -2.0 * aside].map(under);
        let clear = |place: &&Rect| !taken.iter().any(|other| other.intersects(**place));
        if let Some(place) = places.iter().find(clear) {
            let inks = (look.tokens.text, look.tokens.panel);
            balloon_ui(painter, *place, &shape.balloon, bands.size, inks);
            taken.push(*place);
        }
    }
}

fn in_void_ui(
    painter: &Painter,
    void: Rect,
    shape: &OutlineShape,
    room: Vec2,
    size: f32,
    look: &Look,
) {
    let place = Rect::from_center_size(void.center(), room);
    let fill = look.tokens.fill(shape.mark);
    let ink = match fill {
        Some(_) => look.tokens.on_fill,
        None => look.tokens.text,
    };
    // A clear ground: a pattern behind a number makes it hard to read.
    let ground = fill.unwrap_or(look.tokens.panel);
    balloon_ui(painter, place, &shape.balloon, size, (ink, ground));
}

/// A dimension line with its extension lines, the state's mark and the letter; its place.
pub(super) fn dimension_ui(
    painter: &Painter,
    band: Rect,
    view: &OutlineView,
    shape: &OutlineShape,
    scale: &Scale,
    size: f32,
    look: &Look,
) -> Rect {
    const ARROW: f32 = 7.0;
    let (left, right) = (scale.x(shape.from), scale.x(shape.to));
    let y = band.center().y;
    let stroke = thin(look);
    for x in [left, right] {
        let edge = scale.bottom(radius_over(view, scale, x - 1.0, x + 1.0)) + 2.0;
        painter.line_segment([pos2(x, edge), pos2(x, y + 3.0)], stroke);
    }
    let text = shape.leader.clone().unwrap_or_default();
    let side = size * 0.75;
    let high = (band.height() - 1.0).min(size * 1.35);
    let balloon = balloon_width(painter, &shape.balloon, size, high);
    let wanted = width_of(painter, &text, size) + side + balloon + 11.0;
    let width = wanted.min(band.width());
    let is_inside = right - left >= width + 2.0 * ARROW + 6.0;
    let middle = if is_inside {
        (left + right) / 2.0
    } else if right + 2.0 * ARROW + width <= band.right() {
        right + 2.0 * ARROW + width / 2.0
    } else {
        left - 2.0 * ARROW - width / 2.0
    };
    let least = band.left() + width / 2.0;
    let middle = middle.clamp(least, (band.right() - width / 2.0).max(least));
    let label = Rect::from_center_size(pos2(middle, y), vec2(width, band.height()));
    let outward = if is_inside { 1.0 } else { -1.0 };
    let reach = if is_inside { 0.0 } else { 2.0 * ARROW };
    painter.line_segment([pos2(left - reach, y), pos2(right + reach, y)], stroke);
    arrow_ui(painter, pos2(left, y), ARROW * outward, look);
    arrow_ui(painter, pos2(right, y), -ARROW * outward, look);
    painter.rect_filled(label, 0.0, look.tokens.panel);
    let box_of_mark =
        Rect::from_center_size(pos2(label.left() + 2.0 + side / 2.0, y), vec2(side, side));
    paint_mark(painter, box_of_mark, shape.mark, look);
    let ink = look.tokens.text;
    let left = box_of_mark.right() + 3.0;
    let ring = Rect::from_min_size(pos2(left, y - high / 2.0), vec2(balloon, high));
    let ring = ring.intersect(label);
    if ring.is_positive() {
        balloon_ui(
            painter,
            ring,
            &shape.balloon,
            size,
            (ink, look.tokens.panel),
        );
    }
    let rest = Rect::from_min_max(pos2(ring.right() + 3.0, label.top()), label.max);
    fitted_text(
        painter,
        rest,
        Align2::LEFT_CENTER,
        &text,
        size,
        REGULAR,
        ink,
    );
    label.union(Rect::from_x_y_ranges(left..=right, label.y_range()))
}

/// A slim arrow head with its point there, opening towards `length`.
fn arrow_ui(painter: &Painter, point: Pos2, length: f32, look: &Look) {
    let back = length.abs() / 4.0;
    let corners = [
        point,
        pos2(point.x + length, point.y - back),
        pos2(point.x + length, point.y + back),
    ];
    let arrow = Shape::convex_polygon(corners.to_vec(), look.tokens.text, Stroke::NONE);
    painter.add(arrow);
}

/// The leader of the current feature: from its edge (of a bore: from its hidden edge) into the
/// band above the part, where nothing else stands, to its callout.
pub(super) fn leader_ui(
    painter: &Painter,
    view: &OutlineView,
    shape: &OutlineShape,
    scale: &Scale,
    bands: &Bands,
    look: &Look,
) {
    let (Some(callout), false) = (&shape.leader, shape.is_length) else {
        return;
    };
    let band = bands.leader;
    if !band.is_positive() {
        return;
    }
    const DOT: f32 = 2.2;
    const SHELF: f32 = 6.0;
    let x = scale.x((shape.from + shape.to) / 2.0);
    let start = pos2(x, scale.top(major_radius(shape)));
    let knee_y = band.center().y;
    let size = bands.size * 1.1;
    let width = width_of(painter, callout, size).min(band.width());
    // Towards the side with more room, slanted where that crosses no other metal.
    let rise = start.y - knee_y;
    let to_right = band.right() - x >= width + rise + SHELF || band.center().x >= x;
    let side = if to_right { 1.0 } else { -1.0 };
    let slant = rise * 0.5;
    let (from, to) = if to_right {
        (x, x + slant)
    } else {
        (x - slant, x)
    };
    let own = shape.radius_from.max(shape.radius_to);
    let is_clear = radius_over(view, scale, from, to) <= own && !shape.is_bore;
    let room = if to_right {
        band.right() - x
    } else {
        x - band.left()
    };
    let slant = if is_clear && room > width + slant + SHELF {
        slant
    } else {
        0.0
    };
    let knee = pos2(x + side * slant, knee_y);
    let shelf = pos2(knee.x + side * SHELF, knee_y);
    let stroke = Stroke::new(1.2, look.tokens.text);
    painter.circle_filled(start, DOT, look.tokens.text);
    painter.line_segment([start, knee], stroke);
    painter.line_segment([knee, shelf], stroke);
    let (place, anchor) = if to_right {
        let place = Rect::from_min_max(pos2(shelf.x + 3.0, band.top()), band.max);
        (place, Align2::LEFT_CENTER)
    } else {
        let place = Rect::from_min_max(band.min, pos2(shelf.x - 3.0, band.bottom()));
        (place, Align2::RIGHT_CENTER)
    };
    fitted_text(
        painter,
        place,
        anchor,
        callout,
        size,
        REGULAR,
        look.tokens.text,
    );
}
