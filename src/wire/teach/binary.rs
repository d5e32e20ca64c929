//! Bursts of bits: one unsigned number of some bits, a bit that says minus, a bit that says inch.
//!
//! Every bit that ever changes must be explained as part of the number, as the sign or as the
//! unit; so bytes that are noise fit nothing.

use super::draft::Draft;
use super::factor::{Factor, Fit, Known, Number, fit};
use super::framing::{Cut, quoted};
use super::problem::TeachProblem;
use super::{Role, Sample};

/// Longest burst that may be one number, bytes (chosen: 24 bits and a few bytes before them).
const BYTES_MAX: usize = 6;
/// Lowest bits that never change and may be left out, at most so many (chosen).
const LOW_MAX: u32 = 8;

/// One way to take the bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Way {
    skip: usize,
    high_first: bool,
    low: u32,
}

/// What a way found.
struct Seen {
    way: Way,
    factor: Factor,
    /// End of the number's bits.
    high: u32,
    sign: Option<u32>,
    unit: Option<(u32, Factor, bool)>,
    unit_asked: bool,
}

/// The way to read bursts that explains all samples.
pub(super) fn read(cut: &Cut, error: i128) -> Result<Draft, TeachProblem> {
    let length = cut.samples.first().map_or(0, |sample| sample.bytes.len());
    if !(2..=BYTES_MAX).contains(&length) {
        return Err(TeachProblem::NoLine);
    }
    let mut sizes: Vec<i128> = cut
        .samples
        .iter()
        .filter(|sample| sample.is_size())
        .map(Sample::expected)
        .collect();
    sizes.sort_unstable();
    sizes.dedup();
    if sizes.len() < 2 {
        return Err(TeachProblem::OneSize);
    }
    // Bytes at the start that never change and are not nought begin the burst.
    let first = cut.samples.first().map(|sample| sample.bytes.as_slice());
    let constant = |at: usize| {
        let byte = first.and_then(|bytes| bytes.get(at));
        byte.is_some_and(|byte| *byte != 0)
            && cut
                .samples
                .iter()
                .all(|sample| sample.bytes.get(at) == byte)
    };
    let lead = (0..length.saturating_sub(2))
        .take_while(|at| constant(*at))
        .count();
    let mut problem = TeachProblem::NoFactor;
    for skip in (0..=lead).rev() {
        for low in 0..=LOW_MAX {
            for high_first in [false, true] {
                let way = Way {
                    skip,
                    high_first,
                    low,
                };
                match explained(&cut.samples, way, length, error) {
                    Ok(seen) => return Ok(draft(cut, length, &seen)),
                    Err(other) => problem = problem.further(other),
                }
            }
        }
    }
    Err(problem)
}

fn assembled(bytes: &[u8], way: Way) -> u64 {
    let bytes = bytes.get(way.skip..).unwrap_or_default();
    let join = |sum: u64, byte: &u8| sum << 8 | u64::from(*byte);
    match way.high_first {
        true => bytes.iter().fold(0, join),
        false => bytes.iter().rev().fold(0, join),
    }
}

fn bits_of(raw: u64, low: u32, high: u32) -> Number {
    let count = (raw >> low) & ((1_u64 << (high - low)) - 1);
    Number {
        count: i128::from(count),
        decimals: 0,
    }
}

/// The samples as whole numbers, and what is common to the sizes among them.
struct Bits<'s> {
    way: Way,
    raws: Vec<(&'s Sample, u64)>,
    base: u64,
    error: i128,
}

impl Bits<'_> {
    /// Bits from `high` on that differ from the first size.
    fn outside(&self, raw: u64, high: u32) -> u64 {
        (raw ^ self.base) & !((1_u64 << high) - 1)
    }

    fn of(&self, wanted: fn(&Role) -> bool) -> Vec<u64> {
        let picked = self.raws.iter().filter(|(sample, _)| wanted(&sample.role));
        picked.map(|(_, raw)| *raw).collect()
    }

    /// The one bit from `high` on that sets these presses apart.
    fn only_bit(&self, wanted: fn(&Role) -> bool, high: u32) -> Option<u32> {
        let raws = self.of(wanted);
        let first = raws.first().map(|raw| self.outside(*raw, high))?;
        let same = raws.iter().all(|raw| self.outside(*raw, high) == first);
        (same && first.count_ones() == 1).then(|| first.trailing_zeros())
    }

    fn known(&self, wanted: fn(&Role) -> bool, high: u32, sign: i128) -> Vec<Known> {
        let picked = self.raws.iter().filter(|(sample, _)| wanted(&sample.role));
        picked
            .map(|(sample, raw)| {
                let number = bits_of(*raw, self.way.low, high);
                (number, sign * sample.expected())
            })
            .collect()
    }

    fn fits(&self, known: &[Known], factor: Factor) -> bool {
        known.iter().all(|one| factor.fits(*one, self.error))
    }
}

fn is_size(role: &Role) -> bool {
    matches!(role, Role::Size(_))
}

fn is_zeroed(role: &Role) -> bool {
    matches!(role, Role::Zeroed { .. })
}

fn is_pressed(role: &Role) -> bool {
    matches!(role, Role::OtherUnit(_))
}

fn is_confirm(role: &Role) -> bool {
    matches!(role, Role::Confirm(_))
}

fn explained(
    samples: &[Sample],
    way: Way,
    length: usize,
    error: i128,
) -> Result<Seen, TeachProblem> {
    let total = u32::try_from((length - way.skip) * 8).unwrap_or(u32::MAX);
    let raws = samples
        .iter()
        .map(|sample| (sample, assembled(&sample.bytes, way)));
    let mut bits = Bits {
        way,
        raws: raws.collect(),
        base: 0,
        error,
    };
    let sizes = bits.of(is_size);
    bits.base = *sizes.first().ok_or(TeachProblem::NoLine)?;
    // Bits that are always set in sizes cannot be told from a flag, so the number ends below them.
    let changing = sizes.iter().fold(0, |found, raw| found | (raw ^ bits.base));
    let top = (64 - changing.leading_zeros()).max(way.low + 8);
    if changing & ((1 << way.low) - 1) != 0 || top > total {
        return Err(TeachProblem::NoFactor);
    }
    let constant_set = bits.base & !changing;
    let mut high = (top..total)
        .find(|bit| constant_set >> bit & 1 == 1)
        .unwrap_or(total);
    let factor = match fit(&bits.known(is_size, high, 1), error) {
        Fit::One(factor) => factor,
        other => return Err(TeachProblem::of_fit(&other)),
    };
    let unit_asked = !bits.of(is_pressed).is_empty();
    let mut sign = None;
    if !bits.of(is_zeroed).is_empty() {
        // The number may reach up to the lowest bit that means something else.
        let end = (top..=high).rev().find(|end| {
            let minus = bits.known(is_zeroed, *end, -1);
            bits.only_bit(is_zeroed, *end).is_some() && bits.fits(&minus, factor)
        });
        high = end.ok_or(TeachProblem::NoSign)?;
        sign = bits.only_bit(is_zeroed, high);
    }
    let mut unit = None;
    if unit_asked && !bits.fits(&bits.known(is_pressed, high, 1), factor) {
        let found = unit_bit(&bits, factor, top, high).ok_or(TeachProblem::UnitUnclear)?;
        high = high.min(found.0);
        unit = Some((found.1, found.2, bits.base >> found.1 & 1 == 1));
    }
    let confirmed = bits.of(is_confirm);
    let clean = confirmed.iter().all(|raw| bits.outside(*raw, high) == 0);
    if !clean || !bits.fits(&bits.known(is_confirm, high, 1), factor) {
        return Err(TeachProblem::Unexplained);
    }
    Ok(Seen {
        way,
        factor,
        high,
        sign,
        unit,
        unit_asked,
    })
}

/// The end of the number, the bit and the factor that explain the press after the unit key.
fn unit_bit(bits: &Bits<'_>, own: Factor, top: u32, high: u32) -> Option<(u32, u32, Factor)> {
    let others: Vec<Factor> = Factor::candidates()
        .filter(|other| other.unit != own.unit)
        .collect();
    (top..=high).rev().find_map(|end| {
        let bit = bits.only_bit(is_pressed, end)?;
        let known = bits.known(is_pressed, end, 1);
        let fitting = others.iter().filter(|other| bits.fits(&known, **other));
        match fitting.collect::<Vec<&Factor>>().as_slice() {
            [only] => Some((end, bit, **only)),
            _ => None,
        }
    })
}

fn draft(cut: &Cut, length: usize, seen: &Seen) -> Draft {
    let mut draft = Draft::default();
    let way = seen.way;
    let order = if way.high_first {
        "high_first"
    } else {
        "low_first"
    };
    draft.fields.push(("kind", quoted("bits")));
    if way.skip > 0 {
        draft.fields.push(("skip", way.skip.to_string()));
        let lead = cut
            .samples
            .first()
            .and_then(|s| s.bytes.get(..way.skip.min(4)));
        let lead: String = lead
            .unwrap_or_default()
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        draft.frame = Some(vec![
            ("kind", quoted("start_length")),
            ("start_hex", quoted(&lead)),
            ("length", length.to_string()),
        ]);
        draft
            .assumed
            .push(format!("Every burst begins with {lead}."));
    }
    draft.fields.push(("byte_order", quoted(order)));
    draft
        .fields
        .push(("magnitude", format!("[{}, {}]", way.low, seen.high)));
    if let Some(sign) = seen.sign {
        draft.fields.push(("sign", sign.to_string()));
        draft.found.push(format!("Bit {sign} says minus."));
    } else {
        draft
            .unknown
            .push("Which bit says minus, if one does.".into());
        draft.assumed.push(
            "No negative reading was seen; bits that were always 0 count as part of the number, \
             so that a minus is refused as too large."
                .into(),
        );
    }
    draft.found.insert(
        0,
        format!(
            "The number is bits {} to {} of each burst, {} byte first; a one is {}.",
            way.low,
            seen.high - 1,
            if way.high_first { "highest" } else { "lowest" },
            seen.factor.words()
        ),
    );
    unit(seen, &mut draft);
    draft
}

fn unit(seen: &Seen, draft: &mut Draft) {
    let (own, text) = (seen.factor.unit.symbol(), quoted(&seen.factor.text()));
    if let Some((bit, other, set)) = seen.unit {
        draft.fields.push(("unit", bit.to_string()));
        let (own_code, other_code) = if set { ("1", "0") } else { ("0", "1") };
        let symbol = other.unit.symbol();
        let map = format!("{{ \"{own_code}\" = \"{own}\", \"{other_code}\" = \"{symbol}\" }}");
        draft.unit = vec![("rule", quoted("field")), ("map", map)];
        let other_text = quoted(&other.text());
        let scale = format!("{{ \"{own}\" = {text}, \"{symbol}\" = {other_text} }}");
        draft.number = vec![("scale", scale)];
        draft.found.push(format!("Bit {bit} says the unit."));
    } else {
        draft.unit = vec![("rule", quoted("fixed")), ("value", quoted(own))];
        draft.number = vec![("scale", format!("{{ \"{own}\" = {text} }}"))];
        let tried = match seen.unit_asked {
            true => "its unit key does not change what is sent",
            false => "its unit key was not tried",
        };
        draft
            .assumed
            .push(format!("The gauge stays in {own}; {tried}."));
    }
    // Beyond this a set bit that was never seen would be read as part of the number.
    let (mm, inch) = ("\"mm\" = \"350\"", "\"in\" = \"14\"");
    let limit = match (seen.unit.is_some(), own) {
        (true, _) => format!("{{ {mm}, {inch} }}"),
        (false, "mm") => format!("{{ {mm} }}"),
        (false, _) => format!("{{ {inch} }}"),
    };
    draft.limits = vec![("max_abs", limit)];
    draft
        .assumed
        .push("No reading is beyond 350 mm (14 in).".into());
}
