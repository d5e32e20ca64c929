//! The layout of a frame, remembered: the quick way for frames that look like an earlier one.
//!
//! A gauge sends the same layout again and again; only digits change. Once a frame was read the
//! long way, a frame of the same length that has the same bytes everywhere except for digits of
//! its number and id, followed by the same terminator, must give the same fields at the same
//! places. Why that is sound:
//!
//! - The framing sees the same: digits are never terminators here, and the bytes that are
//!   skipped before a frame are no digits.
//! - Pattern: fits at the same places if it is blind to digits (`pattern.rs`). Columns: always.
//! - Sign, unit and status are looked up from bytes that must be equal; the count of decimals
//!   and the place of the marker are the layout's own.
//! - What depends on the digits (check characters, scales, words for a whole frame that hold
//!   digits) keeps an adapter from being remembered at all; limits are compared each time.
//!
//! The tests compare this way with the long one over the corpus and over random frames.

use super::adapter::{Adapter, Check, Fields, Framing, PerUnit, Terminator};
use super::reader::SaidValue;
use crate::gauge::GaugeStatus;
use crate::quantity::LengthUnit;

/// Longest frame with terminator that is remembered, in groups of eight bytes.
const GROUPS: usize = 4;

/// The bytes that a layout is compared with: a frame and what follows it, or NUL.
pub(super) type Window = [u8; GROUPS * 8];

/// The front of `rest`; behind its end stand NULs, which no layout takes for its terminator
/// unless it is NUL itself, and then the caller's check of the length refuses it.
#[inline]
pub(super) fn padded_window(rest: &[u8]) -> Window {
    let mut window = [0; GROUPS * 8];
    for (place, byte) in window.iter_mut().zip(rest) {
        *place = *byte;
    }
    window
}

/// Eight bytes of a layout.
#[derive(Debug, Clone, Copy, Default)]
struct Group {
    /// Bits that must equal `same`: whole bytes, and the upper half of digits (3xh).
    fixed: u64,
    same: u64,
    /// 0Fh where any digit may stand.
    digits: u64,
    /// 06h there: it lifts a lower half above 9 into the upper half.
    lift: u64,
}

/// One remembered layout.
#[derive(Debug, Clone, Copy)]
pub(super) struct Layout {
    groups: [Group; GROUPS],
    whole: Digits,
    fraction: Digits,
    tens: u64,
    /// The number has at most eight digits.
    joined: bool,
    /// Bits to shift the aligned whole digits down to stand before the fraction.
    closing: u32,
    nm_per_count: i64,
    limit_nm: i64,
    /// Bytes of the frame without its terminator.
    pub(super) frame_length: usize,
    /// Bytes of the frame with its terminator.
    pub(super) used: usize,
    pub(super) decimals: u8,
    pub(super) unit: LengthUnit,
    pub(super) minus: bool,
    pub(super) status: GaugeStatus,
    pub(super) id: Option<(usize, usize)>,
}

/// A run of at most eight digits in a frame.
#[derive(Debug, Clone, Copy)]
struct Digits {
    /// Where the eight bytes that are loaded begin.
    load: usize,
    /// Bits to shift up so that the last digit becomes the highest byte.
    shift: u32,
    /// FFh where the run's digits are after the shift.
    mask: u64,
}

impl Digits {
    fn new(from: usize, to: usize) -> Option<Self> {
        let length = to.checked_sub(from).filter(|length| *length <= 8)?;
        let load = to.saturating_sub(8);
        let missing = 8_usize.checked_sub(to - load)?;
        let mask = match length {
            0 => 0,
            _ => u64::MAX << (8 * (8 - length)),
        };
        Some(Self {
            load,
            shift: u32::try_from(8 * missing).ok().filter(|bits| *bits < 64)?,
            mask,
        })
    }

    /// The digits of the run as values 0 to 9, the last one in the highest byte.
    #[inline]
    fn aligned(&self, bytes: &Window) -> Option<u64> {
        Some(((load(bytes, self.load)? << self.shift) ^ ZEROS) & self.mask)
    }
}

/// The number that eight digits spell, the first of them in the lowest byte.
#[inline]
fn spelt(digits: u64) -> u64 {
    // Pairs, then fours, then eight: each step adds neighbours with their weights.
    let pairs = digits.wrapping_mul(10).wrapping_add(digits >> 8);
    let low = (pairs & 0x0000_00ff_0000_00ff).wrapping_mul(0x000f_4240_0000_0064);
    let high = ((pairs >> 16) & 0x0000_00ff_0000_00ff).wrapping_mul(0x0000_2710_0000_0001);
    low.wrapping_add(high) >> 32
}

const ZEROS: u64 = 0x3030_3030_3030_3030;

#[inline]
fn load(bytes: &Window, at: usize) -> Option<u64> {
    let eight = bytes.get(at..)?.first_chunk::<8>()?;
    Some(u64::from_le_bytes(*eight))
}

/// Whether layouts of this adapter may be remembered.
pub(super) fn may_remember(adapter: &Adapter) -> bool {
    let Framing::Terminated { end, .. } = &adapter.framing else {
        return false;
    };
    let plain_end = match end {
        Terminator::Any | Terminator::LineFeed => true,
        Terminator::Bytes(marker) => !marker.as_slice().iter().any(u8::is_ascii_digit),
    };
    let blind = match &adapter.fields {
        Fields::Pattern(pattern) => pattern.digit_blind,
        Fields::Columns(_) => true,
        Fields::Nibbles(_) | Fields::Bits(_) | Fields::Registers(_) => false,
    };
    let digit_words = adapter
        .status_words
        .keys()
        .any(|word| word.bytes().any(|byte| byte.is_ascii_digit()));
    plain_end
        && blind
        && !digit_words
        && adapter.check == Check::None
        && adapter.number.scale == PerUnit::default()
}

impl Layout {
    /// Remembers the layout of a frame that was read as `said`; `None` if it is too long, its
    /// number too large, or its step no whole number of nanometres.
    pub(super) fn new(
        adapter: &Adapter,
        frame: &[u8],
        behind: &[u8],
        said: &SaidValue,
    ) -> Option<Self> {
        let used = frame.len() + behind.len();
        if used > GROUPS * 8 || behind.is_empty() || said.rounded || said.length.is_err() {
            return None;
        }
        let (number_from, _) = said.spans.number?;
        let place = |run: (usize, usize)| Digits::new(run.0 + number_from, run.1 + number_from);
        let written = &said.written;
        let decimals = said.value.decimals();
        let fraction_digits = u32::try_from(written.fraction.1 - written.fraction.0).ok()?;
        let whole_digits = u32::try_from(written.whole.1 - written.whole.0).ok()?;
        let tens = 10_i64.checked_pow(u32::from(decimals))?;
        let nm_per_unit = said.unit.nm();
        if nm_per_unit % tens != 0 {
            return None;
        }
        let mut groups = [Group::default(); GROUPS];
        let in_span = |at: usize, span: Option<(usize, usize)>| {
            span.is_some_and(|(from, to)| (from..to).contains(&at))
        };
        for (at, byte) in frame.iter().chain(behind).enumerate() {
            let looked_up = in_span(at, said.spans.sign)
                || in_span(at, said.spans.unit)
                || in_span(at, said.spans.status);
            let group = groups.get_mut(at / 8)?;
            let bits = 8 * (at % 8);
            if byte.is_ascii_digit() && !looked_up {
                group.fixed |= 0xf0 << bits;
                group.same |= 0x30 << bits;
                group.digits |= 0x0f << bits;
                group.lift |= 0x06 << bits;
            } else {
                group.fixed |= 0xff << bits;
                group.same |= u64::from(*byte) << bits;
            }
        }
        let limit = adapter.max_abs.of(said.unit);
        Some(Self {
            groups,
            whole: place(written.whole)?,
            fraction: place(written.fraction)?,
            tens: 10_u64.checked_pow(fraction_digits)?,
            joined: whole_digits + fraction_digits <= 8 && fraction_digits < 8,
            closing: (8 * fraction_digits).min(63),
            nm_per_count: nm_per_unit / tens,
            limit_nm: limit.unwrap_or(crate::quantity::Length::MAX).as_nm(),
            frame_length: frame.len(),
            used,
            decimals,
            unit: said.unit,
            minus: said.minus,
            status: said.status,
            id: said.spans.id,
        })
    }

    /// Count and nanometres, both signed, of a frame of this layout at the front of `window`;
    /// `None` when it is not of this layout or not certain to be a good reading.
    #[inline]
    pub(super) fn value(&self, window: &Window) -> Option<(i64, i64)> {
        let (near, far) = self.groups.split_at(GROUPS / 2);
        let mut differs = 0;
        for (at, group) in near.iter().enumerate() {
            differs |= group.differs(load(window, 8 * at)?);
        }
        if self.used > GROUPS * 4 {
            for (at, group) in far.iter().enumerate() {
                differs |= group.differs(load(window, 8 * (at + GROUPS / 2))?);
            }
        }
        if differs != 0 {
            return None;
        }
        let fraction = self.fraction.aligned(window)?;
        let count = match self.joined {
            // Up to eight digits: closed up over the marker and spelt at once.
            true => spelt(fraction | (self.whole.aligned(window)? >> self.closing)),
            false => spelt(self.whole.aligned(window)?) * self.tens + spelt(fraction),
        };
        let count = i64::try_from(count).ok()?;
        let nm = count.checked_mul(self.nm_per_count)?;
        if nm > self.limit_nm {
            return None;
        }
        Some(match self.minus {
            true => (-count, -nm),
            false => (count, nm),
        })
    }
}

impl Group {
    /// Not zero when eight bytes differ from the layout's.
    #[inline]
    fn differs(&self, bytes: u64) -> u64 {
        let lifted = (bytes & self.digits) + self.lift;
        ((bytes & self.fixed) ^ self.same) | (lifted & (self.digits << 4))
    }
}
