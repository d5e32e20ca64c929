//! What is said of a pair: what its halves do together, with uncertainty and chances, or what the
//! other half must become, and by which words a session measures by that.

use super::SentenceView;
use super::said::Said;
use super::words::Words;
use crate::measure::AsIntended;
use crate::pair::{Between, Measured, MeetingKind};
use crate::quantity::{Length, LengthUnit, Rounding};
use crate::session::{
    HalfNow, HalfOpen, IntendedFit, MakeOther, Paired, PairedHalf, SizeNow, Snapshot, TogetherNow,
};
use crate::tolerance::FitKind;

/// A size is shown with at least so many decimals of a millimetre.
const DECIMALS_MIN: u8 = 3;
/// With so many it is exact.
const DECIMALS_MAX: u8 = 6;
const NANOMETRE_DECIMALS: u32 = 6;
const TENTH: Length = Length::from_nm(100);
/// Below this a chance is told as “less than”, in per cent.
const CHANCE_LEAST: f64 = 0.01;

/// A length with as many decimals as it has, at least three.
pub(super) fn mm(length: Length, words: Words) -> String {
    mm_with(length, decimals_of(length), words)
}

/// A length with so many decimals.
pub(super) fn mm_with(length: Length, decimals: u8, words: Words) -> String {
    let decimals = decimals.clamp(DECIMALS_MIN, DECIMALS_MAX);
    let text = length.to_text(LengthUnit::Millimetre, decimals);
    words.sentence(&text)
}

/// As many as a length has, at least three.
pub(super) fn decimals_of(length: Length) -> u8 {
    let is_exact = |decimals: &u8| {
        let step = 10_i64.pow(NANOMETRE_DECIMALS - u32::from(*decimals));
        length.as_nm() % step == 0
    };
    let decimals = (DECIMALS_MIN..DECIMALS_MAX).find(is_exact);
    decimals.unwrap_or(DECIMALS_MAX)
}

fn range(between: Between, words: Words) -> String {
    format!(
        "{} to {} mm",
        mm(between.lower, words),
        mm(between.upper, words)
    )
}

/// The same of limits that are computed: rounded inwards to a tenth of a micrometre, so that what
/// is made by them keeps them.
fn inwards(between: Between, words: Words) -> String {
    let rounded = Between {
        lower: between.lower.round_to(TENTH, Rounding::Ceil),
        upper: between.upper.round_to(TENTH, Rounding::Floor),
    };
    match rounded.lower <= rounded.upper {
        true => range(rounded, words),
        false => range(between, words),
    }
}

/// `20.010, U 2.4 µm`; of points that differ `20.008 to 20.010, U 2.4 µm`; else why there is none.
pub(super) fn half_words(half: &PairedHalf, words: Words) -> String {
    match &half.now {
        HalfNow::Sized(size) => format!("{}, {}", span(size, words), u_words(size, words)),
        HalfNow::Open(why) => match why {
            HalfOpen::Elsewhere => known_words(half, words),
            HalfOpen::NoPart => "not measured".to_owned(),
            HalfOpen::NoSize => "no single size".to_owned(),
            HalfOpen::EarlierStage => "before its last stage".to_owned(),
            HalfOpen::NotSelected => "not selected on this part".to_owned(),
            HalfOpen::Points(0, _) => "not measured".to_owned(),
            HalfOpen::Points(done, of) => format!("{done} of {of} points measured"),
            HalfOpen::InDoubt => "its gauge was found wrong".to_owned(),
        },
    }
}

/// `3 measured in records, 25.012 to 25.018`.
fn known_words(half: &PairedHalf, words: Words) -> String {
    let known = half
        .known
        .and_then(|known| Some((known.parts, known.span?)));
    let Some((parts, (least, most))) = known else {
        return "made by another plan".to_owned();
    };
    let span = match least == most {
        true => mm(least, words),
        false => format!("{} to {}", mm(least, words), mm(most, words)),
    };
    format!("{parts} measured in records, {span}")
}

fn span(size: &SizeNow, words: Words) -> String {
    match size.least == size.most {
        true => mm(size.least, words),
        false => format!("{} to {}", mm(size.least, words), mm(size.most, words)),
    }
}

fn u_words(size: &SizeNow, words: Words) -> String {
    match size.standard {
        Some(standard) => format!("U {}", words.um_up(standard + standard)),
        None => "U not known".to_owned(),
    }
}

/// `0.020, U 3.4 µm: clearance, as intended`; else what is missing.
pub(super) fn clearance_words(pair: &Paired, words: Words) -> String {
    match &pair.together {
        Some(Ok(found)) => {
            let u = match found.tight.expanded_nm() {
                Some(expanded) => format!("U {}", words.um_up(up(expanded))),
                None => "U not known".to_owned(),
            };
            let (kind, intended) = (kind_word(found.kind), intended_word(found.as_intended));
            format!("{}, {u}: {kind}, {intended}", gap(found, words))
        }
        Some(Err(error)) => words.sentence(&error.to_string()),
        None => "both have to be measured".to_owned(),
    }
}

/// The clearance, or from the tightest to the loosest of it.
fn gap(found: &TogetherNow, words: Words) -> String {
    let [tight, loose] = [found.tight, found.loose].map(|one| mm(whole(one.clearance_nm()), words));
    match tight == loose {
        true => tight,
        false => format!("{tight} to {loose}"),
    }
}

/// To the nearest nanometre.
pub(super) fn whole(nm: f64) -> Length {
    #[allow(clippy::cast_possible_truncation)] // beyond the largest length it stays the largest
    Length::from_nm(nm.round() as i64)
}

/// To the next nanometre above: an uncertainty is never understated.
pub(super) fn up(nm: f64) -> Length {
    #[allow(clippy::cast_possible_truncation)] // beyond the largest length it stays the largest
    Length::from_nm(nm.ceil() as i64)
}

fn kind_word(kind: MeetingKind) -> &'static str {
    match kind {
        MeetingKind::Clearance => "clearance",
        MeetingKind::Interference => "interference",
        MeetingKind::Undecided => "either may be",
    }
}

fn intended_word(intended: AsIntended) -> &'static str {
    match intended {
        AsIntended::Yes => "as intended",
        AsIntended::No => "not as intended",
        AsIntended::Doubt => "in doubt",
    }
}

/// What is said of a pair.
pub(super) fn pair_lines(pair: &Paired, snapshot: &Snapshot, words: Words) -> Vec<SentenceView> {
    let mut said = Said::as_given(words);
    match (&pair.together, &pair.make) {
        (Some(Ok(found)), _) => together(&mut said, pair, found),
        (Some(Err(error)), _) => said.strong(&said.shown(&error.to_string())),
        (None, Some(Ok(make))) => to_suit(&mut said, pair, make, snapshot),
        (None, Some(Err(error))) => said.strong(&said.shown(&error.to_string())),
        (None, None) => {}
    }
    match &pair.intended {
        Some(Ok(fit)) => intended(&mut said, pair, fit),
        Some(Err(error)) => said.say(&said.shown(&error.to_string())),
        None => said.say(
            "No fit is stated, and not both halves have limits in this plan. Write intended = \
             \"25 H7/g6\", or the fit that is meant, into the pair.",
        ),
    }
    for (name, half) in [("hole", &pair.hole), ("shaft", &pair.shaft)] {
        if let Some(limits) = half.suited {
            said.say(&format!(
                "This session judges the {name} {} by {}, made to suit its mate.",
                half.name,
                inwards(limits, words)
            ));
        }
        of_half(&mut said, name, half);
    }
    said.lines
}

fn together(said: &mut Said, pair: &Paired, found: &TogetherNow) {
    let gap = gap(found, said.words);
    let kind = match found.kind {
        MeetingKind::Clearance => "there is clearance",
        MeetingKind::Interference => "there is interference",
        MeetingKind::Undecided => "it may be clearance or interference",
    };
    let intended = match found.as_intended {
        AsIntended::Yes => "as intended",
        AsIntended::No => "not as intended",
        AsIntended::Doubt => "and whether it is as intended is not proved",
    };
    let u = match found.tight.expanded_nm() {
        Some(expanded) => format!(" (U {}, k = 2)", said.words.um_up(up(expanded))),
        None => String::new(),
    };
    said.strong(&format!("Clearance {gap} mm{u}: {kind}, {intended}."));
    match found.interference.zip(found.inside) {
        Some((interference, inside)) => said.say(&format!(
            "Chance of interference {}; chance that the clearance is in the intended range {}.",
            chance(interference, said.words),
            chance(inside, said.words)
        )),
        None => {
            let halves = [("hole", &pair.hole), ("shaft", &pair.shaft)];
            let unknown = halves.iter().filter(|(_, half)| {
                let size = half.size();
                size.is_some_and(|size| size.standard.is_none())
            });
            let unknown: Vec<String> = unknown
                .map(|(name, half)| format!("the {name} {}", half.name))
                .collect();
            said.say(&format!(
                "Uncertainty not considered: that of {} is not known, so no chances are told.",
                unknown.join(" and ")
            ));
        }
    }
}

fn to_suit(said: &mut Said, pair: &Paired, make: &MakeOther, snapshot: &Snapshot) {
    let words = said.words;
    let (size, made, name, mate) = match make.measured {
        Measured::Hole => (&pair.hole, &pair.shaft, "shaft", "hole"),
        Measured::Shaft => (&pair.shaft, &pair.hole, "hole", "shaft"),
    };
    said.strong(&format!(
        "Make the {name} {} {}: then it suits the {mate} {} as intended.",
        made.name,
        inwards(make.suits.guarded, words),
        size.name
    ));
    said.say(&match make.guard {
        Some(guard) => format!(
            "That is {} less a guard band of {} at each end, 2 u of what is measured{}.",
            range(make.suits.whole, words),
            words.um_up(guard),
            match make.form {
                Length::ZERO => String::new(),
                form => format!(" with {} for its form", words.um_up(form)),
            }
        ),
        None => "No guard band: the uncertainty of what is measured is not known.".to_owned(),
    });
    let class = range(make.class, words);
    said.say(&match make.suits.in_class {
        Ok(both) if both == make.class => {
            format!("Its own class is {class}: every size of it suits.")
        }
        Ok(both) => format!(
            "Its own class is {class}; only {} lie in both and stay interchangeable.",
            inwards(both, words)
        ),
        Err(why) => format!("Its own class is {class}. {}", said.shown(&why.sentence())),
    });
    carry_over(said, (size, made), snapshot);
}

/// By which words a session measures by what suits.
fn carry_over(said: &mut Said, (measured, made): (&PairedHalf, &PairedHalf), snapshot: &Snapshot) {
    if made.suited.is_some() {
        return;
    }
    let source = measured.size().and_then(|size| match size.part {
        Some(part) => Some(format!("{}#{part}", snapshot.journal)),
        None => size.picked.clone(),
    });
    let Some(source) = source else {
        return;
    };
    match &made.plan {
        None => {
            let suit = quoted(&format!("{}={source}", measured.name));
            said.say(&format!(
                "To measure by these limits begin a session of this plan with: --suit {suit}"
            ));
        }
        Some(plan) => {
            let suit = quoted(&format!("THIS_PLAN#{}={source}", measured.name));
            said.say(&format!(
                "To measure by these limits, with this plan named as the pair of {plan} names it: \
                 fitledger inspect --plan {} --suit {suit}",
                quoted(plan)
            ));
        }
    }
}

/// As a POSIX shell takes it for one word.
fn quoted(text: &str) -> String {
    let is_plain = |letter: char| letter.is_ascii_alphanumeric() || "._-/".contains(letter);
    match text.chars().all(is_plain) {
        true => text.to_owned(),
        false => format!("'{}'", text.replace('\'', "'\\''")),
    }
}

fn intended(said: &mut Said, pair: &Paired, fit: &IntendedFit) {
    let words = said.words;
    let kind = match fit.kind {
        FitKind::Clearance => "always clearance",
        FitKind::Transition => "clearance or interference",
        FitKind::Interference => "always interference",
    };
    let both = Between {
        lower: fit.least,
        upper: fit.most,
    };
    let negative = match fit.least.is_negative() {
        true => " (negative: interference)",
        false => "",
    };
    said.say(&format!(
        "Intended is a clearance of {}{negative}: {kind}.",
        range(both, words)
    ));
    let halves = [
        ("hole", &pair.hole, fit.hole),
        ("shaft", &pair.shaft, fit.shaft),
    ];
    for (name, half, band) in halves {
        if let Some(own) = half.own.filter(|own| *own != band) {
            said.say(&format!(
                "The plan asks {} of the {name} {}, and not what the fit has.",
                range(own, words),
                half.name
            ));
        }
    }
}

/// Where the size of a half comes from, or what is missing of it.
fn of_half(said: &mut Said, name: &str, half: &PairedHalf) {
    let of = format!("The {name} {}", half.name);
    let text = match &half.now {
        HalfNow::Sized(size) => {
            let span = span(size, said.words);
            match size.part {
                Some(part) => format!("{of}: {span} mm at 20 °C, part {part} of this session."),
                None if size.picked.is_some() => format!(
                    "{of}: {span} mm at 20 °C ({}). It is only looked at with this part: nothing \
                     of it is recorded. 2 takes another.",
                    size.source
                ),
                None => format!(
                    "{of}: {span} mm at 20 °C, as the session was told ({}).",
                    size.source
                ),
            }
        }
        HalfNow::Open(why) => match why {
            HalfOpen::Elsewhere => format!(
                "{of} is made by the plan {}. {}Its measured size is told as a session begins, in \
                 the Start room or by --suit {}",
                half.plan.as_deref().unwrap_or_default(),
                match half.known.map(|known| known.parts) {
                    None => String::new(),
                    Some(0) => "No part of it is measured in the records; 2 says why. ".to_owned(),
                    Some(_) => format!(
                        "{}; 2 picks one to be looked at with this part. ",
                        known_words(half, said.words)
                    ),
                },
                quoted(&format!("{}=SIZE±u", half.name))
            ),
            HalfOpen::NoPart => format!("{of} is not measured: no part has been started."),
            HalfOpen::NoSize => format!(
                "{of} has no single size that is measured: it is a thread, or what a limit gauge \
                 proves."
            ),
            HalfOpen::EarlierStage => format!(
                "{of} is measured before its last stage, and is not yet what its mate meets."
            ),
            HalfOpen::NotSelected => {
                format!("{of} is left out on this part by the sampling plan.")
            }
            HalfOpen::Points(0, _) => format!("{of} is not measured on this part."),
            HalfOpen::Points(done, points) => {
                format!("{of} is measured on {done} of {points} points.")
            }
            HalfOpen::InDoubt => {
                format!("{of} has to be measured again: its gauge was found wrong afterwards.")
            }
        },
    };
    said.say(&text);
}

/// A chance in per cent; never 0 or 100: no size is that sure.
fn chance(share: f64, words: Words) -> String {
    let percent = 100.0 * share;
    if percent < CHANCE_LEAST {
        format!("less than {}", words.sentence(&format!("{CHANCE_LEAST} %")))
    } else if percent > 100.0 - CHANCE_LEAST {
        let most = 100.0 - CHANCE_LEAST;
        format!("more than {}", words.sentence(&format!("{most} %")))
    } else {
        words.sentence(&format!("{percent:.2} %"))
    }
}
