//! How the index lies on the disk: JSON Lines, each with a checksum over itself and the first
//! line. A line that is not exactly as this version writes it is no line, and what it would have
//! told is read from the journals again. The form is nobody else's business and may change with
//! every version.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use super::Known;
use super::entry::{
    Entry, EntryCheck, EntryFile, EntryFinding, EntryPart, JOURNAL_STATES, JournalState, Origins,
    PART_STATES, RestsOn, STANDINGS, Stamp,
};
use crate::gauge::GaugeId;
use crate::journal::{ContinuationOf, FileStart, Hash, Job, Link};
use crate::quantity::Length;
use crate::session::begin::PROGRAM;
use crate::session::standing::Standing;
use crate::session::zero::Zero;

/// Raised whenever an entry says something else than before of the same journal.
const VERSION: u32 = 2;
/// A longer line is not kept (chosen: some hundred thousand parts).
const LINE_MAX: usize = 64 * 1024 * 1024;
/// Before and behind the checksum of a line.
const SUM: &str = "{\"sum\":\"";
const OF: &str = "\",";
const HEX: usize = 64;

#[derive(Debug, Serialize, Deserialize)]
struct FirstLine {
    index_version: u32,
    program: String,
    tables: String,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum Kept {
    File(FileKept),
    Session(Box<SessionKept>),
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FileKept {
    stamp: StampKept,
    continues: Option<(String, u64, String)>,
    holds_events: bool,
}

/// Name, elsewhere, length, modified, changed, inode.
type StampKept = (String, bool, u64, i64, i64, u64);
/// Number, serial, state, standing, and the counts GO, NO-GO, DOUBT, open.
type PartKept = (u32, String, String, String, u32, u32, u32, u32);
/// Kind, file, line, offset, length, what.
type FindingKept = (String, String, u64, u64, u64, String);

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct SessionKept {
    files: Vec<(StampKept, Option<(u64, String)>)>,
    absent: Option<String>,
    state: String,
    findings: Vec<FindingKept>,
    more_findings: u64,
    part_name: Option<String>,
    part: String,
    drawing: String,
    revision: String,
    plan_name: String,
    jobs: Vec<[String; 4]>,
    stage: String,
    operators: Vec<String>,
    decided_by: Vec<String>,
    opened_ms: Option<i64>,
    last_ms: Option<i64>,
    offset: String,
    parts_wanted: Option<u32>,
    parts: Vec<PartKept>,
    readings: usize,
    origins: [usize; 4],
    gauges: Vec<String>,
    checks: Vec<CheckKept>,
    rests: Vec<(String, i64, i64)>,
    events: u64,
    head: String,
    closed: bool,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CheckKept {
    gauge: String,
    time_ms: i64,
    line: u64,
    reading: u64,
    at_ms: i64,
    standard: Option<String>,
    offset_nm: i64,
    good: bool,
    why: String,
    since: Option<String>,
}

/// The first line: what an index has to be of to be read at all.
fn first_line(tables: &str) -> Option<String> {
    let line = FirstLine {
        index_version: VERSION,
        program: PROGRAM.to_owned(),
        tables: tables.to_owned(),
    };
    serde_json::to_string(&line).ok()
}

/// The whole index as bytes; `tables` is the digest of the program's tolerance tables.
pub(super) fn written<'e>(
    tables: &str,
    files: impl Iterator<Item = (&'e Stamp, &'e FileStart)>,
    entries: impl Iterator<Item = &'e Entry>,
) -> Option<Vec<u8>> {
    let first = first_line(tables)?;
    let mut bytes = first.clone().into_bytes();
    bytes.push(b'\n');
    let files = files.map(|(stamp, start)| Kept::File(file_kept(stamp, start)));
    let sessions = entries.map(|entry| Kept::Session(Box::new(session_kept(entry))));
    for kept in files.chain(sessions) {
        let text = serde_json::to_string(&kept).ok()?;
        let rest = text.strip_prefix('{')?;
        if rest.len() > LINE_MAX {
            continue;
        }
        bytes.extend_from_slice(SUM.as_bytes());
        let (sum, _) = summed(&first, rest.as_bytes());
        bytes.extend_from_slice(sum.to_string().as_bytes());
        bytes.extend_from_slice(OF.as_bytes());
        bytes.extend_from_slice(rest.as_bytes());
        bytes.push(b'\n');
    }
    Some(bytes)
}

/// What can be believed of an index; nothing of another version's, another program's or one with
/// other tables.
pub(super) fn read(bytes: &[u8], tables: &str) -> Known {
    let mut known = Known::default();
    let mut lines = bytes.split_inclusive(|byte| *byte == b'\n');
    let first = first_line(tables).unwrap_or_default();
    if lines.next() != Some(format!("{first}\n").as_bytes()) {
        return known;
    }
    for line in lines {
        match kept_of(line, &first) {
            Some(Kept::File(kept)) => known.add_file(file_of(kept)),
            Some(Kept::Session(kept)) => known.add_entry(entry_of(*kept)),
            None => {}
        }
    }
    known
}

fn kept_of(line: &[u8], first: &str) -> Option<Kept> {
    let line = line.strip_suffix(b"\n")?;
    let (told, rest) = line.strip_prefix(SUM.as_bytes())?.split_at_checked(HEX)?;
    let rest = rest.strip_prefix(OF.as_bytes())?;
    if rest.len() > LINE_MAX {
        return None;
    }
    let told = Hash::parse(std::str::from_utf8(told).ok()?)?;
    let (sum, covered) = summed(first, rest);
    let json = covered.get(first.len() + 1..)?;
    (told == sum).then(|| serde_json::from_slice(json).ok())?
}

/// The checksum of a line, and what it covers: the first line, and the line as JSON without its
/// checksum.
fn summed(first: &str, rest: &[u8]) -> (Hash, Vec<u8>) {
    let mut covered = Vec::with_capacity(first.len() + 2 + rest.len());
    covered.extend_from_slice(first.as_bytes());
    covered.extend_from_slice(b"\n{");
    covered.extend_from_slice(rest);
    (Hash::of(&covered), covered)
}

fn stamp_kept(stamp: &Stamp) -> StampKept {
    (
        stamp.name.clone(),
        stamp.is_elsewhere,
        stamp.length,
        stamp.modified_ns,
        stamp.changed_ns,
        stamp.inode,
    )
}

fn stamp_of(kept: StampKept) -> Stamp {
    let (name, is_elsewhere, length, modified_ns, changed_ns, inode) = kept;
    Stamp {
        name,
        is_elsewhere,
        length,
        modified_ns,
        changed_ns,
        inode,
    }
}

fn file_kept(stamp: &Stamp, start: &FileStart) -> FileKept {
    let continues = start.continues.as_ref().map(|origin| {
        let link = origin.link;
        (origin.file.clone(), link.seq, link.hash.to_string())
    });
    FileKept {
        stamp: stamp_kept(stamp),
        continues,
        holds_events: start.holds_events,
    }
}

fn file_of(kept: FileKept) -> Option<(Stamp, FileStart)> {
    let continues = match kept.continues {
        None => None,
        Some((file, seq, hash)) => Some(ContinuationOf {
            file,
            link: link_of((seq, hash))?,
        }),
    };
    let stamp = stamp_of(kept.stamp);
    let start = FileStart {
        name: stamp.name.clone(),
        continues,
        holds_events: kept.holds_events,
    };
    Some((stamp, start))
}

fn link_of((seq, hash): (u64, String)) -> Option<Link> {
    let hash = Hash::parse(&hash)?;
    Some(Link { seq, hash })
}

fn session_kept(entry: &Entry) -> SessionKept {
    let owned = |ids: &[GaugeId]| ids.iter().map(|id| id.as_str().to_owned()).collect();
    let origins = &entry.origins;
    SessionKept {
        files: entry.files.iter().map(entry_file_kept).collect(),
        absent: entry.absent.clone(),
        state: entry.state.code().to_owned(),
        findings: entry.findings.iter().map(finding_kept).collect(),
        more_findings: entry.more_findings,
        part_name: entry.part_name.clone(),
        part: entry.part.clone(),
        drawing: entry.drawing.clone(),
        revision: entry.revision.clone(),
        plan_name: entry.plan_name.clone(),
        jobs: entry.jobs.iter().map(job_kept).collect(),
        stage: entry.stage.clone(),
        operators: entry.operators.clone(),
        decided_by: entry.decided_by.clone(),
        opened_ms: entry.opened.map(Timestamp::as_millisecond),
        last_ms: entry.last.map(Timestamp::as_millisecond),
        offset: entry.offset.clone(),
        parts_wanted: entry.parts_wanted,
        parts: entry.parts.iter().map(part_kept).collect(),
        readings: entry.readings,
        origins: [
            origins.sent,
            origins.typed,
            origins.simulated,
            origins.imported,
        ],
        gauges: owned(&entry.gauges),
        checks: entry.checks.iter().map(check_kept).collect(),
        rests: entry.rests.iter().map(rests_kept).collect(),
        events: entry.events,
        head: entry.head.clone(),
        closed: entry.closed,
    }
}

fn entry_of(kept: SessionKept) -> Option<Entry> {
    let [sent, typed, simulated, imported] = kept.origins;
    Some(Entry {
        files: all(kept.files, entry_file_of)?,
        absent: kept.absent,
        state: state_of(&kept.state)?,
        findings: all(kept.findings, |one| Some(finding_of(one)))?,
        more_findings: kept.more_findings,
        part_name: kept.part_name,
        part: kept.part,
        drawing: kept.drawing,
        revision: kept.revision,
        plan_name: kept.plan_name,
        jobs: all(kept.jobs, |one| Some(job_of(one)))?,
        stage: kept.stage,
        operators: kept.operators,
        decided_by: kept.decided_by,
        opened: moment(kept.opened_ms)?,
        last: moment(kept.last_ms)?,
        offset: kept.offset,
        parts_wanted: kept.parts_wanted,
        parts: all(kept.parts, part_of)?,
        in_doubt: Vec::new(),
        readings: kept.readings,
        origins: Origins {
            sent,
            typed,
            simulated,
            imported,
        },
        gauges: all(kept.gauges, |id| Some(GaugeId::new(&id)))?,
        checks: all(kept.checks, check_of)?,
        rests: all(kept.rests, rests_of)?,
        events: kept.events,
        head: kept.head,
        closed: kept.closed,
    })
}

fn all<K, T>(kept: Vec<K>, one: impl Fn(K) -> Option<T>) -> Option<Vec<T>> {
    kept.into_iter().map(one).collect()
}

/// A moment that was not known stays so; one that cannot be makes the line no line.
fn moment(ms: Option<i64>) -> Option<Option<Timestamp>> {
    match ms {
        None => Some(None),
        Some(ms) => Timestamp::from_millisecond(ms).ok().map(Some),
    }
}

/// Of a session that cannot be read nothing is kept.
fn state_of(word: &str) -> Option<JournalState> {
    let mut known = JOURNAL_STATES.into_iter();
    known.find(|state| state.code() == word && *state != JournalState::Unreadable)
}

fn entry_file_kept(file: &EntryFile) -> (StampKept, Option<(u64, String)>) {
    let until = file.until.map(|link| (link.seq, link.hash.to_string()));
    (stamp_kept(&file.stamp), until)
}

fn entry_file_of((stamp, until): (StampKept, Option<(u64, String)>)) -> Option<EntryFile> {
    let until = match until {
        None => None,
        Some(link) => Some(link_of(link)?),
    };
    Some(EntryFile {
        stamp: stamp_of(stamp),
        until,
    })
}

fn finding_kept(one: &EntryFinding) -> FindingKept {
    (
        one.kind.clone(),
        one.file.clone(),
        one.line,
        one.offset,
        one.length,
        one.what.clone(),
    )
}

fn finding_of((kind, file, line, offset, length, what): FindingKept) -> EntryFinding {
    EntryFinding {
        kind,
        file,
        line,
        offset,
        length,
        what,
    }
}

fn job_kept(job: &Job) -> [String; 4] {
    [&job.order, &job.customer, &job.material_lot, &job.machine].map(String::clone)
}

fn job_of([order, customer, material_lot, machine]: [String; 4]) -> Job {
    Job {
        order,
        customer,
        material_lot,
        machine,
    }
}

fn part_kept(part: &EntryPart) -> PartKept {
    (
        part.number,
        part.serial.clone(),
        part.state.word().to_owned(),
        part.standing.word().to_owned(),
        part.go,
        part.no_go,
        part.doubt,
        part.open,
    )
}

fn part_of(
    (number, serial, state, standing, go, no_go, doubt, open): PartKept,
) -> Option<EntryPart> {
    Some(EntryPart {
        number,
        serial,
        state: PART_STATES.into_iter().find(|one| one.word() == state)?,
        standing: standing_of(&standing)?,
        go,
        no_go,
        doubt,
        open,
    })
}

fn standing_of(word: &str) -> Option<Standing> {
    let mut known = STANDINGS.into_iter();
    known.find(|standing| standing.word() == word)
}

fn check_kept(check: &EntryCheck) -> CheckKept {
    let zero = &check.zero;
    CheckKept {
        gauge: check.gauge.as_str().to_owned(),
        time_ms: check.time.as_millisecond(),
        line: zero.line,
        reading: zero.reading,
        at_ms: zero.at_ms,
        standard: zero.standard.as_ref().map(|id| id.as_str().to_owned()),
        offset_nm: zero.offset.as_nm(),
        good: zero.good,
        why: zero.why.clone(),
        since: zero.since.clone(),
    }
}

fn check_of(kept: CheckKept) -> Option<EntryCheck> {
    Some(EntryCheck {
        gauge: GaugeId::new(&kept.gauge),
        time: Timestamp::from_millisecond(kept.time_ms).ok()?,
        zero: Zero {
            line: kept.line,
            reading: kept.reading,
            at_ms: kept.at_ms,
            standard: kept.standard.as_deref().map(GaugeId::new),
            offset: Length::from_nm(kept.offset_nm),
            good: kept.good,
            why: kept.why,
            since: kept.since,
        },
    })
}

fn rests_kept(rests: &RestsOn) -> (String, i64, i64) {
    let (from, to) = (rests.from.as_millisecond(), rests.to.as_millisecond());
    (rests.gauge.as_str().to_owned(), from, to)
}

fn rests_of((gauge, from, to): (String, i64, i64)) -> Option<RestsOn> {
    Some(RestsOn {
        gauge: GaugeId::new(&gauge),
        from: Timestamp::from_millisecond(from).ok()?,
        to: Timestamp::from_millisecond(to).ok()?,
    })
}
