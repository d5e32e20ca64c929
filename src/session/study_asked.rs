//! A study as it is asked for, and the plan that it becomes: names, known sizes and the order of
//! measuring.

use super::begin_error::BeginError;
use super::random::Random;
use super::study::Study;
use crate::gauge::{Gauge, GaugeId, Register, StatedError};
use crate::journal::{GaugeSource, StudyCell, StudyOpened, StudyPart};
use crate::quantity::Length;

/// Readings that a study asks for unless it is said (chosen, as is usual in practice): of each
/// part by each of several people; of one part by one person; of several parts by one person.
const TRIALS_CROSSED: u32 = 3;
const TRIALS_OF_ONE_PART: u32 = 25;
const TRIALS_ALONE: u32 = 10;

/// What the only part of a study is called that nobody named.
pub(super) const UNNAMED_PART: &str = "1";

/// What is to be studied.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StudyAsked {
    /// The parts; each without a name gets its number.
    pub parts: Vec<StudyPart>,
    /// Who measures; none: one person, whoever that is.
    pub operators: Vec<String>,
    /// How often; none: as is usual for so many parts and people.
    pub trials: Option<u32>,
    /// Width of the limits that the gauge is to judge.
    pub tolerance: Option<Length>,
    /// The parts are taken in an order drawn with that seed; none: as they stand.
    pub seed: Option<u64>,
}

impl StudyAsked {
    /// How often each measures each part.
    pub fn trials(&self) -> u32 {
        self.trials
            .unwrap_or(match (self.operators.len(), self.parts.len()) {
                (2.., _) => TRIALS_CROSSED,
                (_, 0 | 1) => TRIALS_OF_ONE_PART,
                _ => TRIALS_ALONE,
            })
    }

    /// The plan of the study of that gauge; sizes of setting standards are the register's.
    ///
    /// # Errors
    /// What cannot be studied so.
    pub fn plan(&self, gauge: &str, register: &Register) -> Result<StudyOpened, BeginError> {
        let bad = |message: String, hint| BeginError::bad("study_refused", message, Some(hint));
        let entry = register.gauge(&GaugeId::new(gauge));
        if let Some(entry) = entry
            && (entry.kind.is_limit_gauge()
                || entry.kind.is_standard()
                || entry.kind.reads_angles())
        {
            let message = format!("{gauge} shows no lengths that could be studied.");
            return Err(bad(message, "Study a gauge that shows lengths."));
        }
        let mut parts = self.parts.clone();
        if parts.is_empty() {
            parts.push(StudyPart::default());
        }
        for (at, part) in parts.iter_mut().enumerate() {
            if !part.standard.is_empty() {
                let standard = GaugeId::new(&part.standard);
                let size = register.gauge(&standard).and_then(known_size);
                let Some(size) = size else {
                    let standard = part.standard.escape_debug();
                    let message = format!("“{standard}” is no setting standard of one size.");
                    return Err(bad(
                        message,
                        "Name a setting ring, a gauge block or a pin of the register.",
                    ));
                };
                part.reference = Some(size);
                if part.name.is_empty() {
                    part.name.clone_from(&part.standard);
                }
            }
            if part.name.is_empty() {
                part.name = (at + 1).to_string();
            }
        }
        let operators = match self.operators.is_empty() {
            true => vec![String::new()],
            false => self.operators.clone(),
        };
        let trials = self.trials();
        let order = order(parts.len(), operators.len(), trials, self.seed);
        let opened = StudyOpened {
            gauge: gauge.to_owned(),
            parts,
            operators,
            trials,
            tolerance: self.tolerance,
            order,
        };
        match Study::of(&opened) {
            Ok(_) => Ok(opened),
            Err(message) => Err(bad(message, "Ask for another number of readings or name.")),
        }
    }
}

/// The size of a setting standard: as its calibration found it (its bias is what it is marked less
/// what it is), else as it is marked.
fn known_size(standard: &Gauge) -> Option<Length> {
    let marked = standard.fixed_size()?;
    Some(match &standard.error {
        StatedError::Calibration(calibration) => marked - calibration.bias_at(marked),
        StatedError::Mpe(_) | StatedError::NotStated => marked,
    })
}

/// The gauge of the session's only source.
///
/// # Errors
/// There are several.
pub(super) fn only_gauge(sources: &[GaugeSource]) -> Result<&str, BeginError> {
    match sources {
        [only] => Ok(&only.gauge),
        _ => Err(BeginError::bad(
            "study_refused",
            "A study is of one gauge.",
            Some("Name one gauge with --gauge."),
        )),
    }
}

/// Trial by trial everybody measures all parts, one person after the other; with a seed in an
/// order that is drawn anew each time, so that nobody knows which part comes next.
fn order(parts: usize, operators: usize, trials: u32, seed: Option<u64>) -> Vec<StudyCell> {
    let count = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    let mut random = seed.map(Random::new);
    let mut all = Vec::new();
    // More is refused by the plan itself.
    if parts
        .saturating_mul(operators)
        .saturating_mul(trials as usize)
        > 1_000_000
    {
        return all;
    }
    for trial in 1..=trials {
        for operator in 1..=count(operators) {
            let mut row: Vec<u32> = (1..=count(parts)).collect();
            if let Some(random) = &mut random {
                shuffle(&mut row, random);
            }
            all.extend(row.into_iter().map(|part| StudyCell {
                part,
                operator,
                trial,
            }));
        }
    }
    all
}

/// Every order equally likely, as far as 64 bits go: drawn from the end.
fn shuffle(row: &mut [u32], random: &mut Random) {
    for last in (1..row.len()).rev() {
        let among = u64::try_from(last + 1).unwrap_or(u64::MAX);
        let at = usize::try_from(random.next() % among).unwrap_or(0);
        row.swap(last, at);
    }
}
