//! The Batch room: which characteristic and which page, its chart, what is said of it; what is
//! asked lies over them.

use eframe::egui::{Align2, Rect, Stroke, StrokeKind, Ui, vec2};

use super::batch_table_ui::table_ui;
use super::chart_paint_ui::{LaidChart, chart_paint_ui};
use super::line_ui::{
    Line, cut_bottom, cut_left, cut_right, cut_right_most, cut_top, has_area, inset, name_ui,
};
use super::look::{Look, REGULAR, bold, text_width};
use super::paragraph_ui::Paragraph;
use super::press::Press;
use super::question_ui::question_ui;
use super::status_ui::{alarm_height, alarm_ui, foot_height, message_ui, status_ui};
use super::view::{BatchHeadView, BatchLineView, BatchOneView, BatchPageView, BatchView};

pub(super) const STEP: f32 = 8.0;
const MESSAGE: f32 = 26.0;
const TITLE: f32 = 24.0;
const TABS: f32 = 24.0;
const TEXT: f32 = 13.0;
const SMALL: f32 = 12.0;
const SIGN: f32 = 15.0;
/// The chart has at least this share of what chart and sentences have together.
const CHART: f32 = 0.68;

/// What was drawn, for the keys that read on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct BatchDrawn {
    /// So many lines, or rows, were seen.
    pub shown: usize,
    /// There are more below.
    pub has_more: bool,
}

/// Paints the room into the space that there is.
pub fn batch_ui(
    ui: &mut Ui,
    view: &BatchView,
    look: &Look,
    laid: &mut LaidChart,
    presses: &mut Vec<Press>,
) -> BatchDrawn {
    let window = ui.max_rect().intersect(ui.clip_rect());
    if !has_area(window) {
        return BatchDrawn::default();
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
    let rest = rest.shrink2(vec2(
        STEP.min(rest.width() / 8.0),
        (STEP / 2.0).min(rest.height() / 8.0),
    ));
    let mut drawn = BatchDrawn::default();
    if let Some(question) = &view.question {
        question_ui(ui, rest, question, look, presses);
    } else if has_area(rest) {
        drawn = match &view.page {
            BatchPageView::Notice(text) => {
                notice_ui(ui, rest, text, look);
                BatchDrawn::default()
            }
            BatchPageView::One(one) => one_ui(ui, rest, one, look, laid, presses),
            BatchPageView::Table(table) => {
                let mut rest = rest;
                head_ui(ui, &mut rest, &table.head, look, presses);
                table_ui(ui, rest, table, look, presses)
            }
        };
    }
    alarm_ui(ui, alarm, &view.status.journal, look);
    status_ui(ui, foot, &view.status, &view.keys, look, presses);
    drawn
}

fn notice_ui(ui: &mut Ui, place: Rect, text: &str, look: &Look) {
    name_ui(ui, place, "batch notice", text, false);
    let text = Paragraph {
        text,
        size: TEXT + 1.0,
        family: REGULAR,
        ink: look.tokens.text,
    };
    text.paint(ui, inset(place, STEP));
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
    turn_ui(
        ui,
        &mut top,
        (head.turns.1, "+", "next", Press::Plus),
        look,
        presses,
    );
    let wide = text_width(ui.painter(), &head.place, SMALL, REGULAR);
    let place = cut_right_most(&mut top, wide + STEP, 0.4);
    let line = Line::regular(SMALL, ink).at(Align2::CENTER_CENTER);
    line.say(ui, place, "batch place", &head.place);
    turn_ui(
        ui,
        &mut top,
        (head.turns.0, "−", "before", Press::Minus),
        look,
        presses,
    );
    cut_right(&mut top, STEP);
    Line::bold(TEXT + 2.0, ink).say(ui, top, "batch title", &head.title);
    let mut tabs = cut_top(rest, TABS.min(rest.height() / 4.0));
    let wide = text_width(ui.painter(), &head.counts, SMALL, REGULAR);
    let counts = cut_right_most(&mut tabs, wide, 0.42);
    let line = Line::regular(SMALL, ink).at(Align2::RIGHT_CENTER);
    line.say(ui, counts, "batch counts", &head.counts);
    cut_right(&mut tabs, STEP);
    pages_ui(ui, tabs, head, look, presses);
    let edge = Stroke::new(look.tokens.hairline, look.tokens.line);
    ui.painter().hline(rest.x_range(), rest.top(), edge);
    cut_top(rest, STEP / 2.0);
}

/// Whether there is one on that side, its sign, its name, and the press that leads there.
type Turn = (bool, &'static str, &'static str, Press);

fn turn_ui(
    ui: &mut Ui,
    top: &mut Rect,
    (is_there, sign, side, press): Turn,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    let key = cut_right(top, TITLE);
    if !is_there || !has_area(key) {
        return;
    }
    let said = format!("characteristic {side}");
    if name_ui(ui, key, &said, &said, true).clicked() {
        presses.push(press);
    }
    let edge = Stroke::new(look.tokens.hairline, look.tokens.line);
    let square = inset(key, 1.0);
    ui.painter()
        .rect_stroke(square, 0.0, edge, StrokeKind::Inside);
    let line = Line::bold(TEXT, look.tokens.text).at(Align2::CENTER_CENTER);
    line.paint(ui, key, sign);
}

/// The pages with their digits; a click is the press of the digit.
fn pages_ui(ui: &mut Ui, place: Rect, head: &BatchHeadView, look: &Look, presses: &mut Vec<Press>) {
    let tokens = &look.tokens;
    let mut rest = place;
    for page in &head.pages {
        let key = page.key.to_string();
        let key_wide = text_width(ui.painter(), &key, SMALL, bold());
        let wide = text_width(ui.painter(), &page.text, SMALL, REGULAR);
        let whole = key_wide + wide + 13.0;
        if whole > rest.width() {
            return;
        }
        let tab = cut_left(&mut rest, whole);
        cut_left(&mut rest, 1.0);
        let open = if page.is_open { ", open" } else { "" };
        let said = format!("{key} {}{open}", page.text);
        let id = format!("batch page {key}");
        if name_ui(ui, tab, &id, &said, true).clicked() {
            presses.push(Press::Digit(page.key));
        }
        let (ground, ink, faint) = match page.is_open {
            true => (tokens.chosen, tokens.ground, tokens.ground),
            false => (tokens.ground, tokens.text, tokens.muted),
        };
        ui.painter().rect_filled(tab, 0.0, ground);
        let mut inner = tab.shrink2(vec2(4.0, 0.0));
        let digit = cut_left(&mut inner, key_wide + 1.0);
        Line::bold(SMALL, faint).paint(ui, digit, &key);
        cut_left(&mut inner, 3.0);
        Line::regular(SMALL, ink).paint(ui, inner.expand2(vec2(1.0, 0.0)), &page.text);
    }
}

/// A chart with its sentences below it; without a chart they have all of the room.
fn one_ui(
    ui: &mut Ui,
    place: Rect,
    view: &BatchOneView,
    look: &Look,
    laid: &mut LaidChart,
    presses: &mut Vec<Press>,
) -> BatchDrawn {
    let mut rest = place;
    head_ui(ui, &mut rest, &view.head, look, presses);
    if let Some(chart) = &view.chart {
        let needed = view.lines.iter().fold(SIGN, |high, line| {
            high + paragraph(line, SMALL, look).height(ui, rest.width())
        });
        let lines = needed.min(rest.height() * (1.0 - CHART));
        let high = rest.height() - lines;
        let chart_place = cut_top(&mut rest, high);
        chart_paint_ui(ui, chart_place, (chart, view.marker), look, laid);
    }
    let size = if view.chart.is_some() { SMALL } else { TEXT };
    lines_ui(ui, rest, "batch", (&view.lines, view.skipped, size), look)
}

fn paragraph<'a>(line: &'a BatchLineView, size: f32, look: &Look) -> Paragraph<'a> {
    Paragraph {
        text: &line.text,
        size,
        family: if line.is_strong { bold() } else { REGULAR },
        ink: look.tokens.text,
    }
}

/// Sentences of which some are passed over, as many as fit, and a sign where there are more; the
/// room's name begins the names of its sentences.
pub(super) fn lines_ui(
    ui: &mut Ui,
    place: Rect,
    room: &str,
    (lines, skipped, size): (&[BatchLineView], usize, f32),
    look: &Look,
) -> BatchDrawn {
    let skipped = skipped.min(lines.len().saturating_sub(1));
    let mut rest = place;
    let sign = cut_bottom(&mut rest, SIGN.min(place.height() / 4.0));
    let mut shown = 0;
    let gap = if size > SMALL { 4.0 } else { 0.0 };
    for (at, line) in lines.iter().enumerate().skip(skipped) {
        let text = paragraph(line, size, look);
        let high = text.height(ui, rest.width());
        if high > rest.height() + 0.5 && (shown > 0 || !has_area(rest)) {
            break;
        }
        let row = cut_top(&mut rest, high);
        if has_area(row) {
            name_ui(ui, row, &format!("{room} line {at}"), &line.text, false);
            text.paint(ui, row);
        }
        cut_top(&mut rest, gap);
        shown += 1;
    }
    let below = lines.len().saturating_sub(skipped + shown);
    let text = match (below, skipped) {
        (0, 0) => String::new(),
        (0, _) => "the end; * begins again".to_owned(),
        (1, _) => "1 more sentence; * reads on".to_owned(),
        (count, _) => format!("{count} more sentences; * reads on"),
    };
    let line = Line::regular(SMALL - 1.0, look.tokens.muted).at(Align2::RIGHT_CENTER);
    line.say(ui, sign, &format!("{room} more"), &text);
    BatchDrawn {
        shown,
        has_more: below > 0,
    }
}
