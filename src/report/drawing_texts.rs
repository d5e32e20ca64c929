//! What is written on a chart: the labels of its lines, and the marks beside points and lines, none
//! of which covers another.

use super::chart::{Chart, Layer, Stroke};
use super::drawing::{
    Anchor, Extent, Ink, NOTE_SIZE, Place, TEXT_SIZE, Tone, at, cut_to, labelled, width_of,
};
use super::drawing_layers::{Frame, pen};
use super::pdf_text::{Faces, Weight};

/// From label to label.
const LABEL_LEADING: f64 = 15.0;
/// How far above the chart the title of its vertical axis stands, and what is free beside it.
pub(super) const ABOVE_PLOT: f64 = 8.0;
const LABEL_GAP: f64 = 6.0;

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
    pub(super) fn paint(&self, frame: &Frame, inks: &mut Vec<Ink>) {
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
pub(super) struct Written {
    places: Vec<Extent>,
    /// How far down lines lie that go across.
    lines: Vec<f64>,
}

impl Written {
    /// What stands there before any layer: the title of the vertical axis, above it.
    pub(super) fn on(chart: &Chart, frame: &Frame, faces: &Faces) -> Self {
        let mut written = Self {
            lines: lines_across(chart, frame),
            ..Self::default()
        };
        let width = width_of(faces, &chart.y.title, Weight::Regular, TEXT_SIZE);
        written.takes(
            frame.plot.left,
            frame.plot.top - ABOVE_PLOT,
            width + LABEL_GAP,
        );
        written
    }

    /// A label at the upper end of a line: beside it where it has room, first where it is wanted.
    /// Gives where it stands.
    pub(super) fn label(
        &mut self,
        frame: &Frame,
        (x, wanted): (f64, Option<f64>),
        text: &str,
        faces: &Faces,
        inks: &mut Vec<Ink>,
    ) -> Option<f64> {
        let (start, end) = (frame.plot.left, frame.plot.right);
        let text = &cut_to(faces, text, Weight::Regular, NOTE_SIZE, end - start);
        let width = width_of(faces, text, Weight::Regular, NOTE_SIZE);
        let is_right = x + 4.0 + width <= end + 4.0;
        let left = if is_right { x + 4.0 } else { x - 4.0 - width };
        let left = left.max(start);
        // A label that meets another one, or a line, stands in the next row; none is left out for
        // a line alone.
        let inside = (0..4).map(|row| frame.plot.top + 10.0 + f64::from(row) * 13.0);
        let inside = inside.filter(|base| base + 2.0 < frame.plot.bottom);
        let rows: Vec<f64> = wanted.into_iter().chain(inside).collect();
        let is_crossed = |base: &f64| {
            let meets = |line: &f64| (base - NOTE_SIZE..base + 2.0).contains(line);
            self.lines.iter().any(meets)
        };
        let (crossed, free): (Vec<f64>, Vec<f64>) = rows.into_iter().partition(is_crossed);
        let mut rows = free.into_iter().chain(crossed);
        let base = rows.find(|base| self.takes(left, *base, width))?;
        inks.push(small(left, base, text, false));
        Some(base)
    }

    /// Boxes over which nothing is to be written.
    pub(super) fn boxes(&mut self, middles: impl Iterator<Item = Place>, half: f64) {
        self.places.extend(middles.map(|middle| Extent {
            left: middle.x - half,
            top: middle.y - half,
            right: middle.x + half,
            bottom: middle.y + half,
        }));
    }

    /// A mark above its point, or below it where there is no room above; gives whether it had any.
    pub(super) fn mark(
        &mut self,
        frame: &Frame,
        place: Place,
        text: &str,
        radius: f64,
        faces: &Faces,
        inks: &mut Vec<Ink>,
    ) -> bool {
        let width = width_of(faces, text, Weight::Bold, NOTE_SIZE);
        let edge = (frame.plot.right - width).max(frame.plot.left);
        let left = (place.x - 0.5 * width).clamp(frame.plot.left, edge);
        let above = place.y - radius - 7.0;
        let below = place.y + radius + 15.0;
        let rooms = [above, below].into_iter();
        let mut rooms = rooms.filter(|base| *base > frame.plot.top && *base < frame.plot.bottom);
        let found = rooms.find(|base| self.takes(left, *base, width));
        inks.extend(found.map(|base| small(left, base, text, true)));
        found.is_some()
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
