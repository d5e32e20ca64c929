//! Paints a chart as the report lays it out: the same strokes, areas and texts, in the colours of
//! the window. Laid out once for each chart and size; a frame only paints, and of very many points
//! no more than the columns can show.

use std::sync::Arc;

use eframe::egui::{Align2, Color32, FontId, Painter, Pos2, Rect, Shape, Stroke, Ui, pos2, vec2};

use super::line_ui::{has_area, name_ui};
use super::look::{Look, REGULAR, bold};
use super::view::decimal_mark;
use crate::report::{Anchor, Chart, ChartSize, Drawing, Ink, Pen, Place, Tone, drawing};

/// On a window of this size the letters have the size of the report's; on a larger one they grow.
const USUAL: (f32, f32) = (780.0, 300.0);
/// At most so much.
const GROWN_MAX: f32 = 2.0;
const TOO_SMALL: &str = "The window is too small for the chart.";

/// The chart that was laid out last.
#[derive(Default)]
pub struct LaidChart {
    kept: Option<Kept>,
}

struct Kept {
    chart: Arc<Chart>,
    place: Rect,
    marker: char,
    scale: f32,
    drawing: Drawing,
}

impl LaidChart {
    /// How many things are painted; none before a chart was laid out.
    pub fn inks(&self) -> Option<usize> {
        self.kept.as_ref().map(|kept| kept.drawing.inks.len())
    }

    /// The chart laid out for a place, anew only where chart, place or marker have changed.
    fn laid(&mut self, chart: &Arc<Chart>, place: Rect, marker: char) -> Option<&Kept> {
        let is_same = |kept: &Kept| {
            Arc::ptr_eq(&kept.chart, chart) && kept.place == place && kept.marker == marker
        };
        if !self.kept.as_ref().is_some_and(is_same) {
            self.kept = laid_out(chart, place, marker);
        }
        self.kept.as_ref()
    }
}

fn laid_out(chart: &Arc<Chart>, place: Rect, marker: char) -> Option<Kept> {
    let grown = (place.width() / USUAL.0).min(place.height() / USUAL.1);
    // Half of the room goes to the letters, half to the data.
    let scale = grown.max(1.0).sqrt().min(GROWN_MAX);
    let (width, height) = (place.width() / scale, place.height() / scale);
    let size = ChartSize::new(f64::from(width), f64::from(height))?;
    let mark = decimal_mark(marker);
    let drawing = drawing(std::slice::from_ref(chart.as_ref()), size, mark).ok()?;
    Some(Kept {
        chart: Arc::clone(chart),
        place,
        marker,
        scale,
        drawing,
    })
}

/// Paints the chart into a place; its name says what stands on it.
pub fn chart_paint_ui(
    ui: &mut Ui,
    place: Rect,
    (chart, marker): (&Arc<Chart>, char),
    look: &Look,
    laid: &mut LaidChart,
) {
    if !has_area(place) {
        return;
    }
    let painter = ui.painter_at(place);
    painter.rect_filled(place, 0.0, look.tokens.panel);
    let Some(kept) = laid.laid(chart, place, marker) else {
        name_ui(ui, place, "chart", TOO_SMALL, false);
        return;
    };
    let on = Canvas {
        painter: &painter,
        origin: place.min,
        scale: kept.scale,
        look,
    };
    for ink in &kept.drawing.inks {
        on.paint(ink);
    }
    let said = kept.drawing.said.join(" ");
    name_ui(ui, place, "chart", &said, false);
}

struct Canvas<'a> {
    painter: &'a Painter,
    origin: Pos2,
    scale: f32,
    look: &'a Look,
}

/// Places on a screen: f32 holds them to a thousandth of a pixel.
#[allow(clippy::cast_possible_truncation)]
fn single(value: f64) -> f32 {
    value as f32
}

impl Canvas<'_> {
    fn at(&self, place: Place) -> Pos2 {
        self.origin + vec2(single(place.x), single(place.y)) * self.scale
    }

    fn long(&self, length: f64) -> f32 {
        single(length) * self.scale
    }

    fn all(&self, places: &[Place]) -> Vec<Pos2> {
        places.iter().map(|place| self.at(*place)).collect()
    }

    fn ink(&self, tone: Tone) -> Color32 {
        self.look.tokens.ink(tone)
    }

    fn stroke(&self, pen: Pen) -> Stroke {
        Stroke::new(self.long(pen.width), self.ink(pen.tone))
    }

    fn paint(&self, ink: &Ink) {
        match ink {
            Ink::Lines { pieces, pen } => {
                for piece in pieces {
                    self.line(piece, *pen);
                }
            }
            Ink::Area {
                corners,
                fill,
                edge,
            } => {
                // Areas are bars: their corners make a convex shape.
                let edge = edge.map_or(Stroke::NONE, |pen| self.stroke(pen));
                let fill = self.ink(*fill);
                let area = Shape::convex_polygon(self.all(corners), fill, edge);
                self.painter.add(area);
            }
            Ink::Discs { at, radius, tone } => {
                let (radius, ink) = (self.long(*radius), self.ink(*tone));
                let discs = at.iter().map(|place| {
                    let at = self.at(*place);
                    Shape::circle_filled(at, radius, ink)
                });
                self.painter.extend(discs);
            }
            Ink::Rings { at, radius, pen } => {
                let (radius, stroke) = (self.long(*radius), self.stroke(*pen));
                let ground = self.ink(Tone::White);
                for place in at {
                    let at = self.at(*place);
                    self.painter.circle(at, radius, ground, stroke);
                }
            }
            Ink::Text {
                at,
                text,
                size,
                is_bold,
                anchor,
                tone,
            } => {
                let family = if *is_bold { bold() } else { REGULAR };
                let font = FontId::new(self.long(*size), family);
                let ink = self.ink(*tone);
                let galley = self.painter.layout_no_wrap(text.clone(), font, ink);
                let align = match anchor {
                    Anchor::Start => Align2::LEFT_TOP,
                    Anchor::Middle => Align2::CENTER_TOP,
                    Anchor::End => Align2::RIGHT_TOP,
                };
                // The text stands on its base line.
                let base = galley.rows.first().and_then(|row| {
                    let glyph = row.row.glyphs.first()?;
                    Some(row.pos.y + glyph.pos.y)
                });
                let at = self.at(*at);
                let at = pos2(at.x, at.y - base.unwrap_or(0.0));
                let place = align.anchor_size(at, galley.size());
                self.painter.galley(place.min, galley, ink);
            }
        }
    }

    fn line(&self, piece: &[Place], pen: Pen) {
        let points = self.all(piece);
        let stroke = self.stroke(pen);
        let lengths = |first: usize| -> Vec<f32> {
            let dashes = pen.dashes.iter().skip(first).step_by(2);
            dashes.map(|dash| self.long(*dash)).collect()
        };
        let (drawn, left_out) = (lengths(0), lengths(1));
        if drawn.is_empty() || drawn.len() != left_out.len() {
            self.painter.add(Shape::line(points, stroke));
            return;
        }
        let dashes = Shape::dashed_line_with_offset(&points, stroke, &drawn, &left_out, 0.0);
        self.painter.extend(dashes);
    }
}
