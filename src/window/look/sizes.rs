//! Sizes on the screen, from what the eye needs at the set distance.

use eframe::egui::Rect;

/// Points to a millimetre where nobody has measured the screen: 96 to an inch (the usual
/// assumption of desktop systems).
pub const POINTS_PER_MM_USUAL: f32 = 96.0 / 25.4;

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

impl Distance {
    /// All of them, near to far.
    pub const ALL: [Self; 4] = [Self::Half, Self::One, Self::Two, Self::Three];

    /// The distance in millimetres.
    pub fn mm(self) -> f32 {
        match self {
            Self::Half => 500.0,
            Self::One => 1000.0,
            Self::Two => 2000.0,
            Self::Three => 3000.0,
        }
    }
}

/// Height of a digit of B612 over its font size, from the face's own outlines (a test measures
/// it).
pub const DIGIT_OVER_SIZE: f32 = 0.75;
/// Angle of the main value and the verdict word, minutes of arc: twice the critical size, for a
/// glance through dirty glasses (own choice, below the 45 of NUREG-0700).
pub const VALUE_MINUTES: f32 = 40.0;
/// Angle of the next action, minutes of arc: critical elements at least 20 (FAA human factors,
/// public page).
pub const ACTION_MINUTES: f32 = 20.0;
/// Angle below which nothing is to be read in passing, minutes of arc: at least 16 (NUREG-0700 and
/// ISO 9241-3, as public pages quote them).
pub const LEAST_MINUTES: f32 = 16.0;
/// Length of the bar that is matched to a steel rule, mm.
pub const MATCH_BAR_MM: f32 = 50.0;
/// A digit and the air above and below it, over its font size: what one line of figures needs.
const LINE_OVER_SIZE: f32 = 0.875;
/// What the layout gives to the action whatever the distance: this share of the room.
const LAYOUT_SHARE: f32 = 0.72;

/// Sizes in points, and how many points a millimetre of the real screen has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizes {
    /// Points to a millimetre of the real screen.
    pub points_per_mm: f32,
    /// Reading distance.
    pub distance: Distance,
}

impl Default for Sizes {
    /// 96 points to the inch, read from 2 m, until a person has matched the bar to a rule.
    fn default() -> Self {
        Self {
            points_per_mm: POINTS_PER_MM_USUAL,
            distance: Distance::default(),
        }
    }
}

/// Height that is seen under an angle: `h = 2 d tan(a / 2)`.
///
/// - Purpose: how high a digit must be to be read from the set distance.
/// - Input: distance `d` in mm, above 0; angle `a` in minutes of arc, above 0 and far below 10800.
/// - Output: height in mm.
/// - Assumptions: seen square on; a flat screen.
/// - Uncertainty: none of the formula; the size of the screen is as good as its matching to a rule.
/// - Source: geometry; at 2 m, 40 minutes of arc give 23.3 mm, 20 give 11.6.
/// - Rounding: none.
pub fn digit_height_mm(distance_mm: f32, minutes: f32) -> f32 {
    2.0 * distance_mm * ((minutes / 60.0).to_radians() / 2.0).tan()
}

impl Sizes {
    /// Font size that the distance asks for, at an angle in minutes of arc.
    pub fn asked_points(&self, minutes: f32) -> f32 {
        digit_height_mm(self.distance.mm(), minutes) * self.points_per_mm.max(0.1) / DIGIT_OVER_SIZE
    }

    /// Font size of the next action in its place: as large as the distance asks, at least what the
    /// layout gives, never beyond the place's height.
    pub fn action_points(&self, available: Rect) -> f32 {
        let room = (available.height() / LINE_OVER_SIZE).max(0.0);
        self.asked_points(ACTION_MINUTES)
            .max(room * LAYOUT_SHARE)
            .min(room)
    }
}
