//! The hash of a line, and its text. It knows nothing of what a line says.

use std::fmt;

use sha2::{Digest, Sha256};

/// Bytes of a hash's text: two lower-case hexadecimal digits for each of 32 bytes.
pub(crate) const HEX_LENGTH: usize = 64;

const DIGITS: &[u8; 16] = b"0123456789abcdef";

/// A line's SHA-256 (FIPS 180-4), taken over one zero byte and the line's bytes before `,"hash"`.
///
/// The zero byte keeps a line's hash apart from any other use of SHA-256 on the same bytes
/// (the leaf prefix of RFC 6962, section 2.1).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hash([u8; 32]);

impl Hash {
    /// What the first line names as its predecessor: 32 zero bytes.
    pub const GENESIS: Self = Self([0; 32]);

    /// The hash of a line's covered bytes (all before `,"hash"`).
    #[must_use]
    pub fn of(covered: &[u8]) -> Self {
        let mut state = Sha256::new();
        state.update([0_u8]);
        state.update(covered);
        Self(state.finalize().into())
    }

    /// The hash of bytes that already begin with the zero byte.
    pub(crate) fn of_prefixed(zero_and_covered: &[u8]) -> Self {
        Self(Sha256::digest(zero_and_covered).into())
    }

    /// The 32 bytes.
    #[must_use]
    pub fn bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// Reads 64 lower-case hexadecimal digits; `None` for anything else.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let digits: &[u8; HEX_LENGTH] = text.as_bytes().try_into().ok()?;
        let mut bytes = [0_u8; 32];
        let mut faults = 0_u8;
        for (byte, pair) in bytes.iter_mut().zip(digits.as_chunks::<2>().0) {
            let [high, low] = pair.map(|digit| VALUES[usize::from(digit)]);
            faults |= high | low;
            *byte = (high << 4) | (low & 0x0f);
        }
        (faults & 0xf0 == 0).then_some(Self(bytes))
    }

    /// The text, as bytes.
    pub(crate) fn hex(&self) -> [u8; HEX_LENGTH] {
        let mut text = [0_u8; HEX_LENGTH];
        for (pair, byte) in text.as_chunks_mut::<2>().0.iter_mut().zip(self.0) {
            *pair = [
                DIGITS[usize::from(byte >> 4)],
                DIGITS[usize::from(byte & 0x0f)],
            ];
        }
        text
    }
}

/// The value of each lower-case hexadecimal digit; 0xf0 for every other byte.
static VALUES: [u8; 256] = values();

#[allow(clippy::cast_possible_truncation)] // the index of a 16-entry table fits a byte
const fn values() -> [u8; 256] {
    let mut table = [0xf0_u8; 256];
    let mut value = 0;
    while value < DIGITS.len() {
        table[DIGITS[value] as usize] = value as u8;
        value += 1;
    }
    table
}

impl fmt::Display for Hash {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.hex()
            .iter()
            .try_for_each(|digit| write!(out, "{}", char::from(*digit)))
    }
}

impl fmt::Debug for Hash {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "Hash({self})")
    }
}
