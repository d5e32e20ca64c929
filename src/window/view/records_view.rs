//! Puts the Records room together: the one way from what is known to what is seen of it.

use super::bench::key_views;
use super::records_questions::{filled, question};
use super::records_sheet::{page_count, part_of_page, sheet_view, standing_mark};
use super::status_view::room_status;
use super::words::{Words, clean, counted};
use super::{
    FactView, KeyView, Mark, RecordListView, RecordRowView, RecordStateView, RecordsPageView,
    RecordsView, SheetLine, VerifyView,
};
use crate::report::{ENGLISH, PartSheet, Sheet};
use crate::session::Snapshot;
use crate::window::records_facts::{RecordsTold, SessionRow, Verified, VerifyFacts};
use crate::window::records_room::{RecordsMode, RecordsNow, RecordsPage, RecordsRoom};

/// So many rows around the chosen one are made: more than fit on any screen (chosen).
const AROUND: usize = 100;
/// So many serial numbers are named in a row (chosen: a line has room for a few).
const SERIALS_MAX: usize = 4;
const EMPTY: &str = "No session has been recorded yet. Begin one at the Bench: F1.";
const NONE_FOUND: &str = "No session has all of these words. Backspace takes letters away; Left \
                          and Right choose which sessions are looked through.";

/// What the room is made from.
pub struct RecordsSeen<'a> {
    /// What is just being done.
    pub room: &'a RecordsRoom,
    /// What the records have come to.
    pub told: &'a RecordsTold,
    /// The running session.
    pub snapshot: Option<&'a Snapshot>,
    /// Monotonic milliseconds since the session started.
    pub now_ms: u64,
    /// Decimal marker shown.
    pub marker: char,
    /// What is said at the foot, beside what the room says itself.
    pub message: Option<&'a str>,
}

impl RecordsSeen<'_> {
    /// What the report of the open session says.
    pub fn sheet(&self) -> Option<&Sheet> {
        let open = self.told.open.as_ref();
        let open = open.filter(|open| open.key == self.room.key)?;
        open.sheet.as_deref()
    }

    /// The part that is seen.
    pub fn part(&self) -> Option<&PartSheet> {
        part_of_page(self.sheet()?, self.room.sheet_page)
    }

    fn verify(&self) -> Option<&VerifyFacts> {
        let verify = self.told.verify.as_ref();
        verify.filter(|verify| verify.key == self.room.key)
    }
}

/// Everything that the Records room shows.
pub fn records_view(seen: &RecordsSeen<'_>) -> RecordsView {
    let words = Words {
        marker: seen.marker,
    };
    let page = match seen.room.page {
        RecordsPage::List => RecordsPageView::List(list(seen)),
        RecordsPage::Sheet => RecordsPageView::Sheet(sheet_view(seen, words)),
        RecordsPage::Verify => RecordsPageView::Verify(verify_view(seen, words)),
    };
    RecordsView {
        page,
        question: question(seen, words),
        entry: filled(seen),
        status: room_status(seen.snapshot, message(seen), seen.now_ms, words),
        keys: keys(seen),
    }
}

/// What the room's keys depend on; `fit`, `shown` and `has_more` as it was drawn last.
pub fn records_now(
    seen: &RecordsSeen<'_>,
    fit: usize,
    (shown, has_more): (usize, bool),
) -> RecordsNow {
    let part = seen.part();
    let standing = part.map_or(&[][..], |part| part.decisions.as_slice());
    let stands = standing
        .iter()
        .filter(|one| one.withdrawn_by == 0 && one.what != "withdrawn");
    RecordsNow {
        found: seen.told.found.len(),
        fit,
        pages: seen.sheet().map_or(0, page_count),
        part: part.map(|part| part.number),
        shown,
        has_more,
        standing: stands.map(|one| one.line).collect(),
        is_verifying: seen.verify().is_some_and(|verify| verify.is_running),
        is_open: seen.sheet().is_some(),
    }
}

/// What could not be done goes before what was done last, and that before what could not be read.
fn message(seen: &RecordsSeen<'_>) -> Option<String> {
    let faults = || (!seen.told.faults.is_empty()).then(|| seen.told.faults.join(" "));
    let fault = seen.room.fault.clone();
    fault
        .or_else(|| seen.message.map(str::to_owned))
        .or_else(faults)
}

fn list(seen: &RecordsSeen<'_>) -> RecordListView {
    let told = seen.told;
    let found = told.found.len();
    let chosen = seen.room.chosen.min(found.saturating_sub(1));
    let first = chosen.saturating_sub(AROUND);
    let rows = told.found.iter().enumerate().skip(first).take(2 * AROUND);
    let rows = rows.filter_map(|(at, place)| {
        let row = told.rows.get(*place)?;
        Some(row_view(seen, row, at == chosen))
    });
    let of_chosen = told.found.get(chosen).and_then(|at| told.rows.get(*at));
    let all = told.rows.len();
    RecordListView {
        find: clean(&seen.room.query.text),
        filter: seen.room.query.filter.name().to_owned(),
        count: match (told.listing, found == all) {
            (Some((_, 0)), _) => "the records are being read".to_owned(),
            (Some((read, whole)), _) => format!("{read} of {whole} records read"),
            (None, true) => counted(all, "session"),
            (None, false) => format!("{found} of {}", counted(all, "session")),
        },
        rows: rows.collect(),
        first,
        found,
        chosen,
        empty: match (found, all, told.listing) {
            (0, _, Some(_)) => "The records are being read.".to_owned(),
            (0, 0, None) => EMPTY.to_owned(),
            (0, _, None) => NONE_FOUND.to_owned(),
            _ => String::new(),
        },
        detail: of_chosen.map_or_else(Vec::new, detail),
    }
}

fn row_view(seen: &RecordsSeen<'_>, row: &SessionRow, is_chosen: bool) -> RecordRowView {
    let runs = is_running(seen, row);
    RecordRowView {
        opened: clean(&row.opened),
        part: joined(&[&row.part, &row.drawing]),
        standings: standings(row),
        detail: row_detail(row),
        state: Some(match (row.state.as_str(), runs) {
            (_, true) => state("open here now".to_owned(), Mark::Inside),
            ("sound", _) => state("closed".to_owned(), Mark::Inside),
            ("not_closed", _) => state("not closed".to_owned(), Mark::Open),
            ("torn_tail", _) => state("unfinished last line".to_owned(), Mark::Doubt),
            ("damaged", _) => state("damaged".to_owned(), Mark::NotRecorded),
            ("unreadable", _) => state("cannot be read".to_owned(), Mark::NotRecorded),
            (other, _) => state(clean(other), Mark::Doubt),
        }),
        is_state_first: row.is_damaged(),
        is_chosen,
    }
}

/// Whether the record is that of the session that runs here.
pub fn is_running(seen: &RecordsSeen<'_>, row: &SessionRow) -> bool {
    seen.snapshot.is_some_and(|snapshot| {
        !snapshot.state.is_closed() && row.files.contains(&snapshot.journal)
    })
}

fn state(text: String, mark: Mark) -> RecordStateView {
    RecordStateView { text, mark }
}

fn joined(texts: &[&str]) -> String {
    let said = texts.iter().filter(|text| !text.is_empty());
    said.map(|text| clean(text)).collect::<Vec<_>>().join(", ")
}

/// How the parts stand, the worst first; its mark is that of the worst. Of a damaged record that
/// is so as far as it could be read, and never GO: what is lost may say otherwise.
fn standings(row: &SessionRow) -> Option<RecordStateView> {
    let rank = |mark: Mark| match mark {
        Mark::NotRecorded | Mark::NoGo => 0,
        Mark::Doubt | Mark::Held => 1,
        Mark::Open | Mark::Inside | Mark::Cutting => 2,
        _ => 3,
    };
    let mut all: Vec<(Mark, String)> = row
        .standings
        .iter()
        .map(|(word, count)| (standing_mark(word), format!("{count} {}", clean(word))))
        .collect();
    all.sort_by_key(|(mark, _)| rank(*mark));
    let mark = all.first().map(|(mark, _)| *mark)?;
    let texts: Vec<String> = all.into_iter().map(|(_, text)| text).collect();
    let text = texts.join(", ");
    Some(match (row.is_damaged(), mark) {
        (false, _) => state(text, mark),
        (true, mark) => {
            let text = format!("{}: {text}", ENGLISH.as_far_as_readable);
            state(text, if rank(mark) == 0 { mark } else { Mark::Doubt })
        }
    })
}

fn row_detail(row: &SessionRow) -> String {
    let named: Vec<&str> = row
        .serials
        .iter()
        .map(String::as_str)
        .filter(|serial| !serial.is_empty())
        .collect();
    let mut serials: Vec<String> = named
        .iter()
        .take(SERIALS_MAX)
        .map(|one| clean(one))
        .collect();
    if named.len() > SERIALS_MAX {
        serials.push(format!("{} more", named.len() - SERIALS_MAX));
    }
    let serials = match serials.is_empty() {
        true => String::new(),
        false => format!("serial {}", serials.join(", ")),
    };
    let order = match row.order.is_empty() {
        true => String::new(),
        false => format!("order {}", clean(&row.order)),
    };
    let parts = counted(row.parts, "part");
    let readings = counted(row.readings, "reading");
    joined(&[&parts, &serials, &row.customer, &order, &readings])
}

/// What is wrong with the chosen session stands before its file.
fn detail(row: &SessionRow) -> Vec<RecordStateView> {
    let mark = if row.is_damaged() {
        Mark::NotRecorded
    } else {
        Mark::Doubt
    };
    let damage = row.damage.iter().map(|what| state(clean(what), mark));
    let files = state(
        joined(&row.files.iter().map(String::as_str).collect::<Vec<_>>()),
        Mark::Noted,
    );
    damage.chain([files]).collect()
}

fn verify_view(seen: &RecordsSeen<'_>, words: Words) -> VerifyView {
    let mut view = VerifyView {
        title: format!("Check of {}", clean(&seen.room.key)),
        skipped: seen.room.skipped,
        ..VerifyView::default()
    };
    let Some(verify) = seen.verify() else {
        view.state = Some(state("The check begins.".to_owned(), Mark::Open));
        return view;
    };
    if verify.is_running {
        view.progress = Some(share(verify.read, verify.whole));
        view.progress_text = words.sentence(&format!(
            "{} of {} MB",
            megabytes(verify.read),
            megabytes(verify.whole)
        ));
        let text = "Every line is read, and every verdict is derived anew.".to_owned();
        view.state = Some(state(text, Mark::Open));
        return view;
    }
    view.state = Some(match &verify.result {
        _ if verify.is_cancelled => state(
            "The check was ended before its end: nothing is known of the rest.".to_owned(),
            Mark::Doubt,
        ),
        Some(Ok(verified)) => {
            view.lines = verified_lines(verified);
            let mark = verified_mark(verified);
            state(verdict_of(verified), mark)
        }
        Some(Err(fault)) => state(clean(fault), Mark::NotRecorded),
        None => state("The check begins.".to_owned(), Mark::Open),
    });
    view
}

fn verified_mark(verified: &Verified) -> Mark {
    match (verified.passes(), verified.state.as_str()) {
        (true, _) => Mark::Go,
        (false, "torn_tail") => Mark::Doubt,
        (false, _) => Mark::NotRecorded,
    }
}

fn verdict_of(verified: &Verified) -> String {
    let lines = counted(
        usize::try_from(verified.lines).unwrap_or(usize::MAX),
        "line",
    );
    let (are, were) = match verified.lines {
        1 => ("is", "is as it was"),
        _ => ("are", "are as they were"),
    };
    match verified.state.as_str() {
        "sound" => format!("Sound: {lines}, each as it was written; closed."),
        "not_closed" => {
            format!("Sound, not closed: {lines}, each as it was written; the end may be missing.")
        }
        "torn_tail" => format!(
            "{lines} {were} written; the last one is unfinished and was never acknowledged."
        ),
        "damaged" => {
            format!("Damaged: {lines} {are} right and can be read; what is not stands below.")
        }
        other => clean(other),
    }
}

fn verified_lines(verified: &Verified) -> Vec<SheetLine> {
    let fact = |what: &str, value: &str| {
        SheetLine::Fact(FactView {
            what: what.to_owned(),
            value: value.to_owned(),
            note: String::new(),
            mark: None,
        })
    };
    let mut lines = vec![fact(ENGLISH.head, &verified.head)];
    if verified.tables_differ {
        lines.push(fact("tolerance tables", ENGLISH.tables_differ));
    }
    if !verified.findings.is_empty() {
        lines.push(SheetLine::Heading(ENGLISH.findings.to_owned()));
    }
    let mark = match verified_mark(verified) {
        Mark::Go => Mark::Doubt,
        mark => mark,
    };
    lines.extend(verified.findings.iter().map(|found| {
        SheetLine::Text(super::SheetTextView {
            text: clean(found),
            mark: Some(mark),
            ..super::SheetTextView::default()
        })
    }));
    if verified.more > 0 {
        let more = usize::try_from(verified.more).unwrap_or(usize::MAX);
        let text = counted(more, "more finding");
        lines.push(SheetLine::Heading(text));
    }
    lines
}

/// A share for a bar.
#[allow(clippy::cast_precision_loss)] // a bar needs no more than three digits
fn share(read: u64, whole: u64) -> f32 {
    if whole == 0 {
        return 0.0;
    }
    (read as f32 / whole as f32).clamp(0.0, 1.0)
}

/// Megabytes with one decimal, rounded down.
fn megabytes(bytes: u64) -> String {
    format!("{}.{}", bytes / 1_000_000, bytes % 1_000_000 / 100_000)
}

/// The keys that do something now; the last leads out.
fn keys(seen: &RecordsSeen<'_>) -> Vec<KeyView> {
    let room = seen.room;
    let keys: &[(&str, &str)] = match (&room.mode, room.page) {
        (RecordsMode::Choosing(_), _) => &[("0-9", "choose"), ("Backspace", "back")],
        (RecordsMode::Filling(_), _) => &[
            ("Enter", "next"),
            ("Backspace", "correct"),
            ("Up", "the one before"),
            ("Esc", "drop"),
        ],
        (_, RecordsPage::List) if room.query.text.is_empty() => &[
            ("Enter", "open"),
            ("A-Z 0-9", "find"),
            ("+/-", "choose"),
            ("/", "which sessions"),
            ("*", "read on"),
            ("Space", "look again"),
            (".", "to the Bench"),
        ],
        (_, RecordsPage::List) => &[
            ("Enter", "open"),
            ("+", "next"),
            ("/", "which sessions"),
            ("*", "read on"),
            ("Backspace", "correct"),
            ("Esc", "find all"),
        ],
        (_, RecordsPage::Sheet) if seen.sheet().is_none() => {
            &[("Backspace", "to the list"), (".", "to the Bench")]
        }
        (_, RecordsPage::Sheet) if seen.part().is_none() => &[
            ("Enter", "what to do"),
            ("+/-", "page"),
            ("*", "read on"),
            ("V", "verify"),
            ("S", "sign the session"),
            ("A", "all readings"),
            ("R", "the record"),
            ("Backspace", "to the list"),
        ],
        (_, RecordsPage::Sheet) => &[
            ("Enter", "what to do"),
            ("+/-", "part"),
            ("*", "read on"),
            ("V", "verify"),
            ("P", "PDF"),
            ("H", "HTML"),
            ("D", "decide"),
            ("S", "sign"),
            ("A", "all readings"),
            ("R", "the record"),
            ("Backspace", "to the list"),
        ],
        (_, RecordsPage::Verify) if seen.verify().is_some_and(|verify| verify.is_running) => {
            &[("Backspace", "end it")]
        }
        (_, RecordsPage::Verify) => &[
            ("Enter", "once more"),
            ("*", "read on"),
            ("Backspace", "to the record"),
        ],
    };
    key_views(keys)
}
