//! Verdict and value, for the largest type on the screen.

use super::Mark;

/// The verdict block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VerdictView {
    /// Fill and pattern.
    pub mark: Mark,
    /// `GO`, `NO-GO`, `DOUBT`, `CUTTING`; `inside, 2 of 3`; empty before the first reading.
    pub word: String,
    /// `metal on`, `metal gone`, `above`, `below`; `93 % chance of being inside`.
    pub side: String,
    /// The value at 20 °C, `20.046`; empty before the first reading.
    pub value: String,
    /// `mm` or `°`.
    pub unit: String,
    /// From the middle of the limits, with its sign: `+37.5 µm from the middle`.
    pub deviation: String,
    /// `gauge shows 20.050; for the middle it must show 20.012`; empty when nothing was corrected.
    pub shown: String,
    /// `U 2.1 µm (k = 2)`, or `uncertainty not considered`.
    pub uncertainty: String,
    /// What happens just now and spoils every reading:
    /// `Still cooling: the readings shrink by 3 µm in the last minute.`; empty when nothing does.
    pub warning: String,
    /// Everything else that must be said beside the verdict, a sentence each.
    pub notes: Vec<String>,
    /// A value that is being typed; it stands in place of the value.
    pub entry: Option<EntryView>,
}

/// A reading being typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EntryView {
    /// As typed.
    pub text: String,
    /// What it is: `reading of mic-25`, `part temperature, °C`, `reason`.
    pub what: String,
    /// What is wrong with it, and where; empty while nothing is.
    pub fault: String,
}

/// One point of a characteristic that has several.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PointView {
    /// From 1.
    pub number: u16,
    /// Its value at 20 °C; empty when it is still open.
    pub value: String,
    /// Its own state.
    pub mark: Mark,
    /// It is measured now.
    pub is_current: bool,
    /// `smallest`, `largest`, or empty.
    pub extreme: String,
}
