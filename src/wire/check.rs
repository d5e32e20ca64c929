//! From an adapter description's text to an [`Adapter`]: its line, its trigger, and all together.
//!
//! Every refusal says which key, what was found, what was expected, and the line and column.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;

use super::adapter::{Adapter, Fields, Flow, LineSettings, Parity, PerUnit, Pin, Trigger};
use super::description::Checked;
use super::error::AdapterError;
use super::format::{AdapterText, At, IdText, LineText, RepeatText, StatusText, TriggerText};
use super::{check_binary, check_fields, check_frame};
use crate::gauge::GaugeStatus;

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
    let framing = check_frame::framing(&on, frame)?;
    let check = check_frame::check(&on, &read.check, &framing)?;
    let fields = check_fields::fields(&on, field_text, &framing, &check)?;
    let framing = check_frame::counted_from(framing, &fields);
    let unit = check_fields::unit(&on, &read.unit, &whole, &fields)?;
    let number = check_fields::number(&on, &read.number, &whole, &unit, &fields)?;
    let (status_codes, status_words) = status(&on, &read.status, &fields, &whole)?;
    let signs = check_binary::signs(&on, &read.sign, &whole, &fields)?;
    let address_id = address_id(&on, &read.id, &fields)?;
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
        address_id,
        max_abs,
        repeat_ignore_ms,
    })
}

/// The id of every reading where the address on the wire is it.
fn address_id(
    on: &Checked<'_>,
    read: &At<IdText>,
    fields: &Fields,
) -> Result<Option<String>, AdapterError> {
    let Some(from) = read.as_ref().and_then(|id| id.get_ref().from.as_ref()) else {
        return Ok(None);
    };
    let from_address = on.word("id.from", from, &[("field", false), ("address", true)])?;
    match (from_address, fields) {
        (false, _) => Ok(None),
        (true, Fields::Registers(registers)) => Ok(Some(registers.address.to_string())),
        (true, _) => {
            let expected = "field, because only registers have an address";
            Err(on.wrong("id.from", from.span(), expected))
        }
    }
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

type StatusMaps = (BTreeMap<String, GaugeStatus>, BTreeMap<String, GaugeStatus>);

fn status(
    on: &Checked<'_>,
    read: &At<StatusText>,
    fields: &Fields,
    whole: &Range<usize>,
) -> Result<StatusMaps, AdapterError> {
    let has_field = fields.has_status();
    let known = GaugeStatus::WORDS.map(|(status, word)| (word, status));
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
    if let (Some(words), false) = (words, fields.is_text()) {
        let expected = "no words, because the frame is no text";
        return Err(on.wrong("status.words", words.span(), expected));
    }
    let read_map = |key, map: Option<&_>| match map {
        None => Ok(BTreeMap::new()),
        Some(map) => check_fields::meanings(on, key, map, &known),
    };
    Ok((
        read_map("status.map", map)?,
        read_map("status.words", words)?,
    ))
}
