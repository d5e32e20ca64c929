//! Fields of frames that are one binary number: a magnitude, and single bits with a meaning.

use super::adapter::{Adapter, SignRule};
use super::error::WireError;
use super::reader::{self, Counted};
use crate::quantity::Decimal;

/// Places of the fields, in bits of the assembled number, from 0 for the lowest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Bits {
    /// Bytes at the start of the frame that do not belong to the number.
    pub(super) skip: usize,
    /// Bytes of the number, 1 to 8.
    pub(super) bytes: usize,
    /// The first byte is the lowest.
    pub(super) low_first: bool,
    /// `[from, to)`, unsigned.
    pub(super) magnitude: (u32, u32),
    pub(super) sign: Option<u32>,
    pub(super) unit: Option<u32>,
}

impl Bits {
    /// Most bytes of a number.
    pub(super) const BYTES_MAX: usize = 8;

    /// What the bits of a frame say. Bits without a meaning are not looked at.
    pub(super) fn read(&self, body: &[u8], adapter: &Adapter) -> Result<Counted, WireError> {
        let bytes = body.get(self.skip..).ok_or(WireError::WrongLength)?;
        if bytes.len() != self.bytes {
            return Err(WireError::WrongLength);
        }
        let add = |number: u64, byte: &u8| (number << 8) | u64::from(*byte);
        let number = match self.low_first {
            true => bytes.iter().rev().fold(0, add),
            false => bytes.iter().fold(0, add),
        };
        let bit = |at: u32| number.checked_shr(at).unwrap_or(0) & 1 == 1;
        let code = |at: u32| -> &[u8] { if bit(at) { b"1" } else { b"0" } };
        let minus = match (&adapter.signs, self.sign) {
            (_, None) => false,
            (SignRule::Plain, Some(at)) => bit(at),
            (rule, Some(at)) => reader::sign(rule, code(at))?,
        };
        let (from, to) = self.magnitude;
        let width = to.saturating_sub(from);
        let mask = u64::MAX.checked_shr(64_u32.saturating_sub(width));
        let count = number.checked_shr(from).unwrap_or(0) & mask.unwrap_or(0);
        let unit = reader::unit(&adapter.unit, self.unit.map_or(b"", code))?;
        Ok(Counted {
            number: Decimal::new(i128::from(count), 0).map_err(|_| WireError::NotExact)?,
            minus,
            unit,
        })
    }
}
