//! `fitledger gauge-study --gauge SOURCE`: the study is measured part by part, each reading is on
//! the disk before anything is computed from it, and at the end stands what to do.

use std::path::Path;

use super::arguments_study::{GuidedStudyArguments, StudyOrder};
use super::exit::Exit;
use super::gauges::register_text;
use super::inspect::Inspection;
use super::inspect_setup::pictured;
use super::judge_gauge::today;
use super::output::{Output, Stopped};
use super::problem::Problem;
use super::study_told::{Told, tell};
use crate::gauge::{Date, GaugeId, StudyEntry, with_study};
use crate::journal::StudyPart;
use crate::quantity::{Length, LengthUnit, parse_entry};
use crate::session::{
    self, Begin, Check, RecordFolders, SessionRecord, State, StudyAsked, StudyResult, What,
    Workspace, drawn_seed, past_studies, session_parts, study_days, study_result,
};
use crate::statistics::Pooling;

/// What an error about the study as a whole names.
const INPUT: &str = "gauge-study";

/// What is asked of a study beside its measuring.
pub(super) struct Asked<'a> {
    pub(super) guided: &'a GuidedStudyArguments,
    pub(super) tolerance: Option<&'a str>,
    pub(super) pooling: Pooling,
    /// The pooling as it was said.
    pub(super) pooling_text: String,
    pub(super) json: bool,
}

/// Measures a study, or tells a recorded one.
pub(super) fn run(
    asked: &Asked<'_>,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let done = match &asked.guided.record {
        Some(path) => recorded(asked, path, workspace, out),
        None => measured(asked, workspace, out),
    };
    match done {
        Ok(done) => done,
        Err(problem) => out.refuse(asked.json, INPUT, &problem),
    }
}

fn measured(
    asked: &Asked<'_>,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<Result<(), Stopped>, Problem> {
    let guided = asked.guided;
    let what = match &guided.continue_journal {
        Some(journal) => What::Continue(journal.clone()),
        None => What::Study(study_asked(asked)?),
    };
    let operator = match &what {
        What::Study(study) => study.operators.first().cloned().unwrap_or_default(),
        _ => String::new(),
    };
    let begin = Begin {
        gauges: guided.gauge.iter().cloned().collect(),
        adapter: guided.adapter.clone(),
        operator,
        ..Begin::new(what)
    };
    let prepared =
        session::prepare(&begin, workspace).map_err(|error| pictured(error, &begin, workspace))?;
    if prepared.recorder.state().study().is_none() {
        let message = "That session is no study of a gauge.".to_owned();
        let hint = Some("Continue it with fitledger inspect --continue.");
        return Err(Problem::bad("no_study", message, hint));
    }
    for line in &prepared.told {
        out.message(line);
    }
    let inspection = Inspection::new(prepared, asked.json);
    Ok(inspection.run_then(
        |state, journal, out| told(asked, (state, journal), today(), workspace, out),
        out,
    ))
}

/// The study as the options ask for it.
fn study_asked(asked: &Asked<'_>) -> Result<StudyAsked, Problem> {
    let guided = asked.guided;
    let length = |text: &String| -> Result<Length, Problem> {
        Ok(parse_entry(text, LengthUnit::Millimetre)?.value)
    };
    let references = guided.reference.iter().map(length);
    let references: Vec<Length> = references.collect::<Result<_, _>>()?;
    let named = guided.part.len();
    let said = match (guided.parts, named) {
        (Some(count), _) => usize::try_from(count).unwrap_or(usize::MAX),
        (None, 0) => references.len().max(1),
        (None, named) => named,
    };
    if !references.is_empty() && references.len() != said {
        let message = format!(
            "There are {said} parts and {} known sizes.",
            references.len()
        );
        let hint = Some("Give one --reference for each part, in their order.");
        return Err(Problem::bad("study_refused", message, hint));
    }
    // Too many are refused by the study itself; they need not be made for that.
    let count = said.min(10_000);
    let mut parts: Vec<StudyPart> = (0..count)
        .map(|at| StudyPart {
            name: guided.part.get(at).cloned().unwrap_or_default(),
            reference: references.get(at).copied(),
            standard: String::new(),
        })
        .collect();
    if !guided.on.is_empty() {
        parts = guided
            .on
            .iter()
            .map(|standard| StudyPart {
                standard: standard.clone(),
                ..StudyPart::default()
            })
            .collect();
    }
    let seed = match guided.order {
        Some(StudyOrder::Stated) => None,
        _ => Some(guided.seed.unwrap_or_else(drawn_seed)),
    };
    let operators = guided.operators.iter().map(|name| name.trim().to_owned());
    Ok(StudyAsked {
        parts,
        operators: operators.collect(),
        trials: guided.trials,
        tolerance: asked
            .tolerance
            .map(str::to_owned)
            .as_ref()
            .map(length)
            .transpose()?,
        seed,
    })
}

/// A study that was measured before.
fn recorded(
    asked: &Asked<'_>,
    path: &Path,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<Result<(), Stopped>, Problem> {
    let (folder, name) = RecordFolders::of_journal(path, workspace);
    let parts = session_parts(&folder, &name)?;
    let record = SessionRecord::read(&folder, parts, Check::State)?;
    for fault in &record.replayed.faults {
        out.message(&format!("Line {}: {}.", fault.line, fault.what));
    }
    let state = record.replayed.state.as_ref();
    let Some(state) = state.filter(|state| state.study().is_some()) else {
        let message = format!("{} holds no study of a gauge.", path.display());
        let hint = Some("List the records with: fitledger list gauge-study");
        return Err(Problem::bad("no_study", message, hint));
    };
    if record.state() == crate::journal::State::Damaged {
        out.message("The record is damaged: look at it with fitledger verify.");
        out.note(Exit::NotGood);
    }
    let on = record.replayed.last_time.and_then(|time| {
        let day = time.to_zoned_datetime(jiff::tz::TimeZone::system()).date();
        Date::parse(&day.to_string())
    });
    let newest = record.parts.last().map_or("", |part| &part.name);
    Ok(told(asked, (state, newest), on, workspace, out))
}

/// What the study comes to, and its way into the register.
fn told(
    asked: &Asked<'_>,
    (state, journal): (&State, &str),
    on: Option<Date>,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let result = match study_result(state, asked.pooling) {
        Ok(Some(result)) => result,
        Ok(None) => return Ok(()),
        Err(error) => return out.refuse(asked.json, INPUT, &Problem::from(error)),
    };
    if !result.is_complete() {
        out.note(Exit::NotGood);
    }
    let gauge = GaugeId::new(&result.gauge);
    let past = past_studies(&RecordFolders::of_workspace(workspace), &gauge);
    let mut doubt = None;
    let days = past.map(|past| {
        let own = past.iter().find(|study| study.journal == journal);
        doubt = own.and_then(|study| study.doubt.clone());
        study_days(&past)
    });
    let days = match days {
        Ok(Ok(days)) => days,
        Ok(Err(error)) => {
            out.message(&format!("The days could not be compared: {error}"));
            Vec::new()
        }
        Err(error) => {
            out.message(&format!("Earlier studies could not be read: {error}."));
            Vec::new()
        }
    };
    let entry = entry_of(&result, on).filter(|_| doubt.is_none());
    let written = match (&entry, asked.guided.write) {
        (Some(entry), true) => match write(&gauge, entry, workspace) {
            Ok(file) => Some(file),
            Err(problem) => {
                out.refuse(asked.json, INPUT, &problem)?;
                None
            }
        },
        (None, true) => {
            out.refuse(asked.json, INPUT, &nothing_written(doubt.as_deref()))?;
            None
        }
        (_, false) => None,
    };
    let unit = state.setup().gauge(&gauge).map(|entry| entry.unit);
    let told = Told {
        result: &result,
        doubt: doubt.as_deref(),
        pooling: &asked.pooling_text,
        days: &days,
        entry: entry.as_ref(),
        unit,
        written,
    };
    tell(&told, asked.json, out)
}

/// Why the register was left alone.
fn nothing_written(doubt: Option<&str>) -> Problem {
    if let Some(why) = doubt {
        let message = format!("Nothing is written: the study is in doubt ({why}).");
        let hint = Some("Set the gauge, check its zero, and study it again.");
        return Problem::bad("study_in_doubt", message, hint);
    }
    let message = "Nothing is written: the study gives no repeatability yet.".to_owned();
    let hint = Some("Take the readings that are missing, or use a finer step.");
    Problem::bad("no_repeatability", message, hint)
}

fn entry_of(result: &StudyResult, on: Option<Date>) -> Option<StudyEntry> {
    let found = result.for_register()?;
    Some(StudyEntry {
        repeatability: found.repeatability,
        readings: found.readings,
        on: on?,
    })
}

/// Into the workspace's register, comments and all; the file is whole at any moment.
fn write(gauge: &GaugeId, entry: &StudyEntry, workspace: &Workspace) -> Result<String, Problem> {
    let (_, text) = register_text(workspace)?;
    let changed = with_study(&text, gauge, entry)?;
    let file = workspace.replace_gauges(&text, &changed)?;
    Ok(file.display().to_string())
}
