//! Which of many holes takes which of many shafts.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::quantity::Length;

/// One hole with its shaft, by their places in the lists that were given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PairOf {
    /// The hole.
    pub hole: usize,
    /// The shaft.
    pub shaft: usize,
    /// Hole less shaft.
    pub clearance: Length,
}

/// Why a part has no other half.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeftOver {
    /// There are more of its kind than of the other.
    NoOther,
    /// Every part of the other kind that is free makes too little clearance with it.
    TooTight,
    /// Every part of the other kind that is free makes too much clearance with it.
    TooLoose,
    /// Some that are free make too much clearance with it and the others too little.
    NoneBetween,
}

/// Holes and shafts put together.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Pairing {
    /// The pairs, by the holes' sizes, the smallest first.
    pub pairs: Vec<PairOf>,
    /// Holes without a shaft, by size.
    pub holes_left: Vec<(usize, LeftOver)>,
    /// Shafts without a hole, by size.
    pub shafts_left: Vec<(usize, LeftOver)>,
}

impl LeftOver {
    /// The word in JSON.
    pub fn code(self) -> &'static str {
        match self {
            Self::NoOther => "no_other_half",
            Self::TooTight => "too_tight",
            Self::TooLoose => "too_loose",
            Self::NoneBetween => "none_between",
        }
    }
}

/// As many pairs as there can be, their clearances as near to the wanted one as they can be all
/// together.
///
/// Formula: least sum of |hole - shaft - wanted| over all pairings of the fewer with the more
/// Symbols: sizes and wanted clearance (nm, exact).
/// Valid:   any sizes. As many of each: the smallest with the smallest, which is the least sum of
///          every convex cost as well. Else the ones left over are those whose absence makes the
///          sum least.
/// Rounding: none.
/// Source:  order of sizes: exchange of two crossing pairs never makes a convex sum larger
///          (G. H. Hardy, J. E. Littlewood, G. Polya, Inequalities, 1934, from memory); choice of
///          the ones left over: successive shortest paths on a line, each step with its undoing.
/// Checked: tests/logic/batch_pairing.rs (every pairing of small lists).
/// Errors:  none.
pub fn nearest_pairing(holes: &[Length], shafts: &[Length], wanted: Length) -> Pairing {
    let (holes, shafts) = (by_size(holes), by_size(shafts));
    let steps = |list: &[(usize, Length)], less: Length| -> Vec<i64> {
        list.iter()
            .map(|(_, size)| (*size - less).as_nm())
            .collect()
    };
    // A hole goes with the shaft that is smaller by the wanted clearance.
    let (at_holes, at_shafts) = (steps(&holes, wanted), steps(&shafts, Length::ZERO));
    let (used_holes, used_shafts) = match at_holes.len() <= at_shafts.len() {
        true => (vec![true; holes.len()], chosen(&at_holes, &at_shafts)),
        false => (chosen(&at_shafts, &at_holes), vec![true; shafts.len()]),
    };
    let taken = |list: &[(usize, Length)], used: &[bool]| -> Vec<(usize, Length)> {
        let both = list.iter().zip(used);
        both.filter(|(_, used)| **used)
            .map(|(one, _)| *one)
            .collect()
    };
    let left = |list: &[(usize, Length)], used: &[bool]| {
        let both = list.iter().zip(used);
        let free = both.filter(|(_, used)| !**used);
        free.map(|(one, _)| (one.0, LeftOver::NoOther)).collect()
    };
    let pairs = taken(&holes, &used_holes)
        .into_iter()
        .zip(taken(&shafts, &used_shafts))
        .map(|((hole, bore), (shaft, pin))| PairOf {
            hole,
            shaft,
            clearance: bore - pin,
        });
    Pairing {
        pairs: pairs.collect(),
        holes_left: left(&holes, &used_holes),
        shafts_left: left(&shafts, &used_shafts),
    }
}

/// As many pairs as can be with a clearance from `least` to `most`, both included.
///
/// Formula: holes and shafts by size; a hole too small for the shaft is left, a hole too large
///          leaves the shaft, else they are a pair
/// Symbols: least and most clearance (nm, exact).
/// Valid:   any sizes; none where `least` is above `most`.
/// Rounding: none.
/// Source:  greedy matching of intervals that begin and end in the same order (exchange argument:
///          the smallest hole that a shaft can take is needed by no later shaft more).
/// Checked: tests/logic/batch_pairing.rs (every pairing of small lists).
/// Errors:  none.
pub fn most_pairing(
    holes: &[Length],
    shafts: &[Length],
    (least, most): (Length, Length),
) -> Pairing {
    let (holes, shafts) = (by_size(holes), by_size(shafts));
    let mut found = Pairing::default();
    let (mut free_holes, mut free_shafts) = (Vec::new(), Vec::new());
    let (mut at_hole, mut at_shaft) = (0, 0);
    while let (Some((hole, bore)), Some((shaft, pin))) = (holes.get(at_hole), shafts.get(at_shaft))
    {
        let clearance = *bore - *pin;
        if clearance < least {
            free_holes.push((*hole, *bore));
            at_hole += 1;
        } else if clearance > most {
            free_shafts.push((*shaft, *pin));
            at_shaft += 1;
        } else {
            found.pairs.push(PairOf {
                hole: *hole,
                shaft: *shaft,
                clearance,
            });
            at_hole += 1;
            at_shaft += 1;
        }
    }
    free_holes.extend(holes.iter().skip(at_hole));
    free_shafts.extend(shafts.iter().skip(at_shaft));
    // The free ones of both kinds, by size: what is said of one rests on the others' ends.
    let ends = |free: &[(usize, Length)]| Some((free.first()?.1, free.last()?.1));
    let (hole_ends, shaft_ends) = (ends(&free_holes), ends(&free_shafts));
    found.holes_left = free_holes
        .iter()
        .map(|(at, bore)| {
            let clearances = shaft_ends.map(|(small, large)| (*bore - large, *bore - small));
            (*at, why(clearances, (least, most)))
        })
        .collect();
    found.shafts_left = free_shafts
        .iter()
        .map(|(at, pin)| {
            let clearances = hole_ends.map(|(small, large)| (small - *pin, large - *pin));
            (*at, why(clearances, (least, most)))
        })
        .collect();
    found
}

/// From the smallest and the largest clearance that the free ones of the other kind make.
fn why(clearances: Option<(Length, Length)>, (least, most): (Length, Length)) -> LeftOver {
    match clearances {
        None => LeftOver::NoOther,
        Some((_, largest)) if largest < least => LeftOver::TooTight,
        Some((smallest, _)) if smallest > most => LeftOver::TooLoose,
        Some(_) => LeftOver::NoneBetween,
    }
}

fn by_size(list: &[Length]) -> Vec<(usize, Length)> {
    let mut sorted: Vec<(usize, Length)> = list.iter().copied().enumerate().collect();
    sorted.sort_by_key(|(at, size)| (*size, *at));
    sorted
}

/// Farther than any size; paid once by one that has no place on its left yet.
const FAR: i128 = 1 << 80;

/// Which of `places` are taken by `all`, none of which stays without one, so that the sum of the
/// distances is least. Both ascending, and there are at least as many places.
///
/// From left to right: one takes the best place that is free so far; a place that comes later may
/// take one over from its place, where that is nearer, and each of these steps can be undone by a
/// later one. So after every step the sum is the least for what has been seen.
fn chosen(all: &[i64], places: &[i64]) -> Vec<bool> {
    let mut used = vec![false; places.len()];
    if all.len() == places.len() {
        used.fill(true);
        return used;
    }
    // What it costs to take a place on the left, less the own position; and the place that then
    // is taken.
    let mut free: BinaryHeap<Reverse<(i128, Option<usize>)>> = BinaryHeap::new();
    // What is gained when a place on the right takes one over, less its position; and the place
    // that then is free.
    let mut placed: BinaryHeap<Reverse<(i128, Option<usize>)>> = BinaryHeap::new();
    let (mut next, mut place) = (0, 0);
    while next < all.len() || place < places.len() {
        let is_one = match (all.get(next), places.get(place)) {
            (Some(one), Some(at)) => one < at,
            (Some(_), None) => true,
            _ => false,
        };
        if is_one {
            let own = all.get(next).map_or(0, |one| i128::from(*one));
            next += 1;
            let Reverse((cost, taken)) = free.pop().unwrap_or(Reverse((FAR, None)));
            if let Some(slot) = taken.and_then(|taken| used.get_mut(taken)) {
                *slot = true;
            }
            placed.push(Reverse((-(own + cost) - own, taken)));
            continue;
        }
        let own = places.get(place).map_or(0, |at| i128::from(*at));
        let best = placed.peek().map(|Reverse((cost, _))| own + cost);
        match best.filter(|gain| *gain < 0) {
            Some(gain) => {
                let freed = placed.pop().and_then(|Reverse((_, freed))| freed);
                if let Some(slot) = freed.and_then(|freed| used.get_mut(freed)) {
                    *slot = false;
                }
                if let Some(slot) = used.get_mut(place) {
                    *slot = true;
                }
                free.push(Reverse((-gain - own, freed)));
            }
            None => free.push(Reverse((-own, Some(place)))),
        }
        place += 1;
    }
    used
}
