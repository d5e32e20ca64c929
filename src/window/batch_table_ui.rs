//! The table of parts by characteristics, painted: as many columns and rows as there is room for,
//! the chosen column among them.

use eframe::egui::{Align2, Rect, Stroke, StrokeKind, Ui, vec2};

use super::drawn::PageDrawn;
use super::line_ui::{
    Line, cut_bottom, cut_left, cut_right, cut_right_most, cut_top, has_area, name_ui, square_in,
};
use super::look::{Look, bold, paint_mark, text_width};
use super::press::Press;
use super::room_ui::{STEP, fitting};
use super::view::{BatchCellView, BatchRowView, BatchTableView, Mark};

const TEXT: f32 = 12.5;
const SMALL: f32 = 11.0;
const HEAD: f32 = 32.0;
const ROW: f32 = 20.0;
const LEGEND: f32 = 16.0;
/// Width of the parts' numbers, and of a column at least.
const PART: f32 = 64.0;
const COLUMN: f32 = 104.0;
const MARK: f32 = 11.0;

/// Paints the table; answers how many rows were seen and whether there are more.
pub(super) fn table_ui(
    ui: &mut Ui,
    place: Rect,
    view: &BatchTableView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> PageDrawn {
    if !has_area(place) {
        return PageDrawn::default();
    }
    let tokens = &look.tokens;
    let mut rest = place;
    let mut foot = cut_bottom(&mut rest, LEGEND.min(place.height() / 6.0));
    let columns = Columns::of(rest.width(), view);
    let head = cut_top(&mut rest, HEAD.min(place.height() / 4.0));
    columns_ui(ui, head, columns, view, look, presses);
    let mut shown = 0;
    for row in &view.rows {
        if rest.height() < ROW {
            break;
        }
        let line = cut_top(&mut rest, ROW);
        row_ui(ui, line, columns, row, look);
        shown += 1;
    }
    let below = view.count.saturating_sub(view.skipped + shown);
    let text = match (view.count, below, view.skipped) {
        (0, ..) => "no part has been begun".to_owned(),
        (_, 0, 0) => String::new(),
        (_, 0, _) => "the first part; * begins again".to_owned(),
        (_, below, _) => format!("{below} earlier; * reads on"),
    };
    let wide = text_width(ui.painter(), &text, SMALL, bold());
    let more = cut_right_most(&mut foot, wide + STEP, 0.5);
    let line = Line::bold(SMALL, tokens.text).at(Align2::RIGHT_CENTER);
    line.say(ui, more, "batch more", &text);
    Line::regular(SMALL, tokens.muted).say(ui, foot, "batch legend", &view.legend);
    PageDrawn {
        shown,
        has_more: below > 0,
        fit: 0,
    }
}

/// Which columns are seen, and how wide they are.
#[derive(Clone, Copy)]
struct Columns {
    first: usize,
    shown: usize,
    chosen: usize,
    wide: f32,
}

impl Columns {
    /// Whole screens of columns are turned: what is seen does not crawl under the eye.
    fn of(width: f32, view: &BatchTableView) -> Self {
        let all = view.columns.len();
        let room = (width - PART).max(0.0);
        let fit = fitting(room, COLUMN, all).max(1);
        let count = u16::try_from(fit).map_or(1.0, f32::from);
        Self {
            first: view.chosen / fit * fit,
            shown: fit,
            chosen: view.chosen,
            wide: (room / count).min(1.6 * COLUMN),
        }
    }
}

/// The names of the characteristics; a click chooses one.
fn columns_ui(
    ui: &mut Ui,
    place: Rect,
    columns: Columns,
    view: &BatchTableView,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    let tokens = &look.tokens;
    let mut rest = place;
    let corner = cut_left(&mut rest, PART.min(place.width() / 4.0));
    Line::regular(SMALL, tokens.muted).paint(ui, corner, "part");
    let seen = view.columns.iter().enumerate();
    for (at, column) in seen.skip(columns.first).take(columns.shown) {
        let cell = cut_left(&mut rest, columns.wide);
        if !has_area(cell) {
            return;
        }
        let is_chosen = at == columns.chosen;
        let chosen = if is_chosen { ", chosen" } else { "" };
        let said = format!("{} {}{chosen}", column.id, column.callout);
        if name_ui(ui, cell, &format!("column {at}"), &said, true).clicked() {
            presses.push(Press::Choose(at));
        }
        let (ground, ink, _) = tokens.row(is_chosen);
        if is_chosen {
            ui.painter().rect_filled(cell, 0.0, ground);
        }
        let mut inner = cell.shrink2(vec2(4.0, 1.0));
        let top = cut_top(&mut inner, 15.0);
        Line::bold(TEXT, ink).paint(ui, top, &column.id);
        Line::regular(SMALL, ink).paint(ui, inner, &column.callout);
    }
    let edge = Stroke::new(tokens.hairline, tokens.line);
    ui.painter().hline(place.x_range(), place.bottom(), edge);
}

fn row_ui(ui: &mut Ui, place: Rect, columns: Columns, row: &BatchRowView, look: &Look) {
    let tokens = &look.tokens;
    let edge = Stroke::new(tokens.hairline, tokens.line);
    ui.painter().hline(place.x_range(), place.bottom(), edge);
    let mut rest = place;
    let part = cut_left(&mut rest, PART.min(place.width() / 4.0));
    let number = row.part.to_string();
    Line::bold(TEXT, tokens.text).say(ui, part, &format!("part {number}"), &number);
    let seen = row.cells.iter().enumerate();
    for (at, cell) in seen.skip(columns.first).take(columns.shown) {
        let place = cut_left(&mut rest, columns.wide);
        if !has_area(place) {
            return;
        }
        let id = format!("cell {number} {at}");
        name_ui(ui, place, &id, &cell.spoken, false);
        cell_ui(ui, place, cell, look);
    }
}

/// Mark, value, and a box with the numbers of tests where they signal.
fn cell_ui(ui: &Ui, place: Rect, cell: &BatchCellView, look: &Look) {
    let tokens = &look.tokens;
    let mut inner = place.shrink2(vec2(3.0, 2.0));
    if !cell.tests.is_empty() {
        let edge = Stroke::new(1.5, tokens.text);
        ui.painter()
            .rect_stroke(inner, 0.0, edge, StrokeKind::Inside);
        let wide = text_width(ui.painter(), &cell.tests, SMALL, bold());
        cut_right(&mut inner, 4.0);
        let tests = cut_right_most(&mut inner, wide, 0.4);
        let line = Line::bold(SMALL, tokens.text).at(Align2::RIGHT_CENTER);
        line.paint(ui, tests, &cell.tests);
    }
    cut_left(&mut inner, 4.0);
    let mark = square_in(cut_left(&mut inner, MARK), MARK);
    paint_mark(ui.painter(), mark, cell.mark, look);
    cut_left(&mut inner, 5.0);
    let is_bad = matches!(cell.mark, Mark::NoGo | Mark::Doubt);
    let line = match is_bad {
        true => Line::bold(TEXT, tokens.text),
        false => Line::regular(TEXT, tokens.text),
    };
    line.paint(ui, inner, &cell.text);
}
