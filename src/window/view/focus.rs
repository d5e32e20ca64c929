//! What the verdict block is about: the last answer, or what is measured now.

use super::Mark;
use crate::gauge::{GaugeId, Shown};
use crate::journal::{Event, Outcome, Place, Sequence};
use crate::measure::VerdictWord;
use crate::quantity::LengthUnit;
use crate::session::{Answer, Snapshot, State, Target};
use crate::window::desk::{Desk, Mode};

/// Decimals of millimetres for a gauge that shows inches: its usual step is 0.0005 in.
const INCH_DECIMALS: u8 = 4;
/// Decimals where no reading says how many a gauge shows.
const USUAL_DECIMALS: u8 = 3;

/// The characteristic that the verdict block, the bar and the chart are about.
#[derive(Debug, Clone, Copy)]
pub(super) struct Focus<'a> {
    /// Its place in measuring order.
    pub(super) index: usize,
    /// What it is.
    pub(super) target: &'a Target,
    /// Which of its points, from 1.
    pub(super) point: u16,
    /// The part, from 1.
    pub(super) part: u32,
    /// The answer that is shown; none: nothing measured yet.
    pub(super) answer: Option<&'a Answer>,
}

impl<'a> Focus<'a> {
    /// The last answer on the part at hand stays as long as it was not left with Enter and no
    /// other characteristic was chosen; a held reading stays until it is answered. A reading that
    /// is being typed stands beside the limits of the place that it will go to.
    pub(super) fn of(snapshot: &'a Snapshot, desk: &Desk) -> Option<Self> {
        let state = &snapshot.state;
        let shown = state.latest_answer().filter(|(latest, answer)| {
            let is_left = answer.sequence <= desk.left && state.bench().held.is_none();
            let chosen_since = state.bench().chosen.is_some_and(|one| one != *latest);
            let is_typing = matches!(desk.mode, Mode::Typing { .. });
            let goes_elsewhere = is_typing
                && state.bench().held.is_none()
                && now(state).is_some_and(|(index, _)| index != *latest);
            !is_left && !chosen_since && !goes_elsewhere
        });
        if let Some((index, answer)) = shown
            && let Some(focus) = Self::on_answer(state, index, answer)
        {
            return Some(focus);
        }
        if let Some((index, place)) = now(state) {
            let target = state.setup().targets.get(index)?;
            let (point, part) = (place.point, place.part);
            let answer = None;
            return Some(Self {
                index,
                target,
                point,
                part,
                answer,
            });
        }
        // Nothing is left to measure: what was answered last stays.
        let (index, answer) = state.latest_answer()?;
        Self::on_answer(state, index, answer)
    }

    fn on_answer(state: &'a State, index: usize, answer: &'a Answer) -> Option<Self> {
        let place = place_of(&answer.event)?;
        Some(Self {
            index,
            target: state.setup().targets.get(index)?,
            point: place.point,
            part: place.part,
            answer: Some(answer),
        })
    }
}

/// Where the next reading belongs: on the part at hand, else on the next one.
pub(super) fn now(state: &State) -> Option<(usize, Place)> {
    if state.is_closed() {
        return None;
    }
    if let Some(found) = state.current_place() {
        return Some(found);
    }
    if !state.has_parts_left() {
        return None;
    }
    let part = u32::try_from(state.parts().len() + 1).ok()?;
    let targets = &state.setup().targets;
    let index = targets.iter().position(|target| target.is_selected(part))?;
    let target = targets.get(index)?;
    let place = Place {
        part,
        feature: target.feature.clone(),
        element: target.element.clone(),
        point: 1,
    };
    Some((index, place))
}

/// The place that an answer is about.
pub(super) fn place_of(answer: &Event) -> Option<&Place> {
    match answer {
        Event::VerdictGiven(verdict) => Some(&verdict.place),
        Event::CuttingNoted { place, .. } | Event::ReadingHeld { place, .. } => Some(place),
        _ => None,
    }
}

/// The reading that an answer is to.
pub(super) fn reading_of(answer: &Event) -> Option<Sequence> {
    match answer {
        Event::VerdictGiven(verdict) => Some(verdict.reading),
        Event::CuttingNoted { reading, .. } | Event::ReadingHeld { reading, .. } => Some(*reading),
        _ => None,
    }
}

/// How an answer looks.
pub(super) fn mark_of(answer: &Event) -> Mark {
    match answer {
        Event::VerdictGiven(verdict) => mark_of_outcome(verdict.outcome),
        Event::CuttingNoted { .. } => Mark::Cutting,
        Event::ReadingHeld { .. } => Mark::Held,
        _ => Mark::Open,
    }
}

pub(super) fn mark_of_outcome(outcome: Outcome) -> Mark {
    match outcome {
        Outcome::Inside => Mark::Inside,
        Outcome::Noted => Mark::Noted,
        Outcome::Verdict(word) => mark_of_word(word),
    }
}

pub(super) fn mark_of_word(word: VerdictWord) -> Mark {
    match word {
        VerdictWord::Go => Mark::Go,
        VerdictWord::NoGo => Mark::NoGo,
        VerdictWord::Doubt => Mark::Doubt,
    }
}

/// Decimals of millimetres in which a reading was shown.
pub(super) fn decimals_of(state: &State, reading: Sequence) -> u8 {
    state
        .reading(reading)
        .map_or(USUAL_DECIMALS, |record| decimals(record.shown))
}

pub(super) fn decimals(shown: Shown) -> u8 {
    match shown.unit {
        LengthUnit::Millimetre => shown.decimals,
        LengthUnit::Inch => INCH_DECIMALS,
    }
}

/// The gauge of a reading.
pub(super) fn gauge_of(state: &State, reading: Sequence) -> Option<GaugeId> {
    let index = state.reading(reading)?.gauge?;
    state.setup().gauge_id(index)
}
