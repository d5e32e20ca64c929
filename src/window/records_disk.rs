//! The records of a workspace for the Records room: the catalogue of its sessions, their reports,
//! their checks, and decisions added to them. It runs apart from the frame.

use std::io::{self, BufRead, Read, Seek, SeekFrom};

use eframe::egui::Context;

use super::records_facts::{ReportForm, SessionRow, Verified, WriteOrder};
use super::records_run::RecordsOutside;
use super::view::{counted, decimal_mark};
use crate::journal::StorageFolder;
use crate::report::{
    ENGLISH, ReportOptions, Selection, Sheet, csv, csv_batch, csv_batch_metadata, csv_metadata,
    doubt_by, file_name, file_name_with, gather, html, json, pdf, qif,
};
use crate::session::{
    Catalogue, Check, Command, Entry, JournalState, LaterError, OpeningError, Progress,
    RecordFolders, SessionRecord, Workspace, decide_later, replay, rescue_folder,
};

/// A new frame for so many bytes of a check (chosen: a bar moves smoothly by it).
const STEP_BYTES: u64 = 256 * 1024;
/// A new frame for so many sessions that were read.
const STEP_SESSIONS: usize = 50;
/// What stands in a report's name where the part has none.
const NAMELESS: &str = "record";

/// The records on the disk.
pub struct RecordsDisk {
    workspace: Workspace,
    context: Context,
    catalogue: Option<Catalogue>,
}

impl RecordsDisk {
    /// Those of that workspace; `context` is asked for a frame when there is something new.
    pub fn new(workspace: Workspace, context: Context) -> Self {
        Self {
            workspace,
            context,
            catalogue: None,
        }
    }

    fn folders(&self) -> RecordFolders {
        RecordFolders::of_workspace(&self.workspace)
    }

    fn sheet(&mut self, row: &SessionRow, which: &Selection) -> Result<Sheet, String> {
        let sheet = gather(&self.folders(), row.record.clone(), which, &ENGLISH);
        let told = |error: OpeningError| with_hint(&error.to_string(), error.hint().as_deref());
        let mut sheet = sheet.map_err(told)?;
        // What cannot be listed now is as it was listed last; the sheet says up to when that is.
        let _ = self.catalogue.as_mut().map(|all| all.refresh(|_| true));
        doubt_by(&mut sheet, self.catalogue.as_ref(), &ENGLISH);
        Ok(sheet)
    }
}

/// A session as a row of the list.
fn row_of(entry: &Entry) -> SessionRow {
    let job = entry.job();
    let drawing = match entry.revision.is_empty() {
        true => entry.drawing.clone(),
        false => format!("{} rev {}", entry.drawing, entry.revision),
    };
    let part = match entry.part.is_empty() {
        true => entry.part_name.clone().unwrap_or_default(),
        false => entry.part.clone(),
    };
    let findings = entry
        .findings
        .iter()
        .map(|found| format!("{}: {}", found.file, found.what));
    let absent = entry.absent.iter();
    let absent = absent.map(|file| format!("{file}, in which the session began, is not there"));
    let mut damage: Vec<String> = absent.chain(findings).collect();
    if entry.more_findings > 0 {
        let more = usize::try_from(entry.more_findings).unwrap_or(usize::MAX);
        damage.push(counted(more, "more finding"));
    }
    let standings = entry.standings().into_iter();
    SessionRow {
        files: entry
            .files
            .iter()
            .map(|file| file.stamp.name.clone())
            .collect(),
        record: entry.record_parts(),
        is_elsewhere: entry
            .files
            .last()
            .is_some_and(|file| file.stamp.is_elsewhere),
        bytes: entry.files.iter().map(|file| file.stamp.length).sum(),
        opened: entry.opened.map_or_else(String::new, |at| entry.local(at)),
        part,
        drawing: drawing.trim().to_owned(),
        customer: job.map_or_else(String::new, |job| job.customer.clone()),
        order: job.map_or_else(String::new, |job| job.order.clone()),
        serials: entry.parts.iter().map(|part| part.serial.clone()).collect(),
        gauges: entry
            .gauges
            .iter()
            .map(|gauge| gauge.as_str().to_owned())
            .collect(),
        standings: standings
            .map(|(word, count)| (word.to_owned(), count))
            .collect(),
        parts: entry.parts.len(),
        readings: entry.readings,
        state: match entry.state {
            JournalState::Read(state) => state.code().to_owned(),
            JournalState::Unreadable => "unreadable".to_owned(),
        },
        damage,
    }
}

fn with_hint(sentence: &str, hint: Option<&str>) -> String {
    match hint {
        Some(hint) => format!("{sentence} {hint}"),
        None => sentence.to_owned(),
    }
}

impl RecordsOutside for RecordsDisk {
    fn list(
        &mut self,
        seen: &mut dyn FnMut(usize, usize) -> bool,
    ) -> (Vec<SessionRow>, Vec<String>) {
        let context = self.context.clone();
        let told = |progress: Progress| {
            if progress.done.is_multiple_of(STEP_SESSIONS) {
                context.request_repaint();
            }
            seen(progress.done, progress.of)
        };
        let read = match &mut self.catalogue {
            Some(catalogue) => catalogue.refresh(told),
            None => Catalogue::open(&self.workspace, told).map(|fresh| {
                self.catalogue = Some(fresh);
            }),
        };
        let mut faults: Vec<String> = read.err().iter().map(ToString::to_string).collect();
        let Some(catalogue) = &self.catalogue else {
            return (Vec::new(), faults);
        };
        faults.extend(catalogue.unwritten().map(str::to_owned));
        (catalogue.entries().iter().map(row_of).collect(), faults)
    }

    fn open(&mut self, row: &SessionRow) -> Result<Sheet, String> {
        self.sheet(row, &Selection::default())
    }

    fn verify(
        &mut self,
        row: &SessionRow,
        read: &mut dyn FnMut(u64, u64) -> bool,
    ) -> Result<Option<Verified>, String> {
        let folders = self.folders();
        let mut watch = Watch {
            read: 0,
            told: 0,
            whole: row.bytes,
            is_ended: false,
            tell: &mut |done, whole| {
                self.context.request_repaint();
                read(done, whole)
            },
        };
        let watch = std::cell::RefCell::new(&mut watch);
        let open = |part: &crate::journal::Part| {
            let mut source = folders.open_read(&part.name)?;
            // A file that is being written has grown since it was listed.
            let length = source.seek(SeekFrom::End(0))?;
            source.seek(SeekFrom::Start(0))?;
            let mut shared = watch.borrow_mut();
            shared.whole = shared.whole.max(shared.read.saturating_add(length));
            Ok(Watched {
                source,
                watch: &watch,
            })
        };
        let replayed = replay(&row.record, open, Check::Verdicts);
        if watch.borrow().is_ended {
            return Ok(None);
        }
        watch.borrow_mut().end();
        let (reports, replayed) =
            replayed.map_err(|error| format!("The record could not be read: {error}."))?;
        Ok(Some(verified(&SessionRecord {
            parts: row.record.clone(),
            reports,
            replayed,
        })))
    }

    fn write(&mut self, row: &SessionRow, order: &WriteOrder) -> Result<String, String> {
        let which = Selection {
            parts: order.part.map(|part| vec![part]),
            serial: None,
        };
        let sheet = self.sheet(row, &which)?;
        let bytes = made(&sheet, order)?;
        let of_batch = batch_table(&sheet, order)?;
        let (stem, ends) = (stem_of(&sheet, row, order), order.form.ends());
        let named = |number: u32| {
            let stem = match number {
                1 => stem.clone(),
                number => format!("{stem}-{number}"),
            };
            let name = file_name_with(&stem, ends);
            let described = |name: String| [name.clone(), format!("{name}-metadata.json")];
            // Behind the name as it was made: a long one would lose its end.
            let bare = name.strip_suffix(&format!(".{ends}")).unwrap_or(&name);
            let batch = format!("{bare}-batch.{ends}");
            let mut names = match order.form {
                ReportForm::Csv => described(name).to_vec(),
                _ => vec![name],
            };
            if of_batch.is_some() {
                names.extend(described(batch));
            }
            names
        };
        let made = |names: &[String]| {
            let name = |at: usize| names.get(at).map_or("", String::as_str);
            let mut made = vec![bytes, csv_metadata(name(0))];
            if let Some(table) = of_batch.clone() {
                made.extend([table, csv_batch_metadata(name(2))]);
            }
            made
        };
        let kept = self.workspace.keep_reports(named, made);
        kept.map(|path| path.display().to_string())
            .map_err(|error| error.to_string())
    }

    fn decide(&mut self, row: &SessionRow, command: Command) -> Result<(), String> {
        let newest = row.files.last().map_or("", String::as_str);
        let folder = match row.is_elsewhere {
            true => rescue_folder().path().to_path_buf(),
            false => self.workspace.sessions_path(),
        };
        let decided = decide_later(&folder.join(newest), &[command]);
        let told = |error: LaterError| with_hint(&error.to_string(), error.hint().as_deref());
        decided.map(drop).map_err(told)
    }

    fn changed(&mut self) {
        self.context.request_repaint();
    }
}

/// The name of a report: what the part is called, its number or serial number, and when it began.
fn stem_of(sheet: &Sheet, row: &SessionRow, order: &WriteOrder) -> String {
    let drawing = match sheet.job.drawing.is_empty() {
        true => &sheet.job.part_name,
        false => &sheet.job.drawing,
    };
    let part = order.part.and_then(|number| {
        let mut parts = sheet.parts.iter();
        parts.find(|part| part.number == number)
    });
    let part = part.map(|part| match part.serial.is_empty() {
        true => format!("part {}", part.number),
        false => part.serial.clone(),
    });
    let named = if drawing.is_empty() {
        NAMELESS
    } else {
        drawing
    };
    let day: String = row.opened.chars().take(10).collect();
    let all = [Some(named.to_owned()), part, Some(day)];
    let said = all.into_iter().flatten().filter(|text| !text.is_empty());
    file_name(&said.collect::<Vec<_>>().join(" "))
}

fn made(sheet: &Sheet, order: &WriteOrder) -> Result<Vec<u8>, String> {
    let options = ReportOptions {
        decimal_mark: decimal_mark(order.marker),
        ..ReportOptions::default()
    };
    match order.form {
        ReportForm::Html => Ok(html(sheet, &options).into_bytes()),
        ReportForm::Pdf => pdf(sheet, &options).map_err(|error| error.to_string()),
        ReportForm::Csv => csv(sheet).map_err(|error| format!("The table was not made: {error}.")),
        ReportForm::Json => Ok(json(sheet)),
        ReportForm::Qif => {
            qif(sheet).map_err(|error| format!("The results were not made: {error}."))
        }
    }
}

/// The table of all parts together, which stands beside the table of readings.
fn batch_table(sheet: &Sheet, order: &WriteOrder) -> Result<Option<Vec<u8>>, String> {
    match order.form {
        ReportForm::Csv => {
            csv_batch(sheet).map_err(|error| format!("The table was not made: {error}."))
        }
        _ => Ok(None),
    }
}

fn verified(record: &SessionRecord) -> Verified {
    let file = |part: usize| record.parts.get(part).map_or("", |part| part.name.as_str());
    let mut findings = Vec::new();
    for (part, report) in record.reports.iter().enumerate() {
        let found = report.findings.iter();
        findings.extend(found.map(|finding| format!("{}: {finding}", file(part))));
    }
    findings.extend(record.replayed.faults.iter().map(|fault| {
        format!(
            "{}: line {}, {} bytes at byte {}: event {}: {}",
            file(fault.part),
            fault.line,
            fault.length,
            fault.offset,
            fault.sequence,
            fault.what
        )
    }));
    let more = record.reports.iter().map(|report| report.more_findings);
    let last = record.reports.last();
    Verified {
        state: record.state().code().to_owned(),
        lines: record.reports.iter().map(|report| report.events).sum(),
        head: last.map_or_else(String::new, |report| report.head.hash.to_string()),
        tables_differ: record.tables_differ(),
        findings,
        more: more.sum::<u64>() + record.replayed.more_faults,
    }
}

/// Counts what is read, and ends the reading when that is asked for.
struct Watch<'w> {
    read: u64,
    told: u64,
    whole: u64,
    is_ended: bool,
    tell: &'w mut dyn FnMut(u64, u64) -> bool,
}

struct Watched<'s, 'w, R> {
    source: R,
    watch: &'s std::cell::RefCell<&'s mut Watch<'w>>,
}

impl Watch<'_> {
    fn count(&mut self, bytes: usize) {
        self.read = self.read.saturating_add(bytes as u64);
    }

    /// Tells that all has been read: what is seen last is no step behind.
    fn end(&mut self) {
        self.told = self.read;
        (self.tell)(self.read, self.read);
    }

    /// Whether it goes on; asked before each piece, told now and then.
    fn goes_on(&mut self) -> io::Result<()> {
        if self.read.saturating_sub(self.told) >= STEP_BYTES || self.read == 0 {
            self.told = self.read;
            self.is_ended |= !(self.tell)(self.read, self.whole);
        }
        match self.is_ended {
            true => Err(io::Error::other("ended")),
            false => Ok(()),
        }
    }
}

impl<R: Read> Read for Watched<'_, '_, R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.watch.borrow_mut().goes_on()?;
        let read = self.source.read(into)?;
        self.watch.borrow_mut().count(read);
        Ok(read)
    }
}

impl<R: BufRead> BufRead for Watched<'_, '_, R> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        self.watch.borrow_mut().goes_on()?;
        self.source.fill_buf()
    }

    fn consume(&mut self, amount: usize) {
        self.watch.borrow_mut().count(amount);
        self.source.consume(amount);
    }
}
