//! The layers of a chart as strokes, areas and texts.

use super::chart::{Bar, Chart, Layer, Point, Shape, Stroke};
use super::chart_thin::thinned;
use super::drawing::{Extent, Ink, NOTE_SIZE, Pen, Place, Tone, at};
use super::drawing_hatch::{hatched_band, hatched_box};
use super::drawing_signals::{SignalRows, boxed, signalling};
use super::drawing_texts::{ABOVE_PLOT, Labels, Written};
use super::pdf_text::Faces;

/// The largest radius of a point, pixels, and the smallest.
const RADIUS: (f64, f64) = (3.2, 0.8);

/// With so many points a pixel the way from one to the next is no line any more (chosen).
const AREA_FROM: f64 = 1.5;

/// Where a chart's units lie on the picture.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    pub(super) plot: Extent,
    pub(super) x: (f64, f64),
    pub(super) y: (f64, f64),
}

impl Frame {
    /// How far to the right a value lies, never outside.
    pub(super) fn across(&self, x: f64) -> f64 {
        let share = share(x, self.x);
        self.plot.left + share * (self.plot.right - self.plot.left)
    }

    /// How far down a value lies, never outside.
    pub(super) fn down(&self, y: f64) -> f64 {
        let share = share(y, self.y);
        self.plot.bottom - share * (self.plot.bottom - self.plot.top)
    }

    pub(super) fn place(&self, point: &Point) -> Place {
        at(self.across(point.x), self.down(point.y))
    }

    pub(super) fn has_across(&self, x: f64) -> bool {
        (self.x.0..=self.x.1).contains(&x)
    }

    pub(super) fn has_down(&self, y: f64) -> bool {
        (self.y.0..=self.y.1).contains(&y)
    }

    /// Points of one kind, as many as the picture can show.
    pub(super) fn shown(&self, points: &[Point]) -> Vec<Place> {
        let width = (self.plot.right - self.plot.left).clamp(1.0, 10_000.0);
        // From 1 to 10 000: the conversion keeps the number.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let columns = width as usize;
        let kept = thinned(points, self.x.0, self.x.1, columns);
        kept.iter().map(|point| self.place(point)).collect()
    }
}

/// Where a value lies between the ends, 0 to 1; a value that is no number lies at the first.
fn share(value: f64, (from, to): (f64, f64)) -> f64 {
    let share = (value - from) / (to - from);
    if share.is_nan() {
        0.0
    } else {
        share.clamp(0.0, 1.0)
    }
}

/// All layers, then the labels of the lines. Gives whether every signal could be boxed and
/// numbered, as it is where it has no row.
pub(super) fn paint_layers(
    chart: &Chart,
    frame: &Frame,
    (faces, labels): (&Faces, &Labels),
    rows: Option<&SignalRows>,
    inks: &mut Vec<Ink>,
) -> bool {
    let radius = radius(chart, frame);
    let mut written = Written::on(chart, frame, faces);
    for layer in &chart.layers {
        match layer {
            Layer::Points { at, shape } => points(frame, at, *shape, radius, inks),
            Layer::Line { at, stroke } => line(frame, at, *stroke, inks),
            Layer::Band { lower, upper } => band(frame, lower, upper, inks),
            Layer::HorizontalLine {
                y, from, stroke, ..
            } if frame.has_down(*y) => {
                let y = frame.down(*y);
                let left = from.map_or(frame.plot.left, |from| frame.across(from));
                let ends = vec![at(left, y), at(frame.plot.right, y)];
                inks.push(stroked(vec![ends], *stroke));
            }
            Layer::VerticalLine { x, label, stroke } if frame.has_across(*x) => {
                vertical(frame, *x, label, *stroke, faces, &mut written, inks);
            }
            Layer::Bars {
                bars: all,
                is_hatched,
            } => bars(frame, all, *is_hatched, inks),
            Layer::Interval { y, from, to, best } => {
                interval(frame, *y, (*from, *to), *best, inks);
            }
            Layer::Signals { at, .. } if rows.is_some() => signalling(frame, at, radius, inks),
            Layer::Signals { at, .. } => {
                if !boxed(frame, at, radius, faces, &mut written, inks) {
                    return false;
                }
            }
            Layer::Mark { at, text } => {
                written.mark(frame, frame.place(at), text, radius, faces, inks);
            }
            Layer::HorizontalLine { .. } | Layer::VerticalLine { .. } => {}
        }
    }
    labels.paint(frame, inks);
    if let Some(rows) = rows {
        rows.paint(chart, frame, inks);
    }
    true
}

/// The radius of a point: of very many it is small.
fn radius(chart: &Chart, frame: &Frame) -> f64 {
    let count = chart.layers.iter().map(|layer| match layer {
        Layer::Points { at, .. } => at.len(),
        _ => 0,
    });
    let width = frame.plot.right - frame.plot.left;
    let each = width / count.sum::<usize>().max(1) as f64;
    (0.4 * each).clamp(RADIUS.1, RADIUS.0)
}

pub(super) fn pen(width: f64, tone: Tone, dashes: &'static [f64]) -> Pen {
    Pen {
        width,
        tone,
        dashes,
    }
}

pub(super) fn stroked(pieces: Vec<Vec<Place>>, stroke: Stroke) -> Ink {
    let pen = match stroke {
        Stroke::Limit => pen(2.2, Tone::Black, &[]),
        Stroke::Control => pen(1.4, Tone::Signal, &[7.0, 4.0]),
        Stroke::Centre => pen(1.0, Tone::Muted, &[10.0, 3.0, 2.0, 3.0]),
        Stroke::Course => pen(0.9, Tone::Muted, &[]),
        Stroke::Fitted => pen(1.8, Tone::Fitted, &[]),
        Stroke::Break => pen(1.0, Tone::Muted, &[14.0, 5.0]),
        Stroke::Compared => pen(1.2, Tone::Muted, &[1.5, 3.0]),
    };
    Ink::Lines { pieces, pen }
}

fn line(frame: &Frame, points: &[Point], stroke: Stroke, inks: &mut Vec<Ink>) {
    let places = frame.shown(points);
    // The way from value to value of very many would be one area: it stays behind the rest.
    let width = frame.plot.right - frame.plot.left;
    let is_area = stroke == Stroke::Course && points.len() as f64 > AREA_FROM * width;
    if places.len() > 1 {
        inks.push(match stroked(vec![places], stroke) {
            Ink::Lines { pieces, pen } if is_area => {
                let tone = Tone::Filled;
                Ink::Lines {
                    pieces,
                    pen: Pen { tone, ..pen },
                }
            }
            other => other,
        });
    }
}

fn points(frame: &Frame, points: &[Point], shape: Shape, radius: f64, inks: &mut Vec<Ink>) {
    let places = frame.shown(points);
    if places.is_empty() {
        return;
    }
    let discs = |places: Vec<Place>, tone: Tone| Ink::Discs {
        at: places,
        radius,
        tone,
    };
    match shape {
        Shape::Disc => inks.push(discs(places, Tone::Black)),
        Shape::Ring => inks.push(Ink::Rings {
            at: places,
            radius: radius.max(2.4),
            pen: pen(1.2, Tone::Black, &[]),
        }),
        Shape::Cross => {
            let arm = (1.3 * radius).max(2.6);
            let strokes = places.iter().flat_map(|one| {
                [1.0, -1.0].map(|way| {
                    let (dx, dy) = (arm, way * arm);
                    vec![at(one.x - dx, one.y - dy), at(one.x + dx, one.y + dy)]
                })
            });
            inks.push(Ink::Lines {
                pieces: strokes.collect(),
                pen: pen(2.0, Tone::Beyond, &[]),
            });
        }
    }
}

fn band(frame: &Frame, lower: &[Point], upper: &[Point], inks: &mut Vec<Ink>) {
    let (lower, upper) = (frame.shown(lower), frame.shown(upper));
    inks.push(Ink::Lines {
        pieces: hatched_band(&lower, &upper),
        pen: pen(0.6, Tone::Fitted, &[]),
    });
    let edges = [lower, upper].into_iter().filter(|edge| edge.len() > 1);
    inks.push(Ink::Lines {
        pieces: edges.collect(),
        pen: pen(1.0, Tone::Fitted, &[5.0, 3.0]),
    });
}

fn bars(frame: &Frame, bars: &[Bar], is_hatched: bool, inks: &mut Vec<Ink>) {
    let edge = pen(1.0, Tone::Black, &[]);
    let mut hatching = Vec::new();
    for bar in bars {
        let place = Extent {
            left: frame.across(bar.from),
            right: frame.across(bar.to),
            top: frame.down(bar.height),
            bottom: frame.down(0.0),
        };
        let corners = vec![
            at(place.left, place.bottom),
            at(place.left, place.top),
            at(place.right, place.top),
            at(place.right, place.bottom),
        ];
        let fill = if is_hatched {
            Tone::White
        } else {
            Tone::Filled
        };
        inks.push(Ink::Area {
            corners,
            fill,
            edge: Some(edge),
        });
        if is_hatched {
            hatching.extend(hatched_box(place));
        }
    }
    if !hatching.is_empty() {
        inks.push(Ink::Lines {
            pieces: hatching,
            pen: pen(1.4, Tone::Beyond, &[]),
        });
    }
}

fn interval(frame: &Frame, y: f64, ends: (f64, f64), best: Option<f64>, inks: &mut Vec<Ink>) {
    let down = frame.down(y);
    let (left, right) = (frame.across(ends.0), frame.across(ends.1));
    let mut pieces = vec![vec![at(left, down), at(right, down)]];
    // An end that lies outside has no cap.
    for (value, x) in [(ends.0, left), (ends.1, right)] {
        if frame.has_across(value) {
            pieces.push(vec![at(x, down - 6.0), at(x, down + 6.0)]);
        }
    }
    inks.push(Ink::Lines {
        pieces,
        pen: pen(3.0, Tone::Black, &[]),
    });
    if let Some(best) = best.filter(|best| frame.has_across(*best)) {
        inks.push(Ink::Discs {
            at: vec![at(frame.across(best), down)],
            radius: 5.0,
            tone: Tone::Black,
        });
    }
}

fn vertical(
    frame: &Frame,
    x: f64,
    label: &str,
    stroke: Stroke,
    faces: &Faces,
    written: &mut Written,
    inks: &mut Vec<Ink>,
) {
    let across = frame.across(x);
    // What happened is told above the chart, where it covers no value; the line leads there.
    let above = frame.plot.top - ABOVE_PLOT;
    let above = (stroke == Stroke::Break).then_some(above);
    let base = written.label(frame, (across, above), label, faces, inks);
    let is_above = base.is_some_and(|base| base < frame.plot.top);
    let rise = if is_above {
        ABOVE_PLOT + NOTE_SIZE
    } else {
        0.0
    };
    let top = at(across, frame.plot.top - rise);
    inks.push(stroked(
        vec![vec![top, at(across, frame.plot.bottom)]],
        stroke,
    ));
}
