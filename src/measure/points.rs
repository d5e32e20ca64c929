//! Several points of one characteristic: the verdict is on the worst.

use std::fmt;

use super::{Judgement, Side, VerdictWord};
use crate::quantity::Length;

/// One judged point of a characteristic.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Which point, counted from 1; the place on the part.
    pub place: u32,
    /// The measured value there.
    pub value: Length,
    /// Its verdict.
    pub judgement: Judgement,
}

/// What several points come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointsJudgement {
    /// The verdict; none while every point so far is GO and points are wanting.
    pub verdict: Option<VerdictWord>,
    /// The point that decides: the one nearest to being bad, or the worst of the bad ones.
    pub worst: Point,
    /// The smallest value with its place.
    pub smallest: Point,
    /// The largest value with its place.
    pub largest: Point,
    /// How many points are inside their limits.
    pub inside: u32,
    /// How many have been measured.
    pub taken: u32,
    /// How many are wanted.
    pub wanted: u32,
}

impl PointsJudgement {
    /// Largest less smallest: the ovality of points around a diameter.
    ///
    /// Formula: f = largest - smallest
    /// Symbols: two-point sizes at one section.
    /// Valid:   even-lobed forms only: two-point sizes do not see odd lobes.
    /// Rounding: none.
    /// Source:  definition.
    /// Checked: tests/logic/measure_points.rs.
    /// Errors:  none.
    pub fn ovality(&self) -> Length {
        self.largest.value - self.smallest.value
    }
}

/// `inside, 2 of 3`.
impl fmt::Display for PointsJudgement {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.verdict {
            Some(verdict) => f.write_str(verdict.word()),
            None => write!(f, "inside, {} of {}", self.taken, self.wanted),
        }
    }
}

/// What the points so far come to; none without a point. NO-GO and DOUBT are said at once; GO
/// only when all wanted points are measured and every one of them, so both extremes, is GO.
pub fn judged_points(points: &[Point], wanted: u32) -> Option<PointsJudgement> {
    let worst = points.iter().copied().reduce(|known, next| {
        if badness(&next) > badness(&known) {
            next
        } else {
            known
        }
    })?;
    let smallest = points.iter().copied().min_by_key(|point| point.value)?;
    // The first of equal ones, like the smallest.
    let largest = points
        .iter()
        .rev()
        .copied()
        .max_by_key(|point| point.value)?;
    let inside = points
        .iter()
        .filter(|point| point.judgement.side == Side::Inside)
        .count();
    let taken = u32::try_from(points.len()).ok()?;
    let verdict = match worst.judgement.verdict {
        VerdictWord::Go if taken < wanted => None,
        settled => Some(settled),
    };
    Some(PointsJudgement {
        verdict,
        worst,
        smallest,
        largest,
        inside: u32::try_from(inside).ok()?,
        taken,
        wanted,
    })
}

/// Larger is worse: NO-GO before DOUBT before GO; metal gone before any other side; then the
/// further beyond a limit, or the nearer to it.
fn badness(point: &Point) -> (u8, Length) {
    let judgement = &point.judgement;
    let rank = match (judgement.verdict, judgement.side) {
        (VerdictWord::Go, _) => 0,
        (VerdictWord::Doubt, _) => 1,
        (VerdictWord::NoGo, Side::MetalGone) => 3,
        (VerdictWord::NoGo, _) => 2,
    };
    let depth = if judgement.side == Side::Inside {
        -judgement.to_nearest_limit.abs()
    } else {
        judgement.beyond
    };
    (rank, depth)
}

/// How much the value grows from the first place to the last: the taper of points along an axis,
/// on the diameter. None for fewer than two points.
///
/// Formula: f = value at the last place - value at the first place
/// Symbols: places by their number.
/// Valid:   points measured along one line.
/// Rounding: none.
/// Source:  definition.
/// Checked: tests/logic/measure_points.rs.
/// Errors:  none.
pub fn taper_of_points(points: &[Point]) -> Option<Length> {
    let first = points.iter().min_by_key(|point| point.place)?;
    let last = points.iter().max_by_key(|point| point.place)?;
    (points.len() >= 2).then(|| last.value - first.value)
}
