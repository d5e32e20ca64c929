//! A record's report for other programs, written to a file: `export`.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use super::arguments_exchange::{ExchangeFormat, ExportArguments};
use super::exit::Exit;
use super::output::{Output, Stopped};
use super::output_files::ExportLine;
use super::problem::Problem;
use super::screen::counted;
use super::whole_session::{selection, sheet_of};
use super::work::Work;
use super::write_whole::Whole;
use crate::report::{Sheet, csv, csv_batch, csv_batch_metadata, csv_metadata, json, qif, shown};
use crate::session::Workspace;

/// What a reader of tables looks for beside a table (CSV on the Web, the default location).
const METADATA_END: &str = "-metadata.json";
/// What the name of the table of all parts together has before its ending.
const BATCH_END: &str = "-batch";

/// Writes the file, or says why not.
pub(super) fn run(
    arguments: &ExportArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let journal = arguments.journal.display().to_string();
    match export(arguments, workspace) {
        Ok(done) => tell(&done, &journal, arguments, out),
        Err(problem) => out.refuse(arguments.json, &journal, &problem),
    }
}

/// What was written: beside the file that was asked for its description; the table of all parts
/// together, with its own.
struct Done {
    sheet: Sheet,
    beside: Vec<PathBuf>,
}

/// A file's place and what it holds.
type Made = (PathBuf, Vec<u8>);

fn export(arguments: &ExportArguments, workspace: &Workspace) -> Result<Done, Problem> {
    let work = Work::begin()?;
    let which = selection(&arguments.part, arguments.serial.as_deref());
    let sheet = sheet_of(&arguments.journal, &which, workspace, &work)?;
    let made = |made: std::io::Result<Vec<u8>>| {
        made.map_err(|error| {
            let message = format!("The report could not be made: {error}.");
            Problem::outside("report_not_made", message, None)
        })
    };
    let out = arguments.out.as_path();
    work.step(format!("{} parts", sheet.parts.len()))?;
    let name = |path: &Path| {
        let name = path.file_name().unwrap_or_default();
        name.to_string_lossy().into_owned()
    };
    let mut beside: Vec<Made> = Vec::new();
    let bytes = match arguments.format {
        ExchangeFormat::Csv => {
            beside.push((metadata_path(out), csv_metadata(&name(out))));
            let of_batch = csv_batch(&sheet).map(Option::unwrap_or_default);
            let of_batch = made(of_batch)?;
            if !of_batch.is_empty() {
                let path = batch_path(out);
                let described = csv_batch_metadata(&name(&path));
                let metadata = metadata_path(&path);
                beside.extend([(path, of_batch), (metadata, described)]);
            }
            made(csv(&sheet))?
        }
        ExchangeFormat::Json => json(&sheet),
        ExchangeFormat::Qif => made(qif(&sheet))?,
    };
    let mut files = vec![Whole {
        path: out,
        bytes: &bytes,
    }];
    files.extend(beside.iter().map(|(path, bytes)| Whole { path, bytes }));
    work.step(format!("writing {}", shown(&out.display().to_string())))?;
    work.write(&files, arguments.replace)?;
    let beside = beside.into_iter().map(|(path, _)| path).collect();
    Ok(Done { sheet, beside })
}

fn metadata_path(out: &Path) -> PathBuf {
    let mut name = OsString::from(out.file_name().unwrap_or_default());
    name.push(METADATA_END);
    out.with_file_name(name)
}

/// `report.csv` to `report-batch.csv`.
fn batch_path(out: &Path) -> PathBuf {
    let mut name = OsString::from(out.file_stem().unwrap_or_default());
    name.push(BATCH_END);
    if let Some(ending) = out.extension() {
        name.push(".");
        name.push(ending);
    }
    out.with_file_name(name)
}

fn tell(
    done: &Done,
    journal: &str,
    arguments: &ExportArguments,
    out: &mut Output,
) -> Result<(), Stopped> {
    let record = &done.sheet.record;
    if !record.is_whole() {
        out.note(Exit::NotGood);
    }
    let of_parts = done.sheet.parts.iter().map(|part| part.readings.len());
    let readings = of_parts.sum::<usize>() + record.other_readings.len();
    let file = arguments.out.display().to_string();
    let beside = done.beside.iter();
    let beside: Vec<String> = beside.map(|path| path.display().to_string()).collect();
    let one_beside = |at: usize| beside.get(at).map(String::as_str);
    if arguments.json {
        return out.json(&ExportLine {
            journal,
            format: arguments.format.word(),
            file: &file,
            metadata: one_beside(0),
            batch: one_beside(1),
            batch_metadata: one_beside(2),
            parts: done.sheet.parts.len(),
            readings,
            state: &record.state,
            events: record.events,
            head: &record.head,
        });
    }
    if !record.is_whole() {
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
    for path in &beside {
        text.push_str(&format!("written {}\n", path.escape_debug()));
    }
    text.push_str(&format!(
        "{}, {}\nhead of the chain {}\n",
        counted(done.sheet.parts.len(), "part", "parts"),
        counted(readings, "reading", "readings"),
        record.head
    ));
    out.text(&text)
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::{batch_path, metadata_path};

    #[test]
    fn the_table_of_all_parts_stands_beside() {
        for (out, beside) in [
            ("out/report.csv", "out/report-batch.csv"),
            ("report", "report-batch"),
            ("a.b.csv", "a.b-batch.csv"),
        ] {
            assert_eq!(batch_path(Path::new(out)), Path::new(beside));
        }
    }

    /// W3C "Model for Tabular Data and Metadata on the Web" (2015), section 5.3: `{+url}` and
    /// `-metadata.json` behind it.
    #[test]
    fn the_description_stands_where_it_is_looked_for() {
        let beside = metadata_path(Path::new("out/report.csv"));
        assert_eq!(beside, Path::new("out/report.csv-metadata.json"));
    }
}
