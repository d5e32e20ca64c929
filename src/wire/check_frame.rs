//! From an adapter description's text to an adapter: how a frame is cut out, and its check.

use std::ops::Range;

use toml::Spanned;

use super::adapter::{Adapter, Check, Fields, Framing, Marker, Terminator};
use super::description::Checked;
use super::error::AdapterError;
use super::format::{At, CheckText, FrameText};

/// Bytes that are skipped before the first character of a frame, except as terminators.
#[inline]
pub(super) fn skipped_before_frame(byte: u8) -> bool {
    matches!(byte, 0x00 | 0x0a | 0x0d | 0x11 | 0x13)
}

pub(super) fn framing(
    on: &Checked<'_>,
    read: &Spanned<FrameText>,
) -> Result<Framing, AdapterError> {
    let (text, span) = (read.get_ref(), read.span());
    let expected = "terminated, start_end, start_length or gap";
    let kind = on.need("frame.kind", &text.kind, &span, expected)?;
    let kinds = [
        (
            "terminated",
            &["terminator", "terminator_hex", "max_bytes"] as &[&str],
        ),
        (
            "start_end",
            &["start_hex", "end_hex", "trailer", "max_bytes"],
        ),
        ("start_length", &["start_hex", "length"]),
        ("gap", &["length", "gap_ms", "max_bytes"]),
    ];
    let allowed = on.word("frame.kind", kind, &kinds)?;
    on.only("frame", kind.get_ref(), &text.present(), allowed)?;
    match kind.get_ref().as_str() {
        "terminated" => Ok(Framing::Terminated {
            max_bytes: max_bytes(on, text, &span)?,
            end: terminator(on, text, &span)?,
        }),
        "start_end" => start_end(on, text, &span),
        "start_length" => {
            let start = marker(on, "frame.start_hex", &text.start_hex, &span)?;
            let length = on.need("frame.length", &text.length, &span, "the whole length")?;
            Ok(Framing::StartLength {
                start,
                length: frame_bytes(on, "frame.length", length, start.as_slice().len() + 1)?,
                text_from: 0,
            })
        }
        _ => gap(on, text, &span),
    }
}

/// A count of bytes of a frame, at least `least`.
fn frame_bytes(
    on: &Checked<'_>,
    key: &str,
    value: &Spanned<i64>,
    least: usize,
) -> Result<usize, AdapterError> {
    let whole = |bytes: usize| u32::try_from(bytes).unwrap_or(u32::MAX);
    let allowed = whole(least)..whole(Adapter::FRAME_BYTES_MAX + 1);
    Ok(on.count(key, value, allowed)? as usize)
}

fn max_bytes(
    on: &Checked<'_>,
    text: &FrameText,
    span: &Range<usize>,
) -> Result<usize, AdapterError> {
    let value = on.need(
        "frame.max_bytes",
        &text.max_bytes,
        span,
        "the longest frame",
    )?;
    frame_bytes(on, "frame.max_bytes", value, 1)
}

fn marker(
    on: &Checked<'_>,
    key: &str,
    value: &At<String>,
    span: &Range<usize>,
) -> Result<Marker, AdapterError> {
    let value = on.need(key, value, span, "bytes, two hexadecimal digits each")?;
    let bytes = on.bytes(key, value, 1..Marker::BYTES_MAX + 1)?;
    Ok(Marker::new(&bytes))
}

fn start_end(
    on: &Checked<'_>,
    text: &FrameText,
    span: &Range<usize>,
) -> Result<Framing, AdapterError> {
    let max_bytes = max_bytes(on, text, span)?;
    let trailer = match &text.trailer {
        None => 0,
        Some(count) => on.count("frame.trailer", count, 0..9)? as usize,
    };
    let start = marker(on, "frame.start_hex", &text.start_hex, span)?;
    let end = marker(on, "frame.end_hex", &text.end_hex, span)?;
    let within = |long: &Marker, short: &Marker| {
        let short = short.as_slice();
        long.as_slice()
            .windows(short.len())
            .any(|seen| seen == short)
    };
    if within(&start, &end) || within(&end, &start) {
        let span = text.end_hex.as_ref().map_or(span.clone(), |end| end.span());
        return Err(on.wrong("frame.end_hex", span, "other bytes than start_hex"));
    }
    Ok(Framing::StartEnd {
        start,
        end,
        trailer,
        max_bytes,
    })
}

fn gap(on: &Checked<'_>, text: &FrameText, span: &Range<usize>) -> Result<Framing, AdapterError> {
    let gap_text = on.need("frame.gap_ms", &text.gap_ms, span, "milliseconds")?;
    let gap_ms = on.count("frame.gap_ms", gap_text, 1..10_001)?;
    match (&text.length, &text.max_bytes) {
        (Some(length), None) => {
            let length = frame_bytes(on, "frame.length", length, 1)?;
            Ok(Framing::Gap {
                length: Some(length),
                max_bytes: length,
                gap_ms,
            })
        }
        (None, Some(longest)) => Ok(Framing::Gap {
            length: None,
            max_bytes: frame_bytes(on, "frame.max_bytes", longest, 1)?,
            gap_ms,
        }),
        (Some(_), Some(longest)) => Err(on.wrong(
            "frame.max_bytes",
            longest.span(),
            "either length or max_bytes",
        )),
        (None, None) => {
            let expected = "the whole length, or max_bytes for text of any length";
            Err(on.missing("frame.length", span.clone(), expected))
        }
    }
}

/// The framing with the place from which these fields are counted: text begins behind the start
/// bytes, groups and bits begin with them.
pub(super) fn counted_from(framing: Framing, fields: &Fields) -> Framing {
    match (framing, fields) {
        (Framing::StartLength { start, length, .. }, Fields::Pattern(_) | Fields::Columns(_)) => {
            Framing::StartLength {
                start,
                length,
                text_from: start.as_slice().len(),
            }
        }
        (framing, _) => framing,
    }
}

fn terminator(
    on: &Checked<'_>,
    text: &FrameText,
    span: &Range<usize>,
) -> Result<Terminator, AdapterError> {
    let bytes = |given: &[u8]| Terminator::Bytes(Marker::new(given));
    match (&text.terminator, &text.terminator_hex) {
        (Some(word), None) => on.word(
            "frame.terminator",
            word,
            &[
                ("cr", bytes(b"\r")),
                ("lf", Terminator::LineFeed),
                ("crlf", bytes(b"\r\n")),
                ("any", Terminator::Any),
                ("tab", bytes(b"\t")),
            ],
        ),
        (None, Some(hex)) => {
            let given = on.bytes("frame.terminator_hex", hex, 1..5)?;
            let starts_skipped = given.first().is_some_and(|b| skipped_before_frame(*b));
            if starts_skipped && !given.iter().all(|b| skipped_before_frame(*b)) {
                // Before a frame its first byte would be skipped and its rest taken as text.
                let expected = "several bytes that do not begin with CR, LF, NUL, XON or XOFF";
                return Err(on.wrong("frame.terminator_hex", hex.span(), expected));
            }
            Ok(bytes(&given))
        }
        (Some(_), Some(hex)) => Err(on.wrong(
            "frame.terminator_hex",
            hex.span(),
            "either terminator or terminator_hex",
        )),
        (None, None) => Err(on.missing(
            "frame.terminator",
            span.clone(),
            "cr, lf, crlf, any, tab, or terminator_hex",
        )),
    }
}

pub(super) fn check(
    on: &Checked<'_>,
    read: &At<CheckText>,
    framing: &Framing,
) -> Result<Check, AdapterError> {
    let Some(read) = read else {
        return Ok(Check::None);
    };
    let (text, span) = (read.get_ref(), read.span());
    let kind = on.need(
        "check.kind",
        &text.kind,
        &span,
        "none, xor8, sum8_hex or crc16_modbus",
    )?;
    let kinds = [
        ("none", &[] as &[&str]),
        ("xor8", &["over"]),
        ("sum8_hex", &["sep"]),
        ("crc16_modbus", &[]),
    ];
    let allowed = on.word("check.kind", kind, &kinds)?;
    on.only("check", kind.get_ref(), &text.present(), allowed)?;
    match kind.get_ref().as_str() {
        "xor8" => {
            let over = on.need("check.over", &text.over, &span, "after_start_to_end")?;
            on.word("check.over", over, &[("after_start_to_end", ())])?;
            match framing {
                Framing::StartEnd { trailer: 1, .. } => Ok(Check::Xor8),
                _ => {
                    let expected = "xor8 only with frame.kind = \"start_end\" and trailer = 1";
                    Err(on.wrong("check.kind", kind.span(), expected))
                }
            }
        }
        "sum8_hex" => {
            let sep = on.need(
                "check.sep",
                &text.sep,
                &span,
                "the character before the sum",
            )?;
            let plain = sep.get_ref().bytes().all(|b| (0x20..=0x7e).contains(&b));
            if !plain || !(1..=4).contains(&sep.get_ref().len()) {
                let expected = "one to four plain characters";
                return Err(on.wrong("check.sep", sep.span(), expected));
            }
            match framing {
                Framing::Terminated { .. } => Ok(Check::Sum8Hex {
                    separator: sep.get_ref().clone().into_bytes(),
                }),
                _ => {
                    let expected = "sum8_hex only with frame.kind = \"terminated\"";
                    Err(on.wrong("check.kind", kind.span(), expected))
                }
            }
        }
        "crc16_modbus" => match framing {
            Framing::Gap { .. } | Framing::StartLength { .. } => Ok(Check::Crc16Modbus),
            Framing::Terminated { .. } | Framing::StartEnd { .. } => {
                // Its two bytes may have any value, an end's too.
                let expected = "crc16_modbus only with frame.kind = \"gap\" or \"start_length\"";
                Err(on.wrong("check.kind", kind.span(), expected))
            }
        },
        _ => Ok(Check::None),
    }
}
