//! The parts of a sheet: how each stands, what was decided and signed, and its readings.

use std::collections::BTreeMap;

use super::gather::Fold;
use super::gather_results::results_of;
use super::gather_told::job_texts;
use super::sheet::{DecisionRow, PartSheet, ReadingRow, SignatureRow};
use super::words::Words;
use crate::journal::{LeftOpen, Manner, Sequence};
use crate::session::{GivenDisposition, GivenSignature, Part, PartState, Setup, Standing, State};

/// The wanted parts in the order of their numbers, and the readings of no part.
pub(super) fn parts_of(
    fold: &Fold,
    state: &State,
    is_damaged: bool,
) -> (Vec<PartSheet>, Vec<ReadingRow>) {
    let mut by_part: BTreeMap<u32, Vec<ReadingRow>> = BTreeMap::new();
    for (part, row) in fold.readings.rows(state, &fold.wanted) {
        by_part.entry(part).or_default().push(row);
    }
    let all = state.parts().iter().map(AsRef::as_ref);
    let wanted = all.filter(|part: &&Part| fold.wanted.has(part.number));
    let parts = wanted.map(|part| {
        let readings = by_part.remove(&part.number).unwrap_or_default();
        part_sheet(fold, state, part, readings, is_damaged)
    });
    let parts = parts.collect();
    // What is left has no part, or one whose beginning is lost: no reading is left out.
    let mut others: Vec<ReadingRow> = by_part.into_values().flatten().collect();
    others.sort_by_key(|row| row.line);
    (parts, others)
}

fn part_sheet(
    fold: &Fold,
    state: &State,
    part: &Part,
    readings: Vec<ReadingRow>,
    is_damaged: bool,
) -> PartSheet {
    let standing = state.standing(part);
    let decided = &part.decided;
    let dispositions = decided.dispositions.iter();
    let setup = state.setup();
    let time = |row: Option<&ReadingRow>| row.map_or_else(String::new, |row| row.time.clone());
    PartSheet {
        number: part.number,
        serial: decided.serial.clone(),
        state: state_word(state, part).to_owned(),
        standing: standing.word().to_owned(),
        is_good: standing.is_good() && !is_damaged,
        results: results_of(fold, state, part, &readings),
        decisions: dispositions
            .map(|one| decision_row(one, setup, &fold.times))
            .collect(),
        signatures: signature_rows(fold.words, &decided.signatures, &fold.times),
        from: time(readings.first()),
        to: time(readings.last()),
        job_notes: job_notes(fold, part.number),
        assembled_into: decided.assembled.as_ref().map_or_else(String::new, |one| {
            format!("{} {}", one.assembly, one.serial).trim().to_owned()
        }),
        doubts: Vec::new(),
        readings,
    }
}

/// What the characteristics give. A part that was measured at a stage before the last is open
/// however good it is there.
fn state_word(state: &State, part: &Part) -> &'static str {
    let measured = part.state();
    let is_unfinished =
        state.is_earlier_stage() && matches!(measured, PartState::Go | PartState::Noted);
    match is_unfinished || state.standing(part) == Standing::StageDone {
        true => PartState::Open.word(),
        false => measured.word(),
    }
}

/// What named the work where it was not what named it first.
fn job_notes(fold: &Fold, part: u32) -> Vec<String> {
    let Some(first) = &fold.first_job else {
        return Vec::new();
    };
    let others = fold.other_jobs.get(&part);
    let others = others.map_or(&[][..], Vec::as_slice);
    let mut notes: Vec<String> = Vec::new();
    for note in others
        .iter()
        .flat_map(|job| job_texts(&fold.words.told, job, first))
    {
        if !notes.contains(&note) {
            notes.push(note);
        }
    }
    notes
}

fn decision_row(
    one: &GivenDisposition,
    setup: &Setup,
    times: &BTreeMap<Sequence, String>,
) -> DecisionRow {
    let given = &one.given;
    let number = match given.feature.as_str() {
        "" => None,
        feature => setup.target_index(feature, &given.element),
    };
    DecisionRow {
        line: one.line,
        time: time_of(one.line, times),
        what: given.kind.word().to_owned(),
        about: characteristic_name(&given.feature, &given.element),
        number: number.map_or(0, |number| number + 1),
        reason: given.reason.clone(),
        by: given.by.clone(),
        agreed_with: given.agreed_with.clone(),
        withdrawn_by: one.withdrawn_by,
    }
}

/// The rows of signatures, of a part or of the session as a whole.
pub(super) fn signature_rows(
    words: &Words,
    all: &[GivenSignature],
    times: &BTreeMap<Sequence, String>,
) -> Vec<SignatureRow> {
    let row = |one: &GivenSignature| {
        let signed = &one.signed;
        let manner = match signed.manner {
            Manner::Plain => "",
            other => other.word(),
        };
        SignatureRow {
            line: one.line,
            time: time_of(one.line, times),
            meaning: signed.meaning.word().to_owned(),
            manner: manner.to_owned(),
            by: signed.by.clone(),
            reason: signed.reason.clone(),
            covers: signed.covers,
            hash: signed.hash.clone(),
            left: signed
                .left
                .iter()
                .map(|left| left_text(words, left))
                .collect(),
            has_lapsed: one.lapsed_by != 0,
            lapsed_by: one.lapsed_by,
        }
    };
    all.iter().map(row).collect()
}

fn time_of(line: Sequence, times: &BTreeMap<Sequence, String>) -> String {
    times.get(&line).cloned().unwrap_or_default()
}

/// `B size: DOUBT, chance of conformity 95.1234 %`.
fn left_text(words: &Words, left: &LeftOpen) -> String {
    let name = characteristic_name(&left.feature, &left.element);
    let chance = |ppm: u32| format!("{}.{:04}", ppm / 10_000, ppm % 10_000);
    let chance = left.conformance_ppm.map(chance);
    (words.told.left_open)(&name, &left.state, chance.as_deref())
}

fn characteristic_name(feature: &str, element: &str) -> String {
    match element {
        "" => feature.to_owned(),
        element => format!("{feature} {element}"),
    }
}
