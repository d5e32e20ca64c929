//! A batch of holes and a batch of shafts put together: which goes with which, what each two of
//! them do, and which are left.

use super::half_parts::{HalfPart, HalfParts};
use super::paired::{IntendedFit, TogetherNow, together};
use crate::measure::{AsIntended, JudgeError};
use crate::pair::{LeftOver, Pairing, most_pairing, nearest_pairing};
use crate::quantity::Length;

/// What is wanted of a pairing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Objective {
    /// As many pairs as there can be, their clearances near to the middle of the intended range.
    #[default]
    Nearest,
    /// As many pairs inside the intended range as there can be.
    Most,
}

/// One place of the two sorted rows; whoever is named stands there by his place in its list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Slot {
    /// A hole with its shaft.
    Pair {
        /// The hole.
        hole: usize,
        /// The shaft.
        shaft: usize,
        /// What they do.
        does: TogetherNow,
    },
    /// A hole that is left.
    Hole(usize, LeftOver),
    /// A shaft that is left.
    Shaft(usize, LeftOver),
}

/// How many pairs do what.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LinkCounts {
    /// All of them.
    pub pairs: usize,
    /// As intended.
    pub intended: usize,
    /// In doubt: their uncertainty reaches over an end of the range.
    pub doubt: usize,
    /// Not as intended.
    pub outside: usize,
    /// Of which one half has no known uncertainty: judged without it.
    pub unknown: usize,
    /// Holes that are left.
    pub holes_left: usize,
    /// Shafts that are left.
    pub shafts_left: usize,
}

/// A batch put together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Links {
    /// Both rows by size, partners at one place, those that are left between them.
    pub slots: Vec<Slot>,
    /// How many do what.
    pub counts: LinkCounts,
}

/// Puts the parts that are offered together.
///
/// # Errors
/// [`JudgeError`] where a clearance cannot be judged.
pub fn links(
    fit: &IntendedFit,
    (holes, shafts): (&HalfParts, &HalfParts),
    objective: Objective,
) -> Result<Links, JudgeError> {
    let sizes =
        |half: &HalfParts| -> Vec<Length> { half.offered.iter().map(HalfPart::middle).collect() };
    let both = (sizes(holes), sizes(shafts));
    let pairing = match objective {
        Objective::Nearest => nearest_pairing(&both.0, &both.1, wanted_clearance(fit)),
        Objective::Most => most_pairing(&both.0, &both.1, (fit.least, fit.most)),
    };
    let mut found = Links::default();
    found.counts.holes_left = pairing.holes_left.len();
    found.counts.shafts_left = pairing.shafts_left.len();
    let fates = (
        fates(holes.offered.len(), &pairing, true),
        fates(shafts.offered.len(), &pairing, false),
    );
    let (mut hole, mut shaft) = (0, 0);
    loop {
        match (fates.0.get(hole), fates.1.get(shaft)) {
            (Some(Some(why)), _) => {
                found.slots.push(Slot::Hole(hole, *why));
                hole += 1;
            }
            (_, Some(Some(why))) => {
                found.slots.push(Slot::Shaft(shaft, *why));
                shaft += 1;
            }
            (Some(None), Some(None)) => {
                let halves = holes.offered.get(hole).zip(shafts.offered.get(shaft));
                if let Some((one, two)) = halves {
                    let does = together(fit, &one.size_now(), &two.size_now())?;
                    found.counts.take(&does);
                    found.slots.push(Slot::Pair { hole, shaft, does });
                }
                hole += 1;
                shaft += 1;
            }
            _ => return Ok(found),
        }
    }
}

/// The clearance that the nearest pairing wants: the middle of the intended range.
pub fn wanted_clearance(fit: &IntendedFit) -> Length {
    (fit.least + fit.most).div_half_even(2)
}

/// Why each of a row is left; none: it has a partner. Partners stand in the same order in both
/// rows, since both ways of pairing keep the order of sizes.
fn fates(count: usize, pairing: &Pairing, is_hole: bool) -> Vec<Option<LeftOver>> {
    let left = match is_hole {
        true => &pairing.holes_left,
        false => &pairing.shafts_left,
    };
    let mut fates = vec![None; count];
    for (at, why) in left {
        if let Some(fate) = fates.get_mut(*at) {
            *fate = Some(*why);
        }
    }
    fates
}

impl LinkCounts {
    fn take(&mut self, does: &TogetherNow) {
        self.pairs += 1;
        self.unknown += usize::from(does.tight.expanded_nm().is_none());
        match does.as_intended {
            AsIntended::Yes => self.intended += 1,
            AsIntended::Doubt => self.doubt += 1,
            AsIntended::No => self.outside += 1,
        }
    }
}
