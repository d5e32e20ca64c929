//! From a snapshot to the drawn part: the plan's shape, with the state of each feature on the
//! part at hand.

use super::list_view::standing;
use super::words::clean;
use super::{Mark, OutlineShape, OutlineView};
use crate::plan::{Outline, Segment, SegmentKind};
use crate::quantity::Length;
use crate::session::{Snapshot, State, Target};

/// The part as the plan of the session describes it; none when the plan gives no shape.
///
/// `subject` is the characteristic, by its place in measuring order, that the verdict is of or
/// that is measured now: its feature gets a leader with the callout, if it is drawn.
pub fn outline_view(snapshot: &Snapshot, subject: Option<usize>) -> Option<OutlineView> {
    let state = &snapshot.state;
    let setup = state.setup();
    let outline = setup.plan.outline()?;
    let subject = subject.and_then(|at| setup.targets.get(at));
    let shapes = outline.segments.iter().enumerate().map(|(at, segment)| {
        let shown_as = named_piece(&outline, segment) == Some(at);
        shape(state, segment, shown_as, subject)
    });
    let spoken = spoken(&state.setup().plan.part.name, &outline);
    Some(drawn(&outline, shapes.collect(), spoken))
}

/// The part with those shapes, between its ends.
pub(super) fn drawn(outline: &Outline, shapes: Vec<OutlineShape>, spoken: String) -> OutlineView {
    OutlineView {
        left: millimetres(outline.left),
        right: millimetres(outline.right),
        radius: millimetres(outline.diameter) / 2.0,
        shapes,
        spoken,
    }
}

/// A piece as it lies, of metal without a name or a state.
pub(super) fn plain_piece(segment: &Segment) -> OutlineShape {
    OutlineShape {
        target: None,
        id: String::new(),
        balloon: String::new(),
        from: millimetres(segment.from),
        to: millimetres(segment.to),
        radius_from: millimetres(segment.diameter_from) / 2.0,
        radius_to: millimetres(segment.diameter_to) / 2.0,
        thread_root: segment.thread_root.map(|root| millimetres(root) / 2.0),
        is_bore: segment.kind == SegmentKind::Bore,
        is_length: segment.kind == SegmentKind::Length,
        mark: Mark::Open,
        leader: None,
    }
}

fn shape(
    state: &State,
    segment: &Segment,
    is_named: bool,
    subject: Option<&Target>,
) -> OutlineShape {
    let id = segment.feature.as_ref().map_or("", |id| id.as_str());
    let current = subject.filter(|target| is_named && target.feature == id);
    OutlineShape {
        target: position(state, id),
        id: if is_named { clean(id) } else { String::new() },
        balloon: if is_named {
            numbers_text(&numbers_of(state, id))
        } else {
            String::new()
        },
        mark: feature_mark(state, id),
        leader: current.map(|target| clean(&target.callout)),
        ..plain_piece(segment)
    }
}

/// The longest piece of the segment's feature, the first of several: it carries the name.
pub(super) fn named_piece(outline: &Outline, segment: &Segment) -> Option<usize> {
    let id = segment.feature.as_ref()?;
    let pieces = outline.segments.iter().enumerate();
    let pieces = pieces.filter(|(_, piece)| piece.feature.as_ref() == Some(id));
    let longest = pieces.rev().max_by_key(|(_, piece)| piece.to - piece.from);
    longest.map(|(at, _)| at)
}

fn position(state: &State, feature: &str) -> Option<usize> {
    let mut targets = state.setup().targets.iter();
    targets.position(|target| !feature.is_empty() && target.feature == feature)
}

/// The numbers of a feature's characteristics, from 1 in measuring order: as in the report.
fn numbers_of(state: &State, feature: &str) -> Vec<usize> {
    let targets = (1..).zip(&state.setup().targets);
    let of_feature = targets.filter(|(_, target)| target.feature == feature);
    of_feature.map(|(number, _)| number).collect()
}

/// Numbers in a balloon: those that follow each other as `3-5`.
pub(super) fn numbers_text(numbers: &[usize]) -> String {
    let mut text = String::new();
    let mut rest = numbers;
    while let Some(first) = rest.first() {
        let run = rest
            .iter()
            .zip(*first..)
            .take_while(|(one, next)| *one == next);
        let run = run.count();
        let last = first + run - 1;
        if !text.is_empty() {
            text.push_str(", ");
        }
        text.push_str(&match run {
            1 => first.to_string(),
            2 => format!("{first}, {last}"),
            _ => format!("{first}-{last}"),
        });
        rest = rest.get(run..).unwrap_or_default();
    }
    text
}

/// The worst state of a feature's characteristics on the part at hand.
fn feature_mark(state: &State, feature: &str) -> Mark {
    let targets = state.setup().targets.iter().enumerate();
    let of_feature = targets.filter(|(_, target)| target.feature == feature);
    let marks = of_feature.map(|(at, _)| standing(state, at).0);
    marks
        .max_by_key(|mark| severity(*mark))
        .unwrap_or(Mark::Open)
}

/// Larger is worse: what is wrong before what is undone, what is undone before what is done.
fn severity(mark: Mark) -> u8 {
    match mark {
        Mark::NotSelected | Mark::Noted => 0,
        Mark::Go => 1,
        Mark::Open => 2,
        Mark::Inside => 3,
        Mark::Cutting => 4,
        Mark::Doubt => 5,
        Mark::Held => 6,
        Mark::NoGo => 7,
        Mark::NotRecorded => 8,
    }
}

/// The part in words, with the features that are not drawn.
pub(super) fn spoken(name: &str, outline: &Outline) -> String {
    let name = clean(name);
    let length = outline.right - outline.left;
    let diameter = outline.diameter;
    let mut text = format!("Half section of {name}, {length} mm long, {diameter} mm across");
    let elsewhere = outline.elsewhere.iter().map(|id| clean(id.as_str()));
    let elsewhere: Vec<String> = elsewhere.collect();
    if !elsewhere.is_empty() {
        text.push_str("; not drawn: ");
        text.push_str(&elsewhere.join(", "));
    }
    text
}

/// Millimetres for a picture.
#[allow(clippy::cast_possible_truncation)] // a picture needs no more than seven digits
fn millimetres(length: Length) -> f32 {
    (length.as_nm_f64() / 1e6) as f32
}
