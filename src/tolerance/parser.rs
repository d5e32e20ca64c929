//! The grammar of callouts.
//!
//! ```text
//! callout   := thread | edge | chamfer | angle | size | fit
//! size      := [Ø] ( number class | indication of number ) [Ⓔ]
//! fit       := [Ø] number class "/" class
//! indication of q := q | q "±" q | q deviation "/" deviation | q "max" | q "min"
//!                  | q ".." [q] | ".." q
//! edge      := "R" indication of number      chamfer := number "x" angle, then as above
//! ```
//! Blanks may stand between the parts; `mm`, `in` or `"` after any number holds for all.

use crate::quantity::{Angle, Length};

use super::callout::{
    AngleCallout, Callout, EdgeCallout, EdgeKind, FitCallout, Indication, SizeCallout, SizeForm,
};
use super::class::{ClassKind, Grade, Letter, ToleranceClass};
use super::error::CalloutError;
use super::nearest::{nearest_grades, nearest_letters};
use super::scanner::{Number, Scanned, Scanner, is_angle_mark};
use super::tables::Tables;

const DIAMETER_SIGNS: [char; 5] = ['Ø', '⌀', 'ø', '∅', 'ɸ'];
const MINUS_SIGNS: [char; 3] = ['-', '\u{2212}', '\u{2013}'];
const TIMES_SIGNS: [char; 4] = ['x', 'X', '×', '*'];
const AFTER_NOMINAL: &str =
    "a tolerance class such as H7, ±, a deviation such as +0.1/-0.02, max, min, .. or the end";

/// Reads a callout with the classes of the standard.
///
/// Errors name the place, what stands there and what may stand there.
pub fn parse_callout(text: &str) -> Result<Callout, CalloutError> {
    parse_callout_in(text, Tables::standard())
}

/// Reads a callout with the classes of the standard and of the house tables in use.
pub fn parse_callout_in(text: &str, tables: &Tables) -> Result<Callout, CalloutError> {
    let mut scanner = Scanner::new(text)?;
    scanner.skip_blanks();
    let callout = match scanner.peek() {
        None => return Err(CalloutError::Empty),
        Some('M' | 'm') if digit_follows(&scanner) => {
            return Err(CalloutError::ThreadNotAvailable {
                place: scanner.place(scanner.at()),
            });
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
    let next = (1..).map_while(|step| scanner.peek_after(step));
    next.into_iter()
        .find(|c| !c.is_whitespace())
        .is_some_and(|c| c.is_ascii_digit() || c == '.' || c == ',')
}

/// Whether the first number carries an angle's mark.
fn angle_ahead(scanner: &mut Scanner<'_>) -> bool {
    let start = scanner.at();
    let _ = scanner.take_text("..");
    scanner.skip_blanks();
    let _ = scanner.take_any(&['+', '-', '\u{2212}', '\u{2013}']);
    scanner.skip_blanks();
    let found = scanner.number().is_ok() && {
        scanner.skip_blanks();
        scanner.peek().is_some_and(is_angle_mark)
    };
    scanner.back_to(start);
    found
}

/// A value that an indication can be about, as it stands in the text.
trait Token: Copy {
    fn take(scanner: &mut Scanner<'_>) -> Scanned<Self>;
    fn negated(self) -> Self;
    fn is_zero(self) -> bool;
}

/// A number whose unit is known only when the whole callout has been read.
#[derive(Debug, Clone, Copy)]
struct Signed {
    number: Number,
    negative: bool,
}

impl Token for Signed {
    fn take(scanner: &mut Scanner<'_>) -> Scanned<Self> {
        let number = scanner.number()?;
        scanner.take_unit()?;
        Ok(Self {
            number,
            negative: false,
        })
    }

    fn negated(self) -> Self {
        Self {
            negative: !self.negative,
            ..self
        }
    }

    fn is_zero(self) -> bool {
        self.number.value.mantissa() == 0
    }
}

impl Token for Angle {
    fn take(scanner: &mut Scanner<'_>) -> Scanned<Self> {
        scanner.angle()
    }

    fn negated(self) -> Self {
        -self
    }

    fn is_zero(self) -> bool {
        self == Self::ZERO
    }
}

/// Takes a sign if there is one; true is minus.
fn take_sign(scanner: &mut Scanner<'_>) -> Option<bool> {
    if scanner.take_any(&['+']).is_some() {
        return Some(false);
    }
    scanner.take_any(&MINUS_SIGNS).map(|_| true)
}

fn signed_value<T: Token>(scanner: &mut Scanner<'_>) -> Scanned<T> {
    let negative = take_sign(scanner) == Some(true);
    scanner.skip_blanks();
    let value = T::take(scanner)?;
    Ok(if negative { value.negated() } else { value })
}

/// A deviation: signed, or an unsigned zero.
fn deviation<T: Token>(scanner: &mut Scanner<'_>) -> Scanned<T> {
    scanner.skip_blanks();
    let start = scanner.at();
    let negative = take_sign(scanner);
    scanner.skip_blanks();
    let value = T::take(scanner)?;
    match negative {
        Some(true) => Ok(value.negated()),
        Some(false) => Ok(value),
        None if value.is_zero() => Ok(value),
        None => {
            scanner.back_to(start);
            scanner.unexpected("a deviation with its sign, or 0")
        }
    }
}

/// Takes ±, also as `+-` and `+/-`.
fn take_plus_minus(scanner: &mut Scanner<'_>) -> bool {
    scanner.take_any(&['±']).is_some() || scanner.take_text("+-") || scanner.take_text("+/-")
}

/// What follows a nominal value, when it is no class. Deviations stay in the order written.
fn after_nominal<T: Token>(scanner: &mut Scanner<'_>, nominal: T) -> Scanned<Indication<T>> {
    scanner.skip_blanks();
    let start = scanner.at();
    match scanner.peek() {
        None | Some('Ⓔ' | '(') => Ok(Indication::Bare { nominal }),
        Some('.') if scanner.take_text("..") => {
            scanner.skip_blanks();
            scanner.note_second_limit();
            let upper = match scanner.peek() {
                None | Some('Ⓔ' | '(') => None,
                Some(_) => Some(signed_value(scanner)?),
            };
            Ok(Indication::Limits {
                lower: Some(nominal),
                upper,
            })
        }
        Some(_) if take_plus_minus(scanner) => {
            scanner.skip_blanks();
            let upper = T::take(scanner)?;
            Ok(Indication::Deviations {
                nominal,
                upper,
                lower: upper.negated(),
            })
        }
        Some(c) if c == '+' || MINUS_SIGNS.contains(&c) || c == '0' => {
            let upper = deviation(scanner)?;
            scanner.skip_blanks();
            let separated = scanner.take_any(&['/']).is_some();
            scanner.skip_blanks();
            if !separated && scanner.peek().is_none() {
                return scanner.unexpected("/ and the other deviation, such as /0");
            }
            let lower = deviation(scanner)?;
            Ok(Indication::Deviations {
                nominal,
                upper,
                lower,
            })
        }
        Some(c) if c.is_ascii_alphabetic() => {
            let word = scanner.take_letters().to_ascii_lowercase();
            match word.as_str() {
                "max" | "min" => {
                    let _ = scanner.take_any(&['.']);
                    Ok(match word.as_str() {
                        "max" => Indication::Maximum { limit: nominal },
                        _ => Indication::Minimum { limit: nominal },
                    })
                }
                _ => {
                    scanner.back_to(start);
                    scanner.unexpected("±, a deviation such as +0.1/-0.02, max, min or ..")
                }
            }
        }
        Some(_) => scanner.unexpected(AFTER_NOMINAL),
    }
}

/// A nominal or limit at the start; a negative one must be a limit.
fn indication<T: Token>(scanner: &mut Scanner<'_>) -> Scanned<Indication<T>> {
    if scanner.take_text("..") {
        scanner.skip_blanks();
        return Ok(Indication::Limits {
            lower: None,
            upper: Some(signed_value(scanner)?),
        });
    }
    let sign = take_sign(scanner);
    scanner.skip_blanks();
    let value = T::take(scanner)?;
    scanner.skip_blanks();
    match sign {
        None => after_nominal(scanner, value),
        Some(_) if scanner.peek() != Some('.') => {
            scanner.unexpected(".., since only a limit may carry a sign")
        }
        Some(true) => after_nominal(scanner, value.negated()),
        Some(false) => after_nominal(scanner, value),
    }
}

/// Deviations may be written in either order, since each carries its sign.
fn ordered<Q: Ord + Copy>(indication: Indication<Q>) -> Indication<Q> {
    match indication {
        Indication::Deviations {
            nominal,
            upper,
            lower,
        } => Indication::Deviations {
            nominal,
            upper: upper.max(lower),
            lower: upper.min(lower),
        },
        other => other,
    }
}

/// Refuses limits whose first is above the second.
fn checked<Q: Ord + Copy>(
    scanner: &Scanner<'_>,
    indication: Indication<Q>,
) -> Scanned<Indication<Q>> {
    match indication {
        Indication::Limits {
            lower: Some(low),
            upper: Some(high),
        } if low > high => Err(CalloutError::ReversedLimits {
            place: scanner.place(scanner.second_limit_at()),
        }),
        other => Ok(ordered(other)),
    }
}

fn angle_indication(scanner: &mut Scanner<'_>) -> Scanned<Indication<Angle>> {
    let read = indication(scanner)?;
    checked(scanner, read)
}

/// Gives the numbers of an indication their unit, now that all of it has been read.
fn with_unit(scanner: &Scanner<'_>, read: Indication<Signed>) -> Scanned<Indication<Length>> {
    let length = |value: Signed| -> Scanned<Length> {
        let size = scanner.length(value.number)?;
        Ok(if value.negative { -size } else { size })
    };
    let lengths = match read {
        Indication::Bare { nominal } => Indication::Bare {
            nominal: length(nominal)?,
        },
        Indication::Deviations {
            nominal,
            upper,
            lower,
        } => Indication::Deviations {
            nominal: length(nominal)?,
            upper: length(upper)?,
            lower: length(lower)?,
        },
        Indication::Maximum { limit } => Indication::Maximum {
            limit: length(limit)?,
        },
        Indication::Minimum { limit } => Indication::Minimum {
            limit: length(limit)?,
        },
        Indication::Limits { lower, upper } => Indication::Limits {
            lower: lower.map(length).transpose()?,
            upper: upper.map(length).transpose()?,
        },
    };
    checked(scanner, lengths)
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
        let signed = scanner
            .peek()
            .is_some_and(|c| c == '+' || MINUS_SIGNS.contains(&c));
        if !signed && !(scanner.peek() == Some('.') && scanner.peek_after(1) == Some('.')) {
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
