//! The grammar of thread designations.
//!
//! ```text
//! thread := "M" size [ "x" ( pitch | "Ph" lead "P" pitch [ "(" words ")" ] ) ]
//!           [ "-" class ] [ "-" length ] [ "-LH" ]
//! class  := ext | int | int "/" ext        length := S | N | L | group "/" group | number
//! int    := 1*2( grade CAPITALS )          ext    := 1*2( grade small letters )
//! ```
//! Blanks may stand between the parts; point or comma marks decimals. Where each part stands is
//! known while reading, and read again when the tables refuse one.

use super::super::error::CalloutError;
use super::super::scanner::{Scanned, Scanner, TIMES_SIGNS};
use super::callout::{Engagement, LengthGroup, ThreadCallout};
use super::class::{ThreadClass, ThreadMember, ThreadPosition, ThreadTolerance};
use super::error::{ThreadError, ThreadReason};
use super::limits::ThreadElement;
use crate::quantity::Length;

const HYPHENS: [char; 6] = [
    '-', '\u{2010}', '\u{2011}', '\u{2212}', '\u{2013}', '\u{2014}',
];
/// Most starts that are read (chosen: more is a slip).
const STARTS_MAX: i64 = 12;
const CLASS_EXPECTED: &str = "a class such as 6H or 5g6g, a length S, N, L or in mm, or LH";

/// Where the parts of a designation stand in its text, in characters from 0.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Marks {
    /// The nominal diameter.
    pub(super) size: usize,
    /// The pitch, if written.
    pub(super) pitch: Option<usize>,
    /// The internal class: its pitch-diameter tolerance and its crest tolerance.
    pub(super) internal: Option<(usize, usize)>,
    /// The external class, likewise.
    pub(super) external: Option<(usize, usize)>,
}

/// Reads a thread from its `M` on.
pub(in crate::tolerance) fn thread(scanner: &mut Scanner<'_>) -> Scanned<ThreadCallout> {
    with_marks(scanner).map(|(callout, _)| callout)
}

/// Where the parts of a readable designation stand.
pub(super) fn marks_of(text: &str) -> Option<Marks> {
    let mut scanner = Scanner::new(text).ok()?;
    scanner.skip_blanks();
    with_marks(&mut scanner).ok().map(|(_, marks)| marks)
}

fn with_marks(scanner: &mut Scanner<'_>) -> Scanned<(ThreadCallout, Marks)> {
    let _ = scanner.take_any(&['M', 'm']);
    scanner.skip_blanks();
    let mut marks = Marks {
        size: scanner.at(),
        ..Marks::default()
    };
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
        marks.pitch = Some(pitch(scanner, &mut callout)?);
    }
    parts(scanner, &mut callout, &mut marks)?;
    Ok((callout, marks))
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

/// `1`, or `Ph3P1.5`; gives where the pitch stands.
fn pitch(scanner: &mut Scanner<'_>, callout: &mut ThreadCallout) -> Scanned<usize> {
    if !scanner.take_text("Ph") && !scanner.take_text("ph") && !scanner.take_text("PH") {
        let _ = scanner.take_any(&['P', 'p']);
        scanner.skip_blanks();
        if !scanner.at_number() {
            return scanner.unexpected("a pitch such as 1.25, or lead and pitch such as Ph3P1.5");
        }
        let at = scanner.at();
        callout.pitch = Some(length(scanner)?);
        return Ok(at);
    }
    scanner.skip_blanks();
    let lead_at = scanner.at();
    let lead = length(scanner)?;
    scanner.skip_blanks();
    if scanner.take_any(&['P', 'p']).is_none() {
        return scanner.unexpected("P and the pitch after the lead, as in Ph3P1.5");
    }
    scanner.skip_blanks();
    let at = scanner.at();
    let pitch = length(scanner)?;
    let starts = lead.as_nm() / pitch.as_nm();
    if lead.as_nm() % pitch.as_nm() != 0 || !(1..=STARTS_MAX).contains(&starts) {
        let reason = ThreadReason::StartsNotWhole { lead, pitch };
        return Err(at_place(scanner, lead_at, reason));
    }
    callout.pitch = Some(pitch);
    callout.lead = (starts > 1).then_some(lead);
    starts_in_brackets(scanner, lead, pitch)?;
    Ok(at)
}

/// `(two starts)`, `(2 starts)`: words that repeat what lead and pitch say, and must agree.
fn starts_in_brackets(scanner: &mut Scanner<'_>, lead: Length, pitch: Length) -> Scanned<()> {
    const WORDS: [&str; 12] = [
        "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
        "twelve",
    ];
    const STARTS_WRITTEN_MAX: i64 = 99;
    const EXPECTED: &str = "the number of starts in words, as in (two starts)";
    let start = scanner.at();
    scanner.skip_blanks();
    if scanner.take_any(&['(']).is_none() {
        scanner.back_to(start);
        return Ok(());
    }
    scanner.skip_blanks();
    let at = scanner.at();
    let (digits, word) = (scanner.take_digits(), scanner.take_letters());
    let written = match digits.parse::<i64>() {
        Ok(number) if word.is_empty() && number <= STARTS_WRITTEN_MAX => Some(number),
        _ => {
            let same = |known: &&str| digits.is_empty() && word.eq_ignore_ascii_case(known);
            let found = (1..).zip(&WORDS).find(|(_, known)| same(known));
            found.map(|(number, _)| number)
        }
    };
    scanner.skip_blanks();
    let noun = scanner.take_letters();
    let has_noun = noun.eq_ignore_ascii_case("start") || noun.eq_ignore_ascii_case("starts");
    scanner.skip_blanks();
    let Some(written) = written.filter(|_| has_noun && scanner.take_any(&[')']).is_some()) else {
        scanner.back_to(at);
        return scanner.unexpected(EXPECTED);
    };
    if lead.as_nm() != pitch.as_nm().saturating_mul(written) {
        let reason = ThreadReason::StartsDisagree {
            written,
            lead,
            pitch,
        };
        return Err(at_place(scanner, at, reason));
    }
    Ok(())
}

/// Class, length of engagement and hand, each after a hyphen, in this order.
fn parts(scanner: &mut Scanner<'_>, callout: &mut ThreadCallout, marks: &mut Marks) -> Scanned<()> {
    let mut stage = 0;
    loop {
        scanner.skip_blanks();
        if scanner.take_any(&HYPHENS).is_none() {
            return match missing_mark(scanner, callout, stage) {
                Some(error) => Err(error),
                None => Ok(()),
            };
        }
        scanner.skip_blanks();
        let expected = match stage {
            0 => CLASS_EXPECTED,
            1 => "a length of engagement S, N, L or in mm, or LH",
            2 => "LH",
            _ => "the end of the callout, since LH stands last",
        };
        if stage < 1 && class_ahead(scanner) {
            classes(scanner, callout, marks)?;
            stage = 1;
        } else if stage < 3 && left_hand(scanner) {
            callout.left_hand = true;
            stage = 3;
        } else if stage < 1 && scanner.at_number() {
            return scanner.unexpected("a class such as 6H or 5g6g before a length in mm");
        } else if stage < 2 {
            engagement(scanner, callout, expected)?;
            stage = 2;
        } else {
            return scanner.unexpected(expected);
        }
    }
}

/// What stands next may be a part without its hyphen, or a pitch without its ×: that is said, and
/// never taken.
#[cold]
fn missing_mark(
    scanner: &mut Scanner<'_>,
    callout: &ThreadCallout,
    stage: u8,
) -> Option<CalloutError> {
    let next = scanner.peek()?;
    let is_pitch = stage == 0
        && callout.pitch.is_none()
        && (next == 'P' || scanner.at_number())
        && !class_ahead(scanner);
    let is_part = next.is_ascii_digit() || matches!(next, 'S' | 'N' | 'L' | 's' | 'n' | 'l');
    if !(is_pitch || is_part && stage < 3) {
        return None;
    }
    let mark = if is_pitch { 'x' } else { '-' };
    let place = scanner.place(scanner.at());
    let before: String = place.text.chars().take(place.at).collect();
    let after: String = place.text.chars().skip(place.at).collect();
    // One mark more a time: at most a pitch, a class, a length and a hand can lack one.
    let corrected = format!("{}{mark}{after}", before.trim_end());
    let mut again = Scanner::new(&corrected).ok()?;
    again.skip_blanks();
    let callout = match thread(&mut again) {
        Ok(callout) => again.end("").is_ok().then(|| callout.to_string()),
        Err(CalloutError::Thread(ThreadError {
            reason: ThreadReason::MissingMark { meant, .. },
            ..
        })) => meant,
        Err(_) => None,
    };
    let reason = ThreadReason::MissingMark {
        mark,
        found: next,
        meant: callout,
    };
    Some(at_place(scanner, place.at, reason))
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

fn engagement(
    scanner: &mut Scanner<'_>,
    callout: &mut ThreadCallout,
    expected: &'static str,
) -> Scanned<()> {
    if scanner.at_number() {
        callout.engagement = Some(Engagement::Length(length(scanner)?));
        return Ok(());
    }
    let Some(internal) = group(scanner) else {
        return scanner.unexpected(expected);
    };
    let end = scanner.at();
    scanner.skip_blanks();
    if scanner.peek() != Some('/') {
        scanner.back_to(end);
        callout.engagement = Some(Engagement::Group(internal));
        return Ok(());
    }
    if callout.internal.is_some() != callout.external.is_some() {
        return scanner.unexpected("one length of engagement, since there is one class");
    }
    let _ = scanner.take_any(&['/']);
    scanner.skip_blanks();
    let Some(external) = group(scanner) else {
        return scanner.unexpected("S, N or L of the external thread");
    };
    callout.engagement = Some(Engagement::Groups { internal, external });
    Ok(())
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
fn classes(
    scanner: &mut Scanner<'_>,
    callout: &mut ThreadCallout,
    marks: &mut Marks,
) -> Scanned<()> {
    let at = scanner.at();
    let (first, first_marks) = class(scanner)?;
    let after_first = scanner.at();
    scanner.skip_blanks();
    if scanner.take_any(&['/']).is_none() {
        scanner.back_to(after_first);
        match first.member() {
            ThreadMember::Internal => {
                (callout.internal, marks.internal) = (Some(first), Some(first_marks));
            }
            ThreadMember::External => {
                (callout.external, marks.external) = (Some(first), Some(first_marks));
            }
        }
        return Ok(());
    }
    scanner.skip_blanks();
    if !class_ahead(scanner) {
        return scanner.unexpected("the external class, such as 6g, after the slash");
    }
    let (second, second_marks) = class(scanner)?;
    if (first.member(), second.member()) != (ThreadMember::Internal, ThreadMember::External) {
        let reason = ThreadReason::NotAFit { first, second };
        return Err(at_place(scanner, at, reason));
    }
    (callout.internal, callout.external) = (Some(first), Some(second));
    (marks.internal, marks.external) = (Some(first_marks), Some(second_marks));
    Ok(())
}

/// `6H`, `5g6g`; and where its two tolerances stand.
fn class(scanner: &mut Scanner<'_>) -> Scanned<(ThreadClass, (usize, usize))> {
    let at = scanner.at();
    let pitch = tolerance(scanner)?;
    let end = scanner.at();
    scanner.skip_blanks();
    let crest_at = scanner.at();
    let (crest, crest_at) = match class_ahead(scanner) {
        true => {
            let crest = tolerance(scanner)?;
            if crest.position.member() != pitch.position.member() {
                let reason = ThreadReason::MembersMixed { pitch, crest };
                return Err(at_place(scanner, at, reason));
            }
            (crest, crest_at)
        }
        false => {
            scanner.back_to(end);
            (pitch, at)
        }
    };
    let class = ThreadClass { pitch, crest };
    match class.undefined_grade() {
        Some(reason) => {
            let of_pitch = matches!(
                reason,
                ThreadReason::GradeNotOfDiameter {
                    element: ThreadElement::Pitch,
                    ..
                }
            );
            let place = if of_pitch { at } else { crest_at };
            Err(at_place(scanner, place, reason))
        }
        None => Ok((class, (at, crest_at))),
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
