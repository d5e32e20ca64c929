//! A text frame taken apart: what stands before the number, the number, what stands behind.

use super::factor::Number;

/// Which digits of a frame are the number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Span {
    /// Which run of digits, counted from the left.
    pub(super) run: usize,
    /// Digits at its start that do not belong to it.
    pub(super) head: usize,
    /// Digits at its end that do not belong to it.
    pub(super) tail: usize,
}

/// One frame, taken apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Skeleton {
    pub(super) head: Vec<Token>,
    pub(super) sign: Option<char>,
    /// Blanks between what stands before and the number.
    pub(super) blanks: usize,
    pub(super) number: String,
    /// Blanks behind the number.
    pub(super) blanks_behind: usize,
    pub(super) tail: Vec<Token>,
}

/// A piece beside the number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Token {
    /// Letters, digits, inch marks.
    Word(String),
    /// Blanks, however many.
    Blank,
    /// Any other character.
    Mark(char),
}

/// The runs of digits of a text, each with at most one decimal mark, as `[from, to)`.
pub(super) fn runs(text: &str) -> Vec<(usize, usize)> {
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mark = |at: usize| matches!(bytes.get(at), Some(b'.' | b','));
    let mut found = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let starts = digit(at) || (mark(at) && digit(at + 1));
        if !starts {
            at += 1;
            continue;
        }
        let from = at;
        let mut marked = false;
        while digit(at) || (!marked && mark(at) && digit(at + 1)) {
            marked |= mark(at);
            at += 1;
        }
        found.push((from, at));
    }
    found
}

impl Skeleton {
    /// Takes a frame apart; none when it has no such run.
    pub(super) fn new(text: &str, span: Span) -> Option<Self> {
        let (from, to) = *runs(text).get(span.run)?;
        let (from, to) = (from + span.head, to.checked_sub(span.tail)?);
        let number = text.get(from..to).filter(|number| !number.is_empty())?;
        let (before, behind) = (text.get(..from)?, text.get(to..)?);
        let bare = before.trim_end_matches(' ');
        let mut blanks = before.len() - bare.len();
        let (head, sign) = match bare.strip_suffix(['+', '-']) {
            Some(head) => (head, bare.chars().last()),
            None => (bare, None),
        };
        if head.is_empty() && sign.is_none() {
            blanks = 0;
        }
        let tail = behind.trim_start_matches(' ');
        Some(Self {
            head: tokens(head),
            sign,
            blanks,
            number: number.to_owned(),
            blanks_behind: behind.len() - tail.len(),
            tail: tokens(tail),
        })
    }

    /// The number's value without its sign.
    pub(super) fn value(&self) -> Option<Number> {
        let digits: String = self.number.chars().filter(char::is_ascii_digit).collect();
        // Eighteen digits hold any length; more are no number of a gauge.
        if digits.len() > 18 {
            return None;
        }
        let behind = self.number.split(['.', ',']).nth(1).map_or(0, str::len);
        Some(Number {
            count: digits.parse().ok()?,
            decimals: u8::try_from(behind).ok()?,
        })
    }

    /// The value with the sign that stands before it.
    pub(super) fn signed(&self) -> Option<Number> {
        let value = self.value()?;
        Some(match self.sign {
            Some('-') => Number {
                count: -value.count,
                ..value
            },
            _ => value,
        })
    }

    /// The decimal mark.
    pub(super) fn mark(&self) -> Option<char> {
        self.number.chars().find(|c| matches!(c, '.' | ','))
    }

    /// Everything beside the number, in order, with the sign's place between.
    pub(super) fn beside(&self) -> (&[Token], &[Token]) {
        (&self.head, &self.tail)
    }
}

fn tokens(text: &str) -> Vec<Token> {
    let mut found: Vec<Token> = Vec::new();
    for c in text.chars() {
        match (found.last_mut(), c) {
            (Some(Token::Word(word)), c) if is_word(c) => word.push(c),
            (_, c) if is_word(c) => found.push(Token::Word(c.to_string())),
            (Some(Token::Blank), ' ') => {}
            (_, ' ') => found.push(Token::Blank),
            (_, c) => found.push(Token::Mark(c)),
        }
    }
    found
}

fn is_word(c: char) -> bool {
    c.is_ascii_alphanumeric() || c == '"'
}

#[cfg(test)]
mod tests {
    use super::{Skeleton, Span, Token, runs};

    const WHOLE: Span = Span {
        run: 0,
        head: 0,
        tail: 0,
    };

    #[test]
    fn a_frame_is_taken_apart_at_its_number() {
        let made = Skeleton::new("+   12.345, MM", WHOLE).unwrap();
        assert_eq!((made.sign, made.blanks), (Some('+'), 3));
        assert_eq!(made.number, "12.345");
        let tail = [Token::Mark(','), Token::Blank, Token::Word("MM".into())];
        assert_eq!((made.head.len(), made.tail.as_slice()), (0, &tail[..]));
        let second = Span { run: 1, ..WHOLE };
        let made = Skeleton::new("01A-00012.345", second).unwrap();
        assert_eq!(made.head, [Token::Word("01A".into())]);
        assert_eq!(
            made.signed().map(|n| (n.count, n.decimals)),
            Some((-12_345, 3))
        );
        let inner = Span {
            run: 0,
            head: 1,
            tail: 1,
        };
        let made = Skeleton::new("500010050", inner).unwrap();
        assert_eq!(made.number, "0001005");
        assert_eq!(Skeleton::new("abc", WHOLE), None);
    }

    #[test]
    fn runs_hold_one_mark_and_never_end_with_one() {
        assert_eq!(runs("8.2, MM"), [(0, 3)]);
        assert_eq!(runs("x.5y12.z1,234.5"), [(1, 3), (4, 6), (8, 13), (13, 15)]);
        assert_eq!(runs(""), []);
    }
}
