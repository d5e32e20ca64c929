//! What one count on the wire is worth: the exact candidates, and which of them fit known sizes.
//!
//! Everything is whole numbers: a candidate is a ratio of nanometres, a number on the wire a
//! count and its decimals, so nothing is rounded before it is compared.

use crate::quantity::{Length, LengthUnit};

/// Largest worth of a number's last digit, nanometres (chosen: hand gauges resolve 0.1 mm or
/// 0.005 in at least; a coarser digit would fit any size).
const DIGIT_NM_MAX: i128 = 130_000;

/// Largest offset that is told as such, nanometres (chosen: no hand gauge shows more than a metre
/// beside the truth; digits that do not belong to the number do).
const SHIFT_NM_MAX: i128 = 1_000_000_000;

/// A number as it came: `count / 10^decimals`, the sign in the count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Number {
    pub(super) count: i128,
    pub(super) decimals: u8,
}

/// One candidate: `nm / divisor` nanometres for a one on the wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Factor {
    pub(super) unit: LengthUnit,
    nm: i128,
    divisor: i128,
    kind: Kind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// `10^-k` units.
    Decimal(u8),
    /// `5 · 10^-k` units.
    Fives(u8),
    /// An inch in so many parts.
    Parts(u32),
}

/// A number and the size in nanometres that it must mean.
pub(super) type Known = (Number, i128);

/// What a set of known numbers says about the factor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Fit {
    /// Exactly one candidate.
    One(Factor),
    /// Several, and the size in nanometres from which on they can be told apart.
    Several(Vec<Factor>, i128),
    /// All but one typed size agree: the typed size and what the gauge read, nanometres.
    Mistyped(i128, i128),
    /// All are off by the same nanometres: not zeroed.
    Shifted(i128),
    /// None.
    None,
}

impl Factor {
    /// The candidates: powers of ten and fives of millimetre and inch, and an inch in 10 240 or
    /// 20 480 parts.
    pub(super) fn candidates() -> impl Iterator<Item = Self> {
        let of_units = [LengthUnit::Millimetre, LengthUnit::Inch].into_iter();
        let of_units = of_units.flat_map(|unit| {
            let unit_nm = i128::from(unit.nm());
            let tens = (0..=5).map(move |k| Self {
                unit,
                nm: unit_nm,
                divisor: 10_i128.pow(k),
                kind: Kind::Decimal(u8::try_from(k).unwrap_or(u8::MAX)),
            });
            let fives = (2..=5).map(move |k| Self {
                unit,
                nm: unit_nm * 5,
                divisor: 10_i128.pow(k),
                kind: Kind::Fives(u8::try_from(k).unwrap_or(u8::MAX)),
            });
            tens.chain(fives)
        });
        let parts = [20_480, 10_240].map(|parts| Self {
            unit: LengthUnit::Millimetre,
            nm: i128::from(LengthUnit::Inch.nm()),
            divisor: i128::from(parts),
            kind: Kind::Parts(parts),
        });
        of_units.chain(parts)
    }

    /// Whether a one on the wire is one unit.
    pub(super) fn is_plain(self) -> bool {
        self.kind == Kind::Decimal(0)
    }

    /// How many decimals are understood, for a number without a mark in whole powers of ten.
    pub(super) fn implied_decimals(self) -> Option<u8> {
        match self.kind {
            Kind::Decimal(places) => Some(places),
            _ => None,
        }
    }

    /// The factor as an adapter's description writes it.
    pub(super) fn text(self) -> String {
        let places = |digit: char, k: u8| match k {
            0 => digit.to_string(),
            k => format!("0.{digit:0>width$}", width = usize::from(k)),
        };
        match self.kind {
            Kind::Decimal(k) => places('1', k),
            Kind::Fives(k) => places('5', k),
            Kind::Parts(parts) => format!("25.4/{parts}"),
        }
    }

    /// The factor in words: "0.01 mm".
    pub(super) fn words(self) -> String {
        format!("{} {}", self.text(), self.unit.symbol())
    }

    /// The worth of the number's last digit, nanometres, rounded up; none when it is too coarse.
    fn digit_nm(self, decimals: u8) -> Option<i128> {
        let divisor = self
            .divisor
            .checked_mul(10_i128.checked_pow(decimals.into())?)?;
        let digit = (self.nm + divisor - 1) / divisor;
        (digit <= DIGIT_NM_MAX).then_some(digit)
    }

    /// The number's length in nanometres, rounded towards zero; for words only.
    pub(super) fn nm_of(self, number: Number) -> Option<i128> {
        let divisor = self
            .divisor
            .checked_mul(10_i128.checked_pow(number.decimals.into())?)?;
        Some(number.count.checked_mul(self.nm)? / divisor)
    }

    /// Whether the number is the size within the error allowed and one digit.
    pub(super) fn fits(self, (number, size): Known, error: i128) -> bool {
        self.off_by(number, size, error).unwrap_or(false)
    }

    fn off_by(self, number: Number, size: i128, error: i128) -> Option<bool> {
        let allowed = error.checked_add(self.digit_nm(number.decimals)?)?;
        let divisor = self
            .divisor
            .checked_mul(10_i128.checked_pow(number.decimals.into())?)?;
        let read = number.count.checked_mul(self.nm)?;
        let off = read.checked_sub(size.checked_mul(divisor)?)?;
        Some(off.checked_abs()? <= allowed.checked_mul(divisor)?)
    }

    /// Whether the step from one number to the other is the step of their sizes.
    fn fits_step(self, one: Known, other: Known, error: i128) -> bool {
        let (long, short) = match one.0.decimals >= other.0.decimals {
            true => (one.0, other.0),
            false => (other.0, one.0),
        };
        let raised = 10_i128
            .checked_pow((long.decimals - short.decimals).into())
            .and_then(|power| short.count.checked_mul(power));
        let Some(raised) = raised else { return false };
        let (first, second) = match one.0.decimals >= other.0.decimals {
            true => (one.0.count, raised),
            false => (raised, other.0.count),
        };
        let step = Number {
            count: second - first,
            decimals: long.decimals,
        };
        self.fits((step, other.1 - one.1), 2 * error)
    }
}

/// Which factor the known numbers have; `error` in nanometres is what gauge and block may be off.
pub(super) fn fit(known: &[Known], error: i128) -> Fit {
    let fitting = |known: &[Known]| -> Vec<Factor> {
        Factor::candidates()
            .filter(|factor| known.iter().all(|one| factor.fits(*one, error)))
            .collect()
    };
    if known.iter().all(|(_, size)| *size == 0) {
        return Fit::None;
    }
    let found = fitting(known);
    match found.as_slice() {
        [] => {}
        [only] => return Fit::One(*only),
        several => return Fit::Several(found.clone(), larger(several, error)),
    }
    mistyped(known, error, fitting)
        .or_else(|| shifted(known, error))
        .unwrap_or(Fit::None)
}

/// The size from which on two factors differ by more than the error: with their ratio r > 1,
/// both fit a size below (2 e + digit) r / (r − 1).
fn larger(several: &[Factor], error: i128) -> i128 {
    let mut most = 0;
    for (at, one) in several.iter().enumerate() {
        for other in several.iter().skip(at + 1) {
            let (a, b) = (one.nm * other.divisor, other.nm * one.divisor);
            let (big, small) = (a.max(b), a.min(b));
            let digits = one.digit_nm(0).unwrap_or(0) + other.digit_nm(0).unwrap_or(0);
            if big > small {
                let allowed = (2 * error + digits).saturating_mul(big);
                most = most.max(allowed / (big - small) + 1);
            }
        }
    }
    most
}

/// With three different sizes and more: the one size without which all agree.
fn mistyped(
    known: &[Known],
    error: i128,
    fitting: impl Fn(&[Known]) -> Vec<Factor>,
) -> Option<Fit> {
    let sizes = different_sizes(known);
    if sizes.len() < 3 {
        return None;
    }
    let mut told = None;
    for size in sizes {
        let (left_out, kept): (Vec<Known>, Vec<Known>) =
            known.iter().copied().partition(|(_, of)| *of == size);
        if let [only] = fitting(&kept).as_slice() {
            let (number, _) = left_out.first()?;
            let read = only.nm_of(*number)?;
            // Two such sizes would mean that nothing is known.
            if told.is_some() || (read - size).abs() <= error {
                return None;
            }
            told = Some(Fit::Mistyped(size, read));
        }
    }
    told
}

/// A constant offset: the steps between sizes agree with one factor, the sizes do not.
fn shifted(known: &[Known], error: i128) -> Option<Fit> {
    let sizes = different_sizes(known);
    let first = *known.first()?;
    if sizes.len() < 2 {
        return None;
    }
    let stepping: Vec<Factor> = Factor::candidates()
        .filter(|factor| {
            known
                .iter()
                .all(|other| factor.fits_step(first, *other, error))
        })
        .collect();
    match stepping.as_slice() {
        [only] => {
            let by = only.nm_of(first.0)? - first.1;
            (by.abs() <= SHIFT_NM_MAX).then_some(Fit::Shifted(by))
        }
        _ => None,
    }
}

fn different_sizes(known: &[Known]) -> Vec<i128> {
    let mut sizes: Vec<i128> = known.iter().map(|(_, size)| *size).collect();
    sizes.sort_unstable();
    sizes.dedup();
    sizes
}

/// A length's nanometres, wide enough for products.
pub(super) fn nm(length: Length) -> i128 {
    i128::from(length.as_nm())
}

#[cfg(test)]
mod tests {
    use super::{Factor, Fit, Known, Number, fit};

    const SIZES: [i128; 3] = [1_005_000, 7_500_000, 20_000_000];

    /// splitmix64, published by Steele, Lea, Flood 2014.
    struct Random(u64);

    impl Random {
        fn below(&mut self, end: i128) -> i128 {
            self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let mut z = self.0;
            z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            i128::from(z ^ (z >> 31)).rem_euclid(end)
        }
    }

    /// The count that a gauge shows for a length: rounded half away from zero to its step.
    fn count(factor: Factor, nm: i128) -> Number {
        let doubled = 2 * nm * factor.divisor + nm.signum() * factor.nm;
        Number {
            count: doubled / (2 * factor.nm),
            decimals: 0,
        }
    }

    /// The design page's simulation: 4000 random factors of the list, error up to 0.9 e.
    #[test]
    fn exactly_one_factor_is_left_for_any_of_the_list() {
        let mut random = Random(20_261_126);
        let list: Vec<Factor> = Factor::candidates()
            .filter(|factor| factor.nm <= 50_800 * factor.divisor)
            .collect();
        assert!(list.len() > 12, "{}", list.len());
        for at in 0..4_000 {
            let factor = list[usize::try_from(random.below(list.len() as i128)).unwrap()];
            let error = [5_000, 30_000][at % 2];
            let known: Vec<Known> = SIZES
                .iter()
                .map(|size| {
                    let off = random.below(2 * error * 9 / 10 + 1) - error * 9 / 10;
                    (count(factor, size + off), *size)
                })
                .collect();
            assert_eq!(fit(&known, error), Fit::One(factor), "{known:?}");
        }
    }

    #[test]
    fn a_size_that_is_too_small_leaves_several_and_says_how_large_one_must_be() {
        let factor = Factor::candidates()
            .find(|f| f.words() == "0.01 mm")
            .unwrap();
        let known = [(count(factor, 100_000), 100_000)];
        let Fit::Several(several, larger) = fit(&known, 30_000) else {
            panic!("{:?}", fit(&known, 30_000));
        };
        assert!(
            several.contains(&factor) && several.len() > 1,
            "{several:?}"
        );
        let enough = [(count(factor, larger), larger)];
        assert_eq!(fit(&enough, 30_000), Fit::One(factor));
    }

    #[test]
    fn a_typing_slip_and_a_gauge_that_was_not_zeroed_are_told_apart() {
        let factor = Factor::candidates()
            .find(|f| f.words() == "0.001 mm")
            .unwrap();
        let mut known: Vec<Known> = SIZES.map(|size| (count(factor, size), size)).to_vec();
        known[1].1 = 5_700_000;
        assert_eq!(fit(&known, 20_000), Fit::Mistyped(5_700_000, 7_500_000));
        let shifted = SIZES.map(|size| (count(factor, size + 250_000), size));
        assert_eq!(fit(&shifted, 20_000), Fit::Shifted(250_000));
        let nonsense = [(count(factor, 3), 1_005_000), (count(factor, 9), 7_500_000)];
        assert_eq!(fit(&nonsense, 20_000), Fit::None);
        assert_eq!(fit(&[(count(factor, 0), 0)], 20_000), Fit::None);
    }

    #[test]
    fn a_factor_is_written_as_adapters_write_it() {
        let texts: Vec<String> = Factor::candidates().map(Factor::words).collect();
        for text in ["1 mm", "0.01 mm", "0.0005 mm", "0.0005 in", "25.4/20480 mm"] {
            assert!(texts.iter().any(|one| one == text), "{text} in {texts:?}");
        }
    }
}
