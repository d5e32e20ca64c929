//! The pairs of a session's plan, with what is measured of them on the part at hand: what the two
//! halves do together, or what the other half must become to suit the one that is measured.
//!
//! Everything is derived from the state; nothing of it is recorded.

use super::state::{Characteristic, State};
use super::suit_asked::told;
use super::suited::{SIZE, SuitedLimit, guard};
use crate::measure::{AsIntended, JudgeError};
use crate::pair::{
    Between, MakeToSuit, Measured, Meeting, MeetingKind, Member, PairError, make_to_suit,
};
use crate::plan::{Pair, PairEnd};
use crate::quantity::Length;
use crate::tolerance::{CalloutError, Context, FitKind};

/// A pair of the plan as it stands now.
#[derive(Debug, Clone, PartialEq)]
pub struct Paired {
    /// The hole.
    pub hole: PairedHalf,
    /// The shaft.
    pub shaft: PairedHalf,
    /// What is intended; none: it is not stated, and not both have limits in this plan.
    pub intended: Option<Result<IntendedFit, CalloutError>>,
    /// What they do together, where both are measured and a fit is intended.
    pub together: Option<Result<TogetherNow, JudgeError>>,
    /// What the other half must become, where one alone is measured and a fit is intended.
    pub make: Option<Result<MakeOther, PairError>>,
}

/// A half of a pair.
#[derive(Debug, Clone, PartialEq)]
pub struct PairedHalf {
    /// As the pair names it: `A`, `housing.toml#bore`.
    pub name: String,
    /// The other plan that makes it; none: it is a feature of this one.
    pub plan: Option<String>,
    /// Its limits in this plan, those of its last stage; none where it has no two of them.
    pub own: Option<Between>,
    /// The limits by which this session judges it, where it is made to suit this mate.
    pub suited: Option<Between>,
    /// Its size now, or why there is none.
    pub now: HalfNow,
    /// What the records of the plan that makes it hold, where that was looked up.
    pub known: Option<KnownSizes>,
}

/// Measured sizes of a half on other parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct KnownSizes {
    /// On so many parts.
    pub parts: usize,
    /// The smallest and the largest of them.
    pub span: Option<(Length, Length)>,
}

/// Whether a half has a size.
#[derive(Debug, Clone, PartialEq)]
pub enum HalfNow {
    /// It is measured whole.
    Sized(SizeNow),
    /// It is not, and why.
    Open(HalfOpen),
}

/// The size of a half at 20 °C.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SizeNow {
    /// The smallest of its points.
    pub least: Length,
    /// The largest.
    pub most: Length,
    /// The largest standard uncertainty of its points, whole nanometres; none: not known of all.
    pub standard: Option<Length>,
    /// The part of this session; none: it comes from elsewhere.
    pub part: Option<u32>,
    /// Where a size from elsewhere comes from: `typed`, or a record and its part; else empty.
    pub source: String,
    /// It was picked only to be looked at: `RECORD.jsonl#3`, as `--suit` takes it.
    pub picked: Option<String>,
}

/// Why a half has no size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HalfOpen {
    /// Another plan makes it, and this session was not told its size.
    Elsewhere,
    /// No part has been started.
    NoPart,
    /// It is a thread, or only a limit gauge proves it: there is no single size.
    NoSize,
    /// It is measured before its last stage: that is not yet what the mate meets.
    EarlierStage,
    /// The sampling plan leaves it out on this part.
    NotSelected,
    /// So many of so many points are measured.
    Points(usize, usize),
    /// A gauge behind it was found wrong afterwards.
    InDoubt,
}

/// The fit that is intended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IntendedFit {
    /// `20 H7/g6`; empty where it is that of the two features' own limits.
    pub callout: String,
    /// Limits of the hole.
    pub hole: Between,
    /// Limits of the shaft.
    pub shaft: Between,
    /// The least clearance; negative: interference.
    pub least: Length,
    /// The largest clearance.
    pub most: Length,
    /// Its kind.
    pub kind: FitKind,
}

/// What two measured halves do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TogetherNow {
    /// Where the clearance is least: the smallest of the hole over the largest of the shaft.
    pub tight: Meeting,
    /// Where it is largest.
    pub loose: Meeting,
    /// What it is at both; undecided where they differ.
    pub kind: MeetingKind,
    /// The worse of both.
    pub as_intended: AsIntended,
    /// The chance of interference at the tightest point.
    pub interference: Option<f64>,
    /// The chance that the clearance is in the intended range, at the worse of both.
    pub inside: Option<f64>,
}

/// What the other half must become.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MakeOther {
    /// Which half is measured.
    pub measured: Measured,
    /// The limits that keep the clearance.
    pub suits: MakeToSuit,
    /// The class of the half that is to be made.
    pub class: Between,
    /// The guard band at each end; none: the uncertainty of the measured half is not known.
    pub guard: Option<Length>,
    /// How much of the guard band the form of the measured half makes.
    pub form: Length,
}

impl PairedHalf {
    /// Its size, where it is measured.
    pub fn size(&self) -> Option<&SizeNow> {
        match &self.now {
            HalfNow::Sized(size) => Some(size),
            HalfNow::Open(_) => None,
        }
    }
}

impl SizeNow {
    /// The middle of its points, and half of the way between them.
    pub fn middle(&self) -> (Length, Length) {
        let half = (self.most - self.least).div_ceil(2);
        (self.least + half, half)
    }

    fn member(&self, size: Length) -> Member {
        Member {
            size,
            standard_nm: self.standard.map(Length::as_nm_f64),
        }
    }
}

/// The pairs of the session's plan, in the order of its file.
pub fn paired(state: &State) -> Vec<Paired> {
    paired_with(state, |_| None)
}

/// The same, with sizes picked for halves that other plans make, by the pair's place: they are
/// only looked at.
pub fn paired_with<'p>(
    state: &State,
    picked: impl Fn(usize) -> Option<&'p SizeNow>,
) -> Vec<Paired> {
    let pairs = state.setup().plan.pairs.iter().enumerate();
    let paired = pairs.map(|(at, pair)| paired_one(state, pair, picked(at)));
    paired.collect()
}

fn paired_one(state: &State, pair: &Pair, picked: Option<&SizeNow>) -> Paired {
    let mut hole = half(state, &pair.hole, &pair.shaft);
    let mut shaft = half(state, &pair.shaft, &pair.hole);
    let mut is_free = picked;
    for half in [&mut hole, &mut shaft] {
        if half.plan.is_some()
            && let Some(size) = is_free.take()
        {
            half.now = HalfNow::Sized(size.clone());
        }
    }
    let intended = intended(state, pair, (hole.own, shaft.own));
    let fit = intended.as_ref().and_then(|fit| fit.as_ref().ok());
    let sizes = (hole.size(), shaft.size());
    let together = match (fit, sizes) {
        (Some(fit), (Some(hole), Some(shaft))) => Some(together(fit, hole, shaft)),
        _ => None,
    };
    let make = match (fit, sizes) {
        (Some(fit), (Some(size), None)) => {
            let class = shaft.own.unwrap_or(fit.shaft);
            Some(make(fit, (Measured::Hole, size), class))
        }
        (Some(fit), (None, Some(size))) => {
            let class = hole.own.unwrap_or(fit.hole);
            Some(make(fit, (Measured::Shaft, size), class))
        }
        _ => None,
    };
    Paired {
        hole,
        shaft,
        intended,
        together,
        make,
    }
}

fn half(state: &State, end: &PairEnd, mate: &PairEnd) -> PairedHalf {
    PairedHalf {
        name: told(end),
        plan: end.plan.clone(),
        own: end
            .limits_in(&state.setup().plan)
            .map(|(lower, upper)| Between { lower, upper }),
        suited: suit_of(state, end, mate).map(SuitedLimit::limits),
        now: match told_size(state, end, mate) {
            Some(size) => HalfNow::Sized(size),
            None if end.plan.is_some() => HalfNow::Open(HalfOpen::Elsewhere),
            None => match size_at_hand(state, end.feature.as_str()) {
                Ok(size) => HalfNow::Sized(size),
                Err(why) => HalfNow::Open(why),
            },
        },
        known: None,
    }
}

/// Why a half has other limits in this session than its class, where it is made to suit that mate.
fn suit_of<'s>(state: &'s State, made: &PairEnd, mate: &PairEnd) -> Option<&'s SuitedLimit> {
    let (made, mate) = (
        made.plan.is_none().then_some(made.feature.as_str())?,
        told(mate),
    );
    let targets = state.setup().targets.iter();
    let mut suited = targets.filter_map(|target| target.suited.as_deref());
    suited.find(|one| one.suit.feature == made && one.suit.mate == mate)
}

/// The size that this session was told of a half, as its mate is made to suit it.
fn told_size(state: &State, end: &PairEnd, mate: &PairEnd) -> Option<SizeNow> {
    let suit = &suit_of(state, mate, end)?.suit;
    Some(SizeNow {
        least: suit.size - suit.form,
        most: suit.size + suit.form,
        standard: suit.u,
        part: None,
        source: suit.source.clone(),
        picked: None,
    })
}

/// The size of a feature on the part at hand, at 20 °C.
fn size_at_hand(state: &State, feature: &str) -> Result<SizeNow, HalfOpen> {
    let setup = state.setup();
    let is_size = |at: &usize| {
        let target = setup.targets.get(*at);
        target.is_some_and(|target| !target.is_angle() && target.check().is_none())
    };
    let at = setup.target_index(feature, SIZE).filter(is_size);
    let at = at.ok_or(HalfOpen::NoSize)?;
    let is_early = |target| setup.is_before_last_stage(target);
    if setup.targets.get(at).is_some_and(is_early) {
        return Err(HalfOpen::EarlierStage);
    }
    let part = state.current_part().ok_or(HalfOpen::NoPart)?;
    let one = part.characteristics.get(at).ok_or(HalfOpen::NoSize)?;
    if !one.selected {
        return Err(HalfOpen::NotSelected);
    }
    if one.is_in_doubt() {
        return Err(HalfOpen::InDoubt);
    }
    let done = one.points.iter().filter(|point| point.outcome.is_some());
    let done = done.count();
    let sizes = || one.points.iter().map(|point| point.value_at_20);
    let (Some(least), Some(most)) = (sizes().min(), sizes().max()) else {
        return Err(HalfOpen::NoSize);
    };
    if done < one.points.len() {
        return Err(HalfOpen::Points(done, one.points.len()));
    }
    Ok(SizeNow {
        least: Length::from_nm(least),
        most: Length::from_nm(most),
        standard: standard(state, one),
        part: Some(part.number),
        source: String::new(),
        picked: None,
    })
}

/// What is not known of one point is not known of the size.
fn standard(state: &State, one: &Characteristic) -> Option<Length> {
    let known = one.points.iter().map(|point| state.standard_of(point));
    let all: Option<Vec<i64>> = known.collect();
    all?.into_iter().max().map(Length::from_nm)
}

fn intended(
    state: &State,
    pair: &Pair,
    own: (Option<Between>, Option<Between>),
) -> Option<Result<IntendedFit, CalloutError>> {
    if let Some(callout) = &pair.intended {
        let limits = match callout.limits(&Context::with_tables(&state.setup().tables)) {
            Ok(limits) => limits,
            Err(error) => return Some(Err(error)),
        };
        let both = |size: &crate::tolerance::SizeLimits| {
            let (lower, upper) = size.limits.lower().zip(size.limits.upper())?;
            Some(Between { lower, upper })
        };
        let (hole, shaft) = both(limits.hole()).zip(both(limits.shaft()))?;
        return Some(Ok(fit_of(callout.to_string(), hole, shaft)));
    }
    let (hole, shaft) = own.0.zip(own.1)?;
    Some(Ok(fit_of(String::new(), hole, shaft)))
}

/// As [`crate::tolerance::FitLimits`] has it, of any two bands.
fn fit_of(callout: String, hole: Between, shaft: Between) -> IntendedFit {
    let (least, most) = (hole.lower - shaft.upper, hole.upper - shaft.lower);
    IntendedFit {
        callout,
        hole,
        shaft,
        least,
        most,
        kind: if least >= Length::ZERO {
            FitKind::Clearance
        } else if most <= Length::ZERO {
            FitKind::Interference
        } else {
            FitKind::Transition
        },
    }
}

/// What two halves of those sizes do.
pub(super) fn together(
    fit: &IntendedFit,
    hole: &SizeNow,
    shaft: &SizeNow,
) -> Result<TogetherNow, JudgeError> {
    let tight = Meeting::of(hole.member(hole.least), shaft.member(shaft.most));
    let loose = Meeting::of(hole.member(hole.most), shaft.member(shaft.least));
    let range = (fit.least, fit.most);
    let both = [tight.as_intended(range)?, loose.as_intended(range)?];
    let as_intended = if both.contains(&AsIntended::No) {
        AsIntended::No
    } else if both.contains(&AsIntended::Doubt) {
        AsIntended::Doubt
    } else {
        AsIntended::Yes
    };
    let inside = [tight, loose].map(|one| one.inside_probability(range));
    Ok(TogetherNow {
        tight,
        loose,
        kind: match tight.kind() == loose.kind() {
            true => tight.kind(),
            false => MeetingKind::Undecided,
        },
        as_intended,
        interference: tight.interference_probability(),
        inside: inside[0].zip(inside[1]).map(|(one, other)| one.min(other)),
    })
}

/// As a session that is begun with `--suit` has it.
fn make(
    fit: &IntendedFit,
    (measured, size): (Measured, &SizeNow),
    class: Between,
) -> Result<MakeOther, PairError> {
    let (middle, form) = size.middle();
    let guard = guard(size.standard, form);
    let bare = guard.unwrap_or(Length::ZERO);
    let suits = make_to_suit((measured, middle), (fit.least, fit.most), bare, class)?;
    Ok(MakeOther {
        measured,
        suits,
        class,
        guard,
        form,
    })
}
