//! The part of a stored session as its plan draws it, with the numbers of its table of results.

use super::outline_view::{drawn, named_piece, numbers_text, plain_piece};
use super::records_sheet::standing_mark;
use super::words::clean;
use super::{Mark, OutlineShape, OutlineView};
use crate::plan::Outline;
use crate::report::{PartSheet, Sheet};

/// The part's shape; each feature carries its numbers and the worst of its results.
pub(super) fn numbered(sheet: &Sheet, part: &PartSheet, outline: &Outline) -> OutlineView {
    let shapes = outline.segments.iter().enumerate().map(|(at, segment)| {
        let id = segment.feature.as_ref().map_or("", |id| id.as_str());
        let of_feature = sheet.asked.iter().filter(|asked| asked.feature == id);
        let numbers: Vec<usize> = of_feature.map(|asked| asked.number).collect();
        let is_named = named_piece(outline, segment) == Some(at);
        OutlineShape {
            id: if is_named { clean(id) } else { String::new() },
            balloon: if is_named {
                numbers_text(&numbers)
            } else {
                String::new()
            },
            mark: worst(part, &numbers),
            ..plain_piece(segment)
        }
    });
    let spoken = format!("Half section of {}, numbered", clean(&sheet.job.part_name));
    drawn(outline, shapes.collect(), spoken)
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
