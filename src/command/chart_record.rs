//! The values of a chart from a record: one characteristic over the parts of its session.

use std::path::Path;

use super::arguments_statistics::{ChartArguments, ChartName};
use super::problem::Problem;
use super::whole_session::{record_of, state_of};
use crate::report::{BatchChart, Chart, DecimalMark, ENGLISH_CHARTS, batch_charts, shown};
use crate::session::{Batch, Circumstances, State, StudyOptions, Target, Workspace, study};

/// Charts and what they rest on.
pub(super) struct Charted {
    pub(super) charts: Vec<Chart>,
    /// How many values, or parts with a value, there are.
    pub(super) count: usize,
    /// Whether something in the record is wrong.
    pub(super) is_damaged: bool,
}

/// Charts of the session that the journal belongs to.
pub(super) fn charts_of_record(
    arguments: &ChartArguments,
    journal: &Path,
    workspace: &Workspace,
    mark: DecimalMark,
) -> Result<Charted, Problem> {
    let record = record_of(journal, workspace)?;
    let findings = record.reports.iter().flat_map(|report| &report.findings);
    let is_damaged = !record.replayed.faults.is_empty()
        || findings.into_iter().any(|finding| !finding.is_notice());
    let state = &state_of(record, journal)?;
    let at = chosen(arguments, state)?;
    let batch = Batch::of(state);
    let found = batch.series().get(at).zip(state.setup().targets.get(at));
    let Some((series, target)) = found else {
        return Err(no_such(arguments.feature.as_deref().unwrap_or(""), state));
    };
    let options = StudyOptions::usual(Circumstances::of(state, at));
    let known = study(series, target, &options);
    let kind = match arguments.kind {
        ChartName::Run => BatchChart::Run,
        ChartName::Control => BatchChart::Control,
        ChartName::Histogram => BatchChart::Histogram,
        ChartName::Capability => BatchChart::Capability,
        ChartName::Trend => BatchChart::Trend,
    };
    let charts = batch_charts(kind, series, target, &known, (&ENGLISH_CHARTS, mark));
    if charts.is_empty() {
        let message = format!(
            "{} is answered, not measured: it has no sizes.",
            called(target)
        );
        let hint = Some("Choose a characteristic that has sizes.");
        return Err(Problem::bad("no_sizes", message, hint));
    }
    Ok(Charted {
        charts,
        count: series.points().len(),
        is_damaged,
    })
}

/// The place of the characteristic that is wanted; alone it need not be named.
fn chosen(arguments: &ChartArguments, state: &State) -> Result<usize, Problem> {
    let targets = &state.setup().targets;
    let Some(feature) = &arguments.feature else {
        if targets.len() == 1 {
            return Ok(0);
        }
        let message = format!("The session has {} characteristics.", targets.len());
        let hint = format!("Name one with --feature: {}.", names(targets));
        return Err(Problem::bad("feature_missing", message, Some(&hint)));
    };
    let element = arguments.element.as_deref().unwrap_or_default();
    let fits =
        |target: &Target| target.feature == *feature && [&*target.element, ""].contains(&element);
    let found = targets.iter().position(fits);
    found.ok_or_else(|| no_such(&format!("{feature} {element}"), state))
}

fn no_such(wanted: &str, state: &State) -> Problem {
    let message = format!(
        "The session has no characteristic “{}”.",
        shown(wanted.trim())
    );
    let hint = format!("It has {}.", names(&state.setup().targets));
    Problem::bad("no_such_feature", message, Some(&hint))
}

fn names(targets: &[Target]) -> String {
    let called: Vec<String> = targets.iter().map(called).collect();
    called.join(", ")
}

fn called(target: &Target) -> String {
    match target.element.as_str() {
        "size" | "angle" => shown(&target.feature).into_owned(),
        element => format!("{} --element {}", shown(&target.feature), shown(element)),
    }
}
