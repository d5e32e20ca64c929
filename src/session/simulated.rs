//! A simulated gauge with a hand behind it: for the demo, for trying a plan, and for tests.
//!
//! It plays a machinist at the lathe: roughs each feature with metal left on, cuts what it is
//! told, measures again, now and then tilts the gauge or catches noise on the line, and changes
//! the worn tool. Its readings are bytes that pass the same decoder as a real gauge's.
//!
//! Everything follows from the seed and from what the bench answers; no clock, no chance.

use super::random::Random;
use crate::gauge::{CheckAsked, CheckEnd, CheckOutcome, GaugeId};
use crate::quantity::{Length, LengthUnit, Rounding};
use crate::tolerance::{MetalSide, Surface};

/// What the simulated machinist sees of the bench before the next move.
#[derive(Debug, Clone, PartialEq)]
pub struct Sight {
    /// Running number of the part at hand; 1 before the first is started.
    pub part: u32,
    /// Index of the characteristic to measure now; `None` when the part is settled.
    pub target: Option<usize>,
    /// Lower limit, for lengths.
    pub lower: Option<Length>,
    /// Upper limit, for lengths.
    pub upper: Option<Length>,
    /// What a limit gauge or a mating part is asked, where nothing is measured.
    pub check: Option<CheckAsked>,
    /// Where the metal is.
    pub surface: Surface,
    /// Point to measure now, from 1.
    pub point: u16,
    /// Whether the bench is cutting.
    pub cutting: bool,
    /// What came of the last reading.
    pub last: LastAnswer,
    /// The gauge to take; none when the session names none.
    pub gauge: Option<GaugeId>,
    /// Its smallest step.
    pub step: Length,
    /// The size that its zero stands for: that of its setting standard, or zero.
    pub zero_size: Length,
}

/// What came of the last reading, as far as a hand needs to know.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LastAnswer {
    /// Nothing was measured yet at this point.
    None,
    /// Fine, go on.
    Accepted,
    /// Metal is still on: so much, on the dimension.
    Cut(Length),
    /// Beyond a limit with no metal left to take.
    MetalGone,
    /// Undecided: measure the same point again.
    Doubt,
    /// The readings of this point disagree; the number is the first of them.
    Disagree(u64),
    /// The reading waits for an answer.
    Held,
}

/// The next move.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Move {
    /// The gauge sends these bytes.
    Send(Vec<u8>),
    /// A limit gauge or the mating part is tried, and that is what it does.
    Try {
        /// Which end.
        end: CheckEnd,
        /// What it does.
        outcome: CheckOutcome,
    },
    /// Cutting begins or is over.
    Cutting(bool),
    /// The held reading does not belong.
    SetHeldAside,
    /// A reading is voided.
    Void {
        /// Its sequence number.
        reading: u64,
        /// Why.
        reason: &'static str,
    },
    /// The tool is changed.
    ChangeTool,
    /// This part is given up; the next one is taken.
    NextPart,
}

/// The simulated gauge and the hand that holds it.
#[derive(Debug, Clone)]
pub struct Simulated {
    random: Random,
    /// Wear of the tool so far, metal left on, in nanometres of the dimension.
    wear_nm: f64,
    /// Part, characteristic and true size at hand.
    at_hand: Option<(u32, usize, f64)>,
    tries: u32,
    cuts: u32,
    worn_parts: u32,
}

/// After so many readings of one point that decide nothing the part is given up (chosen).
const TRIES_MAX: u32 = 5;
/// What the tool leaves on more after each cut, and at most as a share of the tolerance (chosen).
const WEAR_PER_CUT_NM: f64 = 150.0;
const WORN_SHARE_MAX: f64 = 0.2;
/// How far a cut misses: a share of the tolerance, and never more than the lathe itself (chosen).
const MISS_SHARE: f64 = 0.06;
const MISS_MAX_NM: f64 = 800.0;
/// Parts between tool changes (chosen: wear shows before).
const TOOL_LIFE_PARTS: u32 = 8;

impl Simulated {
    /// The simulation of that seed.
    pub fn new(seed: u64) -> Self {
        Self {
            random: Random::new(seed),
            wear_nm: 0.0,
            at_hand: None,
            tries: 0,
            cuts: 0,
            worn_parts: 0,
        }
    }

    /// The next move, given what the bench shows.
    pub fn next_move(&mut self, sight: &Sight) -> Move {
        match sight.last {
            LastAnswer::Held => return Move::SetHeldAside,
            LastAnswer::Disagree(first) => {
                let reason = "gauge was tilted, measured again";
                return Move::Void {
                    reading: first,
                    reason,
                };
            }
            LastAnswer::MetalGone | LastAnswer::Doubt | LastAnswer::Cut(_)
                if self.tries >= TRIES_MAX =>
            {
                self.tries = 0;
                self.at_hand = None;
                return Move::NextPart;
            }
            _ => {}
        }
        let Some(target) = sight.target else {
            // The part is settled; the next reading starts the next part.
            return self.between_parts();
        };
        if let Some(asked) = &sight.check {
            self.count_try(sight.last);
            return tried(asked);
        }
        if self.at_hand.map(|(part, at, _)| (part, at)) != Some((sight.part, target)) {
            if let Some(change) = self.take_up(sight, target) {
                return change;
            }
        } else if let LastAnswer::Cut(left) = sight.last {
            self.cut(sight, left);
        }
        self.count_try(sight.last);
        Move::Send(self.reading(sight))
    }

    fn count_try(&mut self, last: LastAnswer) {
        self.tries = match last {
            LastAnswer::Accepted => 1,
            _ => self.tries + 1,
        };
    }

    fn between_parts(&mut self) -> Move {
        if self.worn_parts >= TOOL_LIFE_PARTS {
            self.worn_parts = 0;
            self.wear_nm = 0.0;
            return Move::ChangeTool;
        }
        self.worn_parts += 1;
        self.at_hand = None;
        Move::NextPart
    }

    /// Takes up a characteristic: roughs it. Says first that cutting begins, or is over.
    fn take_up(&mut self, sight: &Sight, target: usize) -> Option<Move> {
        let turned = sight.surface.metal_side() != MetalSide::Neither;
        if turned != sight.cutting {
            return Some(Move::Cutting(turned));
        }
        let tolerance = tolerance_nm(sight);
        let rough = match sight.surface.metal_side() {
            MetalSide::Larger => 150_000.0 + 250_000.0 * self.random.unit(),
            MetalSide::Smaller => -150_000.0 - 250_000.0 * self.random.unit(),
            MetalSide::Neither => tolerance * 0.15 * self.random.normal(),
        };
        self.at_hand = Some((sight.part, target, middle_nm(sight) + rough));
        self.tries = 0;
        self.cuts = 0;
        None
    }

    /// Cuts what was asked; the tool leaves a little more metal on as it wears.
    fn cut(&mut self, sight: &Sight, left: Length) {
        self.cuts += 1;
        self.wear_nm += WEAR_PER_CUT_NM;
        let tolerance = tolerance_nm(sight);
        let miss = (tolerance * MISS_SHARE).min(MISS_MAX_NM) * self.random.normal();
        let worn = self.wear_nm.min(tolerance * WORN_SHARE_MAX);
        let taken = left.as_nm_f64() - worn + miss;
        if let Some((_, _, size)) = &mut self.at_hand {
            match sight.surface.metal_side() {
                MetalSide::Smaller => *size += taken,
                MetalSide::Larger | MetalSide::Neither => *size -= taken,
            }
        }
    }

    /// The bytes of one reading of a study: parts, people and presses each differ a little. `own`
    /// is what the part differs by for good, in standard deviations.
    pub fn study_reading(&mut self, size: Length, step: Length, own: f64, who: u32) -> Vec<u8> {
        let away = 6_000.0 * own + 800.0 * f64::from(who) + 1_200.0 * self.random.normal();
        let shown = nearest_step(size.as_nm_f64() + away, step);
        let text = shown.to_text(LengthUnit::Millimetre, decimals_of(step));
        format!("{text} mm\r\n").into_bytes()
    }

    /// The bytes of one reading: mostly good, sometimes a tilted gauge or noise before the frame.
    fn reading(&mut self, sight: &Sight) -> Vec<u8> {
        let size = self
            .at_hand
            .map_or_else(|| middle_nm(sight), |(_, _, size)| size);
        let scatter = 400.0 * self.random.normal();
        let form = tolerance_nm(sight) * 0.03 * self.random.normal();
        let slip = if self.random.one_in(40) {
            45_000.0 + 40_000.0 * self.random.unit()
        } else {
            0.0
        };
        let shown = nearest_step(size + scatter + form + slip, sight.step) - sight.zero_size;
        let mut bytes = if self.random.one_in(60) {
            b"\x11#?4\r\n".to_vec()
        } else {
            Vec::new()
        };
        bytes.extend_from_slice(
            shown
                .to_text(LengthUnit::Millimetre, decimals_of(sight.step))
                .as_bytes(),
        );
        bytes.extend_from_slice(b" mm\r\n");
        bytes
    }
}

/// By how many standard deviations a part of a study differs from the others, for good.
pub(super) fn part_of_study(part: u32) -> f64 {
    Random::new(u64::from(part)).normal()
}

/// Simulated threads are good: the GO gauge and the mating part go, the NO-GO gauge does not.
fn tried(asked: &CheckAsked) -> Move {
    let outcome = match asked.end {
        CheckEnd::Go | CheckEnd::Mate => CheckOutcome::Goes,
        CheckEnd::NoGo if asked.counts_turns() => CheckOutcome::TurnsTwoOrFewer,
        CheckEnd::NoGo => CheckOutcome::DoesNot,
    };
    let end = asked.end;
    Move::Try { end, outcome }
}

/// Sizes of real parts are far below 2^53 nm, so the float holds them exactly enough to round.
#[allow(clippy::cast_possible_truncation)]
fn nearest_step(nm: f64, step: Length) -> Length {
    let step = step.max(Length::from_nm(1));
    Length::from_nm(nm.round() as i64).round_to(step, Rounding::HalfEven)
}

/// Decimals of a millimetre that a step needs: 3 for 0.001 mm.
fn decimals_of(step: Length) -> u8 {
    let text = step.to_text(LengthUnit::Millimetre, 0);
    text.split_once('.')
        .map_or(0, |(_, rest)| u8::try_from(rest.len()).unwrap_or(6))
}

fn middle_nm(sight: &Sight) -> f64 {
    match (sight.lower, sight.upper) {
        (Some(low), Some(high)) => (low + high).as_nm_f64() / 2.0,
        (Some(low), None) => low.as_nm_f64() + 10_000.0,
        (None, Some(high)) => high.as_nm_f64() - 5_000.0,
        (None, None) => 0.0,
    }
}

fn tolerance_nm(sight: &Sight) -> f64 {
    match (sight.lower, sight.upper) {
        (Some(low), Some(high)) => (high - low).as_nm_f64(),
        _ => 20_000.0,
    }
}
