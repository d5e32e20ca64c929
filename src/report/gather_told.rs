//! What happened beside the readings, each in a sentence.

use super::gather_text::signed_mm;
use super::words_told::Told as Sentences;
use crate::journal::{Event, Job};
use crate::quantity::Length;

/// Something that happened.
pub(super) struct Told {
    pub(super) sentence: String,
    /// The part that it is about; none: the part at hand.
    pub(super) part: Option<u32>,
    /// It matters whatever part is asked for: gauges, the record itself.
    pub(super) concerns_all: bool,
}

/// What an event says to whoever reads the record; none where its table says it already.
pub(super) fn told_of(event: &Event, words: &Sentences) -> Option<Told> {
    let told = |sentence: String| Told {
        sentence,
        part: None,
        concerns_all: false,
    };
    let to_all = |sentence: String| Told {
        concerns_all: true,
        ..told(sentence)
    };
    if let Some(sentence) = record_sentence(event, words) {
        return Some(to_all(sentence));
    }
    if let Some(sentence) = gauge_sentence(event, words) {
        return Some(to_all(sentence));
    }
    match event {
        Event::PartNamed { part, serial } => Some(Told {
            part: Some(*part),
            ..told((words.part_named)(*part, serial))
        }),
        Event::PartAssembled(one) => Some(Told {
            part: Some(one.part),
            ..told((words.part_assembled)(one))
        }),
        Event::PartTakenUp { part } => Some(Told {
            part: Some(*part),
            ..told((words.part_taken_up)(*part))
        }),
        event => bench_sentence(event, words).map(told),
    }
}

/// What happened to the record itself.
fn record_sentence(event: &Event, words: &Sentences) -> Option<String> {
    Some(match event {
        Event::SessionOpened(opened) if !opened.suits.is_empty() => (words.suits)(&opened.suits),
        Event::SessionResumed { program, tables } => (words.session_resumed)(program, tables),
        Event::ContinuationOpened { file, sequence, .. } => {
            (words.continuation_opened)(file, *sequence)
        }
        Event::TailDamaged { bytes, offset } => (words.tail_damaged)(*bytes, *offset),
        Event::ClockStepped { by_ms } => (words.clock_stepped)(*by_ms),
        Event::Unknown { kind } => (words.unknown_event)(kind),
        _ => return None,
    })
}

/// What happened to a gauge.
fn gauge_sentence(event: &Event, words: &Sentences) -> Option<String> {
    match event {
        Event::GaugeStateChanged {
            gauge,
            state,
            detail,
        } => Some(match detail.as_str() {
            // All of it is the record's own.
            "" => format!("{gauge}: {state}."),
            detail => format!("{gauge}: {state}, {detail}."),
        }),
        Event::GaugeDoubted {
            gauge,
            since,
            reason,
            by,
        } => Some((words.gauge_doubted)(gauge, by, reason, since.as_deref())),
        Event::ZeroChecked(_) | Event::ZeroCheckDropped { .. } => (words.zero)(event),
        Event::StudyOpened(study) => Some((words.study_begun)(study)),
        _ => None,
    }
}

/// What happened at the machine.
fn bench_sentence(event: &Event, words: &Sentences) -> Option<String> {
    Some(match event {
        Event::TakenOut { open } => (words.taken_out)(open),
        Event::PutBack { method, runout } => {
            let runout = runout.map(Length::to_mm);
            (words.put_back)(method, runout.as_deref())
        }
        Event::ToolChanged { note } => with_note(words.tool_changed, note),
        Event::OffsetApplied { amount, note } => {
            with_note(&(words.offset_given)(&signed_mm(*amount)), note)
        }
        Event::TemperatureSet { part, gauge } => {
            let [part, gauge] = [part, gauge].map(|one| one.map(|celsius| celsius.to_string()));
            (words.temperatures)(part.as_deref(), gauge.as_deref())
        }
        Event::JobNoted(job) => (words.job_from_here)(&job_texts(words, job, &Job::default())),
        Event::OperatorChanged { name } => (words.operator_from_here)(name),
        _ => return None,
    })
}

/// A sentence, with a note behind it where there is one.
fn with_note(sentence: &str, note: &str) -> String {
    match note {
        "" => format!("{sentence}."),
        note => format!("{sentence}: {note}."),
    }
}

/// What names the work, where it is other than `known`.
pub(super) fn job_texts(words: &Sentences, job: &Job, known: &Job) -> Vec<String> {
    let said = [
        (&job.order, &known.order),
        (&job.customer, &known.customer),
        (&job.material_lot, &known.material_lot),
        (&job.machine, &known.machine),
    ];
    let named = words.job_names.into_iter().zip(said);
    let differing = named.filter(|(_, (said, known))| said != known);
    differing
        .map(|(what, (said, _))| format!("{what}: {said}"))
        .collect()
}
