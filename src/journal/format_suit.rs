//! The limits of one session only, as `session_opened` holds them. See `format.rs`.

use serde::{Deserialize, Serialize};

use super::event_suit::Suit;
use super::format::FormatError;
use super::format_bodies::{Text, is_false};
use super::text::Field;
use crate::pair::Measured;
use crate::quantity::Length;

const HOLE: &str = "hole";
const SHAFT: &str = "shaft";

/// One half that is made to suit its measured mate.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SuitBody<'a> {
    #[serde(borrow)]
    feature: Text<'a>,
    #[serde(borrow)]
    mate: Text<'a>,
    mate_is: &'a str,
    #[serde(borrow)]
    fit: Text<'a>,
    #[serde(borrow)]
    least: Text<'a>,
    #[serde(borrow)]
    most: Text<'a>,
    #[serde(borrow)]
    size: Text<'a>,
    #[serde(borrow)]
    u: Option<Text<'a>>,
    #[serde(borrow, default, skip_serializing_if = "Option::is_none")]
    form: Option<Text<'a>>,
    #[serde(borrow)]
    source: Text<'a>,
    #[serde(default, skip_serializing_if = "is_false")]
    keep_class: bool,
}

/// As it is written.
pub(super) fn suit_body(suit: &Suit) -> SuitBody<'_> {
    SuitBody {
        feature: (&suit.feature).into(),
        mate: (&suit.mate).into(),
        mate_is: match suit.measured {
            Measured::Hole => HOLE,
            Measured::Shaft => SHAFT,
        },
        fit: (&suit.fit).into(),
        least: suit.least.to_mm().into(),
        most: suit.most.to_mm().into(),
        size: suit.size.to_mm().into(),
        u: suit.u.map(|u| u.to_mm().into()),
        form: (suit.form != Length::ZERO).then(|| suit.form.to_mm().into()),
        source: (&suit.source).into(),
        keep_class: suit.keep_class,
    }
}

/// And read again.
pub(super) fn suit_of(field: &Field<'_>, body: SuitBody<'_>) -> Result<Suit, FormatError> {
    let optional = |name: &'static str, text: Option<Text<'_>>| {
        text.map(|text| field.mm(name, &text)).transpose()
    };
    Ok(Suit {
        measured: match body.mate_is {
            HOLE => Measured::Hole,
            SHAFT => Measured::Shaft,
            other => return Err(field.unknown("suits.mate_is", other)),
        },
        least: field.mm("suits.least", &body.least)?,
        most: field.mm("suits.most", &body.most)?,
        size: field.mm("suits.size", &body.size)?,
        u: optional("suits.u", body.u)?,
        form: optional("suits.form", body.form)?.unwrap_or(Length::ZERO),
        feature: body.feature.into_owned(),
        mate: body.mate.into_owned(),
        fit: body.fit.into_owned(),
        source: body.source.into_owned(),
        keep_class: body.keep_class,
    })
}
