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

fn explained(
    samples: &[Sample],
    way: Way,
    length: usize,
    error: i128,
) -> Result<Seen, TeachProblem> {
    let total = u32::try_from((length - way.skip) * 8).unwrap_or(u32::MAX);
    let raws: Vec<(&Sample, u64)> = samples
        .iter()
        .map(|sample| (sample, assembled(&sample.bytes, way)))
        .collect();
    let of = |wanted: fn(&Role) -> bool| -> Vec<u64> {
        let picked = raws.iter().filter(|(sample, _)| wanted(&sample.role));
        picked.map(|(_, raw)| *raw).collect()
    };
    let sizes = of(|role| matches!(role, Role::Size(_)));
    let zeroed = of(|role| matches!(role, Role::Zeroed { .. }));
    let pressed = of(|role| matches!(role, Role::OtherUnit(_)));
    let base = *sizes.first().ok_or(TeachProblem::NoLine)?;
    // Bits that are always set in sizes cannot be told from a flag, so the number ends below them.
    let changing = sizes.iter().fold(0, |bits, raw| bits | (raw ^ base));
    if changing & ((1 << way.low) - 1) != 0 {
        return Err(TeachProblem::NoFactor);
    }
    let top = (64 - changing.leading_zeros()).max(way.low + 8);
    let constant_set = base & !changing;
    let mut high = (top..total)
        .find(|bit| constant_set >> bit & 1 == 1)
        .unwrap_or(total);
    if top > total {
        return Err(TeachProblem::NoFactor);
    }
    let outside = |raw: u64, high: u32| (raw ^ base) & !((1_u64 << high) - 1);
    let only_bit = |raws: &[u64], high: u32| -> Option<u32> {
        let first = raws.first().map(|raw| outside(*raw, high))?;
        let same = raws.iter().all(|raw| outside(*raw, high) == first);
        (same && first.count_ones() == 1).then(|| first.trailing_zeros())
    };
    let known = |wanted: fn(&Role) -> bool, high: u32, sign: i128| -> Vec<Known> {
        raws.iter()
            .filter(|(sample, _)| wanted(&sample.role))
            .map(|(sample, raw)| (bits_of(*raw, way.low, high), sign * sample.expected()))
            .collect()
    };
    let own = |role: &Role| matches!(role, Role::Size(_));
    let factor = match fit(&known(own, high, 1), error) {
        Fit::One(factor) => factor,
        other => return Err(TeachProblem::of_fit(&other)),
    };
    let fits = |known: &[Known], factor: Factor| known.iter().all(|k| factor.fits(*k, error));
    // The number may reach up to the lowest bit that means something else; try the highest end.
    let is_zeroed = |role: &Role| matches!(role, Role::Zeroed { .. });
    let is_pressed = |role: &Role| matches!(role, Role::OtherUnit(_));
    let mut sign = None;
    if !zeroed.is_empty() {
        let end = (top..=high).rev().find(|end| {
            only_bit(&zeroed, *end).is_some() && fits(&known(is_zeroed, *end, -1), factor)
        });
        let end = end.ok_or(TeachProblem::NoSign)?;
        sign = only_bit(&zeroed, end);
        high = end;
    }
    let mut unit = None;
    if !pressed.is_empty() && !fits(&known(is_pressed, high, 1), factor) {
        let other_factors: Vec<Factor> = Factor::candidates()
            .filter(|other| other.unit != factor.unit)
            .collect();
        let found = (top..=high).rev().find_map(|end| {
            let bit = only_bit(&pressed, end)?;
            let known = known(is_pressed, end, 1);
            let fitting = other_factors.iter().filter(|other| fits(&known, **other));
            match fitting.collect::<Vec<&Factor>>().as_slice() {
                [only] => Some((end, bit, **only)),
                _ => None,
            }
        });
        match found {
            Some((end, bit, other)) => {
                high = high.min(end);
                unit = Some((bit, other, base >> bit & 1 == 1));
            }
            None => return Err(TeachProblem::UnitUnclear),
        }
    }
    let rest = known(|role| matches!(role, Role::Confirm(_)), high, 1);
    let clean = raws
        .iter()
        .all(|(sample, raw)| !matches!(sample.role, Role::Confirm(_)) || outside(*raw, high) == 0);
    if !clean || !fits(&rest, factor) {
        return Err(TeachProblem::Unexplained);
    }
    Ok(Seen {
        way,
        factor,
        high,
        sign,
        unit,
        unit_asked: !pressed.is_empty(),
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
