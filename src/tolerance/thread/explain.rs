//! The steps that gave a thread's limits; built only when somebody asks.

use super::super::formula;
use super::super::limits::{Derivation, Limits};
use super::super::moved::Move;
use super::super::profile::ProfileLength;
use super::super::rows::SizeRange;
use super::super::step::{LimitSide, Step};
use super::super::wording::um;
use super::callout::LengthGroup;
use super::class::{ThreadClass, ThreadMember, ThreadPosition, ThreadTolerance};
use super::limits::{ThreadElement, ThreadKey, ThreadLimits};
use super::resolve::{crest_tolerance, deviation, pitch_tolerance, widened};
use super::sources::{Cell, words};
use super::tables::ThreadTables;
use crate::quantity::Length;

/// Unrounded lengths are shown to this step.
const READABLE_STEP: Length = Length::from_nm(100);

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
    /// A length of engagement in mm is of a group.
    Engagement {
        /// The length.
        length: Length,
        /// Its group.
        group: LengthGroup,
        /// S goes up to and includes this.
        short_to: Length,
        /// L is over this.
        long_over: Length,
        /// Where the row comes from, in words.
        source: String,
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
        /// Where the row's value comes from, in words; none: computed.
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
        /// Where the row's value comes from, in words; none: computed.
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
    /// The design root of an external thread, for information.
    DesignRoot {
        /// d3, to 0.1 µm for reading.
        basic: Length,
        /// es.
        deviation: Length,
        /// d3 + es.
        value: Length,
    },
    /// The limits of a diameter were moved, for a coating.
    Moved {
        /// Which diameter.
        element: ThreadElement,
        /// Why.
        cause: Move,
        /// The lower limit afterwards.
        lower: Option<Length>,
        /// The upper limit afterwards.
        upper: Option<Length>,
    },
    /// A side that the standard does not limit.
    NotLimited {
        /// Which limit.
        side: LimitSide,
        /// Of which diameter.
        element: ThreadElement,
    },
}

impl ThreadStep {
    /// Where a step stands among the others: what is taken first, then sizes, deviations and
    /// tolerances, then the sums.
    fn rank(&self) -> u8 {
        match self {
            Self::CoarsePitch { .. } => 0,
            Self::DefaultClass { .. } | Self::Engagement { .. } => 1,
            Self::Basic { .. } => 2,
            Self::Deviation { .. } => 3,
            Self::Tolerance { .. } | Self::Starts { .. } => 4,
            Self::Limit { .. } | Self::NotLimited { .. } | Self::DesignRoot { .. } => 5,
            Self::Moved { .. } => 6,
        }
    }
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
        steps.extend(self.engagement_step(tables));
        for element in ThreadElement::ALL {
            let limits = self.element(element);
            if let Derivation::Thread(key) = limits.derivation() {
                for step in steps_of(&key, tables) {
                    if !steps.contains(&step) {
                        steps.push(step);
                    }
                }
            }
            steps.extend(moved(element, limits));
        }
        steps.sort_by_key(ThreadStep::rank);
        steps.into_iter().map(Step::Thread).collect()
    }

    fn engagement_step(&self, tables: &ThreadTables) -> Option<ThreadStep> {
        let parts = &self.parts;
        let row = tables.engagement_row(parts.nominal, parts.pitch)?;
        let length = parts.engagement_length?;
        Some(ThreadStep::Engagement {
            length,
            group: row.group(length),
            short_to: row.short_to,
            long_over: row.long_over,
            source: words(&row.source, Cell::Row, length, None),
        })
    }
}

/// How the limits of a diameter were moved.
fn moved(element: ThreadElement, limits: &Limits) -> Vec<ThreadStep> {
    let steps = limits.moved_steps().into_iter();
    let steps = steps.filter_map(|step| match step {
        Step::Moved {
            cause,
            lower,
            upper,
        } => Some(ThreadStep::Moved {
            element,
            cause,
            lower,
            upper,
        }),
        _ => None,
    });
    steps.collect()
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
    let (class, pitch, member) = (key.class, key.pitch(), key.class.member());
    if key.class_is_default {
        steps.push(ThreadStep::DefaultClass { class });
    }
    let tolerance = if is_crest(key) {
        class.crest
    } else {
        class.pitch
    };
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
    let cell = Cell::Position(position);
    let by_formula = formula::fundamental_deviation(position, pitch);
    let source = row.map(|row| words(&row.source, cell, value, by_formula));
    steps.push(ThreadStep::Deviation {
        position,
        pitch,
        value,
        source,
    });
    if let Some(wide) = tolerance_steps(&mut steps, key, tables, tolerance) {
        limit_steps(&mut steps, key, value, wide);
    }
    steps
}

/// Whether the diameter is the crest: the one that is cut, not the root.
fn is_crest(key: &ThreadKey) -> bool {
    matches!(
        (key.element, key.class.member()),
        (ThreadElement::Major, ThreadMember::External)
            | (ThreadElement::Minor, ThreadMember::Internal)
    )
}

/// The steps to the tolerance of a diameter, and the tolerance; zero for the major diameter of an
/// internal thread, which has none.
fn tolerance_steps(
    steps: &mut Vec<ThreadStep>,
    key: &ThreadKey,
    tables: &ThreadTables,
    tolerance: ThreadTolerance,
) -> Option<Length> {
    let (nominal, pitch, member) = (key.nominal, key.pitch(), key.class.member());
    let grade = tolerance.grade;
    if is_crest(key) {
        let (wide, _) = crest_tolerance(tables, nominal, pitch, tolerance).ok()?;
        let row = tables.crest_row(member, pitch);
        steps.push(ThreadStep::Tolerance {
            member,
            element: key.element,
            grade,
            range: None,
            pitch,
            value: wide,
            source: row.map(|row| {
                let by_formula = formula::crest_tolerance(member, pitch, grade);
                words(&row.source, Cell::Grade(grade), wide, by_formula)
            }),
        });
        return Some(wide);
    }
    if (key.element, member) == (ThreadElement::Major, ThreadMember::Internal) {
        return Some(Length::ZERO);
    }
    let (single, _) = pitch_tolerance(tables, nominal, pitch, tolerance).ok()?;
    let row = tables.pitch_row(member, nominal, pitch);
    let by_formula = tables.range(nominal).and_then(|range| {
        formula::pitch_diameter_tolerance(member, range.over, range.up_to?, pitch, grade)
    });
    steps.push(ThreadStep::Tolerance {
        member,
        element: ThreadElement::Pitch,
        grade,
        range: tables.range(nominal),
        pitch,
        value: single,
        source: row.map(|row| words(&row.source, Cell::Grade(grade), single, by_formula)),
    });
    let value = widened(single, key.starts);
    if key.starts > 1 {
        steps.push(ThreadStep::Starts {
            starts: key.starts,
            single,
            value,
        });
    }
    Some(value)
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
        value: exact.rounded_to(READABLE_STEP),
    }
}

/// A diameter of the profile as it is shown: it is kept unrounded.
fn readable(exact: ProfileLength) -> String {
    exact.rounded_to(READABLE_STEP).to_string()
}

/// One sum that ends in a limit.
struct Sum {
    side: LimitSide,
    words: String,
    limit: Length,
}

/// The sums that end in a limit. `first` is the fundamental deviation, `wide` the tolerance.
fn limit_steps(steps: &mut Vec<ThreadStep>, key: &ThreadKey, first: Length, wide: Length) {
    let (element, member) = (key.element, key.class.member());
    let sums = match member {
        ThreadMember::External => external_sums(key, first, wide).into(),
        ThreadMember::Internal => internal_sums(key, first, wide),
    };
    steps.extend(sums.into_iter().map(|sum| ThreadStep::Limit {
        side: sum.side,
        element,
        member,
        sum: sum.words,
        limit: sum.limit,
    }));
    if (element, member) == (ThreadElement::Major, ThreadMember::Internal) {
        let side = LimitSide::Upper;
        steps.push(ThreadStep::NotLimited { side, element });
    }
    if (element, member) == (ThreadElement::Minor, ThreadMember::External) {
        let root = key.profile().design_minor_diameter();
        steps.push(ThreadStep::DesignRoot {
            basic: root.rounded_to(READABLE_STEP),
            deviation: first,
            value: (root + ProfileLength::from(first)).printed(),
        });
    }
}

pub(super) fn signed(by: Length) -> String {
    match by.is_negative() {
        true => format!("- {} µm", um(-by)),
        false => format!("+ {} µm", um(by)),
    }
}

fn external_sums(key: &ThreadKey, first: Length, wide: Length) -> [Sum; 2] {
    let profile = key.profile();
    let (d, es, t) = (key.nominal, signed(first), um(wide));
    let (d2, d1) = (profile.pitch_diameter(), profile.minor_diameter());
    let (d2_mm, d1_mm) = (readable(d2), readable(d1));
    let by = |length: Length| ProfileLength::from(length);
    let upper = |words, limit| Sum {
        side: LimitSide::Upper,
        words,
        limit,
    };
    let lower = |words, limit| Sum {
        side: LimitSide::Lower,
        words,
        limit,
    };
    match key.element {
        ThreadElement::Major => [
            upper(format!("d + es = {d} {es}"), d + first),
            lower(format!("d + es - Td = {d} {es} - {t} µm"), d + first - wide),
        ],
        ThreadElement::Pitch => [
            upper(
                format!("d2 + es = {d2_mm} {es}"),
                (d2 + by(first)).printed(),
            ),
            lower(
                format!("d2 + es - Td2 = {d2_mm} {es} - {t} µm"),
                (d2 + by(first - wide)).printed(),
            ),
        ],
        ThreadElement::Minor => {
            let drop = profile.least_root_drop();
            [
                upper(
                    format!("d1 + es, which the GO ring must clear, = {d1_mm} {es}"),
                    (d1 + by(first)).printed(),
                ),
                lower(
                    format!(
                        "d3 min, the root radius R_min = P/8 just touching, = d2 + es - Td2 - \
                         (H - 2 R_min) = {d2_mm} {es} - {t} µm - {}",
                        readable(drop)
                    ),
                    (d2 + by(first - wide) - drop).printed(),
                ),
            ]
        }
    }
}

fn internal_sums(key: &ThreadKey, first: Length, wide: Length) -> Vec<Sum> {
    let profile = key.profile();
    let (ei, t) = (signed(first), um(wide));
    let by = |length: Length| ProfileLength::from(length);
    let (basic, symbol, tolerance) = match key.element {
        ThreadElement::Major => {
            return vec![Sum {
                side: LimitSide::Lower,
                words: format!("D + EI = {} {ei}", key.nominal),
                limit: key.nominal + first,
            }];
        }
        ThreadElement::Pitch => (profile.pitch_diameter(), "D2", "TD2"),
        ThreadElement::Minor => (profile.minor_diameter(), "D1", "TD1"),
    };
    vec![
        Sum {
            side: LimitSide::Lower,
            words: format!("{symbol} + EI = {} {ei}", readable(basic)),
            limit: (basic + by(first)).printed(),
        },
        Sum {
            side: LimitSide::Upper,
            words: format!(
                "{symbol} + EI + {tolerance} = {} {ei} + {t} µm",
                readable(basic)
            ),
            limit: (basic + by(first + wide)).printed(),
        },
    ]
}
