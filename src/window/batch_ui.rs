//! The Batch room: which characteristic and which page, its chart, what is said of it; what is
//! asked lies over them.

use eframe::egui::{Align2, Rect, Stroke, Ui};

use super::batch_table_ui::table_ui;
use super::chart_paint_ui::{LaidChart, chart_paint_ui};
use super::drawn::PageDrawn;
use super::line_ui::{Line, cut_right, cut_right_most, cut_top, has_area};
use super::lines_ui::{NOTICE_MARGIN, notice_ui, sentences_height, sentences_ui};
use super::look::{Look, REGULAR, text_width};
use super::press::Press;
use super::question_ui::question_ui;
use super::room_ui::{Frame, STEP, Turn, page_tabs_ui};
use super::view::{BatchHeadView, BatchOneView, BatchPageView, BatchView};

const TITLE: f32 = 24.0;
/// Width of the keys that turn, and what is free around them.
const TURN: (f32, f32) = (TITLE, 1.0);
const TABS: f32 = 24.0;
const TEXT: f32 = 13.0;
const SMALL: f32 = 12.0;
/// The chart has at least this share of what chart and sentences have together.
const CHART: f32 = 0.68;

/// Paints the room into the space that there is.
pub fn batch_ui(
    ui: &mut Ui,
    view: &BatchView,
    look: &Look,
    laid: &mut LaidChart,
    presses: &mut Vec<Press>,
) -> PageDrawn {
    let Some(frame) = Frame::begin(ui, (&view.status, &view.keys), look) else {
        return PageDrawn::default();
    };
    let rest = frame.with_margin();
    let mut drawn = PageDrawn::default();
    if let Some(question) = &view.question {
        question_ui(ui, rest, question, look, presses);
    } else if has_area(rest) {
        drawn = match &view.page {
            BatchPageView::Notice(text) => {
                notice_ui(ui, rest, ("batch notice", text), NOTICE_MARGIN, look);
                PageDrawn::default()
            }
            BatchPageView::One(one) => one_ui(ui, rest, one, look, laid, presses),
            BatchPageView::Table(table) => {
                let mut rest = rest;
                head_ui(ui, &mut rest, &table.head, look, presses);
                table_ui(ui, rest, table, look, presses)
            }
        };
    }
    frame.end(ui, (&view.status, &view.keys), look, presses);
    drawn
}

/// The characteristic with the keys that turn, and the pages.
fn head_ui(
    ui: &mut Ui,
    rest: &mut Rect,
    head: &BatchHeadView,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    let ink = look.tokens.text;
    let mut top = cut_top(rest, TITLE.min(rest.height() / 4.0));
    let next = Turn {
        is_there: head.turns.1,
        sign: "+",
        name: "characteristic next",
        press: Press::Plus,
    };
    next.paint(ui, &mut top, TURN, look, presses);
    let wide = text_width(ui.painter(), &head.place, SMALL, REGULAR);
    let place = cut_right_most(&mut top, wide + STEP, 0.4);
    let line = Line::regular(SMALL, ink).at(Align2::CENTER_CENTER);
    line.say(ui, place, "batch place", &head.place);
    let before = Turn {
        is_there: head.turns.0,
        sign: "−",
        name: "characteristic before",
        press: Press::Minus,
    };
    before.paint(ui, &mut top, TURN, look, presses);
    cut_right(&mut top, STEP);
    Line::bold(TEXT + 2.0, ink).say(ui, top, "batch title", &head.title);
    let mut tabs = cut_top(rest, TABS.min(rest.height() / 4.0));
    let wide = text_width(ui.painter(), &head.counts, SMALL, REGULAR);
    let counts = cut_right_most(&mut tabs, wide, 0.42);
    let line = Line::regular(SMALL, ink).at(Align2::RIGHT_CENTER);
    line.say(ui, counts, "batch counts", &head.counts);
    cut_right(&mut tabs, STEP);
    let pages = ("batch page", head.pages.as_slice());
    page_tabs_ui(ui, tabs, pages, (4.0, 1.0, 2.0), look, presses);
    let edge = Stroke::new(look.tokens.hairline, look.tokens.line);
    ui.painter().hline(rest.x_range(), rest.top(), edge);
    cut_top(rest, STEP / 2.0);
}

/// A chart with its sentences below it; without a chart they have all of the room.
fn one_ui(
    ui: &mut Ui,
    place: Rect,
    view: &BatchOneView,
    look: &Look,
    laid: &mut LaidChart,
    presses: &mut Vec<Press>,
) -> PageDrawn {
    let mut rest = place;
    head_ui(ui, &mut rest, &view.head, look, presses);
    if let Some(chart) = &view.chart {
        let needed = sentences_height(ui, &view.lines, rest.width(), SMALL, look);
        let lines = needed.min(rest.height() * (1.0 - CHART));
        let high = rest.height() - lines;
        let chart_place = cut_top(&mut rest, high);
        chart_paint_ui(ui, chart_place, (chart, view.marker), look, laid);
    }
    let size = if view.chart.is_some() { SMALL } else { TEXT };
    sentences_ui(ui, rest, "batch", (&view.lines, view.skipped, size), look)
}
