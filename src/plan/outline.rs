//! The shape of a part as far as its plan says it: what lies where along the axis, and how thick.
//!
//! A plan is no drawing, so the rules for what it leaves open are few and stand here:
//!
//! - an `outside` feature is a cylinder of its nominal diameter, an `inside` one a bore; limits
//!   without a nominal are drawn in their middle;
//! - where outside features overlap, the shorter one is seen (a groove in a seat, a collar on a
//!   shaft), of equally long ones the later; of overlapping bores the wider is seen;
//! - between and beside outside features the part is plain metal as thick as the thinner
//!   neighbour, and belongs to no feature; around a bore it leaves at least a wall;
//! - an angle between two known diameters runs from one to the other; at one known diameter it
//!   is the angle of the whole cone and gets thinner away from it. A chamfer has its angle to the
//!   axis, a radius is drawn as a chamfer of 45°;
//! - a thread is drawn by its basic profile, whatever of it is measured: the crest is what is
//!   seen, nominal outside and minor inside, and the root is a line (ISO 6410-1, from memory);
//! - lengths, steps, depths and slots are no metal but dimensions over their place;
//! - what has no place, no length or no size, and a diameter that nothing calls outside or
//!   inside, is not drawn.

use super::feature::{Characteristic, Feature, FeatureId};
use super::inspection::Plan;
use super::outline_profile::{covered, cut, diameter_at, filled};
use crate::quantity::{Angle, Exact, Length, Rounding};
use crate::tolerance::{Callout, EdgeKind, Surface, ThreadCallout, ThreadProfile, ThreadTables};

/// A wall around a bore of which nothing is known: this part of the bore's diameter on a side.
const WALL_DIVISOR: i64 = 4;

/// The drawn part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outline {
    /// Left end on the axis.
    pub left: Length,
    /// Right end; always right of the left one.
    pub right: Length,
    /// Largest diameter; always positive.
    pub diameter: Length,
    /// The outside from left to right without a gap, then bores from left to right, then
    /// dimensions in the plan's order. A feature that others interrupt has several segments.
    pub segments: Vec<Segment>,
    /// Features that are not drawn, in the plan's order.
    pub elsewhere: Vec<FeatureId>,
}

/// A piece of a feature, or of the metal between features.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Segment {
    /// The feature; none for plain metal, which the plan does not dimension.
    pub feature: Option<FeatureId>,
    /// Left end on the axis.
    pub from: Length,
    /// Right end; always right of the left one.
    pub to: Length,
    /// Diameter at the left end; zero for a dimension.
    pub diameter_from: Length,
    /// Diameter at the right end; the same unless it is a taper.
    pub diameter_to: Length,
    /// The diameter of a thread's root: outside the minor, inside the major one. None for what is
    /// no thread.
    pub thread_root: Option<Length>,
    /// What it is.
    pub kind: SegmentKind,
}

/// What a segment is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SegmentKind {
    /// Metal from the axis to the diameter.
    Outside,
    /// No metal inside the diameter.
    Bore,
    /// A dimension along the axis, not a shape.
    Length,
}

/// A cylinder, by the place of its feature in the plan.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cylinder {
    pub(super) feature: Option<usize>,
    pub(super) from: Length,
    pub(super) to: Length,
    pub(super) diameter_from: Length,
    pub(super) diameter_to: Length,
    pub(super) thread_root: Option<Length>,
}

/// A broken edge or a cone: how it lies, until its diameters are known.
struct Bevel {
    feature: usize,
    from: Length,
    to: Length,
    /// To the axis.
    slope: Angle,
}

#[derive(Default)]
struct Shapes {
    outside: Vec<Cylinder>,
    bores: Vec<Cylinder>,
    bevels: Vec<Bevel>,
    lengths: Vec<Cylinder>,
    elsewhere: Vec<FeatureId>,
}

impl Plan {
    /// The part's shape; none when no feature that has a place has a diameter.
    ///
    /// It is total: whatever a plan says, also one that no file could give, the answer is either
    /// none or a shape that can be drawn.
    pub fn outline(&self) -> Option<Outline> {
        let shapes = shapes(&self.features);
        let all = || {
            let cylinders = shapes.outside.iter().chain(&shapes.bores);
            let cylinders = cylinders.chain(&shapes.lengths).map(|c| (c.from, c.to));
            cylinders.chain(shapes.bevels.iter().map(|bevel| (bevel.from, bevel.to)))
        };
        if shapes.outside.is_empty() && shapes.bores.is_empty() {
            return None;
        }
        let left = all().map(|(from, _)| from).min()?;
        let right = all().map(|(_, to)| to).max()?;
        let bores = covered(&shapes.bores, |new, old| {
            (new.widest(), old.length()) > (old.widest(), new.length())
        });
        let outside = covered(&shapes.outside, |new, old| new.length() <= old.length());
        let mut outside = filled(&outside, &bores, left, right);
        for bevel in &shapes.bevels {
            outside = beveled(&outside, bevel);
        }
        let ends = outside.iter().chain(&bores);
        let diameter = ends.map(Cylinder::widest).max()?;
        let kinds = [
            (SegmentKind::Outside, &outside),
            (SegmentKind::Bore, &bores),
            (SegmentKind::Length, &shapes.lengths),
        ];
        let segments = kinds
            .into_iter()
            .flat_map(|(kind, list)| list.iter().map(move |one| self.segment(kind, one)));
        Some(Outline {
            left,
            right,
            diameter,
            segments: segments.collect(),
            elsewhere: shapes.elsewhere,
        })
    }

    fn segment(&self, kind: SegmentKind, cylinder: &Cylinder) -> Segment {
        let feature = cylinder.feature.and_then(|at| self.features.get(at));
        Segment {
            feature: feature.map(|feature| feature.id.clone()),
            from: cylinder.from,
            to: cylinder.to,
            diameter_from: cylinder.diameter_from,
            diameter_to: cylinder.diameter_to,
            thread_root: cylinder.thread_root,
            kind,
        }
    }
}

impl Cylinder {
    pub(super) fn length(&self) -> Length {
        self.to - self.from
    }

    /// Its largest diameter: of a thread the major one.
    pub(super) fn widest(&self) -> Length {
        let root = self.thread_root.unwrap_or(Length::ZERO);
        self.diameter_from.max(self.diameter_to).max(root)
    }
}

/// How thick plain metal is at least around a bore of that diameter.
pub(super) fn walled(bore: Length) -> Length {
    bore + bore.div_ceil(WALL_DIVISOR) * 2
}

fn shapes(features: &[Feature]) -> Shapes {
    let mut shapes = Shapes::default();
    for (at, feature) in features.iter().enumerate() {
        let one = feature.characteristics.first();
        let drawn = one.zip(place(feature)).and_then(|(one, (from, to))| {
            let cylinder = |diameter| Cylinder {
                feature: Some(at),
                from,
                to,
                diameter_from: diameter,
                diameter_to: diameter,
                thread_root: None,
            };
            if let Some(thread) = feature.thread() {
                let (crest, root) = crest_and_root(thread)?;
                let all = match thread.internal {
                    Some(_) => &mut shapes.bores,
                    None => &mut shapes.outside,
                };
                all.push(Cylinder {
                    thread_root: Some(root),
                    ..cylinder(crest)
                });
                return Some(());
            }
            if let Some(slope) = slope(&one.callout) {
                let feature = at;
                shapes.bevels.push(Bevel {
                    feature,
                    from,
                    to,
                    slope,
                });
                return Some(());
            }
            match one.surface? {
                Surface::Outside => shapes.outside.push(cylinder(size(one)?)),
                Surface::Inside => shapes.bores.push(cylinder(size(one)?)),
                Surface::Length | Surface::Step | Surface::Depth | Surface::Slot => {
                    shapes.lengths.push(cylinder(Length::ZERO));
                }
            }
            Some(())
        });
        if drawn.is_none() {
            shapes.elsewhere.push(feature.id.clone());
        }
    }
    shapes
}

impl Feature {
    /// The thread that it is, if it is one.
    fn thread(&self) -> Option<&ThreadCallout> {
        self.characteristics
            .iter()
            .find_map(|one| match &one.callout {
                Callout::Thread(thread) => Some(thread),
                _ => None,
            })
    }
}

/// What is seen of a thread, and its root: basic major and minor diameter, each where it lies.
/// None for a size that a picture cannot have.
fn crest_and_root(thread: &ThreadCallout) -> Option<(Length, Length)> {
    let nominal = thread.nominal;
    let pitch = thread
        .pitch
        .or_else(|| ThreadTables::standard().coarse_pitch(nominal))?;
    let is_sound = |length: Length| length > Length::ZERO && length <= Length::MAX;
    if !is_sound(nominal) || !is_sound(pitch) {
        return None;
    }
    let minor = ThreadProfile { nominal, pitch }.minor_diameter().printed();
    let (crest, root) = match thread.internal {
        Some(_) => (minor, nominal),
        None => (nominal, minor),
    };
    (minor > Length::ZERO && minor < nominal).then_some((crest, root))
}

/// From where to where, left end first; none without a place, without a length, or out of what
/// a length may be.
fn place(feature: &Feature) -> Option<(Length, Length)> {
    let (one, other) = feature.along?;
    let (from, to) = (one.min(other), one.max(other));
    let is_sound = from >= -Length::MAX && to <= Length::MAX && from < to;
    is_sound.then_some((from, to))
}

/// The diameter to draw: the nominal one, else the middle of the limits, else the only limit.
fn size(one: &Characteristic) -> Option<Length> {
    let limits = || {
        one.bounds()?
            .length()
            .map(|limits| (limits.lower(), limits.upper()))
    };
    let sound = |length: Length| length > Length::ZERO && length <= Length::MAX;
    let written = one.nominal.or_else(|| match limits()? {
        (Some(lower), Some(upper)) if sound(lower) && sound(upper) => {
            Some((lower + upper).div_half_even(2))
        }
        (lower, upper) => upper.or(lower),
    });
    written.filter(|length| sound(*length))
}

/// The angle to the axis of what is a cone or a broken edge.
fn slope(callout: &Callout) -> Option<Angle> {
    match callout {
        Callout::Angle(angle) => {
            let written = angle.indication.nominal().unwrap_or(Angle::ZERO);
            Some(Angle::from_units(written.units() / 2))
        }
        Callout::Edge(edge) => match edge.kind {
            EdgeKind::Chamfer { angle } => Some(angle),
            EdgeKind::Radius => Some(Angle::from_minutes(45 * 60)),
        },
        Callout::Size(_) | Callout::Fit(_) | Callout::Thread(_) => None,
    }
}

/// The outside with a bevel in it.
fn beveled(outside: &[Cylinder], bevel: &Bevel) -> Vec<Cylinder> {
    let under = cut(outside, bevel.from, bevel.to);
    let ends = |c: &Cylinder| c.diameter_from.max(c.diameter_to);
    let large = under.iter().map(ends).max().unwrap_or(Length::ZERO);
    let is_plain = under.iter().all(|c| c.feature.is_none());
    let (before, after) = diameter_at(outside, bevel.from, bevel.to);
    let drop = drop_over(bevel.to - bevel.from, bevel.slope).min(large);
    let small =
        |beside: Option<Length>| (large - drop).max(beside.unwrap_or(Length::ZERO).min(large));
    let (diameter_from, diameter_to) = match (before, after) {
        (Some(before), Some(after)) if is_plain && before != after => (before, after),
        (Some(before), Some(after)) if before == after => (large, large),
        (before, after) if before >= after => (large, small(after)),
        (before, _) => (small(before), large),
    };
    let cone = Cylinder {
        feature: Some(bevel.feature),
        from: bevel.from,
        to: bevel.to,
        diameter_from,
        diameter_to,
        thread_root: None,
    };
    let first = Length::from_nm(i64::MIN);
    let last = Length::from_nm(i64::MAX);
    let mut pieces = cut(outside, first, bevel.from);
    pieces.push(cone);
    pieces.extend(cut(outside, bevel.to, last));
    pieces
}

/// How much a diameter changes over a length at that angle to the axis: 2 l tan(a), of any
/// angle up to 80°, in whole micrometres: enough for a picture.
fn drop_over(length: Length, slope: Angle) -> Length {
    // Lambert's continued fraction tan x = x/(1 - x²/(3 - x²/(5 - ...))), in billionths.
    const ONE: i128 = 1_000_000_000;
    const PI: i128 = 3_141_592_654;
    const HALF_TURN_MAS: i128 = 180 * 3_600_000;
    const STEEPEST_MAS: i64 = 80 * 3_600_000;
    let mas = slope
        .units()
        .unsigned_abs()
        .min(STEEPEST_MAS.unsigned_abs());
    let x = i128::from(mas) * PI / HALF_TURN_MAS;
    let square = x * x / ONE;
    let mut below = 15 * ONE;
    for odd in [13, 11, 9, 7, 5, 3, 1] {
        below = odd * ONE - square * ONE / below.max(1);
    }
    let tangent = x * ONE / below.max(1);
    let drop = i128::from(length.units()) * 2 * tangent / ONE;
    let drop = Length::checked_nm(drop).unwrap_or(Length::MAX);
    drop.round_to(Length::from_um(1), Rounding::HalfEven)
}
