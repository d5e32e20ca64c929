//! A chart laid out: strokes, areas and texts in pixels, ready for any painter.
//!
//! Each chart gets its part of the height; in it stand the title, the chart between its axes and
//! the notes. Where there is no room for the notes they are left out here, not in
//! [`Drawing::said`].

use super::chart::{Axis, Chart, Layer, Scale};
use super::chart_axis::Ticks;
use super::drawing_layers::{Frame, Labels, paint_layers};
use super::options::DecimalMark;
use super::pdf::PdfError;
use super::pdf_text::{Faces, Weight};

/// The smallest and the largest side of a picture, pixels.
const SIDES: (f64, f64) = (120.0, 8_000.0);
/// The first of several charts gets so much of the height.
const FIRST_SHARE: f64 = 0.56;
/// Notes get at most so much of a chart's height.
const NOTES_SHARE: f64 = 0.42;
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
pub(super) const TITLE_SIZE: f64 = 15.0;
pub(super) const TEXT_SIZE: f64 = 12.0;
pub(super) const NOTE_SIZE: f64 = 11.0;

/// Width and height of a picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChartSize {
    width: f64,
    height: f64,
}

impl ChartSize {
    /// The size in pixels (of 1/96 inch); none outside 120 to 8000 each way.
    pub fn new(width: f64, height: f64) -> Option<Self> {
        let fits = |side: f64| (SIDES.0..=SIDES.1).contains(&side);
        (fits(width) && fits(height)).then_some(Self { width, height })
    }

    /// Pixels.
    pub fn width(self) -> f64 {
        self.width
    }

    /// Pixels.
    pub fn height(self) -> f64 {
        self.height
    }
}

impl Default for ChartSize {
    /// 900 by 540.
    fn default() -> Self {
        Self {
            width: 900.0,
            height: 540.0,
        }
    }
}

/// A place on the picture, pixels from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// To the right.
    pub x: f64,
    /// Downwards.
    pub y: f64,
}

/// What an ink is for; a painter gives it its colour, or black and greys alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// Texts, axes, limits, points.
    Black,
    /// What is read second.
    Muted,
    /// Lines behind everything.
    Faint,
    /// Bars.
    Filled,
    /// The ground.
    White,
    /// Beyond a limit of size.
    Beyond,
    /// Control limits and signals.
    Signal,
    /// What was fitted and predicted.
    Fitted,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Pixels.
    pub width: f64,
    /// Its colour.
    pub tone: Tone,
    /// Lengths drawn and left out, in turn; empty for a whole line.
    pub dashes: &'static [f64],
}

/// On which side of its place a text stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

/// One thing to paint.
#[derive(Debug, Clone, PartialEq)]
pub enum Ink {
    /// Open lines.
    Lines {
        /// The points of each.
        pieces: Vec<Vec<Place>>,
        /// How they are drawn.
        pen: Pen,
    },
    /// A closed area.
    Area {
        /// Its corners.
        corners: Vec<Place>,
        /// Its fill.
        fill: Tone,
        /// Its edge.
        edge: Option<Pen>,
    },
    /// Full discs of one size.
    Discs {
        /// Their middles.
        at: Vec<Place>,
        /// Pixels.
        radius: f64,
        /// Their colour.
        tone: Tone,
    },
    /// Open discs of one size.
    Rings {
        /// Their middles.
        at: Vec<Place>,
        /// Pixels.
        radius: f64,
        /// Their edge.
        pen: Pen,
    },
    /// A line of text.
    Text {
        /// Where it stands, on its base line.
        at: Place,
        /// The text.
        text: String,
        /// Its height, pixels.
        size: f64,
        /// Whether it is bold.
        is_bold: bool,
        /// On which side of the place.
        anchor: Anchor,
        /// Its colour.
        tone: Tone,
    },
}

/// A picture: what to paint, from the back to the front.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Its size.
    pub size: ChartSize,
    /// What to paint.
    pub inks: Vec<Ink>,
    /// Titles and notes of all charts, for who cannot see it.
    pub said: Vec<String>,
}

/// A built-in face cannot be read, which is a fault of the build.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FaceUnreadable;

impl std::fmt::Display for FaceUnreadable {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "A built-in face cannot be read.")
    }
}

impl std::error::Error for FaceUnreadable {}

impl From<PdfError> for FaceUnreadable {
    fn from(_: PdfError) -> Self {
        Self
    }
}

/// Lays charts out one below the other.
///
/// # Errors
/// A built-in face cannot be read.
pub fn drawing(
    charts: &[Chart],
    size: ChartSize,
    mark: DecimalMark,
) -> Result<Drawing, FaceUnreadable> {
    Ok(drawn(&Faces::load()?, charts, size, mark))
}

/// The same with faces at hand.
pub(super) fn drawn(
    faces: &Faces,
    charts: &[Chart],
    size: ChartSize,
    mark: DecimalMark,
) -> Drawing {
    let mut inks = Vec::new();
    let mut top = 0.0;
    for (number, chart) in charts.iter().enumerate() {
        let height = size.height * share(number, charts.len());
        let place = Extent {
            left: 0.0,
            top,
            right: size.width,
            bottom: top + height,
        };
        Panel {
            chart,
            faces,
            mark,
            inks: &mut inks,
        }
        .paint(place);
        top += height;
    }
    let said = charts
        .iter()
        .flat_map(|chart| std::iter::once(&chart.title).chain(&chart.notes))
        .cloned()
        .collect();
    Drawing { size, inks, said }
}

fn share(number: usize, of: usize) -> f64 {
    match (number, of) {
        (_, 0 | 1) => 1.0,
        (0, _) => FIRST_SHARE,
        (_, of) => (1.0 - FIRST_SHARE) / (of - 1) as f64,
    }
}

/// A rectangle, pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Extent {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

/// A chart that is being laid out.
struct Panel<'a> {
    chart: &'a Chart,
    faces: &'a Faces,
    mark: DecimalMark,
    inks: &'a mut Vec<Ink>,
}

impl Panel<'_> {
    fn paint(mut self, whole: Extent) {
        let title = self.cut(
            &self.chart.title,
            Weight::Bold,
            TITLE_SIZE,
            whole.right - whole.left - 2.0 * GAP,
        );
        self.text(title, (GAP, whole.top + 20.0), TITLE_SIZE, true);
        let notes_top = self.notes(whole);
        // The vertical axis' title stands above it, so that nobody has to turn the head.
        let top = whole.top + ABOVE;
        let bottom = (notes_top - BELOW).max(top + 10.0);
        // A low chart has its numbers closer together, or it would have one.
        let pitch = if bottom - top < LOW { 22.0 } else { 34.0 };
        let lines = ((bottom - top) / pitch).clamp(2.0, 12.0);
        // From 2 to 12: the conversion keeps the number.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let mut rows = written(&self.chart.y, lines as usize, self.mark);
        // A number that loses its first digits would be another one: it is cut at its end.
        let room = 0.45 * (whole.right - whole.left);
        for (_, text) in &mut rows {
            *text = self.cut(text, Weight::Regular, TEXT_SIZE, room);
        }
        let widest = rows.iter().map(|(_, text)| self.width(text, TEXT_SIZE));
        let left = GAP + widest.fold(0.0, f64::max) + GAP;
        let room = whole.right - left;
        let share = if room < NARROW { NARROW_LABELS } else { LABELS };
        let labels = Labels::of(self.chart, self.faces, share * room);
        let right = (whole.right - labels.width() - 2.0 * GAP).max(left + 10.0);
        let frame = Frame {
            plot: Extent {
                left,
                top,
                right,
                bottom,
            },
            x: (self.chart.x.from, self.chart.x.to),
            y: (self.chart.y.from, self.chart.y.to),
        };
        self.axes(&frame, &rows);
        paint_layers(self.chart, &frame, self.faces, &labels, self.inks);
    }

    /// Titles, numbers and faint lines of both axes.
    fn axes(&mut self, frame: &Frame, rows: &[(f64, String)]) {
        let plot = frame.plot;
        let above = self.chart.y.title.clone();
        self.text(above, (plot.left, plot.top - GAP), TEXT_SIZE, false);
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

    /// Writes the notes from the bottom up; gives where they begin.
    fn notes(&mut self, whole: Extent) -> f64 {
        let room = whole.right - whole.left - 2.0 * GAP;
        let leading = 1.35 * NOTE_SIZE;
        let most = NOTES_SHARE * (whole.bottom - whole.top);
        let size = NOTE_SIZE;
        let mut lines = Vec::new();
        for note in &self.chart.notes {
            lines.extend(self.wrapped(note, size, room));
        }
        // Of a small picture the chart itself comes first.
        let without = whole.bottom - whole.top - ABOVE - BELOW - CHART_MIN - GAP;
        while !lines.is_empty() && lines.len() as f64 * leading > most.min(without) {
            lines.pop();
        }
        let top = whole.bottom - GAP - lines.len() as f64 * leading;
        for (number, line) in lines.into_iter().enumerate() {
            let y = top + (number as f64 + 0.8) * leading;
            self.inks.push(Ink::Text {
                at: at(GAP, y),
                text: line,
                size: NOTE_SIZE,
                is_bold: false,
                anchor: Anchor::Start,
                tone: Tone::Muted,
            });
        }
        top
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

pub(super) fn at(x: f64, y: f64) -> Place {
    Place { x, y }
}

/// The width of a text, pixels.
pub(super) fn width_of(faces: &Faces, text: &str, weight: Weight, size: f64) -> f64 {
    // Sizes of letters: f32 holds them.
    #[allow(clippy::cast_possible_truncation)]
    f64::from(faces.width(text, weight, size as f32))
}

/// The text, or as much of it as has room.
pub(super) fn cut_to(faces: &Faces, text: &str, weight: Weight, size: f64, room: f64) -> String {
    #[allow(clippy::cast_possible_truncation)]
    let line = faces.cut(text, weight, size as f32, room.max(0.0) as f32);
    line.runs.into_iter().map(|run| run.text).collect()
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

/// Every layer of a chart that has a label at its right end.
pub(super) fn labelled(chart: &Chart) -> impl Iterator<Item = (f64, &str)> {
    chart.layers.iter().filter_map(|layer| match layer {
        Layer::HorizontalLine { y, label, .. } if !label.is_empty() => Some((*y, &**label)),
        _ => None,
    })
}
