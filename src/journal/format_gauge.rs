//! Bodies of the events that say how far a gauge is to be trusted. See `format.rs`.

use serde::{Deserialize, Serialize};

use super::event::{Event, Sequence};
use super::event_gauge::{EarlierZero, ZeroChecked};
use super::format::{FormatError, parse};
use super::format_bodies::{Text, json};
use super::text::Field;

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Asked<'a> {
    #[serde(borrow)]
    gauge: Text<'a>,
    #[serde(borrow)]
    standard: Text<'a>,
    #[serde(borrow)]
    shows: Text<'a>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Dropped<'a> {
    #[serde(borrow)]
    gauge: Text<'a>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Routed<'a> {
    #[serde(borrow)]
    gauge: Text<'a>,
    #[serde(borrow)]
    feature: Text<'a>,
    #[serde(borrow)]
    element: Text<'a>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Checked<'a> {
    reading: Sequence,
    #[serde(borrow)]
    gauge: Text<'a>,
    #[serde(borrow)]
    standard: Text<'a>,
    #[serde(borrow)]
    shows: Text<'a>,
    #[serde(borrow)]
    offset: Text<'a>,
    #[serde(borrow)]
    bound: Option<Text<'a>>,
    good: bool,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Doubted<'a> {
    #[serde(borrow)]
    gauge: Text<'a>,
    #[serde(borrow)]
    since: Option<Text<'a>>,
    #[serde(borrow)]
    reason: Text<'a>,
    #[serde(borrow)]
    by: Text<'a>,
}

/// One of the zeros that a session brings along.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Earlier<'a> {
    #[serde(borrow)]
    gauge: Text<'a>,
    #[serde(borrow)]
    standard: Text<'a>,
    #[serde(borrow)]
    time: Text<'a>,
    age_ms: u64,
    #[serde(borrow)]
    offset: Text<'a>,
    good: bool,
}

/// The body of an event of this file.
pub(super) fn gauge_body(event: &Event) -> Option<String> {
    Some(match event {
        Event::ZeroCheckAsked {
            gauge,
            standard,
            shows,
        } => json(&Asked {
            gauge: gauge.into(),
            standard: standard.into(),
            shows: shows.to_mm().into(),
        }),
        Event::ZeroCheckDropped { gauge } => json(&Dropped {
            gauge: gauge.into(),
        }),
        Event::GaugeRouted {
            gauge,
            feature,
            element,
        } => json(&Routed {
            gauge: gauge.into(),
            feature: feature.into(),
            element: element.into(),
        }),
        Event::ZeroChecked(checked) => json(&Checked {
            reading: checked.reading,
            gauge: (&checked.gauge).into(),
            standard: (&checked.standard).into(),
            shows: checked.shows.to_mm().into(),
            offset: checked.offset.to_mm().into(),
            bound: checked.bound.map(|bound| bound.to_mm().into()),
            good: checked.good,
        }),
        Event::GaugeDoubted {
            gauge,
            since,
            reason,
            by,
        } => json(&Doubted {
            gauge: gauge.into(),
            since: since.as_ref().map(Into::into),
            reason: reason.into(),
            by: by.into(),
        }),
        _ => return None,
    })
}

/// The event of a kind of this file.
pub(super) fn decode_of_gauge(field: &Field<'_>, body: &str) -> Result<Option<Event>, FormatError> {
    let kind = field.kind;
    Ok(Some(match kind {
        "zero_check_asked" => {
            let b: Asked<'_> = parse(kind, body)?;
            Event::ZeroCheckAsked {
                shows: field.mm("shows", &b.shows)?,
                gauge: b.gauge.into_owned(),
                standard: b.standard.into_owned(),
            }
        }
        "zero_check_dropped" => Event::ZeroCheckDropped {
            gauge: parse::<Dropped<'_>>(kind, body)?.gauge.into_owned(),
        },
        "gauge_routed" => {
            let b: Routed<'_> = parse(kind, body)?;
            Event::GaugeRouted {
                gauge: b.gauge.into_owned(),
                feature: b.feature.into_owned(),
                element: b.element.into_owned(),
            }
        }
        "zero_checked" => {
            let b: Checked<'_> = parse(kind, body)?;
            Event::ZeroChecked(Box::new(ZeroChecked {
                reading: b.reading,
                shows: field.mm("shows", &b.shows)?,
                offset: field.mm("offset", &b.offset)?,
                bound: b.bound.map(|text| field.mm("bound", &text)).transpose()?,
                gauge: b.gauge.into_owned(),
                standard: b.standard.into_owned(),
                good: b.good,
            }))
        }
        "gauge_doubted" => {
            let b: Doubted<'_> = parse(kind, body)?;
            Event::GaugeDoubted {
                gauge: b.gauge.into_owned(),
                since: b.since.map(Text::into_owned),
                reason: b.reason.into_owned(),
                by: b.by.into_owned(),
            }
        }
        _ => return Ok(None),
    }))
}

/// A zero that a session brings along, as it is written.
pub(super) fn earlier_body(zero: &EarlierZero) -> Earlier<'_> {
    Earlier {
        gauge: (&zero.gauge).into(),
        standard: (&zero.standard).into(),
        time: (&zero.time).into(),
        age_ms: zero.age_ms,
        offset: zero.offset.to_mm().into(),
        good: zero.good,
    }
}

/// And read again.
pub(super) fn earlier_of(field: &Field<'_>, body: Earlier<'_>) -> Result<EarlierZero, FormatError> {
    Ok(EarlierZero {
        offset: field.mm("zeros.offset", &body.offset)?,
        gauge: body.gauge.into_owned(),
        standard: body.standard.into_owned(),
        time: body.time.into_owned(),
        age_ms: body.age_ms,
        good: body.good,
    })
}
