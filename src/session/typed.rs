//! A reading as a person types it: a value with its decimals and its unit, and the characters as
//! they came.

use std::fmt;

use crate::gauge::{GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
use crate::quantity::{Angle, LengthUnit, QuantityError, parse_entry};

/// What was typed is no reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TypedError {
    /// The stable word for machines.
    pub code: &'static str,
    sentence: String,
    hint: Option<&'static str>,
}

impl TypedError {
    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        self.hint
    }
}

impl fmt::Display for TypedError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl std::error::Error for TypedError {}

impl From<QuantityError> for TypedError {
    fn from(error: QuantityError) -> Self {
        Self {
            code: error.code(),
            sentence: error.to_string(),
            hint: error.hint(),
        }
    }
}

/// The reading that `text` is: millimetres, or inches with `in` behind; degrees where the
/// characteristic at hand is an angle. `gauge=value` names another gauge than `gauge`. The
/// characters are kept as typed.
///
/// # Errors
/// What the text would have to be.
pub fn typed_reading(text: &str, gauge: &GaugeId, is_angle: bool) -> Result<Reading, TypedError> {
    let (gauge, value) = match text.split_once('=') {
        Some((named, value)) => (GaugeId::new(named.trim()), value.trim()),
        None => (gauge.clone(), text.trim()),
    };
    let plain = Shown {
        unit: LengthUnit::Millimetre,
        decimals: 0,
        minus: false,
    };
    let (observed, shown) = if is_angle {
        (Observed::Angle(Angle::parse(value)?), plain)
    } else {
        let entry = parse_entry(value, LengthUnit::Millimetre)?;
        let minus = value.starts_with(['-', '\u{2212}', '\u{2013}']);
        let shown = Shown {
            unit: entry.unit,
            decimals: entry.decimals,
            minus,
        };
        (Observed::Length(entry.value), shown)
    };
    Ok(Reading {
        gauge,
        observed,
        shown,
        status: GaugeStatus::Ok,
        origin: Origin::Typed,
        raw: text.as_bytes().to_vec(),
        rounded: false,
    })
}
