//! The grammar of thread designations.
//!
//! ```text
//! thread := "M" size [ "x" ( pitch | "Ph" lead "P" pitch [ "(" words ")" ] ) ]
//!           [ "-" class ] [ "-" length ] [ "-LH" ]
//! class  := ext | int | int "/" ext        length := S | N | L | group "/" group | number
//! int    := 1*2( grade CAPITALS )          ext    := 1*2( grade small letters )
//! ```
//! Blanks may stand between the parts; point or comma marks decimals.

use super::super::error::CalloutError;
use super::super::scanner::{Scanned, Scanner};
use super::callout::{Engagement, LengthGroup, ThreadCallout};
use super::class::{ThreadClass, ThreadMember, ThreadPosition, ThreadTolerance};
use super::error::{ThreadError, ThreadReason};
use crate::quantity::Length;

const TIMES_SIGNS: [char; 4] = ['x', 'X', '×', '*'];
const HYPHENS: [char; 4] = ['-', '\u{2010}', '\u{2212}', '\u{2013}'];
/// Most starts that are read (chosen: more is a slip).
const STARTS_MAX: i64 = 12;

/// Reads a thread from its `M` on.
pub(in crate::tolerance) fn thread(scanner: &mut Scanner<'_>) -> Scanned<ThreadCallout> {
    let _ = scanner.take_any(&['M', 'm']);
    scanner.skip_blanks();
    let nominal = length(scanner)?;
    let mut callout = ThreadCallout {
        nominal,
        pitch: None,
        lead: None,
        internal: None,
        external: None,
        engagement: None,
        left_hand: false,
    };
    scanner.skip_blanks();
    if scanner.take_any(&TIMES_SIGNS).is_some() {
        scanner.skip_blanks();
        pitch(scanner, &mut callout)?;
    }
    parts(scanner, &mut callout)?;
    Ok(callout)
}

/// A positive length in millimetres.
fn length(scanner: &mut Scanner<'_>) -> Scanned<Length> {
    let number = scanner.number()?;
    let length = scanner.length(number)?;
    if length > Length::ZERO {
        return Ok(length);
    }
    scanner.back_to(number.at);
    scanner.unexpected("a size above zero")
}

/// `1`, or `Ph3P1.5`.
fn pitch(scanner: &mut Scanner<'_>, callout: &mut ThreadCallout) -> Scanned<()> {
    if !scanner.take_text("Ph") && !scanner.take_text("ph") && !scanner.take_text("PH") {
        let _ = scanner.take_any(&['P', 'p']);
        scanner.skip_blanks();
        callout.pitch = Some(length(scanner)?);
        return Ok(());
    }
    scanner.skip_blanks();
    let at = scanner.at();
    let lead = length(scanner)?;
    scanner.skip_blanks();
    if scanner.take_any(&['P', 'p']).is_none() {
        return scanner.unexpected("P and the pitch after the lead, as in Ph3P1.5");
    }
    scanner.skip_blanks();
    let pitch = length(scanner)?;
    let starts = lead.as_nm() / pitch.as_nm();
    if lead.as_nm() % pitch.as_nm() != 0 || !(1..=STARTS_MAX).contains(&starts) {
        let reason = ThreadReason::StartsNotWhole { lead, pitch };
        return Err(at_place(scanner, at, reason));
    }
    callout.pitch = Some(pitch);
    callout.lead = (starts > 1).then_some(lead);
    words_in_brackets(scanner)
}

/// `(two starts)`: words that repeat what lead and pitch say.
fn words_in_brackets(scanner: &mut Scanner<'_>) -> Scanned<()> {
    scanner.skip_blanks();
    if scanner.take_any(&['(']).is_none() {
        return Ok(());
    }
    loop {
        let _ = scanner.take_letters();
        scanner.skip_blanks();
        match scanner.peek() {
            Some(')') => {
                let _ = scanner.take_any(&[')']);
                return Ok(());
            }
            Some(c) if c.is_ascii_alphabetic() => {}
            _ => return scanner.unexpected("words such as two starts, and then )"),
        }
    }
}

/// Class, length of engagement and hand, each after a hyphen, in this order.
fn parts(scanner: &mut Scanner<'_>, callout: &mut ThreadCallout) -> Scanned<()> {
    let mut stage = 0;
    loop {
        scanner.skip_blanks();
        if scanner.take_any(&HYPHENS).is_none() {
            return Ok(());
        }
        scanner.skip_blanks();
        let expected = match stage {
            0 => "a class such as 6H or 5g6g, a length S, N, L or in mm, or LH",
            1 => "a length of engagement S, N, L or in mm, or LH",
            2 => "LH",
            _ => "the end of the callout",
        };
        if stage < 1 && class_ahead(scanner) {
            classes(scanner, callout)?;
            stage = 1;
        } else if stage < 3 && left_hand(scanner) {
            callout.left_hand = true;
            stage = 3;
        } else if stage < 1 && scanner.at_number() {
            return scanner.unexpected("a class such as 6H or 5g6g before a length in mm");
        } else if stage < 2 {
            callout.engagement = Some(engagement(scanner, expected)?);
            stage = 2;
        } else {
            return scanner.unexpected(expected);
        }
    }
}

/// Digits with a letter behind them.
fn class_ahead(scanner: &mut Scanner<'_>) -> bool {
    let start = scanner.at();
    let digits = !scanner.take_digits().is_empty();
    let letter = scanner.peek().is_some_and(|c| c.is_ascii_alphabetic());
    scanner.back_to(start);
    digits && letter
}

fn left_hand(scanner: &mut Scanner<'_>) -> bool {
    scanner.take_text("LH") || scanner.take_text("lh") || scanner.take_text("Lh")
}

fn engagement(scanner: &mut Scanner<'_>, expected: &'static str) -> Scanned<Engagement> {
    if scanner.at_number() {
        return Ok(Engagement::Length(length(scanner)?));
    }
    let Some(internal) = group(scanner) else {
        return scanner.unexpected(expected);
    };
    scanner.skip_blanks();
    if scanner.take_any(&['/']).is_none() {
        return Ok(Engagement::Group(internal));
    }
    scanner.skip_blanks();
    match group(scanner) {
        Some(external) => Ok(Engagement::Groups { internal, external }),
        None => scanner.unexpected("S, N or L"),
    }
}

fn group(scanner: &mut Scanner<'_>) -> Option<LengthGroup> {
    let letter = scanner.take_any(&['S', 'N', 'L', 's', 'n', 'l'])?;
    Some(match letter.to_ascii_uppercase() {
        'S' => LengthGroup::Short,
        'N' => LengthGroup::Normal,
        _ => LengthGroup::Long,
    })
}

/// One class, or an internal and an external one.
fn classes(scanner: &mut Scanner<'_>, callout: &mut ThreadCallout) -> Scanned<()> {
    let at = scanner.at();
    let first = class(scanner)?;
    let after_first = scanner.at();
    scanner.skip_blanks();
    if scanner.take_any(&['/']).is_none() {
        scanner.back_to(after_first);
        match first.member() {
            ThreadMember::Internal => callout.internal = Some(first),
            ThreadMember::External => callout.external = Some(first),
        }
        return Ok(());
    }
    scanner.skip_blanks();
    let second = class(scanner)?;
    if (first.member(), second.member()) != (ThreadMember::Internal, ThreadMember::External) {
        let reason = ThreadReason::NotAFit { first, second };
        return Err(at_place(scanner, at, reason));
    }
    (callout.internal, callout.external) = (Some(first), Some(second));
    Ok(())
}

/// `6H`, `5g6g`.
fn class(scanner: &mut Scanner<'_>) -> Scanned<ThreadClass> {
    let at = scanner.at();
    let pitch = tolerance(scanner)?;
    let crest = match class_ahead(scanner) {
        true => {
            let crest = tolerance(scanner)?;
            if crest.position.member() != pitch.position.member() {
                let reason = ThreadReason::MembersMixed { pitch, crest };
                return Err(at_place(scanner, at, reason));
            }
            crest
        }
        false => pitch,
    };
    let class = ThreadClass { pitch, crest };
    match class.undefined_grade() {
        Some(reason) => Err(at_place(scanner, at, reason)),
        None => Ok(class),
    }
}

fn tolerance(scanner: &mut Scanner<'_>) -> Scanned<ThreadTolerance> {
    let at = scanner.at();
    let digits = scanner.take_digits();
    let letters_at = scanner.at();
    let letters = scanner.take_letters();
    let Some(position) = ThreadPosition::from_text(&letters) else {
        let reason = ThreadReason::UnknownPosition { found: letters };
        return Err(at_place(scanner, letters_at, reason));
    };
    match digits.parse::<u8>() {
        Ok(grade) if (3..=9).contains(&grade) && digits.len() == 1 => {
            Ok(ThreadTolerance { grade, position })
        }
        _ => {
            let reason = ThreadReason::UnknownGrade { found: digits };
            Err(at_place(scanner, at, reason))
        }
    }
}

fn at_place(scanner: &Scanner<'_>, at: usize, reason: ThreadReason) -> CalloutError {
    CalloutError::Thread(ThreadError {
        reason,
        place: Some(scanner.place(at)),
    })
}
