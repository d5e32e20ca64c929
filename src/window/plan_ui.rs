//! The Plan room: the features, or the fields of one, at the left; the part and what is said of the
//! chosen one at the right.

use eframe::egui::{Align2, Rect, Stroke, Ui, vec2};

use super::drawn::PageDrawn;
use super::line_ui::{
    Line, cut_left, cut_left_most, cut_right, cut_right_most, cut_top, has_area, name_ui, square_in,
};
use super::lines_ui::{NOTICE_MARGIN, notice_ui, sentences_size, sentences_ui};
use super::look::{Look, REGULAR, bold, paint_mark_on, text_width};
use super::outline_ui::outline_ui;
use super::paragraph_ui::Paragraph;
use super::plan_fields_ui::fields_ui;
use super::plan_sides_ui::sides_ui;
use super::press::Press;
use super::question_ui::question_ui;
use super::room_ui::{Frame, ListSizes, STEP, SeenRows, page_tabs_ui};
use super::view::{
    Mark, PlanBodyView, PlanListView, PlanOpenView, PlanRowView, PlanView, SentenceView,
};

/// The list beside the rest.
const LIST: ListSizes = ListSizes {
    share: 0.5,
    ends: (290.0, 620.0),
    gap: STEP,
    share_above: 0.55,
    gap_above: STEP / 2.0,
};
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

/// Paints the room into the space that there is.
pub fn plan_ui(ui: &mut Ui, view: &PlanView, look: &Look, presses: &mut Vec<Press>) -> PageDrawn {
    let Some(frame) = Frame::begin(ui, (&view.status, &view.keys), look) else {
        return PageDrawn::default();
    };
    let rest = frame.with_margin();
    let mut drawn = PageDrawn::default();
    if let Some(sides) = &view.sides {
        drawn = sides_ui(ui, rest, sides, look, presses);
    } else if let Some(question) = &view.question {
        question_ui(ui, rest, question, look, presses);
    } else if has_area(rest) {
        drawn = match &view.body {
            PlanBodyView::Files { title, notes, rows } => {
                files_ui(ui, rest, (title, notes, rows), look, presses);
                PageDrawn::default()
            }
            PlanBodyView::Open(open) => open_ui(ui, rest, open, look, presses),
        };
    }
    frame.end(ui, (&view.status, &view.keys), look, presses);
    drawn
}

/// A title, what is to be said, and the rows.
type Files<'a> = (&'a str, &'a [SentenceView], &'a [PlanRowView]);

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
        let text = Paragraph::regular(&note.text, SMALL, look.tokens.text);
        let high = text.height(ui, rest.width()).min(rest.height() / 3.0);
        let line = cut_top(&mut rest, high + 2.0);
        if has_area(line) {
            name_ui(ui, line, &format!("plan note {at}"), &note.text, false);
            text.paint(ui, line);
        }
    }
    rows_ui(ui, rest, rows, "plans", look, presses);
}

fn open_ui(
    ui: &mut Ui,
    place: Rect,
    view: &PlanOpenView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> PageDrawn {
    let mut rest = place;
    head_ui(ui, &mut rest, view, look, presses);
    if !view.note.is_empty() {
        let line = {
            let high = NOTE.min(rest.height() / 4.0);
            cut_top(&mut rest, high)
        };
        Line::regular(SMALL, look.tokens.text).say(ui, line, "plan note", &view.note);
    }
    let list = LIST.cut(&mut rest, place.width());
    match &view.list {
        PlanListView::Fields(title, fields) => {
            fields_ui(ui, list, (title, fields), look, presses);
        }
        PlanListView::Rows(rows, empty) if rows.is_empty() => {
            notice_ui(ui, list, ("plan empty", empty), NOTICE_MARGIN, look);
        }
        PlanListView::Rows(rows, _) => rows_ui(ui, list, rows, "rows", look, presses),
    }
    match has_area(rest) {
        true => side_ui(ui, rest, view, look, presses),
        false => PageDrawn::default(),
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
        let side = square_in(cut_right(&mut top, MARK), MARK);
        paint_mark_on(ui.painter(), side, mark, look, tokens.text);
    }
    cut_right(&mut top, STEP);
    Line::bold(NAME, tokens.text).say(ui, top, "plan title", &view.title);
    let tabs = cut_top(rest, TABS.min(rest.height() / 4.0));
    let pages = ("plan page", view.pages.as_slice());
    page_tabs_ui(ui, tabs, pages, (6.0, 1.0, 2.0), look, presses);
    let edge = Stroke::new(tokens.hairline, tokens.line);
    ui.painter().hline(rest.x_range(), rest.top(), edge);
    cut_top(rest, STEP / 2.0);
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
    let (mut rest, count) = (place, rows.len());
    let chosen = rows.iter().position(|row| row.is_chosen).unwrap_or(0);
    let SeenRows { first, fit, sign } = SeenRows::of(&mut rest, (count, chosen), (ROW, SIGN));
    if let Some(sign) = sign {
        let text = format!("{} of {count}; + and - go through them", chosen + 1);
        Line::regular(SMALL, look.tokens.muted).say(ui, sign, &format!("more {what}"), &text);
    }
    // All of them would take long to measure where there are hundreds.
    let seen = rows.get(first..(first + fit).min(count)).unwrap_or(&[]);
    let columns = Columns::of(ui, seen, rest.width());
    for (at, row) in seen.iter().enumerate() {
        let place = cut_top(&mut rest, ROW).shrink2(vec2(0.0, 0.5));
        row_ui(ui, place, (first + at, row), &columns, look, presses);
    }
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
    let (ground, ink, faint) = look.tokens.row(row.is_chosen);
    ui.painter().rect_filled(place, 0.0, ground);
    let mut inner = place.shrink2(vec2(6.0_f32.min(place.width() / 8.0), 1.0));
    let mut side = cut_left(&mut inner, MARK + 6.0);
    let mark = cut_left(&mut side, MARK);
    if let Some(state) = row.mark {
        paint_mark_on(ui.painter(), square_in(mark, MARK), state, look, ink);
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
) -> PageDrawn {
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
    let size = sentences_size(ui, &view.lines, rest, look);
    sentences_ui(ui, rest, "plan", (&view.lines, view.skipped, size), look)
}

/// A strip as wide as the labels of fields.
pub(super) fn label_strip(rest: &mut Rect, width: f32) -> Rect {
    cut_left_most(rest, width, 0.4)
}
