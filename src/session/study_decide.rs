//! What a reading does in a study, and what may be asked of it. Pure, as `decide.rs`.

use super::command::Refusal;
use super::state::{Pending, State};
use super::study::Study;
use super::zero::ZeroState;
use crate::gauge::Observed;
use crate::journal::{Event, Sequence, StudyCell, StudyOpened};
use crate::quantity::Length;

/// Inch and millimetre are told apart only from this size on (chosen: near zero a ratio says
/// nothing) ...
const UNIT_FROM: Length = Length::from_mm(1);
/// ... and when the other unit fits within one part in so many (chosen).
const UNIT_SHARE: i64 = 100;
/// An inch is 127/5 mm.
const INCH: (i64, i64) = (127, 5);
/// The reason of a reading that is only measured once more.
const MEASURED_AGAIN: &str = "measured again";

/// Opens a study.
///
/// # Errors
/// It does not go together, or something else goes on.
pub(super) fn open(state: &State, opened: &StudyOpened) -> Result<Vec<Event>, Refusal> {
    let refused = |why: String| Refusal::StudyRefused { why };
    if state.study().is_some() || !state.parts().is_empty() {
        return Err(refused(
            "Something else is measured in this session.".to_owned(),
        ));
    }
    Study::of(opened).map_err(refused)?;
    Ok(vec![Event::StudyOpened(Box::new(opened.clone()))])
}

/// The reading that was taken last is taken out, so that its cell comes next.
pub(super) fn repeat(state: &State, study: &Study) -> Result<Vec<Event>, Refusal> {
    let (_, reading) = study.last().ok_or(Refusal::NothingToRepeat)?;
    Ok(vec![Event::ReadingVoided {
        reading,
        reason: MEASURED_AGAIN.to_owned(),
        by: state.bench().operator.clone(),
    }])
}

/// What may be no more than the rest of a reading that broke off counts for nothing.
pub(super) fn rest(study: &Study, pending: &Pending) -> Option<Event> {
    study
        .may_be_a_rest(pending)
        .then(|| Event::ReadingSetAside {
            reading: pending.sequence,
            reason:
                "a reading broke off just before, and this may be no more than its rest; measure \
                 again"
                    .to_owned(),
        })
}

/// The cell that a reading fills, or why it fills none.
pub(super) fn decide(state: &State, study: &Study, pending: &Pending) -> Vec<Event> {
    let reading = pending.sequence;
    let aside = |reason: String| vec![Event::ReadingSetAside { reading, reason }];
    if pending.reading.gauge != *study.gauge() {
        let gauge = &pending.reading.gauge;
        return aside(format!(
            "it is of {gauge}, and {} is studied here",
            study.gauge()
        ));
    }
    let Observed::Length(value) = pending.reading.observed else {
        return aside("a study takes lengths".to_owned());
    };
    if is_zero_failed(state, study) {
        return aside(format!(
            "{} failed its zero check: set it, check its zero, then measure again",
            study.gauge()
        ));
    }
    let Some(cell) = study.next() else {
        return aside("every reading of the study has been taken".to_owned());
    };
    if let Some(reason) = other_unit(state, study, cell, value) {
        return aside(reason);
    }
    let name = study.opened().operators.get(cell.operator as usize - 1);
    let name = name.filter(|name| !name.is_empty() && **name != state.bench().operator);
    let changed = name.map(|name| Event::OperatorChanged { name: name.clone() });
    let filled = Event::StudyCellFilled { reading, cell };
    changed.into_iter().chain([filled]).collect()
}

/// Whether the value looks like an inch reading among millimetres, or the other way round.
fn other_unit(state: &State, study: &Study, cell: StudyCell, value: Length) -> Option<String> {
    let expected = expected(state, study, cell.part)?;
    let other = |times: i64, over: i64| {
        let nm = i128::from(value.as_nm()) * i128::from(times) / i128::from(over);
        let off = nm - i128::from(expected.as_nm());
        off.abs() <= i128::from(expected.as_nm().abs() / UNIT_SHARE)
    };
    if value.abs().max(expected.abs()) < UNIT_FROM {
        return None;
    }
    let (read, wanted) = match (other(INCH.0, INCH.1), other(INCH.1, INCH.0)) {
        (true, _) => ("inches", "mm"),
        (false, true) => ("mm", "inches"),
        (false, false) => return None,
    };
    let part = study.opened().parts.get(cell.part as usize - 1);
    let part = part.map_or("", |part| &part.name);
    Some(format!(
        "{} where part {part} is about {}: the gauge shows {read} and its readings are taken for \
         {wanted}; switch it over and measure again",
        value.to_mm(),
        expected.to_mm()
    ))
}

/// What the gauge should show of a part, as far as that is known: the median of what was read, or
/// its known size.
fn expected(state: &State, study: &Study, part: u32) -> Option<Length> {
    let mut read: Vec<i64> = values(state, study.readings_of_part(part));
    read.sort_unstable();
    if let Some(middle) = read.get(read.len() / 2) {
        return Some(Length::from_nm(*middle));
    }
    let at = usize::try_from(part).ok()?.checked_sub(1)?;
    let reference = study.opened().parts.get(at)?.reference?;
    let entry = state.setup().gauge(study.gauge());
    let zero = entry.map_or(Length::ZERO, |entry| entry.size_of(Length::ZERO));
    Some(reference - zero)
}

/// Whether the gauge of the study was found wrong, and not checked again since.
pub(super) fn is_zero_failed(state: &State, study: &Study) -> bool {
    state.zero_state(study.gauge(), 0) == ZeroState::Failed
}

/// What was read, in nanometres.
pub(super) fn values(state: &State, readings: impl Iterator<Item = Sequence>) -> Vec<i64> {
    let records = readings.filter_map(|reading| state.reading(reading));
    records.map(|record| record.value).collect()
}
