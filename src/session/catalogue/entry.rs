//! What is known of one session without opening its journal again.

use jiff::Timestamp;
use jiff::tz::Offset;

use crate::gauge::{Date, GaugeId};
use crate::journal::{Job, Link, Manner, Part, State as RecordState};
use crate::session::standing::Standing;
use crate::session::view::PartState;
use crate::session::zero::Zero;

/// One session of the workspace.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Its files, the oldest first; at least one.
    pub files: Vec<EntryFile>,
    /// The file that its oldest file continues and that is not there.
    pub absent: Option<String>,
    /// How sound its record is.
    pub state: JournalState,
    /// The first things that were found wrong, with where; a few only.
    pub findings: Vec<EntryFinding>,
    /// Further ones.
    pub more_findings: u64,
    /// The part and its drawing, or the callouts.
    pub part_name: Option<String>,
    /// The part's name; empty where nothing named it.
    pub part: String,
    /// Number of its drawing; may be empty.
    pub drawing: String,
    /// Revision of the drawing; may be empty.
    pub revision: String,
    /// The plan file's name, or how the plan came about.
    pub plan_name: String,
    /// Order, customer, lot and machine as they were said, each once; the last holds.
    pub jobs: Vec<Job>,
    /// Stage at which the parts were measured; empty: the last.
    pub stage: String,
    /// Who measured, in the order of their first appearance.
    pub operators: Vec<String>,
    /// Who decided about parts or signed, the same.
    pub decided_by: Vec<String>,
    /// Wall clock of the first line.
    pub opened: Option<Timestamp>,
    /// Wall clock of the last line.
    pub last: Option<Timestamp>,
    /// Time zone offset of the bench at the start, such as `+01:00`.
    pub offset: String,
    /// How many parts were wanted, if that was said.
    pub parts_wanted: Option<u32>,
    /// The parts, by number.
    pub parts: Vec<EntryPart>,
    /// Parts that rest on a gauge which was found wrong in this or another session, and were not
    /// measured again. Known from all sessions together; never kept in the index.
    pub in_doubt: Vec<u32>,
    /// Readings received.
    pub readings: usize,
    /// Where they came from.
    pub origins: Origins,
    /// The gauges that were read.
    pub gauges: Vec<GaugeId>,
    /// Zero checks, and findings that a gauge is wrong.
    pub checks: Vec<EntryCheck>,
    /// The gauges that judged readings and those of studies rest on, and from when to when.
    pub rests: Vec<RestsOn>,
    /// Lines that check themselves.
    pub events: u64,
    /// Hash of the last line, in hexadecimal.
    pub head: String,
    /// Whether the session was closed.
    pub closed: bool,
}

/// A file of a session, as it was when it was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EntryFile {
    /// What the disk says of it.
    pub stamp: Stamp,
    /// The last line of it that counts; none: all of them.
    pub until: Option<Link>,
}

/// By what a file is known again. The bytes are not read for it: a file that was changed and has
/// all of these as before is not noticed here, but by whoever reads it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stamp {
    /// Its name.
    pub name: String,
    /// It lies where recording goes on when the workspace's own folder fails.
    pub is_elsewhere: bool,
    /// Bytes.
    pub length: u64,
    /// Last change of its bytes, nanoseconds since 1970; the system's clock.
    pub modified_ns: i64,
    /// Last change of anything about it, the same; 0 where the system does not say.
    pub changed_ns: i64,
    /// Its number on the disk; 0 where the system has none.
    pub inode: u64,
}

/// How sound a session's record is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JournalState {
    /// As a check of the record says.
    Read(RecordState),
    /// A file of it cannot be read.
    Unreadable,
}

/// Something that was found in a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EntryFinding {
    /// One snake_case word.
    pub kind: String,
    /// In which file.
    pub file: String,
    /// Physical line, from 1; 0: no line in particular.
    pub line: u64,
    /// Byte offset in the file.
    pub offset: u64,
    /// Length in bytes.
    pub length: u64,
    /// What, with where, in words.
    pub what: String,
}

/// One part of a session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EntryPart {
    /// Running number, from 1.
    pub number: u32,
    /// Serial number or mark; may be empty.
    pub serial: String,
    /// What its characteristics give.
    pub state: PartState,
    /// How it stands in all, decisions counted.
    pub standing: Standing,
    /// Selected characteristics that are GO.
    pub go: u32,
    /// That are NO-GO, also where they may be measured again.
    pub no_go: u32,
    /// That are DOUBT, the same, or rest on a gauge found wrong later in the same session.
    pub doubt: u32,
    /// That are still to be measured.
    pub open: u32,
}

/// How many readings came from where.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Origins {
    /// Sent by a gauge.
    pub sent: usize,
    /// Typed.
    pub typed: usize,
    /// Made by the simulated gauge.
    pub simulated: usize,
    /// Read from a file: measured elsewhere.
    pub imported: usize,
}

/// A check of a gauge, or a finding that it is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EntryCheck {
    /// Which gauge.
    pub gauge: GaugeId,
    /// When.
    pub time: Timestamp,
    /// What was found.
    pub zero: Zero,
}

/// That judged readings rest on a gauge: it was read, set the gauge that was read, or carried the
/// size to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RestsOn {
    /// Which gauge.
    pub gauge: GaugeId,
    /// The first of these readings.
    pub from: Timestamp,
    /// The last of them.
    pub to: Timestamp,
}

impl JournalState {
    /// The state's word.
    pub fn code(self) -> &'static str {
        match self {
            Self::Read(state) => state.code(),
            Self::Unreadable => "unreadable",
        }
    }

    /// Whether nothing that was written is lost or altered: sound, or only not closed.
    pub fn passes(self) -> bool {
        matches!(
            self,
            Self::Read(RecordState::Sound | RecordState::NotClosed)
        )
    }
}

impl Entry {
    /// The newest file's name: what the session is asked for by.
    pub fn journal(&self) -> &str {
        self.files.last().map_or("", |file| &file.stamp.name)
    }

    /// Whether something in it is not as it was written, or cannot be read: what is counted of it
    /// is so as far as it could be read.
    pub fn is_damaged(&self) -> bool {
        matches!(
            self.state,
            JournalState::Unreadable | JournalState::Read(RecordState::Damaged)
        )
    }

    /// Its files as they are read and replayed.
    pub fn record_parts(&self) -> Vec<Part> {
        let part = |file: &EntryFile| Part {
            name: file.stamp.name.clone(),
            until: file.until,
        };
        self.files.iter().map(part).collect()
    }

    /// What names the work at the end.
    pub fn job(&self) -> Option<&Job> {
        self.jobs.last()
    }

    /// Parts that are GO and not in doubt.
    pub fn go_parts(&self) -> usize {
        let is_go = |part: &&EntryPart| part.state == PartState::Go && !self.doubts(part.number);
        self.parts.iter().filter(is_go).count()
    }

    /// Parts that are open.
    pub fn open_parts(&self) -> usize {
        let is_open = |part: &&EntryPart| part.state == PartState::Open;
        self.parts.iter().filter(is_open).count()
    }

    /// Whether a part rests on a gauge that was found wrong.
    pub fn doubts(&self, part: u32) -> bool {
        self.in_doubt.contains(&part)
    }

    /// How many parts stand how, in the order of their first appearance: `3 released, 1 open`.
    pub fn standings(&self) -> Vec<(&'static str, usize)> {
        let mut counted: Vec<(&'static str, usize)> = Vec::new();
        for part in &self.parts {
            let is_doubtful_go = part.standing == Standing::Measured(PartState::Go);
            let word = match is_doubtful_go && self.doubts(part.number) {
                true => IN_DOUBT,
                false => part.standing.word(),
            };
            match counted.iter_mut().find(|(known, _)| *known == word) {
                Some((_, count)) => *count += 1,
                None => counted.push((word, 1)),
            }
        }
        counted
    }

    /// The bench's own days of the first and last line.
    pub fn days(&self) -> Option<(Date, Date)> {
        let (opened, last) = (self.opened?, self.last.or(self.opened)?);
        Some((self.day(opened)?, self.day(last)?))
    }

    /// The bench's distance from UTC; none where that cannot be read, as where it was not said.
    fn offset(&self) -> Offset {
        bench_offset(&self.offset).unwrap_or(Offset::UTC)
    }

    /// A moment's day at the bench; UTC where the bench did not say its offset.
    pub(in crate::session) fn day(&self, moment: Timestamp) -> Option<Date> {
        let local = self.offset().to_datetime(moment);
        let number = |number: i8| u8::try_from(number).ok();
        let year = u16::try_from(local.year()).ok()?;
        Date::new(year, number(local.month())?, number(local.day())?)
    }

    /// A moment as date and time at the bench, to the minute.
    pub fn local(&self, moment: Timestamp) -> String {
        let local = self.offset().to_datetime(moment);
        local.strftime("%Y-%m-%d %H:%M").to_string()
    }
}

/// The word of a part that is GO by its readings and rests on a gauge that was found wrong.
pub(super) const IN_DOUBT: &str = "in doubt";

/// A bench's distance from UTC as a record has it, such as `+01:00` or `-03:30`; where it has
/// none, it is UTC. None for any other text.
pub(crate) fn bench_offset(text: &str) -> Option<Offset> {
    if text.is_empty() {
        return Some(Offset::UTC);
    }
    let (sign, rest) = match text.split_at_checked(1)? {
        ("+", rest) => (1, rest),
        ("-", rest) => (-1, rest),
        _ => return None,
    };
    let (hours, minutes) = rest.split_once(':')?;
    let (hours, minutes): (i32, i32) = (hours.parse().ok()?, minutes.parse().ok()?);
    let is_clock = (0..24).contains(&hours) && (0..60).contains(&minutes);
    let seconds = is_clock.then(|| sign * (hours * 3_600 + minutes * 60))?;
    Offset::from_seconds(seconds).ok()
}

/// Every state that a record can be in.
pub(super) const JOURNAL_STATES: [JournalState; 5] = [
    JournalState::Read(RecordState::Sound),
    JournalState::Read(RecordState::NotClosed),
    JournalState::Read(RecordState::TornTail),
    JournalState::Read(RecordState::Damaged),
    JournalState::Unreadable,
];

/// Everything that the characteristics of a part can give.
pub(super) const PART_STATES: [PartState; 6] = [
    PartState::Go,
    PartState::NoGo,
    PartState::Doubt,
    PartState::Open,
    PartState::Noted,
    PartState::NotSelected,
];

/// Every way in which a part can stand.
pub(super) const STANDINGS: [Standing; 16] = [
    Standing::Measured(PartState::Go),
    Standing::Measured(PartState::NoGo),
    Standing::Measured(PartState::Doubt),
    Standing::Measured(PartState::Open),
    Standing::Measured(PartState::Noted),
    Standing::Measured(PartState::NotSelected),
    Standing::Released(Manner::Plain),
    Standing::Released(Manner::Early),
    Standing::Released(Manner::InDoubt),
    Standing::Released(Manner::UnderConcession),
    Standing::Conceded,
    Standing::OnHold,
    Standing::Rework,
    Standing::Scrap,
    Standing::StageDone,
    Standing::ChangedSinceRelease,
];
