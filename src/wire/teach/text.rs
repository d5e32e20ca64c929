//! Frames of text: which digits are the number, and what all presses say about it.

use super::draft::Draft;
use super::factor::{Factor, Fit, Known, Number, fit};
use super::problem::TeachProblem;
use super::skeleton::{Skeleton, Span, runs};
use super::{Role, Sample, text_fields};
use crate::quantity::LengthUnit;

/// What all frames say together; the samples are in the lesson's order.
#[derive(Debug, Clone)]
pub(super) struct Understood {
    pub(super) frames: Vec<(Role, Skeleton)>,
    pub(super) factor: Factor,
    pub(super) sign: SignCodes,
    pub(super) other_unit: OtherUnit,
}

/// How a minus is sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum SignCodes {
    /// As a minus; whether one was seen.
    Plain { seen: bool },
    /// As one word of the head instead of another, at this place.
    Code(usize),
}

/// What the press after the unit key said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum OtherUnit {
    /// There was none.
    NotAsked,
    /// The number is in the other unit, and one word tells: its place, in head (false) or tail.
    Word {
        behind: bool,
        at: usize,
        factor: Factor,
    },
    /// The number is in the other unit, and nothing tells.
    NotSent,
    /// Nothing changed.
    Unchanged,
}

/// The way to read text frames that explains all samples.
pub(super) fn read(samples: &[Sample], error: i128) -> Result<Draft, TeachProblem> {
    let texts: Option<Vec<String>> = samples
        .iter()
        .map(|sample| Some(std::str::from_utf8(&sample.bytes).ok()?.trim().to_owned()))
        .collect();
    let Some(texts) = texts else {
        return Err(TeachProblem::Unexplained);
    };
    let mut problem = TeachProblem::NoLine;
    for span in spans(samples, &texts) {
        match understood(samples, &texts, span, error) {
            Ok(understood) => match text_fields::draft(&understood) {
                Ok(draft) => return Ok(draft),
                Err(other) => problem = problem.further(other),
            },
            Err(other) => problem = problem.further(other),
        }
    }
    Err(problem)
}

/// The digits that may be the number, likeliest first: whole runs, then, for digits without a
/// mark in frames of one width, runs without the digits at their ends that never change.
fn spans(samples: &[Sample], texts: &[String]) -> Vec<Span> {
    let sizes: Vec<&str> = samples
        .iter()
        .zip(texts)
        .filter(|(sample, _)| sample.is_size())
        .map(|(_, text)| text.as_str())
        .collect();
    let Some(first) = sizes.first() else {
        return Vec::new();
    };
    let count = runs(first).len();
    let mut found = Vec::new();
    for run in 0..count {
        let pieces: Vec<&str> = sizes
            .iter()
            .filter_map(|text| runs(text).get(run).and_then(|(a, b)| text.get(*a..*b)))
            .collect();
        let whole = Span {
            run,
            head: 0,
            tail: 0,
        };
        let width = pieces.first().map_or(0, |piece| piece.len());
        let one_width = pieces.iter().all(|piece| piece.len() == width);
        let marked = pieces.iter().any(|piece| piece.contains(['.', ',']));
        if marked || !one_width {
            found.push(whole);
            continue;
        }
        let same = |at: usize| {
            let mut bytes = pieces.iter().map(|piece| piece.as_bytes().get(at));
            let first = bytes.next().flatten();
            bytes.all(|byte| byte == first)
        };
        let heads = (0..width).take_while(|at| same(*at)).count();
        let tails = (0..width).take_while(|at| same(width - 1 - at)).count();
        // A last digit that never changes is rather a state than a digit: it is refused if it
        // changes one day, where a digit taken for a state costs no more than a refused reading.
        let order = [1, 0].into_iter().chain(2..=tails).filter(|t| *t <= tails);
        for tail in order {
            for head in (0..=heads).filter(|head| head + tail < width) {
                found.push(Span { run, head, tail });
            }
        }
    }
    // The run with the most digits first.
    let digits = |span: &Span| {
        let (from, to) = runs(first).get(span.run).copied().unwrap_or((0, 0));
        std::cmp::Reverse(to - from)
    };
    found.sort_by_key(digits);
    found
}

fn understood(
    samples: &[Sample],
    texts: &[String],
    span: Span,
    error: i128,
) -> Result<Understood, TeachProblem> {
    let frames: Option<Vec<(Role, Skeleton)>> = samples
        .iter()
        .zip(texts)
        .map(|(sample, text)| Some((sample.role, Skeleton::new(text, span)?)))
        .collect();
    let frames = frames.ok_or(TeachProblem::Unexplained)?;
    let sizes: Vec<&(Role, Skeleton)> = frames
        .iter()
        .filter(|(role, _)| matches!(role, Role::Size(_)))
        .collect();
    let base = &sizes.first().ok_or(TeachProblem::NoLine)?.1;
    if sizes
        .iter()
        .any(|(_, frame)| frame.beside() != base.beside())
    {
        return Err(TeachProblem::Unexplained);
    }
    let known: Option<Vec<Known>> = sizes
        .iter()
        .map(|(role, frame)| Some((frame.signed()?, super::factor::nm(role.expected()))))
        .collect();
    let known = known.ok_or(TeachProblem::NoFactor)?;
    let factor = match fit(&known, error) {
        Fit::One(factor) => factor,
        other => return Err(TeachProblem::of_fit(&other)),
    };
    let confirmed = |(role, frame): &(Role, Skeleton)| match role {
        Role::Confirm(_) => {
            let fits = frame
                .signed()
                .is_some_and(|number| factor.fits((number, expected(*role)), error));
            fits && frame.beside() == base.beside()
        }
        _ => true,
    };
    if !frames.iter().all(confirmed) {
        return Err(TeachProblem::Unexplained);
    }
    let sign = sign(&frames, base, factor, error)?;
    let other_unit = other_unit(&frames, base, factor, error)?;
    Ok(Understood {
        frames,
        factor,
        sign,
        other_unit,
    })
}

fn expected(role: Role) -> i128 {
    super::factor::nm(role.expected())
}

/// How the press after zeroing says minus.
fn sign(
    frames: &[(Role, Skeleton)],
    base: &Skeleton,
    factor: Factor,
    error: i128,
) -> Result<SignCodes, TeachProblem> {
    let mut sign = SignCodes::Plain { seen: false };
    for (role, frame) in frames {
        if !matches!(role, Role::Zeroed { .. }) {
            continue;
        }
        let value = frame.value().ok_or(TeachProblem::NoFactor)?;
        let minus = Number {
            count: -value.count,
            ..value
        };
        if !factor.fits((minus, expected(*role)), error) {
            return Err(TeachProblem::NoFactor);
        }
        let changed: Vec<usize> = changed(&frame.head, &base.head);
        let same_tail = frame.tail == base.tail;
        sign = match (frame.sign, changed.as_slice()) {
            (Some('-'), []) if same_tail => SignCodes::Plain { seen: true },
            (_, [at]) if same_tail && frame.sign == base.sign => SignCodes::Code(*at),
            (_, []) => return Err(TeachProblem::NoSign),
            _ => return Err(TeachProblem::Unexplained),
        };
    }
    Ok(sign)
}

/// What changes beside the number when the unit key was pressed.
fn other_unit(
    frames: &[(Role, Skeleton)],
    base: &Skeleton,
    factor: Factor,
    error: i128,
) -> Result<OtherUnit, TeachProblem> {
    let wanted = match factor.unit {
        LengthUnit::Millimetre => LengthUnit::Inch,
        LengthUnit::Inch => LengthUnit::Millimetre,
    };
    let mut told = OtherUnit::NotAsked;
    for (role, frame) in frames {
        if !matches!(role, Role::OtherUnit(_)) {
            continue;
        }
        let known = (
            frame.signed().ok_or(TeachProblem::UnitUnclear)?,
            expected(*role),
        );
        let beside = (
            changed(&frame.head, &base.head),
            changed(&frame.tail, &base.tail),
        );
        let others: Vec<Factor> = Factor::candidates()
            .filter(|other| other.unit == wanted && other.fits(known, error))
            .filter(|other| base.mark().is_none() || other.is_plain() == factor.is_plain())
            .collect();
        told = match (others.as_slice(), beside.0.as_slice(), beside.1.as_slice()) {
            ([], [], []) if factor.fits(known, error) => OtherUnit::Unchanged,
            ([_], [], []) => OtherUnit::NotSent,
            ([factor], [at], []) => OtherUnit::Word {
                behind: false,
                at: *at,
                factor: *factor,
            },
            ([factor], [], [at]) => OtherUnit::Word {
                behind: true,
                at: *at,
                factor: *factor,
            },
            _ => return Err(TeachProblem::UnitUnclear),
        };
    }
    Ok(told)
}

/// Places where two rows of tokens differ; more than a row has when they do not compare.
fn changed(one: &[super::skeleton::Token], other: &[super::skeleton::Token]) -> Vec<usize> {
    if one.len() != other.len() {
        return vec![0, 1];
    }
    let pairs = one.iter().zip(other).enumerate();
    pairs
        .filter(|(_, (a, b))| a != b)
        .map(|(at, _)| at)
        .collect()
}
