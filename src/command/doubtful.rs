//! `fitledger doubtful`: what rests on a gauge that was found wrong afterwards, by part, in all
//! sessions of the workspace.

use std::collections::BTreeSet;

use indicatif::ProgressBar;

use super::DoubtfulArguments;
use super::exit::Exit;
use super::output::{Output, Stopped};
use super::output_doubtful::{Because, DoubtfulLine, DoubtfulStudyBody, DoubtfulStudyLine};
use super::problem::Problem;
use super::records::progress;
use super::screen::counted;
use super::table::{cell, laid_out, numbers, words};
use crate::gauge::GaugeId;
use crate::journal::{Outcome, outcome_text};
use crate::report::shown;
use crate::session::{
    DoubtfulReading, DoubtfulStudy, GaugeCheck, GaugeStory, RecordFolders, Workspace,
    check_sentence, number_text,
};

/// Lists them; nothing in doubt is exit 0, anything is 1.
pub(super) fn run(
    arguments: &DoubtfulArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let folder = RecordFolders::of_workspace(workspace);
    let mut bar = ProgressBar::hidden();
    let read = GaugeStory::read(&folder, |at, of| {
        if at == 0 {
            bar = progress(of);
        }
        bar.set_position(at as u64);
        true
    });
    bar.finish_and_clear();
    let story = match read {
        Ok(story) => story,
        Err(cause) => {
            let folder = workspace.sessions_path().display().to_string();
            let problem =
                Problem::outside("sessions_unreadable", format!("{folder}: {cause}."), None);
            return out.refuse(arguments.json, "doubtful", &problem);
        }
    };
    for (journal, why) in &story.unreadable {
        let problem = Problem::outside(
            "journal_unreadable",
            format!("{}: {}", shown(journal), shown(why)),
            None,
        );
        out.refuse(arguments.json, journal, &problem)?;
    }
    let wanted = arguments.gauge.as_deref().map(GaugeId::new);
    let is_wanted = |because: usize, gauge: &GaugeId| {
        let of = story.checks.get(because).map(|check| &check.gauge);
        wanted.is_none() || wanted.as_ref() == of || wanted.as_ref() == Some(gauge)
    };
    let listed = story.doubtful.iter();
    let listed = listed.filter(|one| is_wanted(one.because, &one.gauge));
    let listed: Vec<&DoubtfulReading> = listed.collect();
    let studies = story.studies.iter();
    let studies = studies.filter(|one| is_wanted(one.because, &one.gauge));
    let studies: Vec<&DoubtfulStudy> = studies.collect();
    let is_open = listed.iter().any(|one| !one.is_measured_again)
        || studies.iter().any(|one| !one.is_measured_again);
    if is_open {
        out.note(Exit::NotGood);
    }
    if !arguments.json {
        return told_all(&story, &listed, &studies, out);
    }
    let because = |at: usize| story.checks.get(at).map(because);
    for one in listed {
        out.json(&line(one, because(one.because)))?;
    }
    for one in studies {
        out.json(&study_line(one, because(one.because)))?;
    }
    Ok(())
}

fn told_all(
    story: &GaugeStory,
    listed: &[&DoubtfulReading],
    studies: &[&DoubtfulStudy],
    out: &mut Output,
) -> Result<(), Stopped> {
    if listed.is_empty() && studies.is_empty() {
        out.message("Nothing is in doubt.");
        return Ok(());
    }
    table(story, listed, out)?;
    told_studies(story, studies, out)
}

fn table(story: &GaugeStory, listed: &[&DoubtfulReading], out: &mut Output) -> Result<(), Stopped> {
    if listed.is_empty() {
        return Ok(());
    }
    let mut reasons: Vec<usize> = listed.iter().map(|one| one.because).collect();
    reasons.sort_unstable();
    reasons.dedup();
    for reason in reasons {
        let Some(check) = story.checks.get(reason) else {
            continue;
        };
        out.text(&format!(
            "{} ({}, {})\n",
            shown(&check_sentence(check)),
            check.time,
            shown(&check.journal)
        ))?;
        let rows = listed
            .iter()
            .filter(|one| one.because == reason)
            .map(|one| {
                let element = match one.place.element.as_str() {
                    "size" => String::new(),
                    element => format!(" {element}"),
                };
                vec![
                    cell(&one.journal),
                    cell(&one.part_name),
                    cell(one.place.part.to_string()),
                    cell(format!("{}{element}", one.place.feature)),
                    cell(one.place.point.to_string()),
                    cell(number_text(one.unit, one.value_at_20)),
                    cell(one.gauge.as_str()),
                    cell(word(one)),
                ]
            });
        let rows: Vec<_> = rows.collect();
        let columns = [
            words("journal"),
            words("part"),
            numbers("no."),
            words("feature"),
            numbers("point"),
            numbers("value"),
            words("gauge"),
            words("was"),
        ];
        out.text(&laid_out(&columns, &rows, out.screen()))?;
    }
    let open = listed.iter().filter(|one| !one.is_measured_again);
    let parts = open.map(|one| (one.journal.as_str(), one.place.part));
    let parts: BTreeSet<(&str, u32)> = parts.collect();
    let told = counted(
        parts.len(),
        "part is in doubt until it is measured again",
        "parts are in doubt until they are measured again",
    );
    out.text(&format!("{told}; the records stay as they are.\n"))
}

/// The studies in doubt, a sentence each.
fn told_studies(
    story: &GaugeStory,
    studies: &[&DoubtfulStudy],
    out: &mut Output,
) -> Result<(), Stopped> {
    for one in studies {
        let why = story.checks.get(one.because).map(check_sentence);
        let again = match one.is_measured_again {
            true => "it was studied again since",
            false => "what it came to feeds no uncertainty; study the gauge again",
        };
        out.text(&format!(
            "The study of {} ({}): {} of {} readings are in doubt ({}); {again}.\n",
            shown(one.gauge.as_str()),
            shown(&one.journal),
            one.readings,
            one.of,
            shown(&why.unwrap_or_default())
        ))?;
    }
    Ok(())
}

fn study_line<'a>(one: &'a DoubtfulStudy, because: Option<Because<'a>>) -> DoubtfulStudyLine<'a> {
    DoubtfulStudyLine {
        study: DoubtfulStudyBody {
            journal: &one.journal,
            gauge: one.gauge.as_str(),
            readings: one.readings,
            of: one.of,
            measured_again: one.is_measured_again,
            because,
        },
    }
}

fn word(one: &DoubtfulReading) -> String {
    let was = one.outcome.map_or("superseded", outcome_text);
    match one.is_measured_again {
        true => format!("{was}, measured again"),
        false => was.to_owned(),
    }
}

fn because(check: &GaugeCheck) -> Because<'_> {
    Because {
        gauge: check.gauge.as_str(),
        time: check.time.to_string(),
        journal: &check.journal,
        event: check.zero.line,
        offset: (check.zero.reading > 0).then(|| check.zero.offset.to_mm()),
        sentence: check_sentence(check),
    }
}

fn line<'a>(one: &'a DoubtfulReading, because: Option<Because<'a>>) -> DoubtfulLine<'a> {
    DoubtfulLine {
        journal: &one.journal,
        part_name: &one.part_name,
        part: one.place.part,
        feature: &one.place.feature,
        element: &one.place.element,
        point: one.place.point,
        reading: one.reading,
        time: one.time.map(|time| time.to_string()),
        gauge: one.gauge.as_str(),
        value_at_20: number_text(one.unit, one.value_at_20),
        verdict: one.outcome.map(|outcome: Outcome| outcome_text(outcome)),
        measured_again: one.is_measured_again,
        because,
    }
}
