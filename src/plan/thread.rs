//! What proves a thread: a feature with a thread's designation becomes several characteristics.
//!
//! A sensible set is taken where the plan names none, and `elements` overrides it. This file
//! refuses to know how a pitch diameter is measured and what a limit gauge's outcome means.

use std::sync::Arc;

use super::build::{Common, positive, size_stages, stage_names};
use super::feature::{Bounds, Characteristic, CharacteristicId, FeatureId, OverWires};
use super::format::{FeatureEntry, Found, key, refuse_keys};
use super::problem::PlanProblem;
use super::stage::{Moves, Stage, deciding_name, equal_stages};
use crate::gauge::{CheckAsked, CheckEnd, CheckTool, FileProblem, Written};
use crate::quantity::Length;
use crate::tolerance::{
    Callout, CalloutError, Derivation, Limits, STEEPEST_OVER_WIRES, Surface, ThreadElement,
    ThreadLimits, ThreadMember, lead_angle_tangent,
};

/// Longest full thread (chosen: more is a number in micrometres).
const FULL_THREAD_MAX: Length = Length::from_mm(1_000);
/// Thickest measuring wire: for the coarsest pitch, 8 mm, with room (chosen).
const WIRE_MAX: Length = Length::from_mm(10);

/// One thing that proves a thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Proof {
    Diameter(ThreadElement),
    Wires,
    Gauge(CheckEnd),
    FullThread,
    Mate,
}

/// Every word of the plan's `elements` for a member.
fn words(member: ThreadMember) -> &'static [(&'static str, Proof)] {
    const INTERNAL: &[(&str, Proof)] = &[
        ("minor", Proof::Diameter(ThreadElement::Minor)),
        ("pitch", Proof::Diameter(ThreadElement::Pitch)),
        ("go_plug", Proof::Gauge(CheckEnd::Go)),
        ("no_go_plug", Proof::Gauge(CheckEnd::NoGo)),
        ("full_thread", Proof::FullThread),
        ("mate", Proof::Mate),
    ];
    const EXTERNAL: &[(&str, Proof)] = &[
        ("major", Proof::Diameter(ThreadElement::Major)),
        ("pitch", Proof::Diameter(ThreadElement::Pitch)),
        ("wires", Proof::Wires),
        ("minor", Proof::Diameter(ThreadElement::Minor)),
        ("go_ring", Proof::Gauge(CheckEnd::Go)),
        ("no_go_ring", Proof::Gauge(CheckEnd::NoGo)),
        ("full_thread", Proof::FullThread),
        ("mate", Proof::Mate),
    ];
    match member {
        ThreadMember::Internal => INTERNAL,
        ThreadMember::External => EXTERNAL,
    }
}

/// What proves a thread when the plan does not say: the crest by measuring, the rest by GO and
/// NO-GO gauge; over wires and the length of full thread where the plan gives what they need.
fn usual(member: ThreadMember, has_wire: bool, has_length: bool) -> Vec<&'static str> {
    let mut words = match member {
        ThreadMember::Internal => vec!["minor", "go_plug", "no_go_plug"],
        ThreadMember::External if has_wire => vec!["major", "wires", "go_ring", "no_go_ring"],
        ThreadMember::External => vec!["major", "go_ring", "no_go_ring"],
    };
    if has_length {
        words.push("full_thread");
    }
    words
}

/// What the plan says of a thread beside its callout.
struct Stated {
    wire: Option<Length>,
    full_thread: Option<Length>,
}

/// The characteristics of a thread; none when something in the entry is wrong.
pub(super) fn characteristics(
    found: &mut Found<'_>,
    entry: &FeatureEntry,
    thread: &ThreadLimits,
    common: &Common,
    moves: &Moves,
) -> Option<Vec<Characteristic>> {
    let member = thread.parts.member();
    let stated = Stated {
        wire: wire(found, entry.wire.as_ref(), thread),
        full_thread: full_thread(found, entry.full_thread.as_ref()),
    };
    coated_zone(found, entry, thread, moves)?;
    let chosen = chosen(found, entry, member, &stated)?;
    keys_of_measured(found, entry, &chosen)?;
    let mut all = Vec::new();
    for (word, proof) in chosen {
        all.push(one(
            found,
            entry,
            thread,
            common,
            moves,
            (word, proof),
            &stated,
        )?);
    }
    Some(all)
}

/// The coating must leave a zone on every diameter, also on one that is not measured: the flanks
/// move by four times its thickness.
fn coated_zone(
    found: &mut Found<'_>,
    entry: &FeatureEntry,
    thread: &ThreadLimits,
    moves: &Moves,
) -> Option<()> {
    let (Some(coat), Some(written)) = (&moves.coating, &entry.coating) else {
        return Some(());
    };
    match thread.before_coating(*coat.start(), *coat.end()) {
        Ok(_) => Some(()),
        Err(error) => {
            found.add(&written.span, CalloutError::Thread(error));
            None
        }
    }
}

/// The least length of full thread; none at all proves nothing.
fn full_thread(found: &mut Found<'_>, written: Option<&Written<Length>>) -> Option<Length> {
    let length = positive(found, "full_thread", written, FULL_THREAD_MAX)?;
    if length > Length::ZERO {
        return Some(length);
    }
    let problem = FileProblem::OutOfRange {
        key: "full_thread",
        found: format!("{length} mm"),
        expected: "more than 0 mm",
    };
    found.add(&written?.span, problem);
    None
}

/// Keys that mean nothing where limit gauges alone prove the thread. Metal left and coatings do:
/// they say at which stage the gauges are tried.
fn keys_of_measured(
    found: &mut Found<'_>,
    entry: &FeatureEntry,
    chosen: &[(&'static str, Proof)],
) -> Option<()> {
    let is_diameter = |proof: &Proof| matches!(proof, Proof::Diameter(_) | Proof::Wires);
    let has = |which: &dyn Fn(&Proof) -> bool| chosen.iter().any(|(_, proof)| which(proof));
    let diameters = has(&is_diameter);
    let measured = diameters || has(&|proof| *proof == Proof::FullThread);
    let keys = [
        (key("points", &entry.points), measured),
        (key("places", &entry.places), measured),
        (key("take", &entry.take), measured),
        (key("aim", &entry.aim), diameters),
        (key("least_cut", &entry.least_cut), diameters),
    ];
    let useless = keys.into_iter().filter(|(_, has_use)| !has_use);
    let useless = useless.map(|(key, _)| key);
    refuse_keys(found, useless, |key| PlanProblem::KeyNeedsMeasured { key }).then_some(())
}

/// The wire's diameter; one that cannot touch the flanks near the pitch line is refused.
fn wire(
    found: &mut Found<'_>,
    written: Option<&Written<Length>>,
    thread: &ThreadLimits,
) -> Option<Length> {
    let wire = positive(found, "wire", written, WIRE_MAX)?;
    let span = &written?.span;
    if thread.parts.member() == ThreadMember::Internal {
        found.add(span, PlanProblem::WireInside);
        return None;
    }
    let smallest = thread.pitch.lower().unwrap_or(thread.parts.nominal);
    if lead_angle_tangent(thread.parts.lead(), smallest) > STEEPEST_OVER_WIRES {
        found.add(span, PlanProblem::WiresTooSteep);
        return None;
    }
    let (least, largest) = thread.parts.profile().usable_wires();
    if (least..=largest).contains(&wire) {
        return Some(wire);
    }
    let problem = PlanProblem::WireOutOfRange {
        found: wire,
        least,
        largest,
    };
    found.add(span, problem);
    None
}

/// The elements that the plan names, else the usual ones.
fn chosen(
    found: &mut Found<'_>,
    entry: &FeatureEntry,
    member: ThreadMember,
    stated: &Stated,
) -> Option<Vec<(&'static str, Proof)>> {
    let known = words(member);
    let of = |word: &str| known.iter().copied().find(|(known, _)| *known == word);
    let Some(list) = &entry.elements else {
        let usual = usual(member, stated.wire.is_some(), stated.full_thread.is_some());
        return Some(usual.into_iter().filter_map(of).collect());
    };
    let mut chosen: Vec<(&'static str, Proof)> = Vec::new();
    let mut is_sound = !list.value.is_empty();
    if list.value.is_empty() {
        found.add(&list.span, PlanProblem::NoElements);
    }
    let names_wires = list.value.iter().any(|word| word.value == "wires");
    if let (Some(wire), false, Some(_)) = (&entry.wire, names_wires, of("wires")) {
        let (key, element) = ("wire", "wires");
        found.add(&wire.span, PlanProblem::KeyNeedsElement { key, element });
        is_sound = false;
    }
    for written in &list.value {
        let key = match of(&written.value) {
            None => {
                let problem = PlanProblem::UnknownElement {
                    found: written.value.clone(),
                    member: match member {
                        ThreadMember::Internal => "an internal thread",
                        ThreadMember::External => "an external thread",
                    },
                    known: known.iter().map(|(word, _)| *word).collect(),
                };
                found.add(&written.span, problem);
                is_sound = false;
                continue;
            }
            Some((_, Proof::Wires)) if entry.wire.is_none() => Some("wire"),
            Some((_, Proof::FullThread)) if entry.full_thread.is_none() => Some("full_thread"),
            // A word that stands twice has been told where the list was read.
            Some(one) if chosen.contains(&one) => {
                is_sound = false;
                continue;
            }
            Some(one) => {
                chosen.push(one);
                None
            }
        };
        if let Some(key) = key {
            let element = written.value.clone();
            found.add(&written.span, PlanProblem::ElementNeedsKey { element, key });
            is_sound = false;
        }
    }
    is_sound.then_some(chosen)
}

/// One characteristic of a thread.
fn one(
    found: &mut Found<'_>,
    entry: &FeatureEntry,
    thread: &ThreadLimits,
    common: &Common,
    moves: &Moves,
    (word, proof): (&'static str, Proof),
    stated: &Stated,
) -> Option<Characteristic> {
    let parts = &thread.parts;
    let (limits, surface) = match proof {
        Proof::Diameter(element) => (*thread.element(element), parts.surface()),
        Proof::Wires => (thread.pitch, parts.surface()),
        Proof::FullThread => {
            let least = stated.full_thread;
            let limits = Limits::new(least, None, Derivation::Stated).ok()?;
            (limits, Surface::Depth)
        }
        Proof::Gauge(_) | Proof::Mate => {
            let asked = asked(thread, proof, stated)?;
            // A limit gauge is made for the finished thread: it knows that stage alone.
            let last = deciding_name(&stage_names(entry), moves);
            let stages = equal_stages(Bounds::Check(asked), last.as_slice());
            return Some(characteristic(entry, thread, common, word, None, stages));
        }
    };
    let stages = match proof {
        // The same at every stage: a coat or a pass more on the flanks does not shorten it.
        Proof::FullThread => equal_stages(Bounds::Length(limits), &stage_names(entry)),
        _ => size_stages(found, entry, Some(surface), limits, moves)?,
    };
    let mut one = characteristic(entry, thread, common, word, Some(surface), stages);
    one.over_wires = stated
        .wire
        .filter(|_| proof == Proof::Wires)
        .map(|wire| OverWires {
            profile: parts.profile(),
            lead: parts.lead(),
            wire,
        });
    one.nominal = match proof {
        Proof::FullThread => stated.full_thread,
        Proof::Diameter(ThreadElement::Major) => Some(parts.nominal),
        Proof::Diameter(ThreadElement::Minor) => Some(parts.profile().minor_diameter().printed()),
        _ => Some(parts.profile().pitch_diameter().printed()),
    };
    Some(one)
}

/// What is asked of a gauge or a mating part.
fn asked(thread: &ThreadLimits, proof: Proof, stated: &Stated) -> Option<CheckAsked> {
    let parts = &thread.parts;
    let length = stated.full_thread.or(parts.engagement_length);
    let with = match (proof, parts.member()) {
        (Proof::Mate, _) => CheckTool::MatingPart,
        (_, ThreadMember::Internal) => CheckTool::ThreadPlug,
        (_, ThreadMember::External) => CheckTool::ThreadRing,
    };
    let end = match proof {
        Proof::Gauge(end) => end,
        Proof::Mate => CheckEnd::Mate,
        _ => return None,
    };
    Some(CheckAsked {
        end,
        with,
        short_thread: end == CheckEnd::NoGo && length.is_some_and(|length| parts.is_short(length)),
    })
}

fn characteristic(
    entry: &FeatureEntry,
    thread: &ThreadLimits,
    common: &Common,
    word: &str,
    surface: Option<Surface>,
    stages: Vec<Stage>,
) -> Characteristic {
    let is_check = surface.is_none();
    let id = entry.id.as_ref().map_or("", |id| id.value.as_str());
    Characteristic {
        id: CharacteristicId {
            feature: FeatureId::new(id),
            element: Some(Arc::from(word)),
        },
        callout_text: common.callout_text.clone(),
        callout: Callout::Thread(thread.parts.callout()),
        nominal: Some(thread.parts.nominal),
        surface: Some(surface.unwrap_or(thread.parts.surface())),
        points: if is_check { 1 } else { common.points },
        places: match is_check {
            true => Arc::from([]),
            false => Arc::clone(&common.places),
        },
        take: common.take,
        every: common.every,
        gauges: common.gauges.clone(),
        aim: common.aim,
        least_cut: common.least_cut,
        over_wires: None,
        form: None,
        stages,
    }
}
