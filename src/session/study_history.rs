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
use super::study_result::{STUDY_POOLING, StudyResult, sizes, study_result};
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
    /// The readings of each part, millimetres, with the part's known size.
    pub readings: Vec<(Option<f64>, Vec<f64>)>,
}

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
            && let Some(past) = past(&read, entry, gauge)
        {
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
        readings: readings.collect(),
    })
}

/// The days on which the same thing was read alone: by its name, and where it has a known size
/// by that. One entry for each thing with two days or more.
///
/// # Errors
/// A number that cannot be computed.
pub fn study_days(past: &[PastStudy]) -> Result<Vec<StudyDays>, StatisticsError> {
    let mut things: BTreeMap<(String, Option<u64>), Vec<&PastStudy>> = BTreeMap::new();
    for study in past {
        if let ([name], [(size, readings)]) = (&*study.result.parts, &*study.readings)
            && !readings.is_empty()
        {
            let key = (name.clone(), size.map(f64::to_bits));
            things.entry(key).or_default().push(study);
        }
    }
    let mut all = Vec::new();
    for ((part, size), studies) in things {
        let reference_mm = size.map(f64::from_bits);
        let mut by_day: BTreeMap<Date, Vec<f64>> = BTreeMap::new();
        for study in studies {
            let read = study.readings.iter().flat_map(|(_, readings)| readings);
            let day = by_day.entry(study.day).or_default();
            day.extend(read.map(|value| value - reference_mm.unwrap_or(0.0)));
        }
        let Some(first) = by_day.keys().next().copied().filter(|_| by_day.len() > 1) else {
            continue;
        };
        let numbers = by_day.keys().map(|day| day.days_since(first) as f64);
        let numbers: Vec<f64> = numbers.collect();
        let groups: Vec<&[f64]> = by_day.values().map(Vec::as_slice).collect();
        let found = match stability(&numbers, &groups) {
            Ok(found) => Some(found),
            Err(StatisticsError::AllEqual | StatisticsError::TooFew { .. }) => None,
            Err(error) => return Err(error),
        };
        let days = by_day.iter().map(|(day, read)| {
            let mean = read.iter().sum::<f64>() / read.len() as f64;
            (*day, read.len(), mean)
        });
        all.push(StudyDays {
            part,
            reference_mm,
            days: days.collect(),
            stability: found,
        });
    }
    Ok(all)
}
