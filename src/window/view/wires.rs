//! A measurement over three wires as a worked example, while it is being measured.

/// The sum from what is found over the wires to the pitch diameter, and what must be found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WiresView {
    /// `d2 = M − 3 W + 0.866025 P − c`.
    pub formula: String,
    /// The same in numbers that add up as they stand; before a reading with M as a letter.
    pub sum: String,
    /// `M must be 16.240 to 16.379, in the middle 16.310`.
    pub wanted: String,
    /// `W 0.895, best 0.866, usable 0.840 to 1.350`.
    pub wire: String,
}

impl WiresView {
    /// Every line, in order.
    pub fn lines(&self) -> [&str; 4] {
        [&self.wanted, &self.formula, &self.sum, &self.wire].map(String::as_str)
    }
}
