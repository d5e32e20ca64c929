//! An event becomes the JSON body of its line. See `format.rs`.

use super::event::{
    Event, GaugeSource, Outcome, Place, SessionOpened, ValueUnit, VerdictGiven, origin_word,
};
use super::format_assembled::assembled_body;
use super::format_bodies::{
    Assigned, AtPoint, Check, Chosen, Clock, Closed, Continuation, Cutting, Garbage, GaugeState,
    Held, House, Note, Offset, Opened, Operator, PartBody, PlaceBody, PutBackBody, Received,
    Refused, Repeat, Resumed, SetAside, Source, Switched, Tail, TakenBody, TakenOutBody,
    Temperature, Verdict, Voided, json,
};
use super::format_decided::{decided_body, job_body};
use super::format_gauge::{earlier_body, gauge_body};
use super::format_study::study_body;
use super::format_suit::suit_body;
use super::text;
use crate::gauge::{Observed, Reading};

/// The body of an event as canonical JSON: keys in fixed order, no blanks.
pub fn body_of(event: &Event) -> String {
    session_body(event)
        .or_else(|| reading_body(event))
        .or_else(|| bench_body(event))
        .or_else(|| gauge_body(event))
        .or_else(|| study_body(event))
        .or_else(|| decided_body(event))
        .or_else(|| assembled_body(event))
        .unwrap_or_else(|| "{}".to_owned())
}

/// Events of the session as a whole.
fn session_body(event: &Event) -> Option<String> {
    Some(match event {
        Event::SessionOpened(opened) => json(&opened_body(opened)),
        Event::SessionResumed { program, tables } => json(&Resumed { program, tables }),
        Event::SessionClosed {
            readings,
            parts,
            reason,
        } => json(&Closed {
            readings: *readings,
            parts: *parts,
            reason: reason.into(),
        }),
        Event::ContinuationOpened {
            file,
            sequence,
            hash,
        } => json(&Continuation {
            file: file.into(),
            seq: *sequence,
            hash: hash.into(),
        }),
        Event::TailDamaged { bytes, offset } => json(&Tail {
            bytes: *bytes,
            offset: *offset,
        }),
        Event::PartStarted { part } => json(&PartBody { part: *part }),
        Event::OperatorChanged { name } => json(&Operator { name: name.into() }),
        Event::ClockStepped { by_ms } => json(&Clock { by_ms: *by_ms }),
        _ => return None,
    })
}

/// Events in the life of a reading.
fn reading_body(event: &Event) -> Option<String> {
    Some(match event {
        Event::ReadingReceived(reading) => encode_reading(reading),
        Event::ReadingTaken(taken) => json(&TakenBody {
            reading: taken.reading,
            how: taken.how.as_str().into(),
            values: taken.values,
            smallest: taken.smallest.map(|length| length.to_mm().into()),
            largest: taken.largest.map(|length| length.to_mm().into()),
            over_ms: taken.over_ms,
        }),
        Event::ReadingAssigned { reading, place } => json(&Assigned {
            reading: *reading,
            place: place_body(place),
        }),
        Event::VerdictGiven(verdict) => encode_verdict(verdict),
        Event::CuttingNoted {
            reading,
            place,
            value_at_20,
            left,
            depth,
            dial,
        } => json(&Cutting {
            reading: *reading,
            place: place_body(place),
            value_at_20: value_at_20.to_mm().into(),
            left: left.to_mm().into(),
            depth: depth.map(|depth| depth.to_mm().into()),
            dial: dial.map(|dial| dial.to_mm().into()),
        }),
        Event::ReadingHeld {
            reading,
            place,
            cause,
            sentence,
        } => json(&Held {
            reading: *reading,
            place: place_body(place),
            cause: cause.into(),
            sentence: sentence.into(),
        }),
        Event::ReadingSetAside { reading, reason } => json(&SetAside {
            reading: *reading,
            reason: reason.into(),
        }),
        Event::RepeatMarked { reading, of } => json(&Repeat {
            reading: *reading,
            of: *of,
        }),
        Event::ReadingVoided {
            reading,
            reason,
            by,
        } => json(&Voided {
            reading: *reading,
            reason: reason.into(),
            by: by.into(),
        }),
        _ => return None,
    })
}

/// Events of the bench and its gauges.
fn bench_body(event: &Event) -> Option<String> {
    Some(match event {
        Event::ReadingRefused { gauge, code, raw } => {
            let raw = text::to_hex(raw);
            json(&Refused {
                gauge: gauge.into(),
                code: code.into(),
                raw: raw.into(),
            })
        }
        Event::GarbageCounted { gauge, count, code } => json(&Garbage {
            gauge: gauge.into(),
            count: *count,
            code: code.into(),
        }),
        Event::GaugeStateChanged {
            gauge,
            state,
            detail,
        } => json(&GaugeState {
            gauge: gauge.into(),
            state: state.into(),
            detail: detail.into(),
        }),
        Event::CuttingSwitched { on } => json(&Switched { on: *on }),
        Event::CharacteristicChosen { feature, element } => json(&Chosen {
            feature: feature.into(),
            element: element.into(),
        }),
        Event::PointChosen { place } => json(&AtPoint {
            place: place_body(place),
        }),
        Event::TakenOut { open } => json(&TakenOutBody { open: open.clone() }),
        Event::PutBack { method, runout } => json(&PutBackBody {
            method: method.into(),
            runout: runout.map(|runout| runout.to_mm().into()),
        }),
        Event::ToolChanged { note } => json(&Note { note: note.into() }),
        Event::OffsetApplied { amount, note } => json(&Offset {
            amount: amount.to_mm().into(),
            note: note.into(),
        }),
        Event::TemperatureSet { part, gauge } => json(&Temperature {
            part: part.map(|celsius| celsius.to_string().into()),
            gauge: gauge.map(|celsius| celsius.to_string().into()),
        }),
        _ => return None,
    })
}

/// The word of an outcome on disk and in JSON.
pub fn outcome_text(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Inside => "INSIDE",
        Outcome::Noted => "NOTED",
        Outcome::Verdict(word) => word.word(),
    }
}

fn encode_reading(reading: &Reading) -> String {
    let (value, unit, check) = match reading.observed {
        Observed::Length(length) => {
            let text = length
                .abs()
                .to_text(reading.shown.unit, reading.shown.decimals);
            let sign = if length.is_negative() || reading.shown.minus {
                "-"
            } else {
                ""
            };
            (
                Some(format!("{sign}{text}")),
                Some(reading.shown.unit.symbol()),
                None,
            )
        }
        Observed::Angle(angle) => (Some(angle.to_dms()), Some("angle"), None),
        Observed::Check { end, outcome } => (
            None,
            None,
            Some(Check {
                end: end.word(),
                outcome: outcome.word(),
            }),
        ),
    };
    json(&Received {
        gauge: reading.gauge.as_str().into(),
        origin: origin_word(reading.origin),
        value: value.map(Into::into),
        unit,
        check,
        status: reading.status.word(),
        rounded: reading.rounded,
        raw: text::to_hex(&reading.raw).into(),
    })
}

fn encode_verdict(v: &VerdictGiven) -> String {
    let number = |units: i64| text::number_of(v.unit, units);
    json(&Verdict {
        reading: v.reading,
        place: place_body(&v.place),
        points: v.points,
        from: v.from.clone(),
        unit: match v.unit {
            ValueUnit::Nanometre => "mm",
            ValueUnit::Milliarcsecond => "angle",
            ValueUnit::Check => "check",
        },
        value_at_20: number(v.value_at_20).into(),
        u: v.u.map(|u| number(u).into()),
        lower: v.lower.map(|lower| number(lower).into()),
        upper: v.upper.map(|upper| number(upper).into()),
        verdict: outcome_text(v.outcome),
        side: (v.outcome != Outcome::Noted).then(|| v.side.word()),
        to_middle: v.to_middle.map(|distance| number(distance).into()),
        conformance_ppm: v.conformance_ppm,
        rule: match v.unit {
            ValueUnit::Check => text::ATTRIBUTE_RULE.into(),
            _ => text::rule_text(v.rule).into(),
        },
        notes: v.notes.clone(),
    })
}

fn opened_body(opened: &SessionOpened) -> Opened<'_> {
    Opened {
        program: opened.program.as_str().into(),
        tables: opened.tables.as_str().into(),
        plan_name: opened.plan_name.as_str().into(),
        plan: opened.plan.as_deref().map(Into::into),
        callouts: opened.callouts.clone(),
        gauges: opened.gauges.as_str().into(),
        house: opened
            .house
            .iter()
            .map(|(name, text)| House {
                name: name.as_str().into(),
                text: text.as_str().into(),
            })
            .collect(),
        sources: opened.sources.iter().map(source_body).collect(),
        operator: opened.operator.as_str().into(),
        rule: opened.rule.as_str().into(),
        stage: opened.stage.as_str().into(),
        general: opened.general.as_str().into(),
        dial: opened.dial.as_str().into(),
        parts: opened.parts,
        advance_always: opened.advance_always,
        advance_rework: opened.advance_rework,
        offset: opened.offset.as_str().into(),
        zeros: opened.zeros.iter().map(earlier_body).collect(),
        job: job_body(&opened.job),
        suits: opened.suits.iter().map(suit_body).collect(),
    }
}

fn source_body(source: &GaugeSource) -> Source<'_> {
    Source {
        gauge: source.gauge.as_str().into(),
        source: source.source.as_str().into(),
        adapter: source.adapter.as_str().into(),
        repeat_ms: source.repeat_ms,
    }
}

fn place_body(place: &Place) -> PlaceBody<'_> {
    PlaceBody {
        part: place.part,
        feature: place.feature.as_str().into(),
        element: place.element.as_str().into(),
        point: place.point,
    }
}
