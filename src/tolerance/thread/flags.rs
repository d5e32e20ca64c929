//! What is computable but unusual, so that it is said beside the limits.

use std::fmt;

/// One thing to say beside a thread's limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ThreadFlag {
    /// Diameter and pitch are no pair of ISO 261.
    NotInIso261,
    /// No row for that range of diameters and pitch: the pitch-diameter tolerance is computed.
    PitchToleranceComputed,
    /// The pitch is not tabled: crest tolerance and fundamental deviation are computed.
    PitchNotTabled,
    /// M14x1.25.
    SparkPlugsOnly,
    /// M35x1.5.
    LocknutsOnly,
    /// M30x3, M33x3.
    ToBeAvoided,
    /// Positions a to d stand in the table from memory.
    PositionFromMemory,
    /// The tolerance of several starts is widened by a factor from memory.
    StartsFromMemory,
    /// Positions for hot-dip galvanizing.
    HotDip,
    /// Positions for hot-dip galvanizing at a thread for which those standards have none.
    HotDipOutsideRange,
    /// Pitch diameter and crest have different positions.
    PositionsDiffer,
    /// The class is not usual at that length of engagement.
    UnusualClass,
    /// The engagement in mm is of group N, and the class is usual for another.
    UnusualLength,
    /// The engagement in mm is of group S, and the class is usual for another.
    UnusualShortLength,
    /// The engagement in mm is of group L, and the class is usual for another.
    UnusualLongLength,
    /// The size is tabled for the pitch diameter, and no normal engagement is.
    EngagementNotTabled,
}

impl ThreadFlag {
    /// Every flag with its sentence.
    pub const TEXTS: [(Self, &'static str); 16] = [
        (
            Self::NotInIso261,
            "This diameter and pitch are no pair of ISO 261: taps, dies and gauges for it are \
             special.",
        ),
        (
            Self::PitchToleranceComputed,
            "ISO 965-1 has no row for this diameter and pitch: the pitch-diameter tolerance is \
             computed by its formula.",
        ),
        (
            Self::PitchNotTabled,
            "ISO 965-1 does not table this pitch: crest tolerance and fundamental deviation are \
             computed by its formulas.",
        ),
        (
            Self::SparkPlugsOnly,
            "M14x1.25 is for spark plugs only (ISO 261).",
        ),
        (
            Self::LocknutsOnly,
            "M35x1.5 is for locknuts of bearings only (ISO 261).",
        ),
        (
            Self::ToBeAvoided,
            "M30x3 and M33x3 stand in brackets in ISO 261: to be avoided as far as possible.",
        ),
        (
            Self::PositionFromMemory,
            "The values of positions a to d stand in the table from memory; no formula and no \
             public table confirms them.",
        ),
        (
            Self::StartsFromMemory,
            "The pitch-diameter tolerance of several starts is widened by a factor of ISO 965-1 \
             that stands here from memory and is not verified.",
        ),
        (
            Self::HotDip,
            "Limits for hot-dip galvanizing (ISO 965-4, ISO 965-5): internal AZ and AX are tapped \
             after galvanizing, external az is made before it.",
        ),
        (
            Self::HotDipOutsideRange,
            "ISO 965-4 and ISO 965-5 are for single-start coarse threads M10 to M64 (from \
             memory); their formula is used outside that range.",
        ),
        (
            Self::PositionsDiffer,
            "Pitch diameter and crest have different positions, which is unusual.",
        ),
        (
            Self::UnusualClass,
            "This class is not among those usual for its length of engagement, which is N where \
             none is written (ISO 965-1, recommended classes, from memory).",
        ),
        (
            Self::UnusualLength,
            "This length of engagement is in group N (normal), and the class is usual for another \
             group.",
        ),
        (
            Self::UnusualShortLength,
            "This length of engagement is in group S (short), and the class is usual for another \
             group.",
        ),
        (
            Self::UnusualLongLength,
            "This length of engagement is in group L (long), and the class is usual for another \
             group.",
        ),
        (
            Self::EngagementNotTabled,
            "ISO 965-1 has no lengths of engagement for this diameter and pitch.",
        ),
    ];
}

impl fmt::Display for ThreadFlag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut all = Self::TEXTS.iter();
        let text = all.find(|(flag, _)| flag == self);
        f.write_str(text.map_or("", |(_, text)| text))
    }
}

/// A set of flags, small enough to be copied with limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ThreadFlags(u32);

impl ThreadFlags {
    fn bit(flag: ThreadFlag) -> u32 {
        1 << (flag as u32)
    }

    /// Adds a flag when it applies.
    pub(super) fn note(&mut self, flag: ThreadFlag, applies: bool) {
        if applies {
            self.0 |= Self::bit(flag);
        }
    }

    /// Whether a flag is there.
    pub fn has(self, flag: ThreadFlag) -> bool {
        self.0 & Self::bit(flag) != 0
    }

    /// The flags, in a fixed order.
    pub fn iter(self) -> impl Iterator<Item = ThreadFlag> {
        let all = ThreadFlag::TEXTS.iter().map(|(flag, _)| *flag);
        all.filter(move |flag| self.has(*flag))
    }

    /// Both sets together.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }
}
