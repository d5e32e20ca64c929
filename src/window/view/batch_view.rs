//! Puts the Batch room together: the one way from what is known to what is seen of it.

use super::batch_table::table;
use super::bench::key_views;
use super::status_view::room_status;
use super::words::Words;
use super::{
    AnswerView, BatchHeadView, BatchOneView, BatchPageView, BatchView, KeyView, PageTabView,
    QuestionView,
};
use crate::session::{BatchCounts, Snapshot};
use crate::window::batch_room::{BatchNow, BatchPage, BatchRoom};
use crate::window::batch_run::BatchFacts;

const NO_SESSION: &str = "No session runs: the Batch room shows the numbers of the one at hand. \
                          Begin one, or continue one, at the start: F1.";
const WAIT: &str = "The numbers are being worked out.";

/// What the room is made from.
pub struct BatchSeen<'a> {
    /// What is just being done.
    pub room: &'a BatchRoom,
    /// What was worked out last.
    pub facts: Option<&'a BatchFacts>,
    /// The running session.
    pub snapshot: Option<&'a Snapshot>,
    /// Monotonic milliseconds since the session started.
    pub now_ms: u64,
    /// Decimal marker shown.
    pub marker: char,
    /// What is said at the foot, beside what the room says itself.
    pub message: Option<&'a str>,
}

impl BatchSeen<'_> {
    /// What was worked out, if it is of this session.
    fn of_session(&self) -> Option<&BatchFacts> {
        let snapshot = self.snapshot?;
        self.facts.filter(|facts| facts.journal == snapshot.journal)
    }

    /// What was worked out, if it is of the page that is seen.
    fn of_page(&self) -> Option<&BatchFacts> {
        self.of_session()
            .filter(|facts| facts.at.target == self.room.chosen && facts.at.page == self.room.page)
    }
}

/// Everything that the Batch room shows.
pub fn batch_view(seen: &BatchSeen<'_>) -> BatchView {
    let words = Words {
        marker: seen.marker,
    };
    let fault = seen.room.fault.clone();
    let message = fault.or_else(|| seen.message.map(str::to_owned));
    BatchView {
        page: page(seen, words),
        question: seen.room.is_keeping.then(question),
        status: room_status(seen.snapshot, message, seen.now_ms, words),
        keys: keys(seen),
    }
}

/// What the room's keys depend on; `shown` and `has_more` as it was drawn last.
pub fn batch_now(seen: &BatchSeen<'_>, (shown, has_more): (usize, bool)) -> BatchNow {
    let setup = seen.snapshot.map(|snapshot| snapshot.state.setup());
    BatchNow {
        characteristics: setup.map_or(0, |setup| setup.targets.len()),
        shown,
        has_more,
        has_chart: seen.of_page().is_some_and(|facts| facts.chart.is_some()),
    }
}

fn page(seen: &BatchSeen<'_>, words: Words) -> BatchPageView {
    let Some(snapshot) = seen.snapshot else {
        return BatchPageView::Notice(NO_SESSION.to_owned());
    };
    let Some(facts) = seen.of_session() else {
        return BatchPageView::Notice(WAIT.to_owned());
    };
    let setup = snapshot.state.setup();
    let head = head(seen, snapshot, facts, words);
    let room = seen.room;
    if room.page == BatchPage::Table {
        let at = (room.chosen, room.skipped);
        return BatchPageView::Table(table(&facts.batch, setup, head, at, words));
    }
    let mut view = BatchOneView {
        head,
        marker: seen.marker,
        skipped: room.skipped,
        ..BatchOneView::default()
    };
    if let Some(facts) = seen.of_page() {
        view.chart.clone_from(&facts.chart);
        view.lines.clone_from(&facts.lines);
    }
    BatchPageView::One(view)
}

fn head(
    seen: &BatchSeen<'_>,
    snapshot: &Snapshot,
    facts: &BatchFacts,
    words: Words,
) -> BatchHeadView {
    let targets = &snapshot.state.setup().targets;
    let chosen = seen.room.chosen;
    let series = facts.batch.series().get(chosen);
    BatchHeadView {
        title: targets
            .get(chosen)
            .map_or_else(String::new, |target| words.target(target)),
        place: format!("{} of {}", chosen.saturating_add(1), targets.len()),
        turns: (chosen > 0, chosen.saturating_add(1) < targets.len()),
        counts: series.map_or_else(String::new, |series| counts_text(series.counts())),
        pages: BatchPage::ALL
            .iter()
            .map(|(page, key, name)| PageTabView {
                key: *key,
                text: (*name).to_owned(),
                is_open: *page == seen.room.page,
            })
            .collect(),
    }
}

/// `12 parts: 10 GO, 1 NO-GO, 1 not selected`.
fn counts_text(counts: BatchCounts) -> String {
    let parts = counts.selected() + counts.not_selected;
    let all = [
        (counts.no_go, "NO-GO"),
        (counts.doubt, "DOUBT"),
        (counts.go, "GO"),
        (counts.noted, "noted"),
        (counts.open, "open"),
        (counts.not_selected, "not selected"),
    ];
    let said = all.iter().filter(|(count, _)| *count > 0);
    let said: Vec<String> = said
        .map(|(count, word)| format!("{count} {word}"))
        .collect();
    match parts {
        0 => "no part yet".to_owned(),
        1 => format!("1 part: {}", said.join(", ")),
        parts => format!("{parts} parts: {}", said.join(", ")),
    }
}

fn question() -> QuestionView {
    let answer = |key: char, text: &str| AnswerView {
        key,
        text: text.to_owned(),
    };
    QuestionView {
        title: "Keep this chart".to_owned(),
        lines: vec!["It goes into the folder reports of the workspace.".to_owned()],
        answers: vec![
            answer('1', "as a picture (PNG)"),
            answer('2', "as a drawing (SVG)"),
        ],
        waiting: String::new(),
        is_alarm: false,
    }
}

/// The keys that do something now; the last leads out.
fn keys(seen: &BatchSeen<'_>) -> Vec<KeyView> {
    let has_chart = seen.of_page().is_some_and(|facts| facts.chart.is_some());
    let keys: &[(&str, &str)] = match (seen.room.is_keeping, seen.snapshot, seen.room.page) {
        (true, ..) => &[("1-2", "choose"), ("Backspace", "back")],
        (_, None, _) => &[(".", "to the start")],
        (_, _, BatchPage::Table) => &[
            ("Enter", "its run"),
            ("+/-", "characteristic"),
            ("*", "earlier parts"),
            ("1-7", "pages"),
            (".", "to the Bench"),
        ],
        _ if has_chart => &[
            ("Enter", "next page"),
            ("+/-", "characteristic"),
            ("0-7", "pages"),
            ("*", "read on"),
            ("/", "keep the chart"),
            ("Backspace", "table"),
            (".", "to the Bench"),
        ],
        _ => &[
            ("Enter", "next page"),
            ("+/-", "characteristic"),
            ("0-7", "pages"),
            ("*", "read on"),
            ("Backspace", "table"),
            (".", "to the Bench"),
        ],
    };
    key_views(keys)
}
