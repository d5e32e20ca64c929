//! What comes out of the decoder.

use super::error::WireError;
use crate::gauge::{GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
use crate::quantity::{Decimal, Length, LengthUnit};

/// One thing that a stream of bytes said, with bytes of its own; [`Heard`] borrows them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decoded<B = Vec<u8>, S = String> {
    /// A value.
    Reading(SentReading<B, S>),
    /// A state of the gauge without a value.
    Status(SentStatus<B, S>),
    /// Bytes that are no reading, with the reason.
    Error(SentError<B>),
}

/// One thing that a stream of bytes said, while its bytes are still where they arrived.
pub type Heard<'b> = Decoded<&'b [u8], &'b str>;

/// A value that was sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SentReading<B = Vec<u8>, S = String> {
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
    pub id: Option<S>,
    /// The gauge's own word beside the value.
    pub status: GaugeStatus,
    /// The value was rounded to 1 nm from a count that is no whole number of nanometres.
    pub rounded: bool,
    /// The frame: text without its terminator, or start byte through check bytes.
    pub raw: B,
    /// Place of the frame's first byte in the stream, from 0.
    pub offset: u64,
}

/// A state that was sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SentStatus<B = Vec<u8>, S = String> {
    /// Which gauge or channel, as sent.
    pub id: Option<S>,
    /// The state.
    pub status: GaugeStatus,
    /// The frame.
    pub raw: B,
    /// Place of the frame's first byte in the stream, from 0.
    pub offset: u64,
}

/// Bytes that are no reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SentError<B = Vec<u8>> {
    /// Why.
    pub error: WireError,
    /// The bytes, at most a few more than the adapter's longest frame.
    pub raw: B,
    /// Place of the first of them in the stream, from 0.
    pub offset: u64,
}

impl Heard<'_> {
    /// The same with bytes of its own.
    pub fn to_decoded(&self) -> Decoded {
        match *self {
            Self::Reading(sent) => Decoded::Reading(SentReading {
                value: sent.value,
                unit: sent.unit,
                length: sent.length,
                minus: sent.minus,
                id: sent.id.map(str::to_owned),
                status: sent.status,
                rounded: sent.rounded,
                raw: sent.raw.to_vec(),
                offset: sent.offset,
            }),
            Self::Status(sent) => Decoded::Status(SentStatus {
                id: sent.id.map(str::to_owned),
                status: sent.status,
                raw: sent.raw.to_vec(),
                offset: sent.offset,
            }),
            Self::Error(sent) => Decoded::Error(SentError {
                error: sent.error,
                raw: sent.raw.to_vec(),
                offset: sent.offset,
            }),
        }
    }
}

impl<B: AsRef<[u8]>, S> SentReading<B, S> {
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
            raw: self.raw.as_ref().to_vec(),
            rounded: self.rounded,
        })
    }
}
