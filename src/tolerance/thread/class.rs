//! Tolerance classes of threads: grade and position, for the pitch diameter and the crest.
//!
//! This file knows names only, no sizes and no values.

use std::fmt;

/// Which of the two threads that screw together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ThreadMember {
    /// In a hole: a nut, a tapped hole.
    Internal,
    /// On a shaft: a screw.
    External,
}

impl ThreadMember {
    /// `internal` or `external`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Internal => "internal",
            Self::External => "external",
        }
    }
}

/// Where the tolerance lies: the fundamental deviation's letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ThreadPosition {
    /// Internal, with an allowance.
    InternalG,
    /// Internal, from the basic size.
    InternalH,
    /// Internal, tapped oversize for hot-dip galvanized screws (ISO 965-5).
    InternalAz,
    /// Internal, tapped oversize for hot-dip galvanized screws (ISO 965-5).
    InternalAx,
    /// External, ISO 965-1.
    A,
    /// External, ISO 965-1.
    B,
    /// External, ISO 965-1.
    C,
    /// External, ISO 965-1.
    D,
    /// External, ISO 965-1.
    E,
    /// External, ISO 965-1.
    F,
    /// External, with an allowance.
    G,
    /// External, from the basic size.
    H,
    /// External, before hot-dip galvanizing (ISO 965-4).
    Az,
}

impl ThreadPosition {
    /// Every position with its letters.
    pub const TEXTS: [(Self, &'static str); 13] = [
        (Self::InternalG, "G"),
        (Self::InternalH, "H"),
        (Self::InternalAz, "AZ"),
        (Self::InternalAx, "AX"),
        (Self::A, "a"),
        (Self::B, "b"),
        (Self::C, "c"),
        (Self::D, "d"),
        (Self::E, "e"),
        (Self::F, "f"),
        (Self::G, "g"),
        (Self::H, "h"),
        (Self::Az, "az"),
    ];

    /// The position of those letters; capital ones are internal.
    pub fn from_text(text: &str) -> Option<Self> {
        let mut all = Self::TEXTS.into_iter();
        all.find(|(_, known)| *known == text)
            .map(|(position, _)| position)
    }

    /// Its letters.
    pub fn text(self) -> &'static str {
        let mut all = Self::TEXTS.into_iter();
        all.find(|(position, _)| *position == self)
            .map_or("", |(_, text)| text)
    }

    /// Whose position it is.
    pub fn member(self) -> ThreadMember {
        match self {
            Self::InternalG | Self::InternalH | Self::InternalAz | Self::InternalAx => {
                ThreadMember::Internal
            }
            _ => ThreadMember::External,
        }
    }

    /// Of some positions of the same member, the nearest with a smaller allowance; else the last.
    pub(super) fn next_of(self, positions: &[Self]) -> Option<Self> {
        let order = |position: Self| Self::TEXTS.iter().position(|(known, _)| *known == position);
        let mut after = positions.iter().copied();
        let next = after.find(|one| order(*one) > order(self));
        next.or(positions.last().copied())
    }

    /// Whether it is one of the positions a to d of ISO 965-1:2013.
    pub(super) fn is_a_to_d(self) -> bool {
        matches!(self, Self::A | Self::B | Self::C | Self::D)
    }

    /// Whether it is one of those for hot-dip galvanizing.
    pub fn is_hot_dip(self) -> bool {
        matches!(self, Self::InternalAz | Self::InternalAx | Self::Az)
    }
}

/// Grade and position of one diameter, `6g`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ThreadTolerance {
    /// Tolerance grade, 3 to 9.
    pub grade: u8,
    /// Tolerance position.
    pub position: ThreadPosition,
}

/// The tolerance class of one member: `6H`, `5g6g`. Both tolerances are of the same member.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ThreadClass {
    /// Of the pitch diameter.
    pub pitch: ThreadTolerance,
    /// Of the crest: minor diameter of an internal thread, major of an external one.
    pub crest: ThreadTolerance,
}

impl ThreadClass {
    /// The same tolerance for both diameters.
    pub const fn both(grade: u8, position: ThreadPosition) -> Self {
        let tolerance = ThreadTolerance { grade, position };
        Self {
            pitch: tolerance,
            crest: tolerance,
        }
    }

    /// Whose class it is.
    pub fn member(self) -> ThreadMember {
        self.pitch.position.member()
    }

    /// Whether either position is one of those for hot-dip galvanizing.
    pub fn is_hot_dip(self) -> bool {
        self.pitch.position.is_hot_dip() || self.crest.position.is_hot_dip()
    }
}

impl fmt::Display for ThreadTolerance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.grade, self.position.text())
    }
}

/// `6g` when both are the same, else `5g6g`.
impl fmt::Display for ThreadClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.pitch.fmt(f)?;
        if self.crest == self.pitch {
            Ok(())
        } else {
            self.crest.fmt(f)
        }
    }
}
