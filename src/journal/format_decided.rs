//! Bodies of the events that people decide. See `format.rs`.

use serde::{Deserialize, Serialize};

use super::event::{Event, Sequence};
use super::event_decided::{
    Disposition, DispositionKind, Job, LeftOpen, Manner, Meaning, SignedOff,
};
use super::format::{FormatError, parse};
use super::format_bodies::{Text, json};
use super::text::Field;

/// What names the work; left out where nothing is said.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct JobBody<'a> {
    #[serde(borrow, default, skip_serializing_if = "str::is_empty")]
    order: Text<'a>,
    #[serde(borrow, default, skip_serializing_if = "str::is_empty")]
    customer: Text<'a>,
    #[serde(borrow, default, skip_serializing_if = "str::is_empty")]
    material_lot: Text<'a>,
    #[serde(borrow, default, skip_serializing_if = "str::is_empty")]
    machine: Text<'a>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Named<'a> {
    part: u32,
    #[serde(borrow)]
    serial: Text<'a>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct TakenUp {
    part: u32,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct DispositionBody<'a> {
    part: u32,
    what: &'a str,
    #[serde(borrow, default, skip_serializing_if = "str::is_empty")]
    feature: Text<'a>,
    #[serde(borrow, default, skip_serializing_if = "str::is_empty")]
    element: Text<'a>,
    #[serde(borrow)]
    reason: Text<'a>,
    #[serde(borrow)]
    by: Text<'a>,
    #[serde(borrow, default, skip_serializing_if = "str::is_empty")]
    agreed_with: Text<'a>,
    #[serde(default, skip_serializing_if = "is_zero")]
    of: Sequence,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Left<'a> {
    #[serde(borrow)]
    feature: Text<'a>,
    #[serde(borrow)]
    element: Text<'a>,
    #[serde(borrow)]
    state: Text<'a>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    conformance_ppm: Option<u32>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Signed<'a> {
    part: u32,
    meaning: &'a str,
    manner: &'a str,
    #[serde(borrow)]
    by: Text<'a>,
    #[serde(borrow)]
    reason: Text<'a>,
    covers: Sequence,
    #[serde(borrow)]
    hash: Text<'a>,
    #[serde(borrow)]
    left: Vec<Left<'a>>,
}

/// The body of an event of this file.
pub(super) fn decided_body(event: &Event) -> Option<String> {
    Some(match event {
        Event::JobNoted(job) => json(&job_body(job)),
        Event::PartNamed { part, serial } => json(&Named {
            part: *part,
            serial: serial.into(),
        }),
        Event::PartTakenUp { part } => json(&TakenUp { part: *part }),
        Event::DispositionGiven(given) => json(&DispositionBody {
            part: given.part,
            what: given.kind.word(),
            feature: (&given.feature).into(),
            element: (&given.element).into(),
            reason: (&given.reason).into(),
            by: (&given.by).into(),
            agreed_with: (&given.agreed_with).into(),
            of: given.of,
        }),
        Event::SignedOff(signed) => json(&Signed {
            part: signed.part,
            meaning: signed.meaning.word(),
            manner: signed.manner.word(),
            by: (&signed.by).into(),
            reason: (&signed.reason).into(),
            covers: signed.covers,
            hash: (&signed.hash).into(),
            left: signed.left.iter().map(left_body).collect(),
        }),
        _ => return None,
    })
}

/// The event of a kind of this file.
pub(super) fn decode_decided(field: &Field<'_>, body: &str) -> Result<Option<Event>, FormatError> {
    let kind = field.kind;
    Ok(Some(match kind {
        "job_noted" => Event::JobNoted(job_of(parse(kind, body)?)),
        "part_named" => {
            let b: Named<'_> = parse(kind, body)?;
            Event::PartNamed {
                part: b.part,
                serial: b.serial.into_owned(),
            }
        }
        "part_taken_up" => Event::PartTakenUp {
            part: parse::<TakenUp>(kind, body)?.part,
        },
        "disposition_given" => {
            let b: DispositionBody<'_> = parse(kind, body)?;
            Event::DispositionGiven(Box::new(Disposition {
                part: b.part,
                kind: DispositionKind::from_word(b.what)
                    .ok_or_else(|| field.unknown("what", b.what))?,
                feature: b.feature.into_owned(),
                element: b.element.into_owned(),
                reason: b.reason.into_owned(),
                by: b.by.into_owned(),
                agreed_with: b.agreed_with.into_owned(),
                of: b.of,
            }))
        }
        "signed_off" => {
            let b: Signed<'_> = parse(kind, body)?;
            Event::SignedOff(Box::new(SignedOff {
                part: b.part,
                meaning: Meaning::from_word(b.meaning)
                    .ok_or_else(|| field.unknown("meaning", b.meaning))?,
                manner: Manner::from_word(b.manner)
                    .ok_or_else(|| field.unknown("manner", b.manner))?,
                by: b.by.into_owned(),
                reason: b.reason.into_owned(),
                covers: b.covers,
                hash: b.hash.into_owned(),
                left: b.left.into_iter().map(left_of).collect(),
            }))
        }
        _ => return Ok(None),
    }))
}

/// What names the work, as it is written.
pub(super) fn job_body(job: &Job) -> JobBody<'_> {
    JobBody {
        order: (&job.order).into(),
        customer: (&job.customer).into(),
        material_lot: (&job.material_lot).into(),
        machine: (&job.machine).into(),
    }
}

/// And read again.
pub(super) fn job_of(body: JobBody<'_>) -> Job {
    Job {
        order: body.order.into_owned(),
        customer: body.customer.into_owned(),
        material_lot: body.material_lot.into_owned(),
        machine: body.machine.into_owned(),
    }
}

/// Whether there is nothing to say.
pub(super) fn says_nothing(body: &JobBody<'_>) -> bool {
    let all = [
        &body.order,
        &body.customer,
        &body.material_lot,
        &body.machine,
    ];
    all.iter().all(|text| text.is_empty())
}

fn left_body(left: &LeftOpen) -> Left<'_> {
    Left {
        feature: (&left.feature).into(),
        element: (&left.element).into(),
        state: (&left.state).into(),
        conformance_ppm: left.conformance_ppm,
    }
}

fn left_of(body: Left<'_>) -> LeftOpen {
    LeftOpen {
        feature: body.feature.into_owned(),
        element: body.element.into_owned(),
        state: body.state.into_owned(),
        conformance_ppm: body.conformance_ppm,
    }
}

#[allow(clippy::trivially_copy_pass_by_ref)] // as serde calls it
fn is_zero(number: &Sequence) -> bool {
    *number == 0
}
