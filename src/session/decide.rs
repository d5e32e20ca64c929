//! What each input does: the state and one input give events. Pure: no clock, no disk; asked
//! twice it answers the same.

use super::command::{Command, Refusal};
use super::decide_part::decide_about_part;
use super::judged::{Judged, judge_place};
use super::live_gauge::name_gauge;
use super::routing::{Route, WHICH, ask_which, route_held};
use super::state::{End, Pending, State};
use super::study_decide;
use super::suspicion::suspicion;
use super::zero_asked;
use crate::gauge::{CheckAsked, GaugeId, Observed};
use crate::journal::{Event, Place, Sequence};

/// Longest reason, note or name that is taken, in characters (chosen).
pub const NOTE_LENGTH_MAX: usize = 500;
/// Why a held reading is put aside by a further one that fits.
const MEASURED_AGAIN: &str = "measured again, and what was read then fits";

/// What a recorded reading leads to: a part started (then it is to be decided again), the reading
/// held, or its one end.
pub fn decide_reading(state: &State, pending: &Pending) -> Vec<Event> {
    let reading = pending.sequence;
    if let Some(held) = &state.bench().held {
        // It answers for the held one by fitting where that did not: see `next_pending`.
        return vec![set_aside(held.reading, MEASURED_AGAIN)];
    }
    if let Some(of) = pending.repeat_of {
        return vec![Event::RepeatMarked { reading, of }];
    }
    let study = state.study();
    if let Some(event) = study.and_then(|study| study_decide::rest(study, pending)) {
        return vec![event];
    }
    if let Some(event) = state.zero_check_of(pending) {
        return vec![event];
    }
    if let Some(study) = study {
        return study_decide::decide(state, study, pending);
    }
    let assigned = state
        .reading(reading)
        .filter(|record| record.end == End::Assigned);
    if let Some(record) = assigned {
        // It was assigned before the program stopped; only the verdict is missing.
        let target = usize::from(record.target);
        if let Some(place) = state.place_of(record.part, target, record.point) {
            return vec![verdict(state, pending, target, place)];
        }
    }
    match state.current_place() {
        Some((target, place)) => match state.route_of(pending) {
            Route::Here => decide_at(state, pending, target, place),
            Route::To(other) => match state.place_on(place.part, other) {
                Some(at_other) => decide_at(state, pending, other, at_other),
                None => decide_at(state, pending, target, place),
            },
            Route::Ask(all) => ask_which(state, pending, place.part, &all),
        },
        None if state.is_newest_open() => {
            // Back from an earlier part to where the work stood.
            let part = state.parts_started();
            vec![Event::PartTakenUp { part }]
        }
        None if state.has_parts_left() => {
            // A settled part starts the next; the reading is decided again on that one.
            let part = state.next_part_number();
            vec![Event::PartStarted { part }]
        }
        None => vec![set_aside(
            reading,
            "all parts of this session have been measured",
        )],
    }
}

/// The reading at its place: set aside where it cannot belong, held where it looks wrong.
pub(super) fn decide_at(
    state: &State,
    pending: &Pending,
    target: usize,
    place: Place,
) -> Vec<Event> {
    let reading = pending.sequence;
    let observed = pending.reading.observed;
    let asked = state.setup().targets.get(target);
    if !asked.is_some_and(|target| target.takes(observed)) {
        let check = asked.and_then(|target| target.check());
        return vec![set_aside(reading, &misplaced(observed, check))];
    }
    if let Some(suspicion) = suspicion(state, pending, target, &place) {
        let (cause, sentence) = (suspicion.cause, suspicion.sentence);
        return vec![Event::ReadingHeld {
            reading,
            place,
            cause,
            sentence,
        }];
    }
    assign(state, pending, target, place)
}

/// Why a reading cannot belong to what is asked.
fn misplaced(observed: Observed, asked: Option<&CheckAsked>) -> String {
    match (observed, asked) {
        (Observed::Check { .. }, Some(asked)) => {
            format!("that is no answer for the {}", asked.name())
        }
        (Observed::Check { .. }, None) => {
            "this characteristic is measured, not tried with a limit gauge".to_owned()
        }
        (_, Some(asked)) => format!(
            "the {} is asked, which goes or does not; a size is no answer",
            asked.name()
        ),
        _ => "this characteristic is not measured in that unit".to_owned(),
    }
}

/// Assigned and judged.
fn assign(state: &State, pending: &Pending, target: usize, place: Place) -> Vec<Event> {
    let reading = pending.sequence;
    vec![
        Event::ReadingAssigned {
            reading,
            place: place.clone(),
        },
        verdict(state, pending, target, place),
    ]
}

fn verdict(state: &State, pending: &Pending, target: usize, place: Place) -> Event {
    let reading = pending.sequence;
    let observed = pending.reading.observed.value();
    match judge_place(state, target, &place, reading, observed) {
        Ok(Judged::Verdict(verdict)) => Event::VerdictGiven(verdict),
        Ok(Judged::Cutting {
            value_at_20,
            left,
            depth,
            dial,
        }) => Event::CuttingNoted {
            reading,
            place,
            value_at_20,
            left,
            depth,
            dial,
        },
        Err(why) => set_aside(reading, &why),
    }
}

fn set_aside(reading: Sequence, reason: &str) -> Event {
    Event::ReadingSetAside {
        reading,
        reason: reason.to_owned(),
    }
}

/// What a command leads to, or why it cannot be carried out.
///
/// # Errors
/// A [`Refusal`] says why; nothing has happened then.
pub fn decide_command(state: &State, command: &Command) -> Result<Vec<Event>, Refusal> {
    if state.is_closed() && !command.is_decision() {
        return Err(Refusal::Closed);
    }
    if let Some(decided) = decide_about_part(state, command) {
        return decided;
    }
    Ok(match command {
        Command::AnswerHeld { belongs, reason } => return answer_held(state, *belongs, reason),
        Command::VoidReading { reading, reason } => return void(state, *reading, reason),
        Command::SwitchCutting(on) if state.bench().cutting == *on => Vec::new(),
        Command::SwitchCutting(on) => vec![Event::CuttingSwitched { on: *on }],
        Command::ChooseCharacteristic { feature, element } => {
            return choose(state, feature, element);
        }
        Command::OpenStudy(opened) => return study_decide::open(state, opened),
        Command::RepeatPoint => {
            return match state.study() {
                Some(study) => study_decide::repeat(state, study),
                None => repeat_point(state),
            };
        }
        Command::StartNextPart => return start_next_part(state),
        Command::TakeOut => {
            let open = state.open_when_taken_out();
            vec![Event::TakenOut { open }]
        }
        Command::PutBack { method, runout } => {
            vec![Event::PutBack {
                method: bounded(method),
                runout: *runout,
            }]
        }
        Command::ChangeTool { note } => vec![Event::ToolChanged {
            note: bounded(note),
        }],
        Command::ApplyOffset { amount, note } => {
            vec![Event::OffsetApplied {
                amount: *amount,
                note: bounded(note),
            }]
        }
        Command::SetTemperature { part, gauge } => {
            vec![Event::TemperatureSet {
                part: *part,
                gauge: *gauge,
            }]
        }
        Command::ChangeOperator { name } => vec![Event::OperatorChanged {
            name: bounded(name),
        }],
        Command::Close { reason } => close(state, reason),
        _ => return decide_about_gauge(state, command),
    })
}

/// What is asked of a gauge.
fn decide_about_gauge(state: &State, command: &Command) -> Result<Vec<Event>, Refusal> {
    match command {
        Command::AskZeroCheck { gauge, standard } => {
            zero_asked::ask(state, gauge, standard.as_ref())
        }
        Command::DropZeroCheck { gauge } if state.zeros().asked(gauge).is_none() => Ok(Vec::new()),
        Command::DropZeroCheck { gauge } => Ok(vec![Event::ZeroCheckDropped {
            gauge: gauge.as_str().to_owned(),
        }]),
        Command::DoubtGauge {
            gauge,
            since,
            reason,
        } => doubt(state, gauge, since.as_deref(), reason),
        Command::NameGauge {
            gauge,
            feature,
            element,
        } => name_gauge(state, gauge, (feature, element)),
        // Those of `decide_part.rs`.
        _ => Ok(Vec::new()),
    }
}

fn start_next_part(state: &State) -> Result<Vec<Event>, Refusal> {
    if state.study().is_some() {
        let why = "In a study the parts are taken in its order.".to_owned();
        return Err(Refusal::StudyRefused { why });
    }
    if !state.has_parts_left() {
        let wanted = state.setup().parts_wanted.unwrap_or(0);
        return Err(Refusal::NoPartsLeft { wanted });
    }
    let part = state.next_part_number();
    Ok(vec![Event::PartStarted { part }])
}

/// A gauge that was found wrong; the reason is the record's only evidence.
fn doubt(
    state: &State,
    gauge: &GaugeId,
    since: Option<&str>,
    reason: &str,
) -> Result<Vec<Event>, Refusal> {
    if reason.trim().is_empty() {
        return Err(Refusal::ReasonMissing);
    }
    // A slip in its name would doubt nothing, and nobody would be told.
    if state.setup().gauge_index(gauge).is_none() {
        return Err(Refusal::NoSuchGauge {
            gauge: gauge.as_str().to_owned(),
        });
    }
    Ok(vec![Event::GaugeDoubted {
        gauge: gauge.as_str().to_owned(),
        since: since.map(str::to_owned),
        reason: bounded(reason),
        by: state.bench().operator.clone(),
    }])
}

fn choose(state: &State, feature: &str, element: &str) -> Result<Vec<Event>, Refusal> {
    let Some(target) = state.setup().choose(feature, element) else {
        return Err(Refusal::NoSuchCharacteristic {
            feature: feature.to_owned(),
            element: element.to_owned(),
        });
    };
    // Where it is asked which characteristic a reading is of, that is the answer.
    if let (Some(held), Some(pending)) = (&state.bench().held, state.held_reading())
        && held.cause == WHICH
        && let Some(at) = state.setup().target_index(&target.feature, &target.element)
    {
        return route_held(state, pending, (held.place.part, at));
    }
    let (feature, element) = (target.feature.clone(), target.element.clone());
    let chosen = Event::CharacteristicChosen { feature, element };
    // It is chosen on a part, so there must be one.
    let first = (state.parts().is_empty() && state.has_parts_left())
        .then_some(Event::PartStarted { part: 1 });
    Ok(first.into_iter().chain([chosen]).collect())
}

/// The point that was measured last, once more.
fn repeat_point(state: &State) -> Result<Vec<Event>, Refusal> {
    let place = state.last_place().ok_or(Refusal::NothingToRepeat)?;
    // After NO-GO and DOUBT the next reading repeats the point anyway.
    let is_next = state.current_place().is_some_and(|(_, next)| next == place);
    let chosen = (!is_next).then_some(Event::PointChosen { place });
    Ok(chosen.into_iter().collect())
}

/// The end of the session; a reading that nothing has come of is set aside first, so that each
/// has an end.
fn close(state: &State, reason: &str) -> Vec<Event> {
    let open = state.readings().iter().filter(|one| one.end.is_open());
    let mut events: Vec<Event> = open
        .map(|one| set_aside(one.sequence, "the session was closed before it was decided"))
        .collect();
    events.push(state.closing(bounded(reason)));
    events
}

fn answer_held(state: &State, belongs: bool, reason: &str) -> Result<Vec<Event>, Refusal> {
    let (Some(held), Some(pending)) = (&state.bench().held, state.held_reading()) else {
        return Err(Refusal::NothingHeld);
    };
    let target = state
        .setup()
        .target_index(&held.place.feature, &held.place.element);
    match target {
        Some(target) if belongs && held.cause == WHICH => {
            route_held(state, pending, (held.place.part, target))
        }
        Some(target) if belongs => Ok(assign(state, pending, target, held.place.clone())),
        _ => {
            let reason = if reason.is_empty() {
                held.sentence.as_str()
            } else {
                reason
            };
            Ok(vec![set_aside(held.reading, &bounded(reason))])
        }
    }
}

/// Voids a reading and judges again what is left of its point.
fn void(state: &State, reading: Option<Sequence>, reason: &str) -> Result<Vec<Event>, Refusal> {
    if reason.trim().is_empty() {
        return Err(Refusal::ReasonMissing);
    }
    let missing = Refusal::NoSuchReading { reading };
    let Some(sequence) = reading.or_else(|| state.last_reading()) else {
        return Err(missing);
    };
    let Some(record) = state.reading(sequence) else {
        return Err(missing);
    };
    let is_good_check = record.end == End::ZeroCheck && !state.is_failed_zero(sequence);
    if is_good_check || matches!(record.end, End::Voided | End::SetAside | End::Repeat) {
        return Err(missing);
    }
    let by = state.bench().operator.clone();
    let mut events = vec![Event::ReadingVoided {
        reading: sequence,
        reason: bounded(reason),
        by,
    }];
    if record.end != End::Judged {
        return Ok(events);
    }
    let target = usize::from(record.target);
    let Some(place) = state.place_of(record.part, target, record.point) else {
        return Ok(events);
    };
    let mut after = state.clone();
    if after.apply(sequence, record.at_ms, &events[0]).is_err() {
        return Ok(events);
    }
    let last = after
        .judged_at(target, &place)
        .last()
        .map(|last| (last.sequence, last.value));
    if let Some((last, value)) = last
        && let Ok(Judged::Verdict(verdict)) = judge_place(&after, target, &place, last, value)
    {
        events.push(Event::VerdictGiven(verdict));
    }
    Ok(events)
}

pub(super) fn bounded(text: &str) -> String {
    text.chars().take(NOTE_LENGTH_MAX).collect()
}
