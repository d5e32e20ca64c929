//! Replies of Modbus RTU: their check proves them, the layout is published, so only the type of
//! the number, its scale and the order of its words are to be found.

use super::draft::Draft;
use super::factor::{Factor, Fit, Known, Number, fit, nm};
use super::framing::{Cut, quoted};
use super::problem::TeachProblem;
use super::{GAP_MS, Role, Sample};
use crate::wire::registers::crc16_modbus;

/// Decimals that a floating-point reading is rounded to (chosen: a hand gauge's finest step).
const FLOAT_DECIMALS: u8 = 4;

/// The number's type and the order of its words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Signed16,
    Signed32 { high_first: bool },
    Float32 { high_first: bool },
}

impl Kind {
    fn words(self) -> (&'static str, Option<&'static str>) {
        let order = |high_first| match high_first {
            true => Some("high_first"),
            false => Some("low_first"),
        };
        match self {
            Self::Signed16 => ("i16", None),
            Self::Signed32 { high_first } => ("i32", order(high_first)),
            Self::Float32 { high_first } => ("f32", order(high_first)),
        }
    }
}

/// Whether a burst is a reply with a right check.
pub(super) fn is_reply(bytes: &[u8]) -> bool {
    let [_, function, count, .., low, high] = bytes else {
        return false;
    };
    let Some(body) = bytes.len().checked_sub(2).and_then(|end| bytes.get(..end)) else {
        return false;
    };
    matches!(function, 3 | 4)
        && usize::from(*count) + 5 == bytes.len()
        && crc16_modbus(body) == u16::from_le_bytes([*low, *high])
}

/// The way to read replies that explains all samples.
pub(super) fn read(cut: &Cut, error: i128) -> Result<Draft, TeachProblem> {
    let samples = &cut.samples;
    let first = samples.first().ok_or(TeachProblem::NoLine)?;
    if !samples.iter().all(|sample| is_reply(&sample.bytes)) {
        return Err(TeachProblem::NoLine);
    }
    let head = first.bytes.get(..3);
    if !samples.iter().all(|sample| sample.bytes.get(..3) == head) {
        return Err(TeachProblem::Unexplained);
    }
    let kinds: &[Kind] = match first.bytes.get(2) {
        Some(2) => &[Kind::Signed16],
        Some(4) => &[
            Kind::Signed32 { high_first: true },
            Kind::Signed32 { high_first: false },
            Kind::Float32 { high_first: true },
            Kind::Float32 { high_first: false },
        ],
        _ => return Err(TeachProblem::NoLine),
    };
    let mut problem = TeachProblem::NoFactor;
    for kind in kinds {
        match explained(samples, *kind, error) {
            Ok(factor) => return Ok(draft(samples, *kind, factor, error)),
            Err(other) => problem = problem.further(other),
        }
    }
    Err(problem)
}

fn explained(samples: &[Sample], kind: Kind, error: i128) -> Result<Factor, TeachProblem> {
    let mut known: Vec<Known> = Vec::new();
    let mut rest: Vec<Known> = Vec::new();
    for sample in samples {
        let data = sample.bytes.get(3..).unwrap_or_default();
        let number = value(data, kind).ok_or(TeachProblem::NoFactor)?;
        match sample.role {
            Role::Size(_) => known.push((number, sample.expected())),
            Role::Zeroed { .. } | Role::Confirm(_) => rest.push((number, sample.expected())),
            Role::OtherUnit(_) => {}
        }
    }
    let factor = match fit(&known, error) {
        Fit::One(factor) => factor,
        other => return Err(TeachProblem::of_fit(&other)),
    };
    let is_float = matches!(kind, Kind::Float32 { .. });
    // A reading of floating point is a length in its unit as it stands.
    if is_float && !factor.is_plain() {
        return Err(TeachProblem::NoFactor);
    }
    match rest.iter().all(|one| factor.fits(*one, error)) {
        true => Ok(factor),
        false => Err(TeachProblem::NoSign),
    }
}

fn value(data: &[u8], kind: Kind) -> Option<Number> {
    let four = |high_first: bool| {
        let [a, b, c, d, ..] = *data else { return None };
        Some(if high_first {
            [a, b, c, d]
        } else {
            [c, d, a, b]
        })
    };
    let whole = |count: i128| Number { count, decimals: 0 };
    match kind {
        Kind::Signed16 => {
            let [a, b, ..] = *data else { return None };
            Some(whole(i16::from_be_bytes([a, b]).into()))
        }
        Kind::Signed32 { high_first } => Some(whole(i32::from_be_bytes(four(high_first)?).into())),
        Kind::Float32 { high_first } => {
            let value = f32::from_be_bytes(four(high_first)?);
            // Swapped words read as something tiny or huge.
            let sound = value == 0.0 || (1e-7..1e6).contains(&value.abs());
            if !sound {
                return None;
            }
            let text = format!("{value:.width$}", width = usize::from(FLOAT_DECIMALS));
            Some(Number {
                count: text.replace('.', "").parse().ok()?,
                decimals: FLOAT_DECIMALS,
            })
        }
    }
}

fn draft(samples: &[Sample], kind: Kind, factor: Factor, error: i128) -> Draft {
    let mut draft = Draft::default();
    let byte = |at: usize| samples.first().and_then(|s| s.bytes.get(at)).copied();
    let length = samples.first().map_or(0, |sample| sample.bytes.len());
    draft.frame = Some(vec![
        ("kind", quoted("gap")),
        ("length", length.to_string()),
        ("gap_ms", GAP_MS.to_string()),
    ]);
    draft.check = Some(vec![("kind", quoted("crc16_modbus"))]);
    let (type_word, order) = kind.words();
    draft.fields = vec![
        ("kind", quoted("registers")),
        ("address", byte(0).unwrap_or(0).to_string()),
        ("function", byte(1).unwrap_or(3).to_string()),
        ("type", quoted(type_word)),
    ];
    if let Some(order) = order {
        draft.fields.push(("word_order", quoted(order)));
    }
    let is_float = matches!(kind, Kind::Float32 { .. });
    if is_float {
        draft.assumed.push(format!(
            "Readings are rounded to {FLOAT_DECIMALS} decimals."
        ));
    }
    draft.number = match is_float {
        true => vec![("decimals", FLOAT_DECIMALS.to_string())],
        false => vec![(
            "scale",
            format!(
                "{{ \"{}\" = {} }}",
                factor.unit.symbol(),
                quoted(&factor.text())
            ),
        )],
    };
    draft.unit = vec![
        ("rule", quoted("fixed")),
        ("value", quoted(factor.unit.symbol())),
    ];
    draft.found.push(format!(
        "The bytes are replies of Modbus RTU from address {}: a number of type {type_word}.",
        byte(0).unwrap_or(0)
    ));
    draft
        .found
        .push(format!("A one on the wire is {}.", factor.words()));
    let has = |wanted: fn(&Role) -> bool| samples.iter().any(|sample| wanted(&sample.role));
    if has(|role| matches!(role, Role::Zeroed { .. })) {
        draft
            .found
            .push("Negative readings come as negative numbers.".to_owned());
    } else {
        draft
            .assumed
            .push("A negative reading comes as a negative number; none was seen.".to_owned());
    }
    unit_words(samples, kind, factor, error, &mut draft);
    draft
}

/// What the press after the unit key says: registers carry no unit.
fn unit_words(samples: &[Sample], kind: Kind, factor: Factor, error: i128, draft: &mut Draft) {
    let pressed = samples
        .iter()
        .find(|sample| matches!(sample.role, Role::OtherUnit(_)));
    let number = pressed.and_then(|sample| value(sample.bytes.get(3..)?, kind));
    let unit = factor.unit.symbol();
    match (pressed, number) {
        (Some(sample), Some(number)) => {
            let wanted = nm(sample.role.expected());
            // The number in the gauge's own unit is there still: the key changes the display only.
            let display_only = factor.fits((number, wanted), error);
            if display_only {
                draft
                    .found
                    .push("The unit key does not change what is sent.".to_owned());
            } else {
                draft.unit_not_sent = true;
                draft.unknown.push(
                    "The unit is not sent: pressing the gauge's unit key spoils its readings."
                        .to_owned(),
                );
                draft.assumed.push(format!(
                    "The gauge stays in {unit}; nothing on the wire tells."
                ));
            }
        }
        _ => draft.assumed.push(format!(
            "The gauge stays in {unit}; its unit key was not tried."
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::is_reply;

    #[test]
    fn a_request_is_no_reply() {
        assert!(!is_reply(&[1, 3, 0, 0, 0, 2, 0xc4, 0x0b]));
        assert!(!is_reply(&[]));
    }
}
