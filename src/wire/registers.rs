//! Fields of frames that are replies of Modbus RTU, an open standard: one or two registers.
//!
//! Order of tests as the wire rules say: too short, error reply (check, address), length, check,
//! address, function and byte count, value. No floating-point number is ever computed with: the
//! bits of one are taken apart and rounded as whole numbers.

use super::adapter::{NumberRule, UnitRule};
use super::error::WireError;
use super::reader::{self, Counted};
use crate::quantity::{Decimal, Rounding};

/// What a reply holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Registers {
    /// The device that must answer.
    pub(super) address: u8,
    /// 3 (holding registers) or 4 (input registers).
    pub(super) function: u8,
    pub(super) holds: RegisterType,
    /// Of two registers the first is the lower one.
    pub(super) low_first: bool,
}

/// The number in the registers; each register has its high byte first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum RegisterType {
    I16,
    U16,
    I32,
    U32,
    /// IEEE 754 binary32, rounded to the adapter's decimals.
    Float,
}

impl RegisterType {
    /// Registers that the number fills.
    pub(super) fn words(self) -> usize {
        match self {
            Self::I16 | Self::U16 => 1,
            Self::I32 | Self::U32 | Self::Float => 2,
        }
    }
}

/// Address, function, error code and check: an error reply.
const ERROR_REPLY_BYTES: usize = 5;
/// The bit of the function byte that marks an error reply.
const ERROR_BIT: u8 = 0x80;

impl Registers {
    /// Bytes of a whole reply: address, function, byte count, registers, check.
    pub(super) fn bytes(&self) -> usize {
        5 + 2 * self.holds.words()
    }

    /// What a reply says.
    pub(super) fn read(
        &self,
        frame: &[u8],
        number: &NumberRule,
        unit: &UnitRule,
    ) -> Result<Counted, WireError> {
        let (Some((body, check)), [address, function, ..]) = (frame.split_last_chunk(), frame)
        else {
            return Err(WireError::Truncated);
        };
        let error_reply = frame.len() == ERROR_REPLY_BYTES && function & ERROR_BIT != 0;
        if frame.len() < ERROR_REPLY_BYTES || (!error_reply && frame.len() < self.bytes()) {
            return Err(WireError::Truncated);
        }
        if frame.len() > self.bytes() {
            return Err(WireError::WrongLength);
        }
        if crc16_modbus(body).to_le_bytes() != *check {
            return Err(WireError::BadCheck);
        }
        if *address != self.address {
            return Err(WireError::WrongAddress);
        }
        if error_reply {
            return Err(WireError::DeviceError);
        }
        let data = body.get(3..).ok_or(WireError::Malformed)?;
        let says_length = body.get(2).copied().map(usize::from);
        if *function != self.function || says_length != Some(data.len()) {
            return Err(WireError::Malformed);
        }
        let unit = reader::unit(unit, b"")?;
        let (number, minus) = self.number(data, number)?;
        Ok(Counted {
            number,
            minus,
            unit,
        })
    }

    /// The magnitude in the registers and whether it is negative.
    fn number(&self, data: &[u8], rule: &NumberRule) -> Result<(Decimal, bool), WireError> {
        let number = match *data {
            [high, low] => u32::from(u16::from_be_bytes([high, low])),
            [a, b, c, d] if self.low_first => u32::from_be_bytes([c, d, a, b]),
            [a, b, c, d] => u32::from_be_bytes([a, b, c, d]),
            _ => return Err(WireError::Malformed),
        };
        let signed = match self.holds {
            RegisterType::Float => return rounded(number, rule.decimals.unwrap_or(0)),
            RegisterType::U16 | RegisterType::U32 => i64::from(number),
            RegisterType::I32 => i64::from(number.cast_signed()),
            RegisterType::I16 => {
                let word = u16::try_from(number).map_err(|_| WireError::Malformed)?;
                i64::from(word.cast_signed())
            }
        };
        let count = i128::from(signed.unsigned_abs());
        let magnitude = Decimal::new(count, 0).map_err(|_| WireError::NotExact)?;
        Ok((magnitude, signed < 0))
    }
}

/// The magnitude of a binary32 number rounded half to even to `decimals`, and its sign.
///
/// The number is `mantissa × 2^power` exactly, so that times 10^decimals it is a quotient of
/// whole numbers. Not finite, or not zero but below 10^-(decimals + 3): malformed, because that
/// is what registers in the wrong order look like.
fn rounded(bits: u32, decimals: u8) -> Result<(Decimal, bool), WireError> {
    let minus = bits >> 31 == 1;
    let exponent = (bits >> 23) & 0xff;
    let fraction = bits & 0x7f_ffff;
    let (mantissa, power) = match exponent {
        0xff => return Err(WireError::Malformed),
        0 => (fraction, -149),
        _ => (
            fraction | 0x80_0000,
            i32::try_from(exponent).map_or(0, |e| e - 150),
        ),
    };
    let tens = |places: u8| 10_i128.checked_pow(u32::from(places));
    let mantissa = i128::from(mantissa);
    let shift = power.unsigned_abs();
    let (above, below) = match power {
        // Beyond 2^80 it is no length, and no decimal number of 30 digits either.
        57.. => return Err(WireError::OutOfLimits),
        0.. => (mantissa.checked_shl(shift), Some(1)),
        // Below 2^-96 it is far too small, whatever the decimals.
        -120..0 => (Some(mantissa), 1_i128.checked_shl(shift)),
        _ if mantissa == 0 => (Some(0), Some(1)),
        _ => return Err(WireError::Malformed),
    };
    let (Some(above), Some(below), Some(least), Some(scale)) = (
        above,
        below,
        tens(decimals.saturating_add(3)),
        tens(decimals),
    ) else {
        return Err(WireError::NotExact);
    };
    // Products that do not fit in 128 bits belong to numbers far above the least.
    let too_small = above
        .checked_mul(least)
        .is_some_and(|product| product < below);
    if mantissa != 0 && too_small {
        return Err(WireError::Malformed);
    }
    let product = above.checked_mul(scale).ok_or(WireError::OutOfLimits)?;
    let count = Rounding::HalfEven.divide(product, below);
    let magnitude = Decimal::new(count, decimals).map_err(|_| WireError::OutOfLimits)?;
    Ok((magnitude, minus))
}

/// The check of Modbus RTU: CRC-16, polynomial A001h (reflected 8005h), start FFFFh, sent low
/// byte first. The check of the nine characters `123456789` is 4B37h.
pub(super) fn crc16_modbus(bytes: &[u8]) -> u16 {
    let mut check = 0xffff_u16;
    for byte in bytes {
        check ^= u16::from(*byte);
        for _ in 0..8 {
            let carry = check & 1 == 1;
            check >>= 1;
            if carry {
                check ^= 0xa001;
            }
        }
    }
    check
}

#[cfg(test)]
mod tests {
    use super::{crc16_modbus, rounded};
    use crate::wire::WireError;

    /// The check value is of the Modbus serial line guide's algorithm, as public notes give it.
    #[test]
    fn the_check_of_the_nine_digits_is_the_published_one() {
        assert_eq!(crc16_modbus(b"123456789"), 0x4b37);
        assert_eq!(crc16_modbus(b""), 0xffff);
        // A request of two registers, as gauges with registers are asked.
        let request = crc16_modbus(&[1, 3, 0, 0, 0, 2]);
        assert_eq!(request.to_le_bytes(), [0xc4, 0x0b]);
    }

    /// Bits by hand: 1.0 is 3F80_0000h; each step of the exponent doubles; 2^-4 = 0.0625 and
    /// 3 × 2^-4 = 0.1875 are ties at three decimals (62.5 and 187.5), to the even digit.
    #[test]
    fn a_float_is_rounded_half_to_even_from_its_bits() {
        for (bits, decimals, expected) in [
            (0x3f80_0000_u32, 3, Ok(("1.000", false))),
            (0xbf80_0000, 3, Ok(("1.000", true))),
            (0x3d80_0000, 3, Ok(("0.062", false))),
            (0x3e40_0000, 3, Ok(("0.188", false))),
            (0x3d80_0000, 4, Ok(("0.0625", false))),
            (0x8000_0000, 3, Ok(("0.000", true))),
            (0x0000_0000, 0, Ok(("0", false))),
            // 2^-20 = 9.54e-7 is below 1e-6 = 10^-(3+3); 2^-19 = 1.91e-6 is above.
            (0x3580_0000, 3, Err(WireError::Malformed)),
            (0x3600_0000, 3, Ok(("0.000", false))),
            (0x0000_0001, 3, Err(WireError::Malformed)),
            (0x0000_0001, 9, Err(WireError::Malformed)),
            (0x7f80_0000, 3, Err(WireError::Malformed)),
            (0xff80_0000, 3, Err(WireError::Malformed)),
            (0x7fc0_0000, 3, Err(WireError::Malformed)),
            // 2^23 = 8 388 608; 2^80 and the largest finite number are no lengths.
            (0x4b00_0000, 3, Ok(("8388608.000", false))),
            (0x6780_0000, 3, Err(WireError::OutOfLimits)),
            (0x7f7f_ffff, 9, Err(WireError::OutOfLimits)),
        ] {
            let found = rounded(bits, decimals).map(|(number, minus)| (number.to_string(), minus));
            let expected = expected.map(|(text, minus): (&str, bool)| (text.to_owned(), minus));
            assert_eq!(found, expected, "{bits:08x} to {decimals}");
        }
    }
}
