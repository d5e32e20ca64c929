//! The grammar of callouts.
//!
//! ```text
//! callout   := thread (thread/parser.rs) | edge | chamfer | angle | size | fit
//! size      := [Ø] ( number class | indication of number ) [Ⓔ]
//! fit       := [Ø] number class "/" class
//! indication of q := q | q "±" q | q deviation "/" deviation | q "max" | q "min"
//!                  | q ".." [q] | ".." q
//! edge      := "R" indication of number      chamfer := number "x" angle, then as above
//! ```
//! Blanks may stand between the parts; `mm`, `in` or `"` after any number holds for all.

use crate::quantity::Angle;

use super::callout::{
    AngleCallout, Callout, EdgeCallout, EdgeKind, FitCallout, Indication, SizeCallout, SizeForm,
};
use super::class::{ClassKind, Grade, Letter, ToleranceClass};
use super::error::CalloutError;
use super::indication::{
    MINUS_SIGNS, Signed, Token, after_nominal, angle_indication, indication, with_unit,
};
use super::nearest::{nearest_grades, nearest_letters};
use super::resolve::{CalloutLimits, Context};
use super::scanner::{Scanned, Scanner, TIMES_SIGNS, is_angle_mark};
use super::tables::Tables;

const DIAMETER_SIGNS: [char; 5] = ['Ø', '⌀', 'ø', '∅', 'ɸ'];

/// Reads a callout with the classes of the standard.
///
/// Errors name the place, what stands there and what may stand there.
pub fn parse_callout(text: &str) -> Result<Callout, CalloutError> {
    parse_callout_in(text, Tables::standard())
}

/// Reads a callout and gives its limits in one step; a class that is not defined at its size is
/// pointed at, too.
pub fn limits_of(
    text: &str,
    context: &Context<'_>,
) -> Result<(Callout, CalloutLimits), CalloutError> {
    let callout = parse_callout_in(text, context.tables)?;
    match callout.limits(context) {
        Ok(limits) => Ok((callout, limits)),
        Err(error) => Err(error.pointed_in(text)),
    }
}

impl std::str::FromStr for Callout {
    type Err = CalloutError;

    /// [`parse_callout`].
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        parse_callout(text)
    }
}

/// Reads a callout with the classes of the standard and of the house tables in use.
pub fn parse_callout_in(text: &str, tables: &Tables) -> Result<Callout, CalloutError> {
    let mut scanner = Scanner::new(text)?;
    scanner.skip_blanks();
    let callout = match scanner.peek() {
        None => return Err(CalloutError::Empty),
        Some('M' | 'm') if digit_follows(&scanner) => {
            Callout::Thread(super::thread::thread(&mut scanner)?)
        }
        Some('R' | 'r') if digit_follows(&scanner) => radius(&mut scanner)?,
        Some(c) if DIAMETER_SIGNS.contains(&c) => {
            scanner.take_any(&DIAMETER_SIGNS);
            scanner.skip_blanks();
            size_or_fit(&mut scanner, tables, true)?
        }
        Some(_) if angle_ahead(&mut scanner) => Callout::Angle(AngleCallout {
            indication: angle_indication(&mut scanner)?,
        }),
        Some(_) => size_or_fit(&mut scanner, tables, false)?,
    };
    scanner.end("the end of the callout")?;
    Ok(callout)
}

/// Whether digits follow the letter at the cursor, as in M10 and R2.
fn digit_follows(scanner: &Scanner<'_>) -> bool {
    (1..)
        .map_while(|step| scanner.peek_after(step))
        .find(|c| !c.is_whitespace())
        .is_some_and(|c| c.is_ascii_digit() || c == '.' || c == ',')
}

/// Whether the first number carries an angle's mark.
fn angle_ahead(scanner: &mut Scanner<'_>) -> bool {
    let start = scanner.at();
    let _ = scanner.take_text("..");
    scanner.skip_blanks();
    let _ = scanner
        .take_any(&['+'])
        .or_else(|| scanner.take_any(&MINUS_SIGNS));
    scanner.skip_blanks();
    let found = scanner.number().is_ok() && {
        scanner.skip_blanks();
        scanner.peek().is_some_and(is_angle_mark)
    };
    scanner.back_to(start);
    found
}

fn radius(scanner: &mut Scanner<'_>) -> Scanned<Callout> {
    let _ = scanner.take_any(&['R', 'r']);
    scanner.skip_blanks();
    let read = indication(scanner)?;
    Ok(Callout::Edge(EdgeCallout {
        kind: EdgeKind::Radius,
        indication: with_unit(scanner, read)?,
        unit: scanner.unit(),
    }))
}

fn size_or_fit(scanner: &mut Scanner<'_>, tables: &Tables, diameter: bool) -> Scanned<Callout> {
    if !scanner.at_number() {
        let signed = |c: char| c == '+' || MINUS_SIGNS.contains(&c);
        let points = scanner.peek() == Some('.') && scanner.peek_after(1) == Some('.');
        if !points && !scanner.peek().is_some_and(signed) {
            return scanner.unexpected("a nominal size, a limit, Ø, R or an angle");
        }
        let read = indication(scanner)?;
        return finish_size(scanner, read, diameter);
    }
    let nominal = Signed::take(scanner)?;
    scanner.skip_blanks();
    let start = scanner.at();
    if !diameter && let Some(angle) = chamfer_angle(scanner)? {
        let read = after_nominal(scanner, nominal)?;
        if matches!(read, Indication::Limits { .. }) {
            scanner.back_to(start);
            return scanner.unexpected("one chamfer height");
        }
        return Ok(Callout::Edge(EdgeCallout {
            kind: EdgeKind::Chamfer { angle },
            indication: with_unit(scanner, read)?,
            unit: scanner.unit(),
        }));
    }
    if scanner.peek().is_some_and(|c| c.is_ascii_alphabetic()) && !limit_word_ahead(scanner) {
        return class_or_fit(scanner, tables, nominal, diameter);
    }
    let read = after_nominal(scanner, nominal)?;
    finish_size(scanner, read, diameter)
}

fn limit_word_ahead(scanner: &mut Scanner<'_>) -> bool {
    let start = scanner.at();
    let word = scanner.take_letters().to_ascii_lowercase();
    let digits = scanner.peek().is_some_and(|c| c.is_ascii_digit());
    scanner.back_to(start);
    matches!(word.as_str(), "max" | "min") && !digits
}

/// The angle after a chamfer's height, when the text goes on like a chamfer.
fn chamfer_angle(scanner: &mut Scanner<'_>) -> Scanned<Option<Angle>> {
    let start = scanner.at();
    if scanner.take_any(&TIMES_SIGNS).is_none() {
        return Ok(None);
    }
    scanner.skip_blanks();
    if !angle_ahead(scanner) {
        scanner.back_to(start);
        return Ok(None);
    }
    let at = scanner.at();
    let angle = scanner.angle()?;
    if angle <= Angle::ZERO || angle >= Angle::from_minutes(90 * 60) {
        scanner.back_to(at);
        return scanner.unexpected("a chamfer angle over 0° and below 90°");
    }
    Ok(Some(angle))
}

fn finish_size(
    scanner: &mut Scanner<'_>,
    read: Indication<Signed>,
    diameter: bool,
) -> Scanned<Callout> {
    let envelope = take_envelope(scanner);
    Ok(Callout::Size(SizeCallout {
        form: SizeForm::Indicated(with_unit(scanner, read)?),
        unit: scanner.unit(),
        diameter,
        envelope,
    }))
}

fn take_envelope(scanner: &mut Scanner<'_>) -> bool {
    scanner.skip_blanks();
    scanner.take_any(&['Ⓔ']).is_some() || scanner.take_text("(E)")
}

fn class_or_fit(
    scanner: &mut Scanner<'_>,
    tables: &Tables,
    nominal: Signed,
    diameter: bool,
) -> Scanned<Callout> {
    let at = scanner.at();
    let first = class(scanner, tables)?;
    let size = scanner.length(nominal.number)?;
    let unit = scanner.unit();
    let after_first = scanner.at();
    scanner.skip_blanks();
    if scanner.take_any(&['/']).is_none() {
        scanner.back_to(after_first);
        return Ok(Callout::Size(SizeCallout {
            form: SizeForm::Class {
                nominal: size,
                class: first,
            },
            unit,
            diameter,
            envelope: take_envelope(scanner),
        }));
    }
    scanner.skip_blanks();
    let second = class(scanner, tables)?;
    match (first.kind(), second.kind()) {
        (ClassKind::Hole, ClassKind::Shaft) => Ok(Callout::Fit(FitCallout {
            nominal: size,
            hole: first,
            shaft: second,
            unit,
            diameter,
        })),
        (one, other) => Err(CalloutError::NotAFit {
            place: scanner.place(at),
            found: format!("{first}/{second}"),
            swapped: (one != other).then(|| format!("{second}/{first}")),
        }),
    }
}

/// A tolerance class: letters and digits, without a blank between them.
fn class(scanner: &mut Scanner<'_>, tables: &Tables) -> Scanned<ToleranceClass> {
    let at = scanner.at();
    let letters = scanner.take_letters();
    if letters.is_empty() {
        return scanner.unexpected("a tolerance class such as H7 or g6");
    }
    let grade_at = scanner.at();
    let digits = scanner.take_digits();
    let known = Letter::any(&letters)
        .filter(|name| name.is_standard() || tables.house_letters().contains(name));
    if known.is_none() {
        return Err(CalloutError::UnknownLetter {
            place: scanner.place(at),
            nearest: nearest_letters(&letters, &digits, tables),
            found: letters,
        });
    }
    if digits.is_empty() {
        return Err(CalloutError::MissingGrade {
            place: scanner.place(at),
            found: letters,
        });
    }
    match (known, Grade::parse(&digits)) {
        (Some(letter), Some(grade)) => Ok(ToleranceClass::new(letter, grade)),
        _ => Err(CalloutError::UnknownGrade {
            place: scanner.place(grade_at),
            nearest: nearest_grades(&letters, &digits),
            found: digits,
        }),
    }
}
