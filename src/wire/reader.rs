//! What one frame means: its fields looked up under the adapter's rules.

use std::cmp::Ordering;

use regex::bytes::CaptureLocations;

use super::adapter::{Adapter, Check, Columns, Fields, Framing, SignRule, UnitRule};
use super::cut::Frame;
use super::error::WireError;
use super::number::{self, Written};
use super::pattern::Pattern;
use super::registers::crc16_modbus;
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

/// A number that was counted out of groups or bits: before its scale, without its sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Counted {
    pub(super) number: Decimal,
    pub(super) minus: bool,
    pub(super) unit: LengthUnit,
}

/// Reads a frame. What is tested, in this order: characters, check, status words, pattern or width,
/// status code, number, unit, limits; the first failure names the error. Replies of registers have
/// an order of their own.
pub(super) fn read(
    adapter: &Adapter,
    places: &mut Option<CaptureLocations>,
    frame: &Frame<'_>,
) -> Result<Said, WireError> {
    let said = match &adapter.fields {
        Fields::Pattern(pattern) => {
            let find = |text: &[u8], shift| pattern_spans(pattern, places, text, shift);
            return read_text(adapter, frame, true, find);
        }
        Fields::Columns(columns) => {
            let find = |text: &[u8], shift| column_spans(columns, text, shift);
            return read_text(adapter, frame, false, find);
        }
        Fields::Registers(registers) => {
            registers.read(frame.raw, &adapter.number, &adapter.unit)?
        }
        Fields::Bits(bits) => {
            fits_gap(&adapter.framing, frame.raw)?;
            bits.read(checked(adapter, frame)?, adapter)?
        }
        Fields::Nibbles(nibbles) => {
            fits_gap(&adapter.framing, frame.raw)?;
            if nibbles.is_text() {
                plain(frame.body())?;
            }
            let body = checked(adapter, frame)?;
            if let Some(status) = lookup(&adapter.status_words, body) {
                return Ok(Said::Status { status, id: None });
            }
            nibbles.read(body, adapter)?
        }
    };
    let written = Written::apart(said.number);
    value(
        adapter,
        Spans::default(),
        written,
        (said.minus, said.unit),
        GaugeStatus::Ok,
    )
}

/// Reads a frame of text whose fields `find` finds; a pattern's outer blanks are trimmed first,
/// columns are counted with them.
#[inline]
fn read_text(
    adapter: &Adapter,
    frame: &Frame<'_>,
    trimmed: bool,
    find: impl FnOnce(&[u8], usize) -> Result<Spans, WireError>,
) -> Result<Said, WireError> {
    fits_gap(&adapter.framing, frame.raw)?;
    let body = frame.body();
    plain(body)?;
    let blank = body.iter().all(|byte| *byte == b' ');
    if blank && trimmed && frame.raw.len() == body.len() {
        return Ok(Said::Nothing);
    }
    let text = checked(adapter, frame)?;
    let (lead, text) = match trimmed {
        true => (
            text.iter().take_while(|byte| **byte == b' ').count(),
            text.trim_ascii(),
        ),
        false => (0, text),
    };
    if let Some(status) = lookup(&adapter.status_words, text) {
        return Ok(Said::Status { status, id: None });
    }
    let spans = find(text, frame.text.0 + lead)?;
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
    value(adapter, spans, written, (minus, unit), status)
}

/// The value of a number, scaled and within the limits.
#[inline]
fn value(
    adapter: &Adapter,
    spans: Spans,
    written: Written,
    (minus, unit): (bool, LengthUnit),
    status: GaugeStatus,
) -> Result<Said, WireError> {
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

/// Whether a burst is as long as the adapter says; other framings cut frames that are.
#[inline]
fn fits_gap(framing: &Framing, frame: &[u8]) -> Result<(), WireError> {
    match *framing {
        Framing::Gap {
            length: Some(length),
            ..
        } => match frame.len().cmp(&length) {
            Ordering::Less => Err(WireError::Truncated),
            Ordering::Equal => Ok(()),
            Ordering::Greater => Err(WireError::WrongLength),
        },
        Framing::Gap { max_bytes, .. } if frame.len() > max_bytes => Err(WireError::TooLong),
        _ => Ok(()),
    }
}

/// Whether these are plain characters, as every frame of text is made of.
#[inline]
fn plain(text: &[u8]) -> Result<(), WireError> {
    match text.iter().all(|byte| (0x20..=0x7e).contains(byte)) {
        true => Ok(()),
        false => Err(WireError::BadChar),
    }
}

/// What is between start, end and check bytes of a frame, after its check was found right.
fn checked<'b>(adapter: &Adapter, frame: &Frame<'b>) -> Result<&'b [u8], WireError> {
    let body = frame.body();
    match &adapter.check {
        Check::None => Ok(body),
        Check::Xor8 => {
            // Start, then what is summed (text and end), then the check byte.
            let (sent, before) = frame.raw.split_last().ok_or(WireError::BadCheck)?;
            let over = before.get(frame.text.0..).ok_or(WireError::BadCheck)?;
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
        Check::Crc16Modbus => {
            let (before, sent) = frame.raw.split_last_chunk().ok_or(WireError::BadCheck)?;
            match crc16_modbus(before).to_le_bytes() == *sent {
                true => Ok(before.get(frame.text.0..).unwrap_or_default()),
                false => Err(WireError::BadCheck),
            }
        }
    }
}

/// Where a pattern finds its fields in `text`, which begins at `shift` of the frame's raw bytes.
fn pattern_spans(
    pattern: &Pattern,
    places: &mut Option<CaptureLocations>,
    text: &[u8],
    shift: usize,
) -> Result<Spans, WireError> {
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

/// Where the columns stand in `text`, which begins at `shift` of the frame's raw bytes.
fn column_spans(columns: &Columns, text: &[u8], shift: usize) -> Result<Spans, WireError> {
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

fn lookup<T: Copy>(map: &std::collections::BTreeMap<String, T>, code: &[u8]) -> Option<T> {
    if map.is_empty() {
        return None;
    }
    map.get(std::str::from_utf8(code).ok()?).copied()
}

pub(super) fn sign(rule: &SignRule, field: &[u8]) -> Result<bool, WireError> {
    match rule {
        SignRule::Plain => match field {
            b"" | b" " | b"+" => Ok(false),
            b"-" => Ok(true),
            _ => Err(WireError::Malformed),
        },
        SignRule::Map(map) => lookup(map, field).ok_or(WireError::Malformed),
    }
}

pub(super) fn unit(rule: &UnitRule, field: &[u8]) -> Result<LengthUnit, WireError> {
    match rule {
        UnitRule::Fixed(unit) => Ok(*unit),
        UnitRule::Field { map, default } => match lookup(map, field) {
            Some(unit) => Ok(unit),
            None if field.trim_ascii().is_empty() => default.ok_or(WireError::UnknownUnit),
            None => Err(WireError::UnknownUnit),
        },
        // A flag is looked up where the groups are; no text has one.
        UnitRule::Flag => Err(WireError::UnknownUnit),
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
