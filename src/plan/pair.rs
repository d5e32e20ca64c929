//! Pairs of a plan: which hole takes which shaft, and what fit is intended.

use super::asked::asked_fit;
use super::feature::{Feature, FeatureId};
use super::format::{FeatureEntry, Found, PairEntry};
use super::inspection::Plan;
use super::problem::PlanProblem;
use crate::gauge::{Written, nearest};
use crate::quantity::Length;
use crate::tolerance::{Context, FitCallout, Surface};

/// A hole and a shaft that go together.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// The hole.
    pub hole: PairEnd,
    /// The shaft.
    pub shaft: PairEnd,
    /// The fit that the drawing intends, if stated.
    pub intended: Option<FitCallout>,
}

/// One end of a pair: a feature of this plan or of another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PairEnd {
    /// The file of the other plan; `None` for this one.
    pub plan: Option<String>,
    /// The feature.
    pub feature: FeatureId,
}

impl PairEnd {
    /// The two limits of its size at the last stage; none where `plan` is not the plan of the pair,
    /// has no such size, or has one limit only.
    pub fn limits_in(&self, plan: &Plan) -> Option<(Length, Length)> {
        let here = self.plan.is_none().then_some(&self.feature)?;
        let all = &plan.feature(here)?.characteristics;
        let size = all.iter().find(|one| one.id.element.is_none())?;
        let bounds = size.bounds()?;
        let limits = bounds.length()?;
        limits.lower().zip(limits.upper())
    }
}

/// The pairs of a file. `entries` are all features as written, `features` the sound ones.
pub(super) fn pairs(
    found: &mut Found<'_>,
    written: &[PairEntry<'_, '_>],
    entries: &[FeatureEntry],
    features: &[Feature],
    context: &Context<'_>,
) -> Vec<Pair> {
    let mut pairs = Vec::new();
    for entry in written {
        let texts = [&entry.hole, &entry.shaft].map(|end| end.as_ref().map(|end| &end.value));
        if let [Some(hole), Some(shaft)] = texts
            && hole == shaft
        {
            found.add(
                &entry.fields.key_span("shaft"),
                PlanProblem::PairedWithItself,
            );
            continue;
        }
        let hole = end(found, "hole", entry.hole.as_ref(), entries, features);
        let shaft = end(found, "shaft", entry.shaft.as_ref(), entries, features);
        let intended = entry.intended.as_ref();
        let intended = intended.map(|fit| asked_fit(found, fit, context));
        let (Some(hole), Some(shaft)) = (hole, shaft) else {
            continue;
        };
        pairs.push(Pair {
            hole,
            shaft,
            intended: intended.flatten(),
        });
    }
    pairs
}

fn end(
    found: &mut Found<'_>,
    key: &'static str,
    written: Option<&Written<String>>,
    entries: &[FeatureEntry],
    features: &[Feature],
) -> Option<PairEnd> {
    let written = written?;
    let text = written.value.as_str();
    let (plan, feature) = match text.rsplit_once('#') {
        None => (None, text),
        Some((plan, feature)) => (Some(plan), feature),
    };
    let blank = |part: &str| part.trim().is_empty() || part.trim() != part;
    if blank(feature) || plan.is_some_and(blank) {
        let problem = PlanProblem::BadReference {
            key,
            found: text.to_owned(),
        };
        found.add(&written.span, problem);
        return None;
    }
    let end = PairEnd {
        plan: plan.map(str::to_owned),
        feature: FeatureId::new(feature),
    };
    if end.plan.is_some() {
        return Some(end);
    }
    let ids = || entries.iter().filter_map(|entry| entry.id.as_ref());
    if !ids().any(|id| id.value == feature) {
        let nearest = nearest(feature, ids().map(|id| id.value.as_str()));
        let problem = PlanProblem::UnknownFeature {
            key,
            found: feature.to_owned(),
            nearest: nearest.map(str::to_owned),
        };
        found.add(&written.span, problem);
        return None;
    }
    let named = features.iter().find(|other| other.id == end.feature);
    if let Some(is) = named.and_then(|named| wrong_side(key, named)) {
        let problem = PlanProblem::PairSide {
            key,
            found: feature.to_owned(),
            is,
        };
        found.add(&written.span, problem);
    }
    Some(end)
}

/// What a feature is, when it cannot be that end of a pair.
fn wrong_side(key: &str, feature: &Feature) -> Option<&'static str> {
    let all = &feature.characteristics;
    if all.first()?.bounds()?.angle().is_some() {
        return Some("an angle");
    }
    // A thread may begin with the depth of its full thread, which has no side.
    let is_sided = |surface: &Surface| surface.is_diameter() || *surface == Surface::Slot;
    let sided = all.iter().filter_map(|one| one.surface).find(is_sided);
    match (key, sided) {
        ("hole", Some(Surface::Outside)) => Some("outside"),
        ("shaft", Some(Surface::Inside)) => Some("inside"),
        ("shaft", Some(Surface::Slot)) => Some("a slot"),
        _ => None,
    }
}
