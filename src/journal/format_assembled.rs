//! The body of `part_assembled`. See `format.rs`.

use serde::{Deserialize, Serialize};

use super::event::Event;
use super::event_assembled::{AssembledWith, PartAssembled};
use super::format::{FormatError, parse};
use super::format_bodies::{Text, json};
use super::text::Field;

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Body<'a> {
    part: u32,
    #[serde(borrow)]
    assembly: Text<'a>,
    #[serde(borrow, default, skip_serializing_if = "str::is_empty")]
    drawing: Text<'a>,
    #[serde(borrow)]
    serial: Text<'a>,
    #[serde(borrow)]
    member: Text<'a>,
    #[serde(borrow)]
    state: Text<'a>,
    #[serde(borrow)]
    by: Text<'a>,
    #[serde(borrow)]
    with: Vec<With<'a>>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct With<'a> {
    #[serde(borrow)]
    member: Text<'a>,
    #[serde(borrow)]
    part_name: Text<'a>,
    #[serde(borrow)]
    serial: Text<'a>,
    #[serde(borrow)]
    journal: Text<'a>,
    #[serde(borrow)]
    head: Text<'a>,
}

/// The body of an event of this file.
pub(super) fn assembled_body(event: &Event) -> Option<String> {
    let Event::PartAssembled(one) = event else {
        return None;
    };
    let with = one.with.iter().map(|other| With {
        member: (&other.member).into(),
        part_name: (&other.part_name).into(),
        serial: (&other.serial).into(),
        journal: (&other.journal).into(),
        head: (&other.head).into(),
    });
    let body = Body {
        part: one.part,
        assembly: (&one.assembly).into(),
        drawing: (&one.drawing).into(),
        serial: (&one.serial).into(),
        member: (&one.member).into(),
        state: (&one.state).into(),
        by: (&one.by).into(),
        with: with.collect(),
    };
    Some(json(&body))
}

/// The event of a kind of this file.
pub(super) fn decode_assembled(
    field: &Field<'_>,
    body: &str,
) -> Result<Option<Event>, FormatError> {
    if field.kind != "part_assembled" {
        return Ok(None);
    }
    let b: Body<'_> = parse(field.kind, body)?;
    let with = b.with.into_iter().map(|other| AssembledWith {
        member: other.member.into_owned(),
        part_name: other.part_name.into_owned(),
        serial: other.serial.into_owned(),
        journal: other.journal.into_owned(),
        head: other.head.into_owned(),
    });
    Ok(Some(Event::PartAssembled(Box::new(PartAssembled {
        part: b.part,
        assembly: b.assembly.into_owned(),
        drawing: b.drawing.into_owned(),
        serial: b.serial.into_owned(),
        member: b.member.into_owned(),
        state: b.state.into_owned(),
        by: b.by.into_owned(),
        with: with.collect(),
    }))))
}
