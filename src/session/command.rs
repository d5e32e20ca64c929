//! What a person or a script may ask of the bench, in the imperative.

use crate::gauge::GaugeId;
use crate::journal::{Disposition, Job, PartAssembled, Sequence, SignedOff, StudyOpened};
use crate::quantity::{Celsius, Length, counted};

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
    /// Of several live gauges that one's value is taken at this characteristic.
    NameGauge {
        /// Which gauge.
        gauge: GaugeId,
        /// Feature id.
        feature: String,
        /// Element of the feature.
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
    /// The next reading of that gauge checks its zero.
    AskZeroCheck {
        /// Which gauge.
        gauge: GaugeId,
        /// The setting standard; none: the register's, else the gauge's own zero.
        standard: Option<GaugeId>,
    },
    /// The check that was asked for does not take place.
    DropZeroCheck {
        /// Which gauge.
        gauge: GaugeId,
    },
    /// A gauge was found wrong: what was measured with it since its last good check is in doubt.
    DoubtGauge {
        /// Which gauge.
        gauge: GaugeId,
        /// In doubt is what is later than this moment (RFC 3339); none: than the last good check.
        since: Option<String>,
        /// Why; must not be empty.
        reason: String,
    },
    /// The gauge is studied: its readings fill the cells of that plan. In a study
    /// [`Command::RepeatPoint`] voids the last reading, so that its cell comes next.
    OpenStudy(Box<StudyOpened>),
    /// A part gets its serial number.
    NamePart {
        /// Which part; none: the one at hand.
        part: Option<u32>,
        /// The serial number or mark on the part.
        serial: String,
    },
    /// What names the work is other than before.
    NoteJob(Job),
    /// Go on at a part that was started before.
    TakeUpPart {
        /// Which.
        part: u32,
    },
    /// Decide about a part; part 0 is the one at hand, an empty name the operator's.
    Dispose(Box<Disposition>),
    /// A part goes into an assembly.
    Assemble(Box<PartAssembled>),
    /// Sign for a part (0: the session as a whole); an empty name is the operator's.
    SignOff(Box<SignedOff>),
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
            Self::NameGauge { .. } => "name_gauge",
            Self::RepeatPoint => "repeat_point",
            Self::StartNextPart => "start_next_part",
            Self::TakeOut => "take_out",
            Self::PutBack { .. } => "put_back",
            Self::ChangeTool { .. } => "change_tool",
            Self::ApplyOffset { .. } => "apply_offset",
            Self::SetTemperature { .. } => "set_temperature",
            Self::AskZeroCheck { .. } => "ask_zero_check",
            Self::DropZeroCheck { .. } => "drop_zero_check",
            Self::DoubtGauge { .. } => "doubt_gauge",
            Self::OpenStudy(_) => "open_study",
            Self::NamePart { .. } => "name_part",
            Self::NoteJob(_) => "note_job",
            Self::TakeUpPart { .. } => "take_up_part",
            Self::Dispose(_) => "dispose",
            Self::Assemble(_) => "assemble",
            Self::SignOff(_) => "sign_off",
            Self::ChangeOperator { .. } => "change_operator",
            Self::Close { .. } => "close",
        }
    }

    /// Whether it is a person's decision, which may also come after the session was closed.
    pub fn is_decision(&self) -> bool {
        matches!(
            self,
            Self::NamePart { .. }
                | Self::NoteJob(_)
                | Self::Dispose(_)
                | Self::Assemble(_)
                | Self::SignOff(_)
        )
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
    /// That is done only with a reason.
    ReasonMissing,
    /// That is done only by a person with a name.
    NameMissing,
    /// No part of that number has been started; 0: none at all.
    NoSuchPart {
        /// The number asked for.
        part: u32,
    },
    /// Another part bears that serial number.
    SerialTaken {
        /// The serial number.
        serial: String,
        /// The part that bears it.
        part: u32,
    },
    /// The part was given up.
    PartScrapped {
        /// Which.
        part: u32,
    },
    /// Nothing measured on it needs a concession.
    NothingToConcede {
        /// Which.
        part: u32,
    },
    /// That line is no decision that stands.
    NoSuchDecision {
        /// The line asked for.
        line: Sequence,
    },
    /// The part cannot be released so.
    NotReleasable {
        /// Which.
        part: u32,
        /// Why not.
        why: String,
        /// What to do.
        hint: &'static str,
    },
    /// The plan has no such characteristic.
    NoSuchCharacteristic {
        /// Feature id asked for.
        feature: String,
        /// Element asked for; empty for the feature's first.
        element: String,
    },
    /// Nothing has been measured on the part at hand.
    NothingToRepeat,
    /// All the parts that were wanted have been started.
    NoPartsLeft {
        /// How many were wanted.
        wanted: u32,
    },
    /// The register has no such gauge.
    NoSuchGauge {
        /// The id asked for.
        gauge: String,
    },
    /// The gauge has no zero: a limit gauge, a standard or a protractor.
    NoZero {
        /// Which.
        gauge: String,
    },
    /// A zero is checked on a standard of one size, and this is none.
    NoStandard {
        /// Which.
        gauge: String,
    },
    /// The gauge cannot show what it should on that standard, or has no zero without one.
    StandardOutOfRange {
        /// Which gauge.
        gauge: String,
        /// What it should show.
        shows: Length,
    },
    /// The gauge cannot be studied so.
    StudyRefused {
        /// Why not, in a sentence.
        why: String,
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
            Self::NameMissing => "name_missing",
            Self::NoSuchPart { .. } => "no_such_part",
            Self::SerialTaken { .. } => "serial_taken",
            Self::PartScrapped { .. } => "part_scrapped",
            Self::NothingToConcede { .. } => "nothing_to_concede",
            Self::NoSuchDecision { .. } => "no_such_decision",
            Self::NotReleasable { .. } => "not_releasable",
            Self::NoSuchCharacteristic { .. } => "no_such_characteristic",
            Self::NothingToRepeat => "nothing_to_repeat",
            Self::NoPartsLeft { .. } => "no_parts_left",
            Self::NoSuchGauge { .. } => "no_such_gauge",
            Self::NoZero { .. } => "gauge_has_no_zero",
            Self::NoStandard { .. } => "no_setting_standard",
            Self::StandardOutOfRange { .. } => "standard_out_of_range",
            Self::StudyRefused { .. } => "study_refused",
            Self::Closed => "session_closed",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::NothingHeld => "Go on measuring.",
            Self::NoSuchReading { .. } => "Give the number of a reading of this session.",
            Self::ReasonMissing => "Say in a few words why.",
            Self::NameMissing => "Give a name.",
            Self::NoSuchPart { .. } => "Give the number of a part of this session.",
            Self::SerialTaken { .. } => "Check the number on the part.",
            Self::PartScrapped { .. } => "Withdraw the scrapping first, if it was a mistake.",
            Self::NothingToConcede { .. } => "Measure it first; what is good needs none.",
            Self::NoSuchDecision { .. } => "Give the line of a decision that stands.",
            Self::NotReleasable { hint, .. } => hint,
            Self::NoSuchCharacteristic { .. } => {
                "The feature is its id in the plan, the element such as size or pitch."
            }
            Self::NothingToRepeat => "Measure a point first.",
            Self::NoPartsLeft { .. } => "Close this session, or open one for more parts.",
            Self::NoSuchGauge { .. } => "Give the id of a gauge of the register, gauges.toml.",
            Self::NoZero { .. } => "Check the zero of a gauge that shows lengths.",
            Self::NoStandard { .. } => "Name a setting ring, a gauge block or a pin with one size.",
            Self::StandardOutOfRange { .. } => {
                "Name a setting standard whose size the gauge can show."
            }
            Self::StudyRefused { .. } => "Go on with what is asked, or open a new session.",
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
            } => write!(
                f,
                "Line {reading} is no reading of this session that counts."
            ),
            Self::NoSuchReading { reading: None } => {
                write!(f, "There is no reading that could be voided.")
            }
            Self::ReasonMissing => write!(f, "That is done only with a reason."),
            Self::NameMissing => write!(f, "That is done only by a person with a name."),
            Self::NoSuchPart { part: 0 } => write!(f, "No part has been started."),
            Self::NoSuchPart { part } => write!(f, "Part {part} has not been started."),
            Self::SerialTaken { serial, part } => {
                write!(
                    f,
                    "Part {part} bears the serial number “{}”.",
                    serial.escape_debug()
                )
            }
            Self::PartScrapped { part } => write!(f, "Part {part} was given up as scrap."),
            Self::NothingToConcede { part } => write!(
                f,
                "Nothing that was measured there on part {part} needs a concession."
            ),
            Self::NoSuchDecision { line } => {
                write!(f, "Line {line} is no decision about that part that stands.")
            }
            Self::NotReleasable { part, why, .. } => {
                write!(f, "Part {part} cannot be released: {why}.")
            }
            Self::NoSuchCharacteristic { feature, element } => {
                let named = [feature.as_str(), element].join(" ");
                let named = named.trim().escape_debug();
                write!(f, "The plan has no characteristic “{named}”.")
            }
            Self::NothingToRepeat => {
                f.write_str("Nothing has been measured on this part, so no point can be repeated.")
            }
            Self::NoPartsLeft { wanted } => {
                let wanted = counted(*wanted, "part");
                write!(
                    f,
                    "This session is of {wanted}, and no more can be started."
                )
            }
            Self::NoSuchGauge { gauge } => {
                write!(f, "The register has no gauge “{}”.", gauge.escape_debug())
            }
            Self::NoZero { gauge } => write!(f, "{gauge} has no zero that could be checked."),
            Self::NoStandard { gauge } => {
                write!(f, "{gauge} is no setting standard of one size.")
            }
            Self::StandardOutOfRange { gauge, shows } => write!(
                f,
                "{gauge} should show {} mm there, which is outside its range.",
                shows.to_mm()
            ),
            Self::StudyRefused { why } => f.write_str(why),
            Self::Closed => write!(f, "The session has been closed."),
        }
    }
}

impl std::error::Error for Refusal {}
