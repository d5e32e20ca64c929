//! The Plan room: the features, or the fields of one, at the left; the part and what is said of the
//! chosen one at the right.

use eframe::egui::{Align2, Rect, Stroke, Ui, vec2};

use super::batch_ui::{BatchDrawn, STEP, lines_ui};
use super::line_ui::{
    Line, cut_bottom, cut_left, cut_left_most, cut_right, cut_right_most, cut_top, has_area, inset,
    name_ui,
};
use super::look::{Look, REGULAR, bold, paint_mark_on, text_width};
use super::outline_ui::outline_ui;
use super::paragraph_ui::Paragraph;
use super::plan_fields_ui::fields_ui;
use super::plan_sides_ui::sides_ui;
use super::press::Press;
use super::question_ui::question_ui;
use super::status_ui::{alarm_height, alarm_ui, foot_height, message_ui, status_ui};
use super::view::{
    BatchLineView, Mark, PlanBodyView, PlanListView, PlanOpenView, PlanRowView, PlanView,
};

const MESSAGE: f32 = 26.0;
/// A window below this width has the list above what is said.
const SIDE_BY_SIDE_FROM: f32 = 600.0;
/// The list beside the rest: share of the window, and its ends.
const LIST_SHARE: f32 = 0.5;
const LIST: (f32, f32) = (290.0, 620.0);
const TITLE: f32 = 22.0;
const TABS: f32 = 22.0;
const NOTE: f32 = 20.0;
const NAME: f32 = 15.0;
const TEXT: f32 = 13.0;
pub(super) const SMALL: f32 = 12.0;
/// Height of a row.
const ROW: f32 = 24.0;
const MARK: f32 = 11.0;
const SIGN: f32 = 18.0;
/// The part has at most this height, and this share of the right side.
const OUTLINE: f32 = 300.0;
const OUTLINE_SHARE: f32 = 0.42;
/// Below this it is not drawn.
const OUTLINE_LEAST: f32 = 60.0;
/// Sentences that all fit are written larger.
const LARGER: f32 = 13.5;

/// Paints the room into the space that there is.
pub fn plan_ui(ui: &mut Ui, view: &PlanView, look: &Look, presses: &mut Vec<Press>) -> BatchDrawn {
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
    if let Some(sides) = &view.sides {
        drawn = sides_ui(ui, rest, sides, look, presses);
    } else if let Some(question) = &view.question {
        question_ui(ui, rest, question, look, presses);
    } else if has_area(rest) {
        drawn = match &view.body {
            PlanBodyView::Files { title, notes, rows } => {
                files_ui(ui, rest, (title, notes, rows), look, presses);
                BatchDrawn::default()
            }
            PlanBodyView::Open(open) => open_ui(ui, rest, open, look, presses),
        };
    }
    alarm_ui(ui, alarm, &view.status.journal, look);
    status_ui(ui, foot, &view.status, &view.keys, look, presses);
    drawn
}

/// A title, what is to be said, and the rows.
type Files<'a> = (&'a str, &'a [BatchLineView], &'a [PlanRowView]);

fn files_ui(
    ui: &mut Ui,
    place: Rect,
    (title, notes, rows): Files<'_>,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    let mut rest = place;
    let line = cut_top(&mut rest, TITLE.min(place.height() / 4.0));
    Line::bold(NAME, look.tokens.text).say(ui, line, "plan title", title);
    for (at, note) in notes.iter().enumerate() {
        let text = paragraph(&note.text, SMALL, look);
        let high = text.height(ui, rest.width()).min(rest.height() / 3.0);
        let line = cut_top(&mut rest, high + 2.0);
        if has_area(line) {
            name_ui(ui, line, &format!("plan note {at}"), &note.text, false);
            text.paint(ui, line);
        }
    }
    rows_ui(ui, rest, rows, "plans", look, presses);
}

fn paragraph<'t>(text: &'t str, size: f32, look: &Look) -> Paragraph<'t> {
    Paragraph {
        text,
        size,
        family: REGULAR,
        ink: look.tokens.text,
    }
}

fn open_ui(
    ui: &mut Ui,
    place: Rect,
    view: &PlanOpenView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> BatchDrawn {
    let mut rest = place;
    head_ui(ui, &mut rest, view, look, presses);
    if !view.note.is_empty() {
        let line = {
            let high = NOTE.min(rest.height() / 4.0);
            cut_top(&mut rest, high)
        };
        Line::regular(SMALL, look.tokens.text).say(ui, line, "plan note", &view.note);
    }
    let is_wide = place.width() + 2.0 * STEP >= SIDE_BY_SIDE_FROM;
    let list = match is_wide {
        true => {
            let wide = (place.width() * LIST_SHARE).clamp(LIST.0, LIST.1);
            let list = cut_left(&mut rest, wide);
            cut_left(&mut rest, STEP);
            list
        }
        false => {
            let few = rest.height() * 0.55;
            let list = cut_top(&mut rest, few);
            cut_top(&mut rest, STEP / 2.0);
            list
        }
    };
    match &view.list {
        PlanListView::Fields(title, fields) => {
            fields_ui(ui, list, (title, fields), look, presses);
        }
        PlanListView::Rows(rows, empty) if rows.is_empty() => {
            if has_area(list) && !empty.is_empty() {
                name_ui(ui, list, "plan empty", empty, false);
                let text = paragraph(empty, TEXT + 1.0, look);
                text.paint(ui, inset(list, STEP));
            }
        }
        PlanListView::Rows(rows, _) => rows_ui(ui, list, rows, "rows", look, presses),
    }
    match has_area(rest) {
        true => side_ui(ui, rest, view, look, presses),
        false => BatchDrawn::default(),
    }
}

/// What the plan is, whether it is saved, and the pages.
fn head_ui(
    ui: &mut Ui,
    rest: &mut Rect,
    view: &PlanOpenView,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    let tokens = &look.tokens;
    let mut top = cut_top(rest, TITLE.min(rest.height() / 4.0));
    let (family, mark) = match view.is_open {
        true => (bold(), Some(Mark::Cutting)),
        false => (REGULAR, None),
    };
    let wide = text_width(ui.painter(), &view.state, SMALL, family.clone());
    let state = cut_right_most(&mut top, wide + 1.0, 0.6);
    let line = Line {
        family,
        ..Line::regular(SMALL, tokens.text).at(Align2::RIGHT_CENTER)
    };
    line.say(ui, state, "plan state", &view.state);
    if let Some(mark) = mark {
        cut_right(&mut top, 5.0);
        let side = cut_right(&mut top, MARK);
        let side = Rect::from_center_size(side.center(), vec2(MARK, MARK));
        paint_mark_on(ui.painter(), side, mark, look, tokens.text);
    }
    cut_right(&mut top, STEP);
    Line::bold(NAME, tokens.text).say(ui, top, "plan title", &view.title);
    let tabs = cut_top(rest, TABS.min(rest.height() / 4.0));
    pages_ui(ui, tabs, view, look, presses);
    let edge = Stroke::new(tokens.hairline, tokens.line);
    ui.painter().hline(rest.x_range(), rest.top(), edge);
    cut_top(rest, STEP / 2.0);
}

/// The pages with their digits; a click is the press of the digit.
fn pages_ui(ui: &mut Ui, place: Rect, view: &PlanOpenView, look: &Look, presses: &mut Vec<Press>) {
    let tokens = &look.tokens;
    let mut rest = place;
    for page in &view.pages {
        let key = page.key.to_string();
        let key_wide = text_width(ui.painter(), &key, SMALL, bold());
        let wide = text_width(ui.painter(), &page.text, SMALL, REGULAR);
        let whole = key_wide + wide + 17.0;
        if whole > rest.width() || !has_area(rest) {
            return;
        }
        let tab = cut_left(&mut rest, whole);
        cut_left(&mut rest, 1.0);
        let open = if page.is_open { ", open" } else { "" };
        let said = format!("{key} {}{open}", page.text);
        if name_ui(ui, tab, &format!("plan page {key}"), &said, true).clicked() {
            presses.push(Press::Digit(page.key));
        }
        let (ground, ink, faint) = match page.is_open {
            true => (tokens.chosen, tokens.ground, tokens.ground),
            false => (tokens.ground, tokens.text, tokens.muted),
        };
        ui.painter().rect_filled(tab, 0.0, ground);
        let mut inner = tab.shrink2(vec2(6.0, 0.0));
        let digit = cut_left(&mut inner, key_wide + 1.0);
        Line::bold(SMALL, faint).paint(ui, digit, &key);
        cut_left(&mut inner, 3.0);
        Line::regular(SMALL, ink).paint(ui, inner.expand2(vec2(1.0, 0.0)), &page.text);
    }
}

/// How wide the columns of a list are, from its widest texts.
struct Columns {
    id: f32,
    main: f32,
}

impl Columns {
    fn of(ui: &Ui, rows: &[PlanRowView], wide: f32) -> Self {
        let widest = |text: fn(&PlanRowView) -> &str, size, share: f32| {
            let widths = rows.iter().map(|row| match text(row) {
                "" => 0.0,
                text => text_width(ui.painter(), text, size, bold()) + STEP,
            });
            widths.fold(0.0_f32, f32::max).min(wide * share)
        };
        Self {
            id: widest(|row| &row.id, TEXT, 0.2),
            main: widest(|row| &row.main, TEXT, 0.42),
        }
    }
}

/// As many rows as there is room for, the chosen one among them.
fn rows_ui(
    ui: &mut Ui,
    place: Rect,
    rows: &[PlanRowView],
    what: &str,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if !has_area(place) {
        return;
    }
    let count = rows.len();
    let mut rest = place;
    let mut fit = fitting(rest.height(), count);
    let chosen = rows.iter().position(|row| row.is_chosen).unwrap_or(0);
    if fit < count {
        let sign = cut_bottom(&mut rest, SIGN);
        fit = fitting(rest.height(), count);
        let text = format!("{} of {count}; + and - go through them", chosen + 1);
        Line::regular(SMALL, look.tokens.muted).say(ui, sign, &format!("more {what}"), &text);
    }
    let first = chosen.saturating_sub(fit.saturating_sub(1));
    // All of them would take long to measure where there are hundreds.
    let seen = rows.get(first..(first + fit).min(count)).unwrap_or(&[]);
    let columns = Columns::of(ui, seen, rest.width());
    for (at, row) in seen.iter().enumerate() {
        let place = cut_top(&mut rest, ROW).shrink2(vec2(0.0, 0.5));
        row_ui(ui, place, (first + at, row), &columns, look, presses);
    }
}

fn fitting(height: f32, most: usize) -> usize {
    let mut count = 0;
    let mut left = height;
    while left >= ROW && count < most {
        left -= ROW;
        count += 1;
    }
    count
}

fn row_ui(
    ui: &mut Ui,
    place: Rect,
    (at, row): (usize, &PlanRowView),
    columns: &Columns,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if name_ui(ui, place, &format!("plan row {at}"), &row.spoken, true).clicked() {
        presses.push(Press::Choose(at));
    }
    let tokens = &look.tokens;
    let (ground, ink, faint) = match row.is_chosen {
        true => (tokens.chosen, tokens.ground, tokens.ground),
        false => (tokens.panel, tokens.text, tokens.muted),
    };
    ui.painter().rect_filled(place, 0.0, ground);
    let mut inner = place.shrink2(vec2(6.0_f32.min(place.width() / 8.0), 1.0));
    let mut side = cut_left(&mut inner, MARK + 6.0);
    let mark = cut_left(&mut side, MARK);
    if let Some(state) = row.mark {
        let mark = Rect::from_center_size(mark.center(), vec2(MARK, MARK));
        paint_mark_on(ui.painter(), mark, state, look, ink);
    }
    if columns.id > 0.0 {
        let id = cut_left(&mut inner, columns.id);
        Line::bold(TEXT, ink).paint(ui, id, &row.id);
        cut_left(&mut inner, 4.0);
    }
    let main = cut_left(&mut inner, columns.main.max(20.0));
    Line::bold(TEXT, ink).paint(ui, main, &row.main);
    cut_left(&mut inner, 6.0);
    let wide = text_width(ui.painter(), &row.detail, SMALL, REGULAR);
    let share = if row.name.is_empty() { 1.0 } else { 0.55 };
    let detail = cut_right_most(&mut inner, wide + 1.0, share);
    let line = Line::regular(SMALL, ink).at(Align2::RIGHT_CENTER);
    line.paint(ui, detail, &row.detail);
    cut_right(&mut inner, 6.0);
    Line::regular(SMALL, faint).paint(ui, inner, &row.name);
}

/// The part, and what is said.
fn side_ui(
    ui: &mut Ui,
    place: Rect,
    view: &PlanOpenView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> BatchDrawn {
    ui.painter().rect_filled(place, 0.0, look.tokens.panel);
    let mut rest = place.shrink2(vec2(
        STEP.min(place.width() / 10.0),
        (STEP / 2.0).min(place.height() / 10.0),
    ));
    let high = (rest.height() * OUTLINE_SHARE).min(OUTLINE);
    if let Some(outline) = view.outline.as_ref().filter(|_| high >= OUTLINE_LEAST) {
        let place = cut_top(&mut rest, high);
        outline_ui(ui, place, outline, look, presses);
        cut_top(&mut rest, STEP / 2.0);
    }
    let wanted: f32 = view
        .lines
        .iter()
        .map(|line| {
            let family = if line.is_strong { bold() } else { REGULAR };
            let text = Paragraph {
                family,
                ..paragraph(&line.text, LARGER, look)
            };
            text.height(ui, rest.width()) + 4.0
        })
        .sum();
    let size = match wanted + SIGN <= rest.height() {
        true => LARGER,
        false => SMALL,
    };
    lines_ui(ui, rest, "plan", (&view.lines, view.skipped, size), look)
}

/// A strip as wide as the labels of fields.
pub(super) fn label_strip(rest: &mut Rect, width: f32) -> Rect {
    cut_left_most(rest, width, 0.4)
}
