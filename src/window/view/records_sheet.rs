//! A session as its report prints it, page by page: the parts, then the record itself, then every
//! reading. Every value is the text of the sheet; only the decimal mark is that of the window.

use super::records_corrections::{corrections, decisions, signatures};
use super::records_outline::numbered;
use super::records_readings::readings_lines;
use super::records_view::RecordsSeen;
use super::words::{Words, clean};
use super::{
    FactView, Mark, RecordStateView, SheetLine, SheetResultView, SheetTextView, SheetView,
};
use crate::report::{
    Asked, Bar, ENGLISH, GaugeFacts, PartSheet, RecordFacts, ResultRow, RuleFacts, Sheet,
    bench_time,
};

/// How many pages a sheet has: its parts, the record, all readings.
pub(super) fn page_count(sheet: &Sheet) -> usize {
    sheet.parts.len() + 2
}

/// The part of a page; none: the record's own page and, the last, that of all readings.
pub(super) fn part_of_page(sheet: &Sheet, page: usize) -> Option<&PartSheet> {
    sheet.parts.get(page)
}

/// The mark of a verdict's or standing's word. What a person decided on top is never GO by itself.
pub(super) fn standing_mark(word: &str) -> Mark {
    match word {
        "GO" | "released" => Mark::Go,
        "NO-GO" | "scrap" => Mark::NoGo,
        "on hold" => Mark::Held,
        "INSIDE" => Mark::Inside,
        "NOTED" => Mark::Noted,
        "not selected" => Mark::NotSelected,
        "" | "open" | "rework" => Mark::Open,
        _ => Mark::Doubt,
    }
}

/// The open session, at its page.
pub(super) fn sheet_view(seen: &RecordsSeen<'_>, words: Words) -> SheetView {
    let open = seen.told.open.as_ref();
    let open = open.filter(|open| open.key == seen.room.key);
    let fault = open.and_then(|open| open.fault.as_deref());
    let Some(sheet) = seen.sheet() else {
        return SheetView {
            title: clean(&seen.room.key),
            notice: match fault {
                Some(fault) => words.sentence(fault),
                None => "The record is being read.".to_owned(),
            },
            ..SheetView::default()
        };
    };
    let pages = page_count(sheet);
    let page = seen.room.sheet_page.min(pages - 1);
    let part = part_of_page(sheet, page);
    let count = sheet.parts.len();
    SheetView {
        title: title(sheet),
        place: match part {
            Some(part) if part.serial.is_empty() => format!("part {} of {count}", part.number),
            Some(part) => {
                format!(
                    "part {} of {count}, serial {}",
                    part.number,
                    clean(&part.serial)
                )
            }
            None if page == count => "the record".to_owned(),
            None => "all readings".to_owned(),
        },
        turns: (page > 0, page + 1 < pages),
        notice: String::new(),
        lines: match part {
            Some(part) => part_lines(sheet, part, words),
            None if page == count => record_lines(sheet, words),
            None => readings_lines(sheet, words),
        },
        skipped: seen.room.skipped,
    }
}

fn title(sheet: &Sheet) -> String {
    let job = &sheet.job;
    let mut drawing = job.drawing.clone();
    if !job.revision.is_empty() {
        drawing = format!("{drawing} rev {}", job.revision);
    }
    let all = [job.part_name.as_str(), drawing.trim()];
    let said = all.into_iter().filter(|text| !text.is_empty());
    said.map(clean).collect::<Vec<_>>().join(", ")
}

pub(super) fn heading(text: &str) -> SheetLine {
    SheetLine::Heading(text.to_owned())
}

fn fact(what: &str, value: &str) -> SheetLine {
    SheetLine::Fact(fact_of(what, value))
}

fn fact_of(what: &str, value: &str) -> FactView {
    FactView {
        what: what.to_owned(),
        value: clean(value),
        note: String::new(),
        mark: None,
    }
}

fn noted(what: &str, value: &str, note: &str, mark: Option<Mark>) -> SheetLine {
    SheetLine::Fact(FactView {
        what: what.to_owned(),
        value: clean(value),
        note: clean(note),
        mark,
    })
}

fn text(sentence: &str, mark: Option<Mark>) -> SheetLine {
    SheetLine::Text(SheetTextView {
        text: clean(sentence),
        mark,
        ..SheetTextView::default()
    })
}

/// Lines of a list under a heading; nothing where the list is empty.
fn under(title: &str, lines: Vec<SheetLine>) -> Vec<SheetLine> {
    match lines.is_empty() {
        true => Vec::new(),
        false => std::iter::once(heading(title)).chain(lines).collect(),
    }
}

fn part_lines(sheet: &Sheet, part: &PartSheet, words: Words) -> Vec<SheetLine> {
    let mut lines = Vec::new();
    if sheet.record.state == "damaged" {
        lines.push(text(ENGLISH.record_damaged, Some(Mark::NotRecorded)));
    }
    lines.push(SheetLine::Standing(RecordStateView {
        text: clean(&ENGLISH.stands(&part.standing, &sheet.record)),
        mark: match (part.is_good, standing_mark(&part.standing)) {
            // Never GO where it must be read on.
            (false, Mark::Go) => Mark::Doubt,
            (_, mark) => mark,
        },
    }));
    if sheet.job.is_earlier_stage {
        lines.push(text(ENGLISH.earlier_stage, Some(Mark::Doubt)));
    }
    lines.extend(job_facts(sheet, part));
    if let Some(outline) = &sheet.outline {
        lines.push(SheetLine::Outline(numbered(sheet, part, outline)));
    }
    lines.push(heading(ENGLISH.heading_results));
    lines.push(SheetLine::Columns);
    for row in &part.results {
        let asked = sheet.asked.iter().find(|asked| asked.number == row.number);
        lines.push(SheetLine::Result(result(asked, row, words)));
    }
    lines.extend(under(
        ENGLISH.heading_corrections,
        corrections(sheet, part, words),
    ));
    lines.extend(under(
        ENGLISH.heading_decisions,
        decisions(part, &sheet.record.offset),
    ));
    lines.extend(under(
        ENGLISH.heading_signatures,
        signatures(&part.signatures, &sheet.record.offset),
    ));
    lines.extend(rule_lines(&sheet.rule, words));
    lines
}

/// What is made and for whom, what was recorded of it.
fn job_facts(sheet: &Sheet, part: &PartSheet) -> Vec<SheetLine> {
    let job = &sheet.job;
    let offset = &sheet.record.offset;
    let when = match (part.from.as_str(), part.to.as_str()) {
        ("", "") => String::new(),
        (from, to) => format!("{} to {}", bench_time(from, offset), bench_time(to, offset)),
    };
    let operators = job.operators.join(", ");
    let facts = [
        (ENGLISH.customer, job.customer.as_str()),
        (ENGLISH.order, &job.order),
        (ENGLISH.material, &job.material),
        (ENGLISH.material_lot, &job.material_lot),
        (ENGLISH.machine, &job.machine),
        (ENGLISH.stage, &job.stage),
        (ENGLISH.measured_by, &operators),
        ("Measured", &when),
    ];
    let said = facts.into_iter().filter(|(_, value)| !value.is_empty());
    let said: Vec<FactView> = said.map(|(what, value)| fact_of(what, value)).collect();
    let lines = said.chunks(2).map(|pair| match pair {
        [one, other] => SheetLine::Pair(Box::new((one.clone(), other.clone()))),
        rest => SheetLine::Fact(rest.first().cloned().unwrap_or_else(|| fact_of("", ""))),
    });
    let notes = part.job_notes.iter().map(|note| text(note, None));
    let doubts = part.doubts.iter().map(|one| text(one, Some(Mark::Doubt)));
    lines.chain(doubts).chain(notes).collect()
}

fn rule_lines(rule: &RuleFacts, words: Words) -> Vec<SheetLine> {
    let mut lines: Vec<SheetLine> = rule
        .rules
        .iter()
        .map(|one| fact(ENGLISH.rule, &words.sentence(&ENGLISH.rule_in_words(one))))
        .collect();
    if !lines.is_empty() {
        let agreed = match rule.agreed_with.is_empty() {
            true => ENGLISH.agreed_with_nobody,
            false => &rule.agreed_with,
        };
        lines.push(fact(ENGLISH.agreed_with, agreed));
    }
    if rule.some_without_uncertainty {
        lines.push(text(ENGLISH.uncertainty_not_considered, Some(Mark::Doubt)));
    }
    if rule.some_general {
        lines.push(text(ENGLISH.general_tolerance, None));
    }
    lines
}

fn limits(asked: &Asked, words: Words) -> String {
    let shown = match (asked.lower.as_str(), asked.upper.as_str()) {
        ("", "") => return String::new(),
        (lower, "") => format!("from {lower}"),
        ("", upper) => format!("up to {upper}"),
        (lower, upper) => format!("{lower} to {upper}"),
    };
    words.sentence(&shown)
}

fn result(asked: Option<&Asked>, row: &ResultRow, words: Words) -> SheetResultView {
    let word = match (row.verdict.as_str(), row.is_selected) {
        (_, false) => ENGLISH.not_selected,
        ("", true) => ENGLISH.not_measured,
        (verdict, true) => verdict,
    };
    let mut verdict = clean(ENGLISH.outcome(word));
    if !matches!(row.side.as_str(), "" | "inside") {
        verdict = format!("{verdict}, {}", ENGLISH.side(&row.side));
    }
    let mark = match (row.is_selected, row.is_in_doubt) {
        (false, _) => Mark::NotSelected,
        (true, true) => Mark::Doubt,
        (true, false) => standing_mark(&row.verdict),
    };
    SheetResultView {
        number: row.number.to_string(),
        callout: asked.map_or_else(String::new, callout),
        limits: asked.map_or_else(String::new, |asked| limits(asked, words)),
        actual: words.sentence(&clean(ENGLISH.outcome(&row.actual))),
        deviation: words.sentence(&row.deviation),
        bar: row.bar.map(bar),
        u: match (row.u.is_empty(), row.actual.is_empty()) {
            (true, true) => String::new(),
            (true, false) => "none".to_owned(),
            (false, _) => words.sentence(&row.u),
        },
        gauge: clean(&row.gauge),
        verdict: Some(RecordStateView {
            text: verdict,
            mark,
        }),
        note: note(asked, row, words),
    }
}

fn callout(asked: &Asked) -> String {
    let element = ENGLISH.element(&asked.element);
    let both = [asked.callout.as_str(), element];
    let said = both.into_iter().filter(|text| !text.is_empty());
    said.map(clean).collect::<Vec<_>>().join(" ")
}

/// Thousandths of the tolerance as its parts.
#[allow(clippy::cast_precision_loss)] // a bar needs no more than four digits
fn bar(bar: Bar) -> (f32, f32) {
    (bar.at as f32 / 1_000.0, bar.half_width as f32 / 1_000.0)
}

/// Everything else that the record says of the result.
fn note(asked: Option<&Asked>, row: &ResultRow, words: Words) -> String {
    let mut said: Vec<String> = Vec::new();
    if let Some(asked) = asked {
        said.extend([asked.feature.clone(), asked.name.clone()]);
    }
    if !row.deviation.is_empty() {
        said.push(format!("deviation {}", row.deviation));
    }
    if row.points.len() > 1 {
        let points = row.points.iter().map(|point| {
            let place = match point.place.is_empty() {
                true => point.point.to_string(),
                false => point.place.clone(),
            };
            let value = if point.value.is_empty() {
                "open"
            } else {
                &point.value
            };
            format!("{place}: {value}")
        });
        said.push(format!("points {}", points.collect::<Vec<_>>().join("; ")));
    }
    if !row.method.is_empty() {
        said.push(ENGLISH.method_of(&row.method).to_owned());
    }
    if !row.set_on.is_empty() {
        said.push(format!("set on {}", row.set_on));
    }
    if !matches!(row.origin.as_str(), "" | "sent") {
        said.push(ENGLISH.origin_of(&row.origin).to_owned());
    }
    if !row.operator.is_empty() {
        said.push(format!("by {}", row.operator));
    }
    if !row.actual.is_empty() {
        said.push(match row.part_temperature.is_empty() {
            true => "temperature not recorded".to_owned(),
            false => format!("part {} °C", row.part_temperature),
        });
    }
    if row.is_in_doubt {
        said.push(ENGLISH.in_doubt.to_owned());
    }
    if let Some(line) = row.concession {
        said.push(format!("{} of line {line}", ENGLISH.decision("concession")));
    }
    said.extend(row.notes.iter().map(|note| ENGLISH.note(note)));
    let said = said.into_iter().filter(|text| !text.is_empty());
    let said: Vec<String> = said.map(|text| clean(&text)).collect();
    words.sentence(&said.join(", "))
}

fn record_lines(sheet: &Sheet, words: Words) -> Vec<SheetLine> {
    let mut lines = record_facts(&sheet.record);
    let offset = &sheet.record.offset;
    let signed = signatures(&sheet.record.signatures, offset);
    lines.extend(under(ENGLISH.heading_signatures, signed));
    let gauges = sheet.gauges.iter().map(|gauge| gauge_line(gauge, words));
    lines.extend(under(ENGLISH.heading_gauges, gauges.collect()));
    let happened = sheet.happenings.iter().map(|one| {
        SheetLine::Text(SheetTextView {
            text: words.sentence(&one.what),
            note: match one.part {
                0 => format!("{}, line {}", bench_time(&one.time, offset), one.line),
                part => format!(
                    "{}, part {part}, line {}",
                    bench_time(&one.time, offset),
                    one.line
                ),
            },
            ..SheetTextView::default()
        })
    });
    lines.extend(under(ENGLISH.heading_happenings, happened.collect()));
    let why = sheet
        .asked
        .iter()
        .filter(|asked| !asked.why.is_empty())
        .map(|asked| {
            let what = format!("{} {}", asked.number, callout(asked));
            noted(&what, &words.sentence(&asked.why.join(" ")), "", None)
        });
    lines.extend(under(ENGLISH.heading_why, why.collect()));
    let is_not = ENGLISH.what_it_is_not.iter().map(|one| text(one, None));
    lines.extend(under(ENGLISH.heading_not, is_not.collect()));
    lines
}

fn record_facts(record: &RecordFacts) -> Vec<SheetLine> {
    let (mark, is_damaged) = match record.state.as_str() {
        "sound" => (Mark::Inside, false),
        "damaged" => (Mark::NotRecorded, true),
        _ => (Mark::Doubt, false),
    };
    let mut lines = vec![heading(ENGLISH.heading_record)];
    let state = ENGLISH.state_of_record(&record.state);
    lines.push(noted(ENGLISH.record_state, state, "", Some(mark)));
    if is_damaged {
        lines.push(text(ENGLISH.record_damaged, Some(Mark::NotRecorded)));
    }
    lines.extend(record.findings.iter().map(|found| text(found, Some(mark))));
    lines.extend(record.elsewhere.iter().map(|said| text(said, None)));
    lines.push(fact(ENGLISH.head, &record.head));
    lines.push(fact(ENGLISH.events, &record.events.to_string()));
    let times = [
        (ENGLISH.opened, &record.opened),
        (ENGLISH.last, &record.last),
    ];
    lines.extend(times.map(|(what, time)| fact(what, &bench_time(time, &record.offset))));
    let closed = record.closed.as_deref().unwrap_or(ENGLISH.not_closed);
    lines.push(fact(ENGLISH.closed, closed));
    lines.push(fact(ENGLISH.files, &record.files.join(", ")));
    lines.push(fact(ENGLISH.programs, &record.programs.join(", ")));
    let differ = if record.tables_differ {
        ENGLISH.tables_differ
    } else {
        ""
    };
    let mark = record.tables_differ.then_some(Mark::Doubt);
    lines.push(noted(ENGLISH.tables, &record.tables, differ, mark));
    lines
}

fn gauge_line(gauge: &GaugeFacts, words: Words) -> SheetLine {
    let name = [gauge.kind.as_str(), gauge.serial.as_str()];
    let named = name.into_iter().filter(|text| !text.is_empty());
    let mut said = vec![gauge.error_basis.clone()];
    if !gauge.resolution.is_empty() {
        said.push(format!("step {} mm", gauge.resolution));
    }
    said.push(match gauge.calibrated.is_empty() {
        true => "calibration not recorded".to_owned(),
        false => format!("calibrated {}", gauge.calibrated),
    });
    if !gauge.certificate.is_empty() {
        said.push(format!("certificate {}", gauge.certificate));
    }
    if !gauge.due.is_empty() {
        said.push(format!("due {}", gauge.due));
    }
    if gauge.was_overdue {
        said.push(ENGLISH.was_overdue.to_owned());
    }
    if !gauge.set_on.is_empty() {
        said.push(format!("set on {}", gauge.set_on));
    }
    said.extend([gauge.zero.clone(), gauge.source.clone()]);
    said.extend(gauge.remarks.iter().cloned());
    said.retain(|text| !text.is_empty());
    let value = named.collect::<Vec<_>>().join(", ");
    let mark = gauge.was_overdue.then_some(Mark::Doubt);
    noted(
        &clean(&gauge.id),
        &value,
        &words.sentence(&said.join("; ")),
        mark,
    )
}
