//! The metal of the drawn part: the outside view above the centre line, the section below it.

use eframe::egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, pos2};

use super::look::{Look, Pattern, paint_pattern, pattern_of};
use super::outline_thread_ui::{inside_thread_ui, outside_thread_ui};
use super::view::{Mark, OutlineShape, OutlineView};

/// Visible edges, in points.
pub(super) const HEAVY: f32 = 1.6;
/// Edges of the current feature.
const HEAVIEST: f32 = 2.4;
/// Hidden edges, section lines, centre line, dimensions.
const THIN: f32 = 1.0;
/// From one section line to the next, along the axis.
const SECTION_STEP: f32 = 6.0;

/// Where millimetres of the part lie on the screen.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale {
    pub(super) left_mm: f32,
    pub(super) x0: f32,
    pub(super) axis_y: f32,
    /// Points to a millimetre along the axis.
    pub(super) along: f32,
    /// Points to a millimetre across it.
    pub(super) across: f32,
}

impl Scale {
    pub(super) fn x(&self, mm: f32) -> f32 {
        self.x0 + (mm - self.left_mm) * self.along
    }

    pub(super) fn top(&self, radius_mm: f32) -> f32 {
        self.axis_y - radius_mm * self.across
    }

    pub(super) fn bottom(&self, radius_mm: f32) -> f32 {
        self.axis_y + radius_mm * self.across
    }

    /// The box around one half of a shape, above or below the axis.
    pub(super) fn half(&self, shape: &OutlineShape, is_below: bool) -> Rect {
        let radius = shape.radius_from.max(shape.radius_to);
        let edge = if is_below {
            self.bottom(radius)
        } else {
            self.top(radius)
        };
        Rect::from_two_pos(
            pos2(self.x(shape.from), self.axis_y),
            pos2(self.x(shape.to), edge),
        )
    }

    /// The lower half of a shape, from the axis or from that radius on.
    fn below(&self, shape: &OutlineShape) -> Vec<Pos2> {
        let (left, right) = (self.x(shape.from), self.x(shape.to));
        vec![
            pos2(left, self.axis_y),
            pos2(right, self.axis_y),
            pos2(right, self.bottom(shape.radius_to)),
            pos2(left, self.bottom(shape.radius_from)),
        ]
    }

    fn above(&self, shape: &OutlineShape) -> Vec<Pos2> {
        let mirrored = |point: Pos2| pos2(point.x, 2.0 * self.axis_y - point.y);
        self.below(shape).into_iter().map(mirrored).collect()
    }
}

/// Fills, patterns, section lines, edges and the centre line.
pub(super) fn metal_ui(painter: &Painter, view: &OutlineView, scale: &Scale, look: &Look) {
    let metal = || view.shapes.iter().filter(|shape| is_outside(shape));
    let bores = || view.shapes.iter().filter(|shape| shape.is_bore);
    for shape in metal() {
        outside_fill_ui(painter, shape, scale, look);
    }
    section_lines_ui(painter, view, scale, look);
    for bore in bores() {
        void_ui(painter, bore, scale, look);
    }
    hidden_edges_ui(painter, view, scale, look);
    let mut before: Option<&OutlineShape> = None;
    for shape in metal() {
        edges_ui(painter, shape, before, scale, look);
        outside_thread_ui(painter, shape, scale, look);
        before = Some(shape);
    }
    let line = Stroke::new(HEAVY, look.tokens.text);
    if let Some(last) = before {
        let (x, radius) = (scale.x(last.to), last.radius_to);
        let down = [pos2(x, scale.axis_y), pos2(x, scale.bottom(radius))];
        painter.line_segment(down, line);
    }
    for bore in bores() {
        bore_edges_ui(painter, bore, scale, look);
        inside_thread_ui(painter, bore, scale, look);
    }
    centre_line_ui(painter, view, scale, look);
}

pub(super) fn is_outside(shape: &OutlineShape) -> bool {
    !shape.is_bore && !shape.is_length
}

/// The stroke of an edge that belongs to a feature.
fn edge_of(shape: &OutlineShape, scale: &Scale, look: &Look) -> Stroke {
    // A heavier edge would hide what is narrow.
    let is_wide = (shape.to - shape.from) * scale.along > 5.0 * HEAVIEST;
    let width = if shape.leader.is_some() && is_wide {
        HEAVIEST
    } else {
        HEAVY
    };
    let is_left_out = shape.mark == Mark::NotSelected;
    let ink = if is_left_out {
        look.tokens.muted
    } else {
        look.tokens.text
    };
    Stroke::new(width, ink)
}

pub(super) fn thin(look: &Look) -> Stroke {
    Stroke::new(THIN, look.tokens.text)
}

fn polygon(painter: &Painter, points: Vec<Pos2>, fill: Color32) {
    painter.add(Shape::convex_polygon(points, fill, Stroke::NONE));
}

fn outside_fill_ui(painter: &Painter, shape: &OutlineShape, scale: &Scale, look: &Look) {
    let Some(fill) = look.tokens.fill(shape.mark) else {
        return;
    };
    polygon(painter, scale.above(shape), fill);
    polygon(painter, scale.below(shape), fill);
    let half = scale.half(shape, false);
    if pattern_of(shape.mark) == Pattern::Plain {
        return;
    }
    paint_pattern(painter, half, pattern_of(shape.mark), look);
    // A pattern fills a box: what sticks out of a cone is taken off again.
    let (small, large) = (scale.top(shape.radius_from), scale.top(shape.radius_to));
    if (small - large).abs() > 0.5 {
        let corner = if small > large {
            half.left_top()
        } else {
            half.right_top()
        };
        let slope = [pos2(half.left(), small), pos2(half.right(), large)];
        polygon(painter, vec![corner, slope[0], slope[1]], look.tokens.panel);
    }
}

/// A bore in the section: no metal, in the state's colour and pattern.
fn void_ui(painter: &Painter, bore: &OutlineShape, scale: &Scale, look: &Look) {
    polygon(painter, scale.below(bore), look.tokens.panel);
    if let Some(fill) = look.tokens.fill(bore.mark) {
        polygon(painter, scale.below(bore), fill);
        paint_pattern(painter, scale.half(bore, true), pattern_of(bore.mark), look);
    }
}

/// Thin lines at 45° over all the metal of the lower half, one set for the whole part: it is one
/// piece.
fn section_lines_ui(painter: &Painter, view: &OutlineView, scale: &Scale, look: &Look) {
    let ink = look.tokens.text.gamma_multiply(0.55);
    let stroke = Stroke::new(THIN, ink);
    let metal = view.shapes.iter().filter(|shape| is_outside(shape));
    for shape in metal {
        let area = scale.below(shape);
        let (Some(first), Some(last)) = (area.first(), area.get(2)) else {
            continue;
        };
        // Lines x + y = c, from the left lower corner's side to the right one's.
        let deepest = scale.bottom(shape.radius_from.max(shape.radius_to));
        let least = first.x + first.y;
        let most = last.x + deepest;
        let mut c = (least / SECTION_STEP).ceil() * SECTION_STEP;
        while c <= most {
            if let Some(line) = inside(&area, c) {
                painter.line_segment(line, stroke);
            }
            c += SECTION_STEP;
        }
    }
}

/// The piece of the line x + y = c that lies inside a convex area.
fn inside(area: &[Pos2], c: f32) -> Option<[Pos2; 2]> {
    let ends = area.iter().zip(area.iter().cycle().skip(1));
    let mut crossings = ends.filter_map(|(one, other)| {
        let (a, b) = (one.x + one.y - c, other.x + other.y - c);
        let crosses = (a < 0.0) != (b < 0.0);
        crosses.then(|| *one + (*other - *one) * (a / (a - b)))
    });
    Some([crossings.next()?, crossings.next()?])
}

/// Bores seen from outside: dashed.
fn hidden_edges_ui(painter: &Painter, view: &OutlineView, scale: &Scale, look: &Look) {
    for bore in view.shapes.iter().filter(|shape| shape.is_bore) {
        let (left, right) = (scale.x(bore.from), scale.x(bore.to));
        let path = [
            pos2(left, scale.axis_y),
            pos2(left, scale.top(bore.radius_from)),
            pos2(right, scale.top(bore.radius_to)),
            pos2(right, scale.axis_y),
        ];
        painter.extend(Shape::dashed_line(&path, thin(look), 4.0, 3.0));
    }
}

/// The edges of a piece of the outside, and the shoulder at its left.
fn edges_ui(
    painter: &Painter,
    shape: &OutlineShape,
    before: Option<&OutlineShape>,
    scale: &Scale,
    look: &Look,
) {
    let edge = edge_of(shape, scale, look);
    let (left, right) = (scale.x(shape.from), scale.x(shape.to));
    for y in [Scale::top, Scale::bottom] {
        let ends = [
            pos2(left, y(scale, shape.radius_from)),
            pos2(right, y(scale, shape.radius_to)),
        ];
        painter.line_segment(ends, edge);
    }
    let own = shape.radius_from;
    let other = before.map_or(0.0, |before| before.radius_to);
    let is_step = (own - other).abs() * scale.across > 0.5;
    let shoulder = if is_step {
        Stroke::new(HEAVY, look.tokens.text)
    } else {
        thin(look)
    };
    let highest = scale.top(own.max(other));
    painter.line_segment([pos2(left, scale.axis_y), pos2(left, highest)], shoulder);
    painter.line_segment(
        [
            pos2(right, scale.axis_y),
            pos2(right, scale.top(shape.radius_to)),
        ],
        if shape.leader.is_some() {
            edge
        } else {
            thin(look)
        },
    );
    if shape.leader.is_some() {
        painter.line_segment([pos2(left, scale.axis_y), pos2(left, scale.top(own))], edge);
    }
    if is_step {
        let step = [
            pos2(left, scale.bottom(own.min(other))),
            pos2(left, scale.bottom(own.max(other))),
        ];
        painter.line_segment(step, Stroke::new(HEAVY, look.tokens.text));
    }
}

/// The visible edges of a bore in the section: its wall and both ends.
fn bore_edges_ui(painter: &Painter, bore: &OutlineShape, scale: &Scale, look: &Look) {
    let edge = edge_of(bore, scale, look);
    let (left, right) = (scale.x(bore.from), scale.x(bore.to));
    let corners = [
        pos2(left, scale.axis_y),
        pos2(left, scale.bottom(bore.radius_from)),
        pos2(right, scale.bottom(bore.radius_to)),
        pos2(right, scale.axis_y),
    ];
    for pair in corners.windows(2) {
        painter.line_segment([pair[0], pair[1]], edge);
    }
}

/// Long dash, dot, a little beyond the ends.
fn centre_line_ui(painter: &Painter, view: &OutlineView, scale: &Scale, look: &Look) {
    const BEYOND: f32 = 6.0;
    let ends = [
        pos2(scale.x(view.left) - BEYOND, scale.axis_y),
        pos2(scale.x(view.right) + BEYOND, scale.axis_y),
    ];
    let dashes = Shape::dashed_line_with_offset(&ends, thin(look), &[12.0, 2.0], &[3.0, 3.0], 0.0);
    painter.extend(dashes);
}
