//! The metal bar: zones by colour, pattern and label; limits with their numbers, the middle, what
//! a cut aims at, the value, and the last points as small ticks.

use eframe::egui::{Align2, Color32, Painter, Pos2, Rangef, Rect, Shape, Stroke, Ui, pos2, vec2};

use super::line_ui::{Line, along, cut_bottom, cut_top, has_area, name_ui};
use super::look::{Look, Pattern, REGULAR, bold, paint_pattern, text_width};
use super::view::{BarView, BarZone, ZoneKind};

/// Paints the bar with its pointer above and its numbers below.
pub(super) fn bar_ui(ui: &mut Ui, rect: Rect, view: &BarView, look: &Look) {
    if !has_area(rect) {
        return;
    }
    name_ui(ui, rect, "bar", &view.spoken, false);
    let text = (rect.height() * 0.17).clamp(11.0, 18.0);
    let mut rest = rect;
    let above = cut_top(&mut rest, (rect.height() * 0.2).min(18.0));
    let below = cut_bottom(&mut rest, (text * 1.4).min(rect.height() * 0.3));
    for zone in &view.zones {
        zone_ui(ui, rest, zone, look);
    }
    let painter = ui.painter_at(rect);
    let tokens = &look.tokens;
    if !tokens.is_lit {
        let edge = Stroke::new(tokens.hairline, tokens.line);
        painter.rect_stroke(rest, 0.0, edge, eframe::egui::StrokeKind::Inside);
    }
    for last in &view.last {
        cased(
            &painter,
            at(rest, *last),
            Rangef::new(rest.bottom() - rest.height() * 0.22, rest.bottom()),
            1.5,
            look,
        );
    }
    if let Some(middle) = view.middle {
        // The middle: a notch in each edge.
        let (x, notch) = (at(rest, middle), rest.height() * 0.13);
        cased(
            &painter,
            x,
            Rangef::new(rest.top(), rest.top() + notch),
            2.0,
            look,
        );
        cased(
            &painter,
            x,
            Rangef::new(rest.bottom() - notch, rest.bottom()),
            2.0,
            look,
        );
    }
    let labels_end = ticks_ui(ui, rest, below, view, text, look);
    if let Some(target) = view.target {
        target_ui(ui, rest, target, look);
    }
    if let Some(value) = view.value {
        value_ui(&painter, (above, rest), value, view.is_compressed, look);
    }
    let crossing: Vec<f32> = [view.value, view.middle, view.target]
        .into_iter()
        .flatten()
        .map(|fraction| at(rest, fraction))
        .collect();
    for zone in &view.zones {
        label_ui(ui, rest, zone, &crossing, look);
    }
    direction_ui(ui, below, labels_end, &view.direction, text, look);
}

/// The place of a fraction of the bar's width.
fn at(bar: Rect, fraction: f32) -> f32 {
    along(bar.x_range(), fraction)
}

fn zone_place(bar: Rect, zone: &BarZone) -> Rect {
    let across = Rangef::new(at(bar, zone.from), at(bar, zone.to));
    Rect::from_x_y_ranges(across, bar.y_range())
}

fn zone_look(zone: &BarZone, look: &Look) -> (Color32, Pattern) {
    let tokens = &look.tokens;
    match zone.kind {
        ZoneKind::Gone => (tokens.no_go, Pattern::Hatch),
        ZoneKind::Guard => (tokens.doubt, Pattern::Dots),
        ZoneKind::Go => (tokens.go, Pattern::Plain),
        ZoneKind::On => (tokens.cutting, Pattern::Lines),
    }
}

fn zone_ui(ui: &Ui, bar: Rect, zone: &BarZone, look: &Look) {
    let place = zone_place(bar, zone);
    if !has_area(place) {
        return;
    }
    let (fill, pattern) = zone_look(zone, look);
    let painter = ui.painter_at(place);
    painter.rect_filled(place, 0.0, fill);
    paint_pattern(&painter, place, pattern, look);
}

/// The zone's word on a plate of its plain colour, on one line or two, beside the lines that
/// cross the bar where there is room; none where it cannot be read.
fn label_ui(ui: &Ui, bar: Rect, zone: &BarZone, lines_at: &[f32], look: &Look) {
    let (place, label) = (zone_place(bar, zone), zone.label.as_str());
    if !has_area(place) || label.is_empty() {
        return;
    }
    let size = (place.height() * 0.32).clamp(10.0, 20.0);
    let room = place.width() - 8.0;
    let wide = |text: &str, size: f32| text_width(ui.painter(), text, size, bold());
    let longest = label
        .split(' ')
        .map(|word| wide(word, size))
        .fold(0.0, f32::max);
    let (lines, size) = if wide(label, size) <= room {
        (1, size)
    } else if longest <= room && place.height() >= 2.5 * size && label.contains(' ') {
        (2, size)
    } else {
        (1, size * room / wide(label, size).max(1.0))
    };
    if size < 9.0 {
        return;
    }
    let across = if lines > 1 {
        longest
    } else {
        wide(label, size)
    };
    let high = if lines > 1 { 2.5 } else { 1.36 } * size;
    let plate = vec2((across + size * 0.5).min(place.width()), high);
    let middle = pos2(free_middle(place, plate.x, lines_at), place.center().y);
    let plate = Rect::from_center_size(middle, plate).intersect(place);
    let fill = zone_look(zone, look).0;
    ui.painter_at(place).rect_filled(plate, 0.0, fill);
    let line = Line::bold(size, look.tokens.on_fill).at(Align2::CENTER_CENTER);
    line.on(lines)
        .paint(ui, plate.expand2(vec2(1.0, 0.0)), label);
}

/// Where in its zone a label of this width is farthest from the lines, the middle if it is free.
fn free_middle(place: Rect, wide: f32, lines_at: &[f32]) -> f32 {
    let middle = place.center().x;
    let reach = ((place.width() - wide) / 2.0 - 2.0).max(0.0);
    let distance = |x: f32| {
        let distances = lines_at.iter().map(|line| (line - x).abs());
        distances.fold(f32::INFINITY, f32::min)
    };
    let free = wide / 2.0 + 4.0;
    let mut best = middle;
    for x in [middle - reach, middle + reach] {
        if distance(best) < free && distance(x) > distance(best) {
            best = x;
        }
    }
    best
}

/// A black line with light edges: seen on every zone.
pub(super) fn cased(painter: &Painter, x: f32, range: Rangef, width: f32, look: &Look) {
    let light = Rect::from_x_y_ranges(
        Rangef::new(x - width / 2.0 - 1.0, x + width / 2.0 + 1.0),
        range,
    );
    painter.rect_filled(light, 0.0, Color32::WHITE.gamma_multiply(0.85));
    let line = Rect::from_x_y_ranges(Rangef::new(x - width / 2.0, x + width / 2.0), range);
    painter.rect_filled(line, 0.0, look.tokens.on_fill);
}

/// Limits and their numbers; gives where the last number ends.
fn ticks_ui(ui: &mut Ui, bar: Rect, below: Rect, view: &BarView, text: f32, look: &Look) -> f32 {
    let tokens = &look.tokens;
    let mut end = below.left();
    for (number, tick) in view.ticks.iter().enumerate() {
        let x = at(bar, tick.at);
        let painter = ui.painter_at(bar.union(below).expand(2.0));
        cased(&painter, x, Rangef::new(bar.top(), bar.bottom()), 2.0, look);
        let foot = Rangef::new(bar.bottom(), bar.bottom() + 4.0);
        painter.vline(x, foot, Stroke::new(2.0, tokens.text));
        let wide = text_width(ui.painter(), &tick.label, text, REGULAR) + 2.0;
        let left = (x - wide / 2.0).max(end).min(below.right() - wide);
        if left < end - 0.5 {
            continue;
        }
        let place = Rect::from_min_size(pos2(left, below.top() + 2.0), vec2(wide, below.height()));
        let place = Rect::from_min_max(place.min, pos2(place.right(), below.bottom() + 2.0));
        let line = Line::regular(text, tokens.text).at(Align2::CENTER_CENTER);
        line.say(ui, place, &format!("limit {number}"), &tick.label);
        end = place.right() + 6.0;
    }
    end
}

/// What a cut aims at: a hollow triangle on the lower edge.
fn target_ui(ui: &Ui, bar: Rect, target: f32, look: &Look) {
    let x = at(bar, target);
    let side = (bar.height() * 0.2).clamp(6.0, 14.0);
    let foot = bar.bottom() - 1.0;
    let corners = vec![
        pos2(x, foot - 1.6 * side),
        pos2(x + side, foot),
        pos2(x - side, foot),
    ];
    let painter = ui.painter_at(bar);
    let edge = Stroke::new(2.0, look.tokens.on_fill);
    painter.add(Shape::convex_polygon(corners, Color32::WHITE, edge));
}

/// The value: a pointer above, a line through the bar; two more pointers sideways when it lies
/// far out.
fn value_ui(
    painter: &Painter,
    (above, bar): (Rect, Rect),
    value: f32,
    is_compressed: bool,
    look: &Look,
) {
    let x = at(bar, value);
    cased(painter, x, bar.y_range(), 3.5, look);
    let high = above.height();
    let half = (high * 0.66).max(2.0);
    let ink = look.tokens.text;
    let inside = x.clamp(
        bar.left() + half,
        (bar.right() - half).max(bar.left() + half),
    );
    let corners = vec![
        pos2(inside - half, above.top()),
        pos2(inside + half, above.top()),
        pos2(x, above.bottom() + 1.0),
    ];
    painter.add(Shape::convex_polygon(corners, ink, Stroke::NONE));
    if !is_compressed {
        return;
    }
    let way = if value < 0.5 { -1.0 } else { 1.0 };
    for step in [1.0, 2.0] {
        let from = inside - way * half * (1.0 + step);
        let tip = pos2(from + way * half * 0.8, above.center().y);
        let corner = |y: f32| -> Pos2 { pos2(from, above.center().y + y * high * 0.36) };
        painter.add(Shape::convex_polygon(
            vec![corner(-1.0), tip, corner(1.0)],
            ink,
            Stroke::NONE,
        ));
    }
}

/// What the left side means, with an arrow to the left.
fn direction_ui(ui: &mut Ui, below: Rect, from: f32, text: &str, size: f32, look: &Look) {
    let ink = look.tokens.muted;
    let mut place = Rect::from_min_max(
        pos2(from + 6.0, below.top() + 2.0),
        below.max + vec2(0.0, 2.0),
    );
    if text.is_empty() || place.width() < 70.0 {
        return;
    }
    let long = 44.0_f32.min(place.width() * 0.3);
    let y = place.center().y;
    let (tip, tail) = (place.right() - long, place.right());
    let stroke = Stroke::new(1.3, ink);
    let painter = ui.painter_at(place);
    painter.hline(Rangef::new(tip, tail), y, stroke);
    painter.line_segment([pos2(tip, y), pos2(tip + 7.0, y - 4.0)], stroke);
    painter.line_segment([pos2(tip, y), pos2(tip + 7.0, y + 4.0)], stroke);
    place.set_right(tip - 6.0);
    let line = Line::regular(size, ink).at(Align2::RIGHT_CENTER);
    line.say(ui, place, "direction", text);
}
