//! Uncertainty of a measured length: a budget of lines, combined and expanded.

use std::fmt;

use super::judge::steps_up;
use crate::quantity::Length;
use crate::statistics::{StatisticsError, student_quantile};

/// Largest standard uncertainty taken, nm: 10 m, the range of a length.
const STANDARD_MAX_NM: f64 = 1e10;

/// How much is known about a standard uncertainty itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DegreesOfFreedom {
    /// So many, 1 or more (n - 1 for a standard deviation of n readings).
    Finite(f64),
    /// Stated limits and certificates: taken as exactly known.
    Infinite,
}

/// What a line of the budget stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum UncertaintySource {
    /// The gauge's maximum permissible error, as a rectangle.
    MaximumPermissibleError,
    /// The gauge's calibration, U / k.
    Calibration,
    /// The digital step, as a rectangle of half a step each way.
    Resolution,
    /// Repeatability at this bench, divided by the root of the number of readings.
    Repeatability,
    /// The part's expansion coefficient.
    PartExpansion,
    /// The gauge's expansion coefficient.
    GaugeExpansion,
    /// The part's temperature (with a shared thermometer: both temperatures).
    PartTemperature,
    /// The gauge's temperature.
    GaugeTemperature,
    /// The mean diameter of the wires over which a thread is measured.
    WireDiameter,
    /// The size of the standard that a comparator, or a zero, was set on.
    SettingStandard,
    /// Reading the gauge when it was set: its step and its repeatability once more.
    ZeroSetting,
    /// The gauge that carried the size to the one that was read.
    TransferGauge,
    /// An allowance for the part's form, as a rectangle.
    Form,
    /// Given as a whole by a person or a file.
    Stated,
    /// Any other input.
    Other,
}

/// One line of the budget: what it adds to the result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BudgetLine {
    /// What it stands for.
    pub source: UncertaintySource,
    /// Standard uncertainty that it gives to the result, nm (sensitivity times u), at least 0.
    pub standard_nm: f64,
    /// How well that is known.
    pub degrees_of_freedom: DegreesOfFreedom,
}

/// The uncertainty of a measured length; its lines combine to its standard uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct Uncertainty {
    standard_nm: f64,
    degrees_of_freedom: DegreesOfFreedom,
    lines: Vec<BudgetLine>,
}

/// Why a budget is none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum UncertaintyError {
    /// No line: an uncertainty nobody knows is no zero.
    NoLines,
    /// A line that is negative, not finite or above 10 m.
    LineOutOfRange {
        /// Which line.
        source: UncertaintySource,
        /// What was given, nm.
        found_nm: f64,
    },
    /// Degrees of freedom below 1 or not finite.
    DegreesOfFreedomOutOfRange {
        /// Which line.
        source: UncertaintySource,
        /// What was given.
        found: f64,
    },
    /// Averaged over no reading.
    NoReadings,
}

impl BudgetLine {
    /// A line with infinite degrees of freedom.
    pub fn known(source: UncertaintySource, standard_nm: f64) -> Self {
        Self {
            source,
            standard_nm,
            degrees_of_freedom: DegreesOfFreedom::Infinite,
        }
    }

    /// A rectangle: the error lies anywhere within plus or minus the half-width.
    ///
    /// Formula: u = a / sqrt(3)
    /// Symbols: a half-width, nm.
    /// Valid:   a at least 0.
    /// Rounding: none.
    /// Source:  JCGM 100:2008 clause 4.3.7.
    /// Checked: tests/tables/gauge_uncertainty.csv.
    /// Errors:  none.
    pub fn rectangular(source: UncertaintySource, half_width_nm: f64) -> Self {
        Self::known(source, half_width_nm / 3.0_f64.sqrt())
    }
}

impl Uncertainty {
    /// Combines uncorrelated lines.
    ///
    /// Formula: u^2 = sum u_i^2; v_eff = u^4 / sum (u_i^4 / v_i)
    /// Symbols: u_i line (nm); v_i its degrees of freedom; v_eff effective ones.
    /// Valid:   1 line or more, each finite, 0 to 10 m, v_i >= 1; first order only.
    /// Rounding: none; v_eff is truncated where it is used.
    /// Source:  JCGM 100:2008 clause 5.1.2 and G.4.1 (Welch-Satterthwaite).
    /// Checked: tests/tables/budgets.csv.
    /// Errors:  NoLines, LineOutOfRange, DegreesOfFreedomOutOfRange.
    pub fn combined(lines: Vec<BudgetLine>) -> Result<Self, UncertaintyError> {
        if lines.is_empty() {
            return Err(UncertaintyError::NoLines);
        }
        let mut standard_nm = 0.0_f64;
        for line in &lines {
            let source = line.source;
            if !(0.0..=STANDARD_MAX_NM).contains(&line.standard_nm) {
                let found_nm = line.standard_nm;
                return Err(UncertaintyError::LineOutOfRange { source, found_nm });
            }
            if let DegreesOfFreedom::Finite(found) = line.degrees_of_freedom
                && !(1.0..f64::INFINITY).contains(&found)
            {
                return Err(UncertaintyError::DegreesOfFreedomOutOfRange { source, found });
            }
            standard_nm = standard_nm.hypot(line.standard_nm);
        }
        // Shares of the whole keep the fourth powers within the range of a float.
        let spread: f64 = lines
            .iter()
            .map(|line| match line.degrees_of_freedom {
                DegreesOfFreedom::Finite(freedom) if standard_nm > 0.0 => {
                    (line.standard_nm / standard_nm).powi(4) / freedom
                }
                _ => 0.0,
            })
            .sum();
        let effective = 1.0 / spread;
        let degrees_of_freedom = if effective.is_finite() {
            DegreesOfFreedom::Finite(effective.max(1.0))
        } else {
            DegreesOfFreedom::Infinite
        };
        Ok(Self {
            standard_nm,
            degrees_of_freedom,
            lines,
        })
    }

    /// A standard uncertainty given as a whole, nm.
    pub fn stated(standard_nm: f64) -> Result<Self, UncertaintyError> {
        Self::combined(vec![BudgetLine::known(
            UncertaintySource::Stated,
            standard_nm,
        )])
    }

    /// The standard uncertainty u, nm.
    pub fn standard_nm(&self) -> f64 {
        self.standard_nm
    }

    /// Effective degrees of freedom, not truncated.
    pub fn degrees_of_freedom(&self) -> DegreesOfFreedom {
        self.degrees_of_freedom
    }

    /// The lines of the budget.
    pub fn lines(&self) -> &[BudgetLine] {
        &self.lines
    }

    /// What part of the variance a line makes.
    ///
    /// Formula: share = u_i^2 / u^2
    /// Symbols: u_i the line (nm); u the combined standard uncertainty (nm).
    /// Valid:   a line of this budget; all shares sum up to 1, or are 0 where u is 0.
    /// Rounding: none.
    /// Source:  JCGM 100:2008 clause 5.1.2 (each term over the sum).
    /// Checked: tests/tables/budget_lines.csv.
    /// Errors:  none.
    pub fn share(&self, line: &BudgetLine) -> f64 {
        if self.standard_nm > 0.0 {
            (line.standard_nm / self.standard_nm).powi(2)
        } else {
            0.0
        }
    }

    /// The coverage factor for a probability of being within plus or minus U.
    ///
    /// Formula: k = t((1 + p) / 2; v), v the effective degrees of freedom truncated
    /// Symbols: p coverage probability; t Student quantile.
    /// Valid:   0.5 <= p <= 0.998.
    /// Rounding: v down to a whole number.
    /// Source:  JCGM 100:2008 G.4.1 and G.6.4.
    /// Checked: tests/tables/budgets.csv.
    /// Errors:  OutOfRange.
    pub fn coverage_factor(&self, probability: f64) -> Result<f64, StatisticsError> {
        if !(0.5..=0.998).contains(&probability) {
            return Err(StatisticsError::OutOfRange {
                name: "coverage probability",
                found: probability,
                allowed: "0.5 to 0.998",
            });
        }
        let freedom = match self.degrees_of_freedom {
            // A hair for the binary noise of a whole number of degrees.
            DegreesOfFreedom::Finite(freedom) => (freedom * (1.0 + 1e-12)).floor(),
            DegreesOfFreedom::Infinite => f64::INFINITY,
        };
        student_quantile(f64::midpoint(1.0, probability), freedom)
    }

    /// The expanded uncertainty U = k u for that probability, rounded up to 1 nm.
    pub fn expanded(&self, probability: f64) -> Result<Length, StatisticsError> {
        let factor = self.coverage_factor(probability)?;
        Ok(Length::from_nm(steps_up(factor * self.standard_nm)))
    }
}

impl UncertaintySource {
    /// Every source with its word in JSON and records.
    pub const WORDS: [(Self, &'static str); 15] = [
        (Self::MaximumPermissibleError, "maximum_permissible_error"),
        (Self::Calibration, "calibration"),
        (Self::Resolution, "resolution"),
        (Self::Repeatability, "repeatability"),
        (Self::PartExpansion, "part_expansion"),
        (Self::GaugeExpansion, "gauge_expansion"),
        (Self::PartTemperature, "part_temperature"),
        (Self::GaugeTemperature, "gauge_temperature"),
        (Self::WireDiameter, "wire_diameter"),
        (Self::SettingStandard, "setting_standard"),
        (Self::ZeroSetting, "zero_setting"),
        (Self::TransferGauge, "transfer_gauge"),
        (Self::Form, "form"),
        (Self::Stated, "stated"),
        (Self::Other, "other"),
    ];

    /// The source's word.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(source, _)| *source == self)
            .map_or("other", |(_, word)| word)
    }
}

impl UncertaintyError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NoLines => "no_uncertainty_lines",
            Self::LineOutOfRange { .. } => "uncertainty_out_of_range",
            Self::DegreesOfFreedomOutOfRange { .. } => "degrees_of_freedom_out_of_range",
            Self::NoReadings => "no_readings",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        Some(match self {
            Self::NoLines => "Give the gauge's maximum permissible error or calibration.",
            Self::LineOutOfRange { .. } => "Give a finite uncertainty of zero or more.",
            Self::DegreesOfFreedomOutOfRange { .. } => "Give n - 1 for n readings, at least 1.",
            Self::NoReadings => "Take a reading first.",
        })
    }
}

impl fmt::Display for UncertaintyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoLines => write!(f, "The uncertainty budget has no line."),
            Self::LineOutOfRange { source, found_nm } => write!(
                f,
                "The uncertainty line “{}” is {found_nm} nm; it must be 0 nm to 10 m.",
                source.word()
            ),
            Self::DegreesOfFreedomOutOfRange { source, found } => write!(
                f,
                "The uncertainty line “{}” has {found} degrees of freedom; it must have 1 or more.",
                source.word()
            ),
            Self::NoReadings => write!(f, "There is no reading to average."),
        }
    }
}

impl std::error::Error for UncertaintyError {}
