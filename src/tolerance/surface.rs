//! Where the metal is, seen from a dimension.

/// The kind of surface that a dimension belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Surface {
    /// A shaft or any outside diameter or width: metal between the gauge's faces.
    Outside,
    /// A bore: metal around the gauge.
    Inside,
    /// A length between faces; which face is cut is not known.
    Length,
    /// A depth from a face into the metal.
    Depth,
    /// The width of a slot.
    Slot,
    /// The distance between two shoulders.
    Step,
}

/// Which direction of a dimension still has metal on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MetalSide {
    /// Larger means metal on: an outside diameter.
    Larger,
    /// Smaller means metal on: a bore, a slot, a depth.
    Smaller,
    /// Metal has no side here: a length, a step.
    Neither,
}

impl Surface {
    /// Every surface with its word in plans and options.
    pub const WORDS: [(Self, &'static str); 6] = [
        (Self::Outside, "outside"),
        (Self::Inside, "inside"),
        (Self::Length, "length"),
        (Self::Depth, "depth"),
        (Self::Slot, "slot"),
        (Self::Step, "step"),
    ];

    /// The surface's word.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(surface, _)| *surface == self)
            .map_or("length", |(_, word)| word)
    }

    /// The surface of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::WORDS
            .iter()
            .find(|(_, known)| *known == word)
            .map(|(surface, _)| *surface)
    }

    /// Which direction still has metal on.
    pub fn metal_side(self) -> MetalSide {
        match self {
            Self::Outside => MetalSide::Larger,
            Self::Inside | Self::Depth | Self::Slot => MetalSide::Smaller,
            Self::Length | Self::Step => MetalSide::Neither,
        }
    }

    /// Whether the dimension is a diameter, so that the tool goes in by half of what comes off.
    pub fn is_diameter(self) -> bool {
        matches!(self, Self::Outside | Self::Inside)
    }
}
