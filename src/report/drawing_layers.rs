//! The layers of a chart as strokes, areas and texts.

use super::chart::{Bar, Chart, Layer, Point, Shape, Stroke};
use super::chart_thin::thinned;
use super::drawing::{
    Anchor, Extent, Ink, NOTE_SIZE, Pen, Place, TEXT_SIZE, Tone, at, cut_to, labelled, width_of,
};
use super::drawing_hatch::{hatched_band, hatched_box};
use super::pdf_text::{Faces, Weight};

/// The largest radius of a point, pixels, and the smallest.
const RADIUS: (f64, f64) = (3.2, 0.8);
/// From label to label.
const LABEL_LEADING: f64 = 15.0;
/// More marks than these are not written: they would cover the chart. The notes have them all.
const MARKS_MAX: usize = 120;

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

    fn place(&self, point: &Point) -> Place {
        at(self.across(point.x), self.down(point.y))
    }

    fn has_across(&self, x: f64) -> bool {
        (self.x.0..=self.x.1).contains(&x)
    }

    fn has_down(&self, y: f64) -> bool {
        (self.y.0..=self.y.1).contains(&y)
    }

    /// Points of one kind, as many as the picture can show.
    fn shown(&self, points: &[Point]) -> Vec<Place> {
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

/// What stands at the right ends of the lines.
pub(super) struct Labels {
    texts: Vec<(f64, String)>,
    width: f64,
}

impl Labels {
    pub(super) fn of(chart: &Chart, faces: &Faces, room: f64) -> Self {
        let cut = |text: &str| cut_to(faces, text, Weight::Regular, TEXT_SIZE, room);
        let texts: Vec<(f64, String)> = labelled(chart)
            .map(|(value, text)| (value, cut(text)))
            .collect();
        let widths = texts
            .iter()
            .map(|(_, text)| width_of(faces, text, Weight::Regular, TEXT_SIZE));
        Self {
            width: widths.fold(0.0, f64::max),
            texts,
        }
    }

    pub(super) fn width(&self) -> f64 {
        self.width
    }

    /// One below the other as near to their lines as they can be, with a line to lead there.
    fn paint(&self, frame: &Frame, inks: &mut Vec<Ink>) {
        let mut placed: Vec<(f64, f64, &str)> = self
            .texts
            .iter()
            .filter(|(value, _)| frame.has_down(*value))
            .map(|(value, text)| (frame.down(*value), frame.down(*value), &**text))
            .collect();
        placed.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut least = f64::NEG_INFINITY;
        for (_, y, _) in &mut placed {
            *y = y.max(least);
            least = *y + LABEL_LEADING;
        }
        let mut most = frame.plot.bottom - 2.0;
        for (_, y, _) in placed.iter_mut().rev() {
            *y = y.min(most);
            most = *y - LABEL_LEADING;
        }
        let right = frame.plot.right;
        for (line, y, text) in placed {
            inks.push(Ink::Lines {
                pieces: vec![vec![at(right, line), at(right + 6.0, y)]],
                pen: pen(0.8, Tone::Muted, &[]),
            });
            inks.push(Ink::Text {
                at: at(right + 9.0, y + 0.35 * TEXT_SIZE),
                text: text.to_owned(),
                size: TEXT_SIZE,
                is_bold: false,
                anchor: Anchor::Start,
                tone: Tone::Black,
            });
        }
    }
}

/// All layers, then the labels of the lines.
pub(super) fn paint_layers(
    chart: &Chart,
    frame: &Frame,
    faces: &Faces,
    labels: &Labels,
    inks: &mut Vec<Ink>,
) {
    let count = chart.layers.iter().map(|layer| match layer {
        Layer::Points { at, .. } => at.len(),
        _ => 0,
    });
    let width = frame.plot.right - frame.plot.left;
    let each = width / count.sum::<usize>().max(1) as f64;
    let radius = (0.4 * each).clamp(RADIUS.1, RADIUS.0);
    let marks = |layer: &&Layer| matches!(layer, Layer::Mark { .. });
    let has_room = chart.layers.iter().filter(marks).count() <= MARKS_MAX;
    let mut written = Written {
        lines: lines_across(chart, frame),
        ..Written::default()
    };
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
            Layer::Mark { at, text } if has_room => {
                written.mark(frame, frame.place(at), text, radius, faces, inks);
            }
            Layer::HorizontalLine { .. } | Layer::VerticalLine { .. } | Layer::Mark { .. } => {}
        }
    }
    labels.paint(frame, inks);
}

fn pen(width: f64, tone: Tone, dashes: &'static [f64]) -> Pen {
    Pen {
        width,
        tone,
        dashes,
    }
}

fn stroked(pieces: Vec<Vec<Place>>, stroke: Stroke) -> Ink {
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
    if places.len() > 1 {
        inks.push(stroked(vec![places], stroke));
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
        Shape::Boxed => {
            // Among very many points a box is small, or it would cover its neighbours.
            let (room, width) = if radius > 1.5 { (2.6, 1.6) } else { (1.2, 0.9) };
            let boxes = places.iter().map(|one| square(*one, radius + room));
            inks.push(Ink::Lines {
                pieces: boxes.collect(),
                pen: pen(width, Tone::Signal, &[]),
            });
            inks.push(discs(places, Tone::Black));
        }
    }
}

fn square(middle: Place, half: f64) -> Vec<Place> {
    let corner = |x: f64, y: f64| at(middle.x + x * half, middle.y + y * half);
    vec![
        corner(-1.0, -1.0),
        corner(1.0, -1.0),
        corner(1.0, 1.0),
        corner(-1.0, 1.0),
        corner(-1.0, -1.0),
    ]
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
    let ends = vec![at(across, frame.plot.top), at(across, frame.plot.bottom)];
    inks.push(stroked(vec![ends], stroke));
    written.label(frame, across, label, faces, inks);
}

/// How far down lines lie across the chart: of limits, means and centres.
fn lines_across(chart: &Chart, frame: &Frame) -> Vec<f64> {
    let heights = chart.layers.iter().filter_map(|layer| match layer {
        Layer::HorizontalLine { y, .. } => Some(*y),
        Layer::Line {
            at,
            stroke: Stroke::Control | Stroke::Centre | Stroke::Limit,
        } => at.first().map(|first| first.y),
        _ => None,
    });
    let seen = heights.filter(|y| frame.has_down(*y));
    seen.map(|y| frame.down(y)).collect()
}

/// What is written on a chart so far, so that nothing is written over it.
#[derive(Default)]
struct Written {
    places: Vec<Extent>,
    /// How far down lines lie that go across.
    lines: Vec<f64>,
}

impl Written {
    /// A label at the upper end of a line: beside it where it has room.
    fn label(&mut self, frame: &Frame, x: f64, text: &str, faces: &Faces, inks: &mut Vec<Ink>) {
        let width = width_of(faces, text, Weight::Regular, NOTE_SIZE);
        let is_right = x + 4.0 + width <= frame.plot.right + 4.0;
        let left = if is_right { x + 4.0 } else { x - 4.0 - width };
        // A label that meets another one, or a line, stands in the next row; none is left out for
        // a line alone.
        let rows = (0..4).map(|row| frame.plot.top + 10.0 + f64::from(row) * 13.0);
        let rows: Vec<f64> = rows.collect();
        let is_crossed = |base: &f64| {
            let meets = |line: &f64| (base - NOTE_SIZE..base + 2.0).contains(line);
            self.lines.iter().any(meets)
        };
        let (crossed, free): (Vec<f64>, Vec<f64>) = rows.into_iter().partition(is_crossed);
        for base in free.into_iter().chain(crossed) {
            if self.takes(left, base, width) {
                inks.push(small(left, base, text, false));
                return;
            }
        }
    }

    /// A mark above its point, or below it where there is no room above.
    fn mark(
        &mut self,
        frame: &Frame,
        place: Place,
        text: &str,
        radius: f64,
        faces: &Faces,
        inks: &mut Vec<Ink>,
    ) {
        let width = width_of(faces, text, Weight::Bold, NOTE_SIZE);
        let edge = (frame.plot.right - width).max(frame.plot.left);
        let left = (place.x - 0.5 * width).clamp(frame.plot.left, edge);
        let above = place.y - radius - 7.0;
        let below = place.y + radius + 15.0;
        let rooms = [above, below].into_iter();
        let mut rooms = rooms.filter(|base| *base > frame.plot.top && *base < frame.plot.bottom);
        if let Some(base) = rooms.find(|base| self.takes(left, *base, width)) {
            inks.push(small(left, base, text, true));
        }
    }

    /// Takes the room of a text, if it is free.
    fn takes(&mut self, left: f64, base: f64, width: f64) -> bool {
        let wanted = Extent {
            left,
            top: base - NOTE_SIZE,
            right: left + width,
            bottom: base + 2.0,
        };
        let meets = |other: &Extent| {
            wanted.left < other.right
                && other.left < wanted.right
                && wanted.top < other.bottom
                && other.top < wanted.bottom
        };
        let is_free = !self.places.iter().any(meets);
        if is_free {
            self.places.push(wanted);
        }
        is_free
    }
}

fn small(left: f64, base: f64, text: &str, is_bold: bool) -> Ink {
    Ink::Text {
        at: at(left, base),
        text: text.to_owned(),
        size: NOTE_SIZE,
        is_bold,
        anchor: Anchor::Start,
        tone: Tone::Black,
    }
}
