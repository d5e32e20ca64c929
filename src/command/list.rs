//! `fitledger list`: the sessions of the workspace, and those among them that are looked for.

use indicatif::ProgressBar;

use super::ListArguments;
use super::exit::Exit;
use super::gauges::day;
use super::output::{Output, Stopped};
use super::output_list::{ListedFinding, ListedPart, SessionLine};
use super::problem::Problem;
use super::records::progress;
use super::screen::counted;
use super::table::{Cell, Row, Style, cell, laid_out, numbers, words};
use crate::gauge::GaugeId;
use crate::journal::Job;
use crate::report::{ENGLISH, shown};
use crate::session::{Catalogue, Entry, EntryPart, Question, Workspace};

/// Lists them, the one used last first.
pub(super) fn run(
    arguments: &ListArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let question = match question(arguments) {
        Ok(question) => question,
        Err(problem) => return out.refuse(arguments.json, "list", &problem),
    };
    let mut bar = ProgressBar::hidden();
    let on_its_way = |progress_now: crate::session::Progress| {
        if progress_now.done == 0 {
            bar = progress(progress_now.of);
        }
        bar.set_position(progress_now.done as u64);
        true
    };
    let opened = match arguments.rebuild {
        true => Catalogue::open_anew(workspace, on_its_way),
        false => Catalogue::open(workspace, on_its_way),
    };
    bar.finish_and_clear();
    let catalogue = match opened {
        Ok(catalogue) => catalogue,
        Err(error) => {
            let folder = workspace.sessions_path().display().to_string();
            return out.refuse(arguments.json, &folder, &Problem::from(error));
        }
    };
    if let Some(why) = catalogue.unwritten() {
        out.message(&format!(
            "{why}\nThe index is not kept; the list is whole, and takes longer the next time."
        ));
    }
    let found = catalogue.find(&question);
    let listed = found.iter().take(arguments.limit.unwrap_or(usize::MAX));
    let listed: Vec<&Entry> = listed.copied().collect();
    if listed
        .iter()
        .any(|entry| entry.state.code() == "unreadable")
    {
        out.note(Exit::OutsideFailed);
    }
    match arguments.json {
        true => listed.iter().try_for_each(|entry| out.json(&line(entry)))?,
        false => table(&listed, out)?,
    }
    tell_rest(
        arguments,
        workspace,
        &catalogue,
        (found.len(), listed.len()),
        out,
    );
    Ok(())
}

fn question(arguments: &ListArguments) -> Result<Question, Problem> {
    let text = |asked: &Option<String>| asked.clone().unwrap_or_default();
    let date = |asked: &Option<String>| asked.as_deref().map(day).transpose();
    let question = Question {
        text: arguments.text.join(" "),
        part: text(&arguments.part),
        drawing: text(&arguments.drawing),
        serial: text(&arguments.serial),
        customer: text(&arguments.customer),
        order: text(&arguments.order),
        operator: text(&arguments.operator),
        from: date(&arguments.since)?,
        to: date(&arguments.until)?,
        verdict: text(&arguments.verdict),
        gauge: text(&arguments.gauge),
        state: text(&arguments.state),
    };
    let unknown = |code, what: &str, word: &str, known: &[&str]| {
        let message = format!("“{}” is no {what}.", word.escape_debug());
        let hint = format!("There are: {}.", known.join(", "));
        Problem::bad(code, message, Some(&hint))
    };
    if !question.knows_verdict() {
        let (word, known) = (&question.verdict, Question::verdict_words());
        return Err(unknown(
            "unknown_verdict",
            "word for how parts stand",
            word,
            &known,
        ));
    }
    if !question.knows_state() {
        let (word, known) = (&question.state, Question::state_words());
        return Err(unknown("unknown_state", "state of a record", word, &known));
    }
    Ok(question)
}

/// What is not in the list, as messages.
fn tell_rest(
    arguments: &ListArguments,
    workspace: &Workspace,
    catalogue: &Catalogue,
    (found, listed): (usize, usize),
    out: &mut Output,
) {
    let all = catalogue.entries().len();
    let folder = workspace.sessions_path().display().to_string();
    let folder = shown(&folder);
    if !arguments.json {
        match (all, found) {
            (0, _) => out.message(&format!("There are no sessions in {folder}.")),
            (1, 0) => out.message(&format!("The one session in {folder} is not so.")),
            (_, 0) => out.message(&format!("None of the {all} sessions in {folder} is so.")),
            _ if listed < found => {
                let more = counted(found - listed, "more is", "more are");
                out.message(&format!("{more} not shown."));
            }
            _ => {}
        }
    }
    match catalogue.left_out() {
        [] => {}
        [name] => out.message(&format!(
            "Nothing was ever recorded in {}: it is not listed.",
            shown(name)
        )),
        names => out.message(&format!(
            "Nothing was ever recorded in {}: they are not listed.",
            shown(&names.join(", "))
        )),
    }
}

fn table(listed: &[&Entry], out: &mut Output) -> Result<(), Stopped> {
    if listed.is_empty() {
        return Ok(());
    }
    let columns = [
        words("last used"),
        words("journal"),
        words("part"),
        words("record"),
        numbers("parts"),
        numbers("GO"),
        numbers("open"),
        numbers("in doubt"),
        numbers("readings"),
        words("standing"),
        words("operator"),
    ];
    let rows: Vec<Row> = listed.iter().map(|entry| row(entry)).collect();
    out.text(&laid_out(&columns, &rows, out.screen()))?;
    if listed.iter().any(|entry| entry.is_damaged()) {
        let far = ENGLISH.as_far_as_readable;
        out.text(&format!(
            "Of a damaged record numbers stand in brackets: {far}.\n"
        ))?;
    }
    for entry in listed {
        for finding in &entry.findings {
            let mark = out.screen().styled("finding", Style::NoGo);
            let (file, what) = (shown(&finding.file), shown(&finding.what));
            out.text(&format!("{mark}: {file}: {what}\n"))?;
        }
        if entry.more_findings > 0 {
            let more = counted(entry.more_findings, "more finding", "more findings");
            let journal = shown(entry.journal());
            out.text(&format!("{more}: fitledger verify {journal}\n"))?;
        }
        if let Some(absent) = &entry.absent {
            let (journal, absent) = (shown(entry.journal()), shown(absent));
            out.text(&format!(
                "{journal} continues {absent}, which is not there.\n"
            ))?;
        }
    }
    Ok(())
}

fn row(entry: &Entry) -> Row {
    let style = match entry.state.passes() {
        true => Style::Plain,
        false => Style::NoGo,
    };
    let mut record = entry.state.code().replace('_', " ");
    for (count, word) in [
        (entry.origins.simulated, "simulated"),
        (entry.origins.imported, "imported"),
    ] {
        if count > 0 {
            record.push_str(&format!(", {word}"));
        }
    }
    let standings = entry.standings().into_iter();
    let standings: Vec<String> = standings
        .map(|(word, count)| format!("{count} {word}"))
        .collect();
    let standings = standings.join(", ");
    let is_damaged = entry.is_damaged();
    let number = |count: usize| {
        cell(match is_damaged {
            true => format!("({count})"),
            false => count.to_string(),
        })
    };
    let standings = match is_damaged && !standings.is_empty() {
        true => format!("{}: {standings}", ENGLISH.as_far_as_readable),
        false => standings,
    };
    let last = entry.last.or(entry.opened);
    vec![
        cell(last.map_or_else(String::new, |last| entry.local(last))),
        cell(entry.journal()),
        cell(entry.part_name.as_deref().unwrap_or_default()),
        Cell {
            text: record,
            style,
        },
        number(entry.parts.len()),
        number(entry.go_parts()),
        number(entry.open_parts()),
        number(entry.in_doubt.len()),
        number(entry.readings),
        cell(standings),
        cell(entry.operators.join(", ")),
    ]
}

fn line(entry: &Entry) -> SessionLine<'_> {
    let none = Job::default();
    let job = entry.job().cloned().unwrap_or(none);
    SessionLine {
        journal: entry.journal(),
        files: entry
            .files
            .iter()
            .map(|file| file.stamp.name.as_str())
            .collect(),
        opened: entry.opened.map(|time| time.to_string()),
        part: entry.part_name.as_deref(),
        operator: entry.operators.first().map(String::as_str),
        state: entry.state.code(),
        as_far_as_readable: entry.is_damaged(),
        parts: entry.parts.len(),
        go: entry.go_parts(),
        open: entry.open_parts(),
        in_doubt: entry.in_doubt.len(),
        readings: entry.readings,
        events: entry.events,
        head: &entry.head,
        last: entry.last.map(|time| time.to_string()),
        offset: &entry.offset,
        closed: entry.closed,
        plan: &entry.plan_name,
        part_name: &entry.part,
        drawing: &entry.drawing,
        revision: &entry.revision,
        customer: job.customer,
        order: job.order,
        material_lot: job.material_lot,
        machine: job.machine,
        stage: &entry.stage,
        operators: &entry.operators,
        decided_by: &entry.decided_by,
        gauges: entry.gauges.iter().map(GaugeId::as_str).collect(),
        simulated: entry.origins.simulated,
        imported: entry.origins.imported,
        standing: entry.standings().into_iter().collect(),
        each_part: entry.parts.iter().map(|part| listed(entry, part)).collect(),
        absent: entry.absent.as_deref(),
        findings: entry.findings.iter().map(finding).collect(),
        more_findings: entry.more_findings,
    }
}

fn listed<'e>(entry: &Entry, part: &'e EntryPart) -> ListedPart<'e> {
    ListedPart {
        part: part.number,
        serial: &part.serial,
        state: part.state.word(),
        standing: part.standing.word(),
        go: part.go,
        no_go: part.no_go,
        doubt: part.doubt,
        open: part.open,
        in_doubt: entry.doubts(part.number),
    }
}

fn finding(finding: &crate::session::EntryFinding) -> ListedFinding<'_> {
    ListedFinding {
        kind: &finding.kind,
        file: &finding.file,
        line: finding.line,
        offset: finding.offset,
        length: finding.length,
        message: &finding.what,
    }
}
