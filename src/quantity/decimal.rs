//! A decimal number exactly as it was written: its digits and how many stand after the mark.

use std::fmt;

use super::QuantityError;

/// Which character separates the whole part from the decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DecimalMark {
    /// Only `.`.
    Point,
    /// Only `,`.
    Comma,
    /// Either, but at most one of them (both are decimal marks: SI brochure 5.4.4).
    Either,
}

impl DecimalMark {
    fn accepts(self, c: char) -> bool {
        match self {
            Self::Point => c == '.',
            Self::Comma => c == ',',
            Self::Either => c == '.' || c == ',',
        }
    }
}

/// `mantissa / 10^decimals`, with the decimals that were written (`19.990` keeps three).
///
/// Equality is of the written form: `1.0` and `1.00` differ. The sign of a written `-0.000` is
/// not held here; who needs it keeps the text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Decimal {
    mantissa: i128,
    decimals: u8,
}

impl Decimal {
    /// Most digits that a number may have.
    pub const DIGITS_MAX: usize = 30;

    /// The number `mantissa / 10^decimals`; more than [`Decimal::DIGITS_MAX`] digits or decimals
    /// are refused.
    pub fn new(mantissa: i128, decimals: u8) -> Result<Self, QuantityError> {
        let digits = mantissa.unsigned_abs().checked_ilog10().unwrap_or(0) as usize + 1;
        if digits > Self::DIGITS_MAX || usize::from(decimals) > Self::DIGITS_MAX {
            return Err(QuantityError::TooManyDigits {
                text: format!("{mantissa}e-{decimals}"),
            });
        }
        Ok(Self { mantissa, decimals })
    }

    /// The number `count / 10^decimals`: 64 bits hold at most 19 digits, so only `decimals` is
    /// limited, to [`Decimal::DIGITS_MAX`] by whoever counted them.
    pub(crate) fn of_count(count: i64, decimals: u8) -> Self {
        debug_assert!(usize::from(decimals) <= Self::DIGITS_MAX);
        Self {
            mantissa: i128::from(count),
            decimals,
        }
    }

    /// Reads an optional sign (`+`, `-`), digits, and at most one decimal mark.
    ///
    /// Strict: no blanks, no exponent, no grouping. `.5` and `12.` are accepted here; stricter
    /// doors check before. Errors name the first wrong character.
    pub fn parse(text: &str, mark: DecimalMark) -> Result<Self, QuantityError> {
        if text.is_empty() {
            return Err(QuantityError::Empty);
        }
        if let Some(short) = Self::parse_short(text.as_bytes(), mark) {
            return Ok(short);
        }
        let mut negative = false;
        let mut mantissa: i128 = 0;
        let mut digits = 0_usize;
        let mut decimals: Option<u8> = None;
        for (at, found) in text.chars().enumerate() {
            if at == 0 && (found == '+' || found == '-') {
                negative = found == '-';
            } else if let Some(digit) = found.to_digit(10) {
                digits += 1;
                if digits > Self::DIGITS_MAX {
                    return Err(QuantityError::TooManyDigits {
                        text: shorten(text),
                    });
                }
                mantissa = mantissa * 10 + i128::from(digit);
                decimals = decimals.map(|count| count + 1);
            } else if mark.accepts(found) && decimals.is_none() {
                decimals = Some(0);
            } else {
                let expected = if decimals.is_some() {
                    "a digit"
                } else {
                    "a digit or the decimal mark"
                };
                return Err(QuantityError::BadCharacter {
                    text: shorten(text),
                    at,
                    found,
                    expected,
                });
            }
        }
        if digits == 0 {
            return Err(QuantityError::Unfinished {
                text: shorten(text),
                expected: "a digit",
            });
        }
        let mantissa = if negative { -mantissa } else { mantissa };
        Ok(Self {
            mantissa,
            decimals: decimals.unwrap_or(0),
        })
    }

    /// The quick way for what gauges send: at most 18 digits, so that 64 bits hold them. None for
    /// everything else, errors included; the long way tells.
    fn parse_short(text: &[u8], mark: DecimalMark) -> Option<Self> {
        const SHORT_MAX: usize = 18;
        let (negative, body) = match text {
            [b'-', rest @ ..] => (true, rest),
            [b'+', rest @ ..] => (false, rest),
            _ => (false, text),
        };
        if body.len() > SHORT_MAX {
            return None;
        }
        let mut count = 0_i64;
        let mut decimals: Option<u8> = None;
        for byte in body {
            match byte {
                b'0'..=b'9' => {
                    count = count * 10 + i64::from(byte - b'0');
                    decimals = decimals.map(|count| count + 1);
                }
                b'.' | b',' if mark.accepts(char::from(*byte)) && decimals.is_none() => {
                    decimals = Some(0);
                }
                _ => return None,
            }
        }
        let has_digits = body.len() > usize::from(decimals.is_some());
        let count = if negative { -count } else { count };
        has_digits.then(|| Self::of_count(count, decimals.unwrap_or(0)))
    }

    /// The digits as a whole number.
    pub fn mantissa(self) -> i128 {
        self.mantissa
    }

    /// How many of the digits stand after the mark.
    pub fn decimals(self) -> u8 {
        self.decimals
    }

    /// The exact product; keeps all decimals of both factors.
    pub fn times(self, factor: Self) -> Result<Self, QuantityError> {
        let too_many = || QuantityError::TooManyDigits {
            text: format!("{self} × {factor}"),
        };
        let mantissa = self
            .mantissa
            .checked_mul(factor.mantissa)
            .ok_or_else(too_many)?;
        let decimals = self
            .decimals
            .checked_add(factor.decimals)
            .ok_or_else(too_many)?;
        Self::new(mantissa, decimals).map_err(|_| too_many())
    }

    /// `self × steps_per_unit` when that is whole, else `None`.
    pub(crate) fn in_steps(self, steps_per_unit: i128) -> Option<i128> {
        let divisor = 10_i128.checked_pow(u32::from(self.decimals))?;
        // Mostly a step is a whole number of the last decimal, and nothing is to be divided.
        if let (Ok(steps), Ok(last)) = (u64::try_from(steps_per_unit), u64::try_from(divisor))
            && steps.is_multiple_of(last)
        {
            return self.mantissa.checked_mul(i128::from(steps / last));
        }
        let product = self.mantissa.checked_mul(steps_per_unit)?;
        (product % divisor == 0).then(|| product / divisor)
    }
}

impl fmt::Display for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let places = usize::from(self.decimals);
        let digits = format!(
            "{:0>width$}",
            self.mantissa.unsigned_abs(),
            width = places + 1
        );
        let (whole, rest) = digits.split_at(digits.len() - places);
        let sign = if self.mantissa < 0 { "-" } else { "" };
        match places {
            0 => write!(f, "{sign}{whole}"),
            _ => write!(f, "{sign}{whole}.{rest}"),
        }
    }
}

/// A text short enough to show in an error.
fn shorten(text: &str) -> String {
    const SHOWN_MAX: usize = 60;
    match text.char_indices().nth(SHOWN_MAX) {
        None => text.to_owned(),
        Some((end, _)) => format!("{}…", &text[..end]),
    }
}
