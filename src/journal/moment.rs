//! When a line was written: the wall clock in UTC and the count since the session's start.
//! It reads no clock; the caller hands the time in.

use jiff::Timestamp;
use jiff::tz::Offset;

/// Bytes of a line's time: `2026-11-24T22:51:03.123Z`.
pub(crate) const TIME_LENGTH: usize = 24;

/// The largest whole number every JSON reader keeps exactly: 2^53 - 1 (RFC 8259, section 6).
pub(crate) const LARGEST_WHOLE: u64 = (1 << 53) - 1;

/// A moment as the caller's clocks gave it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment {
    /// The wall clock. It may step; order is by sequence number, never by this.
    pub time: Timestamp,
    /// Milliseconds since the session's start, from a clock that never steps.
    pub mono_ms: u64,
}

impl Moment {
    /// The wall clock as a line writes it: UTC, whole milliseconds (cut, not rounded), `Z`.
    /// `None` outside the years 0000 to 9999, which RFC 3339 cannot write.
    #[must_use]
    pub fn utc_text(&self) -> Option<String> {
        let utc = Offset::UTC.to_datetime(self.time);
        if utc.year() < 0 {
            return None;
        }
        Some(format!(
            "{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}Z",
            utc.year(),
            utc.month(),
            utc.day(),
            utc.hour(),
            utc.minute(),
            utc.second(),
            utc.subsec_nanosecond() / 1_000_000
        ))
    }
}

/// Whether `text` is a line's time: the fixed form, and a date and time of day that exist.
pub(crate) fn time_is_sound(text: &[u8]) -> bool {
    const FORM: &[u8; TIME_LENGTH] = b"0000-00-00T00:00:00.000Z";
    let Ok(text) = <&[u8; TIME_LENGTH]>::try_from(text) else {
        return false;
    };
    let mut faults = false;
    for (byte, form) in text.iter().zip(FORM) {
        faults |= if *form == b'0' {
            !byte.is_ascii_digit()
        } else {
            byte != form
        };
    }
    if faults {
        return false;
    }
    let two = |at: usize| u32::from(text[at] - b'0') * 10 + u32::from(text[at + 1] - b'0');
    let year = two(0) * 100 + two(2);
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match two(5) {
        4 | 6 | 9 | 11 => 30,
        2 => 28 + u32::from(leap),
        1..=12 => 31,
        _ => return false,
    };
    (1..=days).contains(&two(8)) && two(11) < 24 && two(14) < 60 && two(17) < 60
}
