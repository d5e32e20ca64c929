//! The table of results on a page of a session: its columns, and a row with its bar.

use eframe::egui::{Align2, Rect, Stroke, StrokeKind, Ui, pos2, vec2};

use super::line_ui::{Line, cut_left, cut_top, has_area, name_ui};
use super::look::{Look, REGULAR, paint_mark};
use super::paragraph_ui::Paragraph;
use super::records_sheet_ui::{SMALL, TEXT};
use super::view::SheetResultView;

/// Height of the names of the columns.
pub(super) const COLUMNS_HIGH: f32 = 20.0;
const ROW: f32 = 22.0;
const MARK: f32 = 12.0;
const GAP: f32 = 8.0;
/// A page below this width leaves out columns that stand in the note too.
const WIDE_FROM: f32 = 560.0;
/// The value may lie so far outside of the bar before it is cut, in tolerances.
const BEYOND: f32 = 0.25;

/// The columns with their shares of the width; some are left out where it is narrow.
const COLUMNS: [(&str, f32, bool); 8] = [
    ("No.", 0.05, true),
    ("Callout", 0.15, true),
    ("Limits, mm", 0.17, true),
    ("Actual at 20 °C", 0.12, true),
    ("Lower to upper", 0.15, false),
    ("u", 0.08, false),
    ("Gauge", 0.11, false),
    ("Verdict", 0.17, true),
];

/// The places of the columns in a row; those without room have none.
fn places(row: Rect) -> [Rect; 8] {
    let is_wide = row.width() >= WIDE_FROM;
    let seen = COLUMNS.iter().filter(|(_, _, always)| *always || is_wide);
    let whole: f32 = seen.map(|(_, share, _)| share).sum();
    let mut rest = row;
    COLUMNS.map(|(_, share, always)| {
        let wide = match always || is_wide {
            true => row.width() * share / whole,
            false => 0.0,
        };
        let cell = cut_left(&mut rest, wide);
        Rect::from_min_max(
            cell.min,
            pos2((cell.right() - GAP).max(cell.left()), cell.bottom()),
        )
    })
}

/// Paints the names of the columns.
pub(super) fn columns_ui(ui: &mut Ui, row: Rect, look: &Look) {
    let edge = Stroke::new(look.tokens.hairline, look.tokens.text);
    ui.painter().hline(row.x_range(), row.bottom() - 1.0, edge);
    for ((name, ..), cell) in COLUMNS.iter().zip(places(row)) {
        if has_area(cell) {
            Line::regular(SMALL, look.tokens.muted).paint(ui, cell, name);
        }
    }
}

fn note<'a>(result: &'a SheetResultView, look: &Look) -> Paragraph<'a> {
    Paragraph {
        text: &result.note,
        size: SMALL,
        family: REGULAR,
        ink: look.tokens.muted,
    }
}

/// Height of a row with its note.
pub(super) fn result_height(ui: &Ui, result: &SheetResultView, width: f32, look: &Look) -> f32 {
    let note = match result.note.is_empty() {
        true => 0.0,
        false => note(result, look).height(ui, width * 0.95),
    };
    ROW + note + 4.0
}

fn spoken(result: &SheetResultView) -> String {
    let verdict = result.verdict.as_ref();
    let verdict = verdict.map_or("", |verdict| verdict.text.as_str());
    let all = [
        &*result.number,
        &*result.callout,
        &*result.limits,
        &*result.actual,
        verdict,
        &*result.note,
    ];
    let said = all.into_iter().filter(|text| !text.is_empty());
    said.collect::<Vec<_>>().join(", ")
}

/// Paints a row.
pub(super) fn result_ui(ui: &mut Ui, row: Rect, id: &str, result: &SheetResultView, look: &Look) {
    if !has_area(row) {
        return;
    }
    name_ui(ui, row, id, &spoken(result), false);
    let tokens = &look.tokens;
    let edge = Stroke::new(tokens.hairline, tokens.line);
    ui.painter().hline(row.x_range(), row.bottom() - 1.0, edge);
    let mut rest = row;
    let line = cut_top(&mut rest, ROW);
    let [number, callout, limits, actual, bar, u, gauge, verdict] = places(line);
    let ink = tokens.text;
    Line::bold(TEXT, ink).paint(ui, number, &result.number);
    Line::bold(TEXT, ink).paint(ui, callout, &result.callout);
    Line::regular(SMALL, ink).paint(ui, limits, &result.limits);
    Line::bold(TEXT, ink).paint(ui, actual, &result.actual);
    for (cell, text) in [(u, &result.u), (gauge, &result.gauge)] {
        if has_area(cell) {
            Line::regular(SMALL, ink).paint(ui, cell, text);
        }
    }
    match result.bar {
        Some((at, half)) if has_area(bar) => bar_ui(ui, bar, (at, half), look),
        _ if has_area(bar) => {
            Line::regular(SMALL, ink).paint(ui, bar, &result.deviation);
        }
        _ => {}
    }
    if let Some(state) = &result.verdict {
        let mut verdict = verdict;
        let side = cut_left(&mut verdict, MARK);
        let square = Rect::from_center_size(side.center(), vec2(MARK, MARK));
        paint_mark(ui.painter(), square, state.mark, look);
        cut_left(&mut verdict, 5.0);
        Line::bold(SMALL, ink).paint(ui, verdict, &state.text);
    }
    if !result.note.is_empty() {
        let indent = number.width() + GAP;
        cut_left(&mut rest, indent.min(row.width() * 0.05));
        note(result, look).paint(ui, rest);
    }
}

/// The tolerance as a frame between its limits, the value as a line, what is uncertain around it
/// as a grey band. A value far outside lies at the end of the bar.
fn bar_ui(ui: &Ui, cell: Rect, (at, half): (f32, f32), look: &Look) {
    let tokens = &look.tokens;
    let bar = cell.shrink2(vec2(0.0, 5.0_f32.min(cell.height() / 4.0)));
    let unit = bar.width() / (1.0 + 2.0 * BEYOND);
    let place = |share: f32| {
        let share = share.clamp(-BEYOND, 1.0 + BEYOND);
        bar.left() + (share + BEYOND) * unit
    };
    let painter = ui.painter_at(cell.expand(1.0));
    let zone = Rect::from_min_max(pos2(place(0.0), bar.top()), pos2(place(1.0), bar.bottom()));
    painter.rect_filled(zone, 0.0, tokens.ground);
    let uncertain = Rect::from_min_max(
        pos2(place(at - half), bar.top() + 3.0),
        pos2(place(at + half), bar.bottom() - 3.0),
    );
    painter.rect_filled(uncertain, 0.0, tokens.muted);
    let edge = Stroke::new(1.0, tokens.text);
    painter.rect_stroke(zone, 0.0, edge, StrokeKind::Inside);
    let value = Stroke::new(3.0, tokens.text);
    painter.vline(place(at), cell.y_range().shrink(2.0), value);
    // Beyond the end: an arrow's point says that it lies still further out.
    if !(-BEYOND..=1.0 + BEYOND).contains(&at) {
        let sign = if at < 0.0 { "<" } else { ">" };
        let anchor = if at < 0.0 {
            Align2::LEFT_CENTER
        } else {
            Align2::RIGHT_CENTER
        };
        Line::bold(SMALL, tokens.text)
            .at(anchor)
            .paint(ui, cell, sign);
    }
}
