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
    /// the value lies beyond a limit and the true size does, too, with at least that probability;
    /// otherwise DOUBT.
    Probability {
        /// Required probability, at least 0.5 and below 1 (0.95 unless set).
        confidence: f64,
    },
    /// A guard band of `factor` times u at each limit (1.65 unless set; 2 is the older U, k = 2).
    Guard {
        /// Multiple of the standard uncertainty, 0 to 10.
        factor: f64,
    },
    /// Simple acceptance (JCGM 106): inside is GO, never DOUBT.
    Simple,
}

impl Rule {
    /// The default when an uncertainty is known: 95 % (ISO 14253-1:2017).
    pub const PROBABILITY: Self = Self::Probability { confidence: 0.95 };
    /// The guard band that a one-sided 95 % needs: 1.65 u.
    pub const GUARD: Self = Self::Guard { factor: 1.65 };

    /// The rule's word in options, plans and records.
    pub fn word(self) -> &'static str {
        match self {
            Self::Probability { .. } => "probability",
            Self::Guard { .. } => "guard",
            Self::Simple => "simple",
        }
    }

    /// The rule of that word, with its usual number.
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::PROBABILITY, Self::GUARD, Self::Simple]
            .into_iter()
            .find(|rule| rule.word() == word)
    }
}
