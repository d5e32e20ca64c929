//! The part as a half section: the outside above the centre line, the cut metal below it, every
//! feature filled with its state, numbered balloons below, the current one with leader and callout.
//!
//! Diameters are true to each other, and so are lengths. Both have the same scale as long as
//! that shows the part; a very slender one is drawn up to four times thicker than it is, a very
//! flat one up to four times longer, and nothing thinner than can be seen.

use eframe::egui::{Rect, Sense, Ui, pos2, vec2};

use super::look::{Look, spoken};
use super::outline_metal_ui::{Scale, metal_ui};
use super::outline_text_ui::{Bands, dimension_ui, leader_ui, letters_ui};
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
const MARGIN: f32 = 5.0;
/// What the centre line needs beyond each end.
const BEYOND: f32 = 8.0;

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
        let root = shape.thread_root.filter(|root| root.is_finite());
        shape.thread_root = root.map(|root| root.clamp(0.0, radius));
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
    let line = (size * 1.2).ceil();
    let inner = rect.shrink(MARGIN.min(rect.height() / 8.0).min(rect.width() / 8.0));
    let room = inner.height();
    let has_leader = view
        .shapes
        .iter()
        .any(|s| s.leader.is_some() && !s.is_length);
    let has_letters = view
        .shapes
        .iter()
        .any(|s| !s.is_length && !s.balloon.is_empty());
    let above = if has_leader && room > 3.0 * line {
        line + 4.0
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

fn feature_press(
    ui: &mut Ui,
    place: Rect,
    at: usize,
    shape: &OutlineShape,
    presses: &mut Vec<Press>,
) {
    let Some(target) = shape.target.filter(|_| place.is_positive()) else {
        return;
    };
    let id = format!("outline {at}");
    let response = if shape.id.is_empty() {
        // A further piece of a feature that has its name elsewhere.
        ui.interact(place, ui.scope_id().with(&id), Sense::click())
    } else {
        let callout = shape.leader.as_deref().unwrap_or_default();
        let name = format!("drawn {} {} {callout}", shape.balloon, shape.id);
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
        Mark::Noted => "recorded",
        Mark::Go => "GO",
        Mark::NoGo => "NO-GO",
        Mark::Doubt => "DOUBT",
        Mark::Cutting => "cutting",
        Mark::Held => "held",
        Mark::NotSelected => "not selected",
        Mark::NotRecorded => "NOT RECORDED",
    }
}
