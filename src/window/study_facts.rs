//! What a study has come to, as the Gauges room is told it: plain texts and numbers. Pure.

use super::view::counted;
use crate::gauge::{Date, StudyEntry, study_line};
use crate::quantity::LengthUnit;
use crate::session::{
    STUDY_POOLING, Snapshot, State, Study, StudyDays, StudyResult, digits, next_steps, percent,
    study_in_doubt, study_next, study_remark, study_result,
};
use crate::statistics::OF_TOLERANCE;

/// The word of a line on which readings may come.
const ATTACHED: &str = "attached";

/// How far a study is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum StudyStage {
    /// It is being asked for.
    #[default]
    Setup,
    /// Readings are taken.
    Measuring,
    /// Every reading has been taken.
    Complete,
    /// And its record is closed.
    Closed,
}

/// What a study has come to.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StudyFacts {
    /// How far it is.
    pub stage: StudyStage,
    /// What to do now, one sentence.
    pub prompt: String,
    /// What is to be typed now, else empty.
    pub awaits: String,
    /// What was said before it began: what, and its value.
    pub answers: Vec<(String, String)>,
    /// Cells filled, and wanted.
    pub progress: (usize, usize),
    /// The last reading that counts; empty before.
    pub last: String,
    /// What looks odd in it.
    pub remark: String,
    /// The components: name, standard deviation as text, share.
    pub bars: Vec<(String, String, f32)>,
    /// What the bars are shares of.
    pub bars_of: String,
    /// What the whole comes to.
    pub total: String,
    /// The same thing on several days: what, and what the days say; the days themselves first.
    pub days: Vec<(String, String)>,
    /// What to do next, the most urgent first.
    pub steps: Vec<String>,
    /// The line of the register; empty where there is none.
    pub line: String,
    /// Readings that are in doubt by the session's own record.
    pub doubted: usize,
    /// What is entered there.
    pub entry: Option<StudyEntry>,
    /// Where it was written; empty before.
    pub written: String,
}

/// What the session's study has come to; none where it is no study.
pub fn study_facts(snapshot: &Snapshot, today: Option<Date>) -> Option<StudyFacts> {
    let state = &snapshot.state;
    let study = state.study()?;
    let stage = match (study.is_complete(), state.is_closed()) {
        (_, true) => StudyStage::Closed,
        (true, false) => StudyStage::Complete,
        (false, false) => StudyStage::Measuring,
    };
    let mut facts = StudyFacts {
        stage,
        prompt: study_next(state, study),
        progress: (study.filled(), study.wanted()),
        ..StudyFacts::default()
    };
    if let Some((cell, reading)) = study.last() {
        facts.last = last_text(state, reading);
        facts.remark = study_remark(state, cell).unwrap_or_default();
    }
    if let Some(trouble) = trouble(snapshot, study) {
        facts.remark = trouble;
    }
    if stage == StudyStage::Measuring {
        "reading, mm".clone_into(&mut facts.awaits);
        return Some(facts);
    }
    let Ok(Some(result)) = study_result(state, STUDY_POOLING) else {
        "Nothing can be computed from these readings.".clone_into(&mut facts.total);
        return Some(facts);
    };
    facts.bars = bars(&result);
    facts.bars_of = match (result.tolerance_mm, result.components()) {
        (Some(_), _) => {
            let width = study
                .opened()
                .tolerance
                .map_or_else(String::new, |one| one.to_mm());
            format!("six of each, of the tolerance {width} mm")
        }
        (None, Some(_)) => "standard deviations, of that of all readings".to_owned(),
        (None, None) => String::new(),
    };
    facts.total = total(&result);
    facts.steps = next_steps(&result);
    facts.doubted = result.doubted;
    let unit = state.setup().gauge(study.gauge()).map(|gauge| gauge.unit);
    if let (Some(found), Some(on), Some(unit)) = (result.for_register(), today, unit) {
        let entry = StudyEntry {
            repeatability: found.repeatability,
            readings: found.readings,
            on,
        };
        facts.line = register_line(&entry, unit);
        facts.entry = Some(entry);
    }
    Some(facts)
}

impl StudyFacts {
    /// Takes in what earlier days say.
    pub fn take_days(&mut self, all: &[StudyDays]) {
        self.days.clear();
        for found in all {
            let less = match found.reference_mm {
                Some(_) => "off the known size by",
                None => "mean",
            };
            for (day, n, mean) in &found.days {
                let what = format!("{}, {day}", found.part);
                let mean = digits(*mean);
                self.days.push((
                    what,
                    format!("{less} {mean} mm, {}", counted(*n, "reading")),
                ));
            }
            self.days
                .push((format!("{}, days", found.part), found.told(" mm")));
        }
    }

    /// Takes in that another session found the gauge wrong after the study.
    pub fn take_doubt(&mut self, why: &str) {
        self.steps.insert(0, study_in_doubt(why));
        (self.entry, self.line) = (None, String::new());
    }
}

/// Why the last press filled no cell, or will fill none: told at once, above all else.
fn trouble(snapshot: &Snapshot, study: &Study) -> Option<String> {
    let state = &snapshot.state;
    let gauge = study.gauge().as_str();
    let mut lines = state.gauge_lines();
    let line = lines.find(|(of, line)| *of == gauge && line.state != ATTACHED);
    if let Some((_, line)) = line.filter(|_| !state.is_closed()) {
        let word = line.state.replace('_', " ");
        return Some(format!("{gauge}: {word}. {}", line.detail));
    }
    let message = snapshot.message.as_ref();
    if let Some(message) = message.filter(|message| message.after >= snapshot.head) {
        return Some(message.text.clone());
    }
    let (reading, reason) = study.last_aside()?;
    let value = last_text(state, reading);
    Some(format!("{value} counts for nothing: {reason}."))
}

fn register_line(entry: &StudyEntry, unit: LengthUnit) -> String {
    study_line(entry, unit).unwrap_or_default()
}

fn last_text(state: &State, reading: u64) -> String {
    let Some(record) = state.reading(reading) else {
        return String::new();
    };
    let shown = record.shown;
    let value = crate::quantity::Length::from_nm(record.value);
    let unit = shown.unit;
    format!("{} {}", value.to_text(unit, shown.decimals), unit.symbol())
}

/// Shares as the bars are long: of the tolerance where there is one, else of the whole spread.
#[allow(clippy::cast_possible_truncation)]
fn bars(result: &StudyResult) -> Vec<(String, String, f32)> {
    let bar = |what: &str, sd: f64, whole: f64| {
        let share = if whole > 0.0 { sd / whole } else { 0.0 };
        let value = um(sd);
        (what.to_owned(), value, share as f32)
    };
    let sixth = result.tolerance_mm.map(|width| width / OF_TOLERANCE);
    match (result.components(), result.repeatability) {
        (Some(found), _) => {
            let whole = sixth.unwrap_or(found.total);
            let mut all = vec![
                bar("repeating", found.repeatability, whole),
                bar("people", found.reproducibility, whole),
                bar("gauge, both", found.gauge, whole),
            ];
            if sixth.is_none() {
                all.push(bar("parts", found.part, whole));
            }
            all
        }
        (None, Some(found)) => sixth
            .map(|whole| vec![bar("repeating", found.sd, whole)])
            .unwrap_or_default(),
        (None, None) => Vec::new(),
    }
}

/// A standard deviation as short as a bar leaves room for.
fn um(sd_mm: f64) -> String {
    let um = 1_000.0 * sd_mm;
    let decimals = match um {
        um if um < 9.995 => 2,
        um if um < 99.95 => 1,
        _ => 0,
    };
    format!("{um:.decimals$} µm")
}

fn total(result: &StudyResult) -> String {
    let mut said = Vec::new();
    if let Some(found) = result.repeatability {
        said.push(format!(
            "repeatability s {} ({} to {} with 95 %)",
            um(found.sd),
            um(found.interval.0),
            um(found.interval.1)
        ));
    }
    if let Some(share) = result.share_of_tolerance() {
        said.push(format!("{} of the tolerance", percent(share)));
    } else if let Some(share) = result.share_of_variation() {
        said.push(format!("{} of the spread", percent(share)));
    }
    if let Some(count) = result
        .components()
        .and_then(|one| one.distinct_categories())
    {
        said.push(match count {
            1 => "1 category".to_owned(),
            count => format!("{count} categories"),
        });
    }
    said.join(", ")
}
