//! A session as it will print, painted: lines from the top of the page, as many as there is room
//! for; and a check of a record with its bar.

use eframe::egui::{Align2, Rect, Stroke, StrokeKind, Ui, pos2, vec2};

use super::drawn::PageDrawn;
use super::gauges_pages_ui::{fact_height, fact_ui};
use super::line_ui::{Line, cut_left, cut_left_most, cut_right, cut_top, has_area, name_ui};
use super::lines_ui::{ReadOn, read_on_ui};
use super::look::{Look, REGULAR, bold, paint_mark, paint_pattern, text_width};
use super::outline_ui::outline_ui;
use super::paragraph_ui::Paragraph;
use super::press::Press;
use super::records_result_ui::{COLUMNS_HIGH, columns_ui, result_height, result_ui};
use super::room_ui::Turn;
use super::view::{RecordStateView, SheetLine, SheetTextView, SheetView, VerifyView};

pub(super) const TEXT: f32 = 13.0;
pub(super) const SMALL: f32 = 12.0;
const GAP: f32 = 8.0;
const MARK: f32 = 12.0;
const TITLE: f32 = 26.0;
const HEADING: f32 = 26.0;
const STANDING: f32 = 34.0;
/// Height of the outline: share of its width, and its ends.
const OUTLINE: (f32, f32, f32) = (0.16, 90.0, 200.0);
const SIGN: f32 = 18.0;
const BAR: f32 = 26.0;
/// Width of the keys that turn, and what is free around them.
const TURN: (f32, f32) = (26.0, 2.0);

/// Paints a page; answers how many lines were seen and whether there are more.
pub(super) fn sheet_ui(
    ui: &mut Ui,
    place: Rect,
    view: &SheetView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> PageDrawn {
    let tokens = &look.tokens;
    ui.painter().rect_filled(place, 0.0, tokens.panel);
    let mut rest = place.shrink2(vec2(
        1.25 * GAP.min(place.width() / 10.0),
        (GAP / 2.0).min(place.height() / 10.0),
    ));
    let mut top = cut_top(&mut rest, TITLE);
    turns_ui(ui, &mut top, view, look, presses);
    Line::bold(TEXT + 4.0, tokens.text).say(ui, top, "record title", &view.title);
    let edge = Stroke::new(tokens.hairline, tokens.line);
    ui.painter().hline(rest.x_range(), rest.top(), edge);
    cut_top(&mut rest, GAP / 2.0);
    if !view.notice.is_empty() {
        let state = SheetTextView {
            text: view.notice.clone(),
            ..SheetTextView::default()
        };
        text_ui(ui, rest, "record notice", &state, look);
        return PageDrawn::default();
    }
    lines_ui(ui, rest, (&view.lines, view.skipped), look)
}

/// Where in the session the page is, with the keys that turn.
fn turns_ui(ui: &mut Ui, top: &mut Rect, view: &SheetView, look: &Look, presses: &mut Vec<Press>) {
    let after = Turn {
        is_there: view.turns.1,
        sign: "+",
        name: "page after",
        press: Press::Plus,
    };
    after.paint(ui, top, TURN, look, presses);
    let wide = text_width(ui.painter(), &view.place, TEXT, REGULAR);
    let wide = wide.min(top.width() * 0.5);
    let place = cut_right(top, wide + 2.0 * GAP);
    let line = Line::regular(TEXT, look.tokens.text).at(Align2::CENTER_CENTER);
    line.say(ui, place, "record place", &view.place);
    let before = Turn {
        is_there: view.turns.0,
        sign: "−",
        name: "page before",
        press: Press::Minus,
    };
    before.paint(ui, top, TURN, look, presses);
    cut_right(top, GAP);
}

/// Lines of which some are passed over.
fn lines_ui(
    ui: &mut Ui,
    place: Rect,
    (lines, skipped): (&[SheetLine], usize),
    look: &Look,
) -> PageDrawn {
    let how = ReadOn {
        gap: 0.0,
        id: "more lines",
        what: "line",
        end: "the end of the page",
        high: SIGN,
        size: SMALL,
        anchor: Align2::LEFT_CENTER,
        is_seldom: false,
    };
    let height = |ui: &Ui, line: &SheetLine, width: f32| height(ui, line, width, look);
    read_on_ui(
        ui,
        place,
        (lines, skipped),
        (&how, look),
        height,
        |ui, row, at, line| {
            line_ui(ui, row, at, line, look);
        },
    )
}

fn height(ui: &Ui, line: &SheetLine, width: f32, look: &Look) -> f32 {
    match line {
        SheetLine::Heading(_) => HEADING,
        SheetLine::Standing(_) => STANDING,
        SheetLine::Fact(fact) => fact_height(ui, fact, width, look),
        SheetLine::Pair(pair) => {
            let wide = width / 2.0 - GAP;
            let one = fact_height(ui, &pair.0, wide, look);
            one.max(fact_height(ui, &pair.1, wide, look))
        }
        SheetLine::Outline(_) => (width * OUTLINE.0).clamp(OUTLINE.1, OUTLINE.2),
        SheetLine::Columns => COLUMNS_HIGH,
        SheetLine::Result(result) => result_height(ui, result, width, look),
        SheetLine::Text(text) => text_height(ui, text, width, look),
    }
}

fn line_ui(ui: &mut Ui, row: Rect, at: usize, line: &SheetLine, look: &Look) {
    let id = format!("line {at}");
    match line {
        SheetLine::Heading(text) => {
            let text_place = Rect::from_min_max(pos2(row.left(), row.top() + 6.0), row.max);
            Line::bold(TEXT + 1.0, look.tokens.text).say(ui, text_place, &id, text);
        }
        SheetLine::Standing(state) => standing_ui(ui, row, &id, state, look),
        SheetLine::Fact(fact) => fact_ui(ui, row, &id, fact, look),
        SheetLine::Pair(pair) => {
            let mut right = row;
            let left = cut_left(&mut right, row.width() / 2.0 - GAP);
            cut_left(&mut right, 2.0 * GAP);
            fact_ui(ui, left, &id, &pair.0, look);
            fact_ui(ui, right, &format!("{id} beside"), &pair.1, look);
        }
        SheetLine::Outline(outline) => {
            let place = row.shrink2(vec2(0.0, 2.0));
            outline_ui(ui, place, outline, look, &mut Vec::new());
        }
        SheetLine::Columns => columns_ui(ui, row, look),
        SheetLine::Result(result) => result_ui(ui, row, &id, result, look),
        SheetLine::Text(text) => text_ui(ui, row, &id, text, look),
    }
}

/// The word that stands for the part, on the fill of its state.
fn standing_ui(ui: &mut Ui, row: Rect, id: &str, state: &RecordStateView, look: &Look) {
    if !has_area(row) {
        return;
    }
    name_ui(ui, row, id, &state.text, false);
    let tokens = &look.tokens;
    let mut rest = row.shrink2(vec2(0.0, 3.0_f32.min(row.height() / 4.0)));
    let size = 18.0;
    let wide = text_width(ui.painter(), &state.text, size, bold());
    let band = cut_left(&mut rest, 18.0);
    let plate = cut_left_most(&mut rest, wide + 3.0 * GAP, 1.0);
    // The pattern beside the word, so that nothing lies under its letters.
    let fill = tokens.fill(state.mark).unwrap_or(tokens.panel);
    ui.painter().rect_filled(band, 0.0, fill);
    if tokens.fill(state.mark).is_some() {
        let pattern = super::look::pattern_of(state.mark);
        paint_pattern(&ui.painter_at(band), band, pattern, look);
    }
    ui.painter()
        .rect_filled(plate, 0.0, tokens.plate(state.mark));
    let whole = band.union(plate);
    let edge = Stroke::new(1.0, tokens.line);
    ui.painter()
        .rect_stroke(whole, 0.0, edge, StrokeKind::Inside);
    let ink = tokens.on_plate(state.mark);
    let line = Line::bold(size, ink).at(Align2::CENTER_CENTER);
    line.paint(ui, plate.shrink2(vec2(4.0, 0.0)), &state.text);
}

fn text_places(ui: &Ui, text: &SheetTextView, width: f32, look: &Look) -> [f32; 3] {
    let inner = width - text.mark.map_or(0.0, |_| MARK + 6.0);
    let high = |text: &str, size: f32| match text.is_empty() {
        true => 0.0,
        false => Paragraph::regular(text, size, look.tokens.text).height(ui, inner),
    };
    [
        high(&text.struck, TEXT),
        high(&text.text, TEXT),
        high(&text.note, SMALL),
    ]
}

fn text_height(ui: &Ui, text: &SheetTextView, width: f32, look: &Look) -> f32 {
    text_places(ui, text, width, look).iter().sum::<f32>() + 6.0
}

/// What holds no longer is struck through, and the words `no longer:` stand before it for those
/// who do not see the line.
fn text_ui(ui: &mut Ui, row: Rect, id: &str, text: &SheetTextView, look: &Look) {
    if !has_area(row) {
        return;
    }
    let struck = match text.struck.is_empty() {
        true => String::new(),
        false => format!("no longer: {}", text.struck),
    };
    let all = [&*struck, &*text.text, &*text.note];
    let said = all.into_iter().filter(|text| !text.is_empty());
    name_ui(ui, row, id, &said.collect::<Vec<_>>().join(", "), false);
    let tokens = &look.tokens;
    let [struck, held, note] = text_places(ui, text, row.width(), look);
    let mut rest = row;
    if let Some(mark) = text.mark {
        let side = cut_left(&mut rest, MARK);
        let at = pos2(side.center().x, side.top() + 9.0);
        let square = Rect::from_center_size(at, vec2(MARK, MARK));
        paint_mark(ui.painter(), square, mark, look);
        cut_left(&mut rest, 6.0);
    }
    let old = cut_top(&mut rest, struck);
    if has_area(old) {
        Paragraph::regular(&text.struck, TEXT, tokens.muted).paint_struck(ui, old);
    }
    let new = cut_top(&mut rest, held);
    Paragraph::regular(&text.text, TEXT, tokens.text).paint(ui, new);
    let who = cut_top(&mut rest, note);
    Paragraph::regular(&text.note, SMALL, tokens.muted).paint(ui, who);
}

/// Paints a check: what it came to, its bar while it goes on, what was found.
pub(super) fn verify_ui(ui: &mut Ui, place: Rect, view: &VerifyView, look: &Look) -> PageDrawn {
    let tokens = &look.tokens;
    ui.painter().rect_filled(place, 0.0, tokens.panel);
    let mut rest = place.shrink2(vec2(
        1.25 * GAP.min(place.width() / 10.0),
        (GAP / 2.0).min(place.height() / 10.0),
    ));
    let top = cut_top(&mut rest, TITLE);
    Line::bold(TEXT + 2.0, tokens.text).say(ui, top, "check title", &view.title);
    if let Some(state) = &view.state {
        let text = SheetTextView {
            text: state.text.clone(),
            mark: Some(state.mark),
            ..SheetTextView::default()
        };
        let high = text_height(ui, &text, rest.width(), look);
        let row = cut_top(&mut rest, high);
        text_ui(ui, row, "check state", &text, look);
    }
    if let Some(share) = view.progress {
        let mut bar = cut_top(&mut rest, BAR);
        let wide = text_width(ui.painter(), &view.progress_text, TEXT, REGULAR);
        let wide = wide.min(bar.width() * 0.5) + GAP;
        let text = cut_right(&mut bar, wide);
        progress_ui(ui, bar.shrink2(vec2(0.0, 4.0)), share, look);
        let line = Line::regular(TEXT, tokens.text).at(Align2::RIGHT_CENTER);
        line.say(ui, text, "check progress", &view.progress_text);
        return PageDrawn::default();
    }
    lines_ui(ui, rest, (&view.lines, view.skipped), look)
}

/// A bar that fills from the left.
pub(super) fn progress_ui(ui: &Ui, bar: Rect, share: f32, look: &Look) {
    if !has_area(bar) {
        return;
    }
    let tokens = &look.tokens;
    let done = bar.left() + bar.width() * share.clamp(0.0, 1.0);
    let filled = Rect::from_min_max(bar.min, pos2(done, bar.bottom()));
    ui.painter().rect_filled(filled, 0.0, tokens.text);
    let edge = Stroke::new(tokens.hairline, tokens.text);
    ui.painter().rect_stroke(bar, 0.0, edge, StrokeKind::Inside);
}
