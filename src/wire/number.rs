//! The number in a frame: its text to an exact decimal.

use super::adapter::{NumberRule, Scale};
use super::error::WireError;
use crate::quantity::{Decimal, DecimalMark, LengthUnit, Rounding};

/// A number as it stands in its field, without sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Written {
    /// Digits before the marker: `[from, to)` in the field.
    pub(super) whole: (usize, usize),
    /// Digits after the marker.
    pub(super) fraction: (usize, usize),
    /// The digits as a number with the decimals that were sent, or implied.
    pub(super) magnitude: Decimal,
}

impl Written {
    /// A number that does not stand in a field of digits.
    pub(super) fn apart(magnitude: Decimal) -> Self {
        Self {
            whole: (0, 0),
            fraction: (0, 0),
            magnitude,
        }
    }
}

/// Reads the number field.
///
/// Order of tests: markers and digits, then the count of decimals (rules 3, 15 and 16).
pub(super) fn written(field: &[u8], rule: &NumberRule) -> Result<Written, WireError> {
    let (from, to) = if rule.padded {
        let from = field.iter().take_while(|b| **b == b' ').count();
        let blanks = field.iter().rev().take_while(|b| **b == b' ').count();
        (from, field.len().saturating_sub(blanks).max(from))
    } else {
        (0, field.len())
    };
    let body = field.get(from..to).unwrap_or_default();
    let is_mark = |byte: u8| match rule.mark {
        _ if rule.implied_decimals.is_some() => false,
        DecimalMark::Point => byte == b'.',
        DecimalMark::Comma => byte == b',',
        DecimalMark::Either => byte == b'.' || byte == b',',
    };
    let mut mark = None;
    for (at, byte) in body.iter().enumerate() {
        if is_mark(*byte) && mark.is_none() {
            mark = Some(from + at);
        } else if !byte.is_ascii_digit() {
            return Err(WireError::Malformed);
        }
    }
    let (whole, fraction) = match mark {
        None => ((from, to), (to, to)),
        Some(mark) => ((from, mark), (mark + 1, to)),
    };
    if body.is_empty() || (mark.is_some() && fraction.0 == fraction.1) {
        return Err(WireError::Malformed);
    }
    let decimals = rule
        .implied_decimals
        .map_or(fraction.1 - fraction.0, usize::from);
    if rule
        .decimals
        .is_some_and(|wanted| usize::from(wanted) != decimals)
    {
        return Err(WireError::WrongDecimals);
    }
    let mut magnitude = 0_i128;
    for digit in body.iter().filter(|byte| byte.is_ascii_digit()) {
        // 30 digits at most, leading zeros not counted: more cannot be held exactly.
        if magnitude >= 10_i128.pow(29) {
            return Err(WireError::NotExact);
        }
        magnitude = magnitude * 10 + i128::from(digit - b'0');
    }
    let magnitude = u8::try_from(decimals)
        .ok()
        .and_then(|decimals| Decimal::new(magnitude, decimals).ok())
        .ok_or(WireError::NotExact)?;
    Ok(Written {
        whole,
        fraction,
        magnitude,
    })
}

/// The value of a number in its unit, and whether it had to be rounded to 1 nm.
pub(super) fn scaled(
    number: Decimal,
    rule: &NumberRule,
    unit: LengthUnit,
) -> Result<(Decimal, bool), WireError> {
    match rule.scale.of(unit) {
        None => Ok((number, false)),
        Some(Scale::Exact(factor)) => {
            let product = number.times(factor).map_err(|_| WireError::NotExact)?;
            Ok((product, false))
        }
        Some(Scale::Ratio { nm, divisor }) => {
            let counts = number.mantissa().checked_mul(nm);
            let below = 10_i128
                .checked_pow(u32::from(number.decimals()))
                .and_then(|tens| tens.checked_mul(divisor));
            let (Some(above), Some(below)) = (counts, below) else {
                return Err(WireError::NotExact);
            };
            let value = Rounding::HalfEven.divide(above, below);
            let value = Decimal::new(value, 6).map_err(|_| WireError::NotExact)?;
            Ok((value, above % below != 0))
        }
    }
}
