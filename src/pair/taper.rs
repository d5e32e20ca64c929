//! Cones: their ratio and angle, their diameter along the axis, and how they are turned.

use std::fmt;

/// Lengths that a bench has, mm; and those that may be nothing at all, such as the small end of a
/// cone that comes to a point.
const LENGTH_MM: (f64, f64) = (1e-4, 10_000.0);
const LENGTH_OR_NONE_MM: (f64, f64) = (0.0, LENGTH_MM.1);
/// Cones that are taken, degrees of the whole angle: a flatter one is a cylinder to every bench.
const WHOLE_DEGREES: (f64, f64) = (1e-7, 179.0);
/// Largest x of a ratio 1:x, so that its angle is taken.
const RATIO_MAX: f64 = 1e8;
/// Steepest angle of a sine bar, degrees (lecture notes on taper measurement).
const SINE_BAR_DEGREES: f64 = 45.0;

/// A cone, by half of its angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taper {
    half: f64,
}

/// Why there is no such cone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TaperError {
    /// A number is not finite, or outside what it can be.
    OutOfRange {
        /// Which number, in words.
        what: &'static str,
        /// What was given.
        found: f64,
        /// What it may be, in words.
        allowed: &'static str,
    },
    /// The two measured places do not lie one behind the other as they must.
    NotACone {
        /// Why, in words.
        why: &'static str,
    },
    /// A sine bar set to more than 45 degrees: it magnifies every error of its blocks.
    SineBarSteep {
        /// The angle, degrees.
        degrees: f64,
    },
    /// The cone has come to its point before that length.
    BeyondPoint {
        /// From the large end to the point, mm.
        point_mm: f64,
        /// The length that was asked for, mm.
        length_mm: f64,
    },
}

impl TaperError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::OutOfRange { .. } => "out_of_range",
            Self::NotACone { .. } => "not_a_cone",
            Self::SineBarSteep { .. } => "sine_bar_too_steep",
            Self::BeyondPoint { .. } => "beyond_point",
        }
    }

    /// What to do about it, one sentence.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::OutOfRange { .. } | Self::NotACone { .. } => None,
            Self::SineBarSteep { .. } => {
                Some("Set 90 degrees less the angle, against a square, or measure in another way.")
            }
            Self::BeyondPoint { .. } => Some("Check the length, the diameter and the ratio."),
        }
    }
}

impl fmt::Display for TaperError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange {
                what,
                found,
                allowed,
            } => write!(f, "The {what} is {found}; it must be {allowed}."),
            Self::NotACone { why } => write!(f, "These numbers make no cone: {why}."),
            Self::SineBarSteep { degrees } => write!(
                f,
                "The sine bar would stand at {degrees:.4} degrees; above 45 it magnifies every \
                 error of its blocks."
            ),
            Self::BeyondPoint {
                point_mm,
                length_mm,
            } => write!(
                f,
                "The cone comes to a point {point_mm:.4} mm from its large end; it cannot be \
                 {length_mm} mm long."
            ),
        }
    }
}

impl std::error::Error for TaperError {}

/// The number, if it is a length that a bench has.
pub(super) fn length(what: &'static str, found: f64) -> Result<f64, TaperError> {
    within(what, found, LENGTH_MM, "0.0001 to 10 000 mm")
}

/// The same, if it may be 0 as well.
pub(super) fn length_or_none(what: &'static str, found: f64) -> Result<f64, TaperError> {
    within(what, found, LENGTH_OR_NONE_MM, "0 to 10 000 mm")
}

fn within(
    what: &'static str,
    found: f64,
    (least, most): (f64, f64),
    allowed: &'static str,
) -> Result<f64, TaperError> {
    match (least..=most).contains(&found) {
        true => Ok(found),
        false => Err(TaperError::OutOfRange {
            what,
            found,
            allowed,
        }),
    }
}

/// Whether a sine bar may be set to that angle, degrees.
pub(super) fn sine_bar_may(degrees: f64) -> Result<(), TaperError> {
    // What comes out of an exact setting of 45 degrees is still 45.
    match degrees <= SINE_BAR_DEGREES + 1e-9 {
        true => Ok(()),
        false => Err(TaperError::SineBarSteep { degrees }),
    }
}

impl Taper {
    /// Of half the angle, radians.
    pub(super) fn of_half(half: f64) -> Result<Self, TaperError> {
        let radians = |whole_degrees: f64| (whole_degrees / 2.0).to_radians();
        let (flattest, steepest) = WHOLE_DEGREES;
        match (radians(flattest)..=radians(steepest)).contains(&half) {
            true => Ok(Self { half }),
            false => Err(TaperError::OutOfRange {
                what: "whole angle",
                found: 2.0 * half.to_degrees(),
                allowed: "0.0000001 to 179 degrees",
            }),
        }
    }

    /// Of its ratio 1:x.
    ///
    /// Formula: C = 1/x = 2 tan(a/2)
    /// Symbols: C taper (difference of diameters over length), a whole angle.
    /// Valid:   x above 0 and up to 100 000 000, a up to 179 degrees.
    /// Rounding: none.
    /// Source:  ISO 1119 (as GOST R 53440-2009, table 1).
    /// Checked: tests/tables/cones.csv.
    /// Errors:  `OutOfRange`.
    pub fn of_ratio(x: f64) -> Result<Self, TaperError> {
        if !(x > 0.0 && x <= RATIO_MAX) {
            return Err(TaperError::OutOfRange {
                what: "x of the ratio 1:x",
                found: x,
                allowed: "above 0 and up to 100 000 000",
            });
        }
        Self::of_half((0.5 / x).atan())
    }

    /// Of its whole angle, degrees.
    ///
    /// # Errors
    /// `OutOfRange`.
    pub fn of_angle(whole_degrees: f64) -> Result<Self, TaperError> {
        Self::of_half((whole_degrees / 2.0).to_radians())
    }

    /// Of two diameters and the length between them, mm.
    ///
    /// # Errors
    /// `OutOfRange`, `NotACone` where the large end is not the larger.
    pub fn of_diameters(large_mm: f64, small_mm: f64, length_mm: f64) -> Result<Self, TaperError> {
        length("large diameter", large_mm)?;
        length("length", length_mm)?;
        length_or_none("small diameter", small_mm)?;
        if small_mm >= large_mm {
            let why = "the large diameter must be larger than the small one";
            return Err(TaperError::NotACone { why });
        }
        Self::of_half(((large_mm - small_mm) / (2.0 * length_mm)).atan())
    }

    /// Half of its angle, degrees: what the top slide is set to, from the axis.
    pub fn half_angle_degrees(&self) -> f64 {
        self.half.to_degrees()
    }

    /// Its whole angle, degrees.
    pub fn angle_degrees(&self) -> f64 {
        2.0 * self.half.to_degrees()
    }

    /// Difference of the diameters for each millimetre of length.
    pub fn per_mm(&self) -> f64 {
        2.0 * self.half.tan()
    }

    /// The x of 1:x.
    pub fn ratio(&self) -> f64 {
        1.0 / self.per_mm()
    }

    /// How far an indicator moves while the top slide, set to the half angle, travels so far along
    /// a parallel bar, mm.
    ///
    /// Formula: m = s sin(a/2)
    /// Symbols: s travel of the slide, a whole angle.
    /// Valid:   the indicator stands across the axis, on centre height.
    /// Rounding: none.
    /// Source:  definition.
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none.
    pub fn indicator_over_travel_mm(&self, travel_mm: f64) -> f64 {
        travel_mm * self.half.sin()
    }

    /// How far the tailstock is set over, for work between centres of such a length, mm.
    ///
    /// Formula: v = L C/2
    /// Symbols: L whole length between the centres, C taper.
    /// Valid:   small angles: the centres sit askew; tool on centre height.
    /// Rounding: none.
    /// Source:  US Navy machinery training manual (public).
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none.
    pub fn tailstock_offset_mm(&self, between_centres_mm: f64) -> f64 {
        between_centres_mm * self.per_mm() / 2.0
    }

    /// The stack of gauge blocks under one roller of a sine bar, mm, for the whole angle.
    ///
    /// Formula: H = L sin(a)
    /// Symbols: L distance of the rollers (mm), a whole angle.
    /// Valid:   up to 45 degrees (lecture notes): beyond it dH/(L cos a) grows out of hand.
    /// Rounding: none.
    /// Source:  definition of the sine bar.
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  `OutOfRange`, `SineBarSteep`.
    pub fn sine_bar_height_mm(&self, bar_mm: f64) -> Result<f64, TaperError> {
        length("length of the sine bar", bar_mm)?;
        sine_bar_may(self.angle_degrees())?;
        Ok(bar_mm * (2.0 * self.half).sin())
    }
}
