//! Thirteen and seven groups of 4 bits: published layouts, so only the coding, the decimals and
//! the unit are to be found.

use super::draft::Draft;
use super::factor::{Factor, Fit, Known, Number, fit};
use super::framing::{Cut, CutKind, quoted};
use super::problem::TeachProblem;
use super::{Role, Sample};
use crate::quantity::LengthUnit;

/// How groups are sent, and how many there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Coding {
    word: &'static str,
    count: usize,
}

/// One frame's groups as the layout names them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Read {
    minus: bool,
    /// Digits and decimals; the half step is one more digit, a five.
    number: Number,
    /// The unit's group or bit.
    unit: u8,
}

/// The way to read groups that explains all samples.
pub(super) fn read(cut: &Cut, error: i128) -> Result<Draft, TeachProblem> {
    let length = cut.samples.first().map_or(0, |sample| sample.bytes.len());
    if cut
        .samples
        .iter()
        .any(|sample| sample.bytes.len() != length)
    {
        return Err(TeachProblem::NoLine);
    }
    let coding = |word, count| Coding { word, count };
    let codings: Vec<Coding> = match (cut.kind, length) {
        (CutKind::Text, 13) => vec![coding("hex_text", 13)],
        (CutKind::Bursts, 13) => vec![coding("low_nibble", 13)],
        (CutKind::Bursts, 7) => vec![
            coding("packed_high_first", 13),
            coding("packed_low_first", 13),
            coding("low_nibble", 7),
        ],
        (CutKind::Bursts, 4) => vec![
            coding("packed_low_first", 7),
            coding("packed_high_first", 7),
        ],
        _ => Vec::new(),
    };
    let mut problem = TeachProblem::NoLine;
    for coding in codings {
        match explained(&cut.samples, coding, error) {
            Ok(draft) => return Ok(draft),
            Err(other) => problem = problem.further(other),
        }
    }
    Err(problem)
}

/// The groups of one frame; none when a byte is no group.
fn groups(bytes: &[u8], coding: Coding) -> Option<Vec<u8>> {
    let found: Option<Vec<u8>> = match coding.word {
        "hex_text" => bytes
            .iter()
            .map(|byte| {
                char::from(*byte)
                    .to_digit(16)
                    .and_then(|d| u8::try_from(d).ok())
            })
            .collect(),
        "low_nibble" => bytes
            .iter()
            .map(|byte| (*byte < 16).then_some(*byte))
            .collect(),
        _ => Some(
            bytes
                .iter()
                .flat_map(|byte| match coding.word {
                    "packed_high_first" => [byte >> 4, byte & 15],
                    _ => [byte & 15, byte >> 4],
                })
                .take(coding.count)
                .collect(),
        ),
    };
    found.filter(|groups| groups.len() == coding.count)
}

fn number(digits: impl Iterator<Item = u8>) -> Option<i128> {
    let mut count = 0;
    for digit in digits {
        if digit > 9 {
            return None;
        }
        count = count * 10 + i128::from(digit);
    }
    Some(count)
}

fn read_groups(groups: &[u8]) -> Option<Read> {
    match *groups {
        [15, 15, 15, 15, sign, ref rest @ ..] => {
            let [digits @ .., places, unit] = rest else {
                return None;
            };
            if !matches!(sign, 0 | 8) || *places > 5 || digits.len() != 6 {
                return None;
            }
            Some(Read {
                minus: sign == 8,
                number: Number {
                    count: number(digits.iter().copied())?,
                    decimals: *places,
                },
                unit: *unit,
            })
        }
        [ref digits @ .., flags] if digits.len() == 6 => {
            let half = flags >> 1 & 1;
            let count = number(digits.iter().rev().copied())? * 10 + i128::from(half * 5);
            Some(Read {
                minus: flags & 1 == 1,
                number: Number { count, decimals: 1 },
                unit: flags >> 2 & 1,
            })
        }
        _ => None,
    }
}

fn explained(samples: &[Sample], coding: Coding, error: i128) -> Result<Draft, TeachProblem> {
    let reads: Option<Vec<(&Sample, Read)>> = samples
        .iter()
        .map(|sample| Some((sample, read_groups(&groups(&sample.bytes, coding)?)?)))
        .collect();
    let reads = reads.ok_or(TeachProblem::NoLine)?;
    let known_of = |(sample, read): &(&Sample, Read)| -> Known {
        let count = if read.minus {
            -read.number.count
        } else {
            read.number.count
        };
        (
            Number {
                count,
                ..read.number
            },
            sample.expected(),
        )
    };
    let sizes: Vec<&(&Sample, Read)> = reads.iter().filter(|(s, _)| s.is_size()).collect();
    let known: Vec<Known> = sizes.iter().map(|read| known_of(read)).collect();
    let factor = match fit(&known, error) {
        Fit::One(factor) => factor,
        other => return Err(TeachProblem::of_fit(&other)),
    };
    let unit = sizes.first().map_or(0, |(_, read)| read.unit);
    let (mut other_unit, mut zeroed) = (None, false);
    for read in &reads {
        let (known, role) = (known_of(read), read.0.role);
        let own = factor.fits(known, error) && read.1.unit == unit;
        match role {
            Role::Size(_) | Role::Confirm(_) if own => {}
            Role::Zeroed { .. } if own && read.1.minus => zeroed = true,
            Role::Zeroed { .. } if !read.1.minus => return Err(TeachProblem::NoSign),
            Role::OtherUnit(_) if read.1.unit != unit => {
                let other = Factor::candidates()
                    .find(|other| {
                        let same_kind = other.implied_decimals().is_some()
                            && (coding.count == 7 || other.is_plain());
                        other.unit != factor.unit && same_kind && other.fits(known, error)
                    })
                    .ok_or(TeachProblem::UnitUnclear)?;
                other_unit = Some((other, read.1.unit));
            }
            Role::OtherUnit(_) => return Err(TeachProblem::UnitUnclear),
            _ => return Err(TeachProblem::Unexplained),
        }
    }
    let seen = Seen {
        factor,
        unit,
        other_unit,
        zeroed,
    };
    match coding.count {
        13 if factor.is_plain() => Ok(thirteen(coding, &seen)),
        7 => seven(coding, &seen),
        _ => Err(TeachProblem::NoFactor),
    }
}

/// What the presses said beside the number.
struct Seen {
    factor: Factor,
    unit: u8,
    other_unit: Option<(Factor, u8)>,
    zeroed: bool,
}

fn signs(seen: &Seen, what: &str, draft: &mut Draft) {
    if seen.zeroed {
        draft.found.push(format!("Minus is {what}."));
    } else {
        let words = format!("Minus is {what}, as published; no negative reading was seen.");
        draft.assumed.push(words);
    }
}

fn thirteen(coding: Coding, seen: &Seen) -> Draft {
    let mut draft = Draft {
        fields: vec![
            ("kind", quoted("nibbles")),
            ("coding", quoted(coding.word)),
            ("count", "13".into()),
            ("header", quoted("FFFF")),
            ("sign", "4".into()),
            ("digits", "[5, 11]".into()),
            ("places", "11".into()),
            ("unit", "12".into()),
        ],
        number: vec![("max_places", "5".into())],
        sign: vec![("map", "{ \"0\" = \"+\", \"8\" = \"-\" }".into())],
        ..Draft::default()
    };
    if coding.word == "low_nibble" {
        draft.frame = Some(vec![
            ("kind", quoted("start_length")),
            ("start_hex", quoted("0f0f0f0f")),
            ("length", "13".into()),
        ]);
    }
    draft.found.push(format!(
        "Thirteen groups of 4 bits ({}): sign, six digits, decimals, unit.",
        coding.word
    ));
    let own = format!("\"{:X}\" = \"{}\"", seen.unit, seen.factor.unit.symbol());
    let map = match seen.other_unit {
        Some((other, code)) => {
            draft
                .found
                .push("The unit is sent in the last group.".into());
            format!("{{ {own}, \"{code:X}\" = \"{}\" }}", other.unit.symbol())
        }
        None => {
            draft.assumed.push(format!(
                "The last group {:X} says {}; the other unit was not seen and is refused.",
                seen.unit,
                seen.factor.unit.symbol()
            ));
            format!("{{ {own} }}")
        }
    };
    draft.unit = vec![("rule", quoted("field")), ("map", map)];
    signs(seen, "8 in the group before the digits", &mut draft);
    draft
}

fn seven(coding: Coding, seen: &Seen) -> Result<Draft, TeachProblem> {
    // The flag of the published layout: set is millimetres.
    let flag_of = |unit| u8::from(unit == LengthUnit::Millimetre);
    if flag_of(seen.factor.unit) != seen.unit {
        return Err(TeachProblem::UnitUnclear);
    }
    // One more digit was read for the half step.
    let places = |factor: Factor| factor.implied_decimals();
    let own = places(seen.factor).ok_or(TeachProblem::NoFactor)?;
    let mut draft = Draft {
        fields: vec![
            ("kind", quoted("nibbles")),
            ("coding", quoted(coding.word)),
            ("count", "7".into()),
            ("digits", "[6, 0]".into()),
            ("flags", "6".into()),
            ("flag_minus", "0".into()),
            ("flag_half", "1".into()),
            ("flag_mm", "2".into()),
        ],
        unit: vec![("rule", quoted("flag"))],
        ..Draft::default()
    };
    draft.found.push(format!(
        "Seven groups of 4 bits ({}): six digits, the lowest first, then flags.",
        coding.word
    ));
    let other = match seen.other_unit {
        Some((other, _)) => {
            draft.found.push("The unit is sent as a flag.".into());
            places(other).ok_or(TeachProblem::UnitUnclear)?
        }
        None => {
            // Published: hundredths of a millimetre beside thousandths of an inch.
            let other = match seen.factor.unit {
                LengthUnit::Millimetre => own + 1,
                LengthUnit::Inch => own.saturating_sub(1),
            };
            draft.assumed.push(format!(
                "The other unit comes with its flag and {other} decimals, as published; it was \
                 not seen."
            ));
            other
        }
    };
    let (mm, inch) = match seen.factor.unit {
        LengthUnit::Millimetre => (own, other),
        LengthUnit::Inch => (other, own),
    };
    draft.number = vec![("places", format!("{{ \"mm\" = {mm}, \"in\" = {inch} }}"))];
    signs(seen, "a flag", &mut draft);
    Ok(draft)
}
