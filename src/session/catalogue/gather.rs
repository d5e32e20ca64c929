//! What a session's record says of it, gathered in one reading.

use std::collections::BTreeMap;

use jiff::Timestamp;

use super::entry::{
    Entry, EntryCheck, EntryFile, EntryFinding, EntryPart, JournalState, Origins, RestsOn, Stamp,
};
use crate::gauge::{GaugeId, GaugeReads, Origin};
use crate::journal::{Event, Outcome, SessionFiles, State as RecordState};
use crate::measure::VerdictWord;
use crate::session::record::SessionRecord;
use crate::session::record_folders::RecordFolders;
use crate::session::replay::{Check, Replayed, Retold};
use crate::session::state::{End, Part, Record, State};

/// So many findings are kept in full (chosen; `verify` tells all of them).
const FINDINGS_MAX: usize = 4;

/// Reads a session; one that cannot be read says so.
pub(super) fn entry_of(
    folder: &RecordFolders,
    session: &SessionFiles,
    stamps: Vec<Stamp>,
) -> Entry {
    let parts = session.parts.clone();
    let files = stamps
        .into_iter()
        .zip(&parts)
        .map(|(stamp, part)| EntryFile {
            stamp,
            until: part.until,
        });
    let mut entry = blank(files.collect());
    entry.absent = session.absent.as_ref().map(|origin| origin.file.clone());
    let read = SessionRecord::read_with(folder, parts, Check::State, |retold| {
        entry.note(retold);
    });
    match read {
        Ok(read) => entry.take(&read),
        Err(error) => entry.found_unreadable(error.to_string()),
    }
    entry
}

/// A file that cannot be opened.
pub(super) fn unreadable(stamp: Stamp, why: String) -> Entry {
    let mut entry = blank(vec![EntryFile { stamp, until: None }]);
    entry.found_unreadable(why);
    entry
}

fn blank(files: Vec<EntryFile>) -> Entry {
    Entry {
        files,
        absent: None,
        state: JournalState::Read(RecordState::NotClosed),
        findings: Vec::new(),
        more_findings: 0,
        part_name: None,
        part: String::new(),
        drawing: String::new(),
        revision: String::new(),
        plan_name: String::new(),
        jobs: Vec::new(),
        stage: String::new(),
        operators: Vec::new(),
        decided_by: Vec::new(),
        opened: None,
        last: None,
        offset: String::new(),
        parts_wanted: None,
        parts: Vec::new(),
        in_doubt: Vec::new(),
        readings: 0,
        origins: Origins::default(),
        gauges: Vec::new(),
        checks: Vec::new(),
        rests: Vec::new(),
        events: 0,
        head: String::new(),
        closed: false,
    }
}

impl Entry {
    fn found_unreadable(&mut self, what: String) {
        self.state = JournalState::Unreadable;
        self.findings = vec![EntryFinding {
            kind: "unreadable".to_owned(),
            file: self.journal().to_owned(),
            line: 0,
            offset: 0,
            length: 0,
            what,
        }];
    }

    /// What is replaced later in the session is found by its old name too.
    fn note(&mut self, retold: &Retold<'_>) {
        match retold.event {
            Event::SessionOpened(opened) if self.operators.is_empty() => {
                keep(&mut self.operators, &opened.operator);
            }
            Event::OperatorChanged { name } => keep(&mut self.operators, name),
            Event::DispositionGiven(given) => keep(&mut self.decided_by, &given.by),
            Event::SignedOff(signed) => keep(&mut self.decided_by, &signed.by),
            Event::SessionOpened(_) | Event::JobNoted(_) => {}
            _ => return,
        }
        if let Some(state) = retold.state {
            let job = &state.bench().job;
            // The last holds, also where the same was said before.
            self.jobs.retain(|one| one != job);
            self.jobs.push(job.clone());
        }
    }

    fn take(&mut self, read: &SessionRecord) {
        self.state = JournalState::Read(read.state());
        self.take_findings(read);
        self.part_name = read.part_name();
        self.opened = read.replayed.first_time;
        self.last = read.replayed.last_time;
        self.events = read.reports.iter().map(|report| report.events).sum();
        let head = read.reports.last();
        self.head = head.map_or_else(String::new, |report| report.head.hash.to_string());
        if let Some(opened) = &read.replayed.opened {
            self.plan_name.clone_from(&opened.plan_name);
            self.stage.clone_from(&opened.stage);
            self.offset.clone_from(&opened.offset);
            self.parts_wanted = opened.parts;
        }
        if let Some(state) = &read.replayed.state {
            self.take_state(state, &read.replayed);
        }
    }

    fn take_findings(&mut self, read: &SessionRecord) {
        let mut all = Vec::new();
        let mut more = read.replayed.more_faults;
        for (report, part) in read.reports.iter().zip(&read.parts) {
            more += report.more_findings;
            let findings = report.findings.iter().filter(|one| !one.is_notice());
            all.extend(findings.map(|finding| EntryFinding {
                kind: finding.code().to_owned(),
                file: part.name.clone(),
                line: finding.place.line,
                offset: finding.place.offset,
                length: finding.place.length,
                what: finding.to_string(),
            }));
        }
        all.extend(read.replayed.faults.iter().map(|fault| {
            EntryFinding {
                kind: fault.kind.to_owned(),
                file: read
                    .parts
                    .get(fault.part)
                    .map_or_else(String::new, |part| part.name.clone()),
                line: fault.line,
                offset: fault.offset,
                length: fault.length,
                what: format!("event {}: {}", fault.sequence, fault.what),
            }
        }));
        more += all.len().saturating_sub(FINDINGS_MAX) as u64;
        all.truncate(FINDINGS_MAX);
        (self.findings, self.more_findings) = (all, more);
    }

    fn take_state(&mut self, state: &State, replayed: &Replayed) {
        let setup = state.setup();
        let part = &setup.plan.part;
        let or_none = |text: &Option<String>| text.clone().unwrap_or_default();
        self.part.clone_from(&part.name);
        (self.drawing, self.revision) = (or_none(&part.drawing), or_none(&part.revision));
        self.closed = state.is_closed();
        self.readings = state.readings().len();
        self.parts = state
            .parts()
            .iter()
            .map(|part| entry_part(state, part))
            .collect();
        let mut rests: BTreeMap<GaugeId, (Timestamp, Timestamp)> = BTreeMap::new();
        for record in state.readings().iter() {
            self.count(record.origin);
            let Some(gauge) = record.gauge.and_then(|index| setup.gauge_id(index)) else {
                continue;
            };
            keep(&mut self.gauges, &gauge);
            if !matches!(record.end, End::Judged | End::Study) {
                continue;
            }
            let Some(time) = replayed.time_at(record.at_ms) else {
                continue;
            };
            for id in rests_on(state, &record, gauge) {
                let (from, to) = rests.entry(id).or_insert((time, time));
                (*from, *to) = ((*from).min(time), (*to).max(time));
            }
        }
        let rests = rests.into_iter();
        self.rests = rests
            .map(|(gauge, (from, to))| RestsOn { gauge, from, to })
            .collect();
        self.checks = checks_of(state, replayed);
    }

    fn count(&mut self, origin: Origin) {
        let count = match origin {
            Origin::Sent => &mut self.origins.sent,
            Origin::Typed => &mut self.origins.typed,
            Origin::Simulated => &mut self.origins.simulated,
            Origin::Imported => &mut self.origins.imported,
        };
        *count += 1;
    }
}

fn keep<T: Clone + PartialEq>(all: &mut Vec<T>, one: &T) {
    if !all.contains(one) {
        all.push(one.clone());
    }
}

fn entry_part(state: &State, part: &Part) -> EntryPart {
    let mut counted = EntryPart {
        number: part.number,
        serial: part.decided.serial.clone(),
        state: part.state(),
        standing: state.standing(part),
        go: 0,
        no_go: 0,
        doubt: 0,
        open: 0,
    };
    for one in part.characteristics.iter().filter(|one| one.selected) {
        // What is not settled and was read as NO-GO or DOUBT counts as that.
        let count = match one.worst() {
            Some(Outcome::Verdict(VerdictWord::NoGo)) => &mut counted.no_go,
            Some(Outcome::Verdict(VerdictWord::Doubt)) => &mut counted.doubt,
            Some(_) if one.is_in_doubt() => &mut counted.doubt,
            _ if one.settled.is_none() => &mut counted.open,
            Some(Outcome::Verdict(VerdictWord::Go)) => &mut counted.go,
            _ => continue,
        };
        *count += 1;
    }
    counted
}

/// Every gauge that makes the reading doubtful if it is found wrong: the one that was read, what
/// that one was set on or carries a size to, and what carried the size to it.
fn rests_on(state: &State, record: &Record, gauge: GaugeId) -> Vec<GaugeId> {
    let setup = state.setup();
    let mut ids = Vec::new();
    if let Some(known) = setup.gauge(&gauge) {
        if let GaugeReads::Deviation { set_on, .. } = &known.reads {
            ids.push(set_on.clone());
        }
        ids.extend(known.read_by.clone());
    }
    let target = setup.targets.get(usize::from(record.target));
    let carrier = target.and_then(|target| setup.carrier(target, &gauge));
    ids.extend(carrier.map(|carrier| carrier.id.clone()));
    ids.push(gauge);
    ids
}

fn checks_of(state: &State, replayed: &Replayed) -> Vec<EntryCheck> {
    let mut checks = Vec::new();
    for (gauge, zeros) in state.zeros().all() {
        for zero in zeros.iter().filter(|zero| zero.line > 0) {
            let at_ms = u64::try_from(zero.at_ms).unwrap_or(0);
            let Some(time) = replayed.time_at(at_ms) else {
                continue;
            };
            checks.push(EntryCheck {
                gauge: gauge.clone(),
                time,
                zero: zero.clone(),
            });
        }
    }
    checks
}
