//! The Pairs room: the pairs of the plan at the left, the chosen one at the right with its bands
//! and with what is said of it.

use eframe::egui::{Align2, Rect, Ui, vec2};

use super::batch_ui::{BatchDrawn, STEP, lines_ui};
use super::line_ui::{
    Line, cut_bottom, cut_left, cut_right, cut_right_most, cut_top, has_area, inset, name_ui,
};
use super::links_ui::links_ui;
use super::look::{Look, REGULAR, bold, paint_mark_on, text_width};
use super::pairs_bands_ui::{BANDS, bands_ui};
use super::pairs_press_ui::press_ui;
use super::pairs_room::PairsDrawn;
use super::paragraph_ui::Paragraph;
use super::press::Press;
use super::status_ui::{alarm_height, alarm_ui, foot_height, message_ui, status_ui};
use super::view::{BatchLineView, PairRowView, PairsListView, PairsPageView, PairsView};

const MESSAGE: f32 = 26.0;
/// A window below this width has the list above the chosen pair.
const SIDE_BY_SIDE_FROM: f32 = 600.0;
/// The list beside the pair: share of the window, and its ends.
const LIST_SHARE: f32 = 0.27;
const LIST: (f32, f32) = (190.0, 340.0);
/// Height of a row, for fingers too.
const ROW: f32 = 54.0;
const NAME: f32 = 15.0;
const SMALL: f32 = 12.0;
const TITLE: f32 = 26.0;
/// Sentences that all fit are written larger.
const LARGER: f32 = 13.5;
/// Between two of them, and the line that says whether there are more.
const GAP: f32 = 4.0;
const SIGN: f32 = 16.0;
const MARK: f32 = 11.0;
/// The bands have at most this share of what they and the sentences have together.
const BANDS_SHARE: f32 = 0.55;

/// Paints the room into the space that there is.
pub fn pairs_ui(
    ui: &mut Ui,
    view: &PairsView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> PairsDrawn {
    let window = ui.max_rect().intersect(ui.clip_rect());
    if !has_area(window) {
        return PairsDrawn::default();
    }
    ui.painter().rect_filled(window, 0.0, look.tokens.ground);
    let mut rest = window;
    let high = window.height();
    let alarm = alarm_height(&view.status.journal).min(high * 0.4);
    let alarm = cut_bottom(&mut rest, alarm);
    let foot = match high >= 240.0 {
        true => foot_height(&view.keys),
        false => 0.0,
    };
    let foot = cut_bottom(&mut rest, foot);
    if let Some(message) = &view.status.message {
        let place = cut_bottom(&mut rest, MESSAGE.min(high * 0.2));
        message_ui(ui, place, message, look);
    }
    let rest = inset(rest, STEP);
    let drawn = match &view.page {
        PairsPageView::Notice(text) => {
            notice_ui(ui, rest, text, look);
            PairsDrawn::default()
        }
        PairsPageView::Pairs(list) => said(pairs_list_ui(ui, rest, list, look, presses)),
        PairsPageView::Press(page) => said(press_ui(ui, rest, page, look, presses)),
        PairsPageView::Links(page) => links_ui(ui, rest, page, look, presses),
    };
    alarm_ui(ui, alarm, &view.status.journal, look);
    status_ui(ui, foot, &view.status, &view.keys, look, presses);
    drawn
}

/// Of a page of sentences.
fn said(drawn: BatchDrawn) -> PairsDrawn {
    PairsDrawn {
        shown: drawn.shown,
        has_more: drawn.has_more,
        fit: 0,
    }
}

fn notice_ui(ui: &mut Ui, place: Rect, text: &str, look: &Look) {
    if !has_area(place) {
        return;
    }
    name_ui(ui, place, "pairs notice", text, false);
    let text = Paragraph {
        text,
        size: 14.0,
        family: REGULAR,
        ink: look.tokens.text,
    };
    text.paint(ui, inset(place, STEP));
}

fn pairs_list_ui(
    ui: &mut Ui,
    place: Rect,
    view: &PairsListView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> BatchDrawn {
    let mut rest = place;
    let list = match place.width() + 2.0 * STEP >= SIDE_BY_SIDE_FROM {
        true => {
            let wide = (place.width() * LIST_SHARE).clamp(LIST.0, LIST.1);
            let list = cut_left(&mut rest, wide);
            cut_left(&mut rest, 1.5 * STEP);
            list
        }
        false => {
            let few = rest.height() * 0.3;
            let list = cut_top(&mut rest, few);
            cut_top(&mut rest, STEP);
            list
        }
    };
    rows_ui(ui, list, view, look, presses);
    match has_area(rest) {
        true => chosen_ui(ui, rest, view, look),
        false => BatchDrawn::default(),
    }
}

/// As many rows as there is room for, the chosen one among them.
fn rows_ui(ui: &mut Ui, place: Rect, view: &PairsListView, look: &Look, presses: &mut Vec<Press>) {
    if !has_area(place) {
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
        let text = format!("{rows} pairs; + and - go through them");
        Line::regular(SMALL, look.tokens.muted).say(ui, sign, "more pairs listed", &text);
    }
    let chosen = view.rows.iter().position(|row| row.is_chosen).unwrap_or(0);
    let first = chosen.saturating_sub(fit.saturating_sub(1));
    for (at, row) in view.rows.iter().enumerate().skip(first).take(fit) {
        let place = cut_top(&mut rest, ROW).shrink2(vec2(0.0, 1.0));
        row_ui(ui, place, at, row, look, presses);
    }
}

fn row_ui(
    ui: &mut Ui,
    place: Rect,
    at: usize,
    row: &PairRowView,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if name_ui(ui, place, &format!("pair {at}"), &row.spoken, true).clicked() {
        presses.push(Press::Choose(at));
    }
    let tokens = &look.tokens;
    let (ground, ink, faint) = match row.is_chosen {
        true => (tokens.chosen, tokens.ground, tokens.ground),
        false => (tokens.panel, tokens.text, tokens.muted),
    };
    ui.painter().rect_filled(place, 0.0, ground);
    let mut inner = place.shrink2(vec2(STEP.min(place.width() / 8.0), 2.0));
    let top = cut_top(&mut inner, 18.0);
    let both = format!("{} / {}", row.hole, row.shaft);
    Line::bold(NAME, ink).paint(ui, top, &both);
    let middle = cut_top(&mut inner, 16.0);
    Line::regular(SMALL, faint).paint(ui, middle, &row.fit);
    let mut last = cut_top(&mut inner, 16.0);
    let mark = cut_left(&mut last, MARK);
    let mark = Rect::from_center_size(mark.center(), vec2(MARK, MARK));
    paint_mark_on(ui.painter(), mark, row.mark, look, ink);
    cut_left(&mut last, 5.0);
    Line::regular(SMALL, ink).paint(ui, last, &row.state);
}

/// The chosen pair: title, bands, sentences.
fn chosen_ui(ui: &mut Ui, place: Rect, view: &PairsListView, look: &Look) -> BatchDrawn {
    let tokens = &look.tokens;
    ui.painter().rect_filled(place, 0.0, tokens.panel);
    let mut rest = place.shrink2(vec2(
        (1.25 * STEP).min(place.width() / 10.0),
        (STEP / 2.0).min(place.height() / 10.0),
    ));
    let mut top = cut_top(&mut rest, TITLE.min(place.height() / 4.0));
    let wide = text_width(ui.painter(), &view.part, SMALL, REGULAR);
    let part = cut_right_most(&mut top, wide, 0.3);
    let line = Line::regular(SMALL, tokens.muted).at(Align2::RIGHT_CENTER);
    line.say(ui, part, "pair part", &view.part);
    cut_right(&mut top, STEP);
    Line::bold(NAME, tokens.text).say(ui, top, "pair title", &view.title);
    if let Some(bands) = &view.bands {
        let high = BANDS.min(rest.height() * BANDS_SHARE);
        let place = cut_top(&mut rest, high);
        bands_ui(ui, place, bands, look);
        cut_top(&mut rest, STEP / 2.0);
    }
    let size = lines_size(ui, &view.lines, rest, look);
    lines_ui(ui, rest, "pair", (&view.lines, view.skipped, size), look)
}

/// Sentences that all fit so are written larger.
pub(super) fn lines_size(ui: &Ui, lines: &[BatchLineView], rest: Rect, look: &Look) -> f32 {
    let high = lines.iter().map(|line| {
        let text = Paragraph {
            text: &line.text,
            size: LARGER,
            family: if line.is_strong { bold() } else { REGULAR },
            ink: look.tokens.text,
        };
        text.height(ui, rest.width()) + GAP
    });
    match high.sum::<f32>() + SIGN <= rest.height() {
        true => LARGER,
        false => SMALL,
    }
}
