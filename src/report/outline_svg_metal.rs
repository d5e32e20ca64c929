//! The metal of the drawn part: outside view above the axis, section with its lines below it,
//! threads, the centre line.

use std::fmt::Write as _;

use super::outline_svg::mm;
use crate::plan::{Outline, Segment, SegmentKind};
use crate::quantity::{Exact, Length};

/// Visible edges, in millimetres on paper.
const WIDE: &str = "0.5";
/// Section lines, thread roots, centre line.
const NARROW: &str = "0.25";
/// From one section line to the next, along the axis.
const SECTION_STEP: i64 = 250;
/// How far the centre line goes beyond the ends.
const BEYOND: i64 = 400;

/// Where the part lies on the paper, in hundredths of a millimetre.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    pub(super) outline_left: Length,
    /// Nanometres; positive.
    pub(super) outline_length: i128,
    /// Nanometres; positive.
    pub(super) outline_diameter: i128,
    pub(super) left: i64,
    /// What the part takes along its axis.
    pub(super) along: i64,
    /// What its largest diameter takes.
    pub(super) across: i64,
    /// The axis.
    pub(super) axis: i64,
}

type Point = (i64, i64);

impl Frame {
    /// A place on the axis.
    pub(super) fn x(&self, place: Length) -> i64 {
        let from_left = i128::from(place.units()) - i128::from(self.outline_left.units());
        let along = i128::from(self.along);
        let x = i64::try_from(from_left * along / self.outline_length).unwrap_or(0);
        self.left + x.clamp(0, self.along)
    }

    /// Half of a diameter.
    pub(super) fn radius(&self, diameter: Length) -> i64 {
        let across = i128::from(self.across);
        let size = i128::from(diameter.units()) * across / self.outline_diameter / 2;
        i64::try_from(size).unwrap_or(0).clamp(0, self.across / 2)
    }

    /// The half of a piece below the axis.
    fn below(&self, one: &Segment) -> [Point; 4] {
        let (left, right) = (self.x(one.from), self.x(one.to));
        [
            (left, self.axis),
            (right, self.axis),
            (right, self.axis + self.radius(one.diameter_to)),
            (left, self.axis + self.radius(one.diameter_from)),
        ]
    }
}

/// The part without its numbers.
pub(super) fn metal(outline: &Outline, frame: &Frame) -> String {
    let of = |kind| {
        let segments = outline.segments.iter();
        segments.filter(move |one: &&Segment| one.kind == kind)
    };
    let mut text = section_lines(of(SegmentKind::Outside), frame);
    for bore in of(SegmentKind::Bore) {
        let _ = writeln!(
            text,
            "<polygon points=\"{}\" fill=\"#fff\" />",
            joined(&frame.below(bore))
        );
    }
    let mut wide = String::new();
    let mut narrow = String::new();
    let mut before = 0;
    for one in of(SegmentKind::Outside) {
        outside_edges(one, before, frame, &mut wide);
        before = frame.radius(one.diameter_to);
        thread_root(one, frame, &[-1, 1], &mut narrow);
        thread_end(one, outline, frame, &mut wide);
    }
    let end = frame.x(outline.right);
    stroke(
        &mut wide,
        &[(end, frame.axis - before), (end, frame.axis + before)],
    );
    for bore in of(SegmentKind::Bore) {
        let [first, second, third, fourth] = frame.below(bore);
        stroke(&mut wide, &[first, fourth, third, second]);
        thread_root(bore, frame, &[1], &mut narrow);
    }
    let _ = writeln!(
        text,
        "<path d=\"{wide}\" fill=\"none\" stroke=\"#000\" stroke-width=\"{WIDE}\" \
         stroke-linecap=\"round\" stroke-linejoin=\"round\" />\n\
         <path d=\"{narrow}\" fill=\"none\" stroke=\"#000\" stroke-width=\"{NARROW}\" />"
    );
    // Long dash, dot: ISO 128-2 line 04.1, from memory.
    let ends = [
        (frame.left - BEYOND, frame.axis),
        (frame.left + frame.along + BEYOND, frame.axis),
    ];
    let mut centre = String::new();
    stroke(&mut centre, &ends);
    let _ = writeln!(
        text,
        "<path d=\"{centre}\" fill=\"none\" stroke=\"#000\" stroke-width=\"{NARROW}\" \
         stroke-dasharray=\"6 0.8 0.25 0.8\" />"
    );
    text
}

fn joined(points: &[Point]) -> String {
    let all: Vec<String> = points
        .iter()
        .map(|(x, y)| format!("{},{}", mm(*x), mm(*y)))
        .collect();
    all.join(" ")
}

fn stroke(path: &mut String, points: &[Point]) {
    for (at, (x, y)) in points.iter().enumerate() {
        let word = if at == 0 { 'M' } else { 'L' };
        let _ = write!(path, "{word}{},{}", mm(*x), mm(*y));
    }
}

/// Top and bottom of a piece, and the shoulder at its left.
fn outside_edges(one: &Segment, before: i64, frame: &Frame, wide: &mut String) {
    let (left, right) = (frame.x(one.from), frame.x(one.to));
    let (first, last) = (
        frame.radius(one.diameter_from),
        frame.radius(one.diameter_to),
    );
    for side in [-1, 1] {
        let at = |radius: i64| frame.axis + side * radius;
        stroke(wide, &[(left, at(first)), (right, at(last))]);
    }
    let is_cone = first != last;
    if before == first && !is_cone {
        return;
    }
    let outer = before.max(first);
    stroke(wide, &[(left, frame.axis), (left, frame.axis - outer)]);
    // In the section only what is seen of a shoulder.
    if before != first {
        let inner = before.min(first);
        stroke(
            wide,
            &[(left, frame.axis + inner), (left, frame.axis + outer)],
        );
    }
}

/// The narrow line of a thread's root, above (-1) and below (1) the axis.
fn thread_root(one: &Segment, frame: &Frame, sides: &[i64], narrow: &mut String) {
    let Some(root) = one.thread_root else {
        return;
    };
    for side in sides {
        let y = frame.axis + side * frame.radius(root);
        stroke(narrow, &[(frame.x(one.from), y), (frame.x(one.to), y)]);
    }
}

/// The wide line where an external thread ends inside the part.
fn thread_end(one: &Segment, outline: &Outline, frame: &Frame, wide: &mut String) {
    if one.thread_root.is_none() {
        return;
    }
    for (place, diameter) in [(one.from, one.diameter_from), (one.to, one.diameter_to)] {
        if place > outline.left && place < outline.right {
            let (x, radius) = (frame.x(place), frame.radius(diameter));
            stroke(wide, &[(x, frame.axis), (x, frame.axis - radius)]);
        }
    }
}

/// Narrow lines at 45° over the metal below the axis, one set for the whole part: it is one piece.
fn section_lines<'a>(metal: impl Iterator<Item = &'a Segment>, frame: &Frame) -> String {
    let mut path = String::new();
    for one in metal {
        let area = frame.below(one);
        let sums = area.map(|(x, y)| x + y);
        let least = sums.into_iter().min().unwrap_or(0);
        let most = sums.into_iter().max().unwrap_or(0);
        // A line x + y = c for each step; the odd unit keeps it off the corners.
        let mut c = (least / SECTION_STEP) * SECTION_STEP + 1;
        while c < most {
            if let Some(ends) = inside(&area, c) {
                stroke(&mut path, &ends);
            }
            c += SECTION_STEP;
        }
    }
    format!("<path d=\"{path}\" fill=\"none\" stroke=\"#000\" stroke-width=\"0.13\" />\n")
}

/// The piece of the line x + y = c that lies inside a convex area.
fn inside(area: &[Point; 4], c: i64) -> Option<[Point; 2]> {
    let ends = area.iter().zip(area.iter().cycle().skip(1));
    let mut crossings = ends.filter_map(|(one, other)| {
        let (a, b) = (one.0 + one.1 - c, other.0 + other.1 - c);
        let crosses = (a < 0) != (b < 0);
        crosses.then(|| {
            let part = |from: i64, to: i64| from + (to - from) * a / (a - b);
            (part(one.0, other.0), part(one.1, other.1))
        })
    });
    Some([crossings.next()?, crossings.next()?])
}
