//! What is in doubt across all sessions of a workspace: a gauge that failed its zero check, or was
//! found wrong in another way, puts in doubt what was measured with it since its last good check.
//! Found from the records each time; nothing in them is changed.

use std::collections::BTreeMap;
use std::io;

use jiff::Timestamp;

use super::catalogue::{Catalogue, Entry, JournalState};
use super::doubtful_study::{DoubtfulStudy, doubtful_study, note_studied_again};
use super::record::SessionRecord;
use super::record_folders::RecordFolders;
use super::replay::Check;
use super::state::{End, Record, State};
use super::study_result::RegisterStudy;
use super::workspace::Workspace;
use super::zero::{Zero, resting_on};
use super::zero_asked::signed;
use crate::gauge::{GaugeId, Register};
use crate::journal::{EarlierZero, Outcome, Place, Sequence, ValueUnit};

/// So many files are looked through for checks before a session (chosen: weeks of work).
const FILES_MAX: usize = 50;
const HOUR_MS: u64 = 3_600_000;

/// One check of a gauge's zero, or a finding that it is wrong, in some session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GaugeCheck {
    /// Which gauge.
    pub gauge: GaugeId,
    /// When.
    pub time: Timestamp,
    /// The newest file of the session's record.
    pub journal: String,
    /// What was found.
    pub zero: Zero,
}

/// A judged reading that rests on a gauge that was found wrong after it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DoubtfulReading {
    /// The newest file of the session's record.
    pub journal: String,
    /// The part and its drawing, or the callouts.
    pub part_name: String,
    /// Part, characteristic and point.
    pub place: Place,
    /// The reading's line.
    pub reading: Sequence,
    /// When it was taken.
    pub time: Option<Timestamp>,
    /// The gauge that was read.
    pub gauge: GaugeId,
    /// What it came to, in smallest steps; of a check its outcome's number.
    pub value_at_20: i64,
    /// What those steps are.
    pub unit: ValueUnit,
    /// It was judged so.
    pub outcome: Option<Outcome>,
    /// What puts it in doubt, as its place in [`GaugeStory::checks`].
    pub because: usize,
    /// Its point was measured again later, and that reading is not in doubt.
    pub is_measured_again: bool,
}

/// The gauges of a workspace over time.
#[derive(Debug, Clone, Default)]
pub struct GaugeStory {
    /// Every check and finding, the oldest first.
    pub checks: Vec<GaugeCheck>,
    /// What is in doubt, session by session, part by part.
    pub doubtful: Vec<DoubtfulReading>,
    /// Studies of gauges that are in doubt, session by session.
    pub studies: Vec<DoubtfulStudy>,
    /// What other studies of the gauges with one in doubt came to.
    pub sound: Vec<(GaugeId, RegisterStudy)>,
    /// Sessions that could not be read, and why.
    pub unreadable: Vec<(String, String)>,
}

impl GaugeStory {
    /// The story of the workspace's sessions; `told` hears how many of how many journals that had
    /// to be read are read, and says whether to go on.
    ///
    /// # Errors
    /// The folder of sessions cannot be read.
    pub fn read(
        folder: &RecordFolders,
        mut told: impl FnMut(usize, usize) -> bool,
    ) -> io::Result<Self> {
        match Catalogue::of_folders(folder, |progress| told(progress.done, progress.of)) {
            Ok(catalogue) => Ok(catalogue.into_story()),
            Err(error) => Err(error.cause),
        }
    }

    /// The story of those sessions. Only the records that a finding can touch are read for it: of
    /// the others it is known that nothing in them rests on that gauge at that time.
    pub(super) fn of_entries(folder: &RecordFolders, entries: &[Entry]) -> Self {
        let mut story = Self::of_checks(entries);
        let mut touched: Vec<&Entry> = entries
            .iter()
            .filter(|entry| story.can_touch(entry))
            .collect();
        touched.sort_by_key(|entry| entry.files.first().map(|file| &file.stamp.name));
        for entry in touched {
            let journal = entry.journal().to_owned();
            match SessionRecord::read(folder, entry.record_parts(), Check::State) {
                Ok(read) => Looked { journal, read }.add_doubtful(&mut story),
                Err(error) => story.unreadable.push((journal, error.to_string())),
            }
        }
        note_studied_again(&mut story, folder, entries);
        story
    }

    /// The checks and findings of those sessions, and which cannot be read; nothing of what they
    /// put in doubt.
    pub(super) fn of_checks(entries: &[Entry]) -> Self {
        let mut story = Self::default();
        for entry in entries {
            if entry.state == JournalState::Unreadable {
                let why = entry.findings.first().map(|finding| finding.what.clone());
                let unreadable = (entry.journal().to_owned(), why.unwrap_or_default());
                story.unreadable.push(unreadable);
            }
            story
                .checks
                .extend(entry.checks.iter().map(|check| GaugeCheck {
                    gauge: check.gauge.clone(),
                    time: check.time,
                    journal: entry.journal().to_owned(),
                    zero: check.zero.clone(),
                }));
        }
        story.unreadable.sort();
        story.checks.sort_by(|one, two| {
            let key = |check: &GaugeCheck| (check.time, check.zero.line);
            let name = one.journal.cmp(&two.journal);
            key(one).cmp(&key(two)).then(name)
        });
        story
    }

    /// Whether a finding may put something of that session in doubt: it says so of every session
    /// of which [`GaugeStory::because`] could give an answer.
    pub(super) fn can_touch(&self, entry: &Entry) -> bool {
        let found = self.checks.iter().enumerate();
        let mut bad = found.filter(|(_, check)| !check.zero.good);
        bad.any(|(at, check)| {
            let mut rests = entry.rests.iter();
            let Some(rests) = rests.find(|rests| rests.gauge == check.gauge) else {
                return false;
            };
            if check.journal == entry.journal() {
                return true;
            }
            rests.from <= check.time
                && match self.begin_of(at) {
                    Begin::Ever => true,
                    Begin::After(since) => rests.to > since,
                    Begin::AfterCheck(good) => {
                        good.journal == entry.journal() || rests.to > good.time
                    }
                }
        })
    }

    /// The last checks of those gauges in the workspace's records, for a session that begins at
    /// `now`: a failed one, and a good one as long as the register lets it hold.
    ///
    /// Of records that the index does not know only the newest are looked through, so that a
    /// session begins at once however much has been recorded.
    pub(super) fn before(
        workspace: &Workspace,
        register: &Register,
        now: Timestamp,
    ) -> Vec<EarlierZero> {
        let folder = RecordFolders::of_workspace(workspace);
        // Where none could be made there is none; whoever lists them is told.
        let story = Catalogue::soon(&folder, FILES_MAX).map(Catalogue::into_story);
        let story = story.unwrap_or_default();
        let last = register.gauges().iter().filter_map(|gauge| {
            let check = story.of(&gauge.id).next_back()?;
            let passed = now.as_millisecond() - check.time.as_millisecond();
            let age_ms = u64::try_from(passed).unwrap_or(0);
            let every = gauge.zero_check.as_ref().and_then(|zero| zero.every_hours);
            let holds = every.is_some_and(|hours| age_ms <= u64::from(hours) * HOUR_MS);
            (!check.zero.good || holds).then(|| EarlierZero {
                gauge: gauge.id.as_str().to_owned(),
                standard: check
                    .zero
                    .standard
                    .as_ref()
                    .map_or_else(String::new, |id| id.as_str().to_owned()),
                time: check.time.to_string(),
                age_ms,
                offset: check.zero.offset,
                good: check.zero.good,
            })
        });
        last.collect()
    }

    /// The checks of one gauge, the oldest first.
    pub fn of(&self, gauge: &GaugeId) -> impl DoubleEndedIterator<Item = &GaugeCheck> {
        self.checks
            .iter()
            .filter(move |check| check.gauge == *gauge)
    }

    /// The parts of each session that hold something in doubt which was not measured again.
    pub fn parts(&self) -> BTreeMap<(&str, u32), usize> {
        let mut parts = BTreeMap::new();
        for one in self.doubtful.iter().filter(|one| !one.is_measured_again) {
            let part = (one.journal.as_str(), one.place.part);
            *parts.entry(part).or_insert(0) += 1;
        }
        parts
    }

    /// What puts a reading in doubt that was taken with gauges of which `rests` says that it rests
    /// on them.
    fn because(&self, taken: &Taken<'_>, rests: impl Fn(&GaugeId) -> bool) -> Option<usize> {
        let mut all = self.checks.iter().enumerate();
        all.find(|(at, check)| {
            let is_bad = !check.zero.good && rests(&check.gauge);
            is_bad && !taken.is_after(check) && self.begins_before(*at, taken)
        })
        .map(|(at, _)| at)
    }

    /// What puts a reading in doubt, by its record, line and time.
    pub(super) fn doubts(
        &self,
        (journal, line, time): (&str, Sequence, Timestamp),
        rests: impl Fn(&GaugeId) -> bool,
    ) -> Option<usize> {
        let taken = Taken {
            journal,
            line,
            time,
        };
        self.because(&taken, rests)
    }

    /// Whether a failed check doubts what was taken then.
    fn begins_before(&self, at: usize, taken: &Taken<'_>) -> bool {
        match self.begin_of(at) {
            Begin::After(since) => taken.time > since,
            Begin::AfterCheck(good) => taken.is_after(good),
            Begin::Ever => at < self.checks.len(),
        }
    }

    /// From when on a failed check doubts what was taken: after the moment that it names, else
    /// after the last good check of that gauge before it, else ever.
    fn begin_of(&self, at: usize) -> Begin<'_> {
        let Some(bad) = self.checks.get(at) else {
            return Begin::Ever;
        };
        let since = bad.zero.since.as_deref();
        if let Some(since) = since.and_then(|text| text.parse::<Timestamp>().ok()) {
            return Begin::After(since);
        }
        let before = self.checks.iter().take(at).rev();
        let mut good = before.filter(|check| check.zero.good && check.gauge == bad.gauge);
        good.next().map_or(Begin::Ever, Begin::AfterCheck)
    }
}

/// From when on something is in doubt.
enum Begin<'s> {
    Ever,
    After(Timestamp),
    AfterCheck(&'s GaugeCheck),
}

/// When a reading was taken.
struct Taken<'s> {
    journal: &'s str,
    line: Sequence,
    time: Timestamp,
}

impl Taken<'_> {
    /// In one record the lines say what came first; between records the clock does.
    fn is_after(&self, check: &GaugeCheck) -> bool {
        if self.journal == check.journal {
            self.line > check.zero.line
        } else {
            self.time > check.time
        }
    }
}

/// A session that was read.
struct Looked {
    journal: String,
    read: SessionRecord,
}

impl Looked {
    fn add_doubtful(&self, story: &mut GaugeStory) {
        let Some(state) = &self.read.replayed.state else {
            return;
        };
        let study = doubtful_study(story, &self.journal, &self.read);
        story.studies.extend(study);
        let mut found: Vec<DoubtfulReading> = Vec::new();
        for record in state.readings().iter() {
            if record.end == End::Judged
                && let Some(one) = self.doubtful(story, state, &record)
            {
                found.push(one);
            }
        }
        let in_doubt: Vec<Sequence> = found.iter().map(|one| one.reading).collect();
        for one in &mut found {
            let point = point_of(state, &one.place);
            one.is_measured_again = point.is_some_and(|point| {
                point.outcome.is_some() && !in_doubt.contains(&point.reading())
            });
        }
        found.sort_by_key(|one| (one.place.part, one.reading));
        story.doubtful.append(&mut found);
    }

    fn doubtful(
        &self,
        story: &GaugeStory,
        state: &State,
        record: &Record,
    ) -> Option<DoubtfulReading> {
        let setup = state.setup();
        let gauge = setup.gauge_id(record.gauge?)?;
        let target = setup.targets.get(usize::from(record.target))?;
        let carrier = setup.carrier(target, &gauge).map(|carrier| &carrier.id);
        let time = self.read.replayed.time_at(record.at_ms);
        let taken = Taken {
            journal: &self.journal,
            line: record.sequence,
            time: time?,
        };
        let because = story.because(&taken, |wrong| {
            carrier == Some(wrong) || resting_on(setup.register.gauges(), wrong).contains(&gauge)
        })?;
        let place = Place {
            part: record.part,
            feature: target.feature.clone(),
            element: target.element.clone(),
            point: record.point,
        };
        let outcome = point_of(state, &place)
            .filter(|point| point.reading() == record.sequence)
            .and_then(|point| point.outcome);
        Some(DoubtfulReading {
            journal: self.journal.clone(),
            part_name: self.read.part_name().unwrap_or_default(),
            place,
            reading: record.sequence,
            time,
            gauge,
            value_at_20: record.value_at_20,
            unit: target.unit(),
            outcome,
            because,
            is_measured_again: false,
        })
    }
}

fn point_of<'s>(state: &'s State, place: &Place) -> Option<&'s super::state::Point> {
    let target = state.setup().target_index(&place.feature, &place.element)?;
    let part = state.part(place.part)?;
    let points = &part.characteristics.get(target)?.points;
    points.get(usize::from(place.point).checked_sub(1)?)
}

/// What was found, in a sentence.
pub fn check_sentence(check: &GaugeCheck) -> String {
    let zero = &check.zero;
    if zero.reading == 0 {
        return format!("{} was found wrong: {}", check.gauge, zero.why);
    }
    let on = match &zero.standard {
        Some(standard) => format!("on {standard}"),
        None => "at its own zero".to_owned(),
    };
    let offset = signed(zero.offset);
    match zero.good {
        true => format!(
            "{} showed {offset} mm too much {on}, within its bound",
            check.gauge
        ),
        false => format!(
            "{} failed its zero check: it showed {offset} mm too much {on}",
            check.gauge
        ),
    }
}
