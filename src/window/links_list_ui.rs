//! Paints the list of pairs to work from at the bench, and the measured mates of the part at hand.

use eframe::egui::{Align2, Rect, Ui, vec2};

use super::drawn::PageDrawn;
use super::line_ui::{
    Line, cut_bottom, cut_left, cut_right_most, cut_top, has_area, name_ui, square_in,
};
use super::links_ui::sign_of;
use super::look::{Look, REGULAR, paint_mark, paint_mark_on, text_width};
use super::press::Press;
use super::room_ui::{STEP, first_seen, fitting};
use super::view::{LinkLineView, Mark, MateView, SentenceView};

/// Height of a line, for the eye from the bench.
const ROW: f32 = 27.0;
const HEAD: f32 = 18.0;
/// What the names of records stand for, on two lines at most.
const FOOT: f32 = 34.0;
const TEXT: f32 = 15.0;
const SMALL: f32 = 12.0;
const MARK: f32 = 12.0;
/// Height of a mate, for fingers too.
const MATE: f32 = 36.0;
/// Shares of the width: number, hole and its size, shaft and its size, clearance, how it stands.
const SHARES: [f32; 7] = [0.06, 0.2, 0.14, 0.2, 0.14, 0.12, 0.14];

/// The pairs one below the other, with the names of their parts large.
pub(super) fn list_ui(
    ui: &mut Ui,
    place: Rect,
    (lines, below): (&[LinkLineView], &[SentenceView]),
    look: &Look,
) -> PageDrawn {
    let tokens = &look.tokens;
    let mut rest = place;
    for line in below {
        let foot = cut_bottom(&mut rest, FOOT.min(place.height() / 4.0));
        let text = Line::regular(SMALL, tokens.text).on(2);
        text.say(ui, foot, "links below", &line.text);
    }
    let head = cut_top(&mut rest, HEAD.min(place.height() / 4.0));
    let names = ["", "hole", "size, mm", "shaft", "size, mm", "clearance", ""];
    for ((at, name), cell) in names.iter().enumerate().zip(cells(head)) {
        if has_area(cell) && !name.is_empty() {
            let line = Line::regular(SMALL, tokens.muted);
            anchored(line, at).paint(ui, cell, name);
        }
    }
    let fit = fitting(rest.height(), ROW, lines.len()).max(1);
    for (at, line) in lines.iter().enumerate().take(fit) {
        let row = cut_top(&mut rest, ROW);
        let ground = match at % 2 {
            0 => tokens.panel,
            _ => tokens.ground,
        };
        ui.painter().rect_filled(row, 0.0, ground);
        line_ui(ui, row, (at, line), look);
    }
    PageDrawn {
        fit,
        ..PageDrawn::default()
    }
}

/// Sizes and clearance stand at the right of their places, names at the left.
fn anchored(line: Line, column: usize) -> Line {
    match column {
        2 | 4 | 5 => line.at(Align2::RIGHT_CENTER),
        _ => line,
    }
}

fn cells(row: Rect) -> Vec<Rect> {
    let (mut rest, wide) = (row, row.width());
    let cells = SHARES.iter().map(|share| {
        let cell = cut_left(&mut rest, wide * share);
        cell.shrink2(vec2(STEP.min(cell.width() / 4.0), 0.0))
    });
    cells.collect()
}

fn line_ui(ui: &mut Ui, row: Rect, (at, view): (usize, &LinkLineView), look: &Look) {
    if !has_area(row) {
        return;
    }
    name_ui(ui, row, &format!("link line {at}"), &view.spoken, false);
    let ink = look.tokens.text;
    let cells = cells(row);
    let texts = [
        (&view.number, false),
        (&view.hole.0, true),
        (&view.hole.1, false),
        (&view.shaft.0, true),
        (&view.shaft.1, false),
        (&view.clearance, false),
    ];
    for (column, ((text, is_name), cell)) in texts.into_iter().zip(&cells).enumerate() {
        if text.is_empty() {
            continue;
        }
        let line = match is_name {
            true => Line::bold(TEXT, ink),
            false => Line::regular(TEXT, ink),
        };
        anchored(line, column).paint(ui, *cell, text);
    }
    let Some(last) = cells.last() else { return };
    // A part that is left says why over the places that its other half would have.
    let mut last = match (view.hole.0.is_empty(), view.shaft.0.is_empty()) {
        (true, _) => cells
            .get(1)
            .zip(cells.get(2))
            .map(|(one, two)| one.union(*two)),
        (_, true) => cells.get(3).map(|one| one.union(*last)),
        _ => None,
    }
    .unwrap_or(*last);
    if let Some(sign) = sign_of(view.mark) {
        let square = square_in(cut_left(&mut last, 14.0), MARK);
        paint_mark(ui.painter(), square, sign, look);
        cut_left(&mut last, 4.0);
        Line::regular(TEXT - 1.0, ink).paint(ui, last, &view.word);
    } else {
        Line::regular(SMALL, ink).on(2).paint(ui, last, &view.word);
    }
}

/// The measured mates, the chosen one among them; a click picks.
pub(super) fn mates_ui(
    ui: &mut Ui,
    place: Rect,
    (before, mates): (usize, &[MateView]),
    look: &Look,
    presses: &mut Vec<Press>,
) -> PageDrawn {
    let mut rest = place;
    let fit = fitting(rest.height(), MATE, mates.len()).max(1);
    let chosen = mates.iter().position(|mate| mate.is_chosen).unwrap_or(0);
    let first = first_seen(chosen, fit);
    for (at, mate) in mates.iter().enumerate().skip(first).take(fit) {
        let row = cut_top(&mut rest, MATE).shrink2(vec2(0.0, 1.0));
        mate_ui(ui, row, (before + at, mate), look, presses);
    }
    PageDrawn {
        fit,
        ..PageDrawn::default()
    }
}

fn mate_ui(
    ui: &mut Ui,
    place: Rect,
    (at, view): (usize, &MateView),
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if !has_area(place) {
        return;
    }
    if name_ui(ui, place, &format!("mate {at}"), &view.spoken, true).clicked() {
        presses.push(Press::Choose(at));
    }
    let (ground, ink, _) = look.tokens.row(view.is_chosen);
    ui.painter().rect_filled(place, 0.0, ground);
    let mut rest = place.shrink2(vec2(STEP.min(place.width() / 8.0), 2.0));
    let mark = cut_left(&mut rest, 16.0);
    if view.is_picked {
        let square = square_in(mark, MARK);
        paint_mark_on(ui.painter(), square, Mark::Inside, look, ink);
    }
    let wide = rest.width();
    let name = cut_left(&mut rest, wide * 0.24);
    Line::bold(TEXT, ink).paint(ui, name, &view.name);
    let wide = text_width(ui.painter(), &view.detail, SMALL, REGULAR);
    let detail = cut_right_most(&mut rest, wide, 0.6);
    let line = Line::regular(SMALL, ink).at(Align2::RIGHT_CENTER);
    line.paint(ui, detail, &view.detail);
    Line::regular(TEXT, ink).paint(ui, rest, &view.size);
}
