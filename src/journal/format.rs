//! Events as they stand on disk: `kind` and a JSON `body`.
//!
//! The names here are the file format; renaming a field inside the program changes nothing here.
//! Lengths are strings of exact decimal millimetres, angles exact degrees, minutes and seconds,
//! bytes are hexadecimal, temperatures strings of degrees Celsius. There are no floats.
//!
//! A kind that this version does not know becomes [`Event::Unknown`]; a known kind with fields
//! that are missing, unknown or malformed is a [`FormatError`].

use std::fmt;
use std::sync::Arc;

use serde::Deserialize;

use super::event::{
    Event, GaugeSource, Outcome, Place, ReadingTaken, SessionOpened, ValueUnit, VerdictGiven,
    origin_word,
};
use super::format_assembled::decode_assembled;
use super::format_bodies::{
    AtPoint, Chosen, Clock, Closed, Continuation, Cutting, Garbage, GaugeState, Held, Note, Offset,
    Opened, Operator, PartBody, PlaceBody, PutBackBody, Refused, Repeat, Resumed, SetAside, Source,
    Switched, Tail, TakenBody, TakenOutBody, Temperature, Text, Voided,
};
use super::format_decided::{decode_decided, job_of};
use super::format_gauge::{decode_of_gauge, earlier_of};
use super::format_quick;
use super::format_study::decode_of_study;
use super::format_suit::suit_of;
use super::line::{CONTINUATION_OPENED, SESSION_CLOSED, TAIL_DAMAGED};
use super::text::{self, Field};
use crate::gauge::{
    CheckEnd, CheckOutcome, GaugeId, GaugeStatus, Observed, Origin, Reading, Shown,
};
use crate::measure::{Side, VerdictWord};
use crate::quantity::Exact;

/// A body that is not what its kind asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormatError {
    /// The event's kind.
    pub kind: String,
    /// What is wrong, in words.
    pub what: String,
}

impl fmt::Display for FormatError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let what = self.what.trim_end_matches('.');
        write!(
            f,
            "The body of a “{}” event cannot be read: {what}.",
            self.kind
        )
    }
}

impl std::error::Error for FormatError {}

/// The event of a kind and body.
///
/// # Errors
/// [`FormatError`] names the kind and what is wrong in the body.
pub fn event_of(kind: &str, body: &str) -> Result<Event, FormatError> {
    let field = Field { kind };
    for part in [
        decode_of_reading,
        decode_of_session,
        decode_of_bench,
        decode_of_line,
        decode_of_gauge,
        decode_of_study,
        decode_assembled,
        decode_decided,
    ] {
        if let Some(event) = part(&field, body)? {
            return Ok(event);
        }
    }
    Ok(Event::Unknown {
        kind: kind.to_owned(),
    })
}

fn decode_of_session(field: &Field<'_>, body: &str) -> Result<Option<Event>, FormatError> {
    let kind = field.kind;
    Ok(Some(match kind {
        "session_opened" => Event::SessionOpened(Box::new(decode_opened(field, body)?)),
        "session_resumed" => {
            let b: Resumed<'_> = parse(kind, body)?;
            Event::SessionResumed {
                program: b.program.into(),
                tables: b.tables.into(),
            }
        }
        SESSION_CLOSED => {
            let b: Closed<'_> = parse(kind, body)?;
            let reason = b.reason.into_owned();
            Event::SessionClosed {
                readings: b.readings,
                parts: b.parts,
                reason,
            }
        }
        CONTINUATION_OPENED => {
            let b: Continuation<'_> = parse(kind, body)?;
            let (file, hash) = (b.file.into_owned(), b.hash.into_owned());
            Event::ContinuationOpened {
                file,
                sequence: b.seq,
                hash,
            }
        }
        TAIL_DAMAGED => {
            let b: Tail = parse(kind, body)?;
            Event::TailDamaged {
                bytes: b.bytes,
                offset: b.offset,
            }
        }
        "part_started" => Event::PartStarted {
            part: parse::<PartBody>(kind, body)?.part,
        },
        "operator_changed" => Event::OperatorChanged {
            name: parse::<Operator<'_>>(kind, body)?.name.into_owned(),
        },
        "clock_stepped" => Event::ClockStepped {
            by_ms: parse::<Clock>(kind, body)?.by_ms,
        },
        _ => return Ok(None),
    }))
}

fn decode_of_reading(field: &Field<'_>, body: &str) -> Result<Option<Event>, FormatError> {
    let kind = field.kind;
    Ok(Some(match kind {
        "reading_received" => Event::ReadingReceived(decode_reading(field, body)?),
        "reading_taken" => Event::ReadingTaken(decode_taken(field, body)?),
        "reading_assigned" => {
            let b = quick_or(format_quick::assigned, kind, body)?;
            Event::ReadingAssigned {
                reading: b.reading,
                place: place(b.place),
            }
        }
        "verdict_given" => Event::VerdictGiven(Arc::new(decode_verdict(field, body)?)),
        "cutting_noted" => {
            let b: Cutting<'_> = parse(kind, body)?;
            Event::CuttingNoted {
                reading: b.reading,
                place: place(b.place),
                value_at_20: field.mm("value_at_20", &b.value_at_20)?,
                left: field.mm("left", &b.left)?,
                depth: b.depth.map(|text| field.mm("depth", &text)).transpose()?,
                dial: b.dial.map(|text| field.mm("dial", &text)).transpose()?,
            }
        }
        "reading_held" => {
            let b: Held<'_> = parse(kind, body)?;
            let (cause, sentence) = (b.cause.into_owned(), b.sentence.into_owned());
            Event::ReadingHeld {
                reading: b.reading,
                place: place(b.place),
                cause,
                sentence,
            }
        }
        "reading_set_aside" => {
            let b: SetAside<'_> = parse(kind, body)?;
            Event::ReadingSetAside {
                reading: b.reading,
                reason: b.reason.into_owned(),
            }
        }
        "repeat_marked" => {
            let b: Repeat = parse(kind, body)?;
            Event::RepeatMarked {
                reading: b.reading,
                of: b.of,
            }
        }
        "reading_voided" => {
            let b: Voided<'_> = parse(kind, body)?;
            let (reason, by) = (b.reason.into_owned(), b.by.into_owned());
            Event::ReadingVoided {
                reading: b.reading,
                reason,
                by,
            }
        }
        _ => return Ok(None),
    }))
}

fn decode_of_line(field: &Field<'_>, body: &str) -> Result<Option<Event>, FormatError> {
    let kind = field.kind;
    Ok(Some(match kind {
        "reading_refused" => {
            let b: Refused<'_> = parse(kind, body)?;
            let raw = field.hex("raw", &b.raw)?;
            Event::ReadingRefused {
                gauge: b.gauge.into_owned(),
                code: b.code.into_owned(),
                raw,
            }
        }
        "garbage_counted" => {
            let b: Garbage<'_> = parse(kind, body)?;
            let (gauge, code) = (b.gauge.into_owned(), b.code.into_owned());
            Event::GarbageCounted {
                gauge,
                count: b.count,
                code,
            }
        }
        "gauge_state_changed" => {
            let b: GaugeState<'_> = parse(kind, body)?;
            Event::GaugeStateChanged {
                gauge: b.gauge.into_owned(),
                state: b.state.into_owned(),
                detail: b.detail.into_owned(),
            }
        }
        _ => return Ok(None),
    }))
}

fn decode_of_bench(field: &Field<'_>, body: &str) -> Result<Option<Event>, FormatError> {
    let kind = field.kind;
    Ok(Some(match kind {
        "cutting_switched" => Event::CuttingSwitched {
            on: parse::<Switched>(kind, body)?.on,
        },
        "characteristic_chosen" => {
            let b: Chosen<'_> = parse(kind, body)?;
            let (feature, element) = (b.feature.into_owned(), b.element.into_owned());
            Event::CharacteristicChosen { feature, element }
        }
        "point_chosen" => Event::PointChosen {
            place: place(parse::<AtPoint<'_>>(kind, body)?.place),
        },
        "taken_out" => Event::TakenOut {
            open: parse::<TakenOutBody>(kind, body)?.open,
        },
        "put_back" => {
            let b: PutBackBody<'_> = parse(kind, body)?;
            let runout = b.runout.map(|text| field.mm("runout", &text)).transpose()?;
            Event::PutBack {
                method: b.method.into_owned(),
                runout,
            }
        }
        "tool_changed" => Event::ToolChanged {
            note: parse::<Note<'_>>(kind, body)?.note.into_owned(),
        },
        "offset_applied" => {
            let b: Offset<'_> = parse(kind, body)?;
            let amount = field.mm("amount", &b.amount)?;
            Event::OffsetApplied {
                amount,
                note: b.note.into_owned(),
            }
        }
        "temperature_set" => {
            let b: Temperature<'_> = parse(kind, body)?;
            Event::TemperatureSet {
                part: b
                    .part
                    .map(|text| field.celsius("part", &text))
                    .transpose()?,
                gauge: b
                    .gauge
                    .map(|text| field.celsius("gauge", &text))
                    .transpose()?,
            }
        }
        _ => return Ok(None),
    }))
}

fn decode_reading(field: &Field<'_>, body: &str) -> Result<Reading, FormatError> {
    let b = quick_or(format_quick::received, field.kind, body)?;
    let plain = Shown {
        unit: crate::quantity::LengthUnit::Millimetre,
        decimals: 0,
        minus: false,
    };
    let (observed, shown) = match (&b.value, b.unit, &b.check) {
        (Some(value), Some("angle"), None) => {
            (Observed::Angle(field.angle("value", value)?), plain)
        }
        (Some(value), Some(unit), None) => {
            let (length, shown) = field.shown_length("value", value, unit, b.rounded)?;
            (Observed::Length(length), shown)
        }
        (None, None, Some(check)) => {
            let end = CheckEnd::from_word(check.end)
                .ok_or_else(|| field.unknown("check.end", check.end))?;
            let outcome = CheckOutcome::from_word(check.outcome)
                .ok_or_else(|| field.unknown("check.outcome", check.outcome))?;
            (Observed::Check { end, outcome }, plain)
        }
        _ => return Err(field.wrong("value, unit and check do not go together")),
    };
    let origin = Origin::ALL
        .into_iter()
        .find(|origin| origin_word(*origin) == b.origin)
        .ok_or_else(|| field.unknown("origin", b.origin))?;
    Ok(Reading {
        gauge: GaugeId::new(&b.gauge),
        observed,
        shown,
        status: GaugeStatus::from_word(b.status)
            .ok_or_else(|| field.unknown("status", b.status))?,
        origin,
        raw: field.hex("raw", &b.raw)?,
        rounded: b.rounded,
    })
}

fn decode_taken(field: &Field<'_>, body: &str) -> Result<ReadingTaken, FormatError> {
    let b: TakenBody<'_> = parse(field.kind, body)?;
    let length =
        |name: &str, text: Option<Text<'_>>| text.map(|text| field.mm(name, &text)).transpose();
    Ok(ReadingTaken {
        reading: b.reading,
        how: b.how.into_owned(),
        values: b.values,
        smallest: length("smallest", b.smallest)?,
        largest: length("largest", b.largest)?,
        over_ms: b.over_ms,
    })
}

fn decode_verdict(field: &Field<'_>, body: &str) -> Result<VerdictGiven, FormatError> {
    let b = quick_or(format_quick::verdict, field.kind, body)?;
    let unit = match b.unit {
        "mm" => ValueUnit::Nanometre,
        "angle" => ValueUnit::Milliarcsecond,
        "check" => ValueUnit::Check,
        other => return Err(field.unknown("unit", other)),
    };
    let number = |name: &str, text: &str| match unit {
        ValueUnit::Nanometre => field.mm(name, text).map(Exact::units),
        ValueUnit::Milliarcsecond => field.angle(name, text).map(Exact::units),
        ValueUnit::Check => CheckOutcome::from_word(text)
            .map(CheckOutcome::number)
            .ok_or_else(|| field.unknown(name, text)),
    };
    let outcome = match b.verdict {
        "INSIDE" => Outcome::Inside,
        "NOTED" => Outcome::Noted,
        word => Outcome::Verdict(
            VerdictWord::from_word(word).ok_or_else(|| field.unknown("verdict", word))?,
        ),
    };
    let has_numbers = b.u.is_some() || b.lower.is_some() || b.upper.is_some();
    let has_more = b.to_middle.is_some() || b.conformance_ppm.is_some();
    if unit == ValueUnit::Check && (has_numbers || has_more) {
        return Err(field.wrong("a check has no limits, no uncertainty and no distances"));
    }
    let optional = |name: &str, text: &Option<Text<'_>>| {
        text.as_ref().map(|text| number(name, text)).transpose()
    };
    Ok(VerdictGiven {
        reading: b.reading,
        place: place(b.place),
        points: b.points,
        from: b.from,
        value_at_20: number("value_at_20", &b.value_at_20)?,
        u: optional("u", &b.u)?,
        lower: optional("lower", &b.lower)?,
        upper: optional("upper", &b.upper)?,
        unit,
        outcome,
        side: match (outcome, b.side) {
            // What proves nothing lies nowhere.
            (Outcome::Noted, None) => Side::Inside,
            (Outcome::Noted, Some(_)) | (_, None) => {
                return Err(field.wrong("side and verdict do not go together"));
            }
            (_, Some(side)) => Side::from_word(side).ok_or_else(|| field.unknown("side", side))?,
        },
        to_middle: optional("to_middle", &b.to_middle)?,
        conformance_ppm: b.conformance_ppm,
        rule: text::rule_under(unit, &b.rule).ok_or_else(|| field.unknown("rule", &b.rule))?,
        notes: b.notes,
    })
}

fn decode_opened(field: &Field<'_>, body: &str) -> Result<SessionOpened, FormatError> {
    let b: Opened<'_> = parse(field.kind, body)?;
    let house = b
        .house
        .into_iter()
        .map(|h| (h.name.into_owned(), h.text.into_owned()));
    Ok(SessionOpened {
        program: b.program.into_owned(),
        tables: b.tables.into_owned(),
        plan_name: b.plan_name.into_owned(),
        plan: b.plan.map(Text::into_owned),
        callouts: b.callouts,
        gauges: b.gauges.into_owned(),
        house: house.collect(),
        sources: b.sources.into_iter().map(source).collect(),
        operator: b.operator.into_owned(),
        rule: b.rule.into_owned(),
        stage: b.stage.into_owned(),
        general: b.general.into_owned(),
        dial: b.dial.into_owned(),
        parts: b.parts,
        advance_always: b.advance_always,
        advance_rework: b.advance_rework,
        offset: b.offset.into_owned(),
        zeros: b
            .zeros
            .into_iter()
            .map(|zero| earlier_of(field, zero))
            .collect::<Result<_, _>>()?,
        job: job_of(b.job),
        suits: b
            .suits
            .into_iter()
            .map(|suit| suit_of(field, suit))
            .collect::<Result<_, _>>()?,
    })
}

fn place(body: PlaceBody<'_>) -> Place {
    Place {
        part: body.part,
        feature: body.feature.into_owned(),
        element: body.element.into_owned(),
        point: body.point,
    }
}

/// A body as `quick` reads it, else as JSON.
#[inline]
fn quick_or<'a, T: Deserialize<'a>>(
    quick: fn(&'a str) -> Option<T>,
    kind: &str,
    body: &'a str,
) -> Result<T, FormatError> {
    quick(body).map_or_else(|| parse(kind, body), Ok)
}

pub(super) fn parse<'a, T: Deserialize<'a>>(kind: &str, body: &'a str) -> Result<T, FormatError> {
    serde_json::from_str(body).map_err(|error| FormatError {
        kind: kind.to_owned(),
        what: error.to_string(),
    })
}

fn source(body: Source<'_>) -> GaugeSource {
    GaugeSource {
        gauge: body.gauge.into_owned(),
        source: body.source.into_owned(),
        adapter: body.adapter.into_owned(),
        repeat_ms: body.repeat_ms,
    }
}
