//! A temperature in thousandths of a degree Celsius.

use std::fmt;

use super::{Decimal, DecimalMark, QuantityError};

/// A temperature in whole thousandths of a degree Celsius.
///
/// From text only within -200 to 1500 °C (chosen: liquid nitrogen to forging heat).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Celsius(i32);

impl Celsius {
    /// The reference temperature of length measurement: 20 °C (ISO 1).
    pub const REFERENCE: Self = Self(20_000);
    const MIN_MILLI: i128 = -200_000;
    const MAX_MILLI: i128 = 1_500_000;

    /// So many thousandths of a degree.
    pub const fn from_milli(milli: i32) -> Self {
        Self(milli)
    }

    /// Thousandths of a degree.
    pub const fn as_milli(self) -> i32 {
        self.0
    }

    /// Degrees above the reference temperature of 20 °C, as a float for corrections.
    pub fn above_reference_k(self) -> f64 {
        f64::from(self.0 - Self::REFERENCE.0) / 1000.0
    }

    /// Reads degrees Celsius with point or comma, no unit.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        let number = Decimal::parse(text, DecimalMark::Either)?;
        let Some(milli) = number.in_steps(1000) else {
            let text = format!("{number} °C");
            return Err(QuantityError::NotExact {
                text,
                step: "thousandths of a degree",
            });
        };
        let out_of_range = || QuantityError::OutOfRange {
            found: format!("{number} °C"),
            allowed: "-200 °C to 1500 °C",
        };
        if !(Self::MIN_MILLI..=Self::MAX_MILLI).contains(&milli) {
            return Err(out_of_range());
        }
        i32::try_from(milli).map(Self).map_err(|_| out_of_range())
    }
}

/// Degrees with as many decimals as needed, without the unit.
impl fmt::Display for Celsius {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let (whole, milli) = (self.0.unsigned_abs() / 1000, self.0.unsigned_abs() % 1000);
        let decimals = format!("{milli:03}");
        match decimals.trim_end_matches('0') {
            "" => f.pad(&format!("{sign}{whole}")),
            rest => f.pad(&format!("{sign}{whole}.{rest}")),
        }
    }
}
