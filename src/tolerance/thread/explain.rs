//! The steps that gave a thread's limits, and their words; built only when somebody asks.

use std::fmt;

use super::super::limits::{Derivation, Limits};
use super::super::rows::SizeRange;
use super::super::step::{LimitSide, Step};
use super::THREAD_STANDARD;
use super::class::{ThreadClass, ThreadMember, ThreadPosition};
use super::limits::{
    ThreadElement, ThreadKey, ThreadLimits, crest_tolerance, deviation, pitch_tolerance,
    starts_factor, widened,
};
use super::tables::ThreadTables;
use crate::quantity::{Length, LengthUnit};

/// One step on the way to a limit of a thread.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ThreadStep {
    /// No pitch is written: the coarse one of the size.
    CoarsePitch {
        /// Nominal diameter.
        nominal: Length,
        /// The pitch.
        pitch: Length,
    },
    /// No class is written: the standard's default.
    DefaultClass {
        /// The class.
        class: ThreadClass,
    },
    /// A diameter of the basic profile.
    Basic {
        /// The member.
        member: ThreadMember,
        /// Which diameter.
        element: ThreadElement,
        /// Nominal diameter.
        nominal: Length,
        /// The pitch.
        pitch: Length,
        /// The diameter, to 0.1 µm for reading; it is kept unrounded.
        value: Length,
    },
    /// A fundamental deviation.
    Deviation {
        /// The position.
        position: ThreadPosition,
        /// The pitch.
        pitch: Length,
        /// EI or es.
        value: Length,
        /// Where the row's value comes from; none: computed.
        source: Option<String>,
    },
    /// A tolerance.
    Tolerance {
        /// The member.
        member: ThreadMember,
        /// Of which diameter.
        element: ThreadElement,
        /// The grade.
        grade: u8,
        /// The diameters of the row, for the pitch diameter.
        range: Option<SizeRange>,
        /// The pitch.
        pitch: Length,
        /// The tolerance.
        value: Length,
        /// Where the row's value comes from; none: computed.
        source: Option<String>,
    },
    /// A tolerance widened for several starts.
    Starts {
        /// How many.
        starts: u8,
        /// The tolerance of one start.
        single: Length,
        /// The widened one.
        value: Length,
    },
    /// A limit, with its sum in the standard's symbols.
    Limit {
        /// Which limit.
        side: LimitSide,
        /// Of which diameter.
        element: ThreadElement,
        /// The member.
        member: ThreadMember,
        /// The sum in words and numbers.
        sum: String,
        /// The limit.
        limit: Length,
    },
    /// A side that the standard does not limit.
    NotLimited {
        /// Which limit.
        side: LimitSide,
        /// Of which diameter.
        element: ThreadElement,
    },
}

impl ThreadLimits {
    /// The steps that gave these limits, each once, in order.
    pub fn explain(&self, tables: &ThreadTables) -> Vec<Step> {
        let mut steps = Vec::new();
        let parts = &self.parts;
        if parts.pitch_is_default {
            steps.push(ThreadStep::CoarsePitch {
                nominal: parts.nominal,
                pitch: parts.pitch,
            });
        }
        let mut steps: Vec<Step> = steps.into_iter().map(Step::Thread).collect();
        for element in ThreadElement::ALL {
            let limits = self.element(element);
            for step in limits.explain_thread(tables) {
                if !steps.contains(&step) {
                    steps.push(step);
                }
            }
        }
        steps
    }
}

impl Limits<Length> {
    /// The steps of a thread's limits; nothing for others.
    pub(in crate::tolerance) fn explain_thread(&self, tables: &ThreadTables) -> Vec<Step> {
        let Derivation::Thread(key) = self.derivation() else {
            return Vec::new();
        };
        let steps = steps_of(&key, tables);
        steps.into_iter().map(Step::Thread).collect()
    }
}

fn steps_of(key: &ThreadKey, tables: &ThreadTables) -> Vec<ThreadStep> {
    let mut steps = Vec::new();
    let (class, pitch) = (key.class, key.pitch());
    if key.class_is_default {
        steps.push(ThreadStep::DefaultClass { class });
    }
    let of_crest = match (key.element, class.member()) {
        (ThreadElement::Major, ThreadMember::External) => true,
        (ThreadElement::Minor, ThreadMember::Internal) => true,
        _ => false,
    };
    let member = class.member();
    let tolerance = if of_crest { class.crest } else { class.pitch };
    if key.element != ThreadElement::Major {
        steps.push(basic(key, key.element));
    }
    if (key.element, member) == (ThreadElement::Minor, ThreadMember::External) {
        steps.push(basic(key, ThreadElement::Pitch));
    }
    let position = tolerance.position;
    let Ok((value, tabled)) = deviation(tables, position, pitch) else {
        return steps; // other tables than those which gave the limits: nothing can be said
    };
    let row = tables
        .deviation_row(pitch)
        .filter(|_| tabled && !position.is_hot_dip());
    let source = row.map(|row| row.source.clone());
    steps.push(ThreadStep::Deviation {
        position,
        pitch,
        value,
        source,
    });
    let (nominal, grade) = (key.nominal, tolerance.grade);
    let wide = if of_crest {
        let Ok((wide, _)) = crest_tolerance(tables, nominal, pitch, tolerance) else {
            return steps;
        };
        let row = tables.crest_row(member, pitch);
        steps.push(ThreadStep::Tolerance {
            member,
            element: key.element,
            grade,
            range: None,
            pitch,
            value: wide,
            source: row.map(|row| row.source.clone()),
        });
        wide
    } else if (key.element, member) == (ThreadElement::Major, ThreadMember::Internal) {
        Length::ZERO
    } else {
        let Ok((single, _)) = pitch_tolerance(tables, nominal, pitch, tolerance) else {
            return steps;
        };
        let row = tables.pitch_row(member, nominal, pitch);
        steps.push(ThreadStep::Tolerance {
            member,
            element: ThreadElement::Pitch,
            grade,
            range: tables.range(nominal),
            pitch,
            value: single,
            source: row.map(|row| row.source.clone()),
        });
        let value = widened(single, key.starts);
        if key.starts > 1 {
            steps.push(ThreadStep::Starts {
                starts: key.starts,
                single,
                value,
            });
        }
        value
    };
    limit_steps(&mut steps, key, value, wide);
    steps
}

fn basic(key: &ThreadKey, element: ThreadElement) -> ThreadStep {
    let profile = key.profile();
    let exact = match element {
        ThreadElement::Minor => profile.minor_diameter(),
        _ => profile.pitch_diameter(),
    };
    ThreadStep::Basic {
        member: key.class.member(),
        element,
        nominal: key.nominal,
        pitch: key.pitch(),
        value: exact.rounded_to(Length::from_nm(100)),
    }
}

/// The sums that end in a limit. `first` is the fundamental deviation, `wide` the tolerance.
fn limit_steps(steps: &mut Vec<ThreadStep>, key: &ThreadKey, first: Length, wide: Length) {
    let (element, member) = (key.element, key.class.member());
    let profile = key.profile();
    let d = key.nominal;
    let exact = |length: Length| super::super::profile::ProfileLength::from(length);
    let (d2, d1) = (profile.pitch_diameter(), profile.minor_diameter());
    let (first_um, wide_um) = (um(first), um(wide));
    let signed = |by: &str| match by.strip_prefix('-') {
        Some(size) => format!("- {size} µm"),
        None => format!("+ {by} µm"),
    };
    let first_text = signed(&first_um);
    let mut push = |side, sum: String, limit| {
        steps.push(ThreadStep::Limit {
            side,
            element,
            member,
            sum,
            limit,
        });
    };
    let (upper, lower) = (LimitSide::Upper, LimitSide::Lower);
    match (element, member) {
        (ThreadElement::Major, ThreadMember::External) => {
            push(upper, format!("d + es = {} {first_text}", mm(d)), d + first);
            let sum = format!("d + es - Td = {} {first_text} - {wide_um} µm", mm(d));
            push(lower, sum, d + first - wide);
        }
        (ThreadElement::Major, ThreadMember::Internal) => {
            push(lower, format!("D + EI = {} {first_text}", mm(d)), d + first);
            let side = upper;
            steps.push(ThreadStep::NotLimited { side, element });
        }
        (ThreadElement::Pitch, ThreadMember::External) => {
            push(
                upper,
                format!("d2 + es {first_text}"),
                (d2 + exact(first)).printed(),
            );
            let sum = format!("d2 + es - Td2 {first_text} - {wide_um} µm");
            push(lower, sum, (d2 + exact(first - wide)).printed());
        }
        (ThreadElement::Pitch, ThreadMember::Internal) => {
            push(
                lower,
                format!("D2 + EI {first_text}"),
                (d2 + exact(first)).printed(),
            );
            let sum = format!("D2 + EI + TD2 {first_text} + {wide_um} µm");
            push(upper, sum, (d2 + exact(first + wide)).printed());
        }
        (ThreadElement::Minor, ThreadMember::External) => {
            let sum = format!("d1 + es {first_text}: what the GO ring must clear");
            push(upper, sum, (d1 + exact(first)).printed());
            let least = d2 + exact(first - wide) - profile.least_root_drop();
            let sum = format!(
                "d3 min = d2 + es - Td2 - (H - 2 R_min) {first_text} - {wide_um} µm - {} mm: a \
                 root radius of P/8 just touching",
                mm(profile.least_root_drop().rounded_to(Length::from_nm(100)))
            );
            push(lower, sum, least.printed());
        }
        (ThreadElement::Minor, ThreadMember::Internal) => {
            push(
                lower,
                format!("D1 + EI {first_text}"),
                (d1 + exact(first)).printed(),
            );
            let sum = format!("D1 + EI + TD1 {first_text} + {wide_um} µm");
            push(upper, sum, (d1 + exact(first + wide)).printed());
        }
    }
}

fn mm(length: Length) -> String {
    length.to_text(LengthUnit::Millimetre, 0)
}

/// Micrometres without unit: millimetres of a length a thousand times as long.
fn um(length: Length) -> String {
    mm(length * 1_000)
}

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
                mm(*nominal),
                mm(*pitch)
            ),
            Self::DefaultClass { class } => write!(
                f,
                "no class written: {class}, the class of quality medium and engagement N \
                 ({THREAD_STANDARD} clause 12, from memory; DIN 13-1)"
            ),
            Self::Basic {
                member,
                element,
                nominal,
                pitch,
                value,
            } => {
                let (symbol, factor) = match (element, member) {
                    (ThreadElement::Minor, ThreadMember::Internal) => ("D1", "1.082532"),
                    (ThreadElement::Minor, ThreadMember::External) => ("d1", "1.082532"),
                    (_, ThreadMember::Internal) => ("D2", "0.649519"),
                    (_, ThreadMember::External) => ("d2", "0.649519"),
                };
                let (d, p, value) = (mm(*nominal), mm(*pitch), mm(*value));
                write!(f, "ISO 724: {symbol} = {d} - {factor} × {p} = {value}")
            }
            Self::Deviation {
                position,
                pitch,
                value,
                source,
            } => write_deviation(f, *position, *pitch, *value, source.as_deref()),
            Self::Tolerance { .. } => self.write_tolerance(f),
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
            Self::NotLimited { side, element } => write!(
                f,
                "{} diameter, {} limit: none in the standard",
                element.word(),
                side.word()
            ),
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
    let (letters, p, value) = (position.text(), mm(pitch), um(value));
    let formula = match position {
        ThreadPosition::InternalAz => Some("ISO 965-5: EI = 300 + 20 P"),
        ThreadPosition::InternalAx => Some("ISO 965-5: EI = 220 P - 20"),
        ThreadPosition::Az => Some("ISO 965-4 (from memory): es = -(300 + 20 P)"),
        _ => None,
    };
    match (formula, source) {
        (Some(formula), _) => write!(f, "{formula}, P {p} mm: {sign}{value} µm"),
        (None, Some(source)) => write!(
            f,
            "{THREAD_STANDARD}: position {letters}, P {p} mm: {symbol} = {sign}{value} µm (row: \
             {source})"
        ),
        (None, None) => write!(
            f,
            "position {letters}, P {p} mm, not tabled: {symbol} = {sign}{value} µm by the formula"
        ),
    }
}

impl ThreadStep {
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
        let (p, value) = (mm(*pitch), um(*value));
        match source {
            Some(source) => write!(
                f,
                "{THREAD_STANDARD}: {symbol} of grade {grade}{range}, P {p} mm = {value} µm \
                 (row: {source})"
            ),
            None => write!(
                f,
                "{symbol} of grade {grade}{range}, P {p} mm, not tabled: {value} µm by the formula"
            ),
        }
    }
}
