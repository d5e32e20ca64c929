//! The pages of a gauge, painted. What does not fit is read on with a key, line by line.

use eframe::egui::{Align2, Rect, Stroke, StrokeKind, Ui, pos2, vec2};

use super::gauges_zero_ui::{in_doubt_ui, teach_ui, zero_ui};
use super::line_ui::{
    Line, cut_bottom, cut_left, cut_left_most, cut_right, cut_top, has_area, name_ui, square_in,
};
use super::lines_ui::{ReadOn, read_on_ui};
use super::look::{Look, Pattern, REGULAR, bold, figures, paint_mark, paint_pattern, text_width};
use super::paragraph_ui::Paragraph;
use super::study_ui::study_ui;
use super::view::{
    BudgetBar, BudgetView, FactView, FrameView, LiveView, Mark, PageView, ProvesLineView,
    ProvesView,
};

pub(super) const TEXT: f32 = 13.0;
pub(super) const SMALL: f32 = 12.0;
pub(super) const GAP: f32 = 8.0;
const MARK: f32 = 12.0;
/// The names of facts take this share, and at most so much.
const NAMES: (f32, f32) = (0.34, 190.0);
pub(super) const FRAME: f32 = 18.0;
const SIGN: f32 = 18.0;

/// Paints a page; answers whether there is more below.
pub(super) fn page_ui(
    ui: &mut Ui,
    place: Rect,
    page: &PageView,
    skipped: usize,
    look: &Look,
) -> bool {
    match page {
        PageView::Facts(lines) => facts_ui(ui, place, lines, skipped, look),
        PageView::Live(live) => live_ui(ui, place, live, look),
        PageView::Proves(proves) => proves_ui(ui, place, proves, skipped, look),
        PageView::Budget(budget) => budget_ui(ui, place, budget, look),
        PageView::Zero(zero) => zero_ui(ui, place, zero, skipped, look),
        PageView::InDoubt(in_doubt) => in_doubt_ui(ui, place, in_doubt, skipped, look),
        PageView::Teach(teach) => teach_ui(ui, place, teach, skipped, look),
        PageView::Study(study) => study_ui(ui, place, study, skipped, look),
    }
}

/// A sentence from the top of what is left; the rest keeps what it does not need.
pub(super) fn sentence_ui(
    ui: &mut Ui,
    rest: &mut Rect,
    id: &str,
    text: &str,
    (size, is_bold): (f32, bool),
    look: &Look,
) {
    if text.is_empty() || !has_area(*rest) {
        return;
    }
    let paragraph = Paragraph {
        text,
        size,
        family: if is_bold { bold() } else { REGULAR },
        ink: look.tokens.text,
    };
    let high = paragraph.height(ui, rest.width());
    let place = cut_top(rest, high);
    name_ui(ui, place, id, text, false);
    paragraph.paint(ui, place);
    cut_top(rest, GAP / 2.0);
}

/// Lines of which some are passed over. Answers whether there are more below.
fn some_ui<T>(
    ui: &mut Ui,
    place: Rect,
    lines: (&[T], usize),
    look: &Look,
    height: impl Fn(&Ui, &T, f32) -> f32,
    paint: impl FnMut(&mut Ui, Rect, usize, &T),
) -> bool {
    let how = ReadOn {
        gap: 0.0,
        id: "more lines",
        what: "line",
        end: "the end",
        high: SIGN,
        size: SMALL,
        anchor: Align2::LEFT_CENTER,
        is_seldom: true,
    };
    read_on_ui(ui, place, lines, (&how, look), height, paint).has_more
}

fn names_wide(width: f32) -> f32 {
    (width * NAMES.0).min(NAMES.1)
}

fn value_of<'a>(text: &'a str, look: &Look) -> Paragraph<'a> {
    Paragraph::regular(text, TEXT, look.tokens.text)
}

fn note_of<'a>(text: &'a str, look: &Look) -> Paragraph<'a> {
    Paragraph::regular(text, SMALL, look.tokens.muted)
}

fn fact_text(fact: &FactView) -> String {
    let all = [&*fact.what, &*fact.value, &*fact.note];
    let said = all.into_iter().filter(|text| !text.is_empty());
    said.collect::<Vec<_>>().join(", ")
}

pub(super) fn fact_height(ui: &Ui, fact: &FactView, width: f32, look: &Look) -> f32 {
    let wide = width - names_wide(width) - MARK - 6.0;
    let value = match fact.value.is_empty() {
        true => 0.0,
        false => value_of(&fact.value, look).height(ui, wide),
    };
    let note = match fact.note.is_empty() {
        true => 0.0,
        false => note_of(&fact.note, look).height(ui, wide),
    };
    let name = value_of(&fact.what, look).height(ui, names_wide(width) - GAP);
    (value + note).max(name) + 6.0
}

/// What, value, and below it where it comes from.
pub(super) fn fact_ui(ui: &mut Ui, row: Rect, id: &str, fact: &FactView, look: &Look) {
    name_ui(ui, row, id, &fact_text(fact), false);
    let edge = Stroke::new(look.tokens.hairline, look.tokens.line);
    ui.painter().hline(row.x_range(), row.bottom() - 1.0, edge);
    let mut rest = row;
    let name = cut_left(&mut rest, names_wide(row.width()));
    let name = Rect::from_min_max(name.min, pos2(name.right() - GAP, name.bottom()));
    let what = Paragraph {
        ink: look.tokens.muted,
        ..value_of(&fact.what, look)
    };
    what.paint(ui, name);
    let mark = cut_right(&mut rest, MARK);
    if let Some(state) = fact.mark {
        let at = pos2(mark.center().x, mark.top() + 9.0);
        let square = Rect::from_center_size(at, vec2(MARK, MARK));
        paint_mark(ui.painter(), square, state, look);
    }
    cut_right(&mut rest, 6.0);
    if !fact.value.is_empty() {
        let high = value_of(&fact.value, look).paint(ui, rest);
        cut_top(&mut rest, high);
    }
    if !fact.note.is_empty() {
        note_of(&fact.note, look).paint(ui, rest);
    }
}

pub(super) fn facts_ui(
    ui: &mut Ui,
    place: Rect,
    lines: &[FactView],
    skipped: usize,
    look: &Look,
) -> bool {
    let height = |ui: &Ui, fact: &FactView, width: f32| fact_height(ui, fact, width, look);
    some_ui(
        ui,
        place,
        (lines, skipped),
        look,
        height,
        |ui, row, at, fact| {
            fact_ui(ui, row, &format!("fact {at}"), fact, look);
        },
    )
}

/// A mark with a sentence beside it.
pub(super) fn state_ui(
    ui: &mut Ui,
    rest: &mut Rect,
    id: &str,
    text: &str,
    mark: Mark,
    look: &Look,
) {
    if text.is_empty() || !has_area(*rest) {
        return;
    }
    let mut line = *rest;
    let side = cut_left(&mut line, MARK);
    cut_left(&mut line, 6.0);
    let before = line.top();
    let square = pos2(side.center().x, side.top() + 9.0);
    let square = Rect::from_center_size(square, vec2(MARK, MARK));
    sentence_ui(ui, &mut line, id, text, (TEXT, false), look);
    paint_mark(ui.painter(), square, mark, look);
    cut_top(rest, line.top() - before);
}

/// Value large and called live; the bytes beside what they were read as.
fn live_ui(ui: &mut Ui, place: Rect, view: &LiveView, look: &Look) -> bool {
    let tokens = &look.tokens;
    let mut rest = place;
    let mark = if view.is_fine {
        Mark::Inside
    } else {
        Mark::NoGo
    };
    state_ui(ui, &mut rest, "wire", &view.state, mark, look);
    if !view.place.is_empty() {
        let line = cut_top(&mut rest, FRAME);
        Line::regular(SMALL, tokens.muted).say(ui, line, "wire place", &view.place);
        cut_top(&mut rest, GAP / 2.0);
    }
    if !view.value.is_empty() {
        let high = (place.height() * 0.26).clamp(30.0, 110.0);
        let mut block = cut_top(&mut rest, high);
        cut_top(&mut rest, GAP);
        live_value_ui(ui, &mut block, view, look);
    }
    if view.frames.is_empty() {
        return false;
    }
    let head = cut_top(&mut rest, FRAME);
    let (bytes, reading) = halves(head);
    Line::regular(SMALL, tokens.muted).say(ui, bytes, "bytes head", "bytes, newest first");
    Line::regular(SMALL, tokens.muted).say(ui, reading, "reading head", "read as");
    for (at, frame) in view.frames.iter().enumerate() {
        if rest.height() < FRAME {
            break;
        }
        let line = cut_top(&mut rest, FRAME);
        frame_ui(ui, line, at, frame, look);
    }
    false
}

/// A dashed frame: what stands in it is on no record.
fn live_value_ui(ui: &mut Ui, block: &mut Rect, view: &LiveView, look: &Look) {
    let tokens = &look.tokens;
    let said = format!("{}, {}", view.value, view.value_note);
    name_ui(ui, *block, "live value", &said, false);
    let corners = [
        block.left_top(),
        block.right_top(),
        block.right_bottom(),
        block.left_bottom(),
        block.left_top(),
    ];
    let stroke = Stroke::new(1.5, tokens.muted);
    let dashes = eframe::egui::Shape::dashed_line(&corners, stroke, 6.0, 4.0);
    ui.painter().extend(dashes);
    let mut inner = block.shrink2(vec2(10.0_f32.min(block.width() / 8.0), 4.0));
    let note = cut_right(&mut inner, (block.width() * 0.34).min(170.0));
    cut_right(&mut inner, 1.5 * GAP);
    let line = Line::regular(TEXT, tokens.text).at(Align2::RIGHT_CENTER);
    line.on(3).paint(ui, note, &view.value_note);
    let size = inner.height() * 0.95;
    let painter = ui.painter_at(inner);
    figures(
        &painter,
        inner,
        Align2::LEFT_CENTER,
        &view.value,
        size,
        bold(),
        tokens.text,
    );
}

fn halves(line: Rect) -> (Rect, Rect) {
    let middle = line.left() + line.width() * 0.55;
    let left = Rect::from_min_max(line.min, pos2(middle - GAP, line.bottom()));
    (left, Rect::from_min_max(pos2(middle, line.top()), line.max))
}

fn frame_ui(ui: &mut Ui, line: Rect, at: usize, frame: &FrameView, look: &Look) {
    let tokens = &look.tokens;
    let said = format!("{}: {}", frame.bytes, frame.reading);
    name_ui(ui, line, &format!("frame {at}"), &said, false);
    let edge = Stroke::new(tokens.hairline, tokens.line);
    ui.painter().hline(line.x_range(), line.top(), edge);
    let (bytes, mut reading) = halves(line);
    Line::regular(SMALL, tokens.text).paint(ui, bytes, &frame.bytes);
    if !frame.is_reading {
        let side = square_in(cut_left(&mut reading, MARK), MARK);
        paint_mark(ui.painter(), side, Mark::NoGo, look);
        cut_left(&mut reading, 4.0);
    }
    let line = match frame.is_reading {
        true => Line::bold(SMALL, tokens.text),
        false => Line::regular(SMALL, tokens.text),
    };
    line.paint(ui, reading, &frame.reading);
}

fn proves_ui(ui: &mut Ui, place: Rect, view: &ProvesView, skipped: usize, look: &Look) -> bool {
    let mut rest = place;
    sentence_ui(
        ui,
        &mut rest,
        "proves title",
        &view.title,
        (TEXT + 1.0, true),
        look,
    );
    state_ui(
        ui,
        &mut rest,
        "proves warning",
        &view.warning,
        Mark::NoGo,
        look,
    );
    if !view.note.is_empty() {
        let high = note_of(&view.note, look).height(ui, rest.width());
        let note = cut_bottom(&mut rest, high + 2.0);
        name_ui(ui, note, "proves note", &view.note, false);
        note_of(&view.note, look).paint(ui, note);
    }
    let height = |ui: &Ui, line: &ProvesLineView, width: f32| {
        let bar = if line.guard.is_some() { 14.0 } else { 0.0 };
        let detail = match line.detail.is_empty() {
            true => 0.0,
            false => note_of(&line.detail, look).height(ui, width),
        };
        22.0 + bar + detail + 8.0
    };
    let lines = (view.lines.as_slice(), skipped);
    some_ui(ui, rest, lines, look, height, |ui, row, at, line| {
        proves_line_ui(ui, row, at, line, look);
    })
}

/// What, the word, the ratio; the tolerance with its guard zones; what that means.
fn proves_line_ui(ui: &mut Ui, row: Rect, at: usize, line: &ProvesLineView, look: &Look) {
    let tokens = &look.tokens;
    let all = [&*line.what, &*line.word, &*line.ratio, &*line.detail];
    let said = all.into_iter().filter(|text| !text.is_empty());
    let said = said.collect::<Vec<_>>().join(", ");
    name_ui(ui, row, &format!("proves {at}"), &said, false);
    let edge = Stroke::new(tokens.hairline, tokens.line);
    ui.painter().hline(row.x_range(), row.bottom() - 2.0, edge);
    let mut rest = row;
    let mut top = cut_top(&mut rest, 22.0);
    let side = square_in(cut_left(&mut top, MARK), MARK);
    paint_mark(ui.painter(), side, line.mark, look);
    cut_left(&mut top, 6.0);
    let wide = text_width(ui.painter(), &line.ratio, TEXT, REGULAR);
    let ratio = cut_right(&mut top, wide + 1.0);
    let right = Line::regular(TEXT, tokens.text).at(Align2::RIGHT_CENTER);
    right.paint(ui, ratio, &line.ratio);
    cut_right(&mut top, GAP);
    let wide = text_width(ui.painter(), &line.what, TEXT, bold());
    let what = cut_left_most(&mut top, wide, 0.6);
    Line::bold(TEXT, tokens.text).paint(ui, what, &line.what);
    cut_left(&mut top, GAP);
    Line::regular(TEXT, tokens.text).paint(ui, top, &line.word);
    if let Some(guard) = line.guard {
        let bar = cut_top(&mut rest, 14.0).shrink2(vec2(0.0, 1.0));
        tolerance_ui(ui, bar, guard, look);
    }
    if !line.detail.is_empty() {
        note_of(&line.detail, look).paint(ui, rest);
    }
}

/// The tolerance from limit to limit: guard zones dotted, between them what can be GO.
fn tolerance_ui(ui: &Ui, bar: Rect, guard: f32, look: &Look) {
    let tokens = &look.tokens;
    let painter = ui.painter();
    let each = bar.width() * guard.clamp(0.0, 1.0) / 2.0;
    let left = Rect::from_min_max(bar.min, pos2(bar.left() + each, bar.bottom()));
    let right = Rect::from_min_max(pos2(bar.right() - each, bar.top()), bar.max);
    let middle = Rect::from_min_max(left.right_top(), right.left_bottom());
    painter.rect_filled(middle, 0.0, tokens.go);
    for zone in [left, right] {
        if has_area(zone) {
            painter.rect_filled(zone, 0.0, tokens.doubt);
            paint_pattern(&ui.painter_at(zone), zone, Pattern::Dots, look);
        }
    }
    painter.rect_stroke(bar, 0.0, Stroke::new(1.0, tokens.line), StrokeKind::Inside);
}

fn budget_ui(ui: &mut Ui, place: Rect, view: &BudgetView, look: &Look) -> bool {
    let mut rest = place;
    sentence_ui(
        ui,
        &mut rest,
        "budget title",
        &view.title,
        (TEXT + 1.0, true),
        look,
    );
    cut_top(&mut rest, GAP / 2.0);
    let row = (place.height() / 9.0).clamp(24.0, 40.0);
    let name = |ui: &Ui| {
        let widths = view
            .bars
            .iter()
            .map(|bar| text_width(ui.painter(), &bar.what, TEXT, REGULAR));
        widths.fold(0.0, f32::max).min(place.width() * 0.5)
    };
    let names = name(ui);
    for (at, bar) in view.bars.iter().enumerate() {
        if rest.height() < row {
            break;
        }
        let line = cut_top(&mut rest, row);
        share_ui(ui, line, (at, names), bar, look);
    }
    cut_top(&mut rest, GAP / 2.0);
    sentence_ui(
        ui,
        &mut rest,
        "budget total",
        &view.total,
        (TEXT + 2.0, true),
        look,
    );
    if !view.note.is_empty() && has_area(rest) {
        name_ui(ui, rest, "budget note", &view.note, false);
        note_of(&view.note, look).paint(ui, rest);
    }
    false
}

/// One part of the uncertainty: what, a bar as long as its share, the share, the value.
pub(super) fn share_ui(
    ui: &mut Ui,
    line: Rect,
    (at, names): (usize, f32),
    bar: &BudgetBar,
    look: &Look,
) {
    let tokens = &look.tokens;
    let percent = bar.percent();
    let said = format!("{}, {}, {percent}", bar.what, bar.value);
    name_ui(ui, line, &format!("budget {at}"), &said, false);
    let mut rest = line;
    let what = cut_left(&mut rest, names + 1.0);
    Line::regular(TEXT, tokens.text).paint(ui, what, &bar.what);
    cut_left(&mut rest, GAP);
    let value = cut_right(&mut rest, 62.0);
    let right = Line::regular(TEXT, tokens.text).at(Align2::RIGHT_CENTER);
    right.paint(ui, value, &bar.value);
    let share = cut_right(&mut rest, 46.0);
    let faint = Line::regular(TEXT, tokens.muted).at(Align2::RIGHT_CENTER);
    faint.paint(ui, share, &percent);
    cut_right(&mut rest, GAP);
    let track = rest.shrink2(vec2(0.0, rest.height() * 0.26));
    if has_area(track) {
        let long = (track.width() * bar.share.clamp(0.0, 1.0)).max(1.0);
        let filled = Rect::from_min_size(track.min, vec2(long, track.height()));
        let edge = Stroke::new(1.0, tokens.line);
        ui.painter()
            .rect_stroke(track, 0.0, edge, StrokeKind::Inside);
        ui.painter().rect_filled(filled, 0.0, tokens.text);
    }
}
