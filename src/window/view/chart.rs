//! The run chart: one characteristic over the parts.

use super::Mark;

/// The chart; places are fractions, x to the right, y downwards.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChartView {
    /// Upper limit: place and number.
    pub upper: Option<(f32, String)>,
    /// Lower limit: place and number.
    pub lower: Option<(f32, String)>,
    /// The middle of the limits.
    pub middle: Option<f32>,
    /// Control limits of the row of parts in force, where there are any.
    pub control: Option<ControlLines>,
    /// In order of x; thinned so that extremes of every column stay.
    pub points: Vec<ChartPoint>,
    /// The points are outcomes of a limit gauge, which have no size: nothing joins them.
    pub is_outcomes: bool,
    /// `parts 1 to 12`.
    pub span: String,
    /// Signals of the newest part and what to do next, one line: `part 7 signals: …`; else empty.
    pub note: String,
    /// The chart in words.
    pub spoken: String,
}

/// Control limits of the parts since the last tool change or offset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControlLines {
    /// The first part that they are for.
    pub from: f32,
    /// Upper limit.
    pub upper: f32,
    /// Lower limit.
    pub lower: f32,
}

/// One value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChartPoint {
    /// Along the parts.
    pub x: f32,
    /// Size; 0 is the top.
    pub y: f32,
    /// What the verdict was.
    pub mark: Mark,
    /// Mean of the part's points, where it has several: control limits are for that.
    pub mean: Option<f32>,
    /// A test signals at this part.
    pub is_signal: bool,
}
