//! The characteristics in measuring order, and the points of the one at hand.

use super::focus::{Focus, decimals_of, mark_of_outcome, mark_of_word, now};
use super::words::{Words, clean};
use super::{Mark, PointView, RowView};
use crate::journal::{Event, Outcome, outcome_text};
use crate::measure::VerdictWord;
use crate::quantity::Length;
use crate::session::{Snapshot, State, Target, TargetLimits, element_words};

/// Every characteristic with its state on the part at hand.
pub(super) fn rows(snapshot: &Snapshot) -> Vec<RowView> {
    let state = &snapshot.state;
    let at_hand = state.current_place().map(|(index, _)| index);
    let before_first = state.parts().is_empty().then(|| now(state)).flatten();
    let current = at_hand.or(before_first.map(|(index, _)| index));
    let mut setting = None;
    let mut all = Vec::new();
    for (index, target) in state.setup().targets.iter().enumerate() {
        let (mark, word) = standing(state, index);
        let is_current = current == Some(index) && !state.is_closed();
        let begins = setting.replace(target.setting) != Some(target.setting);
        // A part that is made in one setting needs no heading.
        let has_heading = begins && (index > 0 || has_several_settings(state));
        all.push(RowView {
            target: index,
            number: index + 1,
            id: clean(&target.feature),
            callout: what(&state.setup().targets, index),
            state: if is_current { "now".to_owned() } else { word },
            mark,
            is_current,
            setting: has_heading.then(|| format!("setting {}", target.setting)),
        });
    }
    all
}

/// The callout; of a thread, which has several characteristics, with its element, and from the
/// second one on the element alone.
fn what(targets: &[Target], index: usize) -> String {
    let Some(target) = targets.get(index) else {
        return String::new();
    };
    let callout = clean(&target.callout);
    let element = match target.element.as_str() {
        "wires" => "3 wires",
        "major" | "minor" | "pitch" => target.element.as_str(),
        element => element_words(element),
    };
    let follows = |at: usize| {
        targets
            .get(at)
            .is_some_and(|one| one.feature == target.feature)
    };
    match (element, index.checked_sub(1).is_some_and(follows)) {
        ("", _) => callout,
        (element, true) => clean(element),
        (element, false) => format!("{callout} {}", clean(element)),
    }
}

fn has_several_settings(state: &State) -> bool {
    let targets = &state.setup().targets;
    let first = targets.first().map(|target| target.setting);
    targets.iter().any(|target| Some(target.setting) != first)
}

/// How far a characteristic of the part at hand is, as a mark and in words.
pub(super) fn standing(state: &State, index: usize) -> (Mark, String) {
    let Some(part) = state.current_part() else {
        let target = state.setup().targets.get(index);
        return match target.is_some_and(|target| target.is_selected(1)) {
            true => (Mark::Open, "open".to_owned()),
            false => (Mark::NotSelected, "not selected".to_owned()),
        };
    };
    let Some(one) = part.characteristics.get(index) else {
        return (Mark::Open, String::new());
    };
    if let Some(outcome) = one.settled {
        return (
            mark_of_outcome(outcome),
            match outcome {
                Outcome::Noted => "recorded".to_owned(),
                other => outcome_text(other).to_owned(),
            },
        );
    }
    match state.answer(index).map(|answer| &answer.event) {
        Some(Event::CuttingNoted { .. }) => return (Mark::Cutting, "CUTTING".to_owned()),
        Some(Event::ReadingHeld { .. }) => return (Mark::Held, "held".to_owned()),
        _ => {}
    }
    let says = |word| {
        let outcome = Some(Outcome::Verdict(word));
        one.points.iter().any(|point| point.outcome == outcome)
    };
    for word in [VerdictWord::NoGo, VerdictWord::Doubt] {
        if says(word) {
            return (mark_of_word(word), word.word().to_owned());
        }
    }
    let all = one.points.len();
    let done = one.points.iter().filter(|one| one.outcome.is_some());
    match done.count() {
        0 if one.selected => (Mark::Open, "open".to_owned()),
        0 => (Mark::NotSelected, "not selected".to_owned()),
        done => (Mark::Inside, format!("{done} of {all}")),
    }
}

/// The points of the characteristic in focus; none for a single point.
pub(super) fn points(snapshot: &Snapshot, focus: &Focus<'_>, words: Words) -> Vec<PointView> {
    let state = &snapshot.state;
    if focus.target.points < 2 {
        return Vec::new();
    }
    let current =
        now(state).filter(|(index, place)| *index == focus.index && place.part == focus.part);
    let current = current.map(|(_, place)| place.point);
    let measured = measured_points(state, focus);
    let (smallest, largest) = extremes(&measured);
    (1..=focus.target.points)
        .map(|number| {
            let found = measured.iter().find(|point| point.number == number);
            PointView {
                number,
                value: found.map_or_else(String::new, |point| {
                    words.value(point.units, point.decimals, &focus.target.limits)
                }),
                mark: found.map_or(Mark::Open, |point| point.mark),
                is_current: current == Some(number),
                extreme: match number {
                    _ if smallest == largest => String::new(),
                    _ if smallest == Some(number) => "smallest".to_owned(),
                    _ if largest == Some(number) => "largest".to_owned(),
                    _ => String::new(),
                },
            }
        })
        .collect()
}

/// Extremes with their places, and how far they are apart.
pub(super) fn form(snapshot: &Snapshot, focus: &Focus<'_>, words: Words) -> String {
    let measured = measured_points(&snapshot.state, focus);
    let of = |number: Option<u16>| measured.iter().find(|point| Some(point.number) == number);
    let (smallest, largest) = extremes(&measured);
    let (Some(smallest), Some(largest)) = (of(smallest), of(largest)) else {
        return String::new();
    };
    if focus.target.points < 2 || measured.len() < 2 {
        return String::new();
    }
    let limits = &focus.target.limits;
    let text = |point: &Measured| words.value(point.units, point.decimals, limits);
    let apart = largest.units - smallest.units;
    if apart == 0 {
        return format!("all points {}", text(smallest));
    }
    let apart = match limits {
        TargetLimits::Length(_) => words.um(Length::from_nm(apart)),
        TargetLimits::Angle(_) | TargetLimits::Check(_) => words.exact(apart, limits),
    };
    format!(
        "smallest {} at point {}, largest {} at point {}: {apart} apart",
        text(smallest),
        smallest.number,
        text(largest),
        largest.number
    )
}

/// A point that has a value.
struct Measured {
    number: u16,
    units: i64,
    decimals: u8,
    mark: Mark,
}

fn measured_points(state: &State, focus: &Focus<'_>) -> Vec<Measured> {
    let part = state.part(focus.part);
    let one = part.and_then(|part| part.characteristics.get(focus.index));
    let points = one.map_or(&[][..], |one| &*one.points);
    let mut all = Vec::new();
    for (number, point) in (1..).zip(points) {
        let cut = focus.answer.filter(|_| focus.point == number);
        match (cut.map(|answer| &answer.event), point.outcome) {
            (
                Some(Event::CuttingNoted {
                    reading,
                    value_at_20,
                    ..
                }),
                _,
            ) => all.push(Measured {
                number,
                units: value_at_20.as_nm(),
                decimals: decimals_of(state, *reading),
                mark: Mark::Cutting,
            }),
            (_, Some(outcome)) => all.push(Measured {
                number,
                units: point.value_at_20,
                decimals: decimals_of(state, point.reading()),
                mark: mark_of_outcome(outcome),
            }),
            _ => {}
        }
    }
    all
}

/// Numbers of the smallest and the largest, the first of equal ones.
fn extremes(measured: &[Measured]) -> (Option<u16>, Option<u16>) {
    let smallest = measured.iter().min_by_key(|point| point.units);
    let largest = measured.iter().rev().max_by_key(|point| point.units);
    let number = |point: Option<&Measured>| point.map(|point| point.number);
    (number(smallest), number(largest))
}

impl RowView {
    /// The row in words, for those who do not see it.
    pub fn spoken(&self) -> String {
        format!("{} {}, {}", self.id, self.callout, self.state)
    }
}

impl PointView {
    /// The point in words, for those who do not see it.
    pub fn spoken(&self) -> String {
        let parts = [self.value.as_str(), self.extreme.as_str()];
        let said: Vec<&str> = parts.into_iter().filter(|text| !text.is_empty()).collect();
        match said.as_slice() {
            [] => format!("point {}: open", self.number),
            said => format!("point {}: {}", self.number, said.join(", ")),
        }
    }
}
