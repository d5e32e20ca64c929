//! A chart laid out: strokes, areas and texts in pixels, ready for any painter.
//!
//! Each chart gets its part of the height. Where there is no room for its notes they are left out
//! here, not in [`Drawing::said`].

use super::chart::{Chart, Layer};
use super::drawing_panel::Panel;
use super::options::DecimalMark;
use super::pdf::PdfError;
use super::pdf_text::{Faces, Weight};

/// The smallest and the largest side of a picture, pixels.
const SIDES: (f64, f64) = (120.0, 8_000.0);
/// The first of several charts gets so much of the height.
const FIRST_SHARE: f64 = 0.56;
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

/// Every layer of a chart that has a label at its right end.
pub(super) fn labelled(chart: &Chart) -> impl Iterator<Item = (f64, &str)> {
    chart.layers.iter().filter_map(|layer| match layer {
        Layer::HorizontalLine { y, label, .. } if !label.is_empty() => Some((*y, &**label)),
        _ => None,
    })
}
