//! What can happen at a bench, in the past tense. An event is never changed or taken back;
//! a mistake is answered by a further event.
//!
//! Of how an event looks on disk only its word stands here; the rest is `format.rs`.

use std::sync::Arc;

use super::event_assembled::PartAssembled;
use super::event_decided::{Disposition, Job, SignedOff};
use super::event_gauge::{EarlierZero, StudyCell, StudyOpened, ZeroChecked};
use super::event_suit::Suit;
use crate::gauge::{Origin, Reading};
use crate::measure::{Rule, Side, VerdictWord};
use crate::quantity::{Celsius, Length};

/// The number of a journal line; events name each other by it.
pub type Sequence = u64;

/// One thing that happened.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// The first event of a journal: everything that verdicts will rest on.
    SessionOpened(Box<SessionOpened>),
    /// A program took an unfinished session up again.
    SessionResumed {
        /// Program name and version.
        program: String,
        /// Digest of the tolerance tables that this program holds.
        tables: String,
    },
    /// The last event of a finished journal.
    SessionClosed {
        /// Readings received in the whole session.
        readings: u64,
        /// Parts started in the whole session.
        parts: u32,
        /// Why it ended, in words.
        reason: String,
    },
    /// This file goes on where another could not be written any more.
    ContinuationOpened {
        /// Name of the file that it continues.
        file: String,
        /// The last sequence number known to be on the disk there.
        sequence: Sequence,
        /// The hash of that line, in hexadecimal.
        hash: String,
    },
    /// A torn tail was found when the journal was opened; it was left where it was.
    TailDamaged {
        /// How many bytes the tail has.
        bytes: u64,
        /// Where it starts in the file.
        offset: u64,
    },
    /// Work on a part began.
    PartStarted {
        /// Running number in the session, from 1.
        part: u32,
    },
    /// A gauge gave a reading. Written and synced before anything is computed from it.
    ReadingReceived(Reading),
    /// What a reading was taken out of: follows the reading of a gauge that was shown live or was
    /// asked until the plan's way of taking was met.
    ReadingTaken(ReadingTaken),
    /// Bytes came that are no reading, or a state without a value.
    ReadingRefused {
        /// Which gauge.
        gauge: String,
        /// The wire's error name, or the gauge's status word.
        code: String,
        /// The bytes, cut at a bound.
        raw: Vec<u8>,
    },
    /// More such bytes came; counted at most once a second.
    GarbageCounted {
        /// Which gauge.
        gauge: String,
        /// How many frames were refused since the last such event.
        count: u64,
        /// The error name of the last one.
        code: String,
    },
    /// A gauge's line was found, lost or found again.
    GaugeStateChanged {
        /// Which gauge.
        gauge: String,
        /// The state in one word (`attached`, `unplugged`, `busy`, ...).
        state: String,
        /// Where: the port's name, and what was said of it.
        detail: String,
    },
    /// The zero of a gauge is to be checked: its next reading is that check's.
    ZeroCheckAsked {
        /// Which gauge.
        gauge: String,
        /// The setting standard by its id in the register; empty: the gauge's own zero.
        standard: String,
        /// What the gauge should show on it.
        shows: Length,
    },
    /// The check that was asked for does not take place.
    ZeroCheckDropped {
        /// Which gauge.
        gauge: String,
    },
    /// A person said which of its characteristics a gauge feeds that sends out of turn, or of
    /// several live gauges whose value is taken where the plan lists none: it holds for the
    /// session.
    GaugeRouted {
        /// Which gauge.
        gauge: String,
        /// Feature id.
        feature: String,
        /// Element of the feature.
        element: String,
    },
    /// A reading was a zero check; its one end.
    ZeroChecked(Box<ZeroChecked>),
    /// A gauge was found wrong in another way (dropped, its certificate corrected): its readings
    /// are in doubt. Nothing that was recorded is changed.
    GaugeDoubted {
        /// Which gauge.
        gauge: String,
        /// In doubt are readings later than this moment, RFC 3339; none: than the last good check.
        since: Option<String>,
        /// Why, in the operator's words.
        reason: String,
        /// Who says so.
        by: String,
    },
    /// A study of a gauge was planned; readings of that gauge fill its cells from here on.
    StudyOpened(Box<StudyOpened>),
    /// A reading filled a cell of the study; its one end.
    StudyCellFilled {
        /// The reading's sequence number.
        reading: Sequence,
        /// Which cell.
        cell: StudyCell,
    },
    /// A reading was given to a characteristic of a part.
    ReadingAssigned {
        /// The reading's sequence number.
        reading: Sequence,
        /// Where it belongs.
        place: Place,
    },
    /// A reading was judged.
    VerdictGiven(Arc<VerdictGiven>),
    /// A reading was taken while cutting: metal is still on.
    CuttingNoted {
        /// The reading's sequence number.
        reading: Sequence,
        /// Where it belongs.
        place: Place,
        /// The size at 20 °C.
        value_at_20: Length,
        /// Metal still to come off, on the dimension itself.
        left: Length,
        /// How deep to cut, for diameters.
        depth: Option<Length>,
        /// By how much to turn the dial on, in its own numbers, where the dial is known.
        dial: Option<Length>,
    },
    /// A reading looks wrong and waits for an answer.
    ReadingHeld {
        /// The reading's sequence number.
        reading: Sequence,
        /// Where it would belong.
        place: Place,
        /// The likely cause, one word.
        cause: String,
        /// The likely cause in a sentence.
        sentence: String,
    },
    /// A reading was put aside: it stays in the record and counts for nothing.
    ReadingSetAside {
        /// The reading's sequence number.
        reading: Sequence,
        /// Why, in words.
        reason: String,
    },
    /// The same frame came twice within the gauge's debounce time.
    RepeatMarked {
        /// The second reading's sequence number.
        reading: Sequence,
        /// The first reading's sequence number.
        of: Sequence,
    },
    /// A reading was taken out of the verdicts, with a reason.
    ReadingVoided {
        /// The reading's sequence number.
        reading: Sequence,
        /// Why, in the operator's words.
        reason: String,
        /// Who did it.
        by: String,
    },
    /// The operator said that cutting goes on, or is over.
    CuttingSwitched {
        /// Whether the bench is cutting now.
        on: bool,
    },
    /// The operator chose another characteristic to measure next.
    CharacteristicChosen {
        /// Feature id.
        feature: String,
        /// Element of the feature.
        element: String,
    },
    /// The operator asked for a point to be measured once more: the next reading belongs there.
    PointChosen {
        /// The point.
        place: Place,
    },
    /// The part was taken out of the machine.
    TakenOut {
        /// Features of the setting that were still open.
        open: Vec<String>,
    },
    /// The part was put back.
    PutBack {
        /// How it was set true.
        method: String,
        /// The runout found, full movement of the indicator.
        runout: Option<Length>,
    },
    /// The tool was changed, so that a trend may break here.
    ToolChanged {
        /// Which, in the operator's words.
        note: String,
    },
    /// A tool offset was given.
    OffsetApplied {
        /// By how much, as set on the machine.
        amount: Length,
        /// Which tool or axis, in the operator's words.
        note: String,
    },
    /// A temperature was entered or lapsed.
    TemperatureSet {
        /// The part's temperature; `None` when it is not known any more.
        part: Option<Celsius>,
        /// The gauge's temperature.
        gauge: Option<Celsius>,
    },
    /// What names the work is other than before from here on; what it does not say holds on.
    JobNoted(Job),
    /// A part got its serial number, or another one: the last holds.
    PartNamed {
        /// Running number in the session.
        part: u32,
        /// The serial number or mark on the part.
        serial: String,
    },
    /// Work goes on at a part that was started before: the next reading is of that one.
    PartTakenUp {
        /// Running number in the session.
        part: u32,
    },
    /// Something was decided about a part that is not simply good.
    DispositionGiven(Box<Disposition>),
    /// A part went into an assembly.
    PartAssembled(Box<PartAssembled>),
    /// Somebody put their name under the record.
    SignedOff(Box<SignedOff>),
    /// Another person measures from here on.
    OperatorChanged {
        /// The name.
        name: String,
    },
    /// The wall clock was set, seen against the monotonic count.
    ClockStepped {
        /// By how many milliseconds it moved; negative is backwards.
        by_ms: i64,
    },
    /// An event of a newer program; kept and reported, never dropped.
    Unknown {
        /// Its kind.
        kind: String,
    },
}

/// What a session rests on, embedded whole so that the record can be read alone.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SessionOpened {
    /// Program name and version.
    pub program: String,
    /// SHA-256 of the tolerance tables, in hexadecimal.
    pub tables: String,
    /// Name of the plan file, or how the plan came about.
    pub plan_name: String,
    /// The plan file's text, when there is one.
    pub plan: Option<String>,
    /// The typed callouts, when there is no plan file.
    pub callouts: Vec<String>,
    /// The gauge register's text.
    pub gauges: String,
    /// House tolerance files: name and text.
    pub house: Vec<(String, String)>,
    /// The gauges of this session.
    pub sources: Vec<GaugeSource>,
    /// Who measures.
    pub operator: String,
    /// Decision rule asked for; empty means the plan's, or the default.
    pub rule: String,
    /// Stage at which the parts are measured (`turned`); empty means the last, which decides.
    pub stage: String,
    /// General tolerance class for bare typed callouts; empty means none.
    pub general: String,
    /// The cross-slide dial: `radius 0.02` or `diameter 0.02` (step in mm); empty: not known.
    pub dial: String,
    /// How many parts are wanted, if it was said.
    pub parts: Option<u32>,
    /// Whether a verdict that is not GO moves on too.
    pub advance_always: bool,
    /// Whether it does so unless metal can still be taken off.
    pub advance_rework: bool,
    /// Time zone offset of the bench at the start, such as `+01:00`.
    pub offset: String,
    /// The last zero checks of gauges before it, that still hold or failed.
    pub zeros: Vec<EarlierZero>,
    /// What names the work, where it was said beside the plan.
    pub job: Job,
    /// Sizes that are made to suit their measured mates in this session.
    pub suits: Vec<Suit>,
}

/// How a reading was taken out of values that were seen and not recorded one by one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadingTaken {
    /// The reading's sequence number; [`ReadingTaken::JUST_BEFORE`] until it is written.
    pub reading: Sequence,
    /// The way, as plans say it (`press`, `stable`, `largest`, `smallest`, `range`).
    pub how: String,
    /// How many values were seen.
    pub values: u32,
    /// The smallest of them, as shown by the gauge.
    pub smallest: Option<Length>,
    /// The largest of them.
    pub largest: Option<Length>,
    /// From the first of them to the last, milliseconds.
    pub over_ms: u64,
}

impl ReadingTaken {
    /// Stands for the reading that is recorded just before; the recorder puts its number there.
    pub const JUST_BEFORE: Sequence = 0;
}

/// Where a gauge's readings come from in a session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GaugeSource {
    /// The gauge's id.
    pub gauge: String,
    /// The source as given: `serial:PORT`, `simulated:SEED`, `typed`.
    pub source: String,
    /// Name of the adapter that decodes its bytes; empty for typed.
    pub adapter: String,
    /// The same frame again within this time is the same press, in milliseconds; 0: never.
    pub repeat_ms: u32,
}

/// Part, characteristic and point that a reading belongs to.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Place {
    /// Running number of the part, from 1.
    pub part: u32,
    /// Feature id in the plan.
    pub feature: String,
    /// Element of the feature (`size`, `angle`, ...).
    pub element: String,
    /// Which of the wanted points, from 1.
    pub point: u16,
}

/// The word of a judged reading: a verdict, or inside with points still wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Outcome {
    /// A verdict on the characteristic, or a point that is not inside.
    Verdict(VerdictWord),
    /// Inside, but not the last of its points: no GO before that.
    Inside,
    /// Recorded, and nothing is proved by it: the feel of a mating part.
    Noted,
}

/// A verdict with everything needed to check it later.
#[derive(Debug, Clone, PartialEq)]
pub struct VerdictGiven {
    /// The reading that brought it.
    pub reading: Sequence,
    /// Where it belongs.
    pub place: Place,
    /// How many points are wanted in all.
    pub points: u16,
    /// All readings of this point that were taken together (repeats), the last one included.
    pub from: Vec<Sequence>,
    /// The value at 20 °C that was judged.
    pub value_at_20: i64,
    /// Standard uncertainty, rounded up to whole smallest steps; `None`: not considered.
    pub u: Option<i64>,
    /// Lower limit.
    pub lower: Option<i64>,
    /// Upper limit.
    pub upper: Option<i64>,
    /// Whether the steps are nanometres or milliarcseconds, or it is an outcome.
    pub unit: ValueUnit,
    /// The word.
    pub outcome: Outcome,
    /// Where the value lies; `Inside` where nothing is proved, which lies nowhere.
    pub side: Side,
    /// From the value to the middle of the limits, if there is one.
    pub to_middle: Option<i64>,
    /// Probability of conformity in parts per million, when u is known.
    pub conformance_ppm: Option<u32>,
    /// The decision rule that was applied.
    pub rule: Rule,
    /// Why it is DOUBT, or what was noticed, one word each (`readings_disagree`, ...).
    pub notes: Vec<String>,
}

/// What the whole numbers of a verdict count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ValueUnit {
    /// Nanometres.
    Nanometre,
    /// Milliarcseconds.
    Milliarcsecond,
    /// Outcomes of a limit gauge or a mating part, by [`CheckOutcome::number`]; there are no
    /// limits and no uncertainty then.
    ///
    /// [`CheckOutcome::number`]: crate::gauge::CheckOutcome::number
    Check,
}

impl Event {
    /// The word that names this kind of event on disk.
    pub fn kind(&self) -> &str {
        match self {
            Self::SessionOpened(_) => "session_opened",
            Self::SessionResumed { .. } => "session_resumed",
            Self::SessionClosed { .. } => "session_closed",
            Self::ContinuationOpened { .. } => "continuation_opened",
            Self::TailDamaged { .. } => "tail_damaged",
            Self::PartStarted { .. } => "part_started",
            Self::ReadingReceived(_) => "reading_received",
            Self::ReadingTaken(_) => "reading_taken",
            Self::ReadingRefused { .. } => "reading_refused",
            Self::GarbageCounted { .. } => "garbage_counted",
            Self::GaugeStateChanged { .. } => "gauge_state_changed",
            Self::ZeroCheckAsked { .. } => "zero_check_asked",
            Self::ZeroCheckDropped { .. } => "zero_check_dropped",
            Self::GaugeRouted { .. } => "gauge_routed",
            Self::ZeroChecked(_) => "zero_checked",
            Self::GaugeDoubted { .. } => "gauge_doubted",
            Self::StudyOpened(_) => "study_opened",
            Self::StudyCellFilled { .. } => "study_cell_filled",
            Self::ReadingAssigned { .. } => "reading_assigned",
            Self::VerdictGiven(_) => "verdict_given",
            Self::CuttingNoted { .. } => "cutting_noted",
            Self::ReadingHeld { .. } => "reading_held",
            Self::ReadingSetAside { .. } => "reading_set_aside",
            Self::RepeatMarked { .. } => "repeat_marked",
            Self::ReadingVoided { .. } => "reading_voided",
            Self::CuttingSwitched { .. } => "cutting_switched",
            Self::CharacteristicChosen { .. } => "characteristic_chosen",
            Self::PointChosen { .. } => "point_chosen",
            Self::TakenOut { .. } => "taken_out",
            Self::PutBack { .. } => "put_back",
            Self::ToolChanged { .. } => "tool_changed",
            Self::OffsetApplied { .. } => "offset_applied",
            Self::TemperatureSet { .. } => "temperature_set",
            Self::JobNoted(_) => "job_noted",
            Self::PartNamed { .. } => "part_named",
            Self::PartTakenUp { .. } => "part_taken_up",
            Self::DispositionGiven(_) => "disposition_given",
            Self::PartAssembled(_) => "part_assembled",
            Self::SignedOff(_) => "signed_off",
            Self::OperatorChanged { .. } => "operator_changed",
            Self::ClockStepped { .. } => "clock_stepped",
            Self::Unknown { kind } => kind,
        }
    }
}

/// The origin's word on disk.
pub(crate) fn origin_word(origin: Origin) -> &'static str {
    match origin {
        Origin::Sent => "sent",
        Origin::Typed => "typed",
        Origin::Simulated => "simulated",
        Origin::Imported => "imported",
    }
}
