//! The part as a half section: the outside above the centre line, the cut metal below it, every
//! feature filled with its state, letters below, the current one with leader and callout.
//!
//! Diameters are true to each other, and so are lengths. Both have the same scale as long as
//! that shows the part; a very slender one is drawn up to four times thicker than it is, a very
//! flat one up to four times longer, and nothing thinner than can be seen.

use eframe::egui::{Align2, FontId, Painter, Pos2, Rect, Shape, Stroke, Ui, pos2, vec2};

use super::look::{Look, REGULAR, fitted_text, paint_mark, spoken};
use super::outline_metal_ui::{Scale, is_outside, metal_ui, thin};
use super::press::Press;
use super::view::{Mark, OutlineShape, OutlineView};

/// How much thicker or longer than true a part is drawn at most.
const EXAGGERATION_MAX: f32 = 4.0;
/// No part is drawn thinner or shorter than this, in points, however slender it is.
const LEAST_SEEN: f32 = 8.0;
/// A part should fill this much of its box across before it is drawn thicker than true.
const FILLED_ACROSS: f32 = 0.5;
/// And along.
const FILLED_ALONG: f32 = 0.35;
const MARGIN: f32 = 6.0;
/// What the centre line needs beyond each end.
const BEYOND: f32 = 8.0;
/// No more of a text is measured: the rest cannot be seen anyway.
const MEASURED_MAX: usize = 120;

/// The bands of the box, from top to bottom.
struct Bands {
    /// Text size.
    size: f32,
    leader: Rect,
    body: Rect,
    letters: Rect,
    dimensions: Vec<Rect>,
}

/// Paints the part into `rect`; a click on a feature chooses its first characteristic.
pub fn outline_ui(
    ui: &mut Ui,
    rect: Rect,
    view: &OutlineView,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    let rect = rect.intersect(ui.clip_rect());
    let Some(view) = drawable(view).filter(|_| rect.is_positive() && rect.is_finite()) else {
        return;
    };
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 0.0, look.tokens.panel);
    spoken(ui, rect, "outline", &view.spoken, false);
    let lanes = dimension_lanes(&view);
    let bands = bands(rect, &view, &lanes);
    let Some(scale) = scale(bands.body, &view) else {
        return;
    };
    metal_ui(&painter, &view, &scale, look);
    let mut placed = Vec::new();
    for (at, lane) in &lanes {
        if let (Some(shape), Some(band)) = (view.shapes.get(*at), bands.dimensions.get(*lane)) {
            let place = dimension_ui(&painter, *band, &view, shape, &scale, bands.size, look);
            placed.push((*at, place));
        }
    }
    letters_ui(&painter, &view, &scale, &bands, look);
    if let Some(current) = view.shapes.iter().find(|shape| shape.leader.is_some()) {
        leader_ui(&painter, &view, current, &scale, &bands, look);
    }
    for (at, shape) in view.shapes.iter().enumerate() {
        let dimension = placed
            .iter()
            .find(|(of, _)| *of == at)
            .map(|(_, place)| *place);
        let place = match (shape.is_length, dimension) {
            (true, None) => continue,
            (true, Some(place)) => place,
            (false, _) => hit_place(shape, &scale),
        };
        feature_press(ui, place.intersect(rect), at, shape, presses);
    }
}

/// The view with everything inside its ends, so that absurd numbers stay absurd but harmless.
fn drawable(view: &OutlineView) -> Option<OutlineView> {
    let numbers = [view.left, view.right, view.radius, view.right - view.left];
    let is_sound = numbers.iter().all(|number| number.is_finite());
    if !is_sound || view.right <= view.left || view.radius <= 0.0 {
        return None;
    }
    let mut view = view.clone();
    let (left, right, radius) = (view.left, view.right, view.radius);
    view.shapes.retain_mut(|shape| {
        shape.from = shape.from.clamp(left, right);
        shape.to = shape.to.clamp(left, right);
        shape.radius_from = shape.radius_from.clamp(0.0, radius);
        shape.radius_to = shape.radius_to.clamp(0.0, radius);
        let size = shape.radius_from + shape.radius_to;
        shape.to >= shape.from && size.is_finite()
    });
    Some(view)
}

/// Which lane each dimension has, the shorter ones nearer to the part; the current one has the
/// first place in its lane.
fn dimension_lanes(view: &OutlineView) -> Vec<(usize, usize)> {
    let mut lengths: Vec<(usize, &OutlineShape)> = view.shapes.iter().enumerate().collect();
    lengths.retain(|(_, shape)| shape.is_length);
    lengths.sort_by(|(_, one), (_, other)| {
        let (one_length, other_length) = (one.to - one.from, other.to - other.from);
        let first = other.leader.is_some().cmp(&one.leader.is_some());
        first.then(one_length.total_cmp(&other_length))
    });
    let mut lanes: Vec<Vec<(f32, f32)>> = Vec::new();
    let mut places = Vec::new();
    for (at, shape) in lengths {
        let clear = |lane: &Vec<(f32, f32)>| {
            lane.iter()
                .all(|(from, to)| shape.to <= *from || shape.from >= *to)
        };
        let lane = lanes.iter().position(clear).unwrap_or(lanes.len());
        if lane == lanes.len() {
            lanes.push(Vec::new());
        }
        if let Some(taken) = lanes.get_mut(lane) {
            taken.push((shape.from, shape.to));
        }
        places.push((at, lane));
    }
    places
}

fn bands(rect: Rect, view: &OutlineView, lanes: &[(usize, usize)]) -> Bands {
    let size = (rect.height() * 0.1).clamp(9.0, 16.0);
    let line = (size * 1.3).ceil();
    let inner = rect.shrink(MARGIN.min(rect.height() / 8.0).min(rect.width() / 8.0));
    let room = inner.height();
    let has_leader = view
        .shapes
        .iter()
        .any(|s| s.leader.is_some() && !s.is_length);
    let has_letters = view.shapes.iter().any(|s| !s.is_length && !s.id.is_empty());
    let above = if has_leader && room > 3.0 * line {
        line + 6.0
    } else {
        0.0
    };
    let letters = if has_letters && room > 4.0 * line {
        line
    } else {
        0.0
    };
    let wanted = lanes.iter().map(|(_, lane)| lane + 1).max().unwrap_or(0);
    let mut dimensions = Vec::new();
    let mut below = letters;
    while dimensions.len() < wanted && below + line <= room * 0.4 && room > 4.0 * line {
        below += line;
        dimensions.push(below);
    }
    let body_bottom = inner.bottom() - below;
    let band = |top: f32, height: f32| {
        Rect::from_min_size(pos2(inner.left(), top), vec2(inner.width(), height))
    };
    let dimensions = dimensions
        .into_iter()
        .map(|end| band(body_bottom + end - line, line));
    Bands {
        size,
        leader: band(inner.top(), above),
        body: Rect::from_min_max(
            pos2(inner.left(), inner.top() + above),
            pos2(inner.right(), body_bottom),
        ),
        letters: band(body_bottom, letters),
        dimensions: dimensions.collect(),
    }
}

fn scale(body: Rect, view: &OutlineView) -> Option<Scale> {
    let beyond = BEYOND.min(body.width() / 6.0);
    let room = vec2(body.width() - 2.0 * beyond, body.height() - 3.0);
    if room.x <= 0.0 || room.y <= 0.0 {
        return None;
    }
    let (length, diameter) = (view.right - view.left, view.radius * 2.0);
    let most = vec2(room.x / length, room.y / diameter);
    let same = most.x.min(most.y);
    let stretched = |most: f32, size: f32, filled: f32| {
        let wanted = (most * filled).clamp(same, same * EXAGGERATION_MAX);
        wanted.max(LEAST_SEEN / size).min(most)
    };
    let along = stretched(most.x, length, FILLED_ALONG);
    let across = stretched(most.y, diameter, FILLED_ACROSS);
    let is_sound = along.is_finite() && across.is_finite();
    is_sound.then(|| Scale {
        left_mm: view.left,
        x0: body.center().x - length * along / 2.0,
        axis_y: body.center().y,
        along,
        across,
    })
}

fn width_of(painter: &Painter, text: &str, size: f32) -> f32 {
    let text: String = text.chars().take(MEASURED_MAX).collect();
    let font = FontId::new(size, REGULAR);
    let galley = painter.layout_no_wrap(text, font, eframe::egui::Color32::WHITE);
    galley.size().x + 2.0
}

/// The largest radius of the outside between two places on the screen.
fn radius_over(view: &OutlineView, scale: &Scale, from: f32, to: f32) -> f32 {
    let metal = view.shapes.iter().filter(|shape| is_outside(shape));
    let over = metal.filter(|shape| scale.x(shape.from) < to && scale.x(shape.to) > from);
    over.map(|shape| shape.radius_from.max(shape.radius_to))
        .fold(0.0, f32::max)
}

/// Letters: of the outside under it, of a wide bore in it, of a narrow bore beside.
fn letters_ui(painter: &Painter, view: &OutlineView, scale: &Scale, bands: &Bands, look: &Look) {
    if !bands.letters.is_positive() {
        return;
    }
    let line = bands.letters.height();
    let mut taken: Vec<Rect> = Vec::new();
    let mut shapes: Vec<&OutlineShape> = view.shapes.iter().collect();
    shapes.retain(|shape| !shape.is_length && !shape.id.is_empty());
    // The current one first: it is not the one to be left out.
    shapes.sort_by_key(|shape| shape.leader.is_none());
    for shape in shapes {
        let width = width_of(painter, &shape.id, bands.size).min(bands.letters.width());
        let half = scale.half(shape, true);
        if shape.is_bore && half.height() >= line + 2.0 && half.width() >= width + 4.0 {
            in_void_ui(painter, half, shape, vec2(width, line), bands.size, look);
            continue;
        }
        let under = |shift: f32| {
            let middle = half.center().x + shift;
            let least = bands.letters.left() + width / 2.0;
            let most = bands.letters.right() - width / 2.0;
            let middle = middle.clamp(least, most.max(least));
            let (from, to) = (middle - width / 2.0, middle + width / 2.0);
            let top = scale.bottom(radius_over(view, scale, from, to)) + 2.0;
            Rect::from_min_max(
                pos2(from, top),
                pos2(to, (top + line).min(bands.letters.bottom())),
            )
        };
        let places = [0.0, width + 3.0, -width - 3.0].map(under);
        let clear = |place: &&Rect| !taken.iter().any(|other| other.intersects(**place));
        if let Some(place) = places.iter().find(clear) {
            let ink = look.tokens.text;
            fitted_text(
                painter,
                *place,
                Align2::CENTER_CENTER,
                &shape.id,
                bands.size,
                REGULAR,
                ink,
            );
            taken.push(*place);
        }
    }
}

fn in_void_ui(
    painter: &Painter,
    void: Rect,
    shape: &OutlineShape,
    room: eframe::egui::Vec2,
    size: f32,
    look: &Look,
) {
    let place = Rect::from_center_size(void.center(), room);
    let fill = look.tokens.fill(shape.mark);
    let ink = match fill {
        Some(_) => look.tokens.on_fill,
        None => look.tokens.text,
    };
    // A clear ground: a pattern behind a letter makes it hard to read.
    painter.rect_filled(place, 0.0, fill.unwrap_or(look.tokens.panel));
    fitted_text(
        painter,
        place,
        Align2::CENTER_CENTER,
        &shape.id,
        size,
        REGULAR,
        ink,
    );
}

/// A dimension line with its extension lines, the state's mark and the letter; its place.
fn dimension_ui(
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
    let text = match &shape.leader {
        Some(callout) => format!("{}  {callout}", shape.id),
        None => shape.id.clone(),
    };
    let side = size * 0.75;
    let wanted = width_of(painter, &text, size) + side + 8.0;
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
    let rest = Rect::from_min_max(pos2(box_of_mark.right() + 3.0, label.top()), label.max);
    let ink = look.tokens.text;
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
fn leader_ui(
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
    let start = pos2(x, scale.top((shape.radius_from + shape.radius_to) / 2.0));
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

/// Where a shape can be pressed: both halves of the outside, the void of a bore; never too
/// narrow to be hit.
fn hit_place(shape: &OutlineShape, scale: &Scale) -> Rect {
    const LEAST: f32 = 6.0;
    let below = scale.half(shape, true);
    let place = match shape.is_bore {
        true => below,
        false => below.union(scale.half(shape, false)),
    };
    let missing = (vec2(LEAST, LEAST) - place.size()).max(vec2(0.0, 0.0));
    place.expand2(missing / 2.0)
}

fn feature_press(ui: &Ui, place: Rect, at: usize, shape: &OutlineShape, presses: &mut Vec<Press>) {
    let Some(target) = shape.target.filter(|_| place.is_positive()) else {
        return;
    };
    let id = format!("outline {at}");
    let response = if shape.id.is_empty() {
        // A further piece of a feature that has its name elsewhere.
        ui.interact(place, ui.scope_id().with(&id), eframe::egui::Sense::click())
    } else {
        let callout = shape.leader.as_deref().unwrap_or_default();
        let name = format!("drawn {} {callout}", shape.id);
        let name = format!("{}, {}", name.trim_end(), word(shape.mark));
        spoken(ui, place, &id, &name, true)
    };
    if response.clicked() {
        presses.push(Press::Choose(target));
    }
}

fn word(mark: Mark) -> &'static str {
    match mark {
        Mark::Open => "open",
        Mark::Inside => "inside so far",
        Mark::Go => "GO",
        Mark::NoGo => "NO-GO",
        Mark::Doubt => "DOUBT",
        Mark::Cutting => "cutting",
        Mark::Held => "held",
        Mark::NotSelected => "not selected",
        Mark::NotRecorded => "NOT RECORDED",
    }
}
