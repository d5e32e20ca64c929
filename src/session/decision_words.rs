//! What people decided, in a sentence each.

use crate::journal::{
    Disposition, DispositionKind, Event, Job, Manner, Meaning, PartAssembled, SignedOff,
};

/// A decision as a sentence without its full stop; none for other events. Names and reasons are
/// as they were given: whoever shows them makes odd characters visible.
pub fn decision_sentence(event: &Event) -> Option<String> {
    Some(match event {
        Event::JobNoted(job) => job_sentence(job),
        Event::PartNamed { part, serial } if serial.is_empty() => {
            format!("part {part} has no serial number")
        }
        Event::PartNamed { part, serial } => format!("part {part} is serial number {serial}"),
        Event::PartTakenUp { part } => format!("work goes on at part {part}"),
        Event::DispositionGiven(given) => disposition_sentence(given),
        Event::PartAssembled(one) => assembled_sentence(one),
        Event::SignedOff(signed) => signature_sentence(signed),
        _ => return None,
    })
}

fn job_sentence(job: &Job) -> String {
    let said = [
        ("order", &job.order),
        ("customer", &job.customer),
        ("material lot", &job.material_lot),
        ("machine", &job.machine),
    ];
    let said = said.iter().filter(|(_, text)| !text.is_empty());
    let said: Vec<String> = said.map(|(name, text)| format!("{name} {text}")).collect();
    format!("from here on: {}", said.join(", "))
}

fn disposition_sentence(given: &Disposition) -> String {
    let Disposition {
        part,
        feature,
        element,
        reason,
        by,
        agreed_with,
        of,
        ..
    } = given;
    let about = match (feature.as_str(), element.as_str()) {
        ("", _) => format!("part {part}"),
        (feature, "") => format!("part {part}, {feature}"),
        (feature, element) => format!("part {part}, {feature} {element}"),
    };
    let what = match given.kind {
        DispositionKind::Rework => format!("{about}: rework"),
        DispositionKind::Scrap => format!("{about}: scrap"),
        DispositionKind::Hold => format!("{about}: on hold"),
        DispositionKind::Concession => format!("{about}: accepted under concession"),
        DispositionKind::Withdrawn => format!("{about}: the decision of line {of} is withdrawn"),
    };
    let agreed = match agreed_with.as_str() {
        "" => String::new(),
        name => format!(", agreed with {name}"),
    };
    format!("{what}, by {by}{agreed}: {reason}")
}

fn assembled_sentence(one: &PartAssembled) -> String {
    let others = one.with.iter();
    let others: Vec<String> = others
        .map(|other| format!("{} {}", other.member, other.serial))
        .collect();
    let with = match others.is_empty() {
        true => String::new(),
        false => format!(", with {}", others.join(", ")),
    };
    format!(
        "part {} went as {} into {} {}, by {}: {}{with}",
        one.part, one.member, one.assembly, one.serial, one.by, one.state
    )
}

fn signature_sentence(signed: &SignedOff) -> String {
    let SignedOff {
        part, by, reason, ..
    } = signed;
    let what = match part {
        0 => "the session".to_owned(),
        part => format!("part {part}"),
    };
    let word = match (signed.meaning, signed.manner) {
        (Meaning::Measured, _) => "signed as measured",
        (Meaning::Checked, _) => "signed as checked",
        (Meaning::Released, Manner::Plain) => "released",
        (Meaning::Released, Manner::Early) => "released early, before everything was measured",
        (Meaning::Released, Manner::InDoubt) => "released in doubt, which is no GO",
        (Meaning::Released, Manner::UnderConcession) => "released under concession",
    };
    let why = match reason.as_str() {
        "" => String::new(),
        reason => format!(": {reason}"),
    };
    format!("{what} {word} by {by}{why}")
}
