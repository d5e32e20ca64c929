//! What one frame means: its fields looked up under the adapter's rules.

use regex::bytes::CaptureLocations;

use super::adapter::{Adapter, Check, Fields, SignRule, UnitRule};
use super::cut::Frame;
use super::error::WireError;
use super::number::{self, Written};
use crate::gauge::GaugeStatus;
use crate::quantity::{Decimal, Length, LengthUnit, QuantityError};

/// Places `[from, to)` of the fields in the frame's raw bytes.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Spans {
    pub(super) id: Option<(usize, usize)>,
    pub(super) status: Option<(usize, usize)>,
    pub(super) sign: Option<(usize, usize)>,
    pub(super) number: Option<(usize, usize)>,
    pub(super) unit: Option<(usize, usize)>,
}

/// What a frame says.
// Lives on the stack for one frame; a box would be an allocation for each reading.
#[allow(clippy::large_enum_variant)]
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Said {
    /// Only blanks.
    Nothing,
    Status {
        status: GaugeStatus,
        id: Option<(usize, usize)>,
    },
    Reading(SaidValue),
}

/// A value that a frame says, with the places it came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct SaidValue {
    pub(super) spans: Spans,
    pub(super) written: Written,
    pub(super) value: Decimal,
    pub(super) length: Result<Length, WireError>,
    pub(super) unit: LengthUnit,
    pub(super) minus: bool,
    pub(super) status: GaugeStatus,
    pub(super) rounded: bool,
}

/// Reads a frame. Order of tests as the wire rules say (rule 15): characters, check, status
/// words, pattern or width, status code, number, unit, limits; the first failure names the error.
pub(super) fn read(
    adapter: &Adapter,
    places: &mut Option<CaptureLocations>,
    frame: &Frame<'_>,
) -> Result<Said, WireError> {
    let body = frame.body();
    if !body.iter().all(|byte| (0x20..=0x7e).contains(byte)) {
        return Err(WireError::BadChar);
    }
    let is_pattern = matches!(adapter.fields, Fields::Pattern(_));
    let blank = body.iter().all(|byte| *byte == b' ');
    if blank && is_pattern && frame.raw.len() == body.len() {
        return Ok(Said::Nothing);
    }
    let text = checked_text(adapter, frame)?;
    // Outer blanks do not belong to a pattern's frame; columns are counted with them.
    let lead = match is_pattern {
        true => text.iter().take_while(|byte| **byte == b' ').count(),
        false => 0,
    };
    let text = match is_pattern {
        true => text.trim_ascii(),
        false => text,
    };
    if let Some(status) = lookup(&adapter.status_words, text) {
        return Ok(Said::Status { status, id: None });
    }
    let shift = frame.text.0 + lead;
    let spans = fields(adapter, places, text, shift)?;
    let raw = |span: Option<(usize, usize)>| match span {
        None => &[] as &[u8],
        Some((from, to)) => frame.raw.get(from..to).unwrap_or_default(),
    };
    let status = match spans.status {
        None => GaugeStatus::Ok,
        Some(_) => {
            lookup(&adapter.status_codes, raw(spans.status)).ok_or(WireError::UnknownStatus)?
        }
    };
    if !status.carries_value() {
        let id = spans.id;
        return Ok(Said::Status { status, id });
    }
    let minus = sign(&adapter.signs, raw(spans.sign))?;
    let written = match spans.number {
        None => return Err(WireError::Malformed),
        Some(_) => number::written(raw(spans.number), &adapter.number)?,
    };
    let unit = unit(&adapter.unit, raw(spans.unit))?;
    let (magnitude, rounded) = number::scaled(written.magnitude, &adapter.number, unit)?;
    let length = length(adapter, magnitude, unit)?;
    let value = match minus {
        true => Decimal::new(-magnitude.mantissa(), magnitude.decimals()),
        false => Ok(magnitude),
    };
    Ok(Said::Reading(SaidValue {
        spans,
        written,
        value: value.map_err(|_| WireError::NotExact)?,
        length: length.map(|length| if minus { -length } else { length }),
        unit,
        minus,
        status,
        rounded,
    }))
}

/// The frame's text after its check was found right.
fn checked_text<'b>(adapter: &Adapter, frame: &Frame<'b>) -> Result<&'b [u8], WireError> {
    let body = frame.body();
    match &adapter.check {
        Check::None => Ok(body),
        Check::Xor8 => {
            // Start byte, then what is summed (text and end byte), then the check byte.
            let (sent, before) = frame.raw.split_last().ok_or(WireError::BadCheck)?;
            let over = before.get(1..).ok_or(WireError::BadCheck)?;
            match over.iter().fold(0, |sum, byte| sum ^ byte) == *sent {
                true => Ok(body),
                false => Err(WireError::BadCheck),
            }
        }
        Check::Sum8Hex { separator } => {
            let [rest @ .., high, low] = body else {
                return Err(WireError::BadCheck);
            };
            let text = rest
                .strip_suffix(separator.as_slice())
                .ok_or(WireError::BadCheck)?;
            let digit = |byte: u8| char::from(byte).to_digit(16).ok_or(WireError::BadCheck);
            let sent = digit(*high)? * 16 + digit(*low)?;
            let sum = text.iter().fold(0_u8, |sum, byte| sum.wrapping_add(*byte));
            match u32::from(sum) == sent {
                true => Ok(text),
                false => Err(WireError::BadCheck),
            }
        }
    }
}

/// Where the fields stand in `text`, which begins at `shift` of the frame's raw bytes.
fn fields(
    adapter: &Adapter,
    places: &mut Option<CaptureLocations>,
    text: &[u8],
    shift: usize,
) -> Result<Spans, WireError> {
    match &adapter.fields {
        Fields::Pattern(pattern) => {
            let places = places.get_or_insert_with(|| pattern.locations());
            if !pattern.fits(text, places) {
                return Err(WireError::Malformed);
            }
            let at = |group: Option<usize>| {
                let (from, to) = places.get(group?)?;
                Some((from + shift, to + shift))
            };
            Ok(Spans {
                id: at(pattern.groups.id),
                status: at(pattern.groups.status),
                sign: at(pattern.groups.sign),
                number: at(pattern.groups.number),
                unit: at(pattern.groups.unit),
            })
        }
        Fields::Columns(columns) => {
            if text.len() != columns.width {
                return Err(WireError::WrongLength);
            }
            let at = |span: Option<(usize, usize)>| {
                let (from, to) = span?;
                Some((from + shift, to + shift))
            };
            Ok(Spans {
                id: at(columns.id),
                status: at(columns.status),
                sign: at(columns.sign),
                number: at(Some(columns.number)),
                unit: at(columns.unit),
            })
        }
    }
}

fn lookup<T: Copy>(map: &std::collections::BTreeMap<String, T>, code: &[u8]) -> Option<T> {
    if map.is_empty() {
        return None;
    }
    map.get(std::str::from_utf8(code).ok()?).copied()
}

fn sign(rule: &SignRule, field: &[u8]) -> Result<bool, WireError> {
    match rule {
        SignRule::Plain => match field {
            b"" | b" " | b"+" => Ok(false),
            b"-" => Ok(true),
            _ => Err(WireError::Malformed),
        },
        SignRule::Map(map) => lookup(map, field).ok_or(WireError::Malformed),
    }
}

fn unit(rule: &UnitRule, field: &[u8]) -> Result<LengthUnit, WireError> {
    match rule {
        UnitRule::Fixed(unit) => Ok(*unit),
        UnitRule::Field { map, default } => match lookup(map, field) {
            Some(unit) => Ok(unit),
            None if field.trim_ascii().is_empty() => default.ok_or(WireError::UnknownUnit),
            None => Err(WireError::UnknownUnit),
        },
    }
}

/// The length of a magnitude: refused beyond the adapter's limits; told, not refused, when it
/// is no whole number of nanometres or beyond 10 m.
fn length(
    adapter: &Adapter,
    magnitude: Decimal,
    unit: LengthUnit,
) -> Result<Result<Length, WireError>, WireError> {
    let length = Length::from_decimal(magnitude, unit);
    let limit = adapter.max_abs.of(unit);
    match (length, limit) {
        (Ok(length), Some(limit)) if length > limit => Err(WireError::OutOfLimits),
        (Ok(length), _) => Ok(Ok(length)),
        (Err(QuantityError::OutOfRange { .. }), Some(_)) => Err(WireError::OutOfLimits),
        (Err(QuantityError::OutOfRange { .. }), None) => Ok(Err(WireError::OutOfLimits)),
        (Err(_), limit) => match limit.is_some_and(|limit| beyond(magnitude, unit, limit)) {
            true => Err(WireError::OutOfLimits),
            false => Ok(Err(WireError::NotExact)),
        },
    }
}

/// Whether a magnitude that is no whole number of nanometres lies beyond a limit.
fn beyond(magnitude: Decimal, unit: LengthUnit, limit: Length) -> bool {
    let nm = magnitude.mantissa().checked_mul(i128::from(unit.nm()));
    let tens = 10_i128.checked_pow(u32::from(magnitude.decimals()));
    match (nm, tens) {
        (Some(nm), Some(tens)) => nm / tens >= i128::from(limit.as_nm()),
        // Too large to multiply is beyond any limit.
        _ => true,
    }
}
