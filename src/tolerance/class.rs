//! Tolerance classes: a letter (fundamental deviation) and a grade, such as `H7` or `js9`.
//!
//! This file knows names only, no sizes and no values.

use std::fmt;

/// The 28 letters of fundamental deviations in the order of ISO 286-1:2010, as for shafts.
pub(super) const SHAFT_LETTERS: [&str; 28] = [
    "a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h", "js", "j", "k", "m", "n", "p", "r",
    "s", "t", "u", "v", "x", "y", "z", "za", "zb", "zc",
];
/// How many letters the standard has on each side.
pub(super) const LETTER_COUNT: usize = SHAFT_LETTERS.len();
/// The index of a letter that is not one of the standard's 2 × 28.
pub(super) const NOT_STANDARD: u8 = u8::MAX;
/// How many grades there are: IT01, IT0, IT1 to IT18.
pub(super) const GRADE_COUNT: usize = 20;

const GRADE_TEXTS: [&str; GRADE_COUNT] = [
    "01", "0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12", "13", "14", "15",
    "16", "17", "18",
];
const NAME_MAX: usize = 3;
/// Words that follow a number in a callout and so can name no house letter.
const RESERVED: [&str; 4] = ["in", "mm", "max", "min"];

/// Which side of a fit a class belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ClassKind {
    /// Capital letters: an internal size.
    Hole,
    /// Small letters: an external size.
    Shaft,
}

impl ClassKind {
    /// `hole` or `shaft`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Hole => "hole",
            Self::Shaft => "shaft",
        }
    }
}

/// The letter or letters of a fundamental deviation, small for shafts and capital for holes.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Letter {
    name: [u8; NAME_MAX],
    index: u8,
}

impl Letter {
    /// The letter of that name when the standard has it: `a` to `zc`, `A` to `ZC`.
    pub fn standard(name: &str) -> Option<Self> {
        let letter = Self::any(name)?;
        (letter.index != NOT_STANDARD).then_some(letter)
    }

    /// Any name of one to three ASCII letters in one case, standard or not; the words that
    /// follow a number in a callout (`in`, `mm`, `max`, `min`) are none.
    pub(super) fn any(name: &str) -> Option<Self> {
        let bytes = name.as_bytes();
        let in_range = (1..=NAME_MAX).contains(&bytes.len());
        let one_case =
            bytes.iter().all(u8::is_ascii_lowercase) || bytes.iter().all(u8::is_ascii_uppercase);
        if !in_range || !one_case {
            return None;
        }
        let mut packed = [0; NAME_MAX];
        for (slot, byte) in packed.iter_mut().zip(bytes) {
            *slot = *byte;
        }
        let index = index_of(packed);
        let free = index != NOT_STANDARD || !RESERVED.contains(&name);
        free.then_some(Self {
            name: packed,
            index,
        })
    }

    /// The letter at `index`: 0 to 27 shafts, 28 to 55 holes, in the standard's order.
    pub(super) fn at(index: usize) -> Option<Self> {
        let name = SHAFT_LETTERS.get(index % LETTER_COUNT)?;
        match index / LETTER_COUNT {
            0 => Self::standard(name),
            1 => Self::standard(&name.to_ascii_uppercase()),
            _ => None,
        }
    }

    /// All 28 shaft letters, then all 28 hole letters.
    pub fn all() -> impl Iterator<Item = Self> {
        (0..2 * LETTER_COUNT).filter_map(Self::at)
    }

    pub(super) fn index(self) -> u8 {
        self.index
    }

    /// Whether the letter is one of the standard's; all others come from house tables.
    pub fn is_standard(self) -> bool {
        self.index != NOT_STANDARD
    }

    /// The letters as text.
    pub fn text(&self) -> &str {
        let length = self.name.iter().position(|byte| *byte == 0);
        let used = self.name.get(..length.unwrap_or(NAME_MAX));
        used.and_then(|bytes| std::str::from_utf8(bytes).ok())
            .unwrap_or("")
    }

    /// Capital letters are holes, small ones shafts.
    pub fn kind(self) -> ClassKind {
        match self.name {
            [first, ..] if first.is_ascii_uppercase() => ClassKind::Hole,
            _ => ClassKind::Shaft,
        }
    }

    /// Whether this is `letter` of a shaft or the same letter of a hole.
    pub(super) fn is_any_of(self, small: &[&str]) -> bool {
        let text = self.text();
        small.iter().any(|name| name.eq_ignore_ascii_case(text))
    }
}

/// The index of a packed name; a match on the bytes, since it stands on the fast path.
fn index_of(name: [u8; NAME_MAX]) -> u8 {
    let hole = name[0].is_ascii_uppercase();
    let small = name.map(|byte| byte.to_ascii_lowercase());
    let index = match &small {
        b"a\0\0" => 0,
        b"b\0\0" => 1,
        b"c\0\0" => 2,
        b"cd\0" => 3,
        b"d\0\0" => 4,
        b"e\0\0" => 5,
        b"ef\0" => 6,
        b"f\0\0" => 7,
        b"fg\0" => 8,
        b"g\0\0" => 9,
        b"h\0\0" => 10,
        b"js\0" => 11,
        b"j\0\0" => 12,
        b"k\0\0" => 13,
        b"m\0\0" => 14,
        b"n\0\0" => 15,
        b"p\0\0" => 16,
        b"r\0\0" => 17,
        b"s\0\0" => 18,
        b"t\0\0" => 19,
        b"u\0\0" => 20,
        b"v\0\0" => 21,
        b"x\0\0" => 22,
        b"y\0\0" => 23,
        b"z\0\0" => 24,
        b"za\0" => 25,
        b"zb\0" => 26,
        b"zc\0" => 27,
        _ => return NOT_STANDARD,
    };
    if hole { index + 28 } else { index }
}

impl fmt::Debug for Letter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.text())
    }
}

impl fmt::Display for Letter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.text())
    }
}

/// A standard tolerance grade, IT01 to IT18, in order of growing tolerance.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Grade(u8);

impl Grade {
    /// The grade of the digits `01`, `0`, `1` to `18`.
    pub fn parse(digits: &str) -> Option<Self> {
        let number = match digits.as_bytes() {
            [b'0', b'1'] => return Some(Self(0)),
            [one] if one.is_ascii_digit() => one - b'0',
            [b'1', two @ b'0'..=b'8'] => 10 + (two - b'0'),
            _ => return None,
        };
        Some(Self(number + 1))
    }

    /// All grades from IT01 to IT18.
    pub fn all() -> impl DoubleEndedIterator<Item = Self> {
        (0..20_u8).map(Self)
    }

    /// IT of that number, 1 to 18.
    pub fn numbered(number: u8) -> Option<Self> {
        (1..=18).contains(&number).then_some(Self(number + 1))
    }

    /// The number; IT01 and IT0 have none that could be compared.
    pub fn number(self) -> Option<u8> {
        self.0.checked_sub(1).filter(|number| *number > 0)
    }

    pub(super) fn index(self) -> usize {
        usize::from(self.0)
    }

    /// The next finer grade, if there is one.
    pub fn finer(self) -> Option<Self> {
        self.0.checked_sub(1).map(Self)
    }

    /// The digits: `01`, `0`, `1` to `18`.
    pub fn digits(self) -> &'static str {
        GRADE_TEXTS.get(self.index()).copied().unwrap_or("")
    }
}

impl fmt::Debug for Grade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "IT{}", self.digits())
    }
}

/// `IT7`.
impl fmt::Display for Grade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "IT{}", self.digits())
    }
}

/// A tolerance class: a letter and a grade. That a class exists as a name does not say that it
/// is defined at a size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ToleranceClass {
    letter: Letter,
    grade: Grade,
}

impl ToleranceClass {
    /// The class of a letter and a grade.
    pub fn new(letter: Letter, grade: Grade) -> Self {
        Self { letter, grade }
    }

    /// Reads a class of the standard, such as `H7`, `js9` or `H01`; no blanks. `None` when the
    /// letter or the grade is none of ISO 286-1:2010; [`super::parse_callout`] says why.
    pub fn parse(text: &str) -> Option<Self> {
        let (letter, grade) = split(text)?;
        Some(Self::new(Letter::standard(letter)?, Grade::parse(grade)?))
    }

    /// Reads a pair such as `H7/g6`: first a hole class, then a shaft class; no blanks.
    pub fn parse_pair(text: &str) -> Option<(Self, Self)> {
        let slash = text.bytes().position(|byte| byte == b'/')?;
        let hole = Self::parse(text.get(..slash)?)?;
        let shaft = Self::parse(text.get(slash + 1..)?)?;
        (hole.kind() == ClassKind::Hole && shaft.kind() == ClassKind::Shaft)
            .then_some((hole, shaft))
    }

    /// The letter.
    pub fn letter(self) -> Letter {
        self.letter
    }

    /// The grade.
    pub fn grade(self) -> Grade {
        self.grade
    }

    /// Hole or shaft.
    pub fn kind(self) -> ClassKind {
        self.letter.kind()
    }
}

fn split(text: &str) -> Option<(&str, &str)> {
    let at = text.bytes().position(|byte| byte.is_ascii_digit())?;
    Some((text.get(..at)?, text.get(at..)?))
}

/// `H7`.
impl fmt::Display for ToleranceClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.letter, self.grade.digits())
    }
}
