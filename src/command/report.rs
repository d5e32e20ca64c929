//! `fitledger report`: a record as a page for people, written to a file.

use std::path::Path;

use super::arguments_report::{Decimal, ReportArguments};
use super::exit::Exit;
use super::output::{Output, Stopped};
use super::output_files::ReportLine;
use super::problem::Problem;
use super::screen::counted;
use super::whole_session::{selection, sheet_of};
use super::work::Work;
use super::write_whole::Whole;
use crate::report::{DecimalMark, ENGLISH, PdfError, ReportOptions, Sheet, html, pdf, shown};
use crate::session::Workspace;

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
        Err(problem) => out.refuse(
            arguments.json,
            &arguments.journal.display().to_string(),
            &problem,
        ),
    }
}

fn written(arguments: &ReportArguments, workspace: &Workspace) -> Result<Sheet, Problem> {
    let form = form_of(&arguments.out)?;
    let work = Work::begin()?;
    let which = selection(&arguments.part, arguments.serial.as_deref());
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

fn tell(arguments: &ReportArguments, sheet: &Sheet, out: &mut Output) -> Result<(), Stopped> {
    let record = &sheet.record;
    if !record.is_whole() || sheet.parts.iter().any(|part| !part.is_good) {
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
        "{}\n  record {}, {}, head {}\n",
        shown(&report),
        record.state.replace('_', " "),
        counted(record.events, "event", "events"),
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
