//! Quantities, rules and bytes as the text of a journal body, both ways.

use super::event::ValueUnit;
use super::format::FormatError;
use crate::gauge::{CheckOutcome, Shown};
use crate::measure::Rule;
use crate::quantity::{Angle, Celsius, Decimal, DecimalMark, Exact, Length, LengthUnit};

/// The rule's text where a limit gauge or a mating part was tried: there is no other.
pub const ATTRIBUTE_RULE: &str = "attribute";

const HEX: &[u8; 16] = b"0123456789abcdef";

/// Bytes as lower-case hexadecimal.
pub(super) fn to_hex(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len() * 2);
    for byte in bytes {
        text.push(char::from(HEX[usize::from(byte >> 4)]));
        text.push(char::from(HEX[usize::from(byte & 15)]));
    }
    text
}

/// A length in millimetres or an angle in degrees, minutes and seconds, exact; the word of an
/// outcome.
pub(super) fn number_of(unit: ValueUnit, units: i64) -> String {
    match unit {
        ValueUnit::Nanometre => Length::from_units(units).to_mm(),
        ValueUnit::Milliarcsecond => Angle::from_units(units).to_dms(),
        ValueUnit::Check => CheckOutcome::from_number(units)
            .map_or("", CheckOutcome::word)
            .to_owned(),
    }
}

/// `probability 0.95`, `guard 1.65` or `simple`. The number is the shortest that gives the same
/// float back.
pub fn rule_text(rule: Rule) -> String {
    match rule {
        Rule::Probability { confidence } => format!("probability {confidence}"),
        Rule::Guard { factor } => format!("guard {factor}"),
        Rule::Simple => "simple".to_owned(),
    }
}

/// The rule of that text.
pub fn rule_of(text: &str) -> Option<Rule> {
    let number = |text: &str| text.parse::<f64>().ok().filter(|number| number.is_finite());
    match text.split_once(' ') {
        None if text == "simple" => Some(Rule::Simple),
        Some(("probability", rest)) => Some(Rule::Probability {
            confidence: number(rest).filter(|p| (0.5..1.0).contains(p))?,
        }),
        Some(("guard", rest)) => Some(Rule::Guard {
            factor: number(rest).filter(|factor| *factor >= 0.0)?,
        }),
        _ => None,
    }
}

/// The rule of that text in a verdict of that unit. With a limit gauge going is going, so that the
/// rule inside the program is the simple one.
pub(super) fn rule_under(unit: ValueUnit, text: &str) -> Option<Rule> {
    match unit {
        ValueUnit::Check => (text == ATTRIBUTE_RULE).then_some(Rule::Simple),
        _ => rule_of(text),
    }
}

/// Reads the fields of one kind of event; its errors name the kind and the field.
pub(super) struct Field<'a> {
    pub(super) kind: &'a str,
}

impl Field<'_> {
    pub(super) fn wrong(&self, what: &str) -> FormatError {
        FormatError {
            kind: self.kind.to_owned(),
            what: what.to_owned(),
        }
    }

    pub(super) fn unknown(&self, field: &str, found: &str) -> FormatError {
        self.wrong(&format!(
            "{field} holds the unknown word “{}”",
            found.escape_debug()
        ))
    }

    pub(super) fn mm(&self, field: &str, text: &str) -> Result<Length, FormatError> {
        let number = Decimal::parse(text, DecimalMark::Point);
        number
            .and_then(|number| Length::from_decimal(number, LengthUnit::Millimetre))
            .map_err(|error| self.wrong(&format!("{field}: {error}")))
    }

    pub(super) fn angle(&self, field: &str, text: &str) -> Result<Angle, FormatError> {
        Angle::parse(text).map_err(|error| self.wrong(&format!("{field}: {error}")))
    }

    pub(super) fn celsius(&self, field: &str, text: &str) -> Result<Celsius, FormatError> {
        Celsius::parse(text).map_err(|error| self.wrong(&format!("{field}: {error}")))
    }

    /// A length as a gauge showed it. A value that was rounded when it came in may have more
    /// inch decimals than are whole nanometres; it is rounded the same way again.
    pub(super) fn shown_length(
        &self,
        field: &str,
        text: &str,
        unit: &str,
        rounded: bool,
    ) -> Result<(Length, Shown), FormatError> {
        let wrong = |error| self.wrong(&format!("{field}: {error}"));
        let unit = LengthUnit::from_symbol(unit).ok_or_else(|| self.unknown("unit", unit))?;
        let number = Decimal::parse(text, DecimalMark::Point).map_err(wrong)?;
        let length = if rounded {
            Length::from_decimal_rounded(number, unit).map_err(wrong)?
        } else {
            Length::from_decimal(number, unit).map_err(wrong)?
        };
        let minus = text.starts_with('-');
        Ok((
            length,
            Shown {
                unit,
                decimals: number.decimals(),
                minus,
            },
        ))
    }

    pub(super) fn hex(&self, field: &str, text: &str) -> Result<Vec<u8>, FormatError> {
        let wrong = || self.wrong(&format!("{field} is not lower-case hexadecimal"));
        let digit = |byte: u8| match byte {
            b'0'..=b'9' => Some(byte - b'0'),
            b'a'..=b'f' => Some(byte - b'a' + 10),
            _ => None,
        };
        let (pairs, rest) = text.as_bytes().as_chunks::<2>();
        let mut bytes = Vec::with_capacity(pairs.len());
        for [high, low] in pairs {
            match (digit(*high), digit(*low)) {
                (Some(high), Some(low)) => bytes.push(high << 4 | low),
                _ => return Err(wrong()),
            }
        }
        match rest {
            [] => Ok(bytes),
            _ => Err(wrong()),
        }
    }
}
