//! The answers of `decode`, `listen` and `ports` as JSON.
//!
//! `decode` and `listen` share their events: an object with the one key `reading`, `status` or
//! `error` (then with `offset` beside it, the place of the first byte in the stream, from 0).

use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};

use crate::wire::Decoded;

/// What one line of hex said.
#[derive(Debug, Serialize)]
pub(super) struct DecodeLine<'a> {
    pub(super) hex: &'a str,
    pub(super) events: &'a [WireEvent],
}

/// One thing that a stream of bytes said.
#[derive(Debug)]
pub(super) enum WireEvent {
    Reading(ReadingBody),
    Status(StatusBody),
    Error { error: &'static str, offset: u64 },
}

/// A value as sent.
#[derive(Debug, Serialize)]
pub(super) struct ReadingBody {
    pub(super) value: String,
    pub(super) sign: &'static str,
    pub(super) unit: &'static str,
    pub(super) id: Option<String>,
    pub(super) status: &'static str,
}

/// A state without a value.
#[derive(Debug, Serialize)]
pub(super) struct StatusBody {
    pub(super) id: Option<String>,
    pub(super) status: &'static str,
}

impl From<&Decoded> for WireEvent {
    fn from(decoded: &Decoded) -> Self {
        match decoded {
            Decoded::Reading(sent) => Self::Reading(ReadingBody {
                value: sent.value_text(),
                sign: if sent.minus { "-" } else { "+" },
                unit: sent.unit.symbol(),
                id: sent.id.as_deref().map(str::to_owned),
                status: sent.status.word(),
            }),
            Decoded::Status(sent) => Self::Status(StatusBody {
                id: sent.id.as_deref().map(str::to_owned),
                status: sent.status.word(),
            }),
            Decoded::Error(sent) => Self::Error {
                error: sent.error.code(),
                offset: sent.offset,
            },
        }
    }
}

impl Serialize for WireEvent {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        match self {
            Self::Reading(body) => map.serialize_entry("reading", body)?,
            Self::Status(body) => map.serialize_entry("status", body)?,
            Self::Error { error, offset } => {
                map.serialize_entry("error", error)?;
                map.serialize_entry("offset", offset)?;
            }
        }
        map.end()
    }
}
