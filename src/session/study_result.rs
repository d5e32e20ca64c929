//! What a study of a gauge comes to: computed from the readings each time it is asked, never
//! stored, so that a voided reading leaves no trace in it. Lengths are millimetres here.
//!
//! A reading counts as it would in a measurement: of a comparator with the size that it is set on,
//! less the zero offset of the good check before it and the bias that calibrations found. So the
//! bias is what measurements with the gauge keep, and a zero that was set anew in between is no
//! scatter. Temperature is not corrected: nobody says of what the parts are made.

use super::state::{Record, State};
use super::study::Study;
use super::study_asked::UNNAMED_PART;
use crate::gauge::{Faces, Gauge};
use crate::journal::{Sequence, StudyCell};
use crate::measure::unbiased;
use crate::quantity::Length;
use crate::statistics::{
    AverageAndRange, Bias, Components, Crossed, Linearity, Pooling, Repeatability, StatisticsError,
    VarianceStudy, average_and_range, bias, linearity, repeatability, share_of_tolerance,
    variance_study,
};

/// Confidence of every interval here.
pub const STUDY_CONFIDENCE: f64 = 0.95;
/// The interaction of operators and parts joins the repeatability above this probability, unless
/// it is said otherwise (the level of the published example).
pub const STUDY_POOLING: Pooling = Pooling::Above(0.05);
/// Most degrees of freedom that a register keeps (readings less one).
const FREEDOM_MAX: u32 = 999;
/// A thousandth of a nanometre over a whole one is the float's, and not rounded up.
const FLOAT_SLACK_NM: f64 = 1e-3;
const NM_PER_MM: f64 = 1e6;

/// What a study has come to so far.
#[derive(Debug, Clone, PartialEq)]
pub struct StudyResult {
    /// Which gauge.
    pub gauge: String,
    /// The parts by name.
    pub parts: Vec<String>,
    /// Who measured; one empty name: one person, whoever that is.
    pub operators: Vec<String>,
    /// How often each was to measure each part.
    pub trials: u32,
    /// Readings that are wanted.
    pub wanted: usize,
    /// Readings that count.
    pub filled: usize,
    /// Cells that are open, in the order of measuring.
    pub missing: Vec<StudyCell>,
    /// Width of the limits that the gauge is to judge.
    pub tolerance_mm: Option<f64>,
    /// One person's readings of one part; none where they never differ, or are too few.
    pub repeatability: Option<Repeatability>,
    /// Repeated readings never differ: the gauge's step hides how far they scatter.
    pub is_hidden_by_step: bool,
    /// By averages and ranges; none with one operator, or while readings are missing.
    pub ranges: Option<AverageAndRange>,
    /// By analysis of variance; likewise.
    pub variances: Option<VarianceStudy>,
    /// The bias on each part of known size, in the order of the parts.
    pub biases: Vec<PartBias>,
    /// Whether the bias changes over the range; none under two known sizes.
    pub linearity: Option<Linearity>,
    /// Readings whose gauge was found wrong after them, and that were not taken anew since.
    pub doubted: usize,
    /// Something was taken off the readings: a zero offset or a bias.
    pub is_corrected: bool,
    /// There is one part alone, and nobody named it.
    pub is_unnamed: bool,
}

/// The bias on a part of known size.
#[derive(Debug, Clone, PartialEq)]
pub struct PartBias {
    /// The part.
    pub part: String,
    /// Its known size.
    pub reference_mm: f64,
    /// How many readings there are.
    pub n: usize,
    /// Their mean less the known size.
    pub bias_mm: f64,
    /// With its interval; none where the readings never differ, or there is one alone.
    pub tested: Option<Bias>,
}

/// A repeatability as the gauge register keeps it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RegisterStudy {
    /// The standard deviation, up to a whole nanometre.
    pub repeatability: Length,
    /// Readings that it stands for: its degrees of freedom and one more.
    pub readings: u32,
}

impl StudyResult {
    /// Whether no reading is missing.
    pub fn is_complete(&self) -> bool {
        self.missing.is_empty()
    }

    /// The standard deviations of the analysis of variance, which also sees operators who differ
    /// only on some parts.
    pub fn components(&self) -> Option<&Components> {
        self.variances.as_ref().map(|found| &found.components)
    }

    /// The gauge's spread as it is used: with its users where they were several, else alone.
    pub fn gauge_sd_mm(&self) -> Option<f64> {
        let whole = self.components().map(|found| found.gauge);
        whole.or(self.repeatability.map(|found| found.sd))
    }

    /// The share of the tolerance that the gauge takes; none without a tolerance.
    pub fn share_of_tolerance(&self) -> Option<f64> {
        share_of_tolerance(self.gauge_sd_mm()?, self.tolerance_mm?).ok()
    }

    /// The gauge's share of the spread of all readings; none with one operator.
    pub fn share_of_variation(&self) -> Option<f64> {
        self.components()?.share_of_variation()
    }

    /// What is to be known of the numbers, in sentences.
    pub fn notes(&self) -> Vec<String> {
        let counted = match self.is_corrected {
            true => {
                "Readings count as in a measurement: less the zero offset of the last good check \
                 and the bias of the calibration; temperature is not corrected."
            }
            false => {
                "Readings count as shown: there is no zero offset and no bias of a calibration to \
                 take off; temperature is not corrected."
            }
        };
        let mut notes = vec![counted.to_owned()];
        if self.is_unnamed {
            notes.push(
                "Nobody named the part: studies of other days are not compared with it (--part \
                 NAME, or --on a setting standard)."
                    .to_owned(),
            );
        }
        notes
    }

    /// What the gauge register keeps of it; nothing while readings of it are in doubt.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn for_register(&self) -> Option<RegisterStudy> {
        let found = self.repeatability.filter(|_| self.doubted == 0)?;
        let nm = (found.sd * NM_PER_MM - FLOAT_SLACK_NM).ceil().max(1.0);
        let repeatability = Length::from_nm(nm as i64);
        let freedom = found.degrees_of_freedom.round() as u32;
        (1..).contains(&freedom).then(|| RegisterStudy {
            repeatability,
            readings: freedom.min(FREEDOM_MAX) + 1,
        })
    }
}

/// What the session's study comes to; none where it is no study.
///
/// # Errors
/// A number that cannot be computed from what was read; too few readings are none.
pub fn study_result(
    state: &State,
    pooling: Pooling,
) -> Result<Option<StudyResult>, StatisticsError> {
    let study = state.study();
    study
        .map(|study| result_of(state, study, pooling))
        .transpose()
}

/// The same as if its gauge had not been found wrong after it: what it came to then.
pub(super) fn result_before_doubt(state: &State) -> Result<Option<StudyResult>, StatisticsError> {
    let study = state.study().map(Study::before_doubt);
    study
        .map(|study| result_of(state, &study, STUDY_POOLING))
        .transpose()
}

fn result_of(
    state: &State,
    study: &Study,
    pooling: Pooling,
) -> Result<StudyResult, StatisticsError> {
    let opened = study.opened();
    let cells = cells(state, study);
    let repeated: Vec<&[f64]> = cells
        .iter()
        .map(Vec::as_slice)
        .filter(|c| !c.is_empty())
        .collect();
    let (repeatability, is_hidden_by_step) = match repeatability(&repeated, STUDY_CONFIDENCE) {
        Ok(found) => (Some(found), false),
        Err(StatisticsError::AllEqual) => (None, true),
        Err(StatisticsError::TooFew { .. }) => (None, false),
        Err(error) => return Err(error),
    };
    let crossed = match study.is_complete() && opened.operators.len() > 1 {
        true => crossed(study, &cells)?,
        false => None,
    };
    let (ranges, variances) = match &crossed {
        Some(crossed) => (
            Some(average_and_range(crossed)?),
            Some(variance_study(crossed, pooling)?),
        ),
        None => (None, None),
    };
    let (biases, linearity) = known_sizes(state, study)?;
    let is_unnamed = match &*opened.parts {
        [only] => only.reference.is_none() && only.name == UNNAMED_PART,
        _ => false,
    };
    Ok(StudyResult {
        gauge: opened.gauge.clone(),
        parts: opened.parts.iter().map(|part| part.name.clone()).collect(),
        operators: opened.operators.clone(),
        trials: opened.trials,
        wanted: study.wanted(),
        filled: study.filled(),
        missing: study.missing().collect(),
        tolerance_mm: opened.tolerance.map(mm),
        repeatability,
        is_hidden_by_step,
        ranges,
        variances,
        biases,
        linearity,
        doubted: study.doubted().count(),
        is_corrected: is_corrected(state, study),
        is_unnamed,
    })
}

/// Millimetres as a float; exact to the nearest double.
pub(super) fn mm(length: Length) -> f64 {
    length.as_nm_f64() / NM_PER_MM
}

/// The sizes that were read, in millimetres.
pub(super) fn sizes(
    state: &State,
    study: &Study,
    readings: impl Iterator<Item = Sequence>,
) -> Vec<f64> {
    let records = readings.filter_map(|reading| state.reading(reading));
    records
        .map(|record| mm(size_of(state, study, &record)))
        .collect()
}

/// The size that a reading of the study came to, as a measurement with the gauge would have it.
fn size_of(state: &State, study: &Study, record: &Record) -> Length {
    let shown = Length::from_nm(record.value);
    let Some(gauge) = state.setup().gauge(study.gauge()) else {
        return shown - record.offset;
    };
    let indication = gauge.size_of(shown) - record.offset;
    let both = (gauge, gauge);
    let error = state.error_of_reading(record.sequence, both, indication, Faces::Outside);
    error.map_or(indication, |error| unbiased(indication, &error))
}

/// Whether anything was taken off a reading that counts.
fn is_corrected(state: &State, study: &Study) -> bool {
    let gauge = state.setup().gauge(study.gauge());
    let shown = |record: &Record| {
        let value = Length::from_nm(record.value);
        gauge.map_or(value, |gauge: &Gauge| gauge.size_of(value))
    };
    let order = study.opened().order.iter();
    let filled = order.filter_map(|cell| state.reading(study.reading_of(*cell)?));
    let mut differs = filled.map(|record| size_of(state, study, &record) != shown(&record));
    differs.any(|differs| differs)
}

/// The readings of each cell of part and operator, part by part.
fn cells(state: &State, study: &Study) -> Vec<Vec<f64>> {
    let opened = study.opened();
    let count = |length: usize| u32::try_from(length).unwrap_or(u32::MAX);
    let mut all = Vec::new();
    for part in 1..=count(opened.parts.len()) {
        for operator in 1..=count(opened.operators.len()) {
            let trials = 1..=opened.trials;
            let readings = trials.filter_map(|trial| {
                study.reading_of(StudyCell {
                    part,
                    operator,
                    trial,
                })
            });
            all.push(sizes(state, study, readings));
        }
    }
    all
}

/// The whole study for both methods; none where one part or one reading makes no study of this
/// kind.
fn crossed(study: &Study, cells: &[Vec<f64>]) -> Result<Option<Crossed>, StatisticsError> {
    let opened = study.opened();
    let trials = opened.trials as usize;
    let values: Vec<f64> = cells.iter().flatten().copied().collect();
    match Crossed::new(opened.parts.len(), opened.operators.len(), trials, &values) {
        Ok(crossed) => Ok(Some(crossed)),
        Err(StatisticsError::TooFew { .. }) => Ok(None),
        Err(error) => Err(error),
    }
}

/// The bias on each part of known size, and over all of them.
fn known_sizes(
    state: &State,
    study: &Study,
) -> Result<(Vec<PartBias>, Option<Linearity>), StatisticsError> {
    let mut biases = Vec::new();
    let (mut references, mut groups) = (Vec::new(), Vec::new());
    for (number, part) in (1_u32..).zip(&study.opened().parts) {
        let Some(reference_mm) = part.reference.map(mm) else {
            continue;
        };
        let readings = sizes(state, study, study.readings_of_part(number));
        if readings.is_empty() {
            continue;
        }
        let n = readings.len();
        let tested = match bias(&readings, reference_mm, STUDY_CONFIDENCE) {
            Ok(found) => Some(found),
            Err(StatisticsError::AllEqual | StatisticsError::TooFew { .. }) => None,
            Err(error) => return Err(error),
        };
        let away = readings
            .iter()
            .map(|value| value - reference_mm)
            .sum::<f64>();
        biases.push(PartBias {
            part: part.name.clone(),
            reference_mm,
            n,
            bias_mm: tested.map_or(away / n as f64, |found| found.bias),
            tested,
        });
        references.push(reference_mm);
        groups.push(readings);
    }
    let line = match linearity(&references, &groups) {
        Ok(found) => Some(found),
        Err(StatisticsError::AllEqual | StatisticsError::TooFew { .. }) => None,
        Err(error) => return Err(error),
    };
    Ok((biases, line))
}
