//! A length as a person types or pastes it.

use super::{Decimal, DecimalMark, Length, LengthUnit, QuantityError};

/// A typed length: exact value, the unit it was typed in, and the decimals that were typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Entry {
    /// The exact value.
    pub value: Length,
    /// The unit that was typed, or the default.
    pub unit: LengthUnit,
    /// Digits after the mark as typed, kept for the record.
    pub decimals: u8,
}

/// Reads what a person types: outer blanks, `+`, `-`, U+2212 or en dash before the number, point
/// or comma, and `mm`, `in` or `"` after it. Without a unit it is `default_unit`.
///
/// Two marks in one number are refused (grouping does not exist on entry), as is anything else.
pub fn parse_entry(text: &str, default_unit: LengthUnit) -> Result<Entry, QuantityError> {
    let body = text.trim();
    let lowered = body.to_ascii_lowercase();
    let units = [
        ("mm", LengthUnit::Millimetre),
        ("in", LengthUnit::Inch),
        ("\"", LengthUnit::Inch),
    ];
    let found = units
        .into_iter()
        .find(|(suffix, _)| lowered.ends_with(suffix));
    let (number, unit) = match found {
        Some((suffix, unit)) => (body[..body.len() - suffix.len()].trim_end(), unit),
        None => (body, default_unit),
    };
    let unsigned = number.strip_prefix(['\u{2212}', '\u{2013}']);
    let ascii = match unsigned {
        Some(rest) => format!("-{rest}"),
        None => number.to_owned(),
    };
    let decimal = Decimal::parse(&ascii, DecimalMark::Either)?;
    Ok(Entry {
        value: Length::from_decimal(decimal, unit)?,
        unit,
        decimals: decimal.decimals(),
    })
}
