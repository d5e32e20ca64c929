//! What to do next in a batch: when a limit will be reached, which offset to give and when none,
//! whether the process can hold the tolerance at all, how often to measure.
//!
//! Each advice carries the numbers that it rests on and says itself in a sentence. It is given on
//! sizes in whole nanometres; where a number begins as statistics, it is rounded once. No advice is
//! given inside noise: correcting what is only chance adds to the spread.

use super::{Dial, DialReads};
use crate::quantity::{Length, Rounding};
use crate::statistics::{Capability, Line, LineSums, StatisticsError, student_quantile};
use crate::tolerance::{Limits, Surface};

/// Confidence of the intervals that an advice shows.
pub const ADVICE_CONFIDENCE: f64 = 0.95;
/// An offset is advised when chance alone would bring the mean so far off once in 500 times: about
/// as rarely as a point lies beyond three-sigma limits (chosen).
pub const OFFSET_CONFIDENCE: f64 = 0.998;
/// Fewer parts tell neither a drift nor where the process stands (chosen).
pub const ADVICE_PARTS_MIN: usize = 5;
/// A drift counts as one when chance alone would make it once in a hundred times (chosen: it is
/// looked for at every part).
pub const DRIFT_CONFIDENCE: f64 = 0.99;
/// A limit further ahead than so many times the parts seen is not predicted (chosen: a tool does
/// not wear on as it did for ever).
const AHEAD_MAX: f64 = 5.0;
/// Cpk that a process must be able to reach to hold its tolerance: with 1, three parts in a
/// thousand are outside (definition).
pub const CPK_NEEDED: f64 = 1.0;
/// Fewer values do not say that a tolerance cannot be held (chosen: it is asked at every part).
const HOLD_VALUES_MIN: usize = 10;
/// Cpk from which on single parts may be left out (common practice, no source).
pub const CPK_AMPLE: f64 = 1.33;
/// Measurements wanted before the first part may lie beyond a limit (chosen).
const LOOKS_AHEAD: f64 = 4.0;
/// Without drift, and with ample capability, every so many parts (common practice, no source).
const EVERY_WHEN_AMPLE: u32 = 5;
/// The finest step that an offset is told in, where the dial is not known.
const SHOWN_STEP: Length = Length::from_um(1);

/// The parts at which a drift reaches a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PartsAhead {
    /// The part at which the drift reaches it.
    pub part: u32,
    /// The interval of that part.
    pub earliest: u32,
    /// Its end; none where it lies too far ahead to be told.
    pub latest: Option<u32>,
    /// From this part on a single part may lie beyond it.
    pub single: u32,
}

/// A limit that the drift will reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitAhead {
    /// The part at which the drift reaches the limit.
    pub part: u32,
    /// The interval of that part.
    pub earliest: u32,
    /// Its end; none where it lies too far ahead to be told.
    pub latest: Option<u32>,
    /// From this part on a single part may lie beyond it.
    pub single: u32,
    /// The limit, less its guard band.
    pub limit: Length,
    /// Whether it is the upper one.
    pub is_upper: bool,
    /// Drift from one part to the next, nm.
    pub drift_nm: f64,
    /// Parts that the drift was seen on.
    pub parts: usize,
    /// Confidence of the intervals.
    pub confidence: f64,
}

/// When a drift reaches a limit (less its guard band); none without a drift beyond chance, or where
/// the limit lies too far ahead.
///
/// Formula: part where the line reaches the limit, with Fieller's interval: [`Line::reaches`]
/// Symbols: line through the parts since the last break, place is the part's number.
/// Valid:   5 parts and more, a slope beyond chance at 99 %; as far ahead as five times the parts
///          seen (chosen).
/// Rounding: the part up, the interval outward.
/// Source:  as [`Line::reaches`].
/// Checked: tests/tables/linear_trend.json; tests/logic/measure_advice.rs.
/// Errors:  those of [`Line::reaches`].
pub fn limit_ahead(
    line: &Line,
    limits: &Limits,
    guard: Length,
    newest: u32,
) -> Result<Option<LimitAhead>, StatisticsError> {
    let is_upper = line.slope > 0.0;
    let limit = match is_upper {
        true => limits.upper().map(|limit| limit - guard),
        false => limits.lower().map(|limit| limit + guard),
    };
    let Some(limit) = limit else {
        return Ok(None);
    };
    let found = parts_ahead(line, limit.as_nm_f64(), newest)?;
    Ok(found.map(|ahead| LimitAhead {
        part: ahead.part,
        earliest: ahead.earliest,
        latest: ahead.latest,
        single: ahead.single,
        limit,
        is_upper,
        drift_nm: line.slope,
        parts: line.n,
        confidence: ADVICE_CONFIDENCE,
    }))
}

/// The part at which a drift reaches a value, in the unit of the line; as [`limit_ahead`], which
/// says where it is valid.
///
/// # Errors
/// Those of [`Line::reaches`].
pub fn parts_ahead(
    line: &Line,
    value: f64,
    newest: u32,
) -> Result<Option<PartsAhead>, StatisticsError> {
    let is_drift = line.n >= ADVICE_PARTS_MIN && line.is_significant(DRIFT_CONFIDENCE);
    if !is_drift {
        return Ok(None);
    }
    let Some(found) = line.reaches(value, ADVICE_CONFIDENCE)? else {
        return Ok(None);
    };
    let next = newest.saturating_add(1);
    let far = f64::from(newest) + AHEAD_MAX * line.n as f64;
    if found.at > far {
        return Ok(None);
    }
    let (earliest, latest) = found.line;
    Ok(Some(PartsAhead {
        part: part_of(found.at.ceil()).max(next),
        earliest: part_of(earliest.floor()).max(next),
        latest: (latest <= far).then(|| part_of(latest.ceil()).max(next)),
        single: part_of(found.single.0.ceil()).max(next),
    }))
}

/// A part's number; far beyond any batch it stays there.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped to its range
fn part_of(place: f64) -> u32 {
    place.clamp(1.0, f64::from(u32::MAX)) as u32
}

/// What is known of where the process stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProcessStands {
    /// Parts since the last break.
    pub parts: usize,
    /// Where the next part will lie on average, nm: with a drift beyond chance on its line, else
    /// the mean.
    pub next_nm: f64,
    /// Half the width of its interval at [`OFFSET_CONFIDENCE`], nm.
    pub noise_nm: f64,
    /// Drift from part to part, nm, where it is beyond chance.
    pub drift_nm: Option<f64>,
}

/// Where the process stands at the next part.
///
/// Formula: mean -/+ t s/sqrt(n); with a drift beyond chance the line -/+ its own interval
/// Symbols: n parts, s their standard deviation, t two-sided Student quantile.
/// Valid:   5 parts and more; deviations independent.
/// Rounding: none.
/// Source:  as [`Line::predict`]; interval of a mean: definition.
/// Checked: tests/logic/measure_advice.rs.
/// Errors:  `TooFew`, and those of the statistics.
pub fn process_stands(parts: &LineSums, newest: u32) -> Result<ProcessStands, StatisticsError> {
    let count = parts.count();
    if count < ADVICE_PARTS_MIN {
        return Err(StatisticsError::TooFew {
            of: "part",
            found: count,
            needed: ADVICE_PARTS_MIN,
            for_what: "an advice",
        });
    }
    let line = parts.line()?;
    if line.is_significant(OFFSET_CONFIDENCE) {
        let next = line.predict(f64::from(newest) + 1.0, OFFSET_CONFIDENCE)?;
        return Ok(ProcessStands {
            parts: count,
            next_nm: next.value,
            noise_nm: next.line_half_width,
            drift_nm: Some(line.slope),
        });
    }
    let n = count as f64;
    let t = student_quantile(0.5 + 0.5 * OFFSET_CONFIDENCE, n - 1.0)?;
    let values = parts.values();
    Ok(ProcessStands {
        parts: count,
        next_nm: values.mean().unwrap_or_default(),
        noise_nm: t * values.deviation().unwrap_or_default() / n.sqrt(),
        drift_nm: None,
    })
}

/// An offset, or why none is to be given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OffsetAdvice {
    /// Give it.
    Give(Offset),
    /// Leave the machine alone.
    Leave {
        /// How far the process stands from the middle, above it positive.
        off: Length,
        /// How far chance alone may bring it.
        noise: Length,
        /// Parts that it rests on.
        parts: usize,
        /// Why.
        reason: LeaveReason,
    },
}

/// Why no offset is to be given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeaveReason {
    /// Chance alone may make the distance.
    Noise,
    /// The least step of an offset, this much on the dimension, is more.
    BelowStep(Length),
}

/// An offset to give.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Offset {
    /// What it changes the dimension by: negative makes it smaller.
    pub on_dimension: Length,
    /// The tool's own travel: half of it for a diameter.
    pub on_tool: Length,
    /// What the dial or the offset page reads, where it is known.
    pub on_dial: Option<(DialReads, Length)>,
    /// How far the process stands from the middle, above it positive.
    pub off: Length,
    /// How far chance alone may bring it.
    pub noise: Length,
    /// Parts that it rests on.
    pub parts: usize,
    /// The dimension is a diameter.
    pub is_diameter: bool,
}

/// The offset that brings the next part to the middle of its limits, unless the distance may be
/// chance; none where a limit is missing, since there is no middle then.
///
/// Formula: offset = middle - next, rounded toward zero to whole steps of the dial; given where
///          |next - middle| exceeds the half-width of the interval of next
/// Symbols: as [`ProcessStands`].
/// Valid:   any limits with two sides.
/// Rounding: toward zero to a step of the dial on the dimension (of 1 um where none is known).
/// Source:  over-adjustment: W. E. Deming, Out of the Crisis (1986), ch. 11, the funnel, from
///          memory: correcting each deviation doubles the variance.
/// Checked: tests/logic/measure_advice.rs.
/// Errors:  none.
pub fn offset_advice(
    stands: &ProcessStands,
    limits: &Limits,
    surface: Surface,
    dial: Option<Dial>,
) -> Option<OffsetAdvice> {
    let middle = limits.middle()?;
    let off_nm = stands.next_nm - middle.as_nm_f64();
    let (off, noise) = (rounded(off_nm), rounded(stands.noise_nm.min(1e15)));
    let leave = |reason| OffsetAdvice::Leave {
        off,
        noise,
        parts: stands.parts,
        reason,
    };
    if off_nm.abs() <= stands.noise_nm {
        return Some(leave(LeaveReason::Noise));
    }
    let is_diameter = surface.is_diameter();
    // One graduation of a dial that reads the radius is two on the diameter.
    let step = match dial {
        Some(dial) if is_diameter && dial.reads == DialReads::Radius => dial.step * 2,
        Some(dial) => dial.step,
        None if is_diameter => SHOWN_STEP * 2,
        None => SHOWN_STEP,
    };
    let size = off.abs().round_to(step, Rounding::Floor);
    if size == Length::ZERO {
        return Some(leave(LeaveReason::BelowStep(step)));
    }
    let on_dimension = if off.is_negative() { size } else { -size };
    let on_tool = match is_diameter {
        true => on_dimension.div_half_even(2),
        false => on_dimension,
    };
    let on_dial = dial.map(|dial| match dial.reads {
        DialReads::Radius => (dial.reads, on_tool),
        DialReads::Diameter => (dial.reads, on_dimension),
    });
    Some(OffsetAdvice::Give(Offset {
        on_dimension,
        on_tool,
        on_dial,
        off,
        noise,
        parts: stands.parts,
        is_diameter,
    }))
}

/// The process cannot hold its tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CannotHold {
    /// The upper end of the interval of Cpk (Ppk).
    pub worst_upper: f64,
    /// The upper end of the interval of Cp (Pp), as it would be in the middle; none with one limit.
    pub centred_upper: Option<f64>,
    /// What would be needed.
    pub needed: f64,
    /// Values that it rests on.
    pub values: usize,
    /// In the middle it might hold it: an offset comes first.
    pub might_centred: bool,
}

/// Whether even the upper end of the interval of Cpk says that the tolerance cannot be held.
///
/// Formula: upper bound of Cpk < 1
/// Symbols: as [`Capability`].
/// Valid:   10 normal values and more.
/// Rounding: none.
/// Source:  ISO 22514-2 (indices); bound as `cpk_upper_bound`.
/// Checked: tests/tables/capability.json; tests/logic/measure_advice.rs.
/// Errors:  none.
pub fn cannot_hold(found: &Capability) -> Option<CannotHold> {
    let centred_upper = found.spread.map(|index| index.upper);
    let cannot = found.n >= HOLD_VALUES_MIN && found.cannot_reach(CPK_NEEDED);
    cannot.then_some(CannotHold {
        worst_upper: found.worst.upper,
        centred_upper,
        needed: CPK_NEEDED,
        values: found.n,
        might_centred: centred_upper.is_some_and(|upper| upper >= CPK_NEEDED),
    })
}

/// How often to measure from here on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SamplingAdvice {
    /// Every so many parts; 1: each.
    pub every: u32,
    /// What it rests on.
    pub because: SamplingReason,
}

/// What a sampling interval rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SamplingReason {
    /// The drift: a part may lie beyond the limit from this one on.
    Drift {
        /// The first part that may.
        single: u32,
    },
    /// No drift, and even the lower end of Cpk is ample.
    Ample {
        /// The lower end of the interval of Cpk.
        worst_lower: f64,
    },
    /// Neither is known, or there are signals.
    NotProved,
}

/// How often to measure: under a drift four times before a part may lie beyond a limit; without one
/// every fifth where the capability is ample for certain; else every part.
///
/// Formula: k = (p - n)/4, rounded down, at least 1
/// Symbols: p first part of which a single one may lie beyond; n newest part.
/// Valid:   as long as the drift goes on.
/// Rounding: down.
/// Source:  chosen; common practice, no source.
/// Checked: tests/logic/measure_advice.rs.
/// Errors:  none.
pub fn sampling_advice(
    ahead: Option<&LimitAhead>,
    found: Option<&Capability>,
    has_signals: bool,
    newest: u32,
) -> SamplingAdvice {
    if let Some(ahead) = ahead {
        let parts = f64::from(ahead.single.saturating_sub(newest));
        return SamplingAdvice {
            every: part_of((parts / LOOKS_AHEAD).floor()),
            because: SamplingReason::Drift {
                single: ahead.single,
            },
        };
    }
    match found {
        Some(found) if !has_signals && found.surely_reaches(CPK_AMPLE) => SamplingAdvice {
            every: EVERY_WHEN_AMPLE,
            because: SamplingReason::Ample {
                worst_lower: found.worst.lower,
            },
        },
        _ => SamplingAdvice {
            every: 1,
            because: SamplingReason::NotProved,
        },
    }
}

/// A statistic in nm as a length, rounded once.
#[allow(clippy::cast_possible_truncation)] // far inside: sizes are below 10 m
pub(super) fn rounded(nm: f64) -> Length {
    Length::from_nm(nm.clamp(-1e15, 1e15).round() as i64)
}
