//! The Records room: the list of sessions with what is looked for above it, a session as it will
//! print, a check; what is asked lies over them.

use eframe::egui::{Align2, Rect, Stroke, StrokeKind, Ui, vec2};

use super::drawn::PageDrawn;
use super::line_ui::{
    Line, cut_bottom, cut_left, cut_left_most, cut_right, cut_right_most, cut_top, has_area, inset,
    name_ui, square_in,
};
use super::lines_ui::notice_ui;
use super::look::{Look, REGULAR, bold, paint_mark, paint_mark_on, text_width};
use super::press::Press;
use super::question_ui::question_ui;
use super::records_sheet_ui::{sheet_ui, verify_ui};
use super::room_ui::{Frame, STEP, fitting};
use super::view::{
    EntryView, RecordListView, RecordRowView, RecordStateView, RecordsPageView, RecordsView,
};

const FIND: f32 = 30.0;
/// Height of a row, for fingers too.
const ROW: f32 = 42.0;
const DETAIL: f32 = 17.0;
/// So many lines are told of the chosen session.
const DETAILS_MAX: usize = 3;
const NAME: f32 = 14.0;
const SMALL: f32 = 12.0;
const MARK: f32 = 11.0;
/// What is typed for a decision.
const ENTRY: f32 = 40.0;
/// What is asked has this share of the height above it, and at most so much.
const ASKED: f32 = 0.7;
const ASKED_MAX: f32 = 300.0;

/// Paints the room into the space that there is.
pub fn records_ui(
    ui: &mut Ui,
    view: &RecordsView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> PageDrawn {
    let Some(frame) = Frame::begin(ui, (&view.status, &view.keys), look) else {
        return PageDrawn::default();
    };
    let mut rest = inset(frame.inside, STEP);
    let mut drawn = PageDrawn::default();
    if let Some(question) = &view.question {
        let high = match view.entry {
            Some(_) => (rest.height() * ASKED).min(ASKED_MAX),
            None => rest.height(),
        };
        let place = cut_top(&mut rest, high);
        question_ui(ui, place, question, look, presses);
        if let Some(entry) = &view.entry {
            cut_top(&mut rest, STEP);
            let high = ENTRY.min(rest.height());
            entry_ui(ui, cut_top(&mut rest, high), entry, look);
        }
    } else if has_area(rest) {
        drawn = match &view.page {
            RecordsPageView::List(list) => list_ui(ui, rest, list, look, presses),
            RecordsPageView::Sheet(sheet) => sheet_ui(ui, rest, sheet, look, presses),
            RecordsPageView::Verify(verify) => verify_ui(ui, rest, verify, look),
        };
    }
    frame.end(ui, (&view.status, &view.keys), look, presses);
    drawn
}

/// What is typed, framed, with the place where the next letter comes.
fn entry_ui(ui: &mut Ui, place: Rect, entry: &EntryView, look: &Look) {
    if !has_area(place) {
        return;
    }
    let said = format!("{}: {}", entry.what, entry.text);
    name_ui(ui, place, "typed", &said, false);
    typed_ui(ui, place, (&entry.what, &entry.text), look);
}

/// A frame with a name and what was typed; of a long text the end is seen.
fn typed_ui(ui: &mut Ui, place: Rect, (what, typed): (&str, &str), look: &Look) {
    let tokens = &look.tokens;
    ui.painter().rect_filled(place, 0.0, tokens.panel);
    let edge = Stroke::new(tokens.hairline, tokens.text);
    ui.painter()
        .rect_stroke(place, 0.0, edge, StrokeKind::Inside);
    let mut rest = place.shrink2(vec2(STEP.min(place.width() / 8.0), 2.0));
    let wide = text_width(ui.painter(), what, SMALL, REGULAR);
    let name = cut_left_most(&mut rest, wide, 0.4);
    Line::regular(SMALL, tokens.muted).paint(ui, name, what);
    cut_left(&mut rest, STEP);
    let mut shown = typed;
    let size = NAME + 1.0;
    while text_width(ui.painter(), shown, size, bold()) > rest.width() - 4.0 {
        let mut letters = shown.chars();
        if letters.next().is_none() {
            break;
        }
        shown = letters.as_str();
    }
    let wide = text_width(ui.painter(), shown, size, bold());
    let text = cut_left(&mut rest, wide + 1.0);
    Line::bold(size, tokens.text).paint(ui, text, shown);
    if has_area(rest) {
        let at = rest.left() + 2.0;
        let high = rest.shrink2(vec2(0.0, 4.0_f32.min(rest.height() / 4.0)));
        ui.painter()
            .vline(at, high.y_range(), Stroke::new(2.0, tokens.text));
    }
}

fn list_ui(
    ui: &mut Ui,
    place: Rect,
    view: &RecordListView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> PageDrawn {
    let mut rest = place;
    let find = cut_top(&mut rest, FIND.min(place.height() / 3.0));
    find_ui(ui, find, view, look);
    cut_top(&mut rest, STEP / 2.0);
    if view.rows.is_empty() {
        notice_ui(ui, rest, ("no sessions", &view.empty), 0.0, look);
        return PageDrawn::default();
    }
    let lines = view.detail.iter().take(DETAILS_MAX);
    let details = lines.clone().fold(0.0, |high, _| high + DETAIL);
    let details = if rest.height() > 3.0 * ROW {
        details
    } else {
        0.0
    };
    let mut detail = cut_bottom(&mut rest, details);
    for (at, line) in lines.enumerate() {
        let row = cut_top(&mut detail, DETAIL);
        state_line_ui(ui, row, &format!("detail {at}"), line, look);
    }
    let fit = fitting(rest.height(), ROW, usize::MAX);
    // Whole pages are turned: what is seen does not crawl under the eye.
    let first = view.chosen / fit.max(1) * fit.max(1);
    let skipped = first.saturating_sub(view.first);
    for (at, row) in view.rows.iter().enumerate().skip(skipped).take(fit) {
        let place = cut_top(&mut rest, ROW).shrink2(vec2(0.0, 1.0));
        row_ui(ui, place, view.first + at, row, look, presses);
    }
    PageDrawn {
        fit,
        ..PageDrawn::default()
    }
}

fn find_ui(ui: &mut Ui, place: Rect, view: &RecordListView, look: &Look) {
    if !has_area(place) {
        return;
    }
    let said = format!("find: {}; {}, {}", view.find, view.filter, view.count);
    name_ui(ui, place, "find", &said, false);
    let mut rest = place;
    let both = format!("{}: {}", view.filter, view.count);
    let wide = text_width(ui.painter(), &both, SMALL, REGULAR);
    let count = cut_right_most(&mut rest, wide, 0.5);
    cut_right(&mut rest, STEP);
    let line = Line::regular(SMALL, look.tokens.text).at(Align2::RIGHT_CENTER);
    line.on(2).paint(ui, count, &both);
    typed_ui(ui, rest, ("find", &view.find), look);
}

fn state_line_ui(ui: &mut Ui, place: Rect, id: &str, state: &RecordStateView, look: &Look) {
    if !has_area(place) {
        return;
    }
    name_ui(ui, place, id, &state.text, false);
    let mut rest = place;
    let mark = square_in(cut_left(&mut rest, MARK), MARK);
    paint_mark(ui.painter(), mark, state.mark, look);
    cut_left(&mut rest, 6.0);
    Line::regular(SMALL, look.tokens.text).paint(ui, rest, &state.text);
}

/// How the parts stand and how sound the record is, in the order in which they are seen.
fn states(row: &RecordRowView) -> [&Option<RecordStateView>; 2] {
    match row.is_state_first {
        true => [&row.state, &row.standings],
        false => [&row.standings, &row.state],
    }
}

/// What a row says to those who do not see it.
fn spoken_row(row: &RecordRowView) -> String {
    let text = |state: &Option<RecordStateView>| {
        state
            .as_ref()
            .map_or_else(String::new, |one| one.text.clone())
    };
    let chosen = if row.is_chosen { "chosen" } else { "" };
    let [first, second] = states(row);
    let all = [
        row.opened.clone(),
        row.part.clone(),
        text(first),
        text(second),
        row.detail.clone(),
        chosen.to_owned(),
    ];
    let said = all.into_iter().filter(|text| !text.is_empty());
    said.collect::<Vec<_>>().join(", ")
}

fn row_ui(
    ui: &mut Ui,
    place: Rect,
    at: usize,
    row: &RecordRowView,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if !has_area(place) {
        return;
    }
    let id = format!("session {at}");
    if name_ui(ui, place, &id, &spoken_row(row), true).clicked() {
        presses.push(Press::Choose(at));
    }
    let (ground, ink, faint) = look.tokens.row(row.is_chosen);
    ui.painter().rect_filled(place, 0.0, ground);
    let mut inner = place.shrink2(vec2(STEP.min(place.width() / 10.0), 2.0));
    let mut top = cut_top(&mut inner, 19.0);
    let [first, second] = states(row);
    for (line, state) in [(&mut top, first), (&mut inner, second)] {
        if let Some(state) = state {
            row_state_ui(ui, line, state, ink, look);
        }
    }
    let wide = text_width(ui.painter(), &row.opened, SMALL, REGULAR);
    let opened = cut_left_most(&mut top, wide, 0.4);
    Line::regular(SMALL, faint).paint(ui, opened, &row.opened);
    cut_left(&mut top, STEP);
    Line::bold(NAME, ink).paint(ui, top, &row.part);
    Line::regular(SMALL, faint).paint(ui, inner, &row.detail);
}

/// A state at the right end of a line, which keeps what is left.
fn row_state_ui(
    ui: &Ui,
    line: &mut Rect,
    state: &RecordStateView,
    ink: eframe::egui::Color32,
    look: &Look,
) {
    let wide = text_width(ui.painter(), &state.text, SMALL, REGULAR);
    let text = cut_right_most(line, wide, 0.5);
    cut_right(line, 5.0);
    let mark = square_in(cut_right(line, MARK), MARK);
    cut_right(line, STEP);
    paint_mark_on(ui.painter(), mark, state.mark, look, ink);
    let line = Line::regular(SMALL, ink).at(Align2::RIGHT_CENTER);
    line.paint(ui, text, &state.text);
}
