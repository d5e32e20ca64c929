//! The part's outline on paper: metal, bores, dimensions, and the numbers of the characteristics.
//! It shows which is which and no size: a thin part is drawn thicker than it is.

use std::collections::BTreeMap;

use super::pdf_page::{BODY_WIDTH, Ink, MARGIN, Op, SMALL_SIZE, base};
use super::pdf_text::{Faces, Weight, leading};
use super::sheet::{Asked, Sheet};
use crate::plan::{Outline, Segment, SegmentKind};
use crate::quantity::{Exact, Length};

/// Room for the metal, points.
const METAL_WIDTH: f32 = BODY_WIDTH - 60.0;
const METAL_HEIGHT: f32 = 120.0;
/// A part is drawn at least that thick.
const METAL_HEIGHT_LEAST: f32 = 44.0;
/// From the metal to the numbers above it, and to the dimensions below it.
const ABOVE_METAL: f32 = 8.0;
const BELOW_METAL: f32 = 14.0;
/// From one row of numbers, or of dimensions, to the next.
const ROW: f32 = 17.0;
/// Height of a number's plate.
const PLATE: f32 = 12.0;
/// Rows at most on a side, so that the picture fits a page whatever the plan says.
const ROWS_MAX: usize = 14;

/// The picture: its height, and what is drawn, from the upper left corner of its place.
pub(super) struct Picture {
    pub(super) height: f32,
    pub(super) ops: Vec<Op>,
    /// Numbers of the characteristics that are not in it.
    pub(super) absent: Vec<usize>,
}

/// Numbers in a plate.
struct Plate {
    text: String,
    width: f32,
    /// Where it points to.
    at: (f32, f32),
    /// Where its middle stands.
    x: f32,
}

/// From the plan's lengths to the place on paper.
struct Scale {
    left: Length,
    along: f32,
    across: f32,
    axis: f32,
}

impl Scale {
    fn of(outline: &Outline, height: f32) -> Self {
        let length = nm(outline.right - outline.left).max(1.0);
        let diameter = nm(outline.diameter).max(1.0);
        let along = (METAL_WIDTH / length).min(height / diameter);
        Self {
            left: outline.left,
            along,
            across: along.max(METAL_HEIGHT_LEAST / diameter),
            axis: 0.0,
        }
    }

    fn x(&self, at: Length) -> f32 {
        MARGIN + nm(at - self.left) * self.along
    }

    fn radius(&self, diameter: Length) -> f32 {
        nm(diameter) * self.across * 0.5
    }
}

/// Only for places on paper.
#[allow(clippy::cast_precision_loss)] // a picture is no measurement
fn nm(length: Length) -> f32 {
    length.units() as f32
}

/// Draws the outline of a sheet, if it has one: as large as it may be, or a little smaller so that
/// `below` begins on the page too, or as small as it takes to fit into the room; large where
/// nothing of that can be had.
pub(super) fn picture(faces: &Faces, sheet: &Sheet, room: f32, below: f32) -> Option<Picture> {
    /// What is left of the metal's height, at least, when it is drawn a little smaller.
    const A_LITTLE: f32 = 0.6;
    let outline = sheet.outline.as_ref()?;
    let large = drawn(faces, sheet, outline, METAL_HEIGHT);
    let metal = Scale::of(outline, METAL_HEIGHT).radius(outline.diameter) * 2.0;
    for (room, least) in [(room - below, metal * A_LITTLE), (room, 0.0)] {
        let height = metal - (large.height - room).max(0.0);
        if height >= metal {
            return Some(large);
        }
        if height >= least.max(METAL_HEIGHT_LEAST) {
            return Some(drawn(faces, sheet, outline, height));
        }
    }
    Some(large)
}

/// The picture with metal of that height.
fn drawn(faces: &Faces, sheet: &Sheet, outline: &Outline, height: f32) -> Picture {
    let mut scale = Scale::of(outline, height);
    let shift = (BODY_WIDTH - nm(outline.right - outline.left) * scale.along) * 0.5;
    let numbers = numbers(sheet, outline);
    let mut plates = Vec::new();
    let mut dimensions = Vec::new();
    for (feature, numbers) in numbers {
        let Some(segment) = shown_segment(outline, feature) else {
            continue;
        };
        let text = ranges(&numbers);
        let width = faces.width(&text, Weight::Bold, SMALL_SIZE) + 9.0;
        if segment.kind == SegmentKind::Length {
            dimensions.push((segment, text, width.max(PLATE)));
            continue;
        }
        let middle = beside_edges(outline, segment, &scale) + shift;
        let radius = scale.radius(segment.diameter_from.max(segment.diameter_to));
        plates.push(Plate {
            text,
            width: width.max(PLATE),
            at: (middle, -radius * 0.92),
            x: middle,
        });
    }
    let rows = spread(&mut plates);
    let half = scale.radius(outline.diameter);
    scale.axis = rows.len() as f32 * ROW + ABOVE_METAL + half;
    let mut ops = metal(outline, &scale, shift);
    for (row, plates) in rows.iter().enumerate() {
        let y = (rows.len() - 1 - row) as f32 * ROW + PLATE * 0.5;
        for plate in plates {
            ops.extend(leader(plate, y, scale.axis));
        }
    }
    for (row, plates) in rows.iter().enumerate() {
        let y = (rows.len() - 1 - row) as f32 * ROW + PLATE * 0.5;
        for plate in plates {
            ops.extend(plate_ops(faces, &plate.text, plate.x, y, plate.width));
        }
    }
    let below = scale.axis + half + BELOW_METAL;
    let depth = put_dimensions(faces, &dimensions, &scale, shift, below, &mut ops);
    let absent = sheet.asked.iter().filter(|asked| {
        let segment = shown_segment(outline, &asked.feature);
        !asked.is_drawn || segment.is_none()
    });
    Picture {
        height: below + depth as f32 * ROW,
        ops,
        absent: absent.map(|asked| asked.number).collect(),
    }
}

/// Numbers of each drawn feature, in the order of the numbers.
fn numbers<'s>(sheet: &'s Sheet, outline: &Outline) -> Vec<(&'s str, Vec<usize>)> {
    let mut found: BTreeMap<usize, (&str, Vec<usize>)> = BTreeMap::new();
    let mut first_of: BTreeMap<&str, usize> = BTreeMap::new();
    let is_shown =
        |asked: &&Asked| asked.is_drawn && shown_segment(outline, &asked.feature).is_some();
    for asked in sheet.asked.iter().filter(is_shown) {
        let first = *first_of.entry(&asked.feature).or_insert(asked.number);
        let entry = found.entry(first).or_insert((&asked.feature, Vec::new()));
        entry.1.push(asked.number);
    }
    found.into_values().collect()
}

/// The longest piece of a feature.
fn shown_segment<'o>(outline: &'o Outline, feature: &str) -> Option<&'o Segment> {
    let pieces = outline.segments.iter();
    let pieces = pieces.filter(|segment| {
        segment
            .feature
            .as_ref()
            .is_some_and(|id| id.as_str() == feature)
    });
    pieces.max_by_key(|segment| segment.to - segment.from)
}

/// `1, 3–5`.
pub(super) fn ranges(numbers: &[usize]) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for &number in numbers {
        match runs.last_mut() {
            Some((_, to)) if *to + 1 == number => *to = number,
            _ => runs.push((number, number)),
        }
    }
    let texts = runs.iter().map(|&(from, to)| match to - from {
        0 => from.to_string(),
        1 => format!("{from}, {to}"),
        _ => format!("{from}–{to}"),
    });
    texts.collect::<Vec<_>>().join(", ")
}

/// Moves the plates of a row apart so that none covers another and each stands as near to what it
/// points to as the others let it: those that touch stand together, around the middle of theirs.
fn side_by_side(row: &mut [Plate], gap: f32) {
    // Plates that touch: the first of them, their width with gaps, and where they would begin.
    let mut heaps: Vec<(usize, f32, f32)> = Vec::new();
    for (at, plate) in row.iter().enumerate() {
        let mut heap = (at, plate.width + gap, plate.at.0 - plate.width * 0.5);
        while let Some(&(first, width, left)) = heaps.last() {
            if left + width <= heap.2 {
                break;
            }
            heaps.pop();
            let (before, after) = ((heap.0 - first) as f32, (at + 1 - heap.0) as f32);
            // The mean of where each would begin, were it alone.
            let left = (left * before + (heap.2 - width) * after) / (before + after);
            heap = (first, width + heap.1, left);
        }
        heaps.push(heap);
    }
    let mut left_most = MARGIN;
    for (at, heap) in heaps.iter().enumerate() {
        let end = heaps.get(at + 1).map_or(row.len(), |next| next.0);
        let mut left = heap.2.max(left_most);
        for plate in row.iter_mut().take(end).skip(heap.0) {
            plate.x = left + plate.width * 0.5;
            left += plate.width + gap;
        }
        left_most = left;
    }
    let mut right = MARGIN + BODY_WIDTH;
    for plate in row.iter_mut().rev() {
        plate.x = plate.x.min(right - plate.width * 0.5);
        right = plate.x - plate.width * 0.5 - gap;
    }
}

/// Where the line of a number ends along the axis: the middle of its feature, or a little beside
/// it where an edge of the part lies so near that the line would be taken for it.
fn beside_edges(outline: &Outline, segment: &Segment, scale: &Scale) -> f32 {
    const NEAR: f32 = 3.0;
    let (from, to) = (scale.x(segment.from), scale.x(segment.to));
    let middle = (from + to) * 0.5;
    let others = outline.segments.iter();
    let others = others.filter(|one| one.kind != SegmentKind::Length);
    let edges: Vec<f32> = others
        .flat_map(|one| [scale.x(one.from), scale.x(one.to)])
        .collect();
    let is_free = |x: &f32| edges.iter().all(|edge| (edge - x).abs() > NEAR);
    let moves = [0.0, 0.12, -0.12, 0.24, -0.24];
    let mut places = moves.map(|share| middle + share * (to - from)).into_iter();
    places.find(is_free).unwrap_or(middle)
}

/// Rows of plates that do not overlap, the lowest first, in the order of what they point to.
fn spread(plates: &mut Vec<Plate>) -> Vec<Vec<Plate>> {
    const GAP: f32 = 3.0;
    plates.sort_by(|one, other| one.at.0.total_cmp(&other.at.0));
    let room = BODY_WIDTH;
    let whole: f32 = plates.iter().map(|plate| plate.width + GAP).sum();
    let mut count: usize = 1;
    while count < ROWS_MAX && whole > room * 0.9 * count as f32 {
        count += 1;
    }
    let mut rows: Vec<Vec<Plate>> = (0..count).map(|_| Vec::new()).collect();
    for (at, plate) in plates.drain(..).enumerate() {
        if let Some(row) = rows.get_mut(at % count) {
            row.push(plate);
        }
    }
    rows.retain(|row| !row.is_empty());
    for row in &mut rows {
        side_by_side(row, GAP);
    }
    rows
}

fn metal(outline: &Outline, scale: &Scale, shift: f32) -> Vec<Op> {
    let mut ops = Vec::new();
    let axis = scale.axis;
    let of = |kind| {
        outline
            .segments
            .iter()
            .filter(move |segment| segment.kind == kind)
    };
    for segment in of(SegmentKind::Outside) {
        let (from, to) = (scale.x(segment.from) + shift, scale.x(segment.to) + shift);
        let (first, last) = (
            scale.radius(segment.diameter_from),
            scale.radius(segment.diameter_to),
        );
        ops.push(Op::Shape {
            points: vec![
                (from, axis - first),
                (to, axis - last),
                (to, axis + last),
                (from, axis + first),
            ],
            fill: Some(Ink::Tint),
            edge: Some((0.9, Ink::Black)),
        });
        ops.extend(root(segment, scale, (from, to)));
    }
    for segment in of(SegmentKind::Bore) {
        let (from, to) = (scale.x(segment.from) + shift, scale.x(segment.to) + shift);
        let (first, last) = (
            scale.radius(segment.diameter_from),
            scale.radius(segment.diameter_to),
        );
        let hidden = |from, to| Op::Rule {
            from,
            to,
            width: 0.7,
            ink: Ink::Black,
            dash: Some(2.5),
        };
        ops.push(hidden((from, axis - first), (to, axis - last)));
        ops.push(hidden((from, axis + first), (to, axis + last)));
        ops.push(hidden((from, axis - first), (from, axis + first)));
        ops.push(hidden((to, axis - last), (to, axis + last)));
        ops.extend(root(segment, scale, (from, to)));
    }
    let ends = (
        scale.x(outline.left) + shift,
        scale.x(outline.right) + shift,
    );
    ops.push(Op::Rule {
        from: (ends.0 - 10.0, axis),
        to: (ends.1 + 10.0, axis),
        width: 0.4,
        ink: Ink::Grey,
        dash: Some(6.0),
    });
    ops
}

/// The root of a thread: a thin line on each side.
fn root(segment: &Segment, scale: &Scale, (from, to): (f32, f32)) -> Vec<Op> {
    let Some(diameter) = segment.thread_root else {
        return Vec::new();
    };
    let radius = scale.radius(diameter);
    let line = |y: f32| Op::rule((from, y), (to, y), 0.4, Ink::Black);
    vec![line(scale.axis - radius), line(scale.axis + radius)]
}

/// The line from a plate to what it numbers, with a dot at its end.
fn leader(plate: &Plate, y: f32, axis: f32) -> Vec<Op> {
    let (x, up) = plate.at;
    let end = (x, axis + up);
    let dot = Op::Pill {
        left: x - 1.3,
        top: end.1 - 1.3,
        width: 2.6,
        height: 2.6,
        fill: Ink::Black,
        edge: None,
    };
    vec![Op::rule((plate.x, y), end, 0.5, Ink::Black), dot]
}

fn plate_ops(faces: &Faces, text: &str, x: f32, y: f32, width: f32) -> Vec<Op> {
    let line = faces.line(text, Weight::Bold, SMALL_SIZE);
    let pill = Op::Pill {
        left: x - width * 0.5,
        top: y - PLATE * 0.5,
        width,
        height: PLATE,
        fill: Ink::White,
        edge: Some((0.7, Ink::Black)),
    };
    let text = Op::Text {
        x: x - line.width * 0.5,
        y: y - leading(SMALL_SIZE) * 0.5 + base(SMALL_SIZE),
        line,
        ink: Ink::Black,
    };
    vec![pill, text]
}

/// Length of a dimension's arrow, and of the line behind one that comes from outside.
const ARROW: f32 = 5.0;
const TAIL: f32 = 9.0;

/// Dimensions along the axis, each in the first row where it finds room; how many rows.
fn put_dimensions(
    faces: &Faces,
    dimensions: &[(&Segment, String, f32)],
    scale: &Scale,
    shift: f32,
    below: f32,
    ops: &mut Vec<Op>,
) -> usize {
    let mut rows: Vec<Vec<(f32, f32)>> = Vec::new();
    for (segment, text, width) in dimensions {
        let (from, to) = (scale.x(segment.from) + shift, scale.x(segment.to) + shift);
        // Where the plate and two arrows have no room between, the arrows come from outside, and
        // the plate stands beside them.
        let is_narrow = to - from < width + 2.0 * ARROW + 2.0;
        let (first, last, middle) = match is_narrow {
            true => (from - TAIL, to + TAIL, to + TAIL + width * 0.5),
            false => (from, to, (from + to) * 0.5),
        };
        let left = first - 2.0;
        let right = last.max(middle + width * 0.5) + 2.0;
        let arrow = if is_narrow { -ARROW } else { ARROW };
        let is_free = |row: &Vec<(f32, f32)>| {
            row.iter()
                .all(|&(taken_from, taken_to)| right < taken_from || left > taken_to)
        };
        let row = rows.iter().position(is_free).unwrap_or(rows.len());
        let row = row.min(ROWS_MAX - 1);
        match rows.get_mut(row) {
            Some(taken) => taken.push((left, right)),
            None => rows.push(vec![(left, right)]),
        }
        let y = below + row as f32 * ROW;
        for x in [from, to] {
            ops.push(Op::rule((x, scale.axis), (x, y + 3.0), 0.3, Ink::Grey));
        }
        ops.push(Op::rule((first, y), (last, y), 0.5, Ink::Black));
        for (tip, back) in [(from, arrow), (to, -arrow)] {
            ops.push(Op::Shape {
                points: vec![(tip, y), (tip + back, y - 1.5), (tip + back, y + 1.5)],
                fill: Some(Ink::Black),
                edge: None,
            });
        }
        ops.extend(plate_ops(faces, text, middle, y, *width));
    }
    rows.len()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::FeatureId;

    fn plates(ats: &[f32]) -> Vec<Plate> {
        let plate = |x: &f32| Plate {
            text: String::new(),
            width: 20.0,
            at: (*x, 0.0),
            x: *x,
        };
        ats.iter().map(plate).collect()
    }

    /// What is pointed at, in order; then where the plates stand: by hand from the rule that those
    /// which touch stand around the middle of theirs.
    #[test]
    fn plates_stand_side_by_side_as_near_as_they_may() {
        let right = MARGIN + BODY_WIDTH;
        for (ats, expected) in [
            (vec![100.0, 200.0], vec![100.0, 200.0]),
            (vec![150.0, 150.0, 150.0], vec![127.0, 150.0, 173.0]),
            (vec![100.0, 110.0, 300.0], vec![93.5, 116.5, 300.0]),
            // A third one pushes the two before it.
            (vec![100.0, 120.0, 130.0], vec![93.667, 116.667, 139.667]),
            (vec![0.0, 0.0], vec![MARGIN + 10.0, MARGIN + 33.0]),
            (vec![900.0, 900.0], vec![right - 33.0, right - 10.0]),
        ] {
            let mut row = plates(&ats);
            side_by_side(&mut row, 3.0);
            let found: Vec<f32> = row.iter().map(|plate| plate.x).collect();
            let is_near = |(one, other): (&f32, &f32)| (one - other).abs() < 0.01;
            let mut pairs = found.iter().zip(&expected);
            assert!(pairs.all(is_near), "{ats:?}: {found:?}, not {expected:?}");
        }
    }

    /// A dimension with room for its number has it between its ends; one without has it beside
    /// them, and its arrows come from outside.
    #[test]
    fn a_narrow_dimension_is_drawn_from_outside() {
        let faces = Faces::load().unwrap();
        let scale = Scale {
            left: Length::ZERO,
            along: 1.0 / 1e6,
            across: 1.0 / 1e6,
            axis: 0.0,
        };
        for (length, is_narrow) in [(100, false), (12, true)] {
            let segment = Segment {
                feature: Some(FeatureId::new("A")),
                from: Length::ZERO,
                to: Length::from_um(length * 1_000),
                diameter_from: Length::ZERO,
                diameter_to: Length::ZERO,
                thread_root: None,
                kind: SegmentKind::Length,
            };
            let dimensions = [(&segment, "7".to_owned(), 16.0)];
            let mut ops = Vec::new();
            put_dimensions(&faces, &dimensions, &scale, 0.0, 50.0, &mut ops);
            let end = scale.x(segment.to);
            let pill = ops.iter().find_map(|op| match op {
                Op::Pill { left, width, .. } => Some((*left, left + width)),
                _ => None,
            });
            let (left, right) = pill.unwrap();
            assert_eq!((left > end, right < end), (is_narrow, !is_narrow));
            // No arrow lies under the number.
            for op in &ops {
                if let Op::Shape { points, .. } = op {
                    let is_clear = points.iter().all(|(x, _)| *x < left || *x > right);
                    assert!(is_clear, "{points:?} {left} {right}");
                }
            }
        }
    }
}
