//! Whether a reading looks wrong where it would be assigned: the session's history put into
//! `measure::plausibility`.

use super::check_words::element_words;
use super::setup::TargetLimits;
use super::state::{End, Pending, State};
use crate::gauge::Observed;
use crate::journal::Place;
use crate::measure::{Cause, Circumstances, Plausibility, plausibility};
use crate::quantity::{Exact, Length};
use crate::tolerance::Limits;

/// Why a reading is held.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Suspicion {
    /// The likely cause, one word.
    pub(super) cause: String,
    /// The likely cause in a sentence.
    pub(super) sentence: String,
}

/// What is suspicious about a length reading, if anything is. Angles are never held.
pub(super) fn suspicion(
    state: &State,
    pending: &Pending,
    target: usize,
    place: &Place,
) -> Option<Suspicion> {
    let setup = state.setup();
    let description = setup.targets.get(target)?;
    let (Observed::Length(value), Some(limits)) =
        (pending.reading.observed, description.limits_to_find())
    else {
        return None;
    };
    let gauge = setup.gauge(&pending.reading.gauge);
    let value = description.size_read(gauge, value);
    let mut others = Vec::new();
    let mut names = Vec::new();
    for (at, other) in setup.targets.iter().enumerate() {
        if let (true, Some(limits)) = (at != target, other.limits_to_find()) {
            others.push(limits);
            names.push(other);
        }
    }
    // Over wires a pitch diameter that somebody computed by hand is a likely slip.
    if let (true, TargetLimits::Length(own)) =
        (description.over_wires.is_some(), description.limits)
    {
        others.push(own);
        names.push(description);
    }
    let about = Circumstances {
        value,
        limits: &limits,
        surface: description.surface,
        unit: pending.reading.shown.unit,
        origin: pending.reading.origin,
        thimble: gauge.is_some_and(|gauge| gauge.is_thimble()),
        // Between two readings of it it was cut.
        cutting: state.bench().cutting || state.awaits_cut(place),
        last_value: last_value(state, target, place.part),
        others: &others as &[Limits],
    };
    let Plausibility::Held(cause) = plausibility(&about) else {
        return None;
    };
    let sentence = match cause {
        Cause::OtherCharacteristic { index } => names.get(index).map(|other| {
            if std::ptr::eq(*other, description) {
                return "It fits the pitch diameter itself: what the gauge shows over the wires is \
                        wanted."
                    .to_owned();
            }
            let element = match element_words(&other.element) {
                "" => String::new(),
                words => format!(", {words}"),
            };
            format!(
                "It fits {} ({}){element} of this part.",
                other.feature, other.callout
            )
        }),
        _ => None,
    };
    Some(Suspicion {
        cause: cause.code().to_owned(),
        sentence: sentence.unwrap_or_else(|| cause.to_string()),
    })
}

/// The last value of the same characteristic of the same part that still counts.
fn last_value(state: &State, target: usize, part: u32) -> Option<Length> {
    let counts = |end: End| matches!(end, End::Judged | End::Cutting);
    state
        .readings()
        .iter()
        .rev()
        .take_while(|record| record.part == 0 || record.part >= part)
        .find(|record| {
            record.part == part && usize::from(record.target) == target && counts(record.end)
        })
        .map(|record| {
            let value = Length::from_units(record.value);
            let gauge = record.gauge.and_then(|at| state.setup().gauge_id(at));
            let gauge = gauge.and_then(|id| state.setup().gauge(&id));
            let described = state.setup().targets.get(target);
            described.map_or(value, |target| target.size_read(gauge, value))
        })
}
