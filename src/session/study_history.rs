//! Studies of one gauge over days: found in the workspace's records, and compared where the same
//! thing was read each time.

use std::collections::BTreeMap;
use std::io;

use jiff::Timestamp;

use super::begin::STUDY_NAME;
use super::catalogue::{Catalogue, Entry};
use super::record::SessionRecord;
use super::record_folders::RecordFolders;
use super::replay::Check;
use super::study_asked::UNNAMED_PART;
use super::study_result::{STUDY_CONFIDENCE, STUDY_POOLING, StudyResult, sizes, study_result};
use super::study_words::digits;
use crate::gauge::{Date, GaugeId};
use crate::statistics::{Stability, StatisticsError, stability};

/// A study in the workspace's records.
#[derive(Debug, Clone, PartialEq)]
pub struct PastStudy {
    /// The newest file of its record.
    pub journal: String,
    /// When it was opened.
    pub time: Timestamp,
    /// Its day at the bench.
    pub day: Date,
    /// What it comes to.
    pub result: StudyResult,
    /// Why it is in doubt, in a sentence: its gauge was found wrong after it.
    pub doubt: Option<String>,
    /// The readings of each part, millimetres, with the part's known size.
    pub readings: Vec<(Option<f64>, Vec<f64>)>,
}

/// Readings by their day.
pub type ByDay = BTreeMap<Date, Vec<f64>>;

/// The same thing read with a gauge on several days.
#[derive(Debug, Clone, PartialEq)]
pub struct StudyDays {
    /// The part's name.
    pub part: String,
    /// Its known size, mm: then the days compare how far the readings are from it.
    pub reference_mm: Option<f64>,
    /// The days, how many readings each has, and their mean in mm (less the known size, if there
    /// is one); the oldest first.
    pub days: Vec<(Date, usize, f64)>,
    /// Days against each other; none where no reading differs from another.
    pub stability: Option<Stability>,
}

/// The studies of a gauge in the workspace's records, the oldest first. Records that cannot be
/// read are left out.
///
/// # Errors
/// The folder of sessions cannot be read.
pub fn past_studies(folder: &RecordFolders, gauge: &GaugeId) -> io::Result<Vec<PastStudy>> {
    let catalogue = Catalogue::of_folders(folder, |_| true).map_err(|error| error.cause)?;
    let mut all = Vec::new();
    for entry in catalogue.entries() {
        if entry.plan_name != STUDY_NAME {
            continue;
        }
        let read = SessionRecord::read(folder, entry.record_parts(), Check::State);
        if let Ok(read) = read
            && let Some(mut past) = past(&read, entry, gauge)
        {
            past.doubt = catalogue.story().doubt_of_study(&past.journal);
            all.push(past);
        }
    }
    all.sort_by(|one, two| (one.time, &one.journal).cmp(&(two.time, &two.journal)));
    Ok(all)
}

fn past(read: &SessionRecord, entry: &Entry, gauge: &GaugeId) -> Option<PastStudy> {
    let state = read.replayed.state.as_ref()?;
    let study = state.study().filter(|study| study.gauge() == gauge)?;
    let result = study_result(state, STUDY_POOLING).ok()??;
    let time = read.replayed.first_time?;
    let parts = (1_u32..).zip(&study.opened().parts);
    let readings = parts.map(|(number, part)| {
        let size = part.reference.map(super::study_result::mm);
        (size, sizes(state, study, study.readings_of_part(number)))
    });
    Some(PastStudy {
        journal: entry.journal().to_owned(),
        time,
        day: entry.day(time)?,
        result,
        doubt: None,
        readings: readings.collect(),
    })
}

impl StudyDays {
    /// What the days say, in sentences; `unit` is that of the readings, such as ` mm`, or empty.
    pub fn told(&self, unit: &str) -> String {
        let Some(found) = &self.stability else {
            return "No reading differs from another: the gauge's step hides the days.".to_owned();
        };
        let is_chance = |p: f64| p >= 1.0 - STUDY_CONFIDENCE;
        let days = match is_chance(found.days.p) {
            true => "The days do not differ by more than chance",
            false => {
                "The days differ by more than the readings of one day: look for what changed \
                 (zero, temperature, wear, the part)"
            }
        };
        let mut told = format!(
            "{days}; a reading of any day scatters by {}{unit}.",
            digits(found.sd)
        );
        if let Some(drift) = found.drift.as_ref().filter(|line| !is_chance(line.slope_p)) {
            let slope = digits(drift.slope);
            told += &format!(" Its mean drifts by {slope}{unit} for each day.");
        }
        told
    }
}

/// Readings of one thing by day, compared; none under two days. The days' means are less the known
/// size, if there is one.
///
/// # Errors
/// A number that cannot be computed.
pub fn days_compared(
    part: &str,
    reference_mm: Option<f64>,
    by_day: &ByDay,
) -> Result<Option<StudyDays>, StatisticsError> {
    let Some(first) = by_day.keys().next().copied().filter(|_| by_day.len() > 1) else {
        return Ok(None);
    };
    let numbers = by_day.keys().map(|day| day.days_since(first) as f64);
    let numbers: Vec<f64> = numbers.collect();
    let less = reference_mm.unwrap_or(0.0);
    let away = |read: &Vec<f64>| read.iter().map(|value| value - less).collect();
    let groups: Vec<Vec<f64>> = by_day.values().map(away).collect();
    let found = match stability(&numbers, &groups) {
        Ok(found) => Some(found),
        Err(StatisticsError::AllEqual | StatisticsError::TooFew { .. }) => None,
        Err(error) => return Err(error),
    };
    let days = by_day.keys().zip(&groups).map(|(day, read)| {
        let mean = read.iter().sum::<f64>() / read.len() as f64;
        (*day, read.len(), mean)
    });
    Ok(Some(StudyDays {
        part: part.to_owned(),
        reference_mm,
        days: days.collect(),
        stability: found,
    }))
}

/// The days on which the same thing was read alone: by its name, and where it has a known size
/// by that. A part that nobody named and of which no size is known may be another each time: it is
/// compared with nothing. Studies in doubt are left out. One entry for each thing with two days or
/// more.
///
/// # Errors
/// A number that cannot be computed.
pub fn study_days(past: &[PastStudy]) -> Result<Vec<StudyDays>, StatisticsError> {
    let mut things: BTreeMap<(&str, Option<u64>), ByDay> = BTreeMap::new();
    for study in past.iter().filter(|study| study.doubt.is_none()) {
        let ([name], [(size, readings)]) = (&*study.result.parts, &*study.readings) else {
            continue;
        };
        if readings.is_empty() || (size.is_none() && name == UNNAMED_PART) {
            continue;
        }
        let thing = things.entry((name, size.map(f64::to_bits))).or_default();
        thing.entry(study.day).or_default().extend(readings);
    }
    let mut all = Vec::new();
    for ((part, size), by_day) in things {
        all.extend(days_compared(part, size.map(f64::from_bits), &by_day)?);
    }
    Ok(all)
}
