//! All parts of a record together: each part on each characteristic, and who of them counts.

use super::gather::Fold;
use super::gather_batch_facts::facts_of;
use super::gather_batch_text::Written;
use super::gather_text::number_of;
use super::sheet::{PartSheet, ResultRow, Sheet};
use super::sheet_batch::{BatchCell, BatchRow, BatchSheet};
use super::words::Words;
use crate::journal::ValueUnit;
use crate::session::{Batch, BatchPoint, BatchSeries, PartStanding, State};

/// The batch of a sheet that has its parts. None of fewer than two parts, of a choice of them (the
/// numbers would tell of the others), and where nothing has sizes.
pub(super) fn batch_of(
    fold: &Fold,
    state: &State,
    sheet: &Sheet,
    is_damaged: bool,
) -> Option<BatchSheet> {
    let count = state.parts().len();
    if count < 2 || sheet.parts.len() != count {
        return None;
    }
    let batch = Batch::of(state);
    let has_sizes = |series: &BatchSeries| series.unit != ValueUnit::Check;
    if !batch.series().iter().any(has_sizes) {
        return None;
    }
    let parts = u32::try_from(count).unwrap_or(u32::MAX);
    let sized = batch.series().iter().filter(|series| has_sizes(series));
    Some(BatchSheet {
        parts,
        remarks: remarks(fold.words, sheet, is_damaged.then_some(parts)),
        rows: sheet
            .parts
            .iter()
            .map(|part| row_of(part, &batch))
            .collect(),
        characteristics: sized
            .filter_map(|series| facts_of(fold.words, state, series))
            .collect(),
    })
}

/// What all numbers stand on: a damaged record with so many parts, limits of an earlier stage,
/// values that no gauge here sent.
fn remarks(words: &Words, sheet: &Sheet, damaged: Option<u32>) -> Vec<String> {
    let mut said: Vec<String> = damaged.map(words.batch.damaged).into_iter().collect();
    if sheet.job.is_earlier_stage {
        said.push(words.earlier_stage.to_owned());
    }
    let has_origin = |origin: &str| {
        let results = sheet.parts.iter().flat_map(|part| &part.results);
        results.into_iter().any(|row| row.origin == origin)
    };
    let origins = [
        ("simulated", words.was_simulated),
        ("imported", words.was_imported),
    ];
    for (origin, told) in origins {
        if has_origin(origin) {
            said.push(told.to_owned());
        }
    }
    said
}

fn row_of(part: &PartSheet, batch: &Batch) -> BatchRow {
    let beside = batch.series().iter().zip(&part.results);
    BatchRow {
        part: part.number,
        serial: part.serial.clone(),
        cells: beside
            .map(|(series, result)| cell_of(part, series, result))
            .collect(),
    }
}

fn cell_of(part: &PartSheet, series: &BatchSeries, result: &ResultRow) -> BatchCell {
    let point = point_of(series, part.number);
    let readings = part.readings.iter();
    let voided = readings.filter(|row| row.number == result.number && row.end == "voided");
    let mut cell = BatchCell {
        number: result.number,
        standing: standing_word(series.standing(part.number)).to_owned(),
        is_in_doubt: result.is_in_doubt,
        concession: result.concession,
        voided: u32::try_from(voided.count()).unwrap_or(u32::MAX),
        ..BatchCell::default()
    };
    match (series.unit, point) {
        (ValueUnit::Check, _) => cell.value.clone_from(&result.actual),
        (unit, Some(point)) if point.values().len() == 1 => {
            cell.value = number_of(unit, point.value);
        }
        (unit, Some(point)) => {
            cell.value = Written::of(series).computed(point.value as f64);
            cell.smallest = number_of(unit, point.smallest);
            cell.largest = number_of(unit, point.largest);
        }
        (_, None) => {}
    }
    let tests = point.into_iter().flat_map(|point| point.signals.iter());
    cell.tests = tests.map(|test| u16::from(test.number())).collect();
    cell
}

/// The value of a part, by its number.
fn point_of(series: &BatchSeries, part: u32) -> Option<&BatchPoint> {
    let points = series.points();
    let at = points
        .binary_search_by_key(&part, |point| point.part)
        .ok()?;
    points.get(at)
}

fn standing_word(standing: Option<PartStanding>) -> &'static str {
    match standing {
        Some(PartStanding::Go) => "GO",
        Some(PartStanding::NoGo) => "NO-GO",
        Some(PartStanding::Doubt) => "DOUBT",
        Some(PartStanding::Noted) => "NOTED",
        Some(PartStanding::NotSelected) => "not selected",
        Some(PartStanding::Open) | None => "open",
    }
}

/// What other records put in doubt afterwards is told in the table as it stands in the parts'
/// results. The numbers were made before, and say that they still count it.
pub(super) fn doubt_batch(sheet: &mut Sheet, words: &Words) {
    let Some(batch) = &mut sheet.batch else {
        return;
    };
    let mut came = 0;
    for (row, part) in batch.rows.iter_mut().zip(&sheet.parts) {
        for (cell, result) in row.cells.iter_mut().zip(&part.results) {
            if !result.is_in_doubt || cell.is_in_doubt {
                continue;
            }
            cell.is_in_doubt = true;
            if cell.standing == "GO" {
                "DOUBT".clone_into(&mut cell.standing);
            }
            came += 1;
        }
    }
    if came > 0 {
        batch.remarks.push((words.batch.doubted_elsewhere)(came));
    }
}
