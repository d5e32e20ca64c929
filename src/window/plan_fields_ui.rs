//! Paints the fields of a feature, a pair, the part: the one that is typed into with its cursor,
//! a caret under what is wrong, and below it what it says of itself.

use eframe::egui::{FontId, Pos2, Rangef, Rect, Shape, Stroke, StrokeKind, Ui, pos2, vec2};

use super::line_ui::{Line, cut_bottom, cut_left, cut_top, has_area, name_ui, square_in};
use super::look::{Look, REGULAR, bold, paint_mark_on, text_width};
use super::paragraph_ui::{Paragraph, cleaned};
use super::plan_ui::{SMALL, label_strip};
use super::press::Press;
use super::room_ui::STEP;
use super::view::{Mark, PlanFieldView, PlanTypedView};

const TITLE: f32 = 22.0;
const NAME: f32 = 14.0;
const TEXT: f32 = 13.0;
const ROW: f32 = 23.0;
/// The field that is typed into, with room for the caret.
const TYPED: f32 = 32.0;
const TYPED_TEXT: f32 = 16.0;
const LABEL: f32 = 104.0;
const MARK: f32 = 11.0;
const GROUP: f32 = 8.0;
const SIGN: f32 = 16.0;

/// Paints the fields; a click is a press of the field's place.
pub(super) fn fields_ui(
    ui: &mut Ui,
    place: Rect,
    (title, fields): (&str, &[PlanFieldView]),
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if !has_area(place) {
        return;
    }
    let tokens = &look.tokens;
    ui.painter().rect_filled(place, 0.0, tokens.panel);
    let mut rest = place.shrink2(vec2(
        STEP.min(place.width() / 10.0),
        2.0_f32.min(place.height() / 10.0),
    ));
    let line = cut_top(&mut rest, TITLE.min(place.height() / 4.0));
    Line::bold(NAME, tokens.text).say(ui, line, "fields title", title);
    let heights: Vec<f32> = fields
        .iter()
        .map(|one| height(ui, one, rest, look))
        .collect();
    let all: f32 = heights.iter().sum();
    let at = fields.iter().position(|one| one.is_at).unwrap_or(0);
    let mut first = 0;
    if all > rest.height() {
        let sign = cut_bottom(&mut rest, SIGN);
        let text = format!(
            "{} of {} fields; Up and Down go through them",
            at + 1,
            fields.len()
        );
        Line::regular(SMALL - 1.0, tokens.muted).say(ui, sign, "more fields", &text);
        // The chosen one is seen, with the one before it where there is room.
        let wanted = |from: usize| -> f32 {
            let until = (at + 1).min(fields.len());
            heights.get(from..until).unwrap_or(&[]).iter().sum()
        };
        while first < at && wanted(first) > rest.height() {
            first += 1;
        }
    }
    let seen = fields.iter().zip(&heights).enumerate().skip(first);
    for (at, (field, high)) in seen {
        if *high > rest.height() + 0.5 && at > first {
            return;
        }
        let mut row = cut_top(&mut rest, *high);
        if field.is_first {
            let gap = cut_top(&mut row, GROUP);
            let edge = Stroke::new(tokens.hairline, tokens.line);
            ui.painter().hline(gap.x_range(), gap.center().y, edge);
        }
        field_ui(ui, row, (at, field), look, presses);
    }
}

fn says<'t>(text: &'t str, look: &Look) -> Paragraph<'t> {
    Paragraph::regular(text, TEXT, look.tokens.text)
}

fn height(ui: &Ui, field: &PlanFieldView, place: Rect, look: &Look) -> f32 {
    let group = if field.is_first { GROUP } else { 0.0 };
    let Some(typed) = &field.typed else {
        return ROW + group;
    };
    let wide = place.width() - 2.0 * STEP;
    let said = typed
        .says
        .iter()
        .map(|text| says(text, look).height(ui, wide) + 3.0);
    TYPED + said.sum::<f32>() + 6.0 + group
}

fn field_ui(
    ui: &mut Ui,
    place: Rect,
    (at, view): (usize, &PlanFieldView),
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if !has_area(place) {
        return;
    }
    let tokens = &look.tokens;
    let mut rest = place;
    let mut row = cut_top(&mut rest, if view.typed.is_some() { TYPED } else { ROW });
    if name_ui(ui, row, &format!("plan field {at}"), &view.spoken, true).clicked() {
        presses.push(Press::Choose(at));
    }
    let is_plain = view.typed.is_none();
    let (ink, faint) = match view.is_at && is_plain {
        true => {
            ui.painter()
                .rect_filled(row.shrink2(vec2(0.0, 0.5)), 0.0, tokens.chosen);
            (tokens.ground, tokens.ground)
        }
        false => (tokens.text, tokens.muted),
    };
    let mut side = cut_left(&mut row, MARK + 6.0);
    let mark = cut_left(&mut side, MARK);
    if let Some(state) = view.mark {
        paint_mark_on(ui.painter(), square_in(mark, MARK), state, look, ink);
    }
    let label = label_strip(&mut row, LABEL);
    Line::regular(SMALL, faint).paint(ui, label, &view.label);
    match &view.typed {
        None => {
            cut_left(&mut row, 2.0);
            Line::bold(TEXT, ink).paint(ui, row, &view.text);
        }
        Some(typed) => {
            typed_ui(ui, row, typed, look);
            said_ui(ui, rest, typed, look);
        }
    }
}

/// What the field says of itself, below it.
fn said_ui(ui: &mut Ui, place: Rect, typed: &PlanTypedView, look: &Look) {
    let mut rest = place.shrink2(vec2(STEP.min(place.width() / 8.0), 0.0));
    let is_wrong = typed.is_wrong;
    for (at, text) in typed.says.iter().enumerate() {
        let line = Paragraph {
            family: if is_wrong { bold() } else { REGULAR },
            ..says(text, look)
        };
        let high = line.height(ui, rest.width());
        let row = cut_top(&mut rest, high);
        if has_area(row) {
            name_ui(ui, row, &format!("plan says {at}"), text, false);
            line.paint(ui, row);
        }
        cut_top(&mut rest, 3.0);
    }
}

/// The text with the cursor, and a caret under the character that is wrong. Of a text that is
/// wider than the field, the piece around the cursor is seen.
fn typed_ui(ui: &mut Ui, place: Rect, typed: &PlanTypedView, look: &Look) {
    if !has_area(place) {
        return;
    }
    let tokens = &look.tokens;
    let field = place.shrink2(vec2(0.0, 1.0));
    let painter = ui.painter_at(field);
    let edge = Stroke::new(2.0, tokens.text);
    painter.rect_stroke(field, 0.0, edge, StrokeKind::Inside);
    let inner = field.shrink2(vec2(6.0_f32.min(field.width() / 8.0), 3.0));
    let letters: Vec<char> = typed.text.chars().collect();
    let wide = |from: usize, to: usize| {
        let piece: String = letters.get(from..to).unwrap_or(&[]).iter().collect();
        text_width(&painter, &seen(&piece), TYPED_TEXT, bold())
    };
    let cursor = typed.cursor.min(letters.len());
    let mut first = 0;
    while first < cursor && wide(first, cursor) > inner.width() - 2.0 {
        first += 1 + (cursor - first) / 8;
    }
    let first = first.min(cursor);
    let mut last = letters.len();
    while last > cursor && wide(first, last) > inner.width() {
        last -= 1;
    }
    let piece: String = letters.get(first..last).unwrap_or(&[]).iter().collect();
    let text = painter.layout_no_wrap(seen(&piece), FontId::new(TYPED_TEXT, bold()), tokens.text);
    let line = Rangef::new(inner.top(), inner.bottom() - 7.0);
    let top = line.center() - text.size().y / 2.0;
    painter.galley(pos2(inner.left(), top), text, tokens.text);
    let x = inner.left() + wide(first, cursor);
    painter.vline(x + 0.5, line, Stroke::new(1.5, tokens.text));
    if !typed.is_wrong {
        return;
    }
    let ink = tokens.fill(Mark::NoGo).unwrap_or(tokens.text);
    let (from, to) = match typed.wrong_at {
        Some(at) => (at.clamp(first, last), (at + 1).clamp(first, last)),
        None => (first, last),
    };
    let left = inner.left() + wide(first, from);
    let right = (inner.left() + wide(first, to)).max(left + 7.0);
    let below = inner.bottom() - 1.0;
    // A caret, not a colour alone.
    match typed.wrong_at {
        Some(_) => painter.add(caret(pos2((left + right) / 2.0, below - 5.0), ink)),
        None => painter.hline(Rangef::new(left, right), below - 2.0, Stroke::new(2.0, ink)),
    };
}

fn caret(tip: Pos2, ink: eframe::egui::Color32) -> Shape {
    let points = vec![tip, tip + vec2(4.5, 6.0), tip + vec2(-4.5, 6.0)];
    Shape::convex_polygon(points, ink, Stroke::NONE)
}

/// What cannot be seen is written as its number.
fn seen(text: &str) -> String {
    cleaned(text)
}
