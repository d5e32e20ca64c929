//! Sizes on the screen, from what the eye needs at the set distance.

/// From where the screen is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Distance {
    /// 0.5 m.
    Half,
    /// 1 m.
    One,
    /// 2 m.
    #[default]
    Two,
    /// 3 m.
    Three,
}

/// Sizes in points, and how many points a millimetre of the real screen has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizes {
    /// Points to a millimetre of the real screen.
    pub points_per_mm: f32,
    /// Reading distance.
    pub distance: Distance,
}
