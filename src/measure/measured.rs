//! From what the gauge showed to the size at 20 °C and its uncertainty.

use std::fmt;

use super::budget::{gauge_lines, thermal_lines};
use super::temperature::{TemperatureError, Thermal};
use super::uncertainty::{Uncertainty, UncertaintyError};
use crate::gauge::GaugeError;
use crate::quantity::Length;

/// More steps are not needed to invert a bias: each halves what is left of it, and no bias is
/// more than 10 m.
const INVERSION_STEPS_MAX: usize = 40;

/// A measured value: the size at 20 °C, its uncertainty, and what was corrected on the way.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// The size at 20 °C.
    pub value: Length,
    /// Its uncertainty; none when nothing is known of the gauge's error.
    pub uncertainty: Option<Uncertainty>,
    /// What was added on the way, in order; they sum up exactly to `value` minus the indication.
    pub corrections: Vec<Correction>,
}

/// One correction that was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Correction {
    /// The gauge's bias, known from its calibration, taken off.
    Bias {
        /// What was added to the indication.
        added: Length,
    },
    /// The deviation of the standard that the gauge was set on, known from its calibration.
    Standard {
        /// What was added.
        added: Length,
    },
    /// The bias of the gauge that carried the size, taken off.
    Transfer {
        /// What was added.
        added: Length,
    },
    /// From the temperatures of part and gauge to 20 °C.
    Temperature {
        /// What was added.
        added: Length,
    },
    /// From the difference that was read to the width of a form.
    Form {
        /// What was added.
        added: Length,
    },
    /// From the size over three wires to the pitch diameter.
    OverWires {
        /// Diameter of the wires.
        wire: Length,
        /// What was added; negative.
        added: Length,
    },
}

/// Why a reading does not become a measured value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MeasureError {
    /// The temperature correction is refused.
    Temperature(TemperatureError),
    /// The uncertainty budget is refused.
    Uncertainty(UncertaintyError),
}

impl Correction {
    /// What was added.
    pub fn added(&self) -> Length {
        match self {
            Self::Bias { added }
            | Self::Standard { added }
            | Self::Transfer { added }
            | Self::Temperature { added }
            | Self::Form { added }
            | Self::OverWires { added, .. } => *added,
        }
    }
}

impl Measured {
    /// The standard uncertainty for a verdict, nm.
    pub fn standard_nm(&self) -> Option<f64> {
        self.uncertainty.as_ref().map(Uncertainty::standard_nm)
    }
}

/// The measured value of an indication (or of the mean of `readings` indications): bias taken
/// off, corrected to 20 °C, with the budget of both. Without `thermal` the temperature is not
/// considered, and no line says otherwise.
///
/// ```
/// use fitledger::gauge::GaugeError;
/// use fitledger::material::material;
/// use fitledger::measure::{Temperature, Thermal, Thermometer, measure};
/// use fitledger::quantity::{Celsius, Length};
/// let micrometer = GaugeError { mpe: Some(Length::from_um(4)), ..GaugeError::default() };
/// let steel = material("steel")?.expansion();
/// let thermal = Thermal {
///     part: Temperature::measured(Celsius::from_milli(45_000), 1.0),
///     part_expansion: steel,
///     gauge: Temperature::measured(Celsius::REFERENCE, 1.0),
///     gauge_expansion: steel,
///     thermometer: Thermometer::Separate,
/// };
/// let warm = measure(Length::from_mm(50), &micrometer, Some(&thermal), 1)?;
/// assert_eq!(warm.value, Length::parse_mm("49.985629")?);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn measure(
    indication: Length,
    gauge: &GaugeError,
    thermal: Option<&Thermal>,
    readings: u32,
) -> Result<Measured, MeasureError> {
    let mut corrections = bias_corrections(gauge, indication);
    let mut value: Length = indication + corrections.iter().map(Correction::added).sum();
    let mut lines = gauge_lines(gauge, readings)?;
    if let Some(thermal) = thermal {
        let parts = thermal.uncertainty(value)?;
        if let Some(lines) = &mut lines {
            lines.extend(thermal_lines(&parts));
        }
        let at_20 = thermal.size_at_20(value)?;
        let added = at_20 - value;
        value = at_20;
        corrections.push(Correction::Temperature { added });
    }
    Ok(Measured {
        value,
        uncertainty: lines.map(Uncertainty::combined).transpose()?,
        corrections,
    })
}

/// The size that an indication stands for: the biases that calibrations found are taken off as
/// [`measure`] takes them off; without temperature and uncertainty.
pub fn unbiased(indication: Length, gauge: &GaugeError) -> Length {
    let corrections = bias_corrections(gauge, indication);
    indication + corrections.iter().map(Correction::added).sum()
}

/// The biases that calibrations found, to be added with their signs turned: of the gauge itself,
/// of the standard that it was set on (made 1 µm too large, it makes every size 1 µm too small),
/// and of the gauge that carried the size.
fn bias_corrections(gauge: &GaugeError, indication: Length) -> Vec<Correction> {
    let added = |error: &GaugeError| {
        let calibration = error.calibration.as_ref()?;
        Some(-calibration.bias_at(indication))
    };
    let behind = |error: &Option<Box<GaugeError>>| {
        let added = added(error.as_deref()?)?;
        (added != Length::ZERO).then_some(added)
    };
    let own = added(gauge).map(|added| Correction::Bias { added });
    let standard = behind(&gauge.standard).map(|added| Correction::Standard { added });
    let transfer = behind(&gauge.transfer).map(|added| Correction::Transfer { added });
    [own, standard, transfer].into_iter().flatten().collect()
}

/// What the gauge must show now for the part to have this size at 20 °C: [`measure`] backwards.
///
/// Formula: x - b(x) = L20 (1 + a_w (t_w - 20)) / (1 + a_s (t_s - 20)), solved for x
/// Symbols: x indication; b(x) bias there; the right side as in [`Thermal::gauge_must_show`].
/// Valid:   as there; a bias that changes by less than half of the indication's change, so that
///          x <- right side + b(x) comes to rest.
/// Rounding: once, half to even, to 1 nm (the bias once more); measured again it is within 1 nm,
///          2 nm with a bias.
/// Source:  [`measure`], solved for the indication.
/// Checked: tests/logic/measure_temperature.rs (round trip).
/// Errors:  OutOfRange, ExpansionOutOfRange, UncertaintyOutOfRange.
pub fn indication_for(
    size_at_20: Length,
    gauge: &GaugeError,
    thermal: Option<&Thermal>,
) -> Result<Length, TemperatureError> {
    let unbiased = match thermal {
        Some(thermal) => thermal.gauge_must_show(size_at_20)?,
        None => size_at_20,
    };
    let mut indication = unbiased;
    for _ in 0..INVERSION_STEPS_MAX {
        let corrections = bias_corrections(gauge, indication);
        let next = unbiased - corrections.iter().map(Correction::added).sum();
        if next == indication {
            break;
        }
        indication = next;
    }
    Ok(indication)
}

impl From<TemperatureError> for MeasureError {
    fn from(error: TemperatureError) -> Self {
        Self::Temperature(error)
    }
}

impl From<UncertaintyError> for MeasureError {
    fn from(error: UncertaintyError) -> Self {
        Self::Uncertainty(error)
    }
}

impl MeasureError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Temperature(error) => error.code(),
            Self::Uncertainty(error) => error.code(),
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::Temperature(error) => error.hint(),
            Self::Uncertainty(error) => error.hint(),
        }
    }
}

impl fmt::Display for MeasureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Temperature(error) => error.fmt(f),
            Self::Uncertainty(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for MeasureError {}
