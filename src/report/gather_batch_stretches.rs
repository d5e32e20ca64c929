//! The stretches of a row between tool changes and offsets, each with what it began with and its
//! control limits.

use super::gather_batch_text::Written;
use super::gather_text::signed_mm;
use super::sheet_batch::{BatchBreakRow, BatchStretch};
use crate::session::{BatchBreak, BatchSegment, BatchSeries, BreakKind};

/// All stretches, the one in force last; also one that no part has been measured in yet.
pub(super) fn stretches_of(
    series: &BatchSeries,
    segments: &[BatchSegment],
    written: Written,
) -> Vec<BatchStretch> {
    let points = series.points();
    if points.is_empty() {
        return Vec::new();
    }
    let mut stretches = Vec::with_capacity(segments.len());
    let mut before = 0;
    for (at, segment) in segments.iter().enumerate() {
        let end = segments.get(at + 1).map_or(points.len(), |next| next.start);
        let own = points.get(segment.start..end).unwrap_or_default();
        let counted = own.iter().filter(|point| !point.is_in_doubt).count();
        let mut stretch = BatchStretch {
            from_part: segment.from_part,
            to_part: own.last().map_or(0, |point| point.part),
            parts: u32::try_from(counted).unwrap_or(u32::MAX),
            breaks: breaks_in(series, before, segment.from_part),
            ..BatchStretch::default()
        };
        if let Some(limits) = segment.limits {
            stretch.lower_control = written.computed(limits.location.lower);
            stretch.centre = written.computed(limits.location.centre);
            stretch.upper_control = written.computed(limits.location.upper);
            stretch.deviation = written.spread(limits.deviation);
            stretch.is_provisional = limits.is_provisional;
            stretch.is_coarse = limits.is_coarse;
        }
        before = segment.from_part;
        stretches.push(stretch);
    }
    // A tool changed since the last part.
    let newest = splitting(series).map(|one| one.before_part).max();
    if let Some(newest) = newest.filter(|newest| *newest > before) {
        stretches.push(BatchStretch {
            from_part: newest,
            breaks: breaks_in(series, before, newest),
            ..BatchStretch::default()
        });
    }
    stretches
}

/// The parts before which a part was put back; each once.
pub(super) fn put_back_of(series: &BatchSeries) -> Vec<u32> {
    let back = series.breaks().iter();
    let back = back.filter(|one| !one.kind.splits());
    let mut parts: Vec<u32> = back.map(|one| one.before_part).collect();
    parts.sort_unstable();
    parts.dedup();
    parts
}

fn splitting(series: &BatchSeries) -> impl Iterator<Item = &BatchBreak> {
    let all = series.breaks().iter();
    all.filter(|one| one.kind.splits())
}

/// What happened after the part `before` and up to `to`.
fn breaks_in(series: &BatchSeries, before: u32, to: u32) -> Vec<BatchBreakRow> {
    let own = splitting(series).filter(|one| one.before_part > before && one.before_part <= to);
    own.map(|one| {
        let (kind, amount) = match one.kind {
            BreakKind::ToolChanged => ("tool_changed", String::new()),
            BreakKind::OffsetApplied(amount) => ("offset_applied", signed_mm(amount)),
            BreakKind::PutBack => ("put_back", String::new()),
        };
        BatchBreakRow {
            kind: kind.to_owned(),
            amount,
            note: one.note.clone(),
        }
    })
    .collect()
}
