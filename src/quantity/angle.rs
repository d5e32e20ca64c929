//! A plane angle in whole milliarcseconds.

use std::fmt;
use std::ops::{Add, Neg, Sub};

use super::{Decimal, DecimalMark, Exact, QuantityError};

/// A plane angle, or a difference of angles, in whole milliarcseconds (1/3 600 000 degree).
///
/// 0.000 01 degree (36 mas) and 0.001 second are whole. From text only within ±360 degrees.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Angle(i64);

const MAS_PER_DEGREE: i64 = 3_600_000;
const MAS_PER_MINUTE: i64 = 60_000;
const MAS_PER_SECOND: i64 = 1_000;

impl Angle {
    /// No angle.
    pub const ZERO: Self = Self(0);
    /// The largest angle that text may give: one full turn.
    pub const MAX: Self = Self(360 * MAS_PER_DEGREE);

    /// So many milliarcseconds.
    pub const fn from_mas(mas: i64) -> Self {
        Self(mas)
    }

    /// So many minutes of arc.
    pub const fn from_minutes(minutes: i64) -> Self {
        Self(minutes * MAS_PER_MINUTE)
    }

    /// Whole milliarcseconds.
    pub const fn as_mas(self) -> i64 {
        self.0
    }

    /// The size without its sign.
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// The angle of a decimal number of degrees, exact or refused.
    pub fn from_degrees(number: Decimal) -> Result<Self, QuantityError> {
        Self::scaled(number, MAS_PER_DEGREE, "°")
    }

    fn scaled(number: Decimal, mas_per_unit: i64, symbol: &str) -> Result<Self, QuantityError> {
        let text = format!("{number}{symbol}");
        let Some(mas) = number.in_steps(i128::from(mas_per_unit)) else {
            return Err(QuantityError::NotExact {
                text,
                step: "milliarcseconds",
            });
        };
        match i64::try_from(mas) {
            Ok(value) if value.abs() <= Self::MAX.0 => Ok(Self(value)),
            _ => Err(QuantityError::OutOfRange {
                found: text,
                allowed: "-360° to 360°",
            }),
        }
    }

    /// Reads `30`, `30°`, `30.5°`, `0°15'`, `29°59'30"`, `15'`; a leading sign counts for the
    /// whole. Without any mark the number is degrees. Only the last part may have decimals, and
    /// minutes and seconds behind a larger part must be below 60.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        let (negative, body) = match text.strip_prefix('-') {
            Some(rest) => (true, rest),
            None => (false, text.strip_prefix('+').unwrap_or(text)),
        };
        if body.is_empty() {
            return Err(QuantityError::Empty);
        }
        let mut sum = 0_i64;
        let mut rest = body;
        let mut finest = 0; // 0 nothing read, 1 degrees, 2 minutes, 3 seconds
        let mut last_had_decimals = false;
        while !rest.is_empty() {
            let bad = |found: char, expected| QuantityError::BadCharacter {
                text: text.to_owned(),
                at: text.chars().count() - rest.chars().count(),
                found,
                expected,
            };
            let end = rest.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','));
            let (number, mark) = rest.split_at(end.unwrap_or(rest.len()));
            let (level, mark_length, scale, symbol) = match mark.chars().next() {
                None if finest == 0 => (1, 0, MAS_PER_DEGREE, "°"),
                Some('°') => (1, '°'.len_utf8(), MAS_PER_DEGREE, "°"),
                Some(c @ ('\'' | '′')) => (2, c.len_utf8(), MAS_PER_MINUTE, "′"),
                Some(c @ ('"' | '″')) => (3, c.len_utf8(), MAS_PER_SECOND, "″"),
                Some(found) => return Err(bad(found, "°, ' or \"")),
                None => {
                    return Err(QuantityError::Unfinished {
                        text: text.to_owned(),
                        expected: "' or \" after the last number",
                    });
                }
            };
            let first = rest.chars().next().unwrap_or('°');
            if number.is_empty() || last_had_decimals || level <= finest {
                return Err(bad(
                    first,
                    "a whole number with a finer mark than the one before",
                ));
            }
            let value = Decimal::parse(number, DecimalMark::Either)?;
            let part = Self::scaled(value, scale, symbol)?.0;
            if finest > 0 && part >= scale * 60 {
                return Err(bad(first, "less than 60 minutes or seconds"));
            }
            last_had_decimals = value.decimals() > 0;
            finest = level;
            sum += part;
            rest = &mark[mark_length..];
        }
        if sum > Self::MAX.0 {
            let found = text.to_owned();
            return Err(QuantityError::OutOfRange {
                found,
                allowed: "-360° to 360°",
            });
        }
        Ok(Self(if negative { -sum } else { sum }))
    }

    /// Decimal degrees; exact where they end within seven decimals, else rounded there to
    /// nearest (0.000 000 1 degree is 0.36 mas, finer than the step, so the text identifies the
    /// angle).
    pub fn to_degrees(self) -> String {
        const PLACES: usize = 7;
        let scaled = i128::from(self.0) * 10_i128.pow(7);
        let mantissa = super::Rounding::HalfEven.divide(scaled, i128::from(MAS_PER_DEGREE));
        let width = PLACES + 1;
        let digits = format!("{:0>width$}", mantissa.unsigned_abs());
        let (whole, rest) = digits.split_at(digits.len() - PLACES);
        let rest = rest.trim_end_matches('0');
        let sign = if self.0 < 0 { "-" } else { "" };
        if rest.is_empty() {
            format!("{sign}{whole}")
        } else {
            format!("{sign}{whole}.{rest}")
        }
    }
}

impl Angle {
    /// Degrees, minutes and seconds as far as needed, exact: `30°`, `0°15'`, `29°59'59.999"`.
    pub fn to_dms(self) -> String {
        let sign = if self.0 < 0 { "-" } else { "" };
        let mas = self.0.unsigned_abs();
        let (degrees, minutes) = (mas / 3_600_000, mas / 60_000 % 60);
        let (seconds, milli) = (mas / 1000 % 60, mas % 1000);
        let mut text = format!("{sign}{degrees}°");
        if minutes > 0 || seconds > 0 || milli > 0 {
            text.push_str(&format!("{minutes}'"));
        }
        match (seconds, milli) {
            (0, 0) => {}
            (_, 0) => text.push_str(&format!("{seconds}\"")),
            _ => text.push_str(&format!("{seconds}.{milli:03}\"")),
        }
        text
    }
}

impl Exact for Angle {
    fn units(self) -> i64 {
        self.0
    }

    fn from_units(units: i64) -> Self {
        Self(units)
    }

    #[allow(clippy::cast_precision_loss)]
    fn units_f64(self) -> f64 {
        self.0 as f64
    }
}

/// Decimal degrees without the mark.
impl fmt::Display for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.to_degrees())
    }
}

impl Add for Angle {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Angle {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Angle {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}
