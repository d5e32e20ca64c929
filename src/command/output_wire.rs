//! The answers of `decode`, `listen` and `ports` as JSON.
//!
//! `ports` gives `{"port","usb":{"vendor","product","serial","name"}|null,"access"}`, where
//! `access` is `free`, `not_permitted` or `busy`, and the USB numbers are hexadecimal.
//! `listen` gives `{"bytes"}` (hexadecimal, in pieces as they came) and events.
//! `decode` and `listen` share their events: an object with the one key `reading`, `status` or
//! `error` (then with `offset` beside it, the place of the first byte in the stream, from 0).

use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};

use crate::wire::{Decoded, PortAccess, SeenPort};

/// Bytes as they came, before what they complete.
#[derive(Debug, Serialize)]
pub(super) struct BytesLine {
    pub(super) bytes: String,
}

/// A serial port that is attached.
#[derive(Debug, Serialize)]
pub(super) struct PortLine<'a> {
    port: &'a str,
    usb: Option<UsbBody<'a>>,
    access: &'static str,
}

#[derive(Debug, Serialize)]
struct UsbBody<'a> {
    vendor: String,
    product: String,
    serial: Option<&'a str>,
    name: Option<&'a str>,
}

impl<'a> From<&'a SeenPort> for PortLine<'a> {
    fn from(seen: &'a SeenPort) -> Self {
        Self {
            port: &seen.path,
            usb: seen.usb.as_ref().map(|usb| UsbBody {
                vendor: format!("{:04x}", usb.vendor),
                product: format!("{:04x}", usb.product),
                serial: usb.serial.as_deref(),
                name: seen.product.as_deref(),
            }),
            access: match seen.access {
                PortAccess::Free => "free",
                PortAccess::NotPermitted => "not_permitted",
                PortAccess::Busy => "busy",
            },
        }
    }
}

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

impl<B: AsRef<[u8]>, I: AsRef<str>> From<&Decoded<B, I>> for WireEvent {
    fn from(decoded: &Decoded<B, I>) -> Self {
        let id = |id: &Option<I>| id.as_ref().map(|id| id.as_ref().to_owned());
        match decoded {
            Decoded::Reading(sent) => Self::Reading(ReadingBody {
                value: sent.value_text(),
                sign: if sent.minus { "-" } else { "+" },
                unit: sent.unit.symbol(),
                id: id(&sent.id),
                status: sent.status.word(),
            }),
            Decoded::Status(sent) => Self::Status(StatusBody {
                id: id(&sent.id),
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
