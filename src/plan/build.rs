//! From the entries of a plan file to a plan: what makes sense together.

use std::ops::RangeInclusive;
use std::sync::Arc;

use super::asked::{Asked, Quoting, asked};
use super::contact;
use super::feature::{Aim, Bounds, Characteristic, CharacteristicId, Feature, FeatureId};
use super::form;
use super::format::{FeatureEntry, Found, PartEntry, RulesEntry, key, refuse_keys};
use super::limit_gauge;
use super::problem::PlanProblem;
use super::rules::{Part, Rules};
use super::stage::{Moves, Stage, StageProblem, equal_stages, stages_of_size};
use super::thread;
use crate::gauge::{FileProblem, GaugeId, Written};
use crate::quantity::{Decimal, Length};
use crate::tolerance::{Context, Limits, MetalSide, Surface};

/// Largest metal to leave (chosen): more is a number in micrometres.
const LEAVE_MAX: Length = Length::from_mm(5);
/// As many points as the key `points` takes.
const POINTS_MAX: u32 = 99;
/// Largest coating per surface and least cut (chosen, for the same reason).
const COAT_MAX: Length = Length::from_mm(1);

pub(super) fn part(entry: Option<PartEntry>) -> Part {
    let Some(entry) = entry else {
        return Part::default();
    };
    let text = |written: Option<Written<String>>| written.map(|written| written.value);
    Part {
        name: text(entry.name).unwrap_or_default(),
        drawing: text(entry.drawing),
        revision: text(entry.revision),
        material: text(entry.material),
        customer: text(entry.customer),
        order: text(entry.order),
        material_lot: text(entry.material_lot),
        quantity: entry.quantity.map(|quantity| quantity.value),
    }
}

pub(super) fn rules(found: &mut Found<'_>, entry: RulesEntry) -> Rules {
    let confidence = within(found, "confidence", entry.confidence, |value| {
        value > 0.5 && value < 1.0
    });
    let guard_factor = within(found, "guard_factor", entry.guard_factor, |value| {
        value > 0.0 && value <= 10.0
    });
    Rules {
        decision: entry.decision.map(|decision| decision.value),
        confidence,
        guard_factor,
        agreed_with: entry.agreed_with.map(|name| name.value),
        general: entry.general.map(|class| class.value),
    }
}

fn within(
    found: &mut Found<'_>,
    key: &'static str,
    written: Option<Written<Decimal>>,
    allowed: fn(f64) -> bool,
) -> Option<f64> {
    let written = written?;
    let value: Option<f64> = written.value.to_string().parse().ok();
    let value = value.filter(|value| allowed(*value));
    if value.is_none() {
        let expected = match key {
            "confidence" => "between 0.5 and 1, as 0.95 for 95 %",
            _ => "more than 0 and at most 10, as 1.65",
        };
        let problem = FileProblem::OutOfRange {
            key,
            found: written.value.to_string(),
            expected,
        };
        found.add(&written.span, problem);
    }
    value
}

/// The features; a repeated id is a problem, and only sound ones are answered.
pub(super) fn features(
    found: &mut Found<'_>,
    entries: &[FeatureEntry],
    quoting: Quoting,
    context: &Context<'_>,
) -> Vec<Feature> {
    found.add_repeats("id", entries.iter().filter_map(|entry| entry.id.as_ref()));
    entries
        .iter()
        .filter_map(|entry| feature(found, entry, quoting, context))
        .collect()
}

fn feature(
    found: &mut Found<'_>,
    entry: &FeatureEntry,
    quoting: Quoting,
    context: &Context<'_>,
) -> Option<Feature> {
    let along = along(found, entry);
    let leave = positive(found, "leave", entry.leave.as_ref(), LEAVE_MAX);
    let coating = coating(found, entry);
    let least_cut = positive(found, "least_cut", entry.least_cut.as_ref(), COAT_MAX);
    let written = entry.callout.as_ref()?;
    if let Some(kind) = &entry.form {
        let common = Common::of(found, entry, written, least_cut);
        let one = form::characteristic(found, entry, kind, &common, quoting, context)?;
        return feature_of(entry, along, vec![one]);
    }
    form::keys_without_form(found, entry);
    let asked = asked(found, written, quoting, entry.surface.as_ref(), context)?;
    let moves = Moves { leave, coating };
    let common = Common::of(found, entry, written, least_cut);
    let id = FeatureId::new(&entry.id.as_ref()?.value);
    if asked.thread.is_none() {
        thread_keys_without_thread(found, entry);
    }
    let characteristics = match (&asked.thread, &entry.elements) {
        (Some(thread), _) => thread::characteristics(found, entry, thread, &common, &moves)?,
        (None, Some(elements)) if matches!(asked.bounds, Bounds::Angle(_)) => {
            contact::characteristics(found, entry, &asked, elements, &common)?
        }
        (None, Some(elements)) => {
            limit_gauge::characteristics(found, entry, &asked, elements, &common, &moves)?
        }
        (None, None) => {
            let stages = match asked.bounds {
                Bounds::Length(limits) => size_stages(found, entry, asked.surface, limits, &moves)?,
                Bounds::Angle(_) => angle_stages(found, entry, asked.bounds)?,
                Bounds::Check(_) => equal_stages(asked.bounds, &[]),
            };
            vec![common.characteristic(&id, &asked, stages)]
        }
    };
    feature_of(entry, along, characteristics)
}

fn feature_of(
    entry: &FeatureEntry,
    along: Option<(Length, Length)>,
    characteristics: Vec<Characteristic>,
) -> Option<Feature> {
    Some(Feature {
        id: FeatureId::new(&entry.id.as_ref()?.value),
        name: entry.name.as_ref().map(|name| name.value.clone()),
        setting: value_or(&entry.setting, 1),
        along,
        characteristics,
    })
}

/// Keys that mean something for threads only.
fn thread_keys_without_thread(found: &mut Found<'_>, entry: &FeatureEntry) {
    for (key, written) in [("wire", &entry.wire), ("full_thread", &entry.full_thread)] {
        if let Some(written) = written {
            found.add(&written.span, PlanProblem::KeyWithoutThread { key });
        }
    }
}

/// What all characteristics of a feature have in common.
pub(super) struct Common {
    pub(super) callout_text: String,
    pub(super) points: u32,
    pub(super) places: Arc<[String]>,
    pub(super) take: super::Take,
    pub(super) every: u32,
    pub(super) gauges: Vec<GaugeId>,
    pub(super) aim: Aim,
    pub(super) least_cut: Option<Length>,
}

impl Common {
    fn of(
        found: &mut Found<'_>,
        entry: &FeatureEntry,
        callout: &Written<String>,
        least_cut: Option<Length>,
    ) -> Self {
        let (points, places) = points(found, entry);
        let gauges = entry.gauge.iter().flat_map(|list| &list.value);
        Self {
            callout_text: callout.value.clone(),
            points,
            places,
            take: value_or(&entry.take, super::Take::default()),
            every: value_or(&entry.every, 1),
            gauges: gauges.map(|id| GaugeId::new(&id.value)).collect(),
            aim: value_or(&entry.aim, Aim::default()),
            least_cut,
        }
    }

    /// A characteristic of a feature that is no thread.
    pub(super) fn characteristic(
        &self,
        id: &FeatureId,
        asked: &Asked,
        stages: Vec<Stage>,
    ) -> Characteristic {
        Characteristic {
            id: CharacteristicId {
                feature: id.clone(),
                element: None,
            },
            callout_text: self.callout_text.clone(),
            callout: asked.callout,
            nominal: asked.nominal,
            surface: asked.surface,
            points: self.points,
            places: Arc::clone(&self.places),
            take: self.take,
            every: self.every,
            gauges: self.gauges.clone(),
            aim: self.aim,
            least_cut: self.least_cut,
            over_wires: None,
            form: None,
            stages,
        }
    }
}

/// How many points, and the names of their places: as many as there are points.
fn points(found: &mut Found<'_>, entry: &FeatureEntry) -> (u32, Arc<[String]>) {
    let points = value_or(&entry.points, 1);
    let Some(written) = &entry.places else {
        return (points, Arc::from([]));
    };
    let named = u32::try_from(written.value.len()).unwrap_or(u32::MAX);
    let is_sound = (1..=POINTS_MAX).contains(&named) && (entry.points.is_none() || named == points);
    if !is_sound {
        let problem = PlanProblem::PlacesCount {
            found: written.value.len(),
            points: entry.points.as_ref().map(|points| points.value),
        };
        found.add(&written.span, problem);
        return (points, Arc::from([]));
    }
    let names = written.value.iter().map(|name| name.value.clone());
    (named, names.collect())
}

fn value_or<T: Copy>(written: &Option<Written<T>>, default: T) -> T {
    written.as_ref().map_or(default, |written| written.value)
}

fn along(found: &mut Found<'_>, entry: &FeatureEntry) -> Option<(Length, Length)> {
    let written = entry.along.as_ref()?;
    match written.value.as_slice() {
        [from, to] if from.value < to.value => Some((from.value, to.value)),
        [_, _] => {
            found.add(&written.span, PlanProblem::AlongReversed);
            None
        }
        ends => {
            let problem = FileProblem::WrongCount {
                key: "along",
                found: ends.len(),
                expected: "two ends, as [0, 14]",
            };
            found.add(&written.span, problem);
            None
        }
    }
}

/// A length that must not be negative and at most `max`.
pub(super) fn positive(
    found: &mut Found<'_>,
    key: &'static str,
    written: Option<&Written<Length>>,
    max: Length,
) -> Option<Length> {
    let written = written?;
    if !written.value.is_negative() && written.value <= max {
        return Some(written.value);
    }
    let expected = match key {
        "leave" => "0 to 5 mm (millimetres, not micrometres)",
        "wire" => "0 to 10 mm",
        "full_thread" => "0 to 1000 mm",
        _ => "0 to 1 mm (millimetres, not micrometres)",
    };
    let problem = FileProblem::OutOfRange {
        key,
        found: format!("{} mm", written.value),
        expected,
    };
    found.add(&written.span, problem);
    None
}

fn coating(found: &mut Found<'_>, entry: &FeatureEntry) -> Option<RangeInclusive<Length>> {
    let written = entry.coating.as_ref()?;
    let (thin, thick) = match written.value.as_slice() {
        [only] => (only, only),
        [thin, thick] => (thin, thick),
        members => {
            let problem = FileProblem::WrongCount {
                key: "coating",
                found: members.len(),
                expected: "thinnest and thickest per surface, as [0.006, 0.010]",
            };
            found.add(&written.span, problem);
            return None;
        }
    };
    let thin = positive(found, "coating", Some(thin), COAT_MAX)?;
    let thick = positive(found, "coating", Some(thick), COAT_MAX)?;
    Some(thin..=thick)
}

pub(super) fn size_stages(
    found: &mut Found<'_>,
    entry: &FeatureEntry,
    surface: Option<Surface>,
    limits: Limits<Length>,
    moves: &Moves,
) -> Option<Vec<Stage>> {
    let names = stage_names(entry);
    if let Some(aim) = entry
        .aim
        .as_ref()
        .filter(|aim| aim.value == Aim::TowardMetal)
    {
        let side = surface.map(Surface::metal_side);
        if matches!(side, None | Some(MetalSide::Neither)) {
            found.add(&aim.span, PlanProblem::MetalSideUnknown { key: "aim" });
        }
    }
    if entry.spoiled || (moves.leave.is_none() && moves.coating.is_none()) {
        return Some(equal_stages(Bounds::Length(limits), &names));
    }
    let Some(surface) = surface else {
        let (key, span) = match (&entry.leave, &entry.coating) {
            (Some(leave), _) => ("leave", &leave.span),
            (None, Some(coating)) => ("coating", &coating.span),
            (None, None) => return None,
        };
        found.add(span, PlanProblem::MetalSideUnknown { key });
        return None;
    };
    let problem = match stages_of_size(limits, surface, &names, moves) {
        Ok(stages) => return Some(stages),
        Err(problem) => problem,
    };
    let moved = |key, error| PlanProblem::Moved { key, error };
    match (problem, &entry.stages, &entry.coating, &entry.leave) {
        (StageProblem::TooFew { needed }, Some(stages), _, _) => {
            let problem = PlanProblem::TooFewStages {
                found: names.len(),
                needed,
            };
            found.add(&stages.span, problem);
        }
        (StageProblem::Coating(error), _, Some(coating), _) => {
            found.add(&coating.span, moved("coating", error));
        }
        (StageProblem::Leave(error), _, _, Some(leave)) => {
            found.add(&leave.span, moved("leave", error));
        }
        _ => {}
    }
    None
}

pub(super) fn angle_stages(
    found: &mut Found<'_>,
    entry: &FeatureEntry,
    bounds: Bounds,
) -> Option<Vec<Stage>> {
    let keys = [
        key("surface", &entry.surface),
        key("leave", &entry.leave),
        key("coating", &entry.coating),
        key("aim", &entry.aim),
        key("least_cut", &entry.least_cut),
    ];
    let is_sound = refuse_keys(found, keys, |key| PlanProblem::NotForAngles { key });
    is_sound.then(|| equal_stages(bounds, &stage_names(entry)))
}

pub(super) fn stage_names(entry: &FeatureEntry) -> Vec<Arc<str>> {
    let names = entry.stages.iter().flat_map(|list| &list.value);
    names.map(|name| Arc::from(name.value.as_str())).collect()
}
