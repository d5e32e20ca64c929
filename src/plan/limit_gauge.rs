//! A plain hole proved by plug gauges, a plain shaft by gap gauges: what `elements` may say of
//! them.
//!
//! ISO 1938-1 in outline (from memory): the GO end is made to the maximum-material limit and the
//! NO-GO end to the least-material limit. What a gauge maker may add to them is not known here.
//! Without `elements` a plain size is measured. Refuses to know what an outcome means.

use std::sync::Arc;

use super::asked::Asked;
use super::build::{Common, size_stages, stage_names};
use super::feature::{Bounds, Characteristic, CharacteristicId, FeatureId};
use super::format::{FeatureEntry, Found, key, refuse_keys};
use super::problem::PlanProblem;
use super::stage::{Moves, deciding_name, equal_stages};
use crate::gauge::{CheckAsked, CheckEnd, CheckTool, Written};
use crate::quantity::Length;
use crate::tolerance::{
    Callout, CalloutLimits, Context, Limits, Surface, Tables, ThreadLimits, parse_callout_in,
};

/// One thing that proves a plain size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Proof {
    Size,
    Gauge(CheckEnd),
}

/// A hole or a shaft, with what limit gauges are there for it.
struct Plain {
    member: &'static str,
    with: CheckTool,
    words: [(&'static str, Proof); 3],
}

const HOLE: Plain = Plain {
    member: "a plain hole",
    with: CheckTool::PlainPlug,
    words: [
        ("size", Proof::Size),
        ("go_plug", Proof::Gauge(CheckEnd::Go)),
        ("no_go_plug", Proof::Gauge(CheckEnd::NoGo)),
    ],
};
const SHAFT: Plain = Plain {
    member: "a plain shaft",
    with: CheckTool::GapGauge,
    words: [
        ("size", Proof::Size),
        ("go_gap", Proof::Gauge(CheckEnd::Go)),
        ("no_go_gap", Proof::Gauge(CheckEnd::NoGo)),
    ],
};

/// The characteristics that `elements` names of a plain size; none when something is wrong.
pub(super) fn characteristics(
    found: &mut Found<'_>,
    entry: &FeatureEntry,
    asked: &Asked,
    elements: &Written<Vec<Written<String>>>,
    common: &Common,
    moves: &Moves,
) -> Option<Vec<Characteristic>> {
    let (plain, limits) = match (asked.surface, asked.bounds) {
        (Some(Surface::Inside), Bounds::Length(limits)) => (&HOLE, limits),
        (Some(Surface::Outside), Bounds::Length(limits)) => (&SHAFT, limits),
        _ => {
            found.add(&elements.span, PlanProblem::ElementsWithoutThread);
            return None;
        }
    };
    let chosen = chosen(found, plain, elements, limits)?;
    if !chosen.iter().any(|(_, proof)| *proof == Proof::Size) {
        keys_of_measured(found, entry)?;
    }
    let id = FeatureId::new(entry.id.as_ref().map_or("", |id| id.value.as_str()));
    let mut all = Vec::new();
    for (word, proof) in chosen {
        let stages = match proof {
            Proof::Size => size_stages(found, entry, asked.surface, limits, moves)?,
            Proof::Gauge(end) => {
                let check = Bounds::Check(CheckAsked {
                    end,
                    with: plain.with,
                    short_thread: false,
                });
                // A limit gauge is made for the finished size: it knows that stage alone.
                let last = deciding_name(&stage_names(entry), moves);
                equal_stages(check, last.as_slice())
            }
        };
        let mut one = common.characteristic(&id, asked, stages);
        one.id = CharacteristicId {
            feature: id.clone(),
            element: Some(Arc::from(word)),
        };
        if proof != Proof::Size {
            one.points = 1;
            one.places = Arc::from([]);
        }
        all.push(one);
    }
    Some(all)
}

/// The elements that the plan names, each one that the limits have a gauge for.
fn chosen(
    found: &mut Found<'_>,
    plain: &Plain,
    elements: &Written<Vec<Written<String>>>,
    limits: Limits<Length>,
) -> Option<Vec<(&'static str, Proof)>> {
    if elements.value.is_empty() {
        found.add(&elements.span, PlanProblem::NoElements);
        return None;
    }
    let mut chosen = Vec::new();
    let mut is_sound = true;
    for written in &elements.value {
        let known = plain.words.iter().find(|(word, _)| *word == written.value);
        let problem = match known {
            None => Some(PlanProblem::UnknownElement {
                found: written.value.clone(),
                member: plain.member,
                known: plain.words.iter().map(|(word, _)| *word).collect(),
            }),
            Some((_, Proof::Gauge(end))) => missing_limit(plain, *end, limits).map(|limit| {
                let element = written.value.clone();
                PlanProblem::ElementNeedsLimit { element, limit }
            }),
            Some((_, Proof::Size)) => None,
        };
        match (problem, known) {
            (None, Some(known)) => chosen.push(*known),
            (problem, _) => {
                is_sound = false;
                problem
                    .into_iter()
                    .for_each(|one| found.add(&written.span, one));
            }
        }
    }
    is_sound.then_some(chosen)
}

/// The limit that an end would be made to, if the callout has none: of a hole the lower one is the
/// maximum-material limit, of a shaft the upper one.
fn missing_limit(plain: &Plain, end: CheckEnd, limits: Limits<Length>) -> Option<&'static str> {
    let is_hole = plain.with == CheckTool::PlainPlug;
    let is_lower = is_hole == (end == CheckEnd::Go);
    match is_lower {
        true => limits.lower().is_none().then_some("lower"),
        false => limits.upper().is_none().then_some("upper"),
    }
}

/// Keys that mean nothing where limit gauges alone prove the size.
fn keys_of_measured(found: &mut Found<'_>, entry: &FeatureEntry) -> Option<()> {
    let keys = [
        key("points", &entry.points),
        key("places", &entry.places),
        key("take", &entry.take),
        key("aim", &entry.aim),
        key("least_cut", &entry.least_cut),
    ];
    refuse_keys(found, keys, |key| PlanProblem::KeyNeedsMeasured { key }).then_some(())
}

/// Whether a callout, as a gauge's maker or a register writes it, is that of a characteristic: the
/// same limits, however both are written (`M10-6H` is `M10x1.5-6H`, `20 H7` is `20 +0.021/0`).
pub fn is_callout_of(text: &str, one: &Characteristic, tables: &Tables) -> bool {
    let Ok(callout) = parse_callout_in(text, tables) else {
        return false;
    };
    if callout == one.callout {
        return true;
    }
    let context = Context::with_tables(tables);
    let of = |callout: &Callout| callout.limits(&context).ok();
    match (of(&callout), of(&one.callout)) {
        (Some(CalloutLimits::Size(made)), Some(CalloutLimits::Size(asked))) => {
            let sides = (made.surface, one.surface);
            let is_other = matches!(
                sides,
                (Some(Surface::Inside), Some(Surface::Outside))
                    | (Some(Surface::Outside), Some(Surface::Inside))
            );
            let (made, asked) = (made.limits, asked.limits);
            !is_other && made.lower() == asked.lower() && made.upper() == asked.upper()
        }
        (Some(CalloutLimits::Thread(made)), Some(CalloutLimits::Thread(asked))) => {
            let of = |one: &ThreadLimits| {
                let parts = &one.parts;
                let thread = (parts.nominal, parts.pitch, parts.starts, parts.left_hand);
                (thread, parts.class, one.pitch.lower(), one.pitch.upper())
            };
            of(&made) == of(&asked)
        }
        _ => false,
    }
}
