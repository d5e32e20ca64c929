//! Paints the two sides of a plan that was changed here and on the disk: the answers, and line
//! beside line what is typed here and what the file says. What differs has a box, a sign and a
//! word between the two, and its differing letters are bold; colour says nothing.

use eframe::egui::{Align2, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, Ui, pos2, vec2};

use super::drawn::PageDrawn;
use super::line_ui::{Line, cut_left, cut_right, cut_top, has_area, name_ui};
use super::lines_ui::{ReadOn, read_on_ui};
use super::look::{Look, REGULAR, bold, spoken};
use super::paragraph_ui::{Paragraph, runs_height, runs_paint};
use super::press::Press;
use super::question_ui::{answer_field_ui, border_ui};
use super::view::{AnswerView, SideLineView, SideMark, SideRowView, SidesView};

const TITLE: f32 = 18.0;
const SAID: f32 = 13.0;
const TEXT: f32 = 13.0;
const SMALL: f32 = 12.0;
/// An answer's height: a finger hits it (WCAG 2.2, 2.5.5, from memory).
const ANSWER: f32 = 44.0;
const ANSWER_TEXT: f32 = 16.0;
const GAP: f32 = 6.0;
const SIGN: f32 = 16.0;
/// Between the sides, for the sign and the word; at most this share of a small window.
const BETWEEN: f32 = 106.0;
const BETWEEN_SHARE: f32 = 0.24;
/// The number of a line.
const NUMBER: f32 = 28.0;
const SHAPE: f32 = 10.0;
const FOLDED: f32 = 18.0;

/// Room on the smallest screen, and how much larger everything gets at most where there is more.
const HIGH: f32 = 400.0;
const WIDE: f32 = 780.0;
const MOST: f32 = 1.5;

/// Where the two sides and what is between them stand, and how large everything is.
#[derive(Clone, Copy)]
struct Columns {
    wide: f32,
    between: f32,
    grown: f32,
}

/// Paints it into `rect`; a click on an answer is the press of its key.
pub(super) fn sides_ui(
    ui: &mut Ui,
    rect: Rect,
    view: &SidesView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> PageDrawn {
    let rect = rect.intersect(ui.clip_rect());
    if !has_area(rect) {
        return PageDrawn::default();
    }
    let mut rest = border_ui(ui, rect, false, look);
    if !has_area(rest) {
        return PageDrawn::default();
    }
    let grown = (rest.height() / HIGH).min(rest.width() / WIDE);
    let grown = grown.clamp(1.0, MOST);
    let between = (BETWEEN * grown).min(rest.width() * BETWEEN_SHARE);
    let columns = Columns {
        wide: (rest.width() - between) / 2.0,
        between,
        grown,
    };
    head_ui(ui, &mut rest, (view, grown), look);
    answers_ui(ui, &mut rest, (view, columns), look, presses);
    names_ui(ui, &mut rest, columns, look);
    rows_ui(ui, rest, (view, columns), look)
}

fn head_ui(ui: &mut Ui, rest: &mut Rect, (view, grown): (&SidesView, f32), look: &Look) {
    let ink = look.tokens.text;
    let mut place = *rest;
    let title = cut_top(rest, (TITLE * 1.35 * grown).min(rest.height() / 5.0));
    Line::bold(TITLE * grown, ink).paint(ui, title, &view.title);
    for text in &view.lines {
        let text = Paragraph::regular(text, SAID * grown, ink);
        let high = text.height(ui, rest.width()).min(rest.height() / 4.0);
        let line = cut_top(rest, high + 2.0);
        if has_area(line) {
            text.paint(ui, line);
        }
    }
    place.set_bottom(rest.top());
    let said = std::iter::once(&view.title).chain(&view.lines);
    let said: Vec<&str> = said.map(String::as_str).collect();
    spoken(ui, place, "question", &said.join(" "), false);
}

/// One over each side, or all in a row above both.
fn answers_ui(
    ui: &mut Ui,
    rest: &mut Rect,
    (view, columns): (&SidesView, Columns),
    look: &Look,
    presses: &mut Vec<Press>,
) {
    let high = (ANSWER * columns.grown).min(rest.height() / 3.0);
    let mut row = cut_top(rest, high);
    cut_top(rest, GAP / 2.0);
    let mut places: Vec<(&AnswerView, Rect)> = Vec::new();
    match (view.is_over, view.answers.as_slice()) {
        (true, [mine, theirs]) => {
            places.push((mine, cut_left(&mut row, columns.wide)));
            places.push((theirs, cut_right(&mut row, columns.wide)));
        }
        (_, all) => {
            let count = u16::try_from(all.len().max(1)).unwrap_or(u16::MAX);
            let wide = (row.width() + GAP) / f32::from(count) - GAP;
            for one in all {
                places.push((one, cut_left(&mut row, wide)));
                cut_left(&mut row, GAP);
            }
        }
    }
    for (at, (answer, place)) in places.into_iter().enumerate() {
        let size = ANSWER_TEXT * columns.grown;
        answer_field_ui(ui, place, (at, answer), size, look, presses);
    }
}

/// What stands on which side.
fn names_ui(ui: &mut Ui, rest: &mut Rect, columns: Columns, look: &Look) {
    let mut row = cut_top(rest, (SIGN * columns.grown).min(rest.height() / 4.0));
    let here = cut_left(&mut row, columns.wide);
    let there = cut_right(&mut row, columns.wide);
    let line = Line::bold(SMALL * columns.grown, look.tokens.text);
    line.say(ui, here, "side head 0", "typed here");
    line.say(ui, there, "side head 1", "on the disk");
    let edge = Stroke::new(look.tokens.hairline, look.tokens.text);
    ui.painter().hline(rest.x_range(), rest.top(), edge);
    cut_top(rest, 2.0);
}

fn rows_ui(
    ui: &mut Ui,
    place: Rect,
    (view, columns): (&SidesView, Columns),
    look: &Look,
) -> PageDrawn {
    let how = ReadOn {
        gap: 0.0,
        id: "sides more",
        what: "line",
        end: "the end",
        high: SIGN,
        size: SMALL - 1.0,
        anchor: Align2::RIGHT_CENTER,
        is_seldom: false,
    };
    let height = |ui: &Ui, row: &SideRowView, _: f32| row_height(ui, row, columns, look);
    let rows = (view.rows.as_slice(), view.skipped);
    read_on_ui(
        ui,
        place,
        rows,
        (&how, look),
        height,
        |ui, line, at, row| {
            name_ui(ui, line, &format!("side {at}"), &row.spoken, false);
            row_ui(ui, line, row, columns, look);
        },
    )
}

/// The line in its three pieces.
fn runs<'t>(line: &'t SideLineView, grown: f32, look: &Look) -> [Paragraph<'t>; 3] {
    let run = |text, family| Paragraph {
        text,
        size: TEXT * grown,
        family,
        ink: look.tokens.text,
    };
    [
        run(&line.before, REGULAR),
        run(&line.differs, bold()),
        run(&line.behind, REGULAR),
    ]
}

/// The place of the text in that of a side.
fn text_place(side: Rect, grown: f32) -> Rect {
    let left = (side.left() + NUMBER * grown + 8.0).min(side.right());
    Rect::from_min_max(
        pos2(left, side.top() + 2.0),
        side.max - vec2(4.0_f32.min(side.width() / 8.0), 2.0),
    )
}

fn row_height(ui: &Ui, row: &SideRowView, columns: Columns, look: &Look) -> f32 {
    if row.mark == SideMark::Folded {
        return FOLDED * columns.grown;
    }
    let side = Rect::from_min_size(Pos2::ZERO, vec2(columns.wide, 100.0));
    let wide = text_place(side, columns.grown).width();
    let height = |line: &Option<SideLineView>| {
        let line = line.as_ref();
        line.map_or(0.0, |line| {
            runs_height(ui, &runs(line, columns.grown, look), wide)
        })
    };
    height(&row.here)
        .max(height(&row.there))
        .max(TEXT * columns.grown)
        + 5.0
}

fn row_ui(ui: &mut Ui, place: Rect, row: &SideRowView, columns: Columns, look: &Look) {
    let tokens = &look.tokens;
    let mut rest = place;
    if row.mark == SideMark::Folded {
        let edge = Stroke::new(tokens.hairline, tokens.line);
        ui.painter().hline(place.x_range(), place.top(), edge);
        let line = Line::regular(SMALL * columns.grown, tokens.muted).at(Align2::CENTER_CENTER);
        line.paint(ui, place, &row.word);
        return;
    }
    let here = cut_left(&mut rest, columns.wide);
    let there = cut_right(&mut rest, columns.wide);
    for (side, line) in [(here, &row.here), (there, &row.there)] {
        side_ui(ui, side, (line.as_ref(), row, columns.grown), look);
    }
    let mut between = rest.shrink2(vec2(4.0_f32.min(columns.between / 8.0), 0.0));
    if row.mark == SideMark::Same || !has_area(between) {
        return;
    }
    let sign = cut_left(&mut between, SHAPE * columns.grown);
    cut_left(&mut between, 4.0);
    let line = match row.is_asked {
        true => Line::bold(SMALL * columns.grown, tokens.text),
        false => Line::regular(SMALL * columns.grown, tokens.text),
    };
    sign_ui(ui.painter(), sign, row.mark, look);
    line.paint(ui, between, &row.word);
}

/// One side of a row; boxed where it differs.
fn side_ui(
    ui: &mut Ui,
    side: Rect,
    (line, row, grown): (Option<&SideLineView>, &SideRowView, f32),
    look: &Look,
) {
    let tokens = &look.tokens;
    if !has_area(side) {
        return;
    }
    let text = text_place(side, grown);
    let Some(line) = line else {
        Line::regular(SMALL * grown, tokens.muted).paint(ui, text, "no such line");
        return;
    };
    if row.mark != SideMark::Same {
        let thick = if row.is_asked { 2.5 } else { 1.0 };
        let edge = Stroke::new(thick, tokens.text);
        let square = side.shrink2(vec2(0.0, 0.5));
        ui.painter()
            .rect_stroke(square, 0.0, edge, StrokeKind::Inside);
    }
    let mut number = side.shrink2(vec2(3.0_f32.min(side.width() / 8.0), 2.0));
    let number = cut_left(&mut number, NUMBER * grown);
    let number = Rect::from_min_size(number.min, vec2(number.width(), TEXT * 1.25 * grown));
    let count = Line::regular((SMALL - 1.0) * grown, tokens.muted).at(Align2::RIGHT_CENTER);
    count.paint(ui, number.intersect(side), &line.number.to_string());
    if has_area(text) {
        runs_paint(ui, &runs(line, grown, look), text);
    }
}

/// Unequal bars; or an arrow to the side that alone has the line.
fn sign_ui(painter: &Painter, place: Rect, mark: SideMark, look: &Look) {
    let ink = look.tokens.text;
    let side = place.width().min(place.height());
    let middle = place.center();
    let at = |x: f32, y: f32| middle + vec2(x, y) * side;
    let arrow = |way: f32| {
        let tips = vec![
            at(0.45 * way, 0.0),
            at(-0.4 * way, -0.45),
            at(-0.4 * way, 0.45),
        ];
        Shape::convex_polygon(tips, ink, Stroke::NONE)
    };
    match mark {
        SideMark::Same | SideMark::Folded => {}
        SideMark::Differs => {
            let thick = Stroke::new(1.5, ink);
            painter.line_segment([at(-0.45, -0.16), at(0.45, -0.16)], thick);
            painter.line_segment([at(-0.45, 0.16), at(0.45, 0.16)], thick);
            painter.line_segment([at(-0.22, 0.45), at(0.22, -0.45)], thick);
        }
        SideMark::Here => {
            painter.add(arrow(-1.0));
        }
        SideMark::There => {
            painter.add(arrow(1.0));
        }
    }
}
