//! Bodies of the events of a gauge study. See `format.rs`.

use serde::{Deserialize, Serialize};

use super::event::{Event, Sequence};
use super::event_gauge::{StudyCell, StudyOpened, StudyPart};
use super::format::{FormatError, parse};
use super::format_bodies::{Text, json};
use super::text::Field;

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Opened<'a> {
    #[serde(borrow)]
    gauge: Text<'a>,
    #[serde(borrow)]
    parts: Vec<Part<'a>>,
    operators: Vec<String>,
    trials: u32,
    #[serde(borrow, default, skip_serializing_if = "Option::is_none")]
    tolerance: Option<Text<'a>>,
    /// Part, operator and trial of each.
    order: Vec<(u32, u32, u32)>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Part<'a> {
    #[serde(borrow)]
    name: Text<'a>,
    #[serde(borrow, default, skip_serializing_if = "Option::is_none")]
    reference: Option<Text<'a>>,
    #[serde(borrow, default, skip_serializing_if = "Option::is_none")]
    standard: Option<Text<'a>>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Filled {
    reading: Sequence,
    part: u32,
    operator: u32,
    trial: u32,
}

/// The body of an event of this file.
pub(super) fn study_body(event: &Event) -> Option<String> {
    Some(match event {
        Event::StudyOpened(study) => json(&opened_body(study)),
        Event::StudyCellFilled { reading, cell } => json(&Filled {
            reading: *reading,
            part: cell.part,
            operator: cell.operator,
            trial: cell.trial,
        }),
        _ => return None,
    })
}

fn opened_body(study: &StudyOpened) -> Opened<'_> {
    let cells = study.order.iter();
    Opened {
        gauge: (&study.gauge).into(),
        parts: study.parts.iter().map(part_body).collect(),
        operators: study.operators.clone(),
        trials: study.trials,
        tolerance: study.tolerance.map(|width| width.to_mm().into()),
        order: cells
            .map(|cell| (cell.part, cell.operator, cell.trial))
            .collect(),
    }
}

fn part_body(part: &StudyPart) -> Part<'_> {
    let standard = Some(part.standard.as_str()).filter(|standard| !standard.is_empty());
    Part {
        name: (&part.name).into(),
        reference: part.reference.map(|size| size.to_mm().into()),
        standard: standard.map(Into::into),
    }
}

/// The event of a kind of this file.
pub(super) fn decode_of_study(field: &Field<'_>, body: &str) -> Result<Option<Event>, FormatError> {
    let kind = field.kind;
    Ok(Some(match kind {
        "study_opened" => Event::StudyOpened(Box::new(opened_of(field, parse(kind, body)?)?)),
        "study_cell_filled" => {
            let b: Filled = parse(kind, body)?;
            Event::StudyCellFilled {
                reading: b.reading,
                cell: StudyCell {
                    part: b.part,
                    operator: b.operator,
                    trial: b.trial,
                },
            }
        }
        _ => return Ok(None),
    }))
}

fn opened_of(field: &Field<'_>, body: Opened<'_>) -> Result<StudyOpened, FormatError> {
    let length =
        |name: &str, text: Option<Text<'_>>| text.map(|text| field.mm(name, &text)).transpose();
    let mut parts = Vec::with_capacity(body.parts.len());
    for part in body.parts {
        parts.push(StudyPart {
            reference: length("parts.reference", part.reference)?,
            name: part.name.into_owned(),
            standard: part.standard.map(Text::into_owned).unwrap_or_default(),
        });
    }
    let cell = |(part, operator, trial)| StudyCell {
        part,
        operator,
        trial,
    };
    Ok(StudyOpened {
        gauge: body.gauge.into_owned(),
        parts,
        operators: body.operators,
        trials: body.trials,
        tolerance: length("tolerance", body.tolerance)?,
        order: body.order.into_iter().map(cell).collect(),
    })
}
