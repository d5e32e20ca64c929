//! The part's outline as a picture: the outside above the axis, the section below it, with the
//! numbers of the characteristics in balloons. Line widths and section lines in the manner of
//! ISO 128, threads of ISO 6410-1 (both from memory): visible edges wide, everything else narrow.
//!
//! Coordinates are whole hundredths of a millimetre on paper, written as millimetres. Black on
//! white alone.

use super::html_balloons::{COLUMNS_MAX, PITCH, RADIUS, Span, lanes, stands};
use super::outline_svg_metal::{Frame, metal};
use crate::plan::{Outline, Segment, SegmentKind};
use crate::quantity::Exact;

/// Width of the picture on paper.
const WIDTH: i64 = 18_000;
/// Above and below everything.
const MARGIN: i64 = 150;
/// Beside the part, for what stands beyond its ends.
const SIDE: i64 = 1_200;
/// The most that the part takes across.
const BODY_MAX: i64 = 6_500;
/// The least that it takes along and across; then the two have different scales.
const BODY_MIN: i64 = 1_800;
/// Between the part and the first row of balloons, where leaders run aslant.
const STRIP: i64 = 500;
/// From one lane of dimensions to the next.
const LANE: i64 = 2 * RADIUS + 150;
/// Length of an arrow head.
const ARROW: i64 = 250;
/// Numbers that share one leader.
const STACK_MAX: usize = 12;
/// Numbers on one dimension line.
const CHAIN_MAX: usize = 8;
/// Lanes of dimension lines; what comes after them is listed in words.
const LANES_MAX: usize = 40;

/// A picture and what is in it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Drawing {
    /// The `svg` element.
    pub(super) svg: String,
    /// The numbers that have a balloon, ascending.
    pub(super) numbers: Vec<usize>,
    /// Lengths and diameters have different scales.
    pub(super) is_distorted: bool,
}

/// The balloons of one feature.
struct Group {
    x: i64,
    y: i64,
    numbers: Vec<usize>,
}

/// Draws the outline; `asked` gives each characteristic's number and feature. `title` is read
/// aloud in the picture's place and must be escaped.
pub(super) fn outline_svg(outline: &Outline, asked: &[(usize, &str)], title: &str) -> Drawing {
    let (mut frame, is_distorted) = framed(outline);
    let above = groups(outline, asked, SegmentKind::Outside, &frame);
    let below = groups(outline, asked, SegmentKind::Bore, &frame);
    let (tops, bottoms) = (rows(&above), rows(&below));
    let half = frame.across / 2;
    frame.axis = MARGIN + tops.height.max(300) + half;
    let mut numbers = Vec::new();
    let mut body = metal(outline, &frame);
    for (groups, rows, side) in [(&above, &tops, -1), (&below, &bottoms, 1)] {
        let edge = frame.axis + side * half;
        for (group, (x, offset)) in groups.iter().zip(&rows.places) {
            let at = Column {
                x: *x,
                edge,
                side,
                offset: *offset,
            };
            body += &at.painted(group, &frame);
            numbers.extend(&group.numbers);
        }
    }
    let base = frame.axis + half + bottoms.height.max(150);
    let (lines, lanes) = dimensions(outline, asked, &frame, base, &mut numbers);
    body += &lines;
    numbers.sort_unstable();
    let tall = base + lanes * LANE + MARGIN;
    let svg = format!(
        "<svg class=\"outline\" role=\"img\" \
         viewBox=\"0 0 {} {}\" font-family=\"Helvetica, Arial, sans-serif\">\
         <title>{title}</title>\n{body}</svg>",
        mm(WIDTH),
        mm(tall),
    );
    Drawing {
        svg,
        numbers,
        is_distorted,
    }
}

/// Hundredths of a millimetre as millimetres.
pub(super) fn mm(hundredths: i64) -> String {
    let sign = if hundredths < 0 { "-" } else { "" };
    let size = hundredths.unsigned_abs();
    format!("{sign}{}.{:02}", size / 100, size % 100)
}

/// Where the part lies on the paper; its axis is not known yet.
fn framed(outline: &Outline) -> (Frame, bool) {
    let long = i128::from((outline.right - outline.left).units()).max(1);
    let thick = i128::from(outline.diameter.units()).max(1);
    let (most, high) = (i128::from(WIDTH - 2 * SIDE), i128::from(BODY_MAX));
    let (along, across) = match long * high >= thick * most {
        true => (most, most * thick / long),
        false => (high * long / thick, high),
    };
    let least = i128::from(BODY_MIN);
    let is_distorted = along < least || across < least;
    let fitted = |size: i128| i64::try_from(size.max(least)).unwrap_or(BODY_MIN);
    let (along, across) = (fitted(along), fitted(across));
    let frame = Frame {
        outline_left: outline.left,
        outline_length: long,
        outline_diameter: thick,
        left: (WIDTH - along) / 2,
        along,
        across,
        axis: 0,
    };
    (frame, is_distorted)
}

/// The numbers of each feature that has a piece of that kind, at the middle of its longest one,
/// from left to right.
fn groups(
    outline: &Outline,
    asked: &[(usize, &str)],
    kind: SegmentKind,
    frame: &Frame,
) -> Vec<Group> {
    let mut longest: Vec<(&str, &Segment)> = Vec::new();
    for segment in outline.segments.iter().filter(|one| one.kind == kind) {
        let Some(id) = segment.feature.as_ref().map(|id| id.as_str()) else {
            continue;
        };
        match longest.iter_mut().find(|(other, _)| *other == id) {
            Some((_, other)) if other.to - other.from >= segment.to - segment.from => {}
            Some((_, other)) => *other = segment,
            None => longest.push((id, segment)),
        }
    }
    let mut all: Vec<Group> = longest
        .into_iter()
        .map(|(id, segment)| {
            let x = (frame.x(segment.from) + frame.x(segment.to)) / 2;
            let radius =
                (frame.radius(segment.diameter_from) + frame.radius(segment.diameter_to)) / 2;
            // In a bore the leader ends in the void, not at the wall.
            let y = match kind {
                SegmentKind::Bore => radius * 6 / 10,
                SegmentKind::Outside | SegmentKind::Length => radius,
            };
            let numbers = numbers_of(asked, id, STACK_MAX);
            Group { x, y, numbers }
        })
        .filter(|group| !group.numbers.is_empty())
        .collect();
    all.truncate(COLUMNS_MAX);
    all.sort_by_key(|group| group.x);
    all
}

fn numbers_of(asked: &[(usize, &str)], feature: &str, most: usize) -> Vec<usize> {
    let own = asked.iter().filter(|(_, id)| *id == feature);
    own.map(|(number, _)| *number).take(most).collect()
}

/// Where the columns of one side stand.
struct Rows {
    /// For each group the middle of its column, and how far its first balloon is from the part.
    places: Vec<(i64, i64)>,
    /// What they take beside the part.
    height: i64,
}

fn rows(groups: &[Group]) -> Rows {
    let anchors: Vec<i64> = groups.iter().map(|group| group.x).collect();
    let stands = stands(&anchors, RADIUS + 150, WIDTH - RADIUS - 150);
    let count = stands.iter().map(|stand| stand.tier + 1).max().unwrap_or(0);
    let mut height = if count == 0 { 0 } else { STRIP };
    let mut starts = Vec::with_capacity(count);
    for row in 0..count {
        let of_row = stands
            .iter()
            .zip(groups)
            .filter(|(stand, _)| stand.tier == row);
        let most = of_row.map(|(_, group)| group.numbers.len()).max();
        starts.push(height + RADIUS);
        height += size_of(most.unwrap_or(0)) * 2 * RADIUS + PITCH - 2 * RADIUS;
    }
    let places = stands.iter().map(|stand| {
        let start = starts.get(stand.tier).copied();
        (stand.x, start.unwrap_or(STRIP + RADIUS))
    });
    Rows {
        places: places.collect(),
        height,
    }
}

/// A small count as a size on paper.
fn size_of(count: usize) -> i64 {
    i64::try_from(count).unwrap_or(0)
}

/// A column of balloons above (`side` -1) or below (1) the part, with its leader.
struct Column {
    x: i64,
    /// Where the part ends on that side.
    edge: i64,
    side: i64,
    offset: i64,
}

impl Column {
    fn painted(&self, group: &Group, frame: &Frame) -> String {
        let first = self.edge + self.side * self.offset;
        let target = frame.axis + self.side * group.y;
        let points = [
            (self.x, first),
            (self.x, self.edge + self.side * STRIP),
            (group.x, self.edge),
            (group.x, target),
        ];
        let path: Vec<String> = points
            .iter()
            .map(|(x, y)| format!("{},{}", mm(*x), mm(*y)))
            .collect();
        let mut text = format!(
            "<polyline points=\"{}\" fill=\"none\" stroke=\"#000\" stroke-width=\"0.2\" />\n",
            path.join(" ")
        );
        // ISO 128-22, from memory: a dot inside an outline, an arrow on it.
        text += &match self.side {
            1 => format!(
                "<circle cx=\"{}\" cy=\"{}\" r=\"0.5\" />\n",
                mm(group.x),
                mm(target)
            ),
            _ => arrow((group.x, target), (0, -ARROW)),
        };
        for (at, number) in group.numbers.iter().enumerate() {
            let away = size_of(at) * 2 * RADIUS;
            text += &balloon(self.x, first + self.side * away, *number);
        }
        text
    }
}

/// A slim arrow head with its point there, opening towards `back`.
fn arrow(point: (i64, i64), back: (i64, i64)) -> String {
    let (x, y) = point;
    let (dx, dy) = back;
    let corners = [
        (x, y),
        (x + dx - dy / 5, y + dy + dx / 5),
        (x + dx + dy / 5, y + dy - dx / 5),
    ];
    let path: Vec<String> = corners
        .iter()
        .map(|(x, y)| format!("{},{}", mm(*x), mm(*y)))
        .collect();
    format!("<polygon points=\"{}\" />\n", path.join(" "))
}

fn balloon(x: i64, y: i64, number: usize) -> String {
    let (size, drop) = match number {
        0..=99 => (340, 120),
        100..=999 => (270, 95),
        _ => (200, 70),
    };
    format!(
        "<g class=\"balloon\"><circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"#fff\" stroke=\"#000\" \
         stroke-width=\"0.25\" /><text x=\"{}\" y=\"{}\" font-size=\"{}\" \
         text-anchor=\"middle\">{number}</text></g>\n",
        mm(x),
        mm(y),
        mm(RADIUS),
        mm(x),
        mm(y + drop),
        mm(size),
    )
}

/// A dimension along the axis.
struct Dimension {
    left: i64,
    right: i64,
    /// The middle of the first balloon.
    first: i64,
    numbers: Vec<usize>,
}

impl Dimension {
    /// The numbers stand on the line where it is long enough, else beside it.
    fn new(left: i64, right: i64, numbers: Vec<usize>) -> Self {
        let chain = size_of(numbers.len()) * 2 * RADIUS;
        let reach = 2 * ARROW;
        let start = if right - left >= chain + 2 * reach + 100 {
            (left + right - chain) / 2
        } else if right + reach + chain <= WIDTH - 100 {
            right + reach
        } else {
            (left - reach - chain).max(100)
        };
        Self {
            left,
            right,
            first: start + RADIUS,
            numbers,
        }
    }

    fn is_inside(&self) -> bool {
        let (from, to) = self.chain();
        from >= self.left && to <= self.right
    }

    fn chain(&self) -> (i64, i64) {
        let from = self.first - RADIUS;
        (from, from + size_of(self.numbers.len()) * 2 * RADIUS)
    }

    fn span(&self) -> Span {
        let (from, to) = self.chain();
        let reach = if self.is_inside() { 0 } else { 2 * ARROW };
        Span {
            from: from.min(self.left - reach),
            to: to.max(self.right + reach),
        }
    }

    fn extensions(&self, frame: &Frame, outline: &Outline, y: i64) -> String {
        let mut text = String::new();
        for x in [self.left, self.right] {
            let from = frame.axis + radius_at(outline, frame, x) + 100;
            text += &line((x, from.min(y)), (x, y + 150));
        }
        text
    }

    fn painted(&self, y: i64) -> String {
        let span = match self.is_inside() {
            true => (self.left, self.right),
            false => (self.span().from, self.span().to),
        };
        let outward = if self.is_inside() { ARROW } else { -ARROW };
        let mut text = line((span.0, y), (span.1, y));
        text += &arrow((self.left, y), (outward, 0));
        text += &arrow((self.right, y), (-outward, 0));
        for (at, number) in self.numbers.iter().enumerate() {
            text += &balloon(self.first + size_of(at) * 2 * RADIUS, y, *number);
        }
        text
    }
}

fn line(from: (i64, i64), to: (i64, i64)) -> String {
    format!(
        "<path d=\"M{},{}L{},{}\" fill=\"none\" stroke=\"#000\" stroke-width=\"0.2\" />\n",
        mm(from.0),
        mm(from.1),
        mm(to.0),
        mm(to.1)
    )
}

/// The largest radius of the outside at a place on the paper.
fn radius_at(outline: &Outline, frame: &Frame, x: i64) -> i64 {
    let outside = outline
        .segments
        .iter()
        .filter(|one| one.kind == SegmentKind::Outside);
    let near = outside.flat_map(|one| {
        let ends = [(one.from, one.diameter_from), (one.to, one.diameter_to)];
        let is_over = frame.x(one.from) <= x + 1 && frame.x(one.to) >= x - 1;
        ends.into_iter().filter(move |_| is_over)
    });
    let radii = near.map(|(_, diameter)| frame.radius(diameter));
    radii.max().unwrap_or(0)
}

/// The dimension lines below the part, and how many lanes they take.
fn dimensions(
    outline: &Outline,
    asked: &[(usize, &str)],
    frame: &Frame,
    base: i64,
    shown: &mut Vec<usize>,
) -> (String, i64) {
    let lengths = outline
        .segments
        .iter()
        .filter(|one| one.kind == SegmentKind::Length);
    let mut all: Vec<Dimension> = lengths
        .filter_map(|one| {
            let id = one.feature.as_ref()?;
            let numbers = numbers_of(asked, id.as_str(), CHAIN_MAX);
            let found = !numbers.is_empty();
            found.then(|| Dimension::new(frame.x(one.from), frame.x(one.to), numbers))
        })
        .collect();
    // The shorter ones are nearer to the part, so that fewer lines are crossed.
    all.sort_by_key(|one| (one.right - one.left, one.left));
    let spans: Vec<Span> = all.iter().map(Dimension::span).collect();
    let lanes = lanes(&spans, 100);
    let (mut extensions, mut lines, mut count) = (String::new(), String::new(), 0);
    for (one, lane) in all.iter().zip(lanes) {
        if lane >= LANES_MAX {
            continue;
        }
        count = count.max(lane + 1);
        let y = base + size_of(lane) * LANE + LANE / 2;
        extensions += &one.extensions(frame, outline, y);
        lines += &one.painted(y);
        shown.extend(&one.numbers);
    }
    (extensions + &lines, size_of(count))
}
