//! Studies in doubt: their gauge failed its zero check, or was found wrong in another way, after
//! readings of them. What they came to feeds no uncertainty any more.

use jiff::Timestamp;

use super::begin::STUDY_NAME;
use super::catalogue::{Catalogue, Entry};
use super::doubtful::{GaugeStory, check_sentence};
use super::record::SessionRecord;
use super::record_folders::RecordFolders;
use super::replay::Check;
use super::study_result::{
    RegisterStudy, STUDY_POOLING, StudyResult, result_before_doubt, study_result,
};
use super::workspace::Workspace;
use super::zero::resting_on;
use crate::gauge::{Gauge, GaugeId, Register, without_study};

/// So many files are looked through for studies before a session (chosen: as for its checks).
const FILES_MAX: usize = 50;

/// A study that rests on a gauge that was found wrong after readings of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DoubtfulStudy {
    /// The newest file of the session's record.
    pub journal: String,
    /// The gauge that was studied.
    pub gauge: GaugeId,
    /// When the study was opened.
    pub time: Timestamp,
    /// Readings in doubt, of those that fill cells.
    pub readings: usize,
    /// Readings that fill cells.
    pub of: usize,
    /// What puts the first of them in doubt, as its place in [`GaugeStory::checks`].
    pub because: usize,
    /// What it came to before, as a register may keep it.
    pub entry: Option<RegisterStudy>,
    /// The gauge was studied again later, and that study is not in doubt.
    pub is_measured_again: bool,
}

/// The study of a record, if something of it is in doubt.
pub(super) fn doubtful_study(
    story: &GaugeStory,
    journal: &str,
    read: &SessionRecord,
) -> Option<DoubtfulStudy> {
    let state = read.replayed.state.as_ref()?;
    let study = state.study()?.before_doubt();
    let gauges = state.setup().register.gauges();
    let order = study.opened().order.iter();
    let filling: Vec<_> = order.filter_map(|cell| study.reading_of(*cell)).collect();
    let because = filling.iter().filter_map(|reading| {
        let time = read.replayed.time_at(state.reading(*reading)?.at_ms)?;
        story.doubts((journal, *reading, time), |wrong| {
            resting_on(gauges, wrong).contains(study.gauge())
        })
    });
    let because: Vec<usize> = because.collect();
    let result = result_before_doubt(state).ok().flatten();
    Some(DoubtfulStudy {
        journal: journal.to_owned(),
        gauge: study.gauge().clone(),
        time: read.replayed.first_time?,
        readings: because.len(),
        of: filling.len(),
        because: *because.first()?,
        entry: result.and_then(|result| result.for_register()),
        is_measured_again: false,
    })
}

/// Looks for later studies of the gauges whose studies are in doubt, and keeps what these came to.
pub(super) fn note_studied_again(
    story: &mut GaugeStory,
    folder: &RecordFolders,
    entries: &[Entry],
) {
    for entry in entries.iter().filter(|entry| entry.plan_name == STUDY_NAME) {
        let is_of = |one: &DoubtfulStudy| entry.gauges.contains(&one.gauge);
        let mut studies = story.studies.iter();
        let is_in_doubt = story
            .studies
            .iter()
            .any(|one| one.journal == entry.journal());
        if is_in_doubt || !studies.any(is_of) {
            continue;
        }
        let read = SessionRecord::read(folder, entry.record_parts(), Check::State);
        let Some((gauge, time, sound)) = read.ok().as_ref().and_then(sound_study) else {
            continue;
        };
        for study in story.studies.iter_mut().filter(|one| one.gauge == gauge) {
            study.is_measured_again |= sound.is_complete() && time > study.time;
        }
        if let Some(entry) = sound.for_register() {
            story.sound.push((gauge, entry));
        }
    }
}

/// The study of a record, when it was opened, and what it comes to.
fn sound_study(read: &SessionRecord) -> Option<(GaugeId, Timestamp, StudyResult)> {
    let state = read.replayed.state.as_ref()?;
    let result = study_result(state, STUDY_POOLING).ok()??;
    let gauge = state.study()?.gauge().clone();
    Some((gauge, read.replayed.first_time?, result))
}

impl GaugeStory {
    /// What puts the study in doubt that a register keeps of that gauge, in a sentence.
    pub fn doubt_of_entry(&self, gauge: &Gauge) -> Option<String> {
        let kept = RegisterStudy {
            repeatability: gauge.repeatability?,
            readings: gauge.repeatability_readings?,
        };
        let mut sound = self.sound.iter();
        if sound.any(|(id, entry)| *id == gauge.id && *entry == kept) {
            return None;
        }
        let mut studies = self.studies.iter();
        let found = studies.find(|one| one.gauge == gauge.id && one.entry == Some(kept))?;
        self.checks.get(found.because).map(check_sentence)
    }

    /// What puts the study of that record in doubt, in a sentence.
    pub fn doubt_of_study(&self, journal: &str) -> Option<String> {
        let found = self.studies.iter().find(|one| one.journal == journal)?;
        self.checks.get(found.because).map(check_sentence)
    }

    /// Of the newest sessions: their checks, and the studies that these put in doubt.
    fn of_studies_soon(workspace: &Workspace, register: &Register) -> Self {
        let folder = RecordFolders::of_workspace(workspace);
        let Ok(catalogue) = Catalogue::soon(&folder, FILES_MAX) else {
            return Self::default();
        };
        let studied = |entry: &&Entry| {
            let gauges = register.gauges().iter().filter(|gauge| is_studied(gauge));
            let mut ids = gauges.map(|gauge| &gauge.id);
            entry.plan_name == STUDY_NAME && ids.any(|id| entry.gauges.contains(id))
        };
        let mut story = catalogue.story().clone();
        for entry in catalogue.entries().iter().filter(studied) {
            if !story.can_touch(entry) {
                continue;
            }
            let read = SessionRecord::read(&folder, entry.record_parts(), Check::State);
            let found = read
                .ok()
                .and_then(|read| doubtful_study(&story, entry.journal(), &read));
            story.studies.extend(found);
        }
        note_studied_again(&mut story, &folder, catalogue.entries());
        story
    }
}

fn is_studied(gauge: &Gauge) -> bool {
    gauge.repeatability.is_some() && gauge.repeatability_readings.is_some()
}

/// A register without what studies found that are in doubt by now: text, and what was left out of
/// it, a sentence each. A text that is no register stays as it is: whoever parses it tells.
pub fn trusted_register(text: String, workspace: &Workspace) -> (String, Vec<String>) {
    let Ok(register) = Register::parse(&text, "gauges.toml") else {
        return (text, Vec::new());
    };
    if !register.gauges().iter().any(is_studied) {
        return (text, Vec::new());
    }
    let story = GaugeStory::of_studies_soon(workspace, &register);
    let (mut trusted, mut told) = (text, Vec::new());
    for gauge in register.gauges() {
        let Some(why) = story.doubt_of_entry(gauge) else {
            continue;
        };
        if let Ok(changed) = without_study(&trusted, &gauge.id, &why) {
            trusted = changed;
            told.push(format!(
                "{}: its repeatability is left out, because the study that gave it is in doubt \
                 ({why}): study it again.",
                gauge.id
            ));
        }
    }
    (trusted, told)
}
