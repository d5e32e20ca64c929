//! A chart as it is meant: what stands where, in the units of its axes, and what is said of it.
//!
//! It is made of plain numbers, so that every room's values can be charted, and it knows nothing
//! of pixels: [`super::drawing`] lays it out. Colour never says anything alone: what a point or a
//! line means is told by its shape, its dashes and its words.

use crate::statistics::Signals;

/// A place in the units of the axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Along the horizontal axis.
    pub x: f64,
    /// Along the vertical axis.
    pub y: f64,
}

/// What stands along an axis.
#[derive(Debug, Clone, PartialEq)]
pub enum Scale {
    /// Any number.
    Numbers,
    /// Whole numbers: parts, counts.
    Whole,
    /// Names at 1, 2, 3 and so on.
    Named(Vec<String>),
}

/// An axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// What it shows, with its unit.
    pub title: String,
    /// Where it begins.
    pub from: f64,
    /// Where it ends, above `from`.
    pub to: f64,
    /// What stands along it.
    pub scale: Scale,
}

/// The shape of a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A full disc: as any other.
    Disc,
    /// An open disc: in doubt.
    Ring,
    /// A cross: beyond a limit of size.
    Cross,
}

/// A point at which tests signal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Signalled {
    /// Where.
    pub at: Point,
    /// Which tests.
    pub tests: Signals,
    /// Whether the same tests signal at the point before it: then it is not numbered again.
    pub goes_on: bool,
}

/// What a line means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stroke {
    /// A limit of size: wide.
    Limit,
    /// A control limit: dashed.
    Control,
    /// A mean or centre line: dash and dot.
    Centre,
    /// From value to value: a hairline.
    Course,
    /// A fitted line or curve.
    Fitted,
    /// Something happened there: a tool was changed, an offset applied.
    Break,
    /// A value to compare with: dotted.
    Compared,
}

/// A bar that stands on zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bar {
    /// Its left edge.
    pub from: f64,
    /// Its right edge.
    pub to: f64,
    /// How high it is.
    pub height: f64,
}

/// What lies on the chart, from the back to the front.
#[derive(Debug, Clone, PartialEq)]
pub enum Layer {
    /// Points of one shape, in order.
    Points {
        /// Where.
        at: Vec<Point>,
        /// What they mean.
        shape: Shape,
    },
    /// A line through points.
    Line {
        /// Through what, in order.
        at: Vec<Point>,
        /// What it means.
        stroke: Stroke,
    },
    /// What lies between two lines, hatched.
    Band {
        /// The lower line, from left to right.
        lower: Vec<Point>,
        /// The upper line, at the same places.
        upper: Vec<Point>,
    },
    /// A line across the chart.
    HorizontalLine {
        /// Where.
        y: f64,
        /// Where it begins; none: at the left end.
        from: Option<f64>,
        /// Its name and value.
        label: String,
        /// What it means.
        stroke: Stroke,
    },
    /// A line from top to bottom.
    VerticalLine {
        /// Where.
        x: f64,
        /// Its name.
        label: String,
        /// What it means.
        stroke: Stroke,
    },
    /// Bars that stand on zero.
    Bars {
        /// From left to right.
        bars: Vec<Bar>,
        /// Whether they are hatched: beyond a limit of size.
        is_hatched: bool,
    },
    /// Between two places of a horizontal line, with ends.
    Interval {
        /// On which line.
        y: f64,
        /// Its left end.
        from: f64,
        /// Its right end.
        to: f64,
        /// The best single place, if one may be shown.
        best: Option<f64>,
    },
    /// Signals: a box around each with the numbers of its tests; where these would lie on each
    /// other, a row for each test above the chart.
    Signals {
        /// From left to right.
        at: Vec<Signalled>,
        /// What a test is called at its row, before its number.
        test: String,
    },
    /// A short text at a place.
    Mark {
        /// Where.
        at: Point,
        /// What is written.
        text: String,
    },
}

/// A chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Its title.
    pub title: String,
    /// The horizontal axis.
    pub x: Axis,
    /// The vertical axis.
    pub y: Axis,
    /// What lies on it, from the back to the front.
    pub layers: Vec<Layer>,
    /// Sentences below it: what its marks mean, what is missing and why.
    pub notes: Vec<String>,
}
