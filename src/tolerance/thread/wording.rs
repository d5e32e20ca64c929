//! The words of the steps that gave a thread's limits.

use std::fmt;

use super::super::wording::{um, write_moved};
use super::THREAD_STANDARD;
use super::class::{ThreadMember, ThreadPosition};
use super::explain::{ThreadStep, signed};
use super::limits::ThreadElement;
use super::resolve::starts_factor;
use crate::quantity::Length;

/// The standard's symbol of a tolerance.
fn symbol(member: ThreadMember, element: ThreadElement) -> &'static str {
    match (member, element) {
        (ThreadMember::External, ThreadElement::Pitch) => "Td2",
        (ThreadMember::External, _) => "Td",
        (ThreadMember::Internal, ThreadElement::Pitch) => "TD2",
        (ThreadMember::Internal, _) => "TD1",
    }
}

impl fmt::Display for ThreadStep {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::CoarsePitch { nominal, pitch } => write!(
                f,
                "no pitch written: the coarse pitch of M{} is {} mm (ISO 261)",
                nominal, pitch
            ),
            Self::DefaultClass { class } => write!(
                f,
                "no class written: {class}, the class of quality medium and engagement N \
                 ({THREAD_STANDARD} clause 12, from memory; DIN 13-1)"
            ),
            Self::Engagement {
                length,
                group,
                short_to,
                long_over,
                source,
            } => write!(
                f,
                "engagement {} mm is of group {}: S up to {} mm, L over {} mm ({THREAD_STANDARD}; \
                 {source})",
                length,
                group.letter(),
                short_to,
                long_over
            ),
            Self::Basic { .. } => self.write_basic(f),
            Self::Deviation {
                position,
                pitch,
                value,
                source,
            } => write_deviation(f, *position, *pitch, *value, source.as_deref()),
            Self::Tolerance { .. } => self.write_tolerance(f),
            _ => self.write_sum(f),
        }
    }
}

fn write_deviation(
    f: &mut fmt::Formatter<'_>,
    position: ThreadPosition,
    pitch: Length,
    value: Length,
    source: Option<&str>,
) -> fmt::Result {
    let symbol = match position.member() {
        ThreadMember::Internal => "EI",
        ThreadMember::External => "es",
    };
    let sign = if value > Length::ZERO { "+" } else { "" };
    let (letters, p, value) = (position.text(), pitch, um(value));
    let formula = match position {
        ThreadPosition::InternalAz => Some("ISO 965-5 (its abstract): EI = 300 + 20 P"),
        ThreadPosition::InternalAx => Some("ISO 965-5 (its abstract): EI = 220 P - 20"),
        ThreadPosition::Az => Some("ISO 965-4 (from memory): es = -(300 + 20 P)"),
        _ => None,
    };
    match (formula, source) {
        (Some(formula), _) => write!(f, "{formula}, P {p} mm: {sign}{value} µm"),
        (None, Some(source)) => write!(
            f,
            "{THREAD_STANDARD}: position {letters}, P {p} mm: {symbol} = {sign}{value} µm \
             ({source})"
        ),
        (None, None) => write!(
            f,
            "position {letters}, P {p} mm, not tabled: {symbol} = {sign}{value} µm by the formula \
             of {THREAD_STANDARD} (from memory)"
        ),
    }
}

impl ThreadStep {
    /// What comes after the rows: widening, the sums and the moves.
    fn write_sum(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Starts {
                starts,
                single,
                value,
            } => {
                let factor = starts_factor(*starts);
                write!(
                    f,
                    "{starts} starts: {} × {}.{:02} = {} µm ({THREAD_STANDARD} clause 9, from \
                     memory, unverified)",
                    um(*single),
                    factor / 100,
                    factor % 100,
                    um(*value)
                )
            }
            Self::Limit {
                side,
                element,
                sum,
                limit,
                ..
            } => write!(
                f,
                "{} diameter, {} limit: {sum} = {}",
                element.word(),
                side.word(),
                limit.to_mm()
            ),
            Self::DesignRoot {
                basic,
                deviation,
                value,
            } => write!(
                f,
                "for information, the design root rounded with H/6: d3 max = d3 + es = {} {} = {}",
                basic,
                signed(*deviation),
                value.to_mm()
            ),
            Self::Moved {
                element,
                cause,
                lower,
                upper,
            } => {
                write!(f, "{} diameter ", element.word())?;
                write_moved(f, *cause, *lower, *upper)
            }
            Self::NotLimited { side, element } => write!(
                f,
                "{} diameter, {} limit: none in the standard",
                element.word(),
                side.word()
            ),
            _ => Ok(()), // all others are written by `fmt` itself
        }
    }

    fn write_basic(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self::Basic {
            member,
            element,
            nominal,
            pitch,
            value,
        } = self
        else {
            return Ok(());
        };
        let (symbol, factor) = match (element, member) {
            (ThreadElement::Minor, ThreadMember::Internal) => ("D1", "1.082532"),
            (ThreadElement::Minor, ThreadMember::External) => ("d1", "1.082532"),
            (_, ThreadMember::Internal) => ("D2", "0.649519"),
            (_, ThreadMember::External) => ("d2", "0.649519"),
        };
        let (d, p, value) = (nominal, pitch, value);
        write!(f, "ISO 724: {symbol} = {d} - {factor} × {p} = {value}")
    }

    fn write_tolerance(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self::Tolerance {
            member,
            element,
            grade,
            range,
            pitch,
            value,
            source,
        } = self
        else {
            return Ok(());
        };
        let symbol = symbol(*member, *element);
        let range = range.map_or_else(String::new, |range| format!(", {range}"));
        let (p, value) = (pitch, um(*value));
        match source {
            Some(source) => write!(
                f,
                "{THREAD_STANDARD}: {symbol} of grade {grade}{range}, P {p} mm = {value} µm \
                 ({source})"
            ),
            None => write!(
                f,
                "{symbol} of grade {grade}{range}, P {p} mm, not tabled: {value} µm by the \
                 formula of {THREAD_STANDARD} (from memory)"
            ),
        }
    }
}
