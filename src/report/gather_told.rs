//! What happened beside the readings, each in a sentence.

use super::gather_text::signed_mm;
use crate::journal::{Event, Job};
use crate::quantity::{Celsius, Length};
use crate::session::zero_sentence;

/// Something that happened.
pub(super) struct Told {
    pub(super) sentence: String,
    /// The part that it is about; none: the part at hand.
    pub(super) part: Option<u32>,
    /// It matters whatever part is asked for: gauges, the record itself.
    pub(super) concerns_all: bool,
}

/// What an event says to whoever reads the record; none where its table says it already.
pub(super) fn told_of(event: &Event) -> Option<Told> {
    let told = |sentence: String| Told {
        sentence,
        part: None,
        concerns_all: false,
    };
    let to_all = |sentence: String| Told {
        concerns_all: true,
        ..told(sentence)
    };
    if let Some(sentence) = record_sentence(event) {
        return Some(to_all(sentence));
    }
    if let Some(sentence) = gauge_sentence(event) {
        return Some(to_all(sentence));
    }
    match event {
        Event::PartNamed { part, serial } => Some(Told {
            part: Some(*part),
            ..told(match serial.as_str() {
                "" => format!("Part {part} has no serial number any more."),
                serial => format!("Part {part} was given the serial number {serial}."),
            })
        }),
        Event::PartTakenUp { part } => Some(Told {
            part: Some(*part),
            ..told(format!("Work went on at part {part}."))
        }),
        event => bench_sentence(event).map(told),
    }
}

/// What happened to the record itself.
fn record_sentence(event: &Event) -> Option<String> {
    Some(match event {
        Event::SessionResumed { program, tables } => {
            format!("The session was taken up again by {program}, tolerance tables {tables}.")
        }
        Event::ContinuationOpened { file, sequence, .. } => {
            format!("Recording went on in another file: {file} counts up to line {sequence}.")
        }
        Event::TailDamaged { bytes, offset } => format!(
            "An unfinished line of {bytes} bytes at byte {offset} was found and left where it \
             was; it was never acknowledged."
        ),
        Event::ClockStepped { by_ms } => {
            format!("The computer's clock was set by {by_ms} ms against the time that had passed.")
        }
        Event::Unknown { kind } => {
            format!("An event of a kind that this program does not know: {kind}.")
        }
        _ => return None,
    })
}

/// What happened to a gauge.
fn gauge_sentence(event: &Event) -> Option<String> {
    match event {
        Event::GaugeStateChanged {
            gauge,
            state,
            detail,
        } => Some(match detail.as_str() {
            "" => format!("{gauge}: {state}."),
            detail => format!("{gauge}: {state}, {detail}."),
        }),
        Event::GaugeDoubted {
            gauge,
            since,
            reason,
            by,
        } => {
            let since = since.as_deref().unwrap_or("its last good check");
            Some(format!(
                "{gauge} was found wrong by {by}: {reason}. What it measured since {since} is in \
                 doubt."
            ))
        }
        Event::ZeroChecked(_) | Event::ZeroCheckDropped { .. } => zero_sentence(event),
        Event::StudyOpened(study) => Some(format!(
            "A study of {} was begun: {} parts, {} operators, {} trials, {} readings in all.",
            study.gauge,
            study.parts.len(),
            study.operators.len(),
            study.trials,
            study.order.len()
        )),
        _ => None,
    }
}

/// What happened at the machine.
fn bench_sentence(event: &Event) -> Option<String> {
    Some(match event {
        Event::TakenOut { open } if open.is_empty() => {
            "The part was taken out of the machine.".to_owned()
        }
        Event::TakenOut { open } => format!(
            "The part was taken out of the machine; still open in that setting: {}.",
            open.join(", ")
        ),
        Event::PutBack { method, runout } => {
            let found = runout.map_or_else(
                || "runout not recorded".to_owned(),
                |runout| format!("runout {} mm", runout.to_mm()),
            );
            match method.as_str() {
                "" => format!("The part was put back, {found}."),
                method => format!("The part was put back, set true by {method}, {found}."),
            }
        }
        Event::ToolChanged { note } => match note.as_str() {
            "" => "The tool was changed.".to_owned(),
            note => format!("The tool was changed: {note}."),
        },
        Event::OffsetApplied { amount, note } => offset_sentence(*amount, note),
        Event::TemperatureSet { part, gauge } => temperature_sentence(*part, *gauge),
        Event::JobNoted(job) => job_sentence(job),
        Event::OperatorChanged { name } => match name.as_str() {
            "" => "From here on nobody is named as measuring.".to_owned(),
            name => format!("From here on {name} measured."),
        },
        _ => return None,
    })
}

fn offset_sentence(amount: Length, note: &str) -> String {
    let amount = signed_mm(amount);
    match note {
        "" => format!("A tool offset of {amount} mm was given."),
        note => format!("A tool offset of {amount} mm was given: {note}."),
    }
}

fn temperature_sentence(part: Option<Celsius>, gauge: Option<Celsius>) -> String {
    match (part, gauge) {
        (None, None) => "The temperatures are not known any more.".to_owned(),
        (Some(part), None) => format!("Temperature of the part: {part} °C."),
        (None, Some(gauge)) => format!("Temperature of the gauge: {gauge} °C."),
        (Some(part), Some(gauge)) => {
            format!("Temperature of the part: {part} °C; of the gauge: {gauge} °C.")
        }
    }
}

fn job_sentence(job: &Job) -> String {
    format!(
        "From here on: {}.",
        job_texts(job, &Job::default()).join(", ")
    )
}

/// What names the work, where it is other than `known`.
pub(super) fn job_texts(job: &Job, known: &Job) -> Vec<String> {
    let pairs = [
        ("order", &job.order, &known.order),
        ("customer", &job.customer, &known.customer),
        ("material lot", &job.material_lot, &known.material_lot),
        ("machine", &job.machine, &known.machine),
    ];
    let differing = pairs.into_iter().filter(|(_, said, known)| said != known);
    differing
        .map(|(what, said, _)| format!("{what}: {said}"))
        .collect()
}
