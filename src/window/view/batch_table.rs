//! The table of the Batch room: every part on every characteristic, the newest part first. What is
//! NO-GO, in doubt, open or not selected is told by mark and word; a signal by a box with the
//! number of its test.

use super::words::{Words, callout, clean};
use super::{BatchCellView, BatchColumnView, BatchHeadView, BatchRowView, BatchTableView, Mark};
use crate::journal::ValueUnit;
use crate::report::tests_text;
use crate::session::{Batch, BatchPoint, BatchSeries, PartStanding, Setup, Target};

/// So many rows are made: more than fit on any screen (chosen).
const ROWS_MAX: usize = 120;
/// Decimals of a size in the table: those of its gauge, at most.
const DECIMALS_MAX: u8 = 6;
const LEGEND: &str = "Box: a signal, with the number of its test. The value is that of the part at \
                      20 °C, of several points their mean.";

/// The table from a part on.
pub(super) fn table(
    batch: &Batch,
    setup: &Setup,
    head: BatchHeadView,
    (chosen, skipped): (usize, usize),
    words: Words,
) -> BatchTableView {
    let pairs: Vec<(&BatchSeries, &Target)> = batch.series().iter().zip(&setup.targets).collect();
    let columns = pairs.iter().map(|(_, target)| BatchColumnView {
        id: clean(&target.feature),
        callout: callout(target),
    });
    let parts = pairs.iter().map(|(series, _)| parts_of(series)).max();
    let parts = parts.unwrap_or(0);
    let count = usize::try_from(parts).unwrap_or(usize::MAX);
    let skipped = skipped.min(count.saturating_sub(1));
    let passed = u32::try_from(skipped).unwrap_or(u32::MAX);
    let newest = parts.saturating_sub(passed);
    let shown = (1..=newest).rev().take(ROWS_MAX);
    let rows = shown.map(|part| BatchRowView {
        part,
        cells: pairs
            .iter()
            .map(|(series, target)| cell(series, target, part, words))
            .collect(),
    });
    BatchTableView {
        head,
        columns: columns.collect(),
        chosen,
        rows: rows.collect(),
        skipped,
        count,
        legend: LEGEND.to_owned(),
    }
}

/// So many parts were begun.
fn parts_of(series: &BatchSeries) -> u32 {
    let counts = series.counts();
    counts.selected() + counts.not_selected
}

/// The value of a part, by its number.
fn point_of(series: &BatchSeries, part: u32) -> Option<&BatchPoint> {
    let points = series.points();
    let at = points
        .binary_search_by_key(&part, |point| point.part)
        .ok()?;
    points.get(at)
}

fn cell(series: &BatchSeries, target: &Target, part: u32, words: Words) -> BatchCellView {
    let (mark, word) = match series.standing(part) {
        Some(PartStanding::Go) => (Mark::Go, "GO"),
        Some(PartStanding::NoGo) => (Mark::NoGo, "NO-GO"),
        Some(PartStanding::Doubt) => (Mark::Doubt, "DOUBT"),
        Some(PartStanding::Noted) => (Mark::Noted, "noted"),
        Some(PartStanding::NotSelected) => (Mark::NotSelected, "not selected"),
        Some(PartStanding::Open) | None => (Mark::Open, "open"),
    };
    let point = point_of(series, part);
    let has_size = series.unit != ValueUnit::Check;
    let value = point.filter(|_| has_size).map(|point| {
        let decimals = decimals(point.step);
        words.value(point.value, decimals, &target.limits)
    });
    let tests = point.map_or(String::new(), |point| tests_text(point.signals));
    let id = clean(&target.feature);
    let told = value
        .as_ref()
        .map_or(String::new(), |one| format!("{one}, "));
    let signal = match tests.is_empty() {
        true => String::new(),
        false => format!(", signal of test {}", tests.replace(' ', " and ")),
    };
    BatchCellView {
        text: value.unwrap_or_else(|| word.to_owned()),
        mark,
        spoken: format!("part {part}, {id}: {told}{word}{signal}"),
        tests,
    }
}

/// Decimals of a millimetre that a step has.
fn decimals(step: i64) -> u8 {
    let mut left = step.max(1);
    let mut zeros = 0;
    while left % 10 == 0 && zeros < DECIMALS_MAX {
        left /= 10;
        zeros += 1;
    }
    DECIMALS_MAX - zeros
}
