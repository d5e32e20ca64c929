//! A record's report for other programs, written to a file: `export`.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use super::arguments_exchange::{ExchangeFormat, ExportArguments};
use super::exit::Exit;
use super::output::{Output, Stopped};
use super::output_exchange::ExportLine;
use super::problem::Problem;
use super::work::Work;
use super::write_whole::Whole;
use crate::report::{
    ENGLISH, Selection, Sheet, csv, csv_metadata, doubt_by, gather, json, qif, shown,
};
use crate::session::{OpeningError, RecordFolders, Workspace, session_parts};

/// What a reader of tables looks for beside a table (CSV on the Web, the default location).
const METADATA_END: &str = "-metadata.json";

/// Writes the file, or says why not.
pub(super) fn run(
    arguments: &ExportArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let journal = arguments.journal.display().to_string();
    match export(arguments, workspace) {
        Ok(done) => tell(&done, &journal, arguments, out),
        Err(problem) if arguments.json => out.json_problem(&journal, &problem),
        Err(problem) => {
            out.complain(&problem);
            Ok(())
        }
    }
}

struct Done {
    sheet: Sheet,
    metadata: Option<PathBuf>,
}

fn export(arguments: &ExportArguments, workspace: &Workspace) -> Result<Done, Problem> {
    let work = Work::begin()?;
    let which = Selection {
        parts: (!arguments.part.is_empty()).then(|| arguments.part.clone()),
        serial: arguments.serial.clone(),
    };
    let sheet = sheet_of(&arguments.journal, &which, workspace, &work)?;
    let made = |made: std::io::Result<Vec<u8>>| {
        made.map_err(|error| {
            let message = format!("The report could not be made: {error}.");
            Problem::outside("report_not_made", message, None)
        })
    };
    let out = arguments.out.as_path();
    work.step(format!("{} parts", sheet.parts.len()))?;
    let (bytes, metadata) = match arguments.format {
        ExchangeFormat::Csv => {
            let beside = metadata_path(out);
            let name = out.file_name().unwrap_or_default().to_string_lossy();
            (made(csv(&sheet))?, Some((beside, csv_metadata(&name))))
        }
        ExchangeFormat::Json => (json(&sheet), None),
        ExchangeFormat::Qif => (made(qif(&sheet))?, None),
    };
    let mut files = vec![Whole {
        path: out,
        bytes: &bytes,
    }];
    files.extend(metadata.iter().map(|(path, bytes)| Whole { path, bytes }));
    work.step(format!("writing {}", shown(&out.display().to_string())))?;
    work.write(&files, arguments.replace)?;
    let metadata = metadata.map(|(path, _)| path);
    Ok(Done { sheet, metadata })
}

/// The record's sheet; a part or serial number that there is not is said.
fn sheet_of(
    path: &Path,
    which: &Selection,
    workspace: &Workspace,
    work: &Work,
) -> Result<Sheet, Problem> {
    work.step(format!("reading {}", shown(&path.display().to_string())))?;
    let (folder, name) = RecordFolders::of_journal(path, workspace);
    let files = session_parts(&folder, &name).map_err(|error| match &error {
        OpeningError::ContinuedIn { newest, .. } => {
            let hint = format!("Export {newest}: it leads to the whole session.");
            Problem::bad(error.code(), error.to_string(), Some(&hint))
        }
        _ => error.into(),
    })?;
    let mut sheet = gather(&folder, files, which, &ENGLISH)?;
    // What cannot be looked through now: the sheet says so.
    let catalogue = work.catalogue(workspace)?;
    doubt_by(&mut sheet, catalogue.as_ref(), &ENGLISH);
    let wanted = which.parts.iter().flatten();
    let mut missing = wanted.filter(|part| !sheet.parts.iter().any(|one| one.number == **part));
    if let Some(part) = missing.next() {
        let message = match which.serial.as_deref() {
            None => format!("The record has no part {part}."),
            Some(serial) => format!(
                "The record has no part {part} with the serial number “{}”.",
                serial.escape_debug()
            ),
        };
        return Err(no_such_part(message));
    }
    match which.serial.as_deref() {
        Some(serial) if sheet.parts.is_empty() => Err(no_such_part(format!(
            "The record has no part with the serial number “{}”.",
            serial.escape_debug()
        ))),
        _ => Ok(sheet),
    }
}

fn no_such_part(message: String) -> Problem {
    let hint = "Leave --part and --serial out for all parts.";
    Problem::bad("no_such_part", message, Some(hint))
}

fn metadata_path(out: &Path) -> PathBuf {
    let mut name = OsString::from(out.file_name().unwrap_or_default());
    name.push(METADATA_END);
    out.with_file_name(name)
}

fn tell(
    done: &Done,
    journal: &str,
    arguments: &ExportArguments,
    out: &mut Output,
) -> Result<(), Stopped> {
    let record = &done.sheet.record;
    let is_whole = ["sound", "not_closed"].contains(&record.state.as_str());
    if !is_whole {
        out.note(Exit::NotGood);
    }
    let of_parts = done.sheet.parts.iter().map(|part| part.readings.len());
    let readings = of_parts.sum::<usize>() + record.other_readings.len();
    let file = arguments.out.display().to_string();
    let metadata = done.metadata.as_ref();
    let metadata = metadata.map(|path| path.display().to_string());
    if arguments.json {
        return out.json(&ExportLine {
            journal,
            format: arguments.format.word(),
            file: &file,
            metadata: metadata.as_deref(),
            parts: done.sheet.parts.len(),
            readings,
            state: &record.state,
            events: record.events,
            head: &record.head,
        });
    }
    if !is_whole {
        out.message(&format!(
            "The record is {}: see fitledger verify. The file says so too.",
            record.state.replace('_', " ")
        ));
    }
    for part in &done.sheet.parts {
        for doubt in &part.doubts {
            out.message(&shown(&format!("Part {}: {doubt}", part.number)));
        }
    }
    let mut text = format!("written {}\n", file.escape_debug());
    if let Some(metadata) = &metadata {
        text.push_str(&format!("written {}\n", metadata.escape_debug()));
    }
    text.push_str(&format!(
        "{} parts, {readings} readings\nhead of the chain {}\n",
        done.sheet.parts.len(),
        record.head
    ));
    out.text(&text)
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::metadata_path;

    /// W3C "Model for Tabular Data and Metadata on the Web" (2015), section 5.3: `{+url}` and
    /// `-metadata.json` behind it.
    #[test]
    fn the_description_stands_where_it_is_looked_for() {
        let beside = metadata_path(Path::new("out/report.csv"));
        assert_eq!(beside, Path::new("out/report.csv-metadata.json"));
    }
}
