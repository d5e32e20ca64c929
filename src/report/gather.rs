//! From a record to its [`Sheet`]: every event is heard once, in order, and what the report needs
//! of it is kept; the state at the end says what counts.
//!
//! Every verdict is derived anew on the way ([`Check::Verdicts`]), so that a record whose lines
//! are sound but whose verdicts do not follow from its readings says so on its report. What is
//! shown stays what is stored. A damaged record still gives a sheet, with findings.

use std::collections::{BTreeMap, BTreeSet};

use super::gather_asked::{asked_of, job_facts, rule_facts};
use super::gather_batch::batch_of;
use super::gather_gauges::gauges_of;
use super::gather_parts::parts_of;
use super::gather_readings::Readings;
use super::gather_record::record_facts;
use super::gather_told::told_of;
use super::options::Selection;
use super::sheet::{Happening, Sheet};
use super::words::Words;
use crate::journal::{Event, Job, Part, Sequence};
use crate::session::{Check, OpeningError, RecordFolders, Retold, SessionRecord, State};

/// The sheet of a session, from its files, the oldest first, its sentences in the language of
/// `words`. Of parts that are not selected nothing is kept.
///
/// # Errors
/// [`OpeningError::Read`] when a file cannot be read; damage is no error, the sheet tells of it.
pub fn gather(
    folder: &RecordFolders,
    files: Vec<Part>,
    which: &Selection,
    words: &'static Words,
) -> Result<Sheet, OpeningError> {
    let wanted = wanted(folder, &files, which)?;
    let mut fold = Fold::new(wanted, words);
    let record = SessionRecord::read_with(folder, files, Check::Verdicts, |retold| {
        fold.hear(retold);
    })?;
    Ok(sheet_of(fold, &record))
}

/// Which parts are wanted. Who bears a serial number is known at the record's end only.
fn wanted(
    folder: &RecordFolders,
    files: &[Part],
    which: &Selection,
) -> Result<Wanted, OpeningError> {
    if which.serial.is_none() {
        let numbers = which.parts.as_ref();
        let numbers = numbers.map(|numbers| numbers.iter().copied().collect());
        return Ok(Wanted(numbers));
    }
    let record = SessionRecord::read(folder, files.to_vec(), Check::State)?;
    let mut numbers = BTreeSet::new();
    if let Some(state) = &record.replayed.state {
        let all = state.parts().iter();
        let taken = all.filter(|part| which.takes(part.number, &part.decided.serial));
        numbers.extend(taken.map(|part| part.number));
    }
    Ok(Wanted(Some(numbers)))
}

/// The numbers of the wanted parts; none: all.
#[derive(Debug, Clone)]
pub(super) struct Wanted(Option<BTreeSet<u32>>);

impl Wanted {
    pub(super) fn has(&self, part: u32) -> bool {
        self.0.as_ref().is_none_or(|all| all.contains(&part))
    }

    /// What happened while that part was at hand, 0: before the first.
    pub(super) fn concerns(&self, at_hand: u32) -> bool {
        at_hand == 0 || self.has(at_hand)
    }
}

/// What is kept of a record while it is read.
pub(super) struct Fold {
    pub(super) words: &'static Words,
    pub(super) wanted: Wanted,
    pub(super) readings: Readings,
    pub(super) happenings: Vec<Happening>,
    /// Times of the lines that decisions, signatures and zero checks stand in.
    pub(super) times: BTreeMap<Sequence, String>,
    pub(super) programs: Vec<String>,
    pub(super) closed: Option<String>,
    pub(super) first_time: String,
    pub(super) last_time: String,
    /// What named the work when the first wanted part was measured.
    pub(super) first_job: Option<Job>,
    /// What named it at other parts, where that was something else.
    pub(super) other_jobs: BTreeMap<u32, Vec<Job>>,
    /// Frames of each gauge that were no reading.
    pub(super) refused: BTreeMap<String, u64>,
}

impl Fold {
    fn new(wanted: Wanted, words: &'static Words) -> Self {
        Self {
            words,
            wanted,
            readings: Readings::of(words),
            happenings: Vec::new(),
            times: BTreeMap::new(),
            programs: Vec::new(),
            closed: None,
            first_time: String::new(),
            last_time: String::new(),
            first_job: None,
            other_jobs: BTreeMap::new(),
            refused: BTreeMap::new(),
        }
    }

    fn hear(&mut self, retold: &Retold<'_>) {
        if self.first_time.is_empty() {
            self.first_time.push_str(retold.time);
        }
        self.last_time.clear();
        self.last_time.push_str(retold.time);
        match retold.event {
            Event::SessionOpened(opened) => self.keep_program(&opened.program),
            Event::SessionResumed { program, .. } => self.keep_program(program),
            Event::SessionClosed { reason, .. } => self.closed = Some(reason.clone()),
            Event::ReadingRefused { gauge, .. } => self.count_refused(gauge, 1),
            Event::GarbageCounted { gauge, count, .. } => self.count_refused(gauge, *count),
            Event::DispositionGiven(_)
            | Event::SignedOff(_)
            | Event::ZeroChecked(_)
            | Event::GaugeDoubted { .. } => {
                self.times.insert(retold.sequence, retold.time.to_owned());
            }
            _ => {}
        }
        self.keep_happening(retold);
        let Some(state) = retold.state else { return };
        self.note_job(retold.event, state);
        self.readings.hear(retold, state, &self.wanted);
    }

    fn keep_program(&mut self, program: &str) {
        if !self.programs.iter().any(|known| known == program) {
            self.programs.push(program.to_owned());
        }
    }

    fn count_refused(&mut self, gauge: &str, count: u64) {
        let refused = self.refused.entry(gauge.to_owned()).or_default();
        *refused = refused.saturating_add(count);
    }

    fn keep_happening(&mut self, retold: &Retold<'_>) {
        let Some(told) = told_of(retold.event, &self.words.told) else {
            return;
        };
        let at_hand = retold.state.and_then(State::current_part);
        let part = told
            .part
            .unwrap_or_else(|| at_hand.map_or(0, |part| part.number));
        if told.concerns_all || self.wanted.concerns(part) {
            self.happenings.push(Happening {
                line: retold.sequence,
                time: retold.time.to_owned(),
                part,
                what: told.sentence,
            });
        }
    }

    /// Order, lot and machine as they were when a part was measured.
    fn note_job(&mut self, event: &Event, state: &State) {
        let place = match event {
            Event::VerdictGiven(verdict) => &verdict.place,
            Event::ReadingAssigned { place, .. } | Event::CuttingNoted { place, .. } => place,
            _ => return,
        };
        if !self.wanted.has(place.part) {
            return;
        }
        let job = &state.bench().job;
        let first = self.first_job.get_or_insert_with(|| job.clone());
        let others = self.other_jobs.get(&place.part);
        let last = others.and_then(|others| others.last());
        if last.map_or(job != first, |last| job != last) {
            let others = self.other_jobs.entry(place.part).or_default();
            others.push(job.clone());
        }
    }
}

fn sheet_of(fold: Fold, record: &SessionRecord) -> Sheet {
    let mut sheet = Sheet {
        record: record_facts(&fold, record),
        ..Sheet::default()
    };
    let Some(state) = &record.replayed.state else {
        sheet.happenings = fold.happenings;
        return sheet;
    };
    let is_damaged = record.state() == crate::journal::State::Damaged;
    sheet.outline = state.setup().plan.outline();
    sheet.asked = asked_of(fold.words, state.setup(), sheet.outline.as_ref());
    let (parts, other_readings) = parts_of(&fold, state, is_damaged);
    sheet.parts = parts;
    sheet.record.other_readings = other_readings;
    sheet.job = job_facts(&fold, record, state, &sheet);
    sheet.rule = rule_facts(state.setup(), &sheet);
    sheet.gauges = gauges_of(&fold, state, &sheet);
    sheet.batch = batch_of(&fold, state, &sheet, is_damaged);
    sheet.happenings = fold.happenings;
    sheet
}
