//! What is known about a gauge's error: plain numbers, as a register or a certificate gives them.

use std::fmt;

use crate::quantity::{Length, Rounding};

/// What is known about the error of a gauge; all parts optional.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct GaugeError {
    /// Maximum permissible error: the reading is within plus or minus this of the truth.
    pub mpe: Option<Length>,
    /// Result of a calibration; it takes the place of the maximum permissible error.
    pub calibration: Option<Calibration>,
    /// Digital step or scale interval.
    pub resolution: Option<Length>,
    /// Repeatability standard deviation s_r, from a study at this bench.
    pub repeatability: Option<Length>,
    /// Degrees of freedom of that study; none: taken as exactly known.
    pub repeatability_freedom: Option<u32>,
    /// Of the standard that a comparator or the zero was set on.
    pub standard: Option<Box<GaugeError>>,
    /// Of the gauge that carried the size to this one.
    pub transfer: Option<Box<GaugeError>>,
    /// Half-width of an allowance for the part's form, if one is chosen.
    pub form: Option<Length>,
}

/// Result of a calibration: expanded uncertainty with its coverage factor, and the bias found.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    expanded_uncertainty: Length,
    coverage_factor: f64,
    bias: Vec<BiasPoint>,
}

/// The bias found at one indication: indication minus true value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BiasPoint {
    /// What the gauge showed.
    pub at: Length,
    /// How much too large that was (negative: too small).
    pub bias: Length,
}

/// Why a calibration is none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CalibrationError {
    /// The expanded uncertainty is negative.
    NegativeUncertainty {
        /// What was given.
        found: Length,
    },
    /// The coverage factor is outside 1 to 10.
    CoverageFactorOutOfRange {
        /// What was given.
        found: f64,
    },
    /// The bias points do not rise.
    PointsNotRising {
        /// The point that does not lie above the one before it.
        at: Length,
    },
}

impl Calibration {
    /// A calibration: U, its coverage factor k (1 to 10), and bias points of rising indication
    /// (none: no bias known, taken as zero).
    pub fn new(
        expanded_uncertainty: Length,
        coverage_factor: f64,
        bias: Vec<BiasPoint>,
    ) -> Result<Self, CalibrationError> {
        if expanded_uncertainty.is_negative() {
            return Err(CalibrationError::NegativeUncertainty {
                found: expanded_uncertainty,
            });
        }
        if !(1.0..=10.0).contains(&coverage_factor) {
            return Err(CalibrationError::CoverageFactorOutOfRange {
                found: coverage_factor,
            });
        }
        for (before, after) in bias.iter().zip(bias.iter().skip(1)) {
            if after.at <= before.at {
                return Err(CalibrationError::PointsNotRising { at: after.at });
            }
        }
        Ok(Self {
            expanded_uncertainty,
            coverage_factor,
            bias,
        })
    }

    /// The expanded uncertainty U.
    pub fn expanded_uncertainty(&self) -> Length {
        self.expanded_uncertainty
    }

    /// The coverage factor k of U.
    pub fn coverage_factor(&self) -> f64 {
        self.coverage_factor
    }

    /// The standard uncertainty U / k, nm.
    pub fn standard_nm(&self) -> f64 {
        self.expanded_uncertainty.as_nm_f64() / self.coverage_factor
    }

    /// The bias points, rising.
    pub fn bias_points(&self) -> &[BiasPoint] {
        &self.bias
    }

    /// The bias at an indication, to be taken off it.
    ///
    /// Formula: b = b1 + (b2 - b1) (x - x1) / (x2 - x1)
    /// Symbols: x indication; x1, x2 the points around it; b1, b2 their biases (indication minus
    ///          true value).
    /// Valid:   within the points; beyond the first or last one its bias is kept (chosen: a line
    ///          drawn on would invent error where none was measured).
    /// Rounding: once, half to even, to 1 nm; the interpolation itself is exact.
    /// Source:  linear interpolation, textbook; correction of bias: JCGM 100:2008 clause 3.2.
    /// Checked: tests/tables/bias.csv.
    /// Errors:  none.
    pub fn bias_at(&self, indication: Length) -> Length {
        let upper = self.bias.iter().find(|point| point.at >= indication);
        let lower = self.bias.iter().rev().find(|point| point.at <= indication);
        match (lower, upper) {
            (Some(low), Some(high)) if low.at < high.at => {
                let wide = |length: Length| i128::from(length.as_nm());
                let run = wide(high.at - low.at);
                let rise = wide(high.bias - low.bias) * wide(indication - low.at);
                low.bias + Length::from_nm(whole(Rounding::HalfEven.divide(rise, run)))
            }
            (Some(point), _) | (None, Some(point)) => point.bias,
            (None, None) => Length::ZERO,
        }
    }
}

/// Back to `i64`: the part of a rise lies between zero and the rise, which is an `i64`.
#[allow(clippy::expect_used)]
fn whole(nm: i128) -> i64 {
    i64::try_from(nm).expect("an interpolated bias lies between its neighbours")
}

impl CalibrationError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NegativeUncertainty { .. } => "negative_uncertainty",
            Self::CoverageFactorOutOfRange { .. } => "coverage_factor_out_of_range",
            Self::PointsNotRising { .. } => "bias_points_not_rising",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        Some(match self {
            Self::NegativeUncertainty { .. } => "Copy U from the certificate, without a sign.",
            Self::CoverageFactorOutOfRange { .. } => "Copy k from the certificate, usually 2.",
            Self::PointsNotRising { .. } => "List the bias points by rising indication, each once.",
        })
    }
}

impl fmt::Display for CalibrationError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NegativeUncertainty { found } => {
                write!(
                    f,
                    "The calibration's U is {found} mm; it must not be negative."
                )
            }
            Self::CoverageFactorOutOfRange { found } => {
                write!(f, "The calibration's k is {found}; it must be 1 to 10.")
            }
            Self::PointsNotRising { at } => write!(
                f,
                "The bias point at {at} mm does not lie above the one before it."
            ),
        }
    }
}

impl std::error::Error for CalibrationError {}
