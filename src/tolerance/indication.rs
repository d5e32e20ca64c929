//! How the tolerance of a nominal value is indicated: ±, two deviations, max, min, limits.
//!
//! This file is the same for lengths, whose unit may stand last, and for angles.

use crate::quantity::{Angle, Length};

use super::callout::Indication;
use super::error::CalloutError;
use super::scanner::{Number, Scanned, Scanner};

/// The signs that mean minus: hyphen, minus sign, en dash.
pub(super) const MINUS_SIGNS: [char; 3] = ['-', '\u{2212}', '\u{2013}'];
const AFTER_NOMINAL: &str =
    "a tolerance class such as H7, ±, a deviation such as +0.1/-0.02, max, min, .. or the end";

/// A value that an indication can be about, as it stands in the text.
pub(super) trait Token: Copy {
    fn take(scanner: &mut Scanner<'_>) -> Scanned<Self>;
    fn negated(self) -> Self;
    fn is_zero(self) -> bool;
}

/// A number whose unit is known only when the whole callout has been read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Signed {
    pub(super) number: Number,
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
pub(super) fn after_nominal<T: Token>(
    scanner: &mut Scanner<'_>,
    nominal: T,
) -> Scanned<Indication<T>> {
    scanner.skip_blanks();
    let start = scanner.at();
    match scanner.peek() {
        None | Some('Ⓔ' | '(') => Ok(Indication::Bare { nominal }),
        Some('.') if scanner.take_text("..") => {
            if scanner.peek() == Some('.') {
                return scanner.unexpected("two points between limits, and then a digit");
            }
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
pub(super) fn indication<T: Token>(scanner: &mut Scanner<'_>) -> Scanned<Indication<T>> {
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

/// Gives the numbers of an indication their unit, now that all of it has been read.
pub(super) fn with_unit(
    scanner: &Scanner<'_>,
    read: Indication<Signed>,
) -> Scanned<Indication<Length>> {
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

/// An indication of an angle.
pub(super) fn angle_indication(scanner: &mut Scanner<'_>) -> Scanned<Indication<Angle>> {
    let read = indication(scanner)?;
    checked(scanner, read)
}
