//! What the simulated machinist sees of the bench.

use super::judged::READINGS_DISAGREE;
use super::setup::Target;
use super::simulated::{LastAnswer, Sight};
use super::state::{End, State};
use crate::gauge::{Gauge, GaugeId};
use crate::journal::{Event, Outcome};
use crate::measure::{Side, VerdictWord};
use crate::quantity::Length;
use crate::tolerance::Surface;

/// The sight of a state, given the last event that answered a reading.
pub fn sight(state: &State, last: Option<&Event>) -> Sight {
    let part = state.current_part().map_or(1, |part| part.number);
    let target = match state.current_part() {
        None => (!state.setup().targets.is_empty()).then_some(0),
        Some(_) => state.current_target(),
    };
    let description = target.and_then(|target| state.setup().targets.get(target));
    let limits = description.and_then(Target::limits_to_find);
    let gauge = description.and_then(|target| match target.check() {
        // A plug is never what sends readings.
        Some(_) => target.gauges.first().cloned(),
        None => gauge_for(state, target),
    });
    let entry = gauge.as_ref().and_then(|gauge| state.setup().gauge(gauge));
    let point = state.current_place().map_or(1, |(_, place)| place.point);
    Sight {
        part,
        target,
        lower: limits.and_then(|limits| limits.lower()),
        upper: limits.and_then(|limits| limits.upper()),
        check: description.and_then(|target| target.check().copied()),
        surface: description.map_or(Surface::Length, |target| target.surface),
        point,
        cutting: state.bench().cutting,
        last: last_answer(state, last),
        step: entry
            .and_then(Gauge::step)
            .map_or(Length::from_um(1), |step| step.value()),
        zero_size: entry.map_or(Length::ZERO, |gauge| gauge.size_of(Length::ZERO)),
        gauge,
    }
}

/// The first gauge of the session that may prove the characteristic, else the session's first.
pub(super) fn gauge_for(state: &State, target: &Target) -> Option<GaugeId> {
    let ids = || {
        state
            .setup()
            .sources
            .iter()
            .map(|source| GaugeId::new(&source.gauge))
    };
    ids()
        .find(|gauge| target.may_prove(gauge))
        .or_else(|| ids().next())
}

fn last_answer(state: &State, last: Option<&Event>) -> LastAnswer {
    if state.bench().held.is_some() {
        return LastAnswer::Held;
    }
    match last {
        Some(Event::VerdictGiven(verdict)) => {
            if verdict.notes.iter().any(|note| note == READINGS_DISAGREE) {
                // The hand trusts its last reading and voids the first of those that disagree.
                let first = verdict.from.iter().copied().find(|reading| {
                    state
                        .reading(*reading)
                        .is_some_and(|record| record.end == End::Judged)
                });
                return first.map_or(LastAnswer::Doubt, LastAnswer::Disagree);
            }
            match verdict.outcome {
                Outcome::Inside | Outcome::Noted | Outcome::Verdict(VerdictWord::Go) => {
                    LastAnswer::Accepted
                }
                Outcome::Verdict(VerdictWord::Doubt) => LastAnswer::Doubt,
                Outcome::Verdict(VerdictWord::NoGo) if verdict.side == Side::MetalGone => {
                    LastAnswer::MetalGone
                }
                Outcome::Verdict(VerdictWord::NoGo) => LastAnswer::Doubt,
            }
        }
        Some(Event::CuttingNoted { left, .. }) => LastAnswer::Cut(*left),
        _ => LastAnswer::None,
    }
}
