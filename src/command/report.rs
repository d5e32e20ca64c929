//! `fitledger report`: a record as a page for people, written to a file.

use std::path::Path;

use super::arguments_report::{Decimal, ReportArguments};
use super::exit::Exit;
use super::output::{Output, Stopped};
use super::output_report::ReportLine;
use super::problem::Problem;
use super::work::Work;
use super::write_whole::Whole;
use crate::report::{
    DecimalMark, ENGLISH, PdfError, ReportOptions, Selection, Sheet, doubt_by, gather, html, pdf,
    shown,
};
use crate::session::{OpeningError, RecordFolders, Workspace, session_parts};

/// The form of a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    Html,
    Pdf,
}

/// Writes the report, or says why not.
pub(super) fn run(
    arguments: &ReportArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    match written(arguments, workspace) {
        Ok(sheet) => tell(arguments, &sheet, out),
        Err(problem) if arguments.json => {
            out.json_problem(&arguments.journal.display().to_string(), &problem)
        }
        Err(problem) => {
            out.complain(&problem);
            Ok(())
        }
    }
}

fn written(arguments: &ReportArguments, workspace: &Workspace) -> Result<Sheet, Problem> {
    let form = form_of(&arguments.out)?;
    let work = Work::begin()?;
    let which = Selection {
        parts: (!arguments.part.is_empty()).then(|| arguments.part.clone()),
        serial: arguments.serial.clone(),
    };
    let sheet = sheet_of(&arguments.journal, &which, workspace, &work)?;
    let options = ReportOptions {
        decimal_mark: match arguments.decimal {
            Decimal::Comma => DecimalMark::Comma,
            Decimal::Point => DecimalMark::Point,
        },
        with_readings: arguments.readings,
        ..ReportOptions::default()
    };
    work.step(format!("{} parts", sheet.parts.len()))?;
    let bytes = match form {
        Form::Html => html(&sheet, &options).into_bytes(),
        Form::Pdf => pdf(&sheet, &options).map_err(not_made)?,
    };
    work.step(format!(
        "writing {}",
        shown(&arguments.out.display().to_string())
    ))?;
    let file = Whole {
        path: &arguments.out,
        bytes: &bytes,
    };
    work.write(&[file], arguments.replace)?;
    Ok(sheet)
}

fn form_of(path: &Path) -> Result<Form, Problem> {
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    match ending.to_ascii_lowercase().as_str() {
        "html" | "htm" => Ok(Form::Html),
        "pdf" => Ok(Form::Pdf),
        _ => {
            let name = path.display().to_string();
            Err(Problem::bad(
                "form_unknown",
                format!("The name {} says no form that a report has.", shown(&name)),
                Some("Let it end with .html or .pdf."),
            ))
        }
    }
}

fn not_made(error: PdfError) -> Problem {
    Problem::bad(
        "pdf_not_made",
        error.to_string(),
        Some("Write .html, and print that."),
    )
}

/// The sheet of the session that the journal belongs to; parts and a serial number that it does
/// not have are said.
pub(super) fn sheet_of(
    path: &Path,
    which: &Selection,
    workspace: &Workspace,
    work: &Work,
) -> Result<Sheet, Problem> {
    work.step(format!("reading {}", shown(&path.display().to_string())))?;
    let (folder, name) = RecordFolders::of_journal(path, workspace);
    let files = match session_parts(&folder, &name) {
        // An older file alone would leave out what was corrected and decided after it.
        Err(OpeningError::ContinuedIn { newest, .. }) => session_parts(&folder, &newest)?,
        found => found?,
    };
    let mut sheet = gather(&folder, files, which, &ENGLISH)?;
    // What cannot be looked through now: the sheet says so.
    let catalogue = work.catalogue(workspace)?;
    doubt_by(&mut sheet, catalogue.as_ref(), &ENGLISH);
    let is_there = |part: &u32| sheet.parts.iter().any(|one| one.number == *part);
    let missing = which.parts.iter().flatten().find(|part| !is_there(part));
    match (missing, &which.serial) {
        (Some(part), Some(serial)) => Err(unknown(format!(
            "The record has no part {part} with the serial number “{}”.",
            shown(serial)
        ))),
        (Some(part), None) => Err(unknown(format!("The record has no part {part}."))),
        (None, Some(serial)) if sheet.parts.is_empty() => Err(unknown(format!(
            "The record has no part with the serial number “{}”.",
            shown(serial)
        ))),
        _ => Ok(sheet),
    }
}

fn unknown(message: String) -> Problem {
    let hint = "Leave --part and --serial out for all parts.";
    Problem::bad("no_such_part", message, Some(hint))
}

fn tell(arguments: &ReportArguments, sheet: &Sheet, out: &mut Output) -> Result<(), Stopped> {
    let record = &sheet.record;
    let is_sound = matches!(record.state.as_str(), "sound" | "not_closed");
    if !is_sound || sheet.parts.iter().any(|part| !part.is_good) {
        out.note(Exit::NotGood);
    }
    let report = arguments.out.display().to_string();
    if arguments.json {
        return out.json(&ReportLine {
            report: &report,
            head: &record.head,
            events: record.events,
            parts: sheet.parts.len(),
            state: &record.state,
        });
    }
    let mut text = format!(
        "{}\n  record {}, {} events, head {}\n",
        shown(&report),
        record.state.replace('_', " "),
        record.events,
        record.head
    );
    for part in &sheet.parts {
        let serial = match part.serial.as_str() {
            "" => String::new(),
            serial => format!(" ({})", shown(serial)),
        };
        let standing = ENGLISH.stands(&part.standing, record);
        text += &format!("  part {}{serial}: {standing}\n", part.number);
        for doubt in &part.doubts {
            text += &format!("    {}\n", shown(doubt));
        }
    }
    out.text(&text)
}
