//! The line: the form of a journal on disk, byte by byte. The format's description is the page
//! `sessions/FORMAT.md`: this file is what it says in sections 1 and 2. It refuses to know what a
//! kind means or what a body holds.
//!
//! ```text
//! {"v":1,"seq":7,"time":"2026-11-24T22:51:03.123Z","mono":61250,"kind":"reading_received",
//!  "body":{"gauge":"mic-25"},"prev":"<64 digits>","hash":"<64 digits>"}
//! ```
//!
//! It is one line. The order of the fields is fixed, and there is no other spelling: anything else
//! is damage.

use super::body;
use super::hash::{HEX_LENGTH, Hash};
use super::line_fault::{EncodeFault, LineFault};
use super::moment::{LARGEST_WHOLE, Moment, TIME_LENGTH, time_is_sound};

/// The version of the form that is written and read.
pub const VERSION: u64 = 1;
/// The longest line in bytes, its LF included.
pub const LONGEST_LINE: usize = 65_536;
/// The longest kind in bytes.
pub const LONGEST_KIND: usize = 64;
/// The largest sequence number an ordinary line may carry; see the form's longest session.
pub const LONGEST_SESSION: u64 = 10_000_000;
/// The kind of a finished session's last line.
pub const SESSION_CLOSED: &str = "session_closed";
/// The kind of the line that says which bytes before it are void.
pub const TAIL_DAMAGED: &str = "tail_damaged";
/// The kind of the first line of a continuation file.
pub const CONTINUATION_OPENED: &str = "continuation_opened";

const BEGIN: &str = "{\"v\":";
const SEQ: &str = ",\"seq\":";
const TIME: &str = ",\"time\":\"";
const MONO: &str = "\",\"mono\":";
const KIND: &str = ",\"kind\":\"";
const BODY: &str = "\",\"body\":";
const PREV: &str = ",\"prev\":\"";
const HASH: &str = ",\"hash\":\"";
const END: &str = "\"}";
/// Bytes of `,"prev":"…"`.
const PREV_LENGTH: usize = PREV.len() + HEX_LENGTH + 1;
/// Bytes of `,"hash":"…"}`: what the hash does not cover.
const HASH_LENGTH: usize = HASH.len() + HEX_LENGTH + END.len();

/// One line that was checked: its form, and its hash over its own bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line<'a> {
    /// Version of the form.
    pub v: u64,
    /// Number of the line, from 1.
    pub seq: u64,
    /// Wall clock when written, RFC 3339, UTC.
    pub time: &'a str,
    /// Milliseconds since the session's start.
    pub mono_ms: u64,
    /// What happened.
    pub kind: &'a str,
    /// One JSON object, as written. Reading checks its ends and its hash, not its inside; use
    /// [`check_body`](super::check_body) or the event formats for that.
    pub body: &'a str,
    /// Hash of the line before.
    pub prev: Hash,
    /// Hash of this line.
    pub hash: Hash,
}

/// Appends one line with its LF to `out`, and gives the line's hash.
///
/// What is written is read back and compared before it is accepted. On an error `out` is as before.
///
/// # Errors
/// [`EncodeFault`]: the kind, body, time or numbers cannot be written in the form.
pub fn encode(
    out: &mut Vec<u8>,
    seq: u64,
    moment: Moment,
    kind: &str,
    body: &str,
    prev: Hash,
) -> Result<Hash, EncodeFault> {
    if !kind_is_sound(kind.as_bytes()) {
        let found = kind.chars().take(LONGEST_KIND).collect();
        return Err(EncodeFault::Kind { found });
    }
    if seq == 0 || seq > LARGEST_WHOLE || moment.mono_ms > LARGEST_WHOLE {
        return Err(EncodeFault::Number);
    }
    if body.len() > LONGEST_LINE {
        return Err(EncodeFault::TooLong { found: body.len() });
    }
    body::check_body(body).map_err(EncodeFault::Body)?;
    let time = moment.utc_text().ok_or(EncodeFault::Time)?;
    let start = out.len();
    let hash = put(out, seq, &time, moment.mono_ms, kind, body, prev);
    let written = out.get(start..out.len() - 1).unwrap_or_default();
    let expected = Line {
        v: VERSION,
        seq,
        time: &time,
        mono_ms: moment.mono_ms,
        kind,
        body,
        prev,
        hash,
    };
    let fault = match Line::parse(written) {
        Ok(line) if line == expected => return Ok(hash),
        Err(LineFault::TooLong) => EncodeFault::TooLong {
            found: written.len() + 1,
        },
        Ok(_) | Err(_) => EncodeFault::NotReadBack,
    };
    out.truncate(start);
    Err(fault)
}

/// How the line of that number begins: `{"v":1,"seq":7,`.
pub(super) fn beginning(seq: u64) -> Vec<u8> {
    format!("{BEGIN}{VERSION}{SEQ}{seq},").into_bytes()
}

fn put(
    out: &mut Vec<u8>,
    seq: u64,
    time: &str,
    mono_ms: u64,
    kind: &str,
    body: &str,
    prev: Hash,
) -> Hash {
    let start = out.len();
    out.reserve(body.len() + kind.len() + PREV_LENGTH + HASH_LENGTH + 128);
    out.extend_from_slice(BEGIN.as_bytes());
    put_number(out, VERSION);
    out.extend_from_slice(SEQ.as_bytes());
    put_number(out, seq);
    for part in [TIME, time, MONO] {
        out.extend_from_slice(part.as_bytes());
    }
    put_number(out, mono_ms);
    for part in [KIND, kind, BODY, body, PREV] {
        out.extend_from_slice(part.as_bytes());
    }
    out.extend_from_slice(&prev.hex());
    out.push(b'"');
    let hash = Hash::of(out.get(start..).unwrap_or_default());
    out.extend_from_slice(HASH.as_bytes());
    out.extend_from_slice(&hash.hex());
    out.extend_from_slice(END.as_bytes());
    out.push(b'\n');
    hash
}

fn put_number(out: &mut Vec<u8>, number: u64) {
    out.extend_from_slice(number.to_string().as_bytes());
}

fn kind_is_sound(kind: &[u8]) -> bool {
    let [first, rest @ ..] = kind else {
        return false;
    };
    let ordinary = |byte: &u8| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'_');
    kind.len() <= LONGEST_KIND && first.is_ascii_lowercase() && rest.iter().all(ordinary)
}

impl<'a> Line<'a> {
    /// The line as it is stored, its LF included: the form has no other way to write it.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut bytes = Vec::new();
        put(
            &mut bytes,
            self.seq,
            self.time,
            self.mono_ms,
            self.kind,
            self.body,
            self.prev,
        );
        bytes
    }

    /// Reads one line, given without its LF, and checks its form and its hash.
    ///
    /// # Errors
    /// [`LineFault`]: why these bytes are not a line.
    pub fn parse(bytes: &'a [u8]) -> Result<Self, LineFault> {
        Self::parse_hashed(bytes, Hash::of)
    }

    /// As [`Line::parse`], for bytes that stand behind one zero byte: `prefixed[0]` is 0 and the
    /// line begins at 1. Saves a copy in the reader.
    pub(crate) fn parse_prefixed(prefixed: &'a [u8]) -> Result<Self, LineFault> {
        let bytes = prefixed.get(1..).unwrap_or_default();
        Self::parse_hashed(bytes, |covered| {
            Hash::of_prefixed(prefixed.get(..=covered.len()).unwrap_or_default())
        })
    }

    fn parse_hashed(
        bytes: &'a [u8],
        hash_of: impl FnOnce(&[u8]) -> Hash,
    ) -> Result<Self, LineFault> {
        if bytes.len() >= LONGEST_LINE {
            return Err(LineFault::TooLong);
        }
        let text = std::str::from_utf8(bytes).map_err(|fault| LineFault::Form {
            offset: fault.valid_up_to(),
            expected: "UTF-8 text",
        })?;
        let (covered, hash) = split_hash(text)?;
        let mut cursor = Cursor {
            text: covered,
            at: 0,
        };
        cursor.word(BEGIN, "the beginning of a line, `{\"v\":`")?;
        let v = cursor.number()?;
        if v != VERSION {
            return Err(match hash_of(covered.as_bytes()) == hash {
                true => LineFault::Version { found: v },
                false => LineFault::Form {
                    offset: BEGIN.len(),
                    expected: "version 1",
                },
            });
        }
        let line = parse_fields(cursor, v, hash)?;
        let computed = hash_of(covered.as_bytes());
        if computed != hash {
            return Err(LineFault::Altered {
                found: hash,
                computed,
            });
        }
        Ok(line)
    }
}

/// Splits a line into what its hash covers, and its hash.
fn split_hash(text: &str) -> Result<(&str, Hash), LineFault> {
    let fault = |offset| LineFault::Form {
        offset,
        expected: "`,\"hash\":\"` 64 digits `\"}`",
    };
    let at = text
        .len()
        .checked_sub(HASH_LENGTH)
        .ok_or(fault(text.len()))?;
    let (covered, tail) = text.split_at_checked(at).ok_or(fault(at))?;
    let hash = tail
        .strip_prefix(HASH)
        .and_then(|rest| rest.strip_suffix(END))
        .and_then(Hash::parse)
        .ok_or(fault(at))?;
    Ok((covered, hash))
}

/// Reads everything after the version; the cursor's text ends before `,"hash"`.
fn parse_fields(mut cursor: Cursor<'_>, v: u64, hash: Hash) -> Result<Line<'_>, LineFault> {
    cursor.word(SEQ, "`,\"seq\":`")?;
    let seq = cursor.number()?;
    if seq == 0 {
        return Err(LineFault::Form {
            offset: cursor.at,
            expected: "a number from 1",
        });
    }
    cursor.word(TIME, "`,\"time\":\"`")?;
    let time = cursor.time()?;
    cursor.word(MONO, "`\",\"mono\":`")?;
    let mono_ms = cursor.number()?;
    cursor.word(KIND, "`,\"kind\":\"`")?;
    let kind = cursor.kind()?;
    cursor.word(BODY, "`\",\"body\":`")?;
    let (body, prev) = cursor.body_and_prev()?;
    Ok(Line {
        v,
        seq,
        time,
        mono_ms,
        kind,
        body,
        prev,
        hash,
    })
}

struct Cursor<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Cursor<'a> {
    fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or_default()
    }

    fn fault(&self, expected: &'static str) -> LineFault {
        LineFault::Form {
            offset: self.at,
            expected,
        }
    }

    fn word(&mut self, word: &'static str, expected: &'static str) -> Result<(), LineFault> {
        if !self.rest().starts_with(word) {
            return Err(self.fault(expected));
        }
        self.at += word.len();
        Ok(())
    }

    fn number(&mut self) -> Result<u64, LineFault> {
        let digits = self.rest().as_bytes();
        let (mut value, mut length) = (0_u64, 0);
        for byte in digits.iter().take(17) {
            let digit = byte.wrapping_sub(b'0');
            if digit > 9 {
                break;
            }
            value = value * 10 + u64::from(digit);
            length += 1;
        }
        let leading_zero = length > 1 && digits.first() == Some(&b'0');
        if length == 0 || leading_zero || value > LARGEST_WHOLE {
            return Err(self.fault("a whole number"));
        }
        self.at += length;
        Ok(value)
    }

    fn time(&mut self) -> Result<&'a str, LineFault> {
        let time = self.rest().get(..TIME_LENGTH).unwrap_or_default();
        if !time_is_sound(time.as_bytes()) {
            return Err(self.fault("a time such as 2026-11-24T22:51:03.123Z"));
        }
        self.at += TIME_LENGTH;
        Ok(time)
    }

    fn kind(&mut self) -> Result<&'a str, LineFault> {
        let rest = self.rest().as_bytes();
        let length = rest
            .iter()
            .take(LONGEST_KIND + 1)
            .take_while(|byte| **byte != b'"')
            .count();
        let kind = self.rest().get(..length).unwrap_or_default();
        if !kind_is_sound(kind.as_bytes()) {
            return Err(self.fault("a kind: lower-case letters, digits, `_`"));
        }
        self.at += length;
        Ok(kind)
    }

    fn body_and_prev(&mut self) -> Result<(&'a str, Hash), LineFault> {
        let rest = self.rest();
        let split = rest
            .len()
            .checked_sub(PREV_LENGTH)
            .ok_or(self.fault("a body"))?;
        let (body, tail) = rest.split_at_checked(split).ok_or(self.fault("a body"))?;
        if !(body.len() >= 2 && body.starts_with('{') && body.ends_with('}')) {
            return Err(self.fault("a body in `{` and `}`"));
        }
        if body
            .bytes()
            .fold(false, |found, byte| found | (byte < 0x20))
        {
            return Err(self.fault("a body without control characters"));
        }
        self.at += split;
        let prev = tail
            .strip_prefix(PREV)
            .and_then(|rest| rest.strip_suffix('"'))
            .and_then(Hash::parse)
            .ok_or(self.fault("`,\"prev\":\"` 64 digits `\"`"))?;
        Ok((body, prev))
    }
}
