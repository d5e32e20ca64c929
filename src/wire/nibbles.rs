//! Fields of frames that are groups of 4 bits: a header, digits, and what their groups mean.
//!
//! Order of tests as the wire rules say: count, codes, header, sign, digits, places, unit.

use super::adapter::{Adapter, UnitRule};
use super::error::WireError;
use super::reader::{self, Counted};
use crate::quantity::{Decimal, LengthUnit};

/// How groups of 4 bits lie in the bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Coding {
    /// Each group is one hexadecimal character, either case.
    HexText,
    /// Each group is one byte; its upper half is zero.
    LowNibble,
    /// Two groups in a byte, the first in the lower half.
    PackedLowFirst,
    /// Two groups in a byte, the first in the upper half.
    PackedHighFirst,
}

/// Places of the fields, in groups from 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Nibbles {
    pub(super) coding: Coding,
    pub(super) count: usize,
    /// The groups that every frame begins with.
    pub(super) header: Vec<u8>,
    pub(super) sign: Option<usize>,
    /// `[from, to)`.
    pub(super) digits: (usize, usize),
    /// The first group of `digits` is the lowest digit.
    pub(super) lowest_first: bool,
    pub(super) places: Option<usize>,
    pub(super) unit: Option<usize>,
    pub(super) flags: Option<Flags>,
}

/// A group whose bits have meanings; bits without one are not looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Flags {
    pub(super) group: usize,
    /// Set: the number is negative.
    pub(super) minus: Option<u8>,
    /// Set: 5 in the next decimal. Only known for inches.
    pub(super) half: Option<u8>,
    /// Set: millimetres, else inches.
    pub(super) millimetre: Option<u8>,
}

impl Nibbles {
    /// Most groups of a frame (chosen; 13 is the longest that is known).
    pub(super) const GROUPS_MAX: usize = 64;
    /// Most digits of a number: with a half step it stays below what a decimal holds.
    pub(super) const DIGITS_MAX: usize = Decimal::DIGITS_MAX - 2;

    /// Whether the frame is plain characters.
    pub(super) fn is_text(&self) -> bool {
        self.coding == Coding::HexText
    }

    /// Bytes of a frame without its check bytes.
    pub(super) fn bytes(&self) -> usize {
        match self.coding {
            Coding::HexText | Coding::LowNibble => self.count,
            Coding::PackedLowFirst | Coding::PackedHighFirst => self.count.div_ceil(2),
        }
    }

    /// What the groups of a frame say.
    pub(super) fn read(&self, body: &[u8], adapter: &Adapter) -> Result<Counted, WireError> {
        let mut room = [0; Self::GROUPS_MAX];
        let groups = self.groups(body, &mut room)?;
        let group = |at: usize| groups.get(at).copied().ok_or(WireError::WrongLength);
        if !groups.starts_with(&self.header) {
            return Err(WireError::BadHeader);
        }
        let flag = |bit: fn(&Flags) -> Option<u8>| -> Result<bool, WireError> {
            match self
                .flags
                .and_then(|flags| Some((flags.group, bit(&flags)?)))
            {
                None => Ok(false),
                Some((at, bit)) => Ok(group(at)? & (1 << bit) != 0),
            }
        };
        let minus = match self.sign {
            Some(at) => reader::sign(&adapter.signs, hex_code(group(at)?))
                .map_err(|_| WireError::BadDigit)?,
            None => flag(|flags| flags.minus)?,
        };
        let mut count = self.number(groups)?;
        let places = match self.places {
            None => None,
            Some(at) => {
                let places = group(at)?;
                if adapter.number.max_places.is_none_or(|most| places > most) {
                    return Err(WireError::BadDigit);
                }
                Some(places)
            }
        };
        let unit = match (&adapter.unit, self.unit) {
            (UnitRule::Flag, _) => match flag(|flags| flags.millimetre)? {
                true => LengthUnit::Millimetre,
                false => LengthUnit::Inch,
            },
            (rule, None) => reader::unit(rule, b"")?,
            (rule, Some(at)) => reader::unit(rule, hex_code(group(at)?))?,
        };
        let mut decimals = places.or(adapter.number.places.of(unit)).unwrap_or(0);
        if self.flags.is_some_and(|flags| flags.half.is_some()) {
            let half = flag(|flags| flags.half)?;
            match unit {
                LengthUnit::Inch => {
                    count = count * 10 + if half { 5 } else { 0 };
                    decimals += 1;
                }
                // What a half step means in millimetres is known of no gauge: not guessed.
                LengthUnit::Millimetre if half => return Err(WireError::BadDigit),
                LengthUnit::Millimetre => {}
            }
        }
        Ok(Counted {
            number: Decimal::new(count, decimals).map_err(|_| WireError::NotExact)?,
            minus,
            unit,
        })
    }

    /// The number that the digit groups spell.
    fn number(&self, groups: &[u8]) -> Result<i128, WireError> {
        let (from, to) = self.digits;
        let digits = groups.get(from..to).ok_or(WireError::WrongLength)?;
        if digits.iter().any(|digit| *digit > 9) {
            return Err(WireError::BadDigit);
        }
        let add = |number: i128, digit: &u8| number * 10 + i128::from(*digit);
        Ok(match self.lowest_first {
            true => digits.iter().rev().fold(0, add),
            false => digits.iter().fold(0, add),
        })
    }

    /// The groups of a frame, laid out in `room`.
    fn groups<'r>(
        &self,
        body: &[u8],
        room: &'r mut [u8; Self::GROUPS_MAX],
    ) -> Result<&'r [u8], WireError> {
        if body.len() != self.bytes() {
            return Err(WireError::WrongLength);
        }
        for (at, place) in room.iter_mut().take(self.count).enumerate() {
            let byte_at = match self.coding {
                Coding::HexText | Coding::LowNibble => at,
                Coding::PackedLowFirst | Coding::PackedHighFirst => at / 2,
            };
            let byte = *body.get(byte_at).ok_or(WireError::WrongLength)?;
            *place = match self.coding {
                Coding::HexText => hex_digit(byte).ok_or(WireError::BadDigit)?,
                Coding::LowNibble if byte > 0x0f => return Err(WireError::BadDigit),
                Coding::LowNibble => byte,
                Coding::PackedLowFirst if at % 2 == 0 => byte & 0x0f,
                Coding::PackedHighFirst if at % 2 == 1 => byte & 0x0f,
                Coding::PackedLowFirst | Coding::PackedHighFirst => byte >> 4,
            };
        }
        room.get(..self.count).ok_or(WireError::WrongLength)
    }
}

/// The value of a hexadecimal character, either case.
fn hex_digit(byte: u8) -> Option<u8> {
    let digit = char::from(byte).to_digit(16)?;
    u8::try_from(digit).ok()
}

/// The code of a group as an adapter's maps write it.
fn hex_code(group: u8) -> &'static [u8] {
    const CODES: &[u8; 16] = b"0123456789ABCDEF";
    let at = usize::from(group & 0x0f);
    CODES.get(at..=at).unwrap_or_default()
}
