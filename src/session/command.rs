//! What a person or a script may ask of the bench, in the imperative.

use crate::journal::Sequence;
use crate::quantity::{Celsius, Length};

/// One request. It becomes events, or a [`Refusal`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Command {
    /// Answer for the held reading: it belongs where it would have gone, or it is put aside.
    AnswerHeld {
        /// It belongs.
        belongs: bool,
        /// Said with it.
        reason: String,
    },
    /// Take a reading out of the verdicts.
    VoidReading {
        /// Which; `None` means the last one that counts.
        reading: Option<Sequence>,
        /// Why; must not be empty.
        reason: String,
    },
    /// Cutting begins or is over.
    SwitchCutting(bool),
    /// Measure this characteristic next.
    ChooseCharacteristic {
        /// Feature id.
        feature: String,
        /// Element; empty means the first of the feature.
        element: String,
    },
    /// Measure the point that was measured last once more; what it came to still counts.
    RepeatPoint,
    /// Take the next part.
    StartNextPart,
    /// The part leaves the machine.
    TakeOut,
    /// The part is back in the machine.
    PutBack {
        /// How it was set true.
        method: String,
        /// Runout found.
        runout: Option<Length>,
    },
    /// The tool was changed.
    ChangeTool {
        /// Which.
        note: String,
    },
    /// A tool offset was given.
    ApplyOffset {
        /// By how much.
        amount: Length,
        /// Which tool or axis.
        note: String,
    },
    /// Temperatures; `None` is not known (any more).
    SetTemperature {
        /// Of the part.
        part: Option<Celsius>,
        /// Of the gauge.
        gauge: Option<Celsius>,
    },
    /// Another person measures from here on.
    ChangeOperator {
        /// Name.
        name: String,
    },
    /// End the session.
    Close {
        /// Why.
        reason: String,
    },
}

impl Command {
    /// The request in one word.
    pub fn word(&self) -> &'static str {
        match self {
            Self::AnswerHeld { .. } => "answer_held",
            Self::VoidReading { .. } => "void_reading",
            Self::SwitchCutting(_) => "switch_cutting",
            Self::ChooseCharacteristic { .. } => "choose_characteristic",
            Self::RepeatPoint => "repeat_point",
            Self::StartNextPart => "start_next_part",
            Self::TakeOut => "take_out",
            Self::PutBack { .. } => "put_back",
            Self::ChangeTool { .. } => "change_tool",
            Self::ApplyOffset { .. } => "apply_offset",
            Self::SetTemperature { .. } => "set_temperature",
            Self::ChangeOperator { .. } => "change_operator",
            Self::Close { .. } => "close",
        }
    }
}

/// Why a request cannot be carried out now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// No reading is held.
    NothingHeld,
    /// There is no reading to void, or not that one.
    NoSuchReading {
        /// The number asked for.
        reading: Option<Sequence>,
    },
    /// A reading is voided only with a reason.
    ReasonMissing,
    /// The plan has no such characteristic.
    NoSuchCharacteristic {
        /// Feature id asked for.
        feature: String,
    },
    /// Nothing has been measured on the part at hand.
    NothingToRepeat,
    /// All the parts that were wanted have been started.
    NoPartsLeft {
        /// How many were wanted.
        wanted: u32,
    },
    /// The session has ended.
    Closed,
}

impl Refusal {
    /// The refusal's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NothingHeld => "nothing_held",
            Self::NoSuchReading { .. } => "no_such_reading",
            Self::ReasonMissing => "reason_missing",
            Self::NoSuchCharacteristic { .. } => "no_such_characteristic",
            Self::NothingToRepeat => "nothing_to_repeat",
            Self::NoPartsLeft { .. } => "no_parts_left",
            Self::Closed => "session_closed",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::NothingHeld => "Go on measuring.",
            Self::NoSuchReading { .. } => "Give the number of a reading of this session.",
            Self::ReasonMissing => "Say in a few words why the reading does not count.",
            Self::NoSuchCharacteristic { .. } => "Give the id of a feature of the plan.",
            Self::NothingToRepeat => "Measure a point first.",
            Self::NoPartsLeft { .. } => "Close this session, or open one for more parts.",
            Self::Closed => "Open a new session.",
        }
    }
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NothingHeld => write!(f, "No reading waits for an answer."),
            Self::NoSuchReading {
                reading: Some(reading),
            } => {
                write!(
                    f,
                    "Line {reading} is no reading of this session that counts."
                )
            }
            Self::NoSuchReading { reading: None } => {
                write!(f, "There is no reading that could be voided.")
            }
            Self::ReasonMissing => write!(f, "A reading is voided only with a reason."),
            Self::NoSuchCharacteristic { feature } => {
                write!(f, "The plan has no feature “{}”.", feature.escape_debug())
            }
            Self::NothingToRepeat => {
                write!(
                    f,
                    "Nothing has been measured on this part, so no point can be repeated."
                )
            }
            Self::NoPartsLeft { wanted } => {
                write!(f, "All {wanted} parts of this session have been started.")
            }
            Self::Closed => write!(f, "The session has been closed."),
        }
    }
}

impl std::error::Error for Refusal {}
