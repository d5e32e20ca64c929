//! Correction to the reference temperature of 20 °C, its uncertainty, and its age.

use std::fmt;

use crate::material::Expansion;
use crate::quantity::{Celsius, Length, Rounding};

/// Lowest and highest temperature that the correction takes, thousandths of a degree.
const TEMPERATURE_MIN: Celsius = Celsius::from_milli(-20_000);
const TEMPERATURE_MAX: Celsius = Celsius::from_milli(120_000);
/// Largest expansion coefficient taken, 1/K (chosen: twice the softest plastic of the table).
const EXPANSION_MAX_PER_KELVIN: f64 = 250e-6;
/// Half-width of a temperature that nobody measured, K.
const ASSUMED_HALF_WIDTH_K: f64 = 5.0;
/// After this a measured temperature counts no more: ten minutes (chosen).
const LAPSE_MS: u64 = 600_000;
/// Half-width gained per minute of age: so much, and a share of the excess over 20 °C.
const DRIFT_K_PER_MINUTE: f64 = 0.1;
const DRIFT_SHARE_PER_MINUTE: f64 = 0.05;

/// One, in the parts in which a growth is exact: 1e-15 per kelvin times 1e-3 kelvin.
const FACTOR_ONE: i128 = 1_000_000_000_000_000_000;

/// A temperature with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Temperature {
    /// The temperature.
    pub celsius: Celsius,
    /// Its standard uncertainty, K.
    pub standard_uncertainty_k: f64,
}

impl Temperature {
    /// A temperature read from a thermometer that is right within `half_width_k`.
    pub fn measured(celsius: Celsius, half_width_k: f64) -> Self {
        Self {
            celsius,
            standard_uncertainty_k: half_width_k / 3.0_f64.sqrt(),
        }
    }

    /// The temperature of a part or gauge when nobody measured it: 20 °C, rectangular ± 5 K.
    /// Chosen: an ordinary shop between 15 and 25 °C with parts at rest. A part just turned is
    /// warmer than that; give its temperature.
    pub fn assumed() -> Self {
        Self::measured(Celsius::REFERENCE, ASSUMED_HALF_WIDTH_K)
    }

    /// The same temperature `age_ms` later, none once it has lapsed.
    ///
    /// Formula: u = sqrt(u0^2 + h^2 / 3), h = (0.1 + 0.05 |t - 20|) m
    /// Symbols: u0 standard uncertainty when read (K); t temperature (degrees C); m age in
    ///          minutes; h half-width of the drift since (K).
    /// Valid:   up to ten minutes of age, then it lapses (chosen).
    /// Rounding: none.
    /// Source:  chosen: a hand-sized part in still air loses about 5 % of its excess a minute (a
    ///          time constant of 20 minutes), and a shop drifts by 0.1 K a minute.
    /// Checked: tests/logic/measure_temperature.rs.
    /// Errors:  none; None is "lapsed".
    #[allow(clippy::cast_precision_loss)]
    pub fn aged(self, age_ms: u64) -> Option<Self> {
        if age_ms > LAPSE_MS {
            return None;
        }
        let minutes = age_ms as f64 / 60_000.0;
        let excess = self.celsius.above_reference_k().abs();
        let half_width = (DRIFT_K_PER_MINUTE + DRIFT_SHARE_PER_MINUTE * excess) * minutes;
        let drift = half_width / 3.0_f64.sqrt();
        Some(Self {
            celsius: self.celsius,
            standard_uncertainty_k: self.standard_uncertainty_k.hypot(drift),
        })
    }
}

/// Whether the two temperatures err together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Thermometer {
    /// Read independently of each other.
    Separate,
    /// Both from one thermometer: its error is the same for both, so it nearly cancels between
    /// equal materials.
    Shared,
}

/// What temperature does to a reading: part and gauge, each with expansion and temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thermal {
    /// Temperature of the part.
    pub part: Temperature,
    /// Expansion of the part.
    pub part_expansion: Expansion,
    /// Temperature of the gauge's scale or setting standard.
    pub gauge: Temperature,
    /// Expansion of the gauge's scale or setting standard.
    pub gauge_expansion: Expansion,
    /// Whether one thermometer gave both.
    pub thermometer: Thermometer,
}

/// The parts of the correction's standard uncertainty, each in nm, none negative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThermalUncertainty {
    /// From the part's expansion coefficient.
    pub part_expansion_nm: f64,
    /// From the gauge's expansion coefficient.
    pub gauge_expansion_nm: f64,
    /// From the part's temperature; with a shared thermometer, from both temperatures.
    pub part_temperature_nm: f64,
    /// From the gauge's temperature; zero with a shared thermometer.
    pub gauge_temperature_nm: f64,
}

impl ThermalUncertainty {
    /// Root of the sum of squares, nm.
    pub fn combined_nm(&self) -> f64 {
        self.part_expansion_nm
            .hypot(self.gauge_expansion_nm)
            .hypot(self.part_temperature_nm)
            .hypot(self.gauge_temperature_nm)
    }
}

/// Why a correction is refused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TemperatureError {
    /// A temperature outside -20 to 120 °C.
    OutOfRange {
        /// Of the part or of the gauge.
        place: &'static str,
        /// What was given.
        found: Celsius,
    },
    /// An expansion coefficient outside 0 to 250e-6 per kelvin, or its uncertainty.
    ExpansionOutOfRange {
        /// Of the part or of the gauge.
        place: &'static str,
        /// What was given, 1/K.
        found_per_kelvin: f64,
    },
    /// A standard uncertainty that is negative or not finite.
    UncertaintyOutOfRange {
        /// Of the part or of the gauge.
        place: &'static str,
        /// What was given, K.
        found_k: f64,
    },
}

impl Thermal {
    /// The size at 20 °C of a part that was measured at other temperatures.
    ///
    /// Formula: L20 = L (1 + a_s (t_s - 20)) / (1 + a_w (t_w - 20))
    /// Symbols: L indication; a_s, t_s expansion (1/K) and temperature (degrees C) of the gauge;
    ///          a_w, t_w of the part.
    /// Valid:   -20 to 120 degrees C (chosen); a constant over the span, 0 to 250e-6 /K; part and
    ///          gauge each at one temperature; the gauge right at 20 degrees C.
    /// Rounding: once, half to even, to 1 nm, of the exact quotient (no float on the way); an
    ///          expansion is taken to 1e-15 /K, which over 10 m and 100 K is 0.001 nm.
    /// Source:  reference temperature 20 degrees C: ISO 1 (from memory); expansion, textbook.
    /// Checked: tests/tables/temperature.csv, tests/tables/temperature_exact.csv.
    /// Errors:  OutOfRange, ExpansionOutOfRange, UncertaintyOutOfRange.
    pub fn size_at_20(&self, indication: Length) -> Result<Length, TemperatureError> {
        self.check()?;
        let (gauge, part) = self.factors();
        Ok(scaled(indication, gauge, part))
    }

    /// What the gauge must show now for the part to have this size at 20 °C.
    ///
    /// Formula: L = L20 (1 + a_w (t_w - 20)) / (1 + a_s (t_s - 20))
    /// Symbols: as in [`Thermal::size_at_20`], solved for L.
    /// Valid:   as there.
    /// Rounding: once, half to even, to 1 nm.
    /// Source:  as there.
    /// Checked: tests/tables/temperature.csv; tests/logic/measure_temperature.rs (round trip).
    /// Errors:  OutOfRange, ExpansionOutOfRange, UncertaintyOutOfRange.
    pub fn gauge_must_show(&self, size_at_20: Length) -> Result<Length, TemperatureError> {
        self.check()?;
        let (gauge, part) = self.factors();
        Ok(scaled(size_at_20, part, gauge))
    }

    /// Standard uncertainty of the correction, in its parts.
    ///
    /// Formula: u^2 = (L (t_w-20) u(a_w))^2 + (L (t_s-20) u(a_s))^2 + (L a_w u(t_w))^2
    ///          + (L a_s u(t_s))^2; with a shared thermometer the last two become
    ///          (L (a_w u(t_w) - a_s u(t_s)))^2
    /// Symbols: as in [`Thermal::size_at_20`]; u(.) standard uncertainties.
    /// Valid:   first order: the terms in products of uncertainties are left out.
    /// Rounding: none.
    /// Source:  JCGM 100:2008 clause 5.1.2, 5.2.2 (correlation 1), Annex H.1.
    /// Checked: tests/tables/temperature.csv.
    /// Errors:  OutOfRange, ExpansionOutOfRange, UncertaintyOutOfRange.
    pub fn uncertainty(&self, indication: Length) -> Result<ThermalUncertainty, TemperatureError> {
        self.check()?;
        let length = indication.abs().as_nm_f64();
        let by_expansion = |temperature: Temperature, expansion: Expansion| {
            let excess = temperature.celsius.above_reference_k().abs();
            length * excess * expansion.standard_uncertainty_per_kelvin
        };
        let by_temperature = |temperature: Temperature, expansion: Expansion| {
            length * expansion.per_kelvin * temperature.standard_uncertainty_k
        };
        let part = by_temperature(self.part, self.part_expansion);
        let gauge = by_temperature(self.gauge, self.gauge_expansion);
        let (part_temperature_nm, gauge_temperature_nm) = match self.thermometer {
            Thermometer::Separate => (part, gauge),
            Thermometer::Shared => ((part - gauge).abs(), 0.0),
        };
        Ok(ThermalUncertainty {
            part_expansion_nm: by_expansion(self.part, self.part_expansion),
            gauge_expansion_nm: by_expansion(self.gauge, self.gauge_expansion),
            part_temperature_nm,
            gauge_temperature_nm,
        })
    }

    /// `1 + a (t - 20)` of the gauge and of the part, in parts of [`FACTOR_ONE`].
    fn factors(&self) -> (i128, i128) {
        let factor = |temperature: Temperature, expansion: Expansion| {
            let above_milli = temperature.celsius.as_milli() - Celsius::REFERENCE.as_milli();
            FACTOR_ONE + expansion_parts(expansion.per_kelvin) * i128::from(above_milli)
        };
        (
            factor(self.gauge, self.gauge_expansion),
            factor(self.part, self.part_expansion),
        )
    }

    fn check(&self) -> Result<(), TemperatureError> {
        let both = [
            ("part", self.part, self.part_expansion),
            ("gauge", self.gauge, self.gauge_expansion),
        ];
        for (place, temperature, expansion) in both {
            let found = temperature.celsius;
            if !(TEMPERATURE_MIN..=TEMPERATURE_MAX).contains(&found) {
                return Err(TemperatureError::OutOfRange { place, found });
            }
            for found_per_kelvin in [
                expansion.per_kelvin,
                expansion.standard_uncertainty_per_kelvin,
            ] {
                if !(0.0..=EXPANSION_MAX_PER_KELVIN).contains(&found_per_kelvin) {
                    return Err(TemperatureError::ExpansionOutOfRange {
                        place,
                        found_per_kelvin,
                    });
                }
            }
            let found_k = temperature.standard_uncertainty_k;
            if !(0.0..f64::INFINITY).contains(&found_k) {
                return Err(TemperatureError::UncertaintyOutOfRange { place, found_k });
            }
        }
        Ok(())
    }
}

/// An expansion coefficient in whole parts of 1e-15 per kelvin.
#[allow(clippy::cast_possible_truncation)] // checked: at most 250e-6
fn expansion_parts(per_kelvin: f64) -> i128 {
    (per_kelvin * 1e15).round() as i128
}

/// The length times `by / over`, rounded once, half to even.
fn scaled(length: Length, by: i128, over: i128) -> Length {
    let nm = Rounding::HalfEven.divide(i128::from(length.as_nm()) * by, over);
    // No length that is measured comes near the ends of an i64; there it stays there.
    let end = if nm < 0 { i64::MIN } else { i64::MAX };
    Length::from_nm(i64::try_from(nm).unwrap_or(end))
}

/// The length plus a correction in nm, the sum rounded once, half to even.
#[allow(clippy::cast_possible_truncation)]
pub(super) fn with_correction(length: Length, correction_nm: f64) -> Length {
    let floor = correction_nm.floor();
    let rest = correction_nm - floor;
    let below = length + Length::from_nm(floor as i64);
    let odd = below.as_nm() % 2 != 0;
    let up = rest > 0.5 || (rest >= 0.5 && odd);
    below + Length::from_nm(i64::from(up))
}

impl TemperatureError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::OutOfRange { .. } => "temperature_out_of_range",
            Self::ExpansionOutOfRange { .. } => "expansion_out_of_range",
            Self::UncertaintyOutOfRange { .. } => "temperature_uncertainty_out_of_range",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        Some(match self {
            Self::OutOfRange { .. } => "Let it come nearer to 20 °C and measure again.",
            Self::ExpansionOutOfRange { .. } => {
                "Give the coefficient per kelvin, such as 0.0000115, or a material."
            }
            Self::UncertaintyOutOfRange { .. } => {
                "Give the thermometer's uncertainty as a number of kelvins, not negative."
            }
        })
    }
}

impl fmt::Display for TemperatureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange { place, found } => write!(
                f,
                "The {place} temperature {found} °C is outside -20 °C to 120 °C, where lengths \
                 are corrected."
            ),
            Self::ExpansionOutOfRange {
                place,
                found_per_kelvin,
            } => write!(
                f,
                "The {place} expansion {found_per_kelvin} per kelvin, or its uncertainty, is \
                 outside 0 to 0.00025."
            ),
            Self::UncertaintyOutOfRange { place, found_k } => write!(
                f,
                "The uncertainty of the {place} temperature, {found_k} K, is not a finite number \
                 of at least 0."
            ),
        }
    }
}

impl std::error::Error for TemperatureError {}
