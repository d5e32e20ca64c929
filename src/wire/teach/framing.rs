//! How frames can be cut out of what was heard: by an end, by start and end, by pauses.

use super::{GAP_MS, Role, Sample};
use crate::wire::check_frame::skipped_before_frame;

/// One way to cut.
#[derive(Debug, Clone)]
pub(super) struct Cut {
    /// Lines of the description's `frame` table.
    pub(super) frame: Vec<(&'static str, String)>,
    /// Lines of its `check` table.
    pub(super) check: Vec<(&'static str, String)>,
    /// In words.
    pub(super) words: String,
    pub(super) samples: Vec<Sample>,
    pub(super) kind: CutKind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CutKind {
    /// The samples hold text, without what ends it.
    Text,
    /// The samples are whole bursts of one length.
    Bursts,
}

/// What one press gave: its role and its bursts.
pub(super) type Heard = (Role, Vec<Vec<u8>>);

/// Frames of one press that are looked at (the last ones: a stream settles).
const FRAMES_MAX: usize = 4;
/// Room that a description leaves beyond the longest frame seen.
const SPARE_BYTES: usize = 16;

/// All ways to cut that fit every press, the likeliest first.
pub(super) fn cuts(heard: &[Heard]) -> Vec<Cut> {
    let mut found = Vec::new();
    if heard.is_empty()
        || heard
            .iter()
            .any(|(_, chunks)| chunks.iter().all(Vec::is_empty))
    {
        return found;
    }
    found.extend(start_end(heard));
    found.extend(terminated(heard));
    found.extend(bursts(heard));
    found
}

/// What ends the frames.
struct End {
    end: Vec<u8>,
    key: &'static str,
    value: String,
    words: String,
}

/// The end that every press has.
fn common_end(whole: &[(Role, Vec<u8>)]) -> Option<End> {
    let all = |test: &dyn Fn(&[u8]) -> bool| whole.iter().all(|(_, bytes)| test(bytes));
    let holds = |bytes: &[u8], pair: &[u8]| bytes.windows(pair.len()).any(|w| w == pair);
    let named = |end: &[u8], word: &str, words: &str| {
        Some(End {
            end: end.to_vec(),
            key: "terminator",
            value: quoted(word),
            words: words.to_owned(),
        })
    };
    if all(&|bytes| holds(bytes, b"\r\n")) {
        let pairs_only = all(&|bytes| no_lone(bytes));
        return named(b"\r\n", if pairs_only { "crlf" } else { "any" }, "CR LF");
    }
    if all(&|bytes| holds(bytes, b"\n\r")) {
        return named(b"\n\r", "any", "LF CR");
    }
    for (byte, word, words) in [
        (b'\r', "cr", "CR"),
        (b'\n', "lf", "LF"),
        (b'\t', "tab", "TAB"),
    ] {
        if all(&|bytes| bytes.contains(&byte)) {
            return named(&[byte], word, words);
        }
    }
    let last = whole.first().and_then(|(_, bytes)| bytes.last().copied())?;
    let ends = may_end(last) && all(&|bytes| bytes.last() == Some(&last));
    ends.then(|| End {
        end: vec![last],
        key: "terminator_hex",
        value: quoted(&format!("{last:02x}")),
        words: format!("the byte {last:02x}"),
    })
}

/// Frames that end with the same characters.
fn terminated(heard: &[Heard]) -> Option<Cut> {
    let whole: Vec<(Role, Vec<u8>)> = heard
        .iter()
        .map(|(role, chunks)| (*role, chunks.concat()))
        .collect();
    let End {
        end,
        key,
        value,
        words,
    } = common_end(&whole)?;
    let mut samples = Vec::new();
    for (role, bytes) in &whole {
        let frames = frames(bytes, &end);
        if frames.is_empty() {
            return None;
        }
        samples.extend(
            frames
                .into_iter()
                .map(|bytes| Sample { role: *role, bytes }),
        );
    }
    let plain = |bytes: &[u8]| bytes.iter().all(|byte| (0x20..=0x7e).contains(byte));
    if !samples.iter().all(|sample| plain(&sample.bytes)) {
        return None;
    }
    let longest = samples.iter().map(|sample| sample.bytes.len()).max()?;
    let (check, samples, checked) = match sum_checked(&samples) {
        None => (Vec::new(), samples, String::new()),
        Some((separator, bare)) => {
            let lines = vec![("kind", quoted("sum8_hex")), ("sep", quoted(&separator))];
            (
                lines,
                bare,
                format!(", a sum of two characters after “{separator}”"),
            )
        }
    };
    Some(Cut {
        frame: vec![
            ("kind", quoted("terminated")),
            (key, value),
            ("max_bytes", (longest + SPARE_BYTES).to_string()),
        ],
        check,
        words: format!("text that ends with {words}{checked}"),
        samples,
        kind: CutKind::Text,
    })
}

/// Whether CR and LF come only as a pair.
fn no_lone(bytes: &[u8]) -> bool {
    let pairs = bytes.windows(2).filter(|w| *w == b"\r\n").count();
    let of = |byte: u8| bytes.iter().filter(|b| **b == byte).count();
    // A stream may be caught in mid pair at its ends.
    of(b'\r').abs_diff(pairs) <= 1 && of(b'\n').abs_diff(pairs) <= 1
}

/// Whether a byte can be taken for the end of a frame: no letter, digit, mark, sign or blank.
fn may_end(byte: u8) -> bool {
    let of_number = byte.is_ascii_alphanumeric() || b" +-.,\"".contains(&byte);
    !of_number && (0x01..=0x7e).contains(&byte) && !matches!(byte, 0x11 | 0x13 | 0x03)
}

/// The whole frames of a press, at most the last few. What stands before the first end is a whole
/// frame unless it is shorter than the frames behind it: a stream is caught in mid frame.
fn frames(bytes: &[u8], end: &[u8]) -> Vec<Vec<u8>> {
    let mut found: Vec<Vec<u8>> = Vec::new();
    let mut rest = bytes;
    while let Some(at) = rest.windows(end.len()).position(|window| window == end) {
        let (frame, behind) = rest.split_at(at);
        let start = frame
            .iter()
            .position(|b| !skipped_before_frame(*b))
            .unwrap_or(at);
        let frame = frame.get(start..).unwrap_or_default();
        if !frame.is_empty() {
            found.push(frame.to_vec());
        }
        rest = behind.get(end.len()..).unwrap_or_default();
    }
    if found.len() > 2 && found.first().map(Vec::len) < found.get(1).map(Vec::len) {
        found.remove(0);
    }
    let from = found.len().saturating_sub(FRAMES_MAX);
    found.split_off(from)
}

/// Frames that end in a separator and two hexadecimal characters, the sum of what is before.
fn sum_checked(samples: &[Sample]) -> Option<(String, Vec<Sample>)> {
    let mut separator = None;
    let mut bare = Vec::new();
    for sample in samples {
        let at = sample.bytes.len().checked_sub(3)?;
        let (text, rest) = sample.bytes.split_at(at);
        let (sep, sum) = rest.split_first()?;
        if sep.is_ascii_alphanumeric() || *separator.get_or_insert(*sep) != *sep {
            return None;
        }
        let sum = u8::from_str_radix(std::str::from_utf8(sum).ok()?, 16).ok()?;
        if text.iter().fold(0_u8, |sum, byte| sum.wrapping_add(*byte)) != sum {
            return None;
        }
        bare.push(Sample {
            role: sample.role,
            bytes: text.to_vec(),
        });
    }
    Some((char::from(separator?).to_string(), bare))
}

/// Frames between a start and an end byte, perhaps with an XOR of what stands between behind.
fn start_end(heard: &[Heard]) -> Option<Cut> {
    let first = heard
        .first()
        .and_then(|(_, chunks)| chunks.first()?.first().copied())?;
    let control = |byte: u8| (0x01..0x20).contains(&byte) && !b"\t\r\n\x11\x13".contains(&byte);
    if !control(first) {
        return None;
    }
    let whole = heard.iter().map(|(role, chunks)| (*role, chunks.concat()));
    let whole: Vec<(Role, Vec<u8>)> = whole.collect();
    let end = whole.first().and_then(|(_, bytes)| {
        bytes
            .iter()
            .skip(1)
            .copied()
            .find(|b| control(*b) && *b != first)
    })?;
    let (samples, xor) = started(&whole, first, end)?;
    let longest = samples.iter().map(|sample| sample.bytes.len()).max()?;
    let check = match xor {
        true => vec![
            ("kind", quoted("xor8")),
            ("over", quoted("after_start_to_end")),
        ],
        false => Vec::new(),
    };
    let checked = if xor {
        ", then one check byte (XOR)"
    } else {
        ""
    };
    Some(Cut {
        frame: vec![
            ("kind", quoted("start_end")),
            ("start_hex", quoted(&format!("{first:02x}"))),
            ("end_hex", quoted(&format!("{end:02x}"))),
            ("trailer", u8::from(xor).to_string()),
            ("max_bytes", (longest + SPARE_BYTES).to_string()),
        ],
        check,
        words: format!("text between the bytes {first:02x} and {end:02x}{checked}"),
        samples,
        kind: CutKind::Text,
    })
}

/// The texts between start and end bytes, and whether an XOR follows each; none when a text is no
/// text, or something else follows.
fn started(whole: &[(Role, Vec<u8>)], start: u8, end: u8) -> Option<(Vec<Sample>, bool)> {
    let (mut samples, mut trailers) = (Vec::new(), Vec::new());
    for (role, bytes) in whole {
        let (frames, checks) = between(bytes, start, end);
        if frames.is_empty() {
            return None;
        }
        for (frame, check) in frames.into_iter().zip(checks) {
            if !frame.iter().all(|byte| (0x20..=0x7e).contains(byte)) {
                return None;
            }
            trailers.push((frame.iter().fold(end, |sum, byte| sum ^ byte), check));
            samples.push(Sample {
                role: *role,
                bytes: frame,
            });
        }
    }
    let mut checks = trailers.iter();
    let xor = checks.all(|(sum, check)| check.first() == Some(sum));
    // Between frames these are nothing.
    let blank = |byte: &u8| b"\r\n \0\x11\x13".contains(byte);
    let none = trailers.iter().all(|(_, check)| check.iter().all(blank));
    (xor || none).then_some((samples, xor))
}

/// The texts between start and end bytes, and the bytes behind each up to the next start.
fn between(bytes: &[u8], start: u8, end: u8) -> (Vec<Vec<u8>>, Vec<Vec<u8>>) {
    let (mut frames, mut checks) = (Vec::new(), Vec::new());
    let mut rest = bytes;
    while let Some(from) = rest.iter().position(|byte| *byte == start) {
        let inner = rest.get(from + 1..).unwrap_or_default();
        let Some(to) = inner.iter().position(|byte| *byte == end) else {
            break;
        };
        let behind = inner.get(to + 1..).unwrap_or_default();
        // The check byte may have any value, the start's too.
        let next = behind.iter().skip(1).position(|byte| *byte == start);
        let length = match (behind.first(), next) {
            (None, _) => 0,
            (Some(byte), _) if *byte == start && behind.len() > 1 => 0,
            (Some(_), Some(at)) => at + 1,
            (Some(_), None) => behind.len(),
        };
        frames.push(inner.get(..to).unwrap_or_default().to_vec());
        checks.push(behind.get(..length).unwrap_or_default().to_vec());
        rest = behind.get(length..).unwrap_or_default();
    }
    let from = frames.len().saturating_sub(FRAMES_MAX);
    (frames.split_off(from), checks.split_off(from))
}

/// Bursts of one length between pauses.
fn bursts(heard: &[Heard]) -> Option<Cut> {
    let mut lengths: Vec<usize> = heard
        .iter()
        .flat_map(|(_, chunks)| chunks.iter().map(Vec::len))
        .filter(|length| *length > 0)
        .collect();
    lengths.sort_unstable();
    // The usual length: a stream is caught in mid burst at its ends.
    let length = *lengths.get(lengths.len() / 2)?;
    let mut samples = Vec::new();
    for (role, chunks) in heard {
        let whole: Vec<&Vec<u8>> = chunks.iter().filter(|c| c.len() == length).collect();
        let odd = chunks.iter().filter(|c| c.len() != length).count();
        if whole.is_empty() || odd > 2 || (odd > 0 && whole.len() < 2) {
            return None;
        }
        let from = whole.len().saturating_sub(FRAMES_MAX);
        samples.extend(whole.iter().skip(from).map(|bytes| Sample {
            role: *role,
            bytes: bytes.to_vec(),
        }));
    }
    Some(Cut {
        frame: vec![
            ("kind", quoted("gap")),
            ("length", length.to_string()),
            ("gap_ms", GAP_MS.to_string()),
        ],
        check: Vec::new(),
        words: format!("bursts of {length} bytes between pauses"),
        samples,
        kind: CutKind::Bursts,
    })
}

/// A text as a TOML string.
pub(super) fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => {
                quoted.push('\\');
                quoted.push(c);
            }
            c if c.is_control() => quoted.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}
