//! What would settle a DOUBT of the session: its circumstances put into `measure::remedies`.

use super::judged::Case;
use super::setup::TargetLimits;
use super::state::State;
use crate::journal::{Outcome, VerdictGiven};
use crate::measure::{Remedy, VerdictWord, remedies};
use crate::quantity::{Exact, Length};

/// What would settle a DOUBT, in the order to try; nothing for other verdicts, angles and checks.
///
/// Over wires the gauge is set on the size over them, not on the pitch diameter.
pub fn doubt_remedies(state: &State, verdict: &VerdictGiven) -> Vec<Remedy> {
    let place = &verdict.place;
    let found = state.setup().target_index(&place.feature, &place.element);
    let Some((target_index, target)) =
        found.and_then(|at| Some((at, state.setup().targets.get(at)?)))
    else {
        return Vec::new();
    };
    let (TargetLimits::Length(limits), Outcome::Verdict(VerdictWord::Doubt)) =
        (target.limits, verdict.outcome)
    else {
        return Vec::new();
    };
    let sequence = verdict.reading;
    let case = Case {
        state,
        target,
        target_index,
        place,
        sequence,
    };
    let value = Length::from_units(verdict.value_at_20);
    let found = target.size_to_find(value);
    let count = u32::try_from(verdict.from.len()).unwrap_or(1);
    let gauge = case.gauge();
    let error = gauge.and_then(|gauge| gauge.error_at(found, target.faces));
    let measured = case.measured(found, count, error, &mut Vec::new());
    let Some(uncertainty) = measured.ok().and_then(|measured| measured.uncertainty) else {
        return Vec::new();
    };
    let mut all = remedies(value, &limits, verdict.rule, &uncertainty, count);
    for remedy in &mut all {
        if let Remedy::SettingStandard { size } = remedy {
            *size = found;
        }
    }
    all
}
