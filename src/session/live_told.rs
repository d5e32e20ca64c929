//! What a running session says of readings beside what it records, in sentences.

use super::recorder::Recorded;
use super::state::State;
use crate::gauge::GaugeStatus;
use crate::journal::Event;
use crate::wire::WireError;

/// That a reading counts for nothing, where no person said so and no other answer shows it.
pub(super) fn set_aside_told(
    state: &State,
    recorded: &[Recorded],
    event: &Event,
) -> Option<String> {
    let Event::ReadingSetAside { reading, reason } = event else {
        return None;
    };
    // One that was held has been asked about; a study says it on its own page.
    if state.reading(*reading)?.part > 0 || state.study().is_some() {
        return None;
    }
    let mut all = recorded.iter().filter(|one| one.sequence == *reading);
    let raw = all.find_map(|one| match &one.event {
        Event::ReadingReceived(reading) => Some(unrecorded_text(&reading.raw)),
        _ => None,
    });
    let raw = raw.unwrap_or_else(|| "A reading".to_owned());
    Some(format!("{raw} is recorded and set aside: {reason}."))
}

/// A reading that no record has, as it came.
pub(super) fn unrecorded_text(raw: &[u8]) -> String {
    String::from_utf8_lossy(raw).trim().to_owned()
}

/// Bytes that are no reading, in a sentence.
pub(super) fn refused_sentence(gauge: &str, code: &str, raw: &[u8]) -> String {
    let bytes = raw.escape_ascii();
    let (why, hint) = match (GaugeStatus::from_word(code), WireError::from_code(code)) {
        (Some(status), _) => (format!("sent {} and no value", status.word()), ""),
        (None, Some(error)) => ("sent bytes that are no reading".to_owned(), error.hint()),
        (None, None) => ("sent for a gauge that is not known here".to_owned(), ""),
    };
    format!("{gauge} {why}: {bytes}. {hint}")
        .trim_end()
        .to_owned()
}
