//! What people decide about a part, and what names the work: serial numbers, order, lot, machine.
//! Nothing here is computed; each of these events is something that a person said.

use super::event::Sequence;

/// What names the work beside the plan. An empty text says nothing: the plan's word, if it has
/// one, holds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Job {
    /// Order or purchase order.
    pub order: String,
    /// Customer.
    pub customer: String,
    /// Lot of the material.
    pub material_lot: String,
    /// Machine that the parts are made on.
    pub machine: String,
}

/// What is decided about a part that is not simply good.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DispositionKind {
    /// It is worked on again and measured again; what was measured before stays in the record.
    Rework,
    /// It is given up.
    Scrap,
    /// It is kept back until somebody decides.
    Hold,
    /// It is accepted though it is not within its limits.
    Concession,
    /// An earlier one of these no longer holds.
    Withdrawn,
}

impl DispositionKind {
    /// Each with its word on disk.
    pub const WORDS: [(Self, &'static str); 5] = [
        (Self::Rework, "rework"),
        (Self::Scrap, "scrap"),
        (Self::Hold, "hold"),
        (Self::Concession, "concession"),
        (Self::Withdrawn, "withdrawn"),
    ];

    /// Its word on disk.
    pub fn word(self) -> &'static str {
        let found = Self::WORDS.iter().find(|(kind, _)| *kind == self);
        found.map_or("", |(_, word)| word)
    }

    /// The one of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        let found = Self::WORDS.iter().find(|(_, known)| *known == word);
        found.map(|(kind, _)| *kind)
    }
}

/// A decision about a part, or about one characteristic of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Disposition {
    /// Running number of the part.
    pub part: u32,
    /// What is decided.
    pub kind: DispositionKind,
    /// Feature id; empty: the whole part.
    pub feature: String,
    /// Element of the feature; empty with an empty feature.
    pub element: String,
    /// Why.
    pub reason: String,
    /// Who decides.
    pub by: String,
    /// With whom it was agreed, such as the customer; empty: with nobody.
    pub agreed_with: String,
    /// The line of the decision that is withdrawn; 0 unless it is a withdrawal.
    pub of: Sequence,
}

/// What a signature says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Meaning {
    /// "I measured this."
    Measured,
    /// "I looked through it."
    Checked,
    /// "It may leave."
    Released,
}

impl Meaning {
    /// Each with its word on disk.
    pub const WORDS: [(Self, &'static str); 3] = [
        (Self::Measured, "measured"),
        (Self::Checked, "checked"),
        (Self::Released, "released"),
    ];

    /// Its word on disk.
    pub fn word(self) -> &'static str {
        let found = Self::WORDS.iter().find(|(meaning, _)| *meaning == self);
        found.map_or("", |(_, word)| word)
    }

    /// The one of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        let found = Self::WORDS.iter().find(|(_, known)| *known == word);
        found.map(|(meaning, _)| *meaning)
    }
}

/// How a part is released that is not simply GO.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Manner {
    /// Everything is proved.
    #[default]
    Plain,
    /// Before everything has been measured, with a named approval.
    Early,
    /// Though a gauge could not decide; never GO.
    InDoubt,
    /// What is not within its limits is covered by a concession.
    UnderConcession,
}

impl Manner {
    /// Each with its word on disk.
    pub const WORDS: [(Self, &'static str); 4] = [
        (Self::Plain, "plain"),
        (Self::Early, "early"),
        (Self::InDoubt, "in_doubt"),
        (Self::UnderConcession, "under_concession"),
    ];

    /// Its word on disk.
    pub fn word(self) -> &'static str {
        let found = Self::WORDS.iter().find(|(manner, _)| *manner == self);
        found.map_or("", |(_, word)| word)
    }

    /// The one of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        let found = Self::WORDS.iter().find(|(_, known)| *known == word);
        found.map(|(manner, _)| *manner)
    }
}

/// A characteristic that was not proved when somebody signed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOpen {
    /// Feature id.
    pub feature: String,
    /// Element of the feature.
    pub element: String,
    /// How it stood: `open`, `DOUBT`, `NO-GO`, `stage` (measured before its last stage only).
    pub state: String,
    /// Chance of conformity in parts per million, where one was computed.
    pub conformance_ppm: Option<u32>,
}

/// A name under what the record says. It covers every line up to the one just before it, and
/// names that line's hash: moved to another record it fits nowhere.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignedOff {
    /// Running number of the part; 0: the session as a whole.
    pub part: u32,
    /// What the signature says.
    pub meaning: Meaning,
    /// Of a release: how.
    pub manner: Manner,
    /// Who signs.
    pub by: String,
    /// Why, where a release is not plain; may be empty else.
    pub reason: String,
    /// The last line that it covers; [`SignedOff::JUST_BEFORE`] until it is written.
    pub covers: Sequence,
    /// The hash of that line, in hexadecimal; empty until it is written.
    pub hash: String,
    /// What was not proved.
    pub left: Vec<LeftOpen>,
}

impl SignedOff {
    /// Stands for the line that is written just before; the recorder puts its number there.
    pub const JUST_BEFORE: Sequence = 0;

    /// Stands for the part at hand in a request; in the record stands its number.
    pub const PART_AT_HAND: u32 = u32::MAX;
}
