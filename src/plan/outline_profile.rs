//! Pieces of a profile along the axis: which of several is seen where, and what fills the gaps.

use super::outline::{Cylinder, walled};
use crate::quantity::{Exact, Length};

/// What is seen of cylinders that may overlap, from left to right, with gaps. `wins` says
/// whether a later one hides an earlier one where both lie.
pub(super) fn covered(
    cylinders: &[Cylinder],
    wins: impl Fn(&Cylinder, &Cylinder) -> bool,
) -> Vec<Cylinder> {
    let ends = cylinders.iter().flat_map(|one| [one.from, one.to]);
    let ends = sorted(ends.collect());
    let mut seen: Vec<Cylinder> = Vec::new();
    for pair in ends.windows(2) {
        let &[from, to] = pair else { continue };
        let lies = |one: &&Cylinder| one.from <= from && one.to >= to;
        let winner = cylinders
            .iter()
            .filter(lies)
            .reduce(|old, new| if wins(new, old) { new } else { old });
        let Some(winner) = winner else { continue };
        match seen.last_mut() {
            Some(last) if last.feature == winner.feature && last.to == from => last.to = to,
            _ => seen.push(Cylinder {
                from,
                to,
                ..*winner
            }),
        }
    }
    seen
}

/// The outside without gaps from `left` to `right`: plain metal between and beside `outside`,
/// split where a bore begins or ends inside it.
pub(super) fn filled(
    outside: &[Cylinder],
    bores: &[Cylinder],
    left: Length,
    right: Length,
) -> Vec<Cylinder> {
    let mut all = Vec::new();
    let mut at = left;
    let mut before = None;
    for one in outside {
        gap(
            &mut all,
            bores,
            (at, one.from),
            before,
            Some(one.diameter_from),
        );
        all.push(*one);
        (at, before) = (one.to, Some(one.diameter_to));
    }
    gap(&mut all, bores, (at, right), before, None);
    all
}

fn gap(
    all: &mut Vec<Cylinder>,
    bores: &[Cylinder],
    (from, to): (Length, Length),
    before: Option<Length>,
    after: Option<Length>,
) {
    if from >= to {
        return;
    }
    let beside = match (before, after) {
        (Some(before), Some(after)) => Some(before.min(after)),
        (one, other) => one.or(other),
    };
    // Without any outside the wall is the same all along.
    let widest = bores.iter().map(Cylinder::widest).max();
    let beside = beside.or(widest.map(walled)).unwrap_or(Length::ZERO);
    let inner = |end: &Length| from < *end && *end < to;
    let ends = bores.iter().flat_map(|bore| [bore.from, bore.to]);
    let mut ends: Vec<Length> = ends.filter(inner).collect();
    ends.extend([from, to]);
    for pair in sorted(ends).windows(2) {
        let &[from, to] = pair else { continue };
        let bore = bores.iter().find(|bore| bore.from < to && bore.to > from);
        let diameter = match bore {
            Some(bore) if bore.widest() >= beside => walled(bore.widest()),
            _ => beside,
        };
        match all.last_mut() {
            Some(last)
                if last.feature.is_none() && last.to == from && last.diameter_to == diameter =>
            {
                last.to = to;
            }
            _ => all.push(Cylinder {
                feature: None,
                from,
                to,
                diameter_from: diameter,
                diameter_to: diameter,
                thread_root: None,
            }),
        }
    }
}

/// The pieces between two places.
pub(super) fn cut(profile: &[Cylinder], from: Length, to: Length) -> Vec<Cylinder> {
    let pieces = profile.iter().filter(|one| one.from < to && one.to > from);
    let pieces = pieces.map(|one| {
        let (start, end) = (one.from.max(from), one.to.min(to));
        Cylinder {
            from: start,
            to: end,
            diameter_from: between(one, start),
            diameter_to: between(one, end),
            ..*one
        }
    });
    pieces.collect()
}

/// The diameters just before `from` and just after `to`; none where there is no metal.
pub(super) fn diameter_at(
    profile: &[Cylinder],
    from: Length,
    to: Length,
) -> (Option<Length>, Option<Length>) {
    let before = profile.iter().find(|one| one.from < from && one.to >= from);
    let after = profile.iter().find(|one| one.from <= to && one.to > to);
    (
        before.map(|one| between(one, from)),
        after.map(|one| between(one, to)),
    )
}

/// The diameter of a cone at a place inside it.
fn between(one: &Cylinder, at: Length) -> Length {
    let length = i128::from(one.length().units()).max(1);
    let part = i128::from((at - one.from).units());
    let change = i128::from((one.diameter_to - one.diameter_from).units());
    let diameter = i128::from(one.diameter_from.units()) + change * part / length;
    i64::try_from(diameter).map_or(one.diameter_from, Length::from_nm)
}

fn sorted(mut ends: Vec<Length>) -> Vec<Length> {
    ends.sort_unstable();
    ends.dedup();
    ends
}
