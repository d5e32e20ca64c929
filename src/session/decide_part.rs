//! What a person decides about a part: its serial number, rework, scrap, hold, concession, and
//! the signatures. Pure, like `decide.rs`.

use super::command::{Command, Refusal};
use super::decide::bounded;
use super::standing::Standing;
use super::state::{Part, State};
use crate::journal::{
    AssembledWith, Disposition, DispositionKind, Event, Job, LeftOpen, Manner, Meaning, Outcome,
    PartAssembled, Sequence, SignedOff, outcome_text,
};
use crate::measure::VerdictWord;

/// How an open characteristic is named in a signature.
const OPEN: &str = "open";
/// How one is named that is good at a stage before the last.
const STAGE: &str = "stage";

/// What a request of this file leads to; none when it is not one of them.
pub(super) fn decide_about_part(
    state: &State,
    command: &Command,
) -> Option<Result<Vec<Event>, Refusal>> {
    Some(match command {
        Command::NamePart { part, serial } => name_part(state, *part, serial),
        Command::NoteJob(job) => Ok(note_job(job)),
        Command::TakeUpPart { part } => take_up(state, *part),
        Command::Dispose(given) => dispose(state, given),
        Command::Assemble(one) => assemble(state, one),
        Command::SignOff(signed) => sign(state, signed),
        _ => return None,
    })
}

fn name_part(state: &State, part: Option<u32>, serial: &str) -> Result<Vec<Event>, Refusal> {
    let number = part.or_else(|| state.current_part().map(|part| part.number));
    // A serial number given before the first reading begins the first part.
    let first = state.parts().is_empty() && state.has_parts_left() && part.is_none_or(|p| p == 1);
    let serial = bounded(serial.trim());
    if first {
        let part = 1;
        return Ok(vec![
            Event::PartStarted { part },
            Event::PartNamed { part, serial },
        ]);
    }
    let asked = part.unwrap_or(0);
    let Some(number) = number.filter(|number| state.part(*number).is_some()) else {
        return Err(Refusal::NoSuchPart { part: asked });
    };
    let bears_it = |other: &&Part| {
        other.number != number && !serial.is_empty() && other.decided.serial == serial
    };
    let mut others = state.parts().iter().map(AsRef::as_ref);
    if let Some(other) = others.find(bears_it) {
        let part = other.number;
        return Err(Refusal::SerialTaken { serial, part });
    }
    Ok(vec![Event::PartNamed {
        part: number,
        serial,
    }])
}

fn note_job(job: &Job) -> Vec<Event> {
    let job = Job {
        order: bounded(&job.order),
        customer: bounded(&job.customer),
        material_lot: bounded(&job.material_lot),
        machine: bounded(&job.machine),
    };
    match job == Job::default() {
        true => Vec::new(),
        false => vec![Event::JobNoted(job)],
    }
}

fn take_up(state: &State, part: u32) -> Result<Vec<Event>, Refusal> {
    let found = state.part(part).ok_or(Refusal::NoSuchPart { part })?;
    if found.decided.has(DispositionKind::Scrap) {
        return Err(Refusal::PartScrapped { part });
    }
    let is_at_hand = state
        .current_part()
        .is_some_and(|at_hand| at_hand.number == part);
    Ok(match is_at_hand {
        true => Vec::new(),
        false => vec![Event::PartTakenUp { part }],
    })
}

fn dispose(state: &State, asked: &Disposition) -> Result<Vec<Event>, Refusal> {
    let part = part_asked(state, asked.part)?;
    let given = Disposition {
        part: part.number,
        by: named(state, &asked.by)?,
        reason: reason(&asked.reason)?,
        agreed_with: bounded(&asked.agreed_with),
        ..asked.clone()
    };
    let given = with_element(state, given)?;
    if part.decided.has(DispositionKind::Scrap) && given.kind != DispositionKind::Withdrawn {
        let part = part.number;
        return Err(Refusal::PartScrapped { part });
    }
    match given.kind {
        DispositionKind::Withdrawn => withdrawable(part, given.of)?,
        DispositionKind::Concession => concedable(state, part, &given)?,
        _ => {}
    }
    let mut events = vec![Event::DispositionGiven(Box::new(Disposition {
        of: match given.kind {
            DispositionKind::Withdrawn => given.of,
            _ => 0,
        },
        ..given.clone()
    }))];
    let is_at_hand = state
        .current_part()
        .is_some_and(|at_hand| at_hand.number == part.number);
    if given.kind == DispositionKind::Rework && !is_at_hand && !state.is_closed() {
        let part = part.number;
        events.push(Event::PartTakenUp { part });
    }
    Ok(events)
}

/// A part that is given up goes into nothing.
fn assemble(state: &State, asked: &PartAssembled) -> Result<Vec<Event>, Refusal> {
    let part = part_asked(state, asked.part)?;
    if part.decided.has(DispositionKind::Scrap) {
        let part = part.number;
        return Err(Refusal::PartScrapped { part });
    }
    let with = asked.with.iter().map(|other| AssembledWith {
        member: bounded(&other.member),
        part_name: bounded(&other.part_name),
        serial: bounded(&other.serial),
        journal: bounded(&other.journal),
        head: bounded(&other.head),
    });
    Ok(vec![Event::PartAssembled(Box::new(PartAssembled {
        part: part.number,
        assembly: bounded(&asked.assembly),
        drawing: bounded(&asked.drawing),
        serial: bounded(&asked.serial),
        member: bounded(&asked.member),
        state: bounded(&asked.state),
        by: named(state, &asked.by)?,
        with: with.collect(),
    }))])
}

/// A feature that the plan does not have cannot be decided about; a feature without an element
/// is all of it.
fn with_element(state: &State, given: Disposition) -> Result<Disposition, Refusal> {
    if given.feature.is_empty() {
        let element = String::new();
        return Ok(Disposition { element, ..given });
    }
    match state.setup().choose(&given.feature, &given.element) {
        Some(_) => Ok(given),
        None => Err(Refusal::NoSuchCharacteristic {
            feature: given.feature,
            element: given.element,
        }),
    }
}

fn withdrawable(part: &Part, of: Sequence) -> Result<(), Refusal> {
    match part.decided.standing().any(|one| one.line == of) {
        true => Ok(()),
        false => Err(Refusal::NoSuchDecision { line: of }),
    }
}

/// A concession needs something that was measured and is not good; what is good needs none.
fn concedable(state: &State, part: &Part, given: &Disposition) -> Result<(), Refusal> {
    let pairs = state.setup().targets.iter().zip(&part.characteristics);
    let mut meant = pairs.filter(|(target, _)| {
        given.feature.is_empty()
            || (target.feature == given.feature
                && (given.element.is_empty() || target.element == given.element))
    });
    let is_bad = meant.any(|(_, one)| {
        let worst = one.worst();
        let is_bad = matches!(
            worst,
            Some(Outcome::Verdict(VerdictWord::NoGo | VerdictWord::Doubt))
        );
        is_bad || (worst.is_some() && one.is_in_doubt())
    });
    match is_bad {
        true => Ok(()),
        false => Err(Refusal::NothingToConcede { part: part.number }),
    }
}

fn sign(state: &State, asked: &SignedOff) -> Result<Vec<Event>, Refusal> {
    let by = named(state, &asked.by)?;
    let part = match asked.part {
        0 => None,
        SignedOff::PART_AT_HAND => Some(part_asked(state, 0)?),
        number => Some(part_asked(state, number)?),
    };
    let left = match part {
        Some(part) => left_open(state, part),
        None => state
            .parts()
            .iter()
            .flat_map(|part| left_open(state, part))
            .collect(),
    };
    let text = bounded(asked.reason.trim());
    let manner = match (asked.meaning, part) {
        (Meaning::Released, Some(part)) => releasable(state, part, asked.manner, &left, &text)?,
        (Meaning::Released, None) => {
            all_released(state)?;
            Manner::Plain
        }
        _ => Manner::Plain,
    };
    Ok(vec![Event::SignedOff(Box::new(SignedOff {
        part: part.map_or(0, |part| part.number),
        meaning: asked.meaning,
        manner,
        by,
        reason: text,
        covers: SignedOff::JUST_BEFORE,
        hash: String::new(),
        left,
    }))])
}

/// Whether the part may leave in the manner asked for; answers the manner that stands in the
/// record.
fn releasable(
    state: &State,
    part: &Part,
    asked: Manner,
    left: &[LeftOpen],
    reason: &str,
) -> Result<Manner, Refusal> {
    let number = part.number;
    let refuse = |why: String, hint: &'static str| Refusal::NotReleasable {
        part: number,
        why,
        hint,
    };
    match state.standing(part) {
        Standing::Scrap => return Err(Refusal::PartScrapped { part: number }),
        Standing::OnHold => {
            return Err(refuse(
                "it is on hold".to_owned(),
                "Withdraw the hold first, with its reason.",
            ));
        }
        _ => {}
    }
    let is_covered = |left: &LeftOpen| {
        is_conceded(state, part, left) && left.state != OPEN && left.state != STAGE
    };
    let uncovered: Vec<&LeftOpen> = left.iter().filter(|one| !is_covered(one)).collect();
    let no_go = outcome_text(Outcome::Verdict(VerdictWord::NoGo));
    if let Some(bad) = uncovered.iter().find(|one| one.state == no_go) {
        return Err(refuse(
            format!("{} {} is NO-GO", bad.feature, bad.element),
            "Rework it, or record a concession for it: who accepts it, and why.",
        ));
    }
    let needs = needed_manner(left, &uncovered);
    // A concession is its own word; what is open or in doubt must be asked for by name.
    if needs != asked && matches!(needs, Manner::Early | Manner::InDoubt) {
        let one = uncovered.first().map_or_else(String::new, |one| {
            format!("{} {} is {}", one.feature, one.element, one.state)
        });
        let hint = match needs {
            Manner::Early => "Measure it, or release the part early: with a name and a reason.",
            _ => {
                "Measure it with a better gauge, or release it in doubt: with a name and a reason."
            }
        };
        return Err(refuse(one, hint));
    }
    if needs != Manner::Plain && needs != Manner::UnderConcession && reason.is_empty() {
        return Err(Refusal::ReasonMissing);
    }
    Ok(needs)
}

/// Whether a concession covers what a characteristic came to.
fn is_conceded(state: &State, part: &Part, left: &LeftOpen) -> bool {
    let setup = state.setup();
    let index = setup.target_index(&left.feature, &left.element);
    let found = index.and_then(|index| {
        let target = setup.targets.get(index)?;
        state.concession_of(part, target, part.characteristics.get(index)?)
    });
    found.is_some()
}

/// The only manner in which a part may leave of which that is left, and of it that uncovered.
fn needed_manner(left: &[LeftOpen], uncovered: &[&LeftOpen]) -> Manner {
    let is_open = |one: &&LeftOpen| one.state == OPEN || one.state == STAGE;
    if uncovered.iter().any(is_open) {
        Manner::Early
    } else if !uncovered.is_empty() {
        Manner::InDoubt
    } else if left.is_empty() {
        Manner::Plain
    } else {
        Manner::UnderConcession
    }
}

/// The session as a whole is released when each part of it is released, or given up.
fn all_released(state: &State) -> Result<(), Refusal> {
    for part in state.parts().iter() {
        let standing = state.standing(part);
        if !matches!(standing, Standing::Released(_) | Standing::Scrap) {
            return Err(Refusal::NotReleasable {
                part: part.number,
                why: format!("it is {}", standing.word()),
                hint: "Decide about each part first; the session is released after them.",
            });
        }
    }
    Ok(())
}

/// What of a part is not proved.
fn left_open(state: &State, part: &Part) -> Vec<LeftOpen> {
    let mut left = Vec::new();
    let setup = state.setup();
    for (index, (target, one)) in setup.targets.iter().zip(&part.characteristics).enumerate() {
        if !one.selected {
            continue;
        }
        let is_complete = one.points.iter().all(|point| point.outcome.is_some());
        let word = match one.worst() {
            Some(Outcome::Verdict(VerdictWord::NoGo)) => "NO-GO",
            _ if !is_complete => OPEN,
            None => OPEN,
            Some(Outcome::Verdict(VerdictWord::Doubt)) => "DOUBT",
            _ if one.is_in_doubt() => "DOUBT",
            Some(_) if one.settled.is_none() => OPEN,
            Some(_) if setup.is_before_last_stage(target) => STAGE,
            Some(_) => continue,
        };
        // What was found wrong before all its points were measured is both.
        let words = match word == "NO-GO" && !is_complete {
            true => vec![word, OPEN],
            false => vec![word],
        };
        left.extend(words.into_iter().map(|word| LeftOpen {
            feature: target.feature.clone(),
            element: target.element.clone(),
            state: word.to_owned(),
            conformance_ppm: state.chance(part.number, index),
        }));
    }
    left
}

fn part_asked(state: &State, part: u32) -> Result<&Part, Refusal> {
    let found = match part {
        0 => state.current_part(),
        number => state.part(number),
    };
    found.ok_or(Refusal::NoSuchPart { part })
}

/// Decisions are made by a person with a name: the one given, else who measures.
fn named(state: &State, by: &str) -> Result<String, Refusal> {
    let name = match by.trim() {
        "" => state.bench().operator.trim(),
        name => name,
    };
    match name {
        "" => Err(Refusal::NameMissing),
        name => Ok(bounded(name)),
    }
}

fn reason(text: &str) -> Result<String, Refusal> {
    match text.trim() {
        "" => Err(Refusal::ReasonMissing),
        text => Ok(bounded(text)),
    }
}
