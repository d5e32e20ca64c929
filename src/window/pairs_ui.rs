//! The Pairs room: the pairs of the plan at the left, the chosen one at the right with its bands
//! and with what is said of it.

use eframe::egui::{Align2, Rect, Ui, vec2};

use super::drawn::PageDrawn;
use super::line_ui::{
    Line, cut_left, cut_right, cut_right_most, cut_top, has_area, inset, name_ui, square_in,
};
use super::lines_ui::{NOTICE_MARGIN, notice_ui, sentences_size, sentences_ui};
use super::links_ui::links_ui;
use super::look::{Look, REGULAR, paint_mark_on, text_width};
use super::pairs_bands_ui::{BANDS, bands_ui};
use super::pairs_press_ui::press_ui;
use super::press::Press;
use super::room_ui::{Frame, ListSizes, STEP, SeenRows};
use super::view::{PairRowView, PairsListView, PairsPageView, PairsView};

/// The list beside the pair.
const LIST: ListSizes = ListSizes {
    share: 0.27,
    ends: (190.0, 340.0),
    gap: 1.5 * STEP,
    share_above: 0.3,
    gap_above: STEP,
};
/// Height of a row, for fingers too.
const ROW: f32 = 54.0;
/// The line that says that there are more.
const MORE: f32 = 18.0;
const NAME: f32 = 15.0;
const SMALL: f32 = 12.0;
const TITLE: f32 = 26.0;
const MARK: f32 = 11.0;
/// The bands have at most this share of what they and the sentences have together.
const BANDS_SHARE: f32 = 0.55;

/// Paints the room into the space that there is.
pub fn pairs_ui(ui: &mut Ui, view: &PairsView, look: &Look, presses: &mut Vec<Press>) -> PageDrawn {
    let Some(frame) = Frame::begin(ui, (&view.status, &view.keys), look) else {
        return PageDrawn::default();
    };
    let rest = inset(frame.inside, STEP);
    let drawn = match &view.page {
        PairsPageView::Notice(text) => {
            notice_ui(ui, rest, ("pairs notice", text), NOTICE_MARGIN, look);
            PageDrawn::default()
        }
        PairsPageView::Pairs(list) => pairs_list_ui(ui, rest, list, look, presses),
        PairsPageView::Press(page) => press_ui(ui, rest, page, look, presses),
        PairsPageView::Links(page) => links_ui(ui, rest, page, look, presses),
    };
    frame.end(ui, (&view.status, &view.keys), look, presses);
    drawn
}

fn pairs_list_ui(
    ui: &mut Ui,
    place: Rect,
    view: &PairsListView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> PageDrawn {
    let mut rest = place;
    let list = LIST.cut(&mut rest, place.width());
    rows_ui(ui, list, view, look, presses);
    match has_area(rest) {
        true => chosen_ui(ui, rest, view, look),
        false => PageDrawn::default(),
    }
}

/// As many rows as there is room for, the chosen one among them.
fn rows_ui(ui: &mut Ui, place: Rect, view: &PairsListView, look: &Look, presses: &mut Vec<Press>) {
    if !has_area(place) {
        return;
    }
    let (mut rest, count) = (place, view.rows.len());
    let chosen = view.rows.iter().position(|row| row.is_chosen).unwrap_or(0);
    let seen = SeenRows::of(&mut rest, (count, chosen), (ROW, MORE));
    if let Some(sign) = seen.sign {
        let text = format!("{count} pairs; + and - go through them");
        Line::regular(SMALL, look.tokens.muted).say(ui, sign, "more pairs listed", &text);
    }
    let rows = view.rows.iter().enumerate();
    for (at, row) in rows.skip(seen.first).take(seen.fit) {
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
    let (ground, ink, faint) = look.tokens.row(row.is_chosen);
    ui.painter().rect_filled(place, 0.0, ground);
    let mut inner = place.shrink2(vec2(STEP.min(place.width() / 8.0), 2.0));
    let top = cut_top(&mut inner, 18.0);
    let both = format!("{} / {}", row.hole, row.shaft);
    Line::bold(NAME, ink).paint(ui, top, &both);
    let middle = cut_top(&mut inner, 16.0);
    Line::regular(SMALL, faint).paint(ui, middle, &row.fit);
    let mut last = cut_top(&mut inner, 16.0);
    let mark = square_in(cut_left(&mut last, MARK), MARK);
    paint_mark_on(ui.painter(), mark, row.mark, look, ink);
    cut_left(&mut last, 5.0);
    Line::regular(SMALL, ink).paint(ui, last, &row.state);
}

/// The chosen pair: title, bands, sentences.
fn chosen_ui(ui: &mut Ui, place: Rect, view: &PairsListView, look: &Look) -> PageDrawn {
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
    let size = sentences_size(ui, &view.lines, rest, look);
    sentences_ui(ui, rest, "pair", (&view.lines, view.skipped, size), look)
}
