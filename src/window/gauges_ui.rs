//! The Gauges room: the register at the left, the chosen gauge at the right.

use eframe::egui::{Align2, Rect, Ui, vec2};

use super::gauges_pages_ui::page_ui;
use super::line_ui::{
    Line, cut_left, cut_left_most, cut_right, cut_top, has_area, inset, name_ui, square_in,
};
use super::lines_ui::notice_ui;
use super::look::{Look, REGULAR, paint_mark_on, text_width};
use super::press::Press;
use super::room_ui::{Frame, ListSizes, STEP, SeenRows, page_tabs_ui, tab_width};
use super::view::{GaugeDetailView, GaugeRowView, GaugesView, Mark};

/// The list beside the details.
const LIST: ListSizes = ListSizes {
    share: 0.35,
    ends: (250.0, 400.0),
    gap: 1.5 * STEP,
    share_above: 0.35,
    gap_above: STEP,
};
/// Height of a row, for fingers too.
const ROW: f32 = 54.0;
/// The line that says that there are more.
const MORE: f32 = 18.0;
const NAME: f32 = 15.0;
const SMALL: f32 = 12.0;
const TITLE: f32 = 26.0;
const PAGE_TABS: f32 = 24.0;
const MARK: f32 = 11.0;

/// Paints the room into the space that there is. Answers whether the open page has more lines
/// than there is room for.
pub fn gauges_ui(ui: &mut Ui, view: &GaugesView, look: &Look, presses: &mut Vec<Press>) -> bool {
    let Some(frame) = Frame::begin(ui, (&view.status, &view.keys), look) else {
        return false;
    };
    let mut rest = inset(frame.inside, STEP);
    let list = LIST.cut(&mut rest, frame.inside.width());
    list_ui(ui, list, view, look, presses);
    let has_more = view.detail.as_ref().is_some_and(|detail| {
        let is_seen = has_area(rest);
        is_seen && detail_ui(ui, rest, detail, look, presses)
    });
    frame.end(ui, (&view.status, &view.keys), look, presses);
    has_more
}

/// As many rows as there is room for, the chosen one among them.
fn list_ui(ui: &mut Ui, place: Rect, view: &GaugesView, look: &Look, presses: &mut Vec<Press>) {
    if !has_area(place) {
        return;
    }
    if view.rows.is_empty() {
        notice_ui(ui, place, ("no gauges", &view.empty), 0.0, look);
        return;
    }
    let (mut rest, count) = (place, view.rows.len());
    let chosen = view.rows.iter().position(|row| row.is_chosen).unwrap_or(0);
    let seen = SeenRows::of(&mut rest, (count, chosen), (ROW, MORE));
    if let Some(sign) = seen.sign {
        let text = format!("{count} gauges; + and - go through them");
        Line::regular(SMALL, look.tokens.muted).say(ui, sign, "more gauges listed", &text);
    }
    let rows = view.rows.iter().enumerate();
    for (at, row) in rows.skip(seen.first).take(seen.fit) {
        let place = cut_top(&mut rest, ROW).shrink2(vec2(0.0, 1.0));
        row_ui(ui, place, at, row, look, presses);
    }
}

/// What a row says to those who do not see it.
fn spoken_row(row: &GaugeRowView) -> String {
    let states = row.states.iter().map(|state| state.text.as_str());
    let assumed = if row.is_assumed { "assumed" } else { "" };
    let all = [&*row.id, &*row.kind, &*row.range, &*row.error, assumed];
    let chosen = if row.is_chosen { "chosen" } else { "" };
    let said: Vec<&str> = all.into_iter().chain(states).chain([chosen]).collect();
    let said = said.into_iter().filter(|text| !text.is_empty());
    said.collect::<Vec<_>>().join(", ")
}

fn row_ui(
    ui: &mut Ui,
    place: Rect,
    at: usize,
    row: &GaugeRowView,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    let response = name_ui(ui, place, &format!("row {at}"), &spoken_row(row), true);
    if response.clicked() {
        presses.push(Press::Choose(at));
    }
    let (ground, ink, faint) = look.tokens.row(row.is_chosen);
    ui.painter().rect_filled(place, 0.0, ground);
    let mut inner = place.shrink2(vec2(STEP, 2.0));
    let mut top = cut_top(&mut inner, 18.0);
    if let Some(state) = row.states.first() {
        let wide = text_width(ui.painter(), &state.text, SMALL, REGULAR);
        let wide = wide.min(top.width() * 0.62);
        let text = cut_right(&mut top, wide + 1.0);
        cut_right(&mut top, 4.0);
        let mark = square_in(cut_right(&mut top, MARK), MARK);
        cut_right(&mut top, STEP);
        paint_mark_on(ui.painter(), mark, state.mark, look, ink);
        let line = Line::regular(SMALL, ink).at(Align2::RIGHT_CENTER);
        line.paint(ui, text, &state.text);
    }
    Line::bold(NAME, ink).paint(ui, top, &row.id);
    let middle = cut_top(&mut inner, 16.0);
    let both = [&*row.kind, &*row.range];
    let both = both.into_iter().filter(|text| !text.is_empty());
    let both = both.collect::<Vec<_>>().join(", ");
    Line::regular(SMALL, faint).paint(ui, middle, &both);
    let mut last = cut_top(&mut inner, 16.0);
    let wide = text_width(ui.painter(), &row.error, SMALL, REGULAR);
    let error = cut_left_most(&mut last, wide, 1.0);
    Line::regular(SMALL, ink).paint(ui, error, &row.error);
    if row.is_assumed {
        cut_left(&mut last, 6.0);
        let side = square_in(cut_left(&mut last, MARK), MARK);
        paint_mark_on(ui.painter(), side, Mark::Doubt, look, ink);
        cut_left(&mut last, 4.0);
        Line::regular(SMALL, ink).paint(ui, last, "assumed");
    }
}

fn detail_ui(
    ui: &mut Ui,
    place: Rect,
    view: &GaugeDetailView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> bool {
    let tokens = &look.tokens;
    ui.painter().rect_filled(place, 0.0, tokens.panel);
    let mut rest = place.shrink2(vec2(
        1.25 * STEP.min(place.width() / 10.0),
        (STEP / 2.0).min(place.height() / 10.0),
    ));
    let title = cut_top(&mut rest, TITLE);
    Line::bold(NAME + 2.0, tokens.text).say(ui, title, "gauge title", &view.title);
    let tabs = cut_top(&mut rest, PAGE_TABS);
    pages_ui(ui, tabs, view, look, presses);
    cut_top(&mut rest, STEP);
    has_area(rest) && page_ui(ui, rest, &view.page, view.skipped, look)
}

/// The pages, as far apart as there is room.
fn pages_ui(
    ui: &mut Ui,
    place: Rect,
    view: &GaugeDetailView,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    let edge = (look.tokens.hairline, look.tokens.line);
    ui.painter().hline(place.x_range(), place.bottom(), edge);
    let whole: f32 = view.pages.iter().map(|page| tab_width(ui, page).1).sum();
    let between = (place.width() - whole).max(0.0);
    let sides = 2.0 * view.pages.len().max(1) as f32;
    let pad = (between / sides).min(STEP);
    page_tabs_ui(
        ui,
        place,
        ("page", &view.pages),
        (pad, 0.0, 1.0),
        look,
        presses,
    );
}
