//! A length in whole nanometres.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

use super::{Decimal, DecimalMark, Exact, QuantityError, Rounding};

/// A unit in which a length is read or shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum LengthUnit {
    /// Millimetre.
    Millimetre,
    /// Inch: exactly 25.4 mm (international inch of 1959).
    Inch,
}

impl LengthUnit {
    /// Whole nanometres in one unit.
    pub const fn nm(self) -> i64 {
        match self {
            Self::Millimetre => 1_000_000,
            Self::Inch => 25_400_000,
        }
    }

    /// `mm` or `in`.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Inch => "in",
        }
    }

    /// The unit of the symbol `mm` or `in`.
    pub fn from_symbol(symbol: &str) -> Option<Self> {
        match symbol {
            "mm" => Some(Self::Millimetre),
            "in" => Some(Self::Inch),
            _ => None,
        }
    }
}

/// A length, or a difference of lengths, in whole nanometres.
///
/// Made from text only when that is exact and within ±10 m (chosen: larger than any part of a
/// small workshop, and small enough that sums and products of real work stay far from the range
/// of `i64`). There is no way from a float to a length.
///
/// A diameter, a radius, a deviation and a depth are all lengths; the name of the variable must
/// say which.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

impl Length {
    /// No length.
    pub const ZERO: Self = Self(0);
    /// The largest length that text or files may give: 10 m.
    pub const MAX: Self = Self(10_000_000_000);

    /// So many nanometres. For constants and sums of checked values; outside data goes through
    /// [`Length::checked_nm`].
    pub const fn from_nm(nm: i64) -> Self {
        Self(nm)
    }

    /// So many micrometres.
    pub const fn from_um(um: i64) -> Self {
        Self(um * 1_000)
    }

    /// So many millimetres.
    pub const fn from_mm(mm: i64) -> Self {
        Self(mm * 1_000_000)
    }

    /// So many nanometres, refused beyond ±10 m.
    pub fn checked_nm(nm: i128) -> Result<Self, QuantityError> {
        match i64::try_from(nm) {
            Ok(value) if value.unsigned_abs() <= Self::MAX.0.unsigned_abs() => Ok(Self(value)),
            _ => Err(QuantityError::OutOfRange {
                found: format!("{nm} nm"),
                allowed: "-10 m to 10 m",
            }),
        }
    }

    /// Reads millimetres; point or comma as decimal mark; no unit, no blanks.
    pub fn parse_mm(text: &str) -> Result<Self, QuantityError> {
        Self::from_decimal(
            Decimal::parse(text, DecimalMark::Either)?,
            LengthUnit::Millimetre,
        )
    }

    /// Reads inches; refused when it is no whole number of nanometres (finest whole step
    /// 0.000 005 in = 127 nm).
    pub fn parse_inch(text: &str) -> Result<Self, QuantityError> {
        Self::from_decimal(Decimal::parse(text, DecimalMark::Either)?, LengthUnit::Inch)
    }

    /// The length of a decimal number of units, exact or refused.
    pub fn from_decimal(number: Decimal, unit: LengthUnit) -> Result<Self, QuantityError> {
        match number.in_steps(i128::from(unit.nm())) {
            Some(nm) => Self::checked_nm(nm).map_err(|_| QuantityError::OutOfRange {
                found: format!("{number} {}", unit.symbol()),
                allowed: "-10 m to 10 m",
            }),
            None => Err(QuantityError::NotExact {
                text: format!("{number} {}", unit.symbol()),
                step: "nanometres",
            }),
        }
    }

    /// The length of a decimal number of units, rounded half to even to whole nanometres where it
    /// is not exact. Only for counts that no gauge step makes whole (25.4/20480 mm); the reading
    /// that comes of it is marked rounded.
    pub fn from_decimal_rounded(number: Decimal, unit: LengthUnit) -> Result<Self, QuantityError> {
        let out_of_range = || QuantityError::OutOfRange {
            found: format!("{number} {}", unit.symbol()),
            allowed: "-10 m to 10 m",
        };
        let scaled = number
            .mantissa()
            .checked_mul(i128::from(unit.nm()))
            .ok_or_else(out_of_range)?;
        let divisor = 10_i128.pow(u32::from(number.decimals()));
        Self::checked_nm(Rounding::HalfEven.divide(scaled, divisor)).map_err(|_| out_of_range())
    }

    /// Whole nanometres.
    pub const fn as_nm(self) -> i64 {
        self.0
    }

    /// Nanometres as a float, for statistics and uncertainty. Exact: every |length| below
    /// 2^53 nm (9 007 km) converts without rounding.
    #[allow(clippy::cast_precision_loss)]
    pub const fn as_nm_f64(self) -> f64 {
        self.0 as f64
    }

    /// The size without its sign.
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// True below zero.
    pub const fn is_negative(self) -> bool {
        self.0 < 0
    }

    /// `self / divisor` towards minus infinity.
    pub fn div_floor(self, divisor: i64) -> Self {
        self.divided(divisor, Rounding::Floor)
    }

    /// `self / divisor` towards plus infinity.
    pub fn div_ceil(self, divisor: i64) -> Self {
        self.divided(divisor, Rounding::Ceil)
    }

    /// `self / divisor` to the nearest nanometre, ties to even.
    pub fn div_half_even(self, divisor: i64) -> Self {
        self.divided(divisor, Rounding::HalfEven)
    }

    /// The nearest whole multiple of `step` in the given direction; `step` must not be zero.
    pub fn round_to(self, step: Self, rounding: Rounding) -> Self {
        let count = rounding.divide(i128::from(self.0), i128::from(step.0));
        Self(narrow(count * i128::from(step.0)))
    }

    fn divided(self, divisor: i64, rounding: Rounding) -> Self {
        Self(narrow(
            rounding.divide(i128::from(self.0), i128::from(divisor)),
        ))
    }

    /// The number in `unit` with at least `decimals` decimals and as many more as it needs to be
    /// exact; ASCII minus, point, no unit. An inch text that would never end is given with nine
    /// decimals, rounded half to even.
    pub fn to_text(self, unit: LengthUnit, decimals: u8) -> String {
        const INCH_DECIMALS_MAX: u32 = 9;
        let (mantissa, places) = match unit {
            LengthUnit::Millimetre => (i128::from(self.0), 6),
            LengthUnit::Inch => {
                let scaled = i128::from(self.0) * 10_i128.pow(INCH_DECIMALS_MAX);
                (
                    Rounding::HalfEven.divide(scaled, i128::from(unit.nm())),
                    INCH_DECIMALS_MAX,
                )
            }
        };
        write_scaled(mantissa, places, u32::from(decimals))
    }

    /// Micrometres with at least `decimals` decimals and as many more as they need to be exact;
    /// ASCII minus, point, no unit.
    pub fn to_um(self, decimals: u8) -> String {
        const UM_DECIMALS: u32 = 3;
        write_scaled(i128::from(self.0), UM_DECIMALS, u32::from(decimals))
    }

    /// Millimetres with at least three decimals, exact: the way of tables, files and JSON.
    pub fn to_mm(self) -> String {
        self.to_text(LengthUnit::Millimetre, 3)
    }
}

/// Writes `mantissa / 10^places`, trailing zeros cut down to `keep` decimals or padded up to it.
fn write_scaled(mantissa: i128, places: u32, keep: u32) -> String {
    let (mut mantissa, mut places) = (mantissa, places);
    while places > keep && mantissa % 10 == 0 {
        mantissa /= 10;
        places -= 1;
    }
    while places < keep {
        mantissa *= 10;
        places += 1;
    }
    let width = places as usize + 1;
    let digits = format!("{:0>width$}", mantissa.unsigned_abs());
    let (whole, rest) = digits.split_at(digits.len() - places as usize);
    let sign = if mantissa < 0 { "-" } else { "" };
    if rest.is_empty() {
        format!("{sign}{whole}")
    } else {
        format!("{sign}{whole}.{rest}")
    }
}

/// Back to `i64`; a quotient or multiple of an `i64` length that leaves it is a bug.
#[allow(clippy::expect_used)]
fn narrow(value: i128) -> i64 {
    i64::try_from(value).expect("a rounded length stays within 64 bits")
}

impl Exact for Length {
    fn units(self) -> i64 {
        self.0
    }

    fn from_units(units: i64) -> Self {
        Self(units)
    }

    fn units_f64(self) -> f64 {
        self.as_nm_f64()
    }
}

/// Millimetres, exact, with no more decimals than needed.
impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.to_text(LengthUnit::Millimetre, 0))
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<i64> for Length {
    type Output = Self;
    fn mul(self, factor: i64) -> Self {
        Self(self.0 * factor)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, Self::add)
    }
}
