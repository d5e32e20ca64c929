//! The rows of readings, put together while the record is heard.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::gather::Wanted;
use super::gather_text::{number_of, origin_word, raw_text, value_shown};
use super::sheet::ReadingRow;
use super::words::Words;
use crate::gauge::Reading;
use crate::journal::{Event, Place, ReadingTaken, Sequence, VerdictGiven, outcome_text};
use crate::measure::Temperature;
use crate::quantity::{Celsius, Length};
use crate::session::{End, Retold, State};

/// A reading's row as far as it is known, and what it was judged.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    pub(super) row: ReadingRow,
    /// The part it was given to, 0: none.
    pub(super) part: u32,
    /// Its characteristic by its place in measuring order.
    pub(super) target: Option<usize>,
    /// The part at hand when it came, 0: none.
    at_hand: u32,
    /// The last verdict that it brought.
    pub(super) verdict: Option<Arc<VerdictGiven>>,
}

/// The readings of wanted parts, and those of no part, by their line.
#[derive(Debug, Clone)]
pub(super) struct Readings {
    words: &'static Words,
    drafts: BTreeMap<Sequence, Draft>,
}

impl Readings {
    pub(super) fn of(words: &'static Words) -> Self {
        let drafts = BTreeMap::new();
        Self { words, drafts }
    }

    pub(super) fn get(&self, reading: Sequence) -> Option<&Draft> {
        self.drafts.get(&reading)
    }

    pub(super) fn hear(&mut self, retold: &Retold<'_>, state: &State, wanted: &Wanted) {
        match retold.event {
            Event::ReadingReceived(reading) => self.receive(retold, reading, state),
            Event::ReadingTaken(taken) => {
                let told = taken_words(self.words, taken);
                self.with(taken.reading, |draft| draft.row.taken = told);
            }
            Event::ReadingAssigned { reading, place } => self.place(*reading, place, state),
            Event::ReadingHeld {
                reading,
                place,
                sentence,
                ..
            } => {
                self.place(*reading, place, state);
                self.with(*reading, |draft| draft.row.held.clone_from(sentence));
            }
            Event::VerdictGiven(verdict) => {
                self.place(verdict.reading, &verdict.place, state);
                self.with(verdict.reading, |draft| draft.judge(verdict));
                self.forget_unwanted(verdict.reading, wanted);
            }
            Event::CuttingNoted {
                reading,
                place,
                value_at_20,
                ..
            } => {
                self.place(*reading, place, state);
                self.with(*reading, |draft| {
                    draft.row.value_at_20 = value_at_20.to_mm();
                });
                self.forget_unwanted(*reading, wanted);
            }
            Event::ReadingSetAside { reading, reason } => {
                self.with(*reading, |draft| draft.row.reason.clone_from(reason));
                self.forget_unwanted(*reading, wanted);
            }
            Event::RepeatMarked { reading, of } => {
                self.mark_repeat(*reading, *of, state);
                self.forget_unwanted(*reading, wanted);
            }
            Event::ReadingVoided {
                reading,
                reason,
                by,
            } => self.with(*reading, |draft| {
                draft.row.reason.clone_from(reason);
                draft.row.by.clone_from(by);
            }),
            _ => {}
        }
    }

    fn with(&mut self, reading: Sequence, change: impl FnOnce(&mut Draft)) {
        if let Some(draft) = self.drafts.get_mut(&reading) {
            change(draft);
        }
    }

    fn receive(&mut self, retold: &Retold<'_>, reading: &Reading, state: &State) {
        let (value, unit) = value_shown(reading);
        let (part_temperature, gauge_temperature) = temperatures(state, retold.at_ms);
        let row = ReadingRow {
            line: retold.sequence,
            time: retold.time.to_owned(),
            gauge: reading.gauge.as_str().to_owned(),
            origin: origin_word(reading.origin).to_owned(),
            raw: raw_text(&reading.raw),
            value,
            unit: unit.to_owned(),
            operator: state.bench().operator.clone(),
            part_temperature,
            gauge_temperature,
            stage: state.setup().stage.clone(),
            ..ReadingRow::default()
        };
        let draft = Draft {
            row,
            part: 0,
            target: None,
            at_hand: state.current_part().map_or(0, |part| part.number),
            verdict: None,
        };
        self.drafts.insert(retold.sequence, draft);
    }

    /// The temperatures are those that it was judged with: entered before it got its place.
    fn place(&mut self, reading: Sequence, place: &Place, state: &State) {
        let record = state.reading(reading);
        let at_ms = record.map_or(0, |record| record.at_ms);
        let (part_temperature, gauge_temperature) = temperatures(state, at_ms);
        let target = state.setup().target_index(&place.feature, &place.element);
        self.with(reading, |draft| {
            draft.part = place.part;
            draft.target = target;
            draft.row.number = target.map_or(0, |target| target + 1);
            draft.row.point = place.point;
            draft.row.part_temperature = part_temperature;
            draft.row.gauge_temperature = gauge_temperature;
        });
    }

    /// The same press again belongs where the first one does.
    fn mark_repeat(&mut self, reading: Sequence, of: Sequence, state: &State) {
        let first = state.reading(of).filter(|first| first.part > 0);
        let told = (self.words.told.same_frame)(of);
        self.with(reading, |draft| {
            draft.row.reason = told;
            if let Some(first) = first {
                let target = usize::from(first.target);
                draft.part = first.part;
                draft.target = Some(target);
                draft.row.number = target + 1;
                draft.row.point = first.point;
            }
        });
    }

    fn forget_unwanted(&mut self, reading: Sequence, wanted: &Wanted) {
        let is_unwanted = |draft: &Draft| match draft.part {
            0 => !wanted.concerns(draft.at_hand),
            part => !wanted.has(part),
        };
        if self.drafts.get(&reading).is_some_and(is_unwanted) {
            self.drafts.remove(&reading);
        }
    }

    /// Every row, with what the record's end says of it; those of no part have part 0.
    pub(super) fn rows(&self, state: &State, wanted: &Wanted) -> Vec<(u32, ReadingRow)> {
        let mut rows = Vec::with_capacity(self.drafts.len());
        for draft in self.drafts.values() {
            let Some(record) = state.reading(draft.row.line) else {
                continue;
            };
            let is_wanted = match draft.part {
                0 => {
                    matches!(record.end, End::ZeroCheck | End::Study)
                        || wanted.concerns(draft.at_hand)
                }
                part => wanted.has(part),
            };
            if !is_wanted {
                continue;
            }
            let mut row = draft.row.clone();
            row.end = end_word(record.end).to_owned();
            row.doubted_by = record.doubted_by;
            if record.offset != Length::ZERO {
                row.zero_offset = record.offset.to_mm();
            }
            if record.end == End::Held {
                row.reason.clone_from(&row.held);
            }
            if draft.verdict.is_some() || record.end == End::Voided {
                self.settle(&mut row, draft, state);
            }
            rows.push((draft.part, row));
        }
        rows
    }

    /// Whether a row stands behind the value of its point; else which reading does in its place.
    fn settle(&self, row: &mut ReadingRow, draft: &Draft, state: &State) {
        let Some(counted) = counted_at(draft, state) else {
            return;
        };
        let verdict = self.get(counted).and_then(|one| one.verdict.as_ref());
        let is_averaged = verdict.is_some_and(|verdict| verdict.from.contains(&row.line));
        if row.end != "voided" && (counted == row.line || is_averaged) {
            row.counts = true;
        } else if counted != row.line {
            row.replaced_by = counted;
        }
    }
}

impl Draft {
    fn judge(&mut self, verdict: &Arc<VerdictGiven>) {
        if self.verdict.is_some() {
            let before = std::mem::take(&mut self.row.verdict);
            self.row.verdicts_before.push(before);
        }
        self.row.verdict = outcome_text(verdict.outcome).to_owned();
        self.row.value_at_20 = number_of(verdict.unit, verdict.value_at_20);
        self.verdict = Some(Arc::clone(verdict));
    }
}

/// The reading that stands at the point that a reading was given to; it may be that one itself.
fn counted_at(draft: &Draft, state: &State) -> Option<Sequence> {
    let part = state.part(draft.part)?;
    let characteristic = part.characteristics.get(draft.target?)?;
    let at = usize::from(draft.row.point).checked_sub(1)?;
    let point = characteristic.points.get(at)?;
    (point.outcome.is_some() && point.reading() > 0).then_some(point.reading())
}

/// The temperatures that hold at a moment, as the record writes them; empty where none was
/// entered or it has lapsed.
fn temperatures(state: &State, at_ms: u64) -> (String, String) {
    let Some(entered) = state.bench().temperature else {
        return (String::new(), String::new());
    };
    let age_ms = at_ms.saturating_sub(entered.at_ms);
    let text = |celsius: Option<Celsius>| {
        let held = celsius.filter(|one| Temperature::measured(*one, 0.0).aged(age_ms).is_some());
        held.map_or_else(String::new, |one| one.to_string())
    };
    (text(entered.part), text(entered.gauge))
}

fn taken_words(words: &Words, taken: &ReadingTaken) -> String {
    let span = taken.smallest.zip(taken.largest);
    let span = span.map(|(smallest, largest)| (smallest.to_mm(), largest.to_mm()));
    let span = span.as_ref().map(|(from, to)| (from.as_str(), to.as_str()));
    let how = taken.how.to_string();
    (words.told.taken)(&how, taken.values, span, taken.over_ms)
}

/// The word of a reading's end.
fn end_word(end: End) -> &'static str {
    match end {
        End::Received | End::Assigned => "open",
        End::Held => "held",
        End::Judged => "judged",
        End::Cutting => "cutting",
        End::SetAside => "set_aside",
        End::Repeat => "repeat",
        End::ZeroCheck => "zero_check",
        End::Study => "study",
        End::Voided => "voided",
    }
}
