//! What moves on: whether a reading settles its point, or the next reading of it is awaited. Pure.

use super::state::{Characteristic, Part, Point, State};
use crate::journal::{Outcome, Place, SessionOpened};
use crate::measure::{Side, VerdictWord};

/// What moves on.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Advance {
    /// Only what is good; after anything else the next reading repeats the point.
    #[default]
    Go,
    /// All but a NO-GO that metal can still be taken off: the next reading of that point measures
    /// it after the cut, and what was read before is no repeat of it. Of a part with metal gone
    /// somewhere all of it moves on: nobody cuts what is lost.
    Rework,
    /// Everything.
    Always,
}

impl Advance {
    /// As a session was opened.
    pub(super) fn of(opened: &SessionOpened) -> Self {
        match (opened.advance_always, opened.advance_rework) {
            (true, _) => Self::Always,
            (false, true) => Self::Rework,
            (false, false) => Self::Go,
        }
    }

    /// Whether a point that came to this needs no further reading on a part that `is_lost`.
    fn settles(self, point: &Point, is_lost: bool) -> bool {
        if point.is_in_doubt {
            return false;
        }
        match (point.outcome, self) {
            (None, _) => false,
            (Some(Outcome::Inside | Outcome::Noted | Outcome::Verdict(VerdictWord::Go)), _) => true,
            (Some(Outcome::Verdict(_)), Self::Go) => false,
            (Some(Outcome::Verdict(_)), Self::Rework) => is_lost || !point.can_be_cut(),
            (Some(Outcome::Verdict(_)), Self::Always) => true,
        }
    }
}

impl Point {
    fn is_no_go(&self, side: Side) -> bool {
        let is_no_go = self.outcome == Some(Outcome::Verdict(VerdictWord::NoGo));
        is_no_go && self.side == Some(side) && !self.is_in_doubt
    }

    /// Whether it is NO-GO, and metal can still be taken off.
    fn can_be_cut(&self) -> bool {
        self.is_no_go(Side::MetalOn)
    }
}

impl Part {
    /// Whether metal is gone somewhere on it.
    fn is_lost(&self) -> bool {
        let mut points = self.characteristics.iter().flat_map(|one| &one.points);
        points.any(|point| point.is_no_go(Side::MetalGone))
    }
}

impl State {
    /// The first point of a characteristic of a part that still needs a reading, from 0; the last
    /// one when none does.
    pub(super) fn next_point(&self, part: &Part, one: &Characteristic) -> usize {
        let (advance, is_lost) = (self.setup.advance, self.is_given_up(part));
        let mut points = one.points.iter();
        let open = points.position(|point| !advance.settles(point, is_lost));
        open.unwrap_or_else(|| one.points.len().saturating_sub(1))
    }

    /// Whether every point of a characteristic of a part has come to something that settles it.
    pub(super) fn is_settled_by_points(&self, part: &Part, one: &Characteristic) -> bool {
        let is_lost = self.is_given_up(part);
        let mut points = one.points.iter();
        points.all(|point| self.setup.advance.settles(point, is_lost))
    }

    /// Whether the next reading of that place is awaited after a cut: metal can be taken off, and
    /// the session waits for that.
    pub fn awaits_cut(&self, place: &Place) -> bool {
        if self.setup.advance != Advance::Rework {
            return false;
        }
        let at = self.setup.target_index(&place.feature, &place.element);
        let Some((at, part)) = at.zip(self.part(place.part)) else {
            return false;
        };
        let point = usize::from(place.point).checked_sub(1);
        let one = part.characteristics.get(at);
        let point = point.and_then(|point| one?.points.get(point));
        !part.is_lost() && point.is_some_and(Point::can_be_cut)
    }

    /// Whether nobody waits for a cut on that part.
    fn is_given_up(&self, part: &Part) -> bool {
        self.setup.advance == Advance::Rework && part.is_lost()
    }
}
