//! Characters of a callout with their places; numbers, units and angles in it.
//!
//! This file knows how values are written, not what a callout is.

use crate::quantity::{Angle, Decimal, DecimalMark, Length, LengthUnit, QuantityError};

use super::error::{CalloutError, Place};

/// Most characters that a callout may have (chosen; real ones stay below thirty).
pub(super) const CHARACTERS_MAX: usize = 200;
/// The signs that stand between a height and an angle, or a thread's size and its pitch.
pub(super) const TIMES_SIGNS: [char; 4] = ['x', 'X', '×', '*'];

pub(super) type Scanned<T> = Result<T, CalloutError>;

/// A cursor over the characters of one text.
pub(super) struct Scanner<'a> {
    text: &'a str,
    chars: Vec<char>,
    at: usize,
    /// The unit written so far, if any.
    unit: Option<LengthUnit>,
    /// Where the second limit stands.
    second_limit_at: usize,
}

/// A decimal number with its place, before its unit is known.
#[derive(Debug, Clone, Copy)]
pub(super) struct Number {
    pub(super) value: Decimal,
    pub(super) at: usize,
}

impl<'a> Scanner<'a> {
    pub(super) fn new(text: &'a str) -> Scanned<Self> {
        let found = text.chars().count();
        if found > CHARACTERS_MAX {
            return Err(CalloutError::TooLong {
                found,
                allowed: CHARACTERS_MAX,
            });
        }
        Ok(Self {
            text,
            chars: text.chars().collect(),
            at: 0,
            unit: None,
            second_limit_at: 0,
        })
    }

    /// Notes that the second of two limits starts here.
    pub(super) fn note_second_limit(&mut self) {
        self.second_limit_at = self.at;
    }

    /// Where the second of two limits starts.
    pub(super) fn second_limit_at(&self) -> usize {
        self.second_limit_at
    }

    pub(super) fn place(&self, at: usize) -> Place {
        Place {
            text: self.text.to_owned(),
            at,
        }
    }

    pub(super) fn at(&self) -> usize {
        self.at
    }

    /// Goes back to a place given by [`Scanner::at`].
    pub(super) fn back_to(&mut self, at: usize) {
        self.at = at;
    }

    pub(super) fn unit(&self) -> LengthUnit {
        self.unit.unwrap_or(LengthUnit::Millimetre)
    }

    pub(super) fn skip_blanks(&mut self) {
        while self.peek().is_some_and(char::is_whitespace) {
            self.at += 1;
        }
    }

    pub(super) fn peek(&self) -> Option<char> {
        self.chars.get(self.at).copied()
    }

    pub(super) fn peek_after(&self, steps: usize) -> Option<char> {
        self.chars.get(self.at + steps).copied()
    }

    /// Takes the next character when it is one of those.
    pub(super) fn take_any(&mut self, wanted: &[char]) -> Option<char> {
        let next = self.peek().filter(|c| wanted.contains(c))?;
        self.at += 1;
        Some(next)
    }

    /// Takes a run of characters when it stands next.
    pub(super) fn take_text(&mut self, wanted: &str) -> bool {
        let length = wanted.chars().count();
        let matches = wanted
            .chars()
            .enumerate()
            .all(|(step, c)| self.peek_after(step) == Some(c));
        if matches {
            self.at += length;
        }
        matches
    }

    /// Takes a word of ASCII letters, which may be empty.
    pub(super) fn take_letters(&mut self) -> String {
        self.take_while(|c| c.is_ascii_alphabetic())
    }

    /// Takes a run of digits, which may be empty.
    pub(super) fn take_digits(&mut self) -> String {
        self.take_while(|c| c.is_ascii_digit())
    }

    fn take_while(&mut self, wanted: impl Fn(char) -> bool) -> String {
        let rest = self.chars.iter().skip(self.at).copied();
        let run: String = rest.take_while(|c| wanted(*c)).collect();
        self.at += run.chars().count();
        run
    }

    /// Refuses what stands next.
    pub(super) fn unexpected<T>(&self, expected: &'static str) -> Scanned<T> {
        Err(CalloutError::Unexpected {
            place: self.place(self.at),
            found: self.peek(),
            expected,
        })
    }

    /// Only blanks may be left.
    pub(super) fn end(&mut self, expected: &'static str) -> Scanned<()> {
        self.skip_blanks();
        match self.peek() {
            None => Ok(()),
            Some(_) => self.unexpected(expected),
        }
    }

    /// Whether a number starts here, sign not counted.
    pub(super) fn at_number(&self) -> bool {
        let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
        match self.peek() {
            Some('.' | ',') => digit(self.peek_after(1)),
            next => digit(next),
        }
    }

    /// Takes an unsigned number. A decimal mark belongs to it only when a digit follows, so that
    /// `12..` is 12 and two points.
    pub(super) fn number(&mut self) -> Scanned<Number> {
        if !self.at_number() {
            return self.unexpected("a number");
        }
        let at = self.at;
        let mut written = self.take_digits();
        if self.at_number()
            && let Some(mark) = self.take_any(&['.', ','])
        {
            written.push(mark);
            written.push_str(&self.take_digits());
            if self.at_number() {
                return self.unexpected("a number with one decimal mark and no grouping");
            }
        }
        match Decimal::parse(&written, DecimalMark::Either) {
            Ok(value) => Ok(Number { value, at }),
            Err(reason) => Err(self.bad_number(at, reason)),
        }
    }

    pub(super) fn bad_number(&self, at: usize, reason: QuantityError) -> CalloutError {
        CalloutError::BadNumber {
            place: self.place(at),
            reason,
        }
    }

    /// Takes a unit if one is written (`mm`, `in`, `"`); all units of a callout are the same.
    pub(super) fn take_unit(&mut self) -> Scanned<()> {
        let before = self.at;
        self.skip_blanks();
        let at = self.at;
        let letter_after = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric());
        let found = match (self.peek(), self.peek_after(1)) {
            (Some('"' | '″'), _) => {
                self.at += 1;
                LengthUnit::Inch
            }
            (Some('i'), Some('n')) if !letter_after(self.peek_after(2)) || self.chamfer_at(2) => {
                self.at += 2;
                LengthUnit::Inch
            }
            (Some('m'), Some('m')) if !letter_after(self.peek_after(2)) || self.chamfer_at(2) => {
                self.at += 2;
                LengthUnit::Millimetre
            }
            _ => {
                self.at = before;
                return Ok(());
            }
        };
        match self.unit {
            Some(first) if first != found => Err(CalloutError::MixedUnits {
                place: self.place(at),
                found: found.symbol(),
                expected: first.symbol(),
            }),
            _ => {
                self.unit = Some(found);
                Ok(())
            }
        }
    }

    /// Whether an `x` with a digit stands so many characters ahead, as in `0.5inx45°`.
    fn chamfer_at(&self, steps: usize) -> bool {
        matches!(self.peek_after(steps), Some('x' | 'X'))
            && self
                .peek_after(steps + 1)
                .is_some_and(|c| c.is_ascii_digit() || c.is_whitespace())
    }

    /// The length of a number in the callout's unit.
    pub(super) fn length(&self, number: Number) -> Scanned<Length> {
        Length::from_decimal(number.value, self.unit())
            .map_err(|reason| self.bad_number(number.at, reason))
    }

    /// Takes an unsigned angle: a run of digits, decimal marks and angle marks.
    pub(super) fn angle(&mut self) -> Scanned<Angle> {
        if !self.at_number() {
            return self.unexpected("an angle, such as 30°, 0.5° or 0°15'");
        }
        let at = self.at;
        let mut written = String::new();
        while let Some(c) = self.peek() {
            let mark_of_number = matches!(c, '.' | ',') && self.at_number();
            if c.is_ascii_digit() || mark_of_number || is_angle_mark(c) || c == '"' || c == '″' {
                written.push(if c == 'º' { '°' } else { c });
                self.at += 1;
            } else {
                break;
            }
        }
        Angle::parse(&written).map_err(|reason| match reason {
            QuantityError::BadCharacter {
                at: inside,
                found,
                expected,
                ..
            } => CalloutError::Unexpected {
                place: self.place(at + inside),
                found: Some(found),
                expected,
            },
            QuantityError::Unfinished { expected, .. } => CalloutError::Unexpected {
                place: self.place(self.at),
                found: self.peek(),
                expected,
            },
            other => self.bad_number(at, other),
        })
    }
}

/// A mark that makes a number an angle.
pub(super) fn is_angle_mark(c: char) -> bool {
    matches!(c, '°' | 'º' | '\'' | '′')
}
