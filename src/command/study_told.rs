//! A gauge study that was measured here, for machines and for people.

use super::gauge_study::{by_ranges, by_variances, linearity_body, repeatability_body};
use super::gauge_study_days::{days_body, days_text};
use super::gauge_study_table::StudyTable;
use super::gauge_study_told::{Judged, told as table_told};
use super::output::{Output, Stopped};
use super::output_gauge_study::{BiasBody, GaugeStudyLine};
use super::output_statistics::ends;
use super::output_study::{CellLine, GaugeLine, GaugeLineBody, MissingBody, StudyLine};
use super::screen::paragraph;
use crate::gauge::{StudyEntry, study_line};
use crate::journal::{Event, Sequence, StudyCell};
use crate::quantity::LengthUnit;
use crate::session::{STUDY_CONFIDENCE, State, StudyDays, StudyResult, next_steps, study_remark};

/// The unit of what is measured here.
const MM: &str = " mm";

/// Everything that is told of a study.
pub(super) struct Told<'a> {
    pub(super) result: &'a StudyResult,
    /// Why the whole is in doubt.
    pub(super) doubt: Option<&'a str>,
    pub(super) pooling: &'a str,
    pub(super) days: &'a [StudyDays],
    pub(super) entry: Option<&'a StudyEntry>,
    /// The unit of the register's entry; none where the gauge has none.
    pub(super) unit: Option<LengthUnit>,
    pub(super) written: Option<String>,
}

/// The study as one JSON object, or as text.
pub(super) fn tell(told: &Told<'_>, json: bool, out: &mut Output) -> Result<(), Stopped> {
    let line = line(told);
    if json {
        return out.json(&line);
    }
    let mut text = String::from("\n");
    if told.result.repeatability.is_some() || told.result.variances.is_some() {
        text += &table_told(&line.study, Judged::Below, out.screen());
    }
    for days in &line.days {
        text += &days_text(days, out.screen());
    }
    text += "\nWhat to do next\n";
    for sentence in &line.next {
        text += &paragraph(sentence, ("", 0), out.screen());
    }
    if let (Some(register), Some(_)) = (&line.register, told.unit) {
        text += &match &line.written {
            Some(file) => format!("\nWritten to {file}:\n{register}\n"),
            None => format!(
                "\nFor its entry in gauges.toml (--write enters it; n is degrees of freedom + 1):\n\
                 {register}\n"
            ),
        };
    }
    out.text(&text)
}

/// A reading that filled a cell, for machines.
pub(super) fn cell_line(
    state: &State,
    cell: StudyCell,
    (event, reading): (Sequence, Sequence),
    value: Option<String>,
    out: &mut Output,
) -> Result<(), Stopped> {
    let Some(study) = state.study() else {
        return Ok(());
    };
    let at = |number: u32| usize::try_from(number).unwrap_or(0).wrapping_sub(1);
    let opened = study.opened();
    out.json(&CellLine {
        part: opened
            .parts
            .get(at(cell.part))
            .map_or("", |part| &part.name),
        operator: opened
            .operators
            .get(at(cell.operator))
            .map_or("", String::as_str),
        trial: cell.trial,
        value,
        remark: study_remark(state, cell),
        event,
        reading,
    })
}

/// Whether an event says how the gauge's line is, beside its readings.
pub(super) fn is_of_line(event: &Event) -> bool {
    matches!(
        event,
        Event::GaugeStateChanged { .. } | Event::GarbageCounted { .. }
    )
}

/// How the line of the gauge is, for machines: whoever guides the study has to know at once.
pub(super) fn line_line(event: &Event, out: &mut Output) -> Result<(), Stopped> {
    match event {
        Event::GaugeStateChanged {
            gauge,
            state,
            detail,
        } => out.json(&GaugeLine {
            line: GaugeLineBody {
                gauge,
                state,
                detail,
                refused: None,
            },
        }),
        Event::GarbageCounted { gauge, count, code } => out.json(&GaugeLine {
            line: GaugeLineBody {
                gauge,
                state: code,
                detail: "further frames were no readings",
                refused: Some(*count),
            },
        }),
        _ => Ok(()),
    }
}

fn line(told: &Told<'_>) -> StudyLine {
    let result = told.result;
    let at = |number: u32| usize::try_from(number).unwrap_or(0).wrapping_sub(1);
    let missing = result.missing.iter().map(|cell| MissingBody {
        part: result.parts.get(at(cell.part)).cloned().unwrap_or_default(),
        operator: result
            .operators
            .get(at(cell.operator))
            .cloned()
            .unwrap_or_default(),
        trial: cell.trial,
    });
    let unit = told.unit.unwrap_or(LengthUnit::Millimetre);
    StudyLine {
        gauge: result.gauge.clone(),
        wanted: result.wanted,
        filled: result.filled,
        missing: missing.collect(),
        study: study_body(told),
        days: told.days.iter().map(|days| days_body(days, MM)).collect(),
        in_doubt: told.doubt.map(str::to_owned),
        next: steps(told),
        register: told.entry.and_then(|entry| study_line(entry, unit).ok()),
        written: told.written.clone(),
    }
}

/// What to do, a study in doubt first.
fn steps(told: &Told<'_>) -> Vec<String> {
    let doubt = told.doubt.filter(|_| told.result.doubted == 0);
    let doubt = doubt.map(|why| {
        format!(
            "The study is in doubt: {why}. Set the gauge, check its zero, and study it again; what \
             this study came to counts for no uncertainty."
        )
    });
    doubt.into_iter().chain(next_steps(told.result)).collect()
}

/// In the form of a study from a table.
fn study_body(told: &Told<'_>) -> GaugeStudyLine {
    let result = told.result;
    let tolerance = result.tolerance_mm;
    let names = StudyTable {
        parts: result.parts.clone(),
        operators: result.operators.clone(),
        trials: result.trials as usize,
        values: Vec::new(),
        references: Vec::new(),
        days: Vec::new(),
    };
    let repeatability = result.repeatability.as_ref();
    let repeatability = repeatability.map(|found| repeatability_body(found, tolerance));
    let ranges = result.ranges.as_ref();
    let variances = result.variances.as_ref();
    GaugeStudyLine {
        parts: result.parts.len(),
        operators: result.operators.len(),
        trials: result.trials as usize,
        tolerance,
        confidence: STUDY_CONFIDENCE,
        repeatability,
        average_and_range: ranges.map(|found| by_ranges(&names, found, tolerance)),
        variance_analysis: variances
            .and_then(|found| by_variances(found, told.pooling.to_owned(), tolerance).ok()),
        bias: biases(result),
        linearity: result
            .linearity
            .as_ref()
            .and_then(|found| linearity_body(&found.line, STUDY_CONFIDENCE).ok()),
        days: Vec::new(),
        notes: result.notes(),
    }
}

fn biases(result: &StudyResult) -> Vec<BiasBody> {
    let body = |found: &crate::session::PartBias| BiasBody {
        part: found.part.clone(),
        reference: found.reference_mm,
        n: found.n,
        bias: found.bias_mm,
        interval: found.tested.map(|tested| ends(tested.interval)),
        p: found.tested.map(|tested| tested.p),
        significant: found
            .tested
            .map(|tested| tested.is_significant(STUDY_CONFIDENCE)),
    };
    result.biases.iter().map(body).collect()
}
