//! From an adapter description's text to an [`Adapter`]: line, trigger, frame and check.
//!
//! Every refusal says which key, what was found, what was expected, and the line and column.

use std::ops::Range;

use toml::Spanned;

use super::adapter::{
    Adapter, Check, Fields, Flow, Framing, LineSettings, Parity, PerUnit, Pin, SignRule,
    Terminator, Trigger,
};
use super::check_fields;
use super::description::Checked;
use super::error::AdapterError;
use super::format::{
    AdapterText, At, CheckText, FrameText, LineText, RepeatText, StatusText, TriggerText,
};

/// Checks one adapter's description.
pub(super) fn adapter(
    read: &AdapterText,
    whole: Range<usize>,
    text: &str,
    name: &str,
) -> Result<Adapter, AdapterError> {
    let name = read
        .name
        .as_ref()
        .map_or(name, |own| own.get_ref().as_str());
    let on = Checked {
        text,
        adapter: name,
    };
    let trigger_text = on.need("trigger", &read.trigger, &whole, "who starts a reading")?;
    let trigger = trigger(&on, trigger_text)?;
    let line = line(&on, &read.line, &trigger, &whole)?;
    let repeat_ignore_ms = repeat(&on, &read.repeat)?;
    let frame = on.need("frame", &read.frame, &whole, "how a frame is cut out")?;
    let field_text = on.need("fields", &read.fields, &whole, "how a frame is read")?;
    let framing = framing(&on, frame)?;
    let fields = check_fields::fields(&on, field_text)?;
    let check = check(&on, &read.check, &framing)?;
    let unit = check_fields::unit(&on, &read.unit, &whole, &fields)?;
    let number = check_fields::number(&on, &read.number, &unit)?;
    let (status_codes, status_words) = status(&on, &read.status, &fields, &whole)?;
    let signs = match read
        .sign
        .as_ref()
        .and_then(|sign| sign.get_ref().map.as_ref())
    {
        None => SignRule::Plain,
        Some(map) => SignRule::Map(check_fields::meanings(
            &on,
            "sign.map",
            map,
            &[("+", false), ("-", true)],
        )?),
    };
    if let Some(from) = read.id.as_ref().and_then(|id| id.get_ref().from.as_ref()) {
        on.word("id.from", from, &[("field", ())])?;
    }
    let max_abs = match read
        .limits
        .as_ref()
        .and_then(|l| l.get_ref().max_abs.as_ref())
    {
        None => PerUnit::default(),
        Some(map) => check_fields::limits(&on, map)?,
    };
    Ok(Adapter {
        name: name.to_owned(),
        note: read.note.clone(),
        line,
        trigger,
        framing,
        check,
        fields,
        number,
        unit,
        signs,
        status_codes,
        status_words,
        max_abs,
        repeat_ignore_ms,
    })
}

fn repeat(on: &Checked<'_>, read: &At<RepeatText>) -> Result<u32, AdapterError> {
    let read = read.as_ref().map(Spanned::get_ref);
    match read.and_then(|repeat| repeat.ignore_same_ms.as_ref()) {
        None => Ok(Adapter::REPEAT_IGNORE_MS),
        Some(ms) => on.count("repeat.ignore_same_ms", ms, 0..60_001),
    }
}

fn trigger(on: &Checked<'_>, read: &Spanned<TriggerText>) -> Result<Trigger, AdapterError> {
    let (text, span) = (read.get_ref(), read.span());
    let kinds = [
        ("unsolicited", 0),
        ("request", 1),
        ("line_pulse", 2),
        ("stream", 3),
        ("typed", 4),
    ];
    let kind_text = on.need("trigger.kind", &text.kind, &span, "who starts a reading")?;
    let kind = on.word("trigger.kind", kind_text, &kinds)?;
    let allowed: &[&str] = match kind {
        1 => &["send_hex", "reply_ms"],
        2 => &["pin", "pulse_ms"],
        _ => &[],
    };
    on.only("trigger", kind_text.get_ref(), &text.present(), allowed)?;
    Ok(match kind {
        1 => {
            let send = on.need(
                "trigger.send_hex",
                &text.send_hex,
                &span,
                "the bytes to send",
            )?;
            let reply_ms = match &text.reply_ms {
                Some(ms) => on.count("trigger.reply_ms", ms, 1..60_001)?,
                None => Adapter::REPLY_MS,
            };
            Trigger::Request {
                send: on.bytes("trigger.send_hex", send, 1..65)?,
                reply_ms,
            }
        }
        2 => {
            let pin = on.need("trigger.pin", &text.pin, &span, "dtr or rts")?;
            let pulse = on.need("trigger.pulse_ms", &text.pulse_ms, &span, "milliseconds")?;
            Trigger::LinePulse {
                pin: on.word("trigger.pin", pin, &[("dtr", Pin::Dtr), ("rts", Pin::Rts)])?,
                pulse_ms: on.count("trigger.pulse_ms", pulse, 1..10_001)?,
            }
        }
        3 => Trigger::Stream,
        4 => Trigger::Typed,
        _ => Trigger::Unsolicited,
    })
}

fn line(
    on: &Checked<'_>,
    read: &At<LineText>,
    trigger: &Trigger,
    whole: &Range<usize>,
) -> Result<Option<LineSettings>, AdapterError> {
    let read = match (read, trigger) {
        (None, Trigger::Typed) => return Ok(None),
        (Some(read), Trigger::Typed) => {
            return Err(on.wrong(
                "line",
                read.span(),
                "no line beside trigger.kind = \"typed\"",
            ));
        }
        (None, _) => return Err(on.missing("line", whole.clone(), "the serial line's settings")),
        (Some(read), _) => read,
    };
    let (text, span) = (read.get_ref(), read.span());
    let baud = on.need("line.baud", &text.baud, &span, "bits per second")?;
    let data_bits = on.need("line.data_bits", &text.data_bits, &span, "7 or 8")?;
    let parity = on.need(
        "line.parity",
        &text.parity,
        &span,
        "none, even, odd, mark, space",
    )?;
    let stop_bits = on.need("line.stop_bits", &text.stop_bits, &span, "1 or 2")?;
    let small = |key, value| -> Result<u8, AdapterError> {
        let allowed = if key == "line.data_bits" { 7..9 } else { 1..3 };
        Ok(u8::try_from(on.count(key, value, allowed)?).unwrap_or(u8::MAX))
    };
    let parities = [
        ("none", Parity::None),
        ("even", Parity::Even),
        ("odd", Parity::Odd),
        ("mark", Parity::Mark),
        ("space", Parity::Space),
    ];
    let flows = [
        ("none", Flow::None),
        ("rts_cts", Flow::RtsCts),
        ("xon_xoff", Flow::XonXoff),
    ];
    let resting = |key: &str, value: &At<String>| match value {
        None => Ok(true),
        Some(word) => on.word(key, word, &[("on", true), ("off", false)]),
    };
    Ok(Some(LineSettings {
        baud: on.count("line.baud", baud, 300..230_401)?,
        data_bits: small("line.data_bits", data_bits)?,
        parity: on.word("line.parity", parity, &parities)?,
        stop_bits: small("line.stop_bits", stop_bits)?,
        flow: match &text.flow {
            None => Flow::None,
            Some(word) => on.word("line.flow", word, &flows)?,
        },
        dtr: resting("line.dtr", &text.dtr)?,
        rts: resting("line.rts", &text.rts)?,
    }))
}

/// Bytes that are skipped before the first character of a frame, except as terminators.
#[inline]
pub(super) fn skipped_before_frame(byte: u8) -> bool {
    matches!(byte, 0x00 | 0x0a | 0x0d | 0x11 | 0x13)
}

fn framing(on: &Checked<'_>, read: &Spanned<FrameText>) -> Result<Framing, AdapterError> {
    let (text, span) = (read.get_ref(), read.span());
    let kind = on.need("frame.kind", &text.kind, &span, "terminated or start_end")?;
    let kinds = [
        (
            "terminated",
            &["terminator", "terminator_hex", "max_bytes"] as &[&str],
        ),
        (
            "start_end",
            &["start_hex", "end_hex", "trailer", "max_bytes"],
        ),
        ("start_length", &["start_hex", "length", "max_bytes"]),
        ("gap", &["length", "gap_ms", "max_bytes"]),
    ];
    let allowed = on.word("frame.kind", kind, &kinds)?;
    on.only("frame", kind.get_ref(), &text.present(), allowed)?;
    if !matches!(kind.get_ref().as_str(), "terminated" | "start_end") {
        let what = format!("frame.kind = \"{}\"", kind.get_ref());
        return Err(on.not_decoded(&what, kind.span()));
    }
    let max_text = on.need(
        "frame.max_bytes",
        &text.max_bytes,
        &span,
        "the longest frame",
    )?;
    let most = u32::try_from(Adapter::FRAME_BYTES_MAX).unwrap_or(u32::MAX);
    let max_bytes = on.count("frame.max_bytes", max_text, 1..most + 1)? as usize;
    if kind.get_ref() == "terminated" {
        let end = terminator(on, text, &span)?;
        return Ok(Framing::Terminated { end, max_bytes });
    }
    let one = |key: &str, value: &At<String>| -> Result<u8, AdapterError> {
        let value = on.need(key, value, &span, "one byte, two hexadecimal digits")?;
        let bytes = on.bytes(key, value, 1..5)?;
        match bytes.as_slice() {
            [byte] => Ok(*byte),
            _ => Err(on.not_decoded(&format!("{key} of several bytes"), value.span())),
        }
    };
    let trailer = match &text.trailer {
        None => 0,
        Some(count) => on.count("frame.trailer", count, 0..9)? as usize,
    };
    let (start, end) = (
        one("frame.start_hex", &text.start_hex)?,
        one("frame.end_hex", &text.end_hex)?,
    );
    if start == end {
        let span = text.end_hex.as_ref().map_or(span, Spanned::span);
        return Err(on.wrong("frame.end_hex", span, "another byte than start_hex"));
    }
    Ok(Framing::StartEnd {
        start,
        end,
        trailer,
        max_bytes,
    })
}

fn terminator(
    on: &Checked<'_>,
    text: &FrameText,
    span: &Range<usize>,
) -> Result<Terminator, AdapterError> {
    let bytes = |given: &[u8]| {
        let mut bytes = [0; 4];
        for (place, byte) in bytes.iter_mut().zip(given) {
            *place = *byte;
        }
        Terminator::Bytes {
            bytes,
            count: given.len().min(4),
        }
    };
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

fn check(on: &Checked<'_>, read: &At<CheckText>, framing: &Framing) -> Result<Check, AdapterError> {
    let Some(read) = read else {
        return Ok(Check::None);
    };
    let (text, span) = (read.get_ref(), read.span());
    let kind = on.need("check.kind", &text.kind, &span, "none, xor8, sum8_hex")?;
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
                Framing::StartEnd { .. } => {
                    let expected = "sum8_hex only with frame.kind = \"terminated\"";
                    Err(on.wrong("check.kind", kind.span(), expected))
                }
            }
        }
        "crc16_modbus" => Err(on.not_decoded("check.kind = \"crc16_modbus\"", kind.span())),
        _ => Ok(Check::None),
    }
}

type StatusMaps = (
    std::collections::BTreeMap<String, crate::gauge::GaugeStatus>,
    std::collections::BTreeMap<String, crate::gauge::GaugeStatus>,
);

fn status(
    on: &Checked<'_>,
    read: &At<StatusText>,
    fields: &Fields,
    whole: &Range<usize>,
) -> Result<StatusMaps, AdapterError> {
    let has_field = match fields {
        Fields::Pattern(pattern) => pattern.groups.status.is_some(),
        Fields::Columns(columns) => columns.status.is_some(),
    };
    let known = crate::gauge::GaugeStatus::WORDS.map(|(status, word)| (word, status));
    let (map, words) = match read.as_ref().map(Spanned::get_ref) {
        None => (None, None),
        Some(text) => (text.map.as_ref(), text.words.as_ref()),
    };
    match (has_field, map) {
        (true, None) => Err(on.missing("status.map", whole.clone(), "what each status code means")),
        (false, Some(map)) => {
            Err(on.wrong("status.map", map.span(), "a status field beside the map"))
        }
        _ => Ok(()),
    }?;
    let read_map = |key, map: Option<&_>| match map {
        None => Ok(std::collections::BTreeMap::new()),
        Some(map) => check_fields::meanings(on, key, map, &known),
    };
    Ok((
        read_map("status.map", map)?,
        read_map("status.words", words)?,
    ))
}
