//! A cone that is proved by contact: `elements = ["angle", "contact"]` of an angle.
//!
//! Blueing shows where a cone carries; it is an attribute, answered by a person (common practice,
//! no source for how much must carry). Refuses to know what an answer means.

use std::sync::Arc;

use super::asked::Asked;
use super::build::{Common, angle_stages, stage_names};
use super::feature::{Bounds, Characteristic, CharacteristicId, FeatureId};
use super::format::{FeatureEntry, Found};
use super::problem::PlanProblem;
use super::stage::equal_stages;
use crate::gauge::{CheckAsked, CheckEnd, CheckTool, Written};

const MEASURED: &str = "angle";
const CONTACT: &str = "contact";

/// The characteristics that `elements` names of an angle; none when something is wrong.
pub(super) fn characteristics(
    found: &mut Found<'_>,
    entry: &FeatureEntry,
    asked: &Asked,
    elements: &Written<Vec<Written<String>>>,
    common: &Common,
) -> Option<Vec<Characteristic>> {
    let measured = angle_stages(found, entry, asked.bounds)?;
    if elements.value.is_empty() {
        found.add(&elements.span, PlanProblem::NoElements);
        return None;
    }
    let id = FeatureId::new(entry.id.as_ref().map_or("", |id| id.value.as_str()));
    let mut all = Vec::new();
    let mut is_sound = true;
    for written in &elements.value {
        let (word, stages) = match written.value.as_str() {
            MEASURED => (MEASURED, measured.clone()),
            CONTACT => {
                let check = Bounds::Check(CheckAsked {
                    end: CheckEnd::Go,
                    with: CheckTool::Colour,
                    short_thread: false,
                });
                // Blued when it is finished: it knows that stage alone.
                let last = stage_names(entry).pop();
                (CONTACT, equal_stages(check, last.as_slice()))
            }
            _ => {
                let problem = PlanProblem::UnknownElement {
                    found: written.value.clone(),
                    member: "an angle",
                    known: vec![MEASURED, CONTACT],
                };
                found.add(&written.span, problem);
                is_sound = false;
                continue;
            }
        };
        let mut one = common.characteristic(&id, asked, stages);
        one.id = CharacteristicId {
            feature: id.clone(),
            element: Some(Arc::from(word)),
        };
        if word == CONTACT {
            one.points = 1;
            one.places = Arc::from([]);
        }
        all.push(one);
    }
    is_sound.then_some(all)
}
