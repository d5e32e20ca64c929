//! The bodies of events, field by field, as JSON has them. See `format.rs`.

use std::borrow::Cow;
use std::fmt;
use std::ops::Deref;

use serde::de::Visitor;
use serde::{Deserialize, Deserializer, Serialize};

use super::event::Sequence;
use super::format_decided::{JobBody, says_nothing};
use super::format_gauge::Earlier;
use super::format_suit::SuitBody;

/// A text that is borrowed from the line where nothing in it is escaped. Serde borrows a [`Cow`]
/// only where it is a field's whole type, not in an [`Option`].
#[derive(Debug, Default, Serialize)]
#[serde(transparent)]
pub(super) struct Text<'a>(Cow<'a, str>);

impl Text<'_> {
    pub(super) fn into_owned(self) -> String {
        self.0.into_owned()
    }
}

impl Deref for Text<'_> {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0
    }
}

impl<'a> From<&'a str> for Text<'a> {
    fn from(text: &'a str) -> Self {
        Self(Cow::Borrowed(text))
    }
}

impl<'a> From<&'a String> for Text<'a> {
    fn from(text: &'a String) -> Self {
        Self(Cow::Borrowed(text))
    }
}

impl From<String> for Text<'_> {
    fn from(text: String) -> Self {
        Self(Cow::Owned(text))
    }
}

impl<'de: 'a, 'a> Deserialize<'de> for Text<'a> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_str(TextVisitor)
    }
}

struct TextVisitor;

impl<'de> Visitor<'de> for TextVisitor {
    type Value = Text<'de>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a string")
    }

    fn visit_borrowed_str<E>(self, text: &'de str) -> Result<Text<'de>, E> {
        Ok(Text(Cow::Borrowed(text)))
    }

    fn visit_str<E>(self, text: &str) -> Result<Text<'de>, E> {
        Ok(Text(Cow::Owned(text.to_owned())))
    }
}

macro_rules! bodies {
    ($($(#[$meta:meta])* $name:ident $(<$life:lifetime>)? {
        $($(#[$field_meta:meta])* $field:ident: $kind:ty),* $(,)?
    })*) => {$(
        $(#[$meta])*
        #[derive(Debug, Serialize, Deserialize)]
        #[serde(deny_unknown_fields)]
        pub(super) struct $name $(<$life>)? {
            $($(#[$field_meta])* pub(super) $field: $kind),*
        }
    )*};
}

bodies! {
    Opened<'a> {
        #[serde(borrow)] program: Text<'a>,
        #[serde(borrow)] tables: Text<'a>,
        #[serde(borrow)] plan_name: Text<'a>,
        #[serde(borrow)] plan: Option<Text<'a>>,
        callouts: Vec<String>,
        #[serde(borrow)] gauges: Text<'a>,
        #[serde(borrow)] house: Vec<House<'a>>,
        #[serde(borrow)] sources: Vec<Source<'a>>,
        #[serde(borrow)] operator: Text<'a>,
        #[serde(borrow)] rule: Text<'a>,
        #[serde(borrow)] stage: Text<'a>,
        #[serde(borrow)] general: Text<'a>,
        /// Left out when it is not known, as in the first records.
        #[serde(borrow, default, skip_serializing_if = "str::is_empty")] dial: Text<'a>,
        parts: Option<u32>,
        advance_always: bool,
        /// Left out when it is not so, as in the first records.
        #[serde(default, skip_serializing_if = "is_false")] advance_rework: bool,
        #[serde(borrow)] offset: Text<'a>,
        /// Left out when there are none, as in the first records.
        #[serde(borrow, default, skip_serializing_if = "Vec::is_empty")] zeros: Vec<Earlier<'a>>,
        /// Left out when it says nothing, as in the first records.
        #[serde(borrow, default, skip_serializing_if = "says_nothing")] job: JobBody<'a>,
        /// Left out when there are none, as in the first records.
        #[serde(borrow, default, skip_serializing_if = "Vec::is_empty")] suits: Vec<SuitBody<'a>>,
    }
    Source<'a> {
        #[serde(borrow)] gauge: Text<'a>,
        #[serde(borrow)] source: Text<'a>,
        #[serde(borrow)] adapter: Text<'a>,
        repeat_ms: u32,
    }
    House<'a> { #[serde(borrow)] name: Text<'a>, #[serde(borrow)] text: Text<'a> }
    Resumed<'a> { program: &'a str, tables: &'a str }
    Closed<'a> { readings: u64, parts: u32, #[serde(borrow)] reason: Text<'a> }
    Continuation<'a> {
        #[serde(borrow)] file: Text<'a>,
        seq: Sequence,
        #[serde(borrow)] hash: Text<'a>,
    }
    Tail { bytes: u64, offset: u64 }
    PartBody { part: u32 }
    Received<'a> {
        #[serde(borrow)] gauge: Text<'a>,
        origin: &'a str,
        #[serde(borrow, skip_serializing_if = "Option::is_none")] value: Option<Text<'a>>,
        #[serde(skip_serializing_if = "Option::is_none")] unit: Option<&'a str>,
        #[serde(borrow, skip_serializing_if = "Option::is_none")] check: Option<Check<'a>>,
        status: &'a str,
        #[serde(default, skip_serializing_if = "is_false")] rounded: bool,
        #[serde(borrow)] raw: Text<'a>,
    }
    TakenBody<'a> {
        reading: Sequence,
        #[serde(borrow)] how: Text<'a>,
        values: u32,
        #[serde(borrow, default, skip_serializing_if = "Option::is_none")]
        smallest: Option<Text<'a>>,
        #[serde(borrow, default, skip_serializing_if = "Option::is_none")]
        largest: Option<Text<'a>>,
        over_ms: u64,
    }
    Check<'a> { end: &'a str, outcome: &'a str }
    Refused<'a> {
        #[serde(borrow)] gauge: Text<'a>,
        #[serde(borrow)] code: Text<'a>,
        #[serde(borrow)] raw: Text<'a>,
    }
    Garbage<'a> {
        #[serde(borrow)] gauge: Text<'a>,
        count: u64,
        #[serde(borrow)] code: Text<'a>,
    }
    GaugeState<'a> {
        #[serde(borrow)] gauge: Text<'a>,
        #[serde(borrow)] state: Text<'a>,
        #[serde(borrow)] detail: Text<'a>,
    }
    PlaceBody<'a> {
        part: u32,
        #[serde(borrow)] feature: Text<'a>,
        #[serde(borrow)] element: Text<'a>,
        point: u16,
    }
    Assigned<'a> { reading: Sequence, #[serde(borrow)] place: PlaceBody<'a> }
    Verdict<'a> {
        reading: Sequence,
        #[serde(borrow)] place: PlaceBody<'a>,
        points: u16,
        from: Vec<Sequence>,
        unit: &'a str,
        #[serde(borrow)] value_at_20: Text<'a>,
        #[serde(borrow)] u: Option<Text<'a>>,
        #[serde(borrow)] lower: Option<Text<'a>>,
        #[serde(borrow)] upper: Option<Text<'a>>,
        verdict: &'a str,
        /// Null where nothing is proved.
        side: Option<&'a str>,
        #[serde(borrow)] to_middle: Option<Text<'a>>,
        conformance_ppm: Option<u32>,
        #[serde(borrow)] rule: Text<'a>,
        notes: Vec<String>,
    }
    Cutting<'a> {
        reading: Sequence,
        #[serde(borrow)] place: PlaceBody<'a>,
        #[serde(borrow)] value_at_20: Text<'a>,
        #[serde(borrow)] left: Text<'a>,
        #[serde(borrow)] depth: Option<Text<'a>>,
        #[serde(borrow, default)] dial: Option<Text<'a>>,
    }
    Held<'a> {
        reading: Sequence,
        #[serde(borrow)] place: PlaceBody<'a>,
        #[serde(borrow)] cause: Text<'a>,
        #[serde(borrow)] sentence: Text<'a>,
    }
    SetAside<'a> { reading: Sequence, #[serde(borrow)] reason: Text<'a> }
    Repeat { reading: Sequence, of: Sequence }
    Voided<'a> {
        reading: Sequence,
        #[serde(borrow)] reason: Text<'a>,
        #[serde(borrow)] by: Text<'a>,
    }
    Switched { on: bool }
    Chosen<'a> { #[serde(borrow)] feature: Text<'a>, #[serde(borrow)] element: Text<'a> }
    AtPoint<'a> { #[serde(borrow)] place: PlaceBody<'a> }
    TakenOutBody { open: Vec<String> }
    PutBackBody<'a> {
        #[serde(borrow)] method: Text<'a>,
        #[serde(borrow)] runout: Option<Text<'a>>,
    }
    Note<'a> { #[serde(borrow)] note: Text<'a> }
    Offset<'a> { #[serde(borrow)] amount: Text<'a>, #[serde(borrow)] note: Text<'a> }
    Temperature<'a> {
        #[serde(borrow)] part: Option<Text<'a>>,
        #[serde(borrow)] gauge: Option<Text<'a>>,
    }
    Operator<'a> { #[serde(borrow)] name: Text<'a> }
    Clock { by_ms: i64 }
}

#[allow(clippy::trivially_copy_pass_by_ref)]
pub(super) fn is_false(flag: &bool) -> bool {
    !flag
}

/// A body as canonical JSON: keys in the order of its fields, no blanks. Serialising plain structs
/// of strings and numbers into a string cannot fail.
#[allow(clippy::expect_used)]
pub(super) fn json<T: Serialize>(body: &T) -> String {
    serde_json::to_string(body).expect("a plain body is always serialisable")
}
