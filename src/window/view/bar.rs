//! The metal bar: where the value lies between metal on and metal gone.
//!
//! The axis is metal: to the left is always less metal, for a shaft and for a bore alike. Where
//! metal has no side (a length, a runout), to the left is smaller.

/// The bar, left to right; places are fractions of its width.
#[derive(Debug, Clone, PartialEq)]
pub struct BarView {
    /// Without gaps from 0 to 1.
    pub zones: Vec<BarZone>,
    /// The limits, with their numbers.
    pub ticks: Vec<BarTick>,
    /// The middle of the limits.
    pub middle: Option<f32>,
    /// What a cut aims at, while cutting.
    pub target: Option<f32>,
    /// The value.
    pub value: Option<f32>,
    /// The value lies so far out that the bar shows it compressed: on this side.
    pub is_compressed: bool,
    /// The last points of this characteristic, oldest first.
    pub last: Vec<f32>,
    /// What the left side means: `metal comes off this way`; `smaller`.
    pub direction: String,
    /// The bar in words, for those who do not see it.
    pub spoken: String,
}

/// What a zone means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ZoneKind {
    /// Beyond the limit with no metal left (or below the lower limit).
    Gone,
    /// So near a limit that this gauge cannot decide.
    Guard,
    /// Proved inside.
    Go,
    /// Beyond the limit with metal on (or above the upper limit).
    On,
}

/// One zone.
#[derive(Debug, Clone, PartialEq)]
pub struct BarZone {
    /// Left edge.
    pub from: f32,
    /// Right edge.
    pub to: f32,
    /// What it means.
    pub kind: ZoneKind,
    /// `metal gone`, `GO`, `metal on`, `smaller`, `larger`; empty for guard zones.
    pub label: String,
}

/// A number under the bar.
#[derive(Debug, Clone, PartialEq)]
pub struct BarTick {
    /// Where.
    pub at: f32,
    /// `20.002`.
    pub label: String,
}
