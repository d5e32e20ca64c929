//! Why the verdict is what it is.

use super::Mark;

/// The reasons of a verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct WhyView {
    /// `Ø20 k6: 20.046 mm is CUTTING`.
    pub title: String,
    /// The state that the title stands in.
    pub mark: Mark,
    /// How far down it is read where it does not fit, in steps of [`WhyView::PAGES`] to the end.
    pub page: u16,
    /// How the limits come about: standard, table, row, arithmetic.
    pub limits: Vec<WhyLine>,
    /// From what the gauge shows to the value at 20 °C.
    pub corrections: Vec<WhyLine>,
    /// The uncertainty, one bar a part.
    pub budget: Vec<BudgetBar>,
    /// `u 1.2 µm, U 2.4 µm (k = 2)`; why none is known.
    pub total: String,
    /// The rule and how it decides.
    pub rule: Vec<WhyLine>,
    /// What would settle a DOUBT, in the order to try.
    pub remedies: Vec<String>,
}

impl WhyView {
    /// So many steps lead from the beginning to the end, however long it is.
    pub const PAGES: u16 = 4;
}

/// One step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WhyLine {
    /// `IT6 for 18 to 30 mm`.
    pub what: String,
    /// `13 µm`.
    pub value: String,
    /// `ISO 286-1:2010, table 1`.
    pub source: String,
}

/// One part of the uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct BudgetBar {
    /// `gauge, MPE 4 µm, even between`.
    pub what: String,
    /// `1.2 µm`.
    pub value: String,
    /// Its share of the variance, 0 to 1.
    pub share: f32,
}

impl BudgetBar {
    /// The share in whole per cent.
    pub(in crate::window) fn percent(&self) -> String {
        format!("{:.0} %", self.share.clamp(0.0, 1.0) * 100.0)
    }
}
