//! The rules that a plan's verdicts follow, and the part that it is for.

use crate::tolerance::GeneralClass;

/// How conformity is decided (words of `--rule`).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Decision {
    /// By the conformance probability (ISO 14253-1:2017).
    Probability,
    /// With a guard band at each limit.
    Guard,
    /// Simple acceptance: inside is GO.
    Simple,
}

impl Decision {
    /// Every rule with its word in plans and options.
    pub const WORDS: [(Self, &'static str); 3] = [
        (Self::Probability, "probability"),
        (Self::Guard, "guard"),
        (Self::Simple, "simple"),
    ];

    /// The rule's word.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(decision, _)| *decision == self)
            .map_or("simple", |(_, word)| word)
    }
}

/// What the plan states of `[rules]`; what it does not state is the program's default.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rules {
    /// The decision rule.
    pub decision: Option<Decision>,
    /// Conformance probability that the rule `probability` asks for, between 0.5 and 1.
    pub confidence: Option<f64>,
    /// Guard band in standard uncertainties for the rule `guard`, above 0 and at most 10.
    pub guard_factor: Option<f64>,
    /// With whom the rule was agreed.
    pub agreed_with: Option<String>,
    /// General tolerance class (ISO 2768-1) of sizes that carry no tolerance.
    pub general: Option<GeneralClass>,
}

/// The part that a plan is for.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Part {
    /// What it is.
    pub name: String,
    /// Number of its drawing.
    pub drawing: Option<String>,
    /// Revision of the drawing.
    pub revision: Option<String>,
    /// Its material, a name of the materials table.
    pub material: Option<String>,
    /// For whom.
    pub customer: Option<String>,
    /// Under which order.
    pub order: Option<String>,
    /// The lot or heat of its material.
    pub material_lot: Option<String>,
    /// How many are to be made.
    pub quantity: Option<u32>,
}
