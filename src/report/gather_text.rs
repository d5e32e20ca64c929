//! The texts of a sheet's values: each as the record has it, and times at the bench.

use jiff::Timestamp;

use crate::gauge::{CheckOutcome, Observed, Origin, Reading};
use crate::journal::ValueUnit;
use crate::quantity::{Angle, Exact, Length};
use crate::session::{Target, TargetLimits, bench_offset};

/// A number in smallest steps, as the record writes it: millimetres, degrees, or an outcome's
/// word.
pub(super) fn number_of(unit: ValueUnit, units: i64) -> String {
    match unit {
        ValueUnit::Nanometre => Length::from_units(units).to_mm(),
        ValueUnit::Milliarcsecond => Angle::from_units(units).to_dms(),
        ValueUnit::Check => CheckOutcome::from_number(units)
            .map_or("", CheckOutcome::word)
            .to_owned(),
    }
}

/// What the numbers of a characteristic count.
pub(super) fn unit_of(target: &Target) -> ValueUnit {
    match target.limits {
        TargetLimits::Length(_) => ValueUnit::Nanometre,
        TargetLimits::Angle(_) => ValueUnit::Milliarcsecond,
        TargetLimits::Check(_) => ValueUnit::Check,
    }
}

/// The unit's word in records.
pub(super) fn unit_word(unit: ValueUnit) -> &'static str {
    match unit {
        ValueUnit::Nanometre => "mm",
        ValueUnit::Milliarcsecond => "angle",
        ValueUnit::Check => "check",
    }
}

/// The limits of a characteristic in smallest steps: lower, upper.
pub(super) fn limits_of(target: &Target) -> (Option<i64>, Option<i64>) {
    match &target.limits {
        TargetLimits::Length(limits) => (
            limits.lower().map(Exact::units),
            limits.upper().map(Exact::units),
        ),
        TargetLimits::Angle(limits) => (
            limits.lower().map(Exact::units),
            limits.upper().map(Exact::units),
        ),
        TargetLimits::Check(_) => (None, None),
    }
}

/// A reading's value as it was shown, and its unit's word.
pub(super) fn value_shown(reading: &Reading) -> (String, &'static str) {
    let shown = reading.shown;
    match reading.observed {
        Observed::Length(length) => {
            let size = length.abs().to_text(shown.unit, shown.decimals);
            let is_minus = length.is_negative() || shown.minus;
            let sign = if is_minus { "-" } else { "" };
            (format!("{sign}{size}"), shown.unit.symbol())
        }
        Observed::Angle(angle) => (angle.to_dms(), "angle"),
        Observed::Check { outcome, .. } => (outcome.word().to_owned(), "check"),
    }
}

/// Where a reading came from, in the record's word.
pub(super) fn origin_word(origin: Origin) -> &'static str {
    match origin {
        Origin::Sent => "sent",
        Origin::Typed => "typed",
        Origin::Simulated => "simulated",
        Origin::Imported => "imported",
    }
}

/// Bytes as they arrived: printable ASCII characters as they are, a backslash doubled, the rest
/// as `\r`, `\n`, `\t` or `\x1b`. No two rows of bytes give the same text.
pub(super) fn raw_text(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len() + 4);
    for byte in bytes {
        match byte {
            b'\\' => text.push_str("\\\\"),
            b'\r' => text.push_str("\\r"),
            b'\n' => text.push_str("\\n"),
            b'\t' => text.push_str("\\t"),
            b' '..=b'~' => text.push(char::from(*byte)),
            other => text.push_str(&format!("\\x{other:02x}")),
        }
    }
    text
}

/// A length with its sign, in millimetres.
pub(super) fn signed_mm(length: Length) -> String {
    let sign = if length > Length::ZERO { "+" } else { "" };
    format!("{sign}{}", length.to_mm())
}

/// A record's time (RFC 3339) at the bench, RFC 3339 with its offset; as it is where either
/// cannot be read.
pub(super) fn with_offset(time: &str, offset: &str) -> String {
    at_bench(time, offset, "%Y-%m-%dT%H:%M:%S%.3f").map_or_else(
        || time.to_owned(),
        |local| format!("{local}{}", offset_or_utc(offset)),
    )
}

/// A record's time (RFC 3339, UTC) for people, on the clock at the bench:
/// `2026-11-25 01:45:37 +01:00`. As it is where either cannot be read.
pub fn bench_time(time: &str, offset: &str) -> String {
    at_bench(time, offset, "%Y-%m-%d %H:%M:%S").map_or_else(
        || time.to_owned(),
        |local| format!("{local} {}", offset_or_utc(offset)),
    )
}

/// The day of a record's time at the bench.
pub(super) fn bench_day(time: &str, offset: &str) -> Option<crate::gauge::Date> {
    crate::gauge::Date::parse(&at_bench(time, offset, "%Y-%m-%d")?)
}

fn offset_or_utc(offset: &str) -> &str {
    if offset.is_empty() { "+00:00" } else { offset }
}

fn at_bench(time: &str, offset: &str, form: &str) -> Option<String> {
    let time: Timestamp = time.parse().ok()?;
    let local = bench_offset(offset)?.to_datetime(time);
    Some(local.strftime(form).to_string())
}
