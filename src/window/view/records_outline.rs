//! The part of a stored session as its plan draws it, with the numbers of its table of results.

use super::outline_view::{millimetres, named_piece, numbers_text};
use super::records_sheet::standing_mark;
use super::words::clean;
use super::{Mark, OutlineShape, OutlineView};
use crate::plan::{Outline, SegmentKind};
use crate::report::{PartSheet, Sheet};

/// The part's shape; each feature carries its numbers and the worst of its results.
pub(super) fn drawn(sheet: &Sheet, part: &PartSheet, outline: &Outline) -> OutlineView {
    let shapes = outline.segments.iter().enumerate().map(|(at, segment)| {
        let id = segment.feature.as_ref().map_or("", |id| id.as_str());
        let of_feature = sheet.asked.iter().filter(|asked| asked.feature == id);
        let numbers: Vec<usize> = of_feature.map(|asked| asked.number).collect();
        let is_named = named_piece(outline, segment) == Some(at);
        OutlineShape {
            target: None,
            id: if is_named { clean(id) } else { String::new() },
            balloon: if is_named {
                numbers_text(&numbers)
            } else {
                String::new()
            },
            from: millimetres(segment.from),
            to: millimetres(segment.to),
            radius_from: millimetres(segment.diameter_from) / 2.0,
            radius_to: millimetres(segment.diameter_to) / 2.0,
            thread_root: segment.thread_root.map(|root| millimetres(root) / 2.0),
            is_bore: segment.kind == SegmentKind::Bore,
            is_length: segment.kind == SegmentKind::Length,
            mark: worst(part, &numbers),
            leader: None,
        }
    });
    OutlineView {
        left: millimetres(outline.left),
        right: millimetres(outline.right),
        radius: millimetres(outline.diameter) / 2.0,
        shapes: shapes.collect(),
        spoken: format!("Half section of {}, numbered", clean(&sheet.job.part_name)),
    }
}

fn worst(part: &PartSheet, numbers: &[usize]) -> Mark {
    let rank = |mark: &Mark| match mark {
        Mark::NoGo => 5,
        Mark::Doubt | Mark::Held => 4,
        Mark::Open | Mark::Inside => 3,
        Mark::Go => 2,
        _ => 1,
    };
    let of_part = part.results.iter();
    let of_part = of_part.filter(|row| numbers.contains(&row.number) && row.is_selected);
    let marks = of_part.map(|row| match row.is_in_doubt {
        true => Mark::Doubt,
        false => standing_mark(&row.verdict),
    });
    marks.max_by_key(rank).unwrap_or(Mark::NotSelected)
}
