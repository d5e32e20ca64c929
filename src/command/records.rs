//! What a record says of itself: `verify`, `replay`.

use std::io;
use std::path::Path;

use indicatif::{ProgressBar, ProgressStyle};

use super::exit::Exit;
use super::output::{Output, Stopped};
use super::output_records::{Damaged, DamagedLine, FindingLine, VerifyLine};
use super::problem::Problem;
use super::screen::counted;
use super::table::Style;
use super::{ReplayArguments, VerifyArguments};
use crate::journal::{
    Finding, FindingKind, Item, Part, Reader, State as RecordState, StorageFolder,
};
use crate::report::shown;
use crate::session::{Check, OpeningError, RecordFolders, SessionRecord, Workspace, session_parts};

/// Checks each journal; its earlier files are checked with it.
pub(super) fn verify(
    arguments: &VerifyArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let bar = progress(arguments.journals.len());
    for path in &arguments.journals {
        let journal = path.display().to_string();
        bar.set_message(shown(&journal).into_owned());
        let read = read_session(path, workspace, Check::Verdicts);
        bar.inc(1);
        let line = bar.suspend(|| match &read {
            Ok((read, newest)) => {
                out.note(if read.passes() {
                    Exit::Answered
                } else {
                    Exit::NotGood
                });
                read.tell(&journal, newest.as_deref(), arguments.json, out)
            }
            Err(problem) => out.refuse(arguments.json, &journal, problem),
        });
        line?;
    }
    bar.finish_and_clear();
    Ok(())
}

/// Shown only where standard error is a terminal.
pub(super) fn progress(journals: usize) -> ProgressBar {
    if journals < 2 {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(journals as u64);
    let style = ProgressStyle::with_template("{pos} of {len} journals  {wide_bar}  {msg}");
    bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
}

/// Reads the files of a session, `path` being the newest. One that goes on in another file is read
/// by itself; then the session's newest file is named too.
fn read_session(
    path: &Path,
    workspace: &Workspace,
    check: Check,
) -> Result<(SessionRecord, Option<String>), Problem> {
    let (folder, name) = RecordFolders::of_journal(path, workspace);
    let (parts, newest) = match session_parts(&folder, &name) {
        Ok(parts) => (parts, None),
        Err(OpeningError::ContinuedIn { newest, .. }) => {
            (vec![Part { name, until: None }], Some(newest))
        }
        Err(error) => return Err(error.into()),
    };
    Ok((SessionRecord::read(&folder, parts, check)?, newest))
}

impl SessionRecord {
    /// Sound, or not closed as a crash leaves it; a torn tail and damage do not pass.
    fn passes(&self) -> bool {
        matches!(self.state(), RecordState::Sound | RecordState::NotClosed)
    }

    fn file(&self, part: usize) -> String {
        self.parts
            .get(part)
            .map(|part| part.name.clone())
            .unwrap_or_default()
    }

    fn findings(&self, newest: Option<&str>) -> Vec<FindingLine> {
        let mut all = Vec::new();
        for (part, report) in self.reports.iter().enumerate() {
            all.extend(report.findings.iter().map(|finding| FindingLine {
                kind: finding.code().to_owned(),
                notice: finding.is_notice(),
                file: self.file(part),
                line: finding.place.line,
                offset: finding.place.offset,
                length: finding.place.length,
                message: finding.to_string(),
            }));
        }
        all.extend(self.replayed.faults.iter().map(|fault| FindingLine {
            kind: fault.kind.to_owned(),
            notice: false,
            file: self.file(fault.part),
            line: fault.line,
            offset: fault.offset,
            length: fault.length,
            message: format!("event {}: {}", fault.sequence, fault.what),
        }));
        let notice = |kind: &str, message: String| FindingLine {
            kind: kind.to_owned(),
            notice: true,
            file: self.file(0),
            line: 1,
            offset: 0,
            length: 0,
            message,
        };
        if let Some(newest) = newest {
            let message = format!(
                "the session goes on in {newest}; this file alone does not tell how it ended"
            );
            all.push(notice("continued", message));
        }
        if self.tables_differ() {
            let message = "the tolerance tables are not those of the record".to_owned();
            all.push(notice("tables_differ", message));
        }
        if self.replayed.unknown_events > 0 {
            let count = self.replayed.unknown_events;
            let (one, many) = ("event is of a kind", "events are of kinds");
            let told = counted(count, one, many);
            let message = format!("{told} that this version does not know");
            all.push(notice("unknown_events", message));
        }
        all
    }

    fn head(&self) -> String {
        self.reports
            .last()
            .map(|report| report.head.hash.to_string())
            .unwrap_or_default()
    }

    fn tell(
        &self,
        journal: &str,
        newest: Option<&str>,
        json: bool,
        out: &mut Output,
    ) -> Result<(), Stopped> {
        let findings = self.findings(newest);
        let more = self
            .reports
            .iter()
            .map(|report| report.more_findings)
            .sum::<u64>()
            + self.replayed.more_faults;
        let events: u64 = self.reports.iter().map(|report| report.events).sum();
        if json {
            return out.json(&VerifyLine {
                journal,
                state: self.state().code(),
                events,
                head: self.head(),
                files: self.parts.len(),
                findings,
                more_findings: more,
            });
        }
        let style = if self.passes() {
            Style::Go
        } else {
            Style::NoGo
        };
        let word = out
            .screen()
            .styled(&self.state().code().replace('_', " "), style);
        let mut text = format!(
            "{}\n  {word}, {}, head {}\n",
            shown(journal),
            counted(events, "event", "events"),
            self.head()
        );
        for finding in &findings {
            let mark = if finding.notice { "notice" } else { "finding" };
            text.push_str(&format!(
                "  {mark}: {}: {}\n",
                shown(&finding.file),
                shown(&finding.message)
            ));
        }
        if more > 0 {
            let more = counted(more, "more finding", "more findings");
            text.push_str(&format!("  {more}\n"));
        }
        out.text(&text)
    }
}

/// Prints a journal's lines as they are stored, and names the damaged stretches in their place.
pub(super) fn replay_lines(
    arguments: &ReplayArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let journal = arguments.journal.display().to_string();
    let (folder, name) = RecordFolders::of_journal(&arguments.journal, workspace);
    let source = match folder.open_read(&name) {
        Ok(source) => source,
        Err(cause) => return unreadable(&name, cause, &journal, arguments.json, out),
    };
    let mut reader = Reader::new(source);
    loop {
        let place_and_kind = match reader.next_item() {
            Ok(None) => return Ok(()),
            Ok(Some(Item::Line(sound))) => {
                if arguments.json {
                    out.bytes(&sound.line.to_bytes())?;
                } else {
                    let line = sound.line;
                    let (seq, time) = (line.seq, shown(line.time));
                    let (kind, body) = (shown(line.kind), shown(line.body));
                    out.text(&format!("{seq:>6}  {time}  {kind:<22}  {body}\n"))?;
                }
                continue;
            }
            Ok(Some(Item::Damage(damage))) => (damage.place, damage.kind),
            Err(cause) => return unreadable(&name, cause, &journal, arguments.json, out),
        };
        let (place, kind) = place_and_kind;
        out.note(Exit::NotGood);
        let finding = Finding {
            kind: FindingKind::Damage {
                kind,
                missing: None,
            },
            place,
        };
        let message = finding.to_string();
        if arguments.json {
            let hint = Some("The rest of the record can be read; see fitledger verify.");
            let error = Damaged {
                code: finding.code(),
                message,
                hint,
                line: place.line,
                offset: place.offset,
                length: place.length,
            };
            out.json(&DamagedLine {
                input: &journal,
                error,
            })?;
        } else {
            let mark = out.screen().styled("damaged", Style::NoGo);
            out.text(&format!("{mark}  {}\n", shown(&message)))?;
        }
    }
}

fn unreadable(
    name: &str,
    cause: io::Error,
    journal: &str,
    json: bool,
    out: &mut Output,
) -> Result<(), Stopped> {
    let problem = Problem::from(OpeningError::Read {
        name: name.to_owned(),
        cause,
    });
    out.refuse(json, journal, &problem)
}
