//! Limits of one session only: a half of a pair that is made to suit its measured mate.

use std::sync::Arc;

use super::setup::{SetupError, Target, TargetLimits};
use crate::journal::Suit;
use crate::pair::{Between, MakeToSuit, Measured, guard_of, make_to_suit};
use crate::quantity::Length;

/// The element of a feature that has one size.
pub(super) const SIZE: &str = "size";

/// A mate that takes the size farther than this share of it from its own limits is a slip (chosen,
/// as in `fitledger fit`).
const FAR_SHARE: i64 = 10;
/// Of small sizes at least this (chosen).
const FAR_LEAST: Length = Length::from_um(500);

/// Why a characteristic has other limits in this session than its class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SuitedLimit {
    /// What they follow from, as the record has it.
    pub suit: Suit,
    /// Its own limits, as the plan has them.
    pub own: Between,
    /// What suits, less the guard bands, and what of it lies in its own limits.
    pub suits: MakeToSuit,
    /// The guard band at each end; none: the uncertainty of the mate is not known.
    pub guard: Option<Length>,
}

impl SuitedLimit {
    /// Its limits in this session.
    pub fn limits(&self) -> Between {
        match self.suits.in_class {
            Ok(both) if self.suit.keep_class => both,
            _ => self.suits.guarded,
        }
    }

    /// Why its limits are not those of its class, a sentence each.
    pub fn sentences(&self) -> Vec<String> {
        let suit = &self.suit;
        let (mate, made) = match suit.measured {
            Measured::Hole => ("hole", "shaft"),
            Measured::Shaft => ("shaft", "hole"),
        };
        let fit = match suit.fit.as_str() {
            "" => String::new(),
            fit => format!(" ({fit})"),
        };
        let mut told = vec![format!(
            "This session only, every part of it: the {made} {} is made to suit the {mate} {}, \
             {} mm ({}): for a clearance of {} to {} mm{fit} it may be {}.",
            suit.feature,
            suit.mate,
            suit.size.to_mm(),
            suit.source,
            suit.least.to_mm(),
            suit.most.to_mm(),
            range(self.suits.whole),
        )];
        told.push(match (self.guard, suit.u) {
            (Some(guard), Some(u)) => format!(
                "A guard band of {} mm at each end, 2 u of that measurement (u {} mm){}, leaves \
                 {}.",
                guard.to_mm(),
                u.to_mm(),
                form(suit.form),
                range(self.suits.guarded)
            ),
            (Some(guard), None) => format!(
                "A guard band of {} mm at each end{} leaves {}; uncertainty not considered.",
                guard.to_mm(),
                form(suit.form),
                range(self.suits.guarded)
            ),
            (None, _) => "No guard band: the uncertainty of that measurement is not known.".into(),
        });
        let own = range(self.own);
        told.push(match (&self.suits.in_class, suit.keep_class) {
            (Ok(both), true) => format!(
                "Its own class is {own}; {} lie in both and are its limits here.",
                range(*both)
            ),
            (Ok(both), false) => format!(
                "Its own class is {own}; only {} lie in both and stay interchangeable.",
                range(*both)
            ),
            (Err(why), _) => format!("Its own class is {own}. {}", why.sentence()),
        });
        told
    }
}

fn form(half: Length) -> String {
    match half {
        Length::ZERO => String::new(),
        half => format!(" with {} mm for the form of the mate", half.to_mm()),
    }
}

fn range(between: Between) -> String {
    format!("{} to {} mm", between.lower.to_mm(), between.upper.to_mm())
}

/// Gives the characteristics that are made to suit their limits of this session. `decides` says
/// whether a feature is measured at its last stage.
///
/// # Errors
/// A feature without a size, one that is not measured at its last stage or suited twice, limits
/// that leave nothing.
pub(super) fn suit_targets(
    targets: &mut [Target],
    suits: &[Suit],
    decides: impl Fn(&str) -> bool,
) -> Result<(), SetupError> {
    for suit in suits {
        let name = suit.feature.escape_debug().to_string();
        let mut all = targets.iter_mut();
        let target = all.find(|one| one.feature == suit.feature && one.element == SIZE);
        let limits = match target.as_deref().map(|target| &target.limits) {
            Some(TargetLimits::Length(limits)) => *limits,
            _ => {
                let message = format!("{name} has no size that could be made to suit.");
                return Err(wrong("nothing_to_suit", message, None));
            }
        };
        let Some(target) = target else { continue };
        if target.suited.is_some() {
            let message = format!("{name} is to be made to suit two mates.");
            return Err(wrong("suited_twice", message, Some("Name one of them.")));
        }
        if !decides(&suit.feature) {
            let message =
                format!("{name} is measured before its last stage, and fits nothing yet.");
            let hint = Some("Make it to suit at the last stage.");
            return Err(wrong("suit_before_last_stage", message, hint));
        }
        let (Some(lower), Some(upper)) = (limits.lower(), limits.upper()) else {
            let message = format!("{name} has one limit only, so there is no class to hold it to.");
            return Err(wrong("suit_one_sided", message, None));
        };
        let own = Between { lower, upper };
        let suited = suited(suit, own)?;
        let Between { lower, upper } = suited.limits();
        let moved = limits.to_suit(lower, upper);
        let moved = moved.map_err(|error| wrong(error.code(), error.to_string(), None))?;
        target.limits = TargetLimits::Length(moved);
        target.suited = Some(Arc::new(suited));
    }
    Ok(())
}

/// Refuses lengths that no measured half has.
fn in_range(suit: &Suit) -> Result<(), SetupError> {
    let is_size = |size: Length| size > Length::ZERO && size <= Length::MAX;
    let is_short = |length: Length| length.abs() <= Length::MAX;
    let is_amount = |length: Length| !length.is_negative() && is_short(length);
    let is_sound = is_size(suit.size)
        && is_short(suit.least)
        && is_short(suit.most)
        && is_amount(suit.form)
        && suit.u.is_none_or(is_amount);
    if is_sound {
        return Ok(());
    }
    let message = format!("{} mm is no size to suit.", suit.size.to_mm());
    Err(wrong("suit_out_of_range", message, None))
}

/// The guard band at each end of what is made to suit: twice the standard uncertainty of the
/// measured half, and its form; none where neither is known.
pub(super) fn guard(u: Option<Length>, form: Length) -> Option<Length> {
    let uncertain = u.map(|u| guard_of(u.as_nm_f64()));
    match (uncertain, form) {
        (None, Length::ZERO) => None,
        (guard, form) => Some(guard.unwrap_or(Length::ZERO) + form),
    }
}

fn suited(suit: &Suit, own: Between) -> Result<SuitedLimit, SetupError> {
    in_range(suit)?;
    let guard = guard(suit.u, suit.form);
    let away = match suit.measured {
        Measured::Hole => suit.size - suit.most - own.lower,
        Measured::Shaft => suit.size + suit.least - own.lower,
    };
    if away.abs() > own.upper.div_floor(FAR_SHARE).max(FAR_LEAST) {
        let message = format!(
            "{} mm for {} would take {} {} mm away from its own limits.",
            suit.size.to_mm(),
            suit.mate.escape_debug(),
            suit.feature.escape_debug(),
            away.abs().to_mm()
        );
        let hint = Some("Check the digits and the unit of the measured size.");
        return Err(wrong("suit_far_from_class", message, hint));
    }
    let range = (suit.least, suit.most);
    let bare = guard.unwrap_or(Length::ZERO);
    let suits = make_to_suit((suit.measured, suit.size), range, bare, own)
        .map_err(|error| wrong(error.code(), error.to_string(), None))?;
    if suits.guarded.lower <= Length::ZERO {
        let message = format!("{} mm leaves nothing for its mate.", suit.size.to_mm());
        return Err(wrong("suit_out_of_range", message, None));
    }
    if suit.keep_class
        && let Err(why) = &suits.in_class
    {
        let hint = Some("Leave --keep-class out, and it suits this mate alone.");
        return Err(wrong("not_in_class", why.sentence(), hint));
    }
    Ok(SuitedLimit {
        suit: suit.clone(),
        own,
        suits,
        guard,
    })
}

fn wrong(code: &'static str, message: String, hint: Option<&str>) -> SetupError {
    SetupError {
        code,
        messages: vec![message],
        hint: hint.map(str::to_owned),
    }
}
