//! The next action in one plain sentence, and what a verdict means to the hand.

use super::check_words::{check_question, element_words};
use super::doubt::doubt_remedies;
use super::form_words::{form_advice, form_note_words, form_request};
use super::judged::{
    ERROR_ASSUMED, GAUGE_CANNOT_SHOW, GAUGE_NOT_ALLOWED, MADE_TO_SUIT, MATERIAL_MISSING,
    READINGS_DISAGREE, TEMPERATURE_LAPSED, UNCERTAINTY_MISSING, WORST_AT_POINT, ZERO_SLIPPED,
};
use super::judged_gauge::{ZERO_DUE, ZERO_FAILED, drift_of_note};
use super::judged_parts::{GENERAL_TOLERANCE, HOUSE_CLASS};
use super::over_wires::{OVER_WIRES, WIRES_ASSUMED};
use super::routing::WHICH;
use super::setup::{Target, TargetLimits};
use super::state::{Held, State};
use super::study_words::study_next;
use super::zero_asked::asked_zero_sentence;
use crate::gauge::{CheckOutcome, GaugeId};
use crate::journal::{Event, Outcome, Place, ValueUnit, VerdictGiven};
use crate::measure::{Side, VerdictWord};
use crate::quantity::{Angle, Exact, Length, LengthUnit, Rounding};
use crate::tolerance::Surface;

/// Finest step in which a cut is told to a person (chosen: no hand dial is finer).
const SHOWN_STEP: Length = Length::from_um(1);

/// What to do now.
pub fn next_action(state: &State) -> String {
    if let Some(held) = &state.bench().held {
        return held_question(held);
    }
    if state.is_closed() {
        return "The session is closed.".to_owned();
    }
    // The first reading starts the first part.
    let first = || {
        let targets = state.setup().targets.first()?;
        let place = Place {
            part: 1,
            feature: targets.feature.clone(),
            element: targets.element.clone(),
            point: 1,
        };
        state.parts().is_empty().then_some((0, place))
    };
    if let Some(sentence) = asked_zero_sentence(state) {
        return sentence;
    }
    if let Some(study) = state.study() {
        return study_next(state, study);
    }
    let Some((target, place)) = state.current_place().or_else(first) else {
        let part = state.next_part_number();
        let mut targets = state.setup().targets.iter();
        let first = targets.find(|target| target.is_selected(part));
        return match (first, state.has_parts_left()) {
            (Some(first), true) => {
                format!(
                    "Take part {part} and measure {} ({}).",
                    first.feature, first.callout
                )
            }
            _ => "All parts have been measured.".to_owned(),
        };
    };
    let target = state.setup().targets.get(target);
    target.map_or_else(String::new, |target| measure(state, target, &place))
}

/// What is to be done at that place.
fn measure(state: &State, target: &Target, place: &Place) -> String {
    let name = if target.name.is_empty() {
        String::new()
    } else {
        format!(", {}", target.name)
    };
    if let Some(asked) = target.check() {
        let (part, feature, callout) = (place.part, &target.feature, &target.callout);
        let asked = check_question(asked);
        let (request, question) = (asked.request, asked.question);
        return format!("Part {part}, {feature} ({callout}{name}): {request} {question}");
    }
    let element = match element_words(&target.element) {
        "" => String::new(),
        words => format!(", {words}"),
    };
    let point = point_words(target, place.point);
    let (part, feature, callout) = (place.part, &target.feature, &target.callout);
    if state.awaits_cut(place) {
        let metal = format!("take metal off {feature} ({callout}{name}){element}");
        return format!("Part {part}: {metal}, then measure it again.");
    }
    if let Some(form) = &target.form {
        let asked = form_request(form);
        return format!("Part {part}, {feature} ({callout}{name}){element}{point}: {asked}");
    }
    format!("Part {part}: measure {feature} ({callout}{name}){element}{point}.")
}

/// What a held reading asks.
fn held_question(held: &Held) -> String {
    let asked = match held.cause.as_str() {
        WHICH => "Choose the one that was measured.",
        _ => "Does the reading belong here?",
    };
    format!("{} {asked}", held.sentence)
}

/// Which point of how many, where there are several.
fn point_words(target: &Target, point: u16) -> String {
    let points = target.points;
    match (points, target.place_name(point), point) {
        (1, ..) => String::new(),
        (_, Some(name), _) => format!(", point {point} of {points}: {name}"),
        (_, None, 1) => format!(", point 1 of {points}"),
        (_, None, _) => format!(", point {point} of {points} at another place"),
    }
}

/// What an answer to a reading means, in a few words: where the value lies and what is left.
pub fn answer_sentence(state: &State, event: &Event) -> Option<String> {
    match event {
        Event::VerdictGiven(verdict) => Some(verdict_sentence(state, verdict)),
        Event::CuttingNoted {
            place,
            left,
            depth,
            dial,
            ..
        } => Some(cut_sentence(state, place, *left, *depth, *dial)),
        Event::ReadingHeld { sentence, .. } => Some(sentence.clone()),
        Event::ReadingSetAside { reason, .. } => Some(reason.clone()),
        _ => None,
    }
}

/// What to cut: metal left on the dimension, depth for a diameter, and the dial's own numbers,
/// where they are known. Shown as on a dial and towards metal on, so that no shown cut takes more
/// than there is.
pub fn cut_sentence(
    state: &State,
    place: &Place,
    left: Length,
    depth: Option<Length>,
    dial: Option<Length>,
) -> String {
    let shown = |length: Length| {
        let step = length.round_to(SHOWN_STEP, Rounding::Floor);
        step.to_text(LengthUnit::Millimetre, 3)
    };
    let index = state.setup().target_index(&place.feature, &place.element);
    let target = index.and_then(|index| state.setup().targets.get(index));
    let surface = target.map_or(Surface::Length, |target| target.surface);
    let left = shown(left);
    // The flanks of a thread move together: its pitch diameter changes by twice the infeed.
    let is_pitch = matches!(&*place.element, "pitch" | "wires");
    let mut sentence = match (surface, depth.map(shown)) {
        (Surface::Outside | Surface::Inside, Some(depth)) if is_pitch => {
            format!("cut {depth} deeper: {left} on the pitch diameter")
        }
        (Surface::Outside, Some(depth)) => {
            format!("take {left} off the diameter: cut {depth} deep")
        }
        (Surface::Inside, Some(depth)) => format!("open the bore by {left}: cut {depth} deep"),
        (Surface::Outside | Surface::Inside, None) => {
            format!("{left} on the diameter is still to come off: too little for a cut")
        }
        _ => format!("{left} is still to come off"),
    };
    if let Some(dial) = dial {
        let numbers = dial.to_text(LengthUnit::Millimetre, 2);
        sentence.push_str(&format!(", {numbers} on the dial"));
    }
    sentence
}

fn verdict_sentence(state: &State, verdict: &VerdictGiven) -> String {
    let is_check = verdict.unit == ValueUnit::Check;
    let mut words = match verdict.outcome {
        Outcome::Inside => format!("inside, {} of {}", verdict.place.point, verdict.points),
        Outcome::Verdict(VerdictWord::Go) => extremes(state, verdict).unwrap_or_default(),
        Outcome::Noted => "recorded; the feel of a mating part proves nothing".to_owned(),
        Outcome::Verdict(VerdictWord::NoGo) if is_check => match verdict.side {
            Side::MetalGone => "it goes where it must not: metal is gone".to_owned(),
            Side::Below => "it does not carry: correct the angle, then blue it again".to_owned(),
            _ => "it does not go the whole way: metal is still on, cut again".to_owned(),
        },
        Outcome::Verdict(VerdictWord::NoGo) => match verdict.side {
            Side::MetalOn => format!("metal on, {} beyond the limit", beyond(verdict)),
            Side::MetalGone => format!("metal gone, {} beyond the limit", beyond(verdict)),
            Side::Above => format!("{} above the upper limit", beyond(verdict)),
            Side::Below => format!("{} below the lower limit", beyond(verdict)),
            Side::Inside => "a point is beyond its limit".to_owned(),
        },
        Outcome::Verdict(VerdictWord::Doubt) => doubt_words(verdict),
    };
    for note in &verdict.notes {
        if !words.is_empty() {
            words.push_str("; ");
        }
        words.push_str(&note_of_verdict(state, verdict, note));
    }
    if verdict.u.is_none() && !is_check && verdict.outcome != Outcome::Inside {
        if !words.is_empty() {
            words.push_str("; ");
        }
        words.push_str("uncertainty not considered");
    }
    words
}

/// What a note of that verdict means.
pub fn note_of_verdict(state: &State, verdict: &VerdictGiven, note: &str) -> String {
    match note {
        GAUGE_NOT_ALLOWED if verdict.unit == ValueUnit::Check => {
            unknown_gauge_words(state, verdict)
        }
        OVER_WIRES => over_wires_words(state, verdict),
        note => note_words(note),
    }
}

/// From what a pitch diameter comes: the size that was read over the wires.
fn over_wires_words(state: &State, verdict: &VerdictGiven) -> String {
    let place = &verdict.place;
    let at = state.setup().target_index(&place.feature, &place.element);
    let over = at.and_then(|at| state.setup().targets.get(at)?.over_wires);
    let (Some(over), Some(read)) = (over, state.reading(verdict.reading)) else {
        return note_words(OVER_WIRES);
    };
    let found = match verdict.from.len() {
        0 | 1 => {
            Length::from_units(read.value).to_text(LengthUnit::Millimetre, read.shown.decimals)
        }
        many => format!("{many} readings"),
    };
    format!("pitch diameter, from {found} over wires of {}", over.wire)
}

/// Which gauges the plan lists for a check, where the one that answered is none of them.
fn unknown_gauge_words(state: &State, verdict: &VerdictGiven) -> String {
    let place = &verdict.place;
    let at = state.setup().target_index(&place.feature, &place.element);
    let target = at.and_then(|at| state.setup().targets.get(at));
    let listed = target.map_or(&[][..], |target| target.gauges.as_slice());
    match listed {
        [] => "that gauge is none for this check".to_owned(),
        listed => {
            let ids: Vec<&str> = listed.iter().map(GaugeId::as_str).collect();
            let first = ids.first().copied().unwrap_or_default();
            format!(
                "the plan asks for {}: name the gauge, as {first}=goes",
                ids.join(" or ")
            )
        }
    }
}

/// The chance of being inside.
fn doubt_words(verdict: &VerdictGiven) -> String {
    match verdict.conformance_ppm {
        Some(ppm) => format!("not proved, {} % chance of being inside", ppm / 10_000),
        None => "not proved".to_owned(),
    }
}

/// What would settle a DOUBT, a sentence each, in the order to try.
pub fn remedy_sentences(state: &State, verdict: &VerdictGiven) -> Vec<String> {
    if verdict.notes.iter().any(|note| note == READINGS_DISAGREE) {
        let readings: Vec<String> = verdict.from.iter().map(u64::to_string).collect();
        return vec![format!(
            "The readings of this point disagree (lines {}): void the wrong one.",
            readings.join(", ")
        )];
    }
    if let Some(advice) = form_advice(&verdict.notes) {
        return vec![advice.to_owned()];
    }
    doubt_remedies(state, verdict)
        .iter()
        .map(ToString::to_string)
        .collect()
}

/// Both extremes with their places, for a characteristic of several points.
fn extremes(state: &State, verdict: &VerdictGiven) -> Option<String> {
    if verdict.points < 2 || verdict.unit == ValueUnit::Check {
        return None;
    }
    let place = &verdict.place;
    let target = state.setup().target_index(&place.feature, &place.element)?;
    let characteristic = state.part(place.part)?.characteristics.get(target)?;
    let points = characteristic.points.iter().zip(1..);
    let values: Vec<(i64, u16)> = points.map(|(point, at)| (point.value_at_20, at)).collect();
    let smallest = values.iter().min()?;
    let largest = values.iter().max_by_key(|(value, _)| *value)?;
    let text = |units: i64| number_text(verdict.unit, units);
    let described = state.setup().targets.get(target)?;
    let at = |point: u16| match described.place_name(point) {
        Some(name) => format!("point {point} ({name})"),
        None => format!("point {point}"),
    };
    Some(format!(
        "smallest {} at {}, largest {} at {}",
        text(smallest.0),
        at(smallest.1),
        text(largest.0),
        at(largest.1)
    ))
}

fn beyond(verdict: &VerdictGiven) -> String {
    let value = verdict.value_at_20;
    let over = verdict.upper.map_or(0, |upper| (value - upper).max(0));
    let under = verdict.lower.map_or(0, |lower| (lower - value).max(0));
    number_text(verdict.unit, over.max(under))
}

/// A number of a verdict as people read it.
pub fn number_text(unit: ValueUnit, units: i64) -> String {
    match unit {
        ValueUnit::Nanometre => Length::from_units(units).to_mm(),
        ValueUnit::Milliarcsecond => format!("{}°", Angle::from_units(units).to_degrees()),
        ValueUnit::Check => CheckOutcome::from_number(units)
            .map_or("", CheckOutcome::said)
            .to_owned(),
    }
}

/// What a note of a verdict means.
pub fn note_words(note: &str) -> String {
    match note {
        READINGS_DISAGREE => "readings disagree".to_owned(),
        GAUGE_NOT_ALLOWED => "this gauge may rough, not prove".to_owned(),
        GAUGE_CANNOT_SHOW => "the faces of this gauge do not fit here".to_owned(),
        UNCERTAINTY_MISSING => "the rule needs an uncertainty, none is known".to_owned(),
        ERROR_ASSUMED => "the gauge's error is assumed by its kind".to_owned(),
        HOUSE_CLASS => "a class of this house".to_owned(),
        MADE_TO_SUIT => "made to suit its measured mate, not the class".to_owned(),
        ZERO_FAILED => "the gauge failed its zero check: set it, then check again".to_owned(),
        ZERO_DUE => "the zero check of this gauge is due".to_owned(),
        ZERO_SLIPPED => "all off alike: check the zero".to_owned(),
        GENERAL_TOLERANCE => {
            "a general tolerance: not rejected of itself when function is unimpaired".to_owned()
        }
        MATERIAL_MISSING => {
            "the part's material is not known, so its temperature cannot be corrected".to_owned()
        }
        WIRES_ASSUMED => "the wires' error is assumed to be 1 µm".to_owned(),
        OVER_WIRES => "pitch diameter from the size over three wires".to_owned(),
        TEMPERATURE_LAPSED => "the part's temperature has lapsed".to_owned(),
        other if let Some(words) = form_note_words(other) => words,
        other => match other.strip_prefix(WORST_AT_POINT) {
            Some(point) => format!("worst at point {point}"),
            None => match drift_of_note(other) {
                Some(drift) => drift.to_string(),
                None => other.replace('_', " "),
            },
        },
    }
}

/// The limits of a target as people read them.
pub fn limits_text(limits: &TargetLimits) -> String {
    let side = |text: Option<String>| text.unwrap_or_default();
    match limits {
        TargetLimits::Length(limits) => format!(
            "{}..{}",
            side(limits.lower().map(Length::to_mm)),
            side(limits.upper().map(Length::to_mm))
        ),
        TargetLimits::Angle(limits) => format!(
            "{}..{}",
            side(
                limits
                    .lower()
                    .map(|limit| format!("{}°", limit.to_degrees()))
            ),
            side(
                limits
                    .upper()
                    .map(|limit| format!("{}°", limit.to_degrees()))
            )
        ),
        TargetLimits::Check(asked) => asked.name(),
    }
}
