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
    /// In order of x; thinned so that extremes of every column stay.
    pub points: Vec<ChartPoint>,
    /// The points are outcomes of a limit gauge, which have no size: nothing joins them.
    pub is_outcomes: bool,
    /// `parts 1 to 12`.
    pub span: String,
    /// The chart in words.
    pub spoken: String,
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
}
