//! The classes of general tolerances of ISO 2768-1.

use std::fmt;

/// The edition whose values are tabled.
pub const GENERAL_STANDARD: &str = "ISO 2768-1:1989";

/// A tolerance class of ISO 2768-1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum GeneralClass {
    /// f, fine.
    Fine,
    /// m, medium.
    Medium,
    /// c, coarse.
    Coarse,
    /// v, very coarse.
    VeryCoarse,
}

impl GeneralClass {
    /// All four, finest first, with their letters.
    pub const WORDS: [(Self, &'static str); 4] = [
        (Self::Fine, "f"),
        (Self::Medium, "m"),
        (Self::Coarse, "c"),
        (Self::VeryCoarse, "v"),
    ];

    /// The letter: f, m, c or v.
    pub fn word(self) -> &'static str {
        match self {
            Self::Fine => "f",
            Self::Medium => "m",
            Self::Coarse => "c",
            Self::VeryCoarse => "v",
        }
    }

    /// The class of that letter.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::WORDS
            .iter()
            .find(|(_, known)| *known == word)
            .map(|(class, _)| *class)
    }
}

impl fmt::Display for GeneralClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// What a general tolerance is applied to; each has its own table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum GeneralKind {
    /// Linear sizes (table 1).
    Linear,
    /// Broken edges: external radii and chamfer heights (table 2).
    Edge,
    /// Angles, by the shorter side (table 3).
    Angle,
}

impl GeneralKind {
    /// The number of the table in ISO 2768-1:1989.
    pub fn table(self) -> u8 {
        match self {
            Self::Linear => 1,
            Self::Edge => 2,
            Self::Angle => 3,
        }
    }
}
