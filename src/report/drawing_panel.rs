//! A chart in its part of the picture: title, rows of signals, the chart between its axes, notes;
//! and how much of the room each of them gets.

use super::chart::{Axis, Chart, Scale};
use super::chart_axis::Ticks;
use super::drawing::{
    Anchor, Extent, Ink, NOTE_SIZE, Pen, Place, TEXT_SIZE, TITLE_SIZE, Tone, at, cut_to, width_of,
};
use super::drawing_layers::{Frame, paint_layers};
use super::drawing_signals::SignalRows;
use super::drawing_texts::{ABOVE_PLOT, Labels};
use super::options::DecimalMark;
use super::pdf_text::{Faces, Weight};

/// Notes get at most so much of a chart's height.
const NOTES_SHARE: f64 = 0.42;
/// From line to line of the notes.
const LEADING: f64 = 1.35 * NOTE_SIZE;
/// Room above a chart for its titles, below it for its numbers, and what it has at least itself.
const ABOVE: f64 = 48.0;
const BELOW: f64 = 38.0;
const CHART_MIN: f64 = 64.0;
/// The height of a low chart.
const LOW: f64 = 120.0;
/// Labels at the right get at most so much of the width; of a narrow chart more, so that no number
/// in them is cut.
const LABELS: f64 = 0.36;
const NARROW_LABELS: f64 = 0.5;
const NARROW: f64 = 330.0;
/// From the edge, and between things.
const GAP: f64 = 8.0;

/// A chart that is being laid out.
pub(super) struct Panel<'a> {
    pub(super) chart: &'a Chart,
    pub(super) faces: &'a Faces,
    pub(super) mark: DecimalMark,
    pub(super) inks: &'a mut Vec<Ink>,
}

/// Where everything has its room.
struct Layout {
    frame: Frame,
    /// The numbers of the vertical axis, cut to their room.
    numbers: Vec<(f64, String)>,
    labels: Labels,
    /// The notes that have room, line by line.
    notes: Vec<String>,
    notes_top: f64,
}

impl Panel<'_> {
    pub(super) fn paint(mut self, whole: Extent) {
        let mut layout = self.layout(whole, None);
        let mut layers = Vec::new();
        let at_hand = (self.faces, &layout.labels);
        let fits = paint_layers(self.chart, &layout.frame, at_hand, None, &mut layers);
        if !fits {
            let high = whole.bottom - whole.top - ABOVE - BELOW - GAP;
            let size = (whole.right - whole.left, high);
            let rows = SignalRows::of(self.chart, self.faces, size);
            layout = self.layout(whole, Some(&rows));
            layers.clear();
            let at_hand = (self.faces, &layout.labels);
            paint_layers(self.chart, &layout.frame, at_hand, Some(&rows), &mut layers);
        }
        let room = whole.right - whole.left - 2.0 * GAP;
        let title = self.cut(&self.chart.title, Weight::Bold, TITLE_SIZE, room);
        self.text(title, (GAP, whole.top + 20.0), TITLE_SIZE, true);
        self.notes(&layout);
        self.axes(&layout.frame, &layout.numbers);
        self.inks.append(&mut layers);
    }

    /// The room of everything, with rows of signals or without.
    fn layout(&self, whole: Extent, rows: Option<&SignalRows>) -> Layout {
        let high = rows.map_or(0.0, SignalRows::height);
        let notes = self.noted(whole, high);
        let notes_top = whole.bottom - GAP - notes.len() as f64 * LEADING;
        // The vertical axis' title stands above it, so that nobody has to turn the head.
        let top = whole.top + ABOVE + high;
        let bottom = (notes_top - BELOW).max(top + 10.0);
        // A low chart has its numbers closer together, or it would have one.
        let pitch = if bottom - top < LOW { 22.0 } else { 34.0 };
        let lines = ((bottom - top) / pitch).clamp(2.0, 12.0);
        // From 2 to 12: the conversion keeps the number.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let mut numbers = written(&self.chart.y, lines as usize, self.mark);
        // A number that loses its first digits would be another one: it is cut at its end.
        let room = 0.45 * (whole.right - whole.left);
        for (_, text) in &mut numbers {
            *text = self.cut(text, Weight::Regular, TEXT_SIZE, room);
        }
        let widths = numbers.iter().map(|(_, text)| self.width(text, TEXT_SIZE));
        let widest = widths.fold(rows.map_or(0.0, SignalRows::names), f64::max);
        let left = GAP + widest + GAP;
        let room = whole.right - left;
        let share = if room < NARROW { NARROW_LABELS } else { LABELS };
        let labels = Labels::of(self.chart, self.faces, share * room);
        let beside = rows.map_or(0.0, SignalRows::counts).max(labels.width());
        let right = (whole.right - beside - 2.0 * GAP).max(left + 10.0);
        let plot = Extent {
            left,
            top,
            right,
            bottom,
        };
        Layout {
            frame: Frame {
                plot,
                x: (self.chart.x.from, self.chart.x.to),
                y: (self.chart.y.from, self.chart.y.to),
            },
            numbers,
            labels,
            notes,
            notes_top,
        }
    }

    /// Titles, numbers and faint lines of both axes.
    fn axes(&mut self, frame: &Frame, rows: &[(f64, String)]) {
        let plot = frame.plot;
        let above = self.chart.y.title.clone();
        self.text(above, (plot.left, plot.top - ABOVE_PLOT), TEXT_SIZE, false);
        let mut faint = Vec::new();
        for (value, text) in rows {
            let y = frame.down(*value);
            if !matches!(self.chart.y.scale, Scale::Named(_)) {
                faint.push(vec![at(plot.left, y), at(plot.right, y)]);
            }
            self.anchored(
                text.clone(),
                at(plot.left - 6.0, y + 0.35 * TEXT_SIZE),
                Anchor::End,
            );
        }
        let widest = written(&self.chart.x, 4, self.mark)
            .iter()
            .map(|(_, text)| self.width(text, TEXT_SIZE))
            .fold(24.0, f64::max);
        let lines = ((plot.right - plot.left) / (1.8 * widest)).clamp(2.0, 16.0);
        // From 2 to 16: the conversion keeps the number.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let columns = written(&self.chart.x, lines as usize, self.mark);
        let mut short = Vec::new();
        for (value, text) in columns {
            let x = frame.across(value);
            short.push(vec![at(x, plot.bottom), at(x, plot.bottom + 4.0)]);
            self.anchored(text, at(x, plot.bottom + 17.0), Anchor::Middle);
        }
        let middle = at(0.5 * (plot.left + plot.right), plot.bottom + 32.0);
        self.anchored(self.chart.x.title.clone(), middle, Anchor::Middle);
        self.lines(faint, 1.0, Tone::Faint);
        self.lines(short, 1.0, Tone::Black);
        let corner = vec![
            at(plot.left, plot.top),
            at(plot.left, plot.bottom),
            at(plot.right, plot.bottom),
        ];
        self.lines(vec![corner], 1.0, Tone::Black);
    }

    /// As many lines of the notes as have room beside a chart with so much above it.
    fn noted(&self, whole: Extent, above: f64) -> Vec<String> {
        let room = whole.right - whole.left - 2.0 * GAP;
        let high = whole.bottom - whole.top;
        let notes = self.chart.notes.iter();
        let wrapped = notes.flat_map(|note| self.wrapped(note, NOTE_SIZE, room));
        let mut lines: Vec<String> = wrapped.collect();
        // Of a small picture the chart itself comes first.
        let without = high - ABOVE - above - BELOW - CHART_MIN - GAP;
        let most = without.min(NOTES_SHARE * high);
        while !lines.is_empty() && lines.len() as f64 * LEADING > most {
            lines.pop();
        }
        lines
    }

    /// Writes the notes.
    fn notes(&mut self, layout: &Layout) {
        for (number, line) in layout.notes.iter().enumerate() {
            let y = layout.notes_top + (number as f64 + 0.8) * LEADING;
            self.inks.push(Ink::Text {
                at: at(GAP, y),
                text: line.clone(),
                size: NOTE_SIZE,
                is_bold: false,
                anchor: Anchor::Start,
                tone: Tone::Muted,
            });
        }
    }

    fn wrapped(&self, text: &str, size: f64, room: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.split(' ') {
            let longer = lines.last().map(|line| format!("{line} {word}"));
            match longer {
                Some(longer) if self.width(&longer, size) <= room => {
                    if let Some(last) = lines.last_mut() {
                        *last = longer;
                    }
                }
                _ => lines.push(word.to_owned()),
            }
        }
        lines
    }

    fn width(&self, text: &str, size: f64) -> f64 {
        width_of(self.faces, text, Weight::Regular, size)
    }

    fn cut(&self, text: &str, weight: Weight, size: f64, room: f64) -> String {
        cut_to(self.faces, text, weight, size, room)
    }

    fn text(&mut self, text: String, (x, y): (f64, f64), size: f64, is_bold: bool) {
        self.inks.push(Ink::Text {
            at: at(x, y),
            text,
            size,
            is_bold,
            anchor: Anchor::Start,
            tone: Tone::Black,
        });
    }

    fn anchored(&mut self, text: String, place: Place, anchor: Anchor) {
        self.inks.push(Ink::Text {
            at: place,
            text,
            size: TEXT_SIZE,
            is_bold: false,
            anchor,
            tone: Tone::Black,
        });
    }

    fn lines(&mut self, pieces: Vec<Vec<Place>>, width: f64, tone: Tone) {
        let dashes = &[];
        self.inks.push(Ink::Lines {
            pieces,
            pen: Pen {
                width,
                tone,
                dashes,
            },
        });
    }
}

/// What stands along an axis, and where.
fn written(axis: &Axis, at_most: usize, mark: DecimalMark) -> Vec<(f64, String)> {
    match &axis.scale {
        Scale::Named(names) => {
            let numbered = names.iter().enumerate();
            let placed = numbered.map(|(at, name)| ((at + 1) as f64, name.clone()));
            placed.collect()
        }
        scale => {
            let ticks = Ticks::between(axis.from, axis.to, at_most, *scale == Scale::Whole);
            let places = ticks.at.iter();
            places.map(|at| (*at, ticks.text(*at, mark))).collect()
        }
    }
}
