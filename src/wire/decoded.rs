//! What comes out of the decoder.

use std::borrow::Cow;

use super::error::WireError;
use crate::gauge::{GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
use crate::quantity::{Decimal, Length, LengthUnit};

/// One thing that a stream of bytes said. It borrows the bytes; `into_owned` copies them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Decoded<'b> {
    /// A value.
    Reading(SentReading<'b>),
    /// A state of the gauge without a value.
    Status(SentStatus<'b>),
    /// Bytes that are no reading, with the reason.
    Error(SentError<'b>),
}

/// A value that was sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SentReading<'b> {
    /// The number with its sign and with the decimals that were sent (scaled: those of number
    /// plus scale); leading zeros dropped. Its text is the value of the wire rules: `-0.000` is
    /// `0.000` here, the sign is in `minus`.
    pub value: Decimal,
    /// The unit of `value`.
    pub unit: LengthUnit,
    /// The same as a length. [`WireError::NotExact`] when the number is no whole number of
    /// nanometres, [`WireError::OutOfLimits`] beyond 10 m: it was sent, but nothing is measured
    /// with it.
    pub length: Result<Length, WireError>,
    /// A minus was sent.
    pub minus: bool,
    /// Which gauge or channel, as sent.
    pub id: Option<Cow<'b, str>>,
    /// The gauge's own word beside the value.
    pub status: GaugeStatus,
    /// The value was rounded to 1 nm from a count that is no whole number of nanometres.
    pub rounded: bool,
    /// The frame: text without its terminator, or start byte through check bytes.
    pub raw: Cow<'b, [u8]>,
    /// Place of the frame's first byte in the stream, from 0.
    pub offset: u64,
}

/// A state that was sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SentStatus<'b> {
    /// Which gauge or channel, as sent.
    pub id: Option<Cow<'b, str>>,
    /// The state.
    pub status: GaugeStatus,
    /// The frame.
    pub raw: Cow<'b, [u8]>,
    /// Place of the frame's first byte in the stream, from 0.
    pub offset: u64,
}

/// Bytes that are no reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SentError<'b> {
    /// Why.
    pub error: WireError,
    /// The bytes, at most a few more than the adapter's longest frame.
    pub raw: Cow<'b, [u8]>,
    /// Place of the first of them in the stream, from 0.
    pub offset: u64,
}

impl Decoded<'_> {
    /// The same with bytes of its own.
    pub fn into_owned(self) -> Decoded<'static> {
        let own = |raw: Cow<'_, [u8]>| Cow::Owned(raw.into_owned());
        let own_id = |id: Option<Cow<'_, str>>| id.map(|id| Cow::Owned(id.into_owned()));
        match self {
            Self::Reading(sent) => Decoded::Reading(SentReading {
                value: sent.value,
                unit: sent.unit,
                length: sent.length,
                minus: sent.minus,
                id: own_id(sent.id),
                status: sent.status,
                rounded: sent.rounded,
                raw: own(sent.raw),
                offset: sent.offset,
            }),
            Self::Status(sent) => Decoded::Status(SentStatus {
                id: own_id(sent.id),
                status: sent.status,
                raw: own(sent.raw),
                offset: sent.offset,
            }),
            Self::Error(sent) => Decoded::Error(SentError {
                error: sent.error,
                raw: own(sent.raw),
                offset: sent.offset,
            }),
        }
    }
}

impl SentReading<'_> {
    /// The value as text: decimals as sent, leading zeros dropped, `-` before a negative one.
    pub fn value_text(&self) -> String {
        self.value.to_string()
    }

    /// The reading of that gauge.
    ///
    /// # Errors
    /// The one of [`SentReading::length`]: the bytes are to be kept, nothing is measured.
    pub fn to_reading(&self, gauge: GaugeId, origin: Origin) -> Result<Reading, WireError> {
        Ok(Reading {
            gauge,
            observed: Observed::Length(self.length?),
            shown: Shown {
                unit: self.unit,
                decimals: self.value.decimals(),
                minus: self.minus,
            },
            status: self.status,
            origin,
            raw: self.raw.to_vec(),
            rounded: self.rounded,
        })
    }
}
