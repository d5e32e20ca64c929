//! The Gauges room: the register at the left, the chosen gauge at the right.

use eframe::egui::{Align2, Rect, Ui, vec2};

use super::gauges_pages_ui::page_ui;
use super::line_ui::{
    Line, cut_bottom, cut_left, cut_left_most, cut_right, cut_top, has_area, inset, name_ui,
};
use super::look::{Look, REGULAR, bold, paint_mark_on, text_width};
use super::paragraph_ui::Paragraph;
use super::press::Press;
use super::status_ui::{alarm_height, alarm_ui, foot_height, message_ui, status_ui};
use super::view::{GaugeDetailView, GaugeRowView, GaugesView};

const STEP: f32 = 8.0;
const MESSAGE: f32 = 26.0;
/// A window below this width has the list above the details.
const SIDE_BY_SIDE_FROM: f32 = 600.0;
/// The list beside the details: share of the window, and its ends.
const LIST_SHARE: f32 = 0.35;
const LIST: (f32, f32) = (250.0, 400.0);
/// Height of a row, for fingers too.
const ROW: f32 = 54.0;
const NAME: f32 = 15.0;
const SMALL: f32 = 12.0;
const TITLE: f32 = 26.0;
const PAGE_TABS: f32 = 24.0;
const MARK: f32 = 11.0;

/// Paints the room into the space that there is. Answers whether the open page has more lines
/// than there is room for.
pub fn gauges_ui(ui: &mut Ui, view: &GaugesView, look: &Look, presses: &mut Vec<Press>) -> bool {
    let window = ui.max_rect().intersect(ui.clip_rect());
    if !has_area(window) {
        return false;
    }
    ui.painter().rect_filled(window, 0.0, look.tokens.ground);
    let mut rest = window;
    let high = window.height();
    let alarm = alarm_height(&view.status.journal).min(high * 0.4);
    let alarm = cut_bottom(&mut rest, alarm);
    let foot = if high >= 240.0 {
        foot_height(&view.keys)
    } else {
        0.0
    };
    let foot = cut_bottom(&mut rest, foot);
    if let Some(message) = &view.status.message {
        let place = cut_bottom(&mut rest, MESSAGE.min(high * 0.2));
        message_ui(ui, place, message, look);
    }
    let mut rest = inset(rest, STEP);
    let list = match window.width() >= SIDE_BY_SIDE_FROM {
        true => {
            let wide = (window.width() * LIST_SHARE).clamp(LIST.0, LIST.1);
            let list = cut_left(&mut rest, wide);
            cut_left(&mut rest, 1.5 * STEP);
            list
        }
        false => {
            let few = rest.height() * 0.35;
            let list = cut_top(&mut rest, few);
            cut_top(&mut rest, STEP);
            list
        }
    };
    list_ui(ui, list, view, look, presses);
    let has_more = view.detail.as_ref().is_some_and(|detail| {
        let is_seen = has_area(rest);
        is_seen && detail_ui(ui, rest, detail, look, presses)
    });
    alarm_ui(ui, alarm, &view.status.journal, look);
    status_ui(ui, foot, &view.status, &view.keys, look, presses);
    has_more
}

/// As many rows as there is room for, the chosen one among them.
fn list_ui(ui: &mut Ui, place: Rect, view: &GaugesView, look: &Look, presses: &mut Vec<Press>) {
    if !has_area(place) {
        return;
    }
    if view.rows.is_empty() {
        name_ui(ui, place, "no gauges", &view.empty, false);
        let text = Paragraph {
            text: &view.empty,
            size: 14.0,
            family: REGULAR,
            ink: look.tokens.text,
        };
        text.paint(ui, place);
        return;
    }
    let rows = view.rows.len();
    let mut rest = place;
    let fitting = |height: f32| {
        let mut count = 0;
        let mut left = height;
        while left >= ROW && count < rows {
            left -= ROW;
            count += 1;
        }
        count
    };
    let mut fit = fitting(rest.height());
    if fit < rows {
        let sign = cut_bottom(&mut rest, 18.0);
        fit = fitting(rest.height());
        let text = format!("{rows} gauges; + and - go through them");
        Line::regular(SMALL, look.tokens.muted).say(ui, sign, "more gauges listed", &text);
    }
    let chosen = view.rows.iter().position(|row| row.is_chosen).unwrap_or(0);
    let first = chosen.saturating_sub(fit.saturating_sub(1));
    for (at, row) in view.rows.iter().enumerate().skip(first).take(fit) {
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
    let tokens = &look.tokens;
    let (ground, ink, faint) = match row.is_chosen {
        true => (tokens.chosen, tokens.ground, tokens.ground),
        false => (tokens.panel, tokens.text, tokens.muted),
    };
    ui.painter().rect_filled(place, 0.0, ground);
    let mut inner = place.shrink2(vec2(STEP, 2.0));
    let mut top = cut_top(&mut inner, 18.0);
    if let Some(state) = row.states.first() {
        let wide = text_width(ui.painter(), &state.text, SMALL, REGULAR);
        let wide = wide.min(top.width() * 0.62);
        let text = cut_right(&mut top, wide + 1.0);
        cut_right(&mut top, 4.0);
        let mark = cut_right(&mut top, MARK);
        cut_right(&mut top, STEP);
        let mark = Rect::from_center_size(mark.center(), vec2(MARK, MARK));
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
        let side = cut_left(&mut last, MARK);
        let side = Rect::from_center_size(side.center(), vec2(MARK, MARK));
        paint_mark_on(ui.painter(), side, super::view::Mark::Doubt, look, ink);
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
    page_tabs_ui(ui, tabs, view, look, presses);
    cut_top(&mut rest, STEP);
    has_area(rest) && page_ui(ui, rest, &view.page, view.skipped, look)
}

/// The pages; a click is the press of the digit.
fn page_tabs_ui(
    ui: &mut Ui,
    place: Rect,
    view: &GaugeDetailView,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    let tokens = &look.tokens;
    let edge = (tokens.hairline, tokens.line);
    ui.painter().hline(place.x_range(), place.bottom(), edge);
    let widths = view.pages.iter().map(|page| {
        let key = text_width(ui.painter(), &page.key.to_string(), SMALL, bold());
        let text = text_width(ui.painter(), &page.text, SMALL, REGULAR);
        (key, key + text + 5.0)
    });
    let widths: Vec<(f32, f32)> = widths.collect();
    let whole: f32 = widths.iter().map(|(_, wide)| wide).sum();
    let between = (place.width() - whole).max(0.0);
    let sides = 2.0 * view.pages.len().max(1) as f32;
    let pad = (between / sides).min(STEP);
    let mut rest = place;
    for (page, (key_wide, wide)) in view.pages.iter().zip(widths) {
        let tab = cut_left(&mut rest, wide + 2.0 * pad);
        let open = if page.is_open { ", open" } else { "" };
        let said = format!("{} {}{open}", page.key, page.text);
        if name_ui(ui, tab, &format!("page {}", page.key), &said, true).clicked() {
            presses.push(Press::Digit(page.key));
        }
        let (ink, faint) = match page.is_open {
            true => {
                ui.painter().rect_filled(tab, 0.0, tokens.chosen);
                (tokens.ground, tokens.ground)
            }
            false => (tokens.text, tokens.muted),
        };
        let mut inner = tab.shrink2(vec2(pad, 0.0));
        let cap = cut_left(&mut inner, key_wide + 1.0);
        Line::bold(SMALL, faint).paint(ui, cap, &page.key.to_string());
        cut_left(&mut inner, 3.0);
        let inner = inner.expand2(vec2(2.0, 0.0));
        Line::regular(SMALL, ink).paint(ui, inner, &page.text);
    }
}
