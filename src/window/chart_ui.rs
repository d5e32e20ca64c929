//! The run chart: limits as lines with their numbers, control limits as dotted ones, values as
//! dots, or as columns from smallest to largest where there are too many for dots. A part that
//! signals has a diamond around it; one line below says what was found and what to do.

use eframe::egui::{Align2, Color32, Painter, Pos2, Rect, Shape, Stroke, Ui, pos2, vec2};

use super::look::{Fitted, Look, REGULAR, fitted_text, spoken, text_width};
use super::view::{ChartPoint, ChartView, Mark};

const MARGIN: f32 = 4.0;
/// A lower chart has what its points are beside them, not below.
const HIGH: f32 = 110.0;
/// A dot needs this much room along the parts; with less there are columns.
const ROOM_OF_A_DOT: f32 = 7.0;
/// Width of a column.
const COLUMN: f32 = 3.0;
const DOT: f32 = 3.0;
/// Half of a diamond around a part that signals, and half of the tick of a mean.
const DIAMOND: f32 = 7.0;
const TICK: f32 = 5.0;
/// The line below the chart, and its text.
const NOTE: f32 = 13.0;
const NOTE_TEXT: f32 = 12.5;
const LAST: f32 = 4.6;

/// The parts of the chart's box.
struct Places {
    labels: Rect,
    plot: Rect,
    span: Rect,
    note: Rect,
    /// Text size.
    size: f32,
}

/// Paints the chart into `rect`.
pub fn chart_ui(ui: &mut Ui, rect: Rect, view: &ChartView, look: &Look) {
    let rect = rect.intersect(ui.clip_rect());
    if !rect.is_positive() || !rect.is_finite() {
        return;
    }
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 0.0, look.tokens.panel);
    if !view.spoken.is_empty() {
        spoken(ui, rect, "chart", &view.spoken, false);
    }
    let places = places(&painter, rect, view);
    if !places.plot.is_positive() {
        return;
    }
    lines_ui(&painter, view, &places, look);
    let ink = look.tokens.muted;
    let told = format!("{}, smallest to largest of each few", view.span);
    let fits = || text_width(&painter, &told, places.size, REGULAR) <= places.span.width();
    let is_told = is_columns(view, places.plot) && !view.span.is_empty() && fits();
    let span = if is_told { &told } else { &view.span };
    fitted_text(
        &painter,
        places.span,
        Align2::RIGHT_CENTER,
        span,
        places.size,
        REGULAR,
        ink,
    );
    control_ui(&painter, view, places.plot, look);
    points_ui(&painter, view, places.plot, look);
    fitted_text(
        &painter,
        places.note,
        Align2::LEFT_CENTER,
        &view.note,
        places.size.min(NOTE_TEXT),
        REGULAR,
        look.tokens.text,
    );
}

/// Dotted lines over the parts of the row in force.
fn control_ui(painter: &Painter, view: &ChartView, plot: Rect, look: &Look) {
    let Some(control) = view.control.filter(|lines| lines.from.is_finite()) else {
        return;
    };
    let stroke = Stroke::new(1.2, look.tokens.text.gamma_multiply(0.75));
    let left = plot.left() + control.from.clamp(0.0, 1.0) * plot.width() - LAST;
    for at in [control.upper, control.lower] {
        if !at.is_finite() {
            continue;
        }
        let y = plot.top() + at.clamp(0.0, 1.0) * plot.height();
        let line = [pos2(left, y), pos2(plot.right() + LAST, y)];
        painter.extend(Shape::dashed_line(&line, stroke, 1.5, 3.0));
    }
}

fn places(painter: &Painter, rect: Rect, view: &ChartView) -> Places {
    let margin = MARGIN.min(rect.height() / 8.0).min(rect.width() / 8.0);
    let mut inner = rect.shrink(margin);
    let size = (rect.height() * 0.16).clamp(9.0, 15.0);
    let line = size * 1.2;
    let mut note = Rect::from_min_max(inner.left_bottom(), inner.right_bottom());
    if !view.note.is_empty() && inner.height() > 3.0 * line {
        // Low, so that the plot keeps its height.
        let low = line.min(NOTE);
        note.min.y -= low;
        inner.max.y -= low;
    }
    let labels = [&view.upper, &view.lower].into_iter().flatten();
    let longest = labels.map(|(_, label)| label.chars().count()).max();
    let longest = longest.map_or(0.0, |letters| {
        f32::from(u16::try_from(letters).unwrap_or(u16::MAX))
    });
    // Digits are about 0.62 of their size wide; the text shrinks when a face has wider ones.
    let gutter = (longest * size * 0.62 + 8.0).min(inner.width() * 0.4);
    let gutter = if longest > 0.0 { gutter } else { 0.0 };
    let (mut foot, mut side) = (0.0, 0.0);
    if !view.span.is_empty() && inner.height() > 3.0 * line {
        if inner.height() > HIGH || inner.width() < 3.0 * HIGH {
            foot = line;
        } else {
            let wide = text_width(painter, &view.span, size, REGULAR) + 10.0;
            side = wide.min(inner.width() * 0.3);
        }
    }
    let split = inner.left() + gutter;
    let bottom = inner.bottom() - foot;
    // The largest mark stays inside above and below.
    let beside = (LAST + 1.0).min(inner.height() / 6.0);
    let plot = Rect::from_min_max(
        pos2(split + LAST, inner.top() + beside),
        pos2(inner.right() - side - LAST, bottom - beside),
    );
    Places {
        labels: Rect::from_min_max(inner.min, pos2(split - 4.0, bottom)),
        plot,
        span: match side > 0.0 {
            true => Rect::from_min_max(pos2(inner.right() - side + 4.0, inner.top()), inner.max),
            false => Rect::from_min_max(pos2(split, bottom), inner.max),
        },
        note,
        size,
    }
}

fn lines_ui(painter: &Painter, view: &ChartView, places: &Places, look: &Look) {
    let plot = places.plot;
    let solid = Stroke::new(1.2, look.tokens.text.gamma_multiply(0.75));
    let height = |at: f32| plot.top() + at.clamp(0.0, 1.0) * plot.height();
    let across = |y: f32| [pos2(plot.left() - LAST, y), pos2(plot.right() + LAST, y)];
    if let Some(middle) = view.middle.filter(|at| at.is_finite()) {
        let thin = Stroke::new(1.0, look.tokens.muted);
        painter.extend(Shape::dashed_line(&across(height(middle)), thin, 4.0, 4.0));
    }
    let limits =
        [&view.upper, &view.lower].map(|limit| limit.as_ref().filter(|(at, _)| at.is_finite()));
    let ys = limits.map(|limit| limit.map(|(at, _)| height(*at)));
    let mut middles = ys;
    let line = places.size * 1.2;
    // Labels of limits that lie close together move apart.
    if let [Some(upper), Some(lower)] = ys
        && lower - upper < line
    {
        let middle = (upper + lower) / 2.0;
        middles = [Some(middle - line / 2.0), Some(middle + line / 2.0)];
    }
    for ((limit, y), middle) in limits.into_iter().zip(ys).zip(middles) {
        let (Some((_, label)), Some(y), Some(middle)) = (limit, y, middle) else {
            continue;
        };
        painter.line_segment(across(y), solid);
        label_ui(painter, places, middle, label, look.tokens.text);
    }
}

fn label_ui(painter: &Painter, places: &Places, y: f32, label: &str, ink: Color32) -> Fitted {
    let line = places.size * 1.3;
    let most = places.labels.bottom() - line;
    let top = (y - line / 2.0).min(most).max(places.labels.top());
    let place = Rect::from_min_max(
        pos2(places.labels.left(), top),
        pos2(
            places.labels.right(),
            (top + line).min(places.labels.bottom()),
        ),
    );
    fitted_text(
        painter,
        place,
        Align2::RIGHT_CENTER,
        label,
        places.size,
        REGULAR,
        ink,
    )
}

fn points_ui(painter: &Painter, view: &ChartView, plot: Rect, look: &Look) {
    let place = |point: &ChartPoint| {
        let (x, y) = (point.x.clamp(0.0, 1.0), point.y.clamp(0.0, 1.0));
        plot.min + vec2(x * plot.width(), y * plot.height())
    };
    let sound = view
        .points
        .iter()
        .filter(|point| point.x.is_finite() && point.y.is_finite());
    let seen: Vec<(Pos2, Mark)> = sound
        .clone()
        .map(|point| (place(point), point.mark))
        .collect();
    let is_columns = is_columns(view, plot);
    let room = if is_columns { DIAMOND } else { 0.0 };
    let stroke = Stroke::new(1.2, look.tokens.text);
    if !is_columns {
        for pair in seen.windows(2).filter(|_| !view.is_outcomes) {
            if let [(one, _), (other, _)] = pair {
                painter.line_segment([*one, *other], stroke);
            }
        }
        let ticks = sound.clone().filter_map(|point| {
            let y = point.mean.filter(|y| y.is_finite())?.clamp(0.0, 1.0);
            Some(pos2(place(point).x, plot.top() + y * plot.height()))
        });
        for at in ticks {
            let (left, right) = (at - vec2(TICK, 0.0), at + vec2(TICK, 0.0));
            painter.line_segment([left, right], stroke);
        }
        for (at, mark) in &seen {
            point_ui(painter, *at, *mark, DOT, look);
        }
    } else {
        columns_ui(painter, &seen, look);
    }
    if let Some((at, mark)) = seen.last() {
        point_ui(painter, *at, *mark, LAST, look);
    }
    let mut before = f32::NEG_INFINITY;
    for point in sound.filter(|point| point.is_signal) {
        let at = place(point);
        // So close that they would be one blot, one stands for its neighbours.
        if at.x - before >= room {
            diamond_ui(painter, at, look);
            before = at.x;
        }
    }
}

/// Whether there are more values than dots find room for.
fn is_columns(view: &ChartView, plot: Rect) -> bool {
    let dots = plot.width() / ROOM_OF_A_DOT;
    let count = f32::from(u16::try_from(view.points.len()).unwrap_or(u16::MAX));
    count > dots.max(2.0)
}

fn diamond_ui(painter: &Painter, at: Pos2, look: &Look) {
    let corners = [
        at - vec2(0.0, DIAMOND),
        at + vec2(DIAMOND, 0.0),
        at + vec2(0.0, DIAMOND),
        at - vec2(DIAMOND, 0.0),
    ];
    let edge = Stroke::new(1.4, look.tokens.text);
    painter.add(Shape::closed_line(corners.to_vec(), edge));
}

/// A column of values.
struct Column {
    left: f32,
    top: f32,
    bottom: f32,
    /// The worst value that is not GO.
    worst: Option<(Pos2, Mark)>,
}

/// Smallest to largest in each column, and the worst value of it that is not GO.
fn columns_ui(painter: &Painter, seen: &[(Pos2, Mark)], look: &Look) {
    let mut columns: Vec<Column> = Vec::new();
    for (at, mark) in seen {
        let is_new = columns
            .last()
            .is_none_or(|last| (at.x - last.left).abs() >= COLUMN);
        if is_new {
            columns.push(Column {
                left: at.x,
                top: at.y,
                bottom: at.y,
                worst: None,
            });
        }
        let Some(last) = columns.last_mut() else {
            continue;
        };
        last.top = last.top.min(at.y);
        last.bottom = last.bottom.max(at.y);
        let before = last.worst.map_or(0, |(_, mark)| badness(mark));
        if badness(*mark) > before {
            last.worst = Some((*at, *mark));
        }
    }
    for (at, column) in columns.iter().enumerate() {
        // Neighbours touch, so that many columns are one band.
        let next = columns.get(at + 1).map(|next| next.left);
        let next = next.filter(|next| next - column.left < 2.5 * COLUMN);
        let bar = Rect::from_min_max(
            pos2(column.left, column.top - 0.8),
            pos2(next.unwrap_or(column.left + COLUMN), column.bottom + 0.8),
        );
        painter.rect_filled(bar, 0.0, look.tokens.bars);
        // The ends say how far it reaches; what is between them must not hide limits and marks.
        let edge = Stroke::new(1.6, look.tokens.text);
        for y in [bar.top(), bar.bottom()] {
            painter.hline(bar.x_range(), y, edge);
        }
    }
    for (at, mark) in columns.iter().filter_map(|column| column.worst) {
        point_ui(painter, at, mark, DOT, look);
    }
}

/// What is not GO, worse ones higher; 0 needs no shape of its own.
fn badness(mark: Mark) -> u8 {
    match mark {
        Mark::Go | Mark::Inside | Mark::Noted | Mark::Open | Mark::NotSelected => 0,
        Mark::Cutting => 1,
        Mark::Held => 2,
        Mark::Doubt => 3,
        Mark::NoGo => 4,
        Mark::NotRecorded => 5,
    }
}

/// A value: a dot; DOUBT a ring, NO-GO a square with a cross, cutting a triangle.
fn point_ui(painter: &Painter, at: Pos2, mark: Mark, radius: f32, look: &Look) {
    let ink = look.tokens.text;
    let edge = Stroke::new(1.4, ink);
    let fill = look.tokens.fill(mark).unwrap_or(look.tokens.panel);
    match mark {
        Mark::Go => {
            painter.circle_filled(at, radius, ink);
        }
        Mark::Inside | Mark::Noted | Mark::Open | Mark::NotSelected => {
            painter.circle(at, radius - 0.5, look.tokens.panel, Stroke::new(1.0, ink));
        }
        Mark::Doubt | Mark::Held => {
            painter.circle(at, radius + 0.8, fill, edge);
        }
        Mark::NoGo | Mark::NotRecorded => {
            let half = radius + 0.6;
            let square = Rect::from_center_size(at, vec2(half, half) * 2.0);
            painter.rect_filled(square.expand(1.0), 0.0, ink);
            painter.rect_filled(square, 0.0, fill);
            let cross = Stroke::new(1.4, look.tokens.on_fill);
            painter.line_segment([square.left_top(), square.right_bottom()], cross);
            painter.line_segment([square.right_top(), square.left_bottom()], cross);
        }
        Mark::Cutting => {
            let side = radius + 1.2;
            let corners = vec![
                at + vec2(0.0, -side),
                at + vec2(side, side * 0.8),
                at + vec2(-side, side * 0.8),
            ];
            painter.add(Shape::convex_polygon(corners, fill, edge));
        }
    }
}
