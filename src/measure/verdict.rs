//! The words of a verdict.

/// The verdict on a characteristic, without its details.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum VerdictWord {
    /// Conformity is proved under the decision rule.
    Go,
    /// The value is beyond a limit, and that is proved.
    NoGo,
    /// Neither is proved with this gauge.
    Doubt,
}

impl VerdictWord {
    /// `GO`, `NO-GO` or `DOUBT`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Go => "GO",
            Self::NoGo => "NO-GO",
            Self::Doubt => "DOUBT",
        }
    }

    /// The verdict of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Go, Self::NoGo, Self::Doubt]
            .into_iter()
            .find(|verdict| verdict.word() == word)
    }
}

/// Where a value lies, seen from the limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// Inside both limits.
    Inside,
    /// Beyond a limit with metal still on: rework is possible.
    MetalOn,
    /// Beyond a limit with metal gone: scrap or concession.
    MetalGone,
    /// Above the upper limit, where metal has no side.
    Above,
    /// Below the lower limit, where metal has no side.
    Below,
}

impl Side {
    const WORDS: [(Self, &'static str); 5] = [
        (Self::Inside, "inside"),
        (Self::MetalOn, "metal_on"),
        (Self::MetalGone, "metal_gone"),
        (Self::Above, "above"),
        (Self::Below, "below"),
    ];

    /// The side's word in JSON and records.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(side, _)| *side == self)
            .map_or("inside", |(_, word)| word)
    }

    /// The side of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::WORDS
            .iter()
            .find(|(_, known)| *known == word)
            .map(|(side, _)| *side)
    }
}

/// The decision rule under which a verdict is given; always named with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rule {
    /// ISO 14253-1:2017: GO when the conformance probability is at least `confidence`; NO-GO when
    /// the value lies beyond a limit and the probability of being beyond that same limit is at
    /// least `confidence`; otherwise DOUBT.
    Probability {
        /// Required probability, 0.5 to 1 (0.95 unless set).
        confidence: f64,
    },
    /// A guard band of `factor` times u at each limit (1.65 unless set; 2 is the older U, k = 2).
    Guard {
        /// Multiple of the standard uncertainty.
        factor: f64,
    },
    /// Simple acceptance (JCGM 106): inside is GO, never DOUBT.
    Simple,
}
