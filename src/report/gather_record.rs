//! What the record says of itself: files, soundness, head, and who wrote it.

use super::gather::Fold;
use super::gather_parts::signature_rows;
use super::gather_text::with_offset;
use super::sheet::RecordFacts;
use super::words_told::Told;
use crate::session::SessionRecord;

/// The facts of a record.
pub(super) fn record_facts(fold: &Fold, record: &SessionRecord) -> RecordFacts {
    let opened = record.replayed.opened.as_ref();
    let state = record.replayed.state.as_ref();
    let offset = opened.map_or_else(String::new, |opened| opened.offset.clone());
    let last = record.reports.last();
    RecordFacts {
        files: record.parts.iter().map(|part| part.name.clone()).collect(),
        state: record.state().code().to_owned(),
        events: record.reports.iter().map(|report| report.events).sum(),
        head: last.map_or_else(String::new, |report| report.head.hash.to_string()),
        findings: findings(&fold.words.told, record),
        opened: with_offset(&fold.first_time, &offset),
        last: with_offset(&fold.last_time, &offset),
        closed: fold.closed.clone(),
        programs: fold.programs.clone(),
        tables: opened.map_or_else(String::new, |opened| opened.tables.clone()),
        tables_differ: record.tables_differ(),
        offset,
        parts: state.map_or(0, |state| {
            u32::try_from(state.parts().len()).unwrap_or(u32::MAX)
        }),
        signatures: state.map_or_else(Vec::new, |state| {
            signature_rows(fold.words, state.signatures(), &fold.times)
        }),
        other_readings: Vec::new(),
        elsewhere: Vec::new(),
    }
}

/// What is wrong, a sentence each with its file; what is only worth knowing says that it is a
/// notice.
fn findings(told: &Told, record: &SessionRecord) -> Vec<String> {
    let file = |part: usize| record.parts.get(part).map_or("", |part| part.name.as_str());
    let mut all = Vec::new();
    for (part, report) in record.reports.iter().enumerate() {
        let file = file(part);
        all.extend(report.findings.iter().map(|finding| {
            let what = (told.finding)(finding);
            match finding.is_notice() {
                true => format!("{}: {file}, {what}", told.notice),
                false => format!("{file}, {what}"),
            }
        }));
    }
    let faults = record.replayed.faults.iter();
    all.extend(faults.map(|fault| {
        let (file, line) = (file(fault.part), fault.line);
        (told.found_in_event)(file, line, fault.sequence, &fault.what)
    }));
    let reports = record.reports.iter();
    let more: u64 = reports.map(|report| report.more_findings).sum();
    let more = more + record.replayed.more_faults;
    if more > 0 {
        all.push((told.more_findings)(more));
    }
    let unknown = record.replayed.unknown_events;
    if unknown > 0 {
        all.push(format!(
            "{}: {}",
            told.notice,
            (told.unknown_events)(unknown)
        ));
    }
    all
}
