//! Something that wants an answer: what is asked, why, and a large field for each answer with
//! its key.

use eframe::egui::{Align2, Painter, Rect, Stroke, StrokeKind, Ui, pos2, vec2};

use super::keys::character_press;
use super::look::{Look, Pattern, REGULAR, bold, fitted_text, paint_pattern, spoken, wrapped_text};
use super::paragraph_ui::{Paragraph, cleaned};
use super::press::Press;
use super::view::{AnswerView, QuestionView};

/// Smallest height of a field that a finger hits, where there is room (WCAG 2.2, 2.5.5, from
/// memory).
const TOUCH: f32 = 44.0;
/// A field does not get higher than this.
const TOUCH_MAX: f32 = 72.0;
const GAP: f32 = 6.0;
/// Width of the border, which is hatched for an alarm.
const BORDER: f32 = 8.0;
const TITLE: f32 = 24.0;
const LINE: f32 = 16.0;
const ANSWER: f32 = 19.0;
/// Texts shrink down to this part of their size before anything else gives way.
const LEAST: f32 = 0.64;
/// Room of a question on the smallest screen; and how much larger everything gets at most.
const HIGH: f32 = 250.0;
const WIDE: f32 = 540.0;
const MOST: f32 = 1.7;
/// Fields are made lower than a finger wants rather than that their texts are cut, down to this
/// (WCAG 2.2, 2.5.8, from memory).
const LOWEST: f32 = 24.0;

/// How everything is laid out.
#[derive(Clone, Copy)]
struct Plan {
    /// Of the full text sizes.
    shrunk: f32,
    columns: usize,
    field: f32,
    /// Height of title and lines.
    head: f32,
}

/// Paints the question into `rect`; a click on an answer is the press of its key.
pub fn question_ui(
    ui: &mut Ui,
    rect: Rect,
    view: &QuestionView,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    let rect = rect.intersect(ui.clip_rect());
    if !rect.is_positive() || !rect.is_finite() {
        return;
    }
    let inner = border_ui(ui, rect, view.is_alarm, look);
    if !inner.is_positive() {
        return;
    }
    let plan = plan(ui, inner, view, look);
    let bottom = inner.top() + plan.head;
    head_ui(
        ui,
        Rect::from_min_max(inner.min, pos2(inner.right(), bottom)),
        view,
        plan,
        look,
    );
    let fields = Rect::from_min_max(pos2(inner.left(), bottom), inner.max);
    for (at, answer) in view.answers.iter().enumerate() {
        let (place, size) = (field_place(fields, plan, at), ANSWER * plan.shrunk);
        answer_field_ui(ui, place, (at, answer), size, look, presses);
    }
    waiting_ui(ui, fields, view, plan, look);
}

/// The border; what is inside it.
pub(super) fn border_ui(ui: &Ui, rect: Rect, is_alarm: bool, look: &Look) -> Rect {
    let painter = ui.painter_at(rect);
    let width = BORDER.min(rect.width() / 16.0).min(rect.height() / 16.0);
    let inner = rect.shrink(width);
    if is_alarm {
        painter.rect_filled(rect, 0.0, look.tokens.no_go);
        paint_pattern(&painter, rect, Pattern::Hatch, look);
        painter.rect_filled(inner, 0.0, look.tokens.panel);
    } else {
        painter.rect_filled(rect, 0.0, look.tokens.text);
        painter.rect_filled(rect.shrink(2.0_f32.min(width)), 0.0, look.tokens.panel);
    }
    inner.shrink2(vec2(width.min(6.0), width.min(3.0)))
}

/// The largest text with the fewest columns at which every field can be touched.
fn plan(ui: &Ui, inner: Rect, view: &QuestionView, look: &Look) -> Plan {
    let count = view.answers.len().max(1);
    let mut best: Option<(Plan, (bool, f32))> = None;
    // Where there is more room than on the smallest screen, all of it grows.
    let grown = (inner.height() / HIGH).min(inner.width() / WIDE);
    let grown = grown.clamp(1.0, MOST);
    let steps = if grown > 1.0 { 8_u8 } else { 4 };
    for step in 0..=steps {
        let shrunk = grown - f32::from(step) * (grown - LEAST) / f32::from(steps);
        let head = head_height(ui, inner.width(), view, shrunk, look);
        let waiting = waiting_height(view, shrunk);
        for columns in 1..=count.min(6) {
            let rows = rows_of(count, columns);
            let room = inner.height() - head - waiting - GAP * rows;
            let field = (room / rows).min(TOUCH_MAX * grown);
            let width = (inner.width() - GAP * (number(columns) - 1.0)) / number(columns);
            let place = Rect::from_min_size(inner.min, vec2(width, field.max(0.0)));
            let fits = view
                .answers
                .iter()
                .all(|answer| answer_fits(ui, answer, place, shrunk, look));
            let plan = Plan {
                shrunk,
                columns,
                field,
                head,
            };
            if field >= TOUCH && fits {
                return plan;
            }
            // Height for the finger against size for the eye.
            let worth = field.clamp(0.0, TOUCH) / TOUCH + shrunk;
            let rank = (fits && field >= LOWEST, if fits { worth } else { field });
            let is_better = |(_, (is_sound, before)): (Plan, (bool, f32))| {
                let (now_sound, now) = rank;
                (now_sound & !is_sound) || (now_sound == is_sound && now > before + 0.01)
            };
            if best.is_none_or(is_better) {
                best = Some((plan, rank));
            }
        }
    }
    let plan = best.map(|(plan, _)| plan).unwrap_or(Plan {
        shrunk: LEAST,
        columns: 1,
        field: 0.0,
        head: 0.0,
    });
    // Too little room for all of it: answers before reasons, so that it can be answered.
    let rows = rows_of(count, plan.columns);
    let least = TOUCH.min(inner.height() * 0.55 / rows);
    let field = plan.field.max(least);
    let head = (inner.height() - rows * (field + GAP) - waiting_height(view, plan.shrunk)).max(0.0);
    Plan {
        field,
        head: head.min(plan.head),
        ..plan
    }
}

fn number(count: usize) -> f32 {
    f32::from(u16::try_from(count).unwrap_or(u16::MAX)).max(1.0)
}

fn rows_of(count: usize, columns: usize) -> f32 {
    number(count.div_ceil(columns.max(1)))
}

fn line_of<'a>(text: &'a str, size: f32, look: &Look) -> Paragraph<'a> {
    Paragraph::regular(text, size, look.tokens.text)
}

fn head_height(ui: &Ui, width: f32, view: &QuestionView, shrunk: f32, look: &Look) -> f32 {
    let title = if view.title.is_empty() {
        0.0
    } else {
        TITLE * shrunk * 1.3
    };
    let lines = lines_of(view, shrunk);
    let heights = lines
        .iter()
        .map(|text| line_of(text, LINE * shrunk, look).height(ui, width) + 2.0);
    title + heights.sum::<f32>() + GAP
}

/// The reasons, a line each; when room is short, one after the other.
fn lines_of(view: &QuestionView, shrunk: f32) -> Vec<String> {
    match shrunk < 0.99 {
        true if !view.lines.is_empty() => vec![view.lines.join(" ")],
        _ => view.lines.clone(),
    }
}

fn waiting_height(view: &QuestionView, shrunk: f32) -> f32 {
    if view.waiting.is_empty() {
        0.0
    } else {
        LINE * shrunk * 1.3
    }
}

/// Whether the answer's text stands whole in its field.
fn answer_fits(ui: &Ui, answer: &AnswerView, place: Rect, shrunk: f32, look: &Look) -> bool {
    let (_, room) = field_parts(place);
    let size = ANSWER * shrunk;
    let width = |text: &str| line_of(text, size, look).width(ui) + 1.0;
    if room.height() < size * 1.1 {
        return false;
    }
    if width(&answer.text) <= room.width() {
        return true;
    }
    let rows = line_of(&answer.text, size, look).height(ui, room.width() - 1.0) / size;
    let longest = answer.text.split(' ').map(width).fold(0.0, f32::max);
    lines_in(room, size) > 1 && rows < 3.0 && longest <= room.width()
}

/// The box of a field's key, and the room of its text.
fn field_parts(place: Rect) -> (Rect, Rect) {
    let side = (place.height() - 10.0)
        .clamp(0.0, TOUCH - 8.0)
        .min(place.width() * 0.3);
    let middle = pos2(place.left() + 5.0 + side / 2.0, place.center().y);
    let key = Rect::from_center_size(middle, vec2(side, side));
    let room = Rect::from_min_max(
        pos2(key.right() + 8.0, place.top() + 2.0),
        place.max - vec2(4.0, 2.0),
    );
    (key, room)
}

/// On so many lines a text of that size may stand in its field.
fn lines_in(room: Rect, size: f32) -> usize {
    if room.height() >= 2.3 * size { 2 } else { 1 }
}

fn head_ui(ui: &mut Ui, place: Rect, view: &QuestionView, plan: Plan, look: &Look) {
    if !place.is_positive() {
        return;
    }
    spoken(ui, place, "question", &view.spoken(), false);
    let painter = ui.painter_at(place);
    let mut top = place.top();
    if !view.title.is_empty() {
        let height = TITLE * plan.shrunk * 1.3;
        let line = Rect::from_min_size(place.min, vec2(place.width(), height));
        let line = line.intersect(place);
        let bold = bold();
        let (size, ink) = (TITLE * plan.shrunk, look.tokens.text);
        fitted_text(
            &painter,
            line,
            Align2::LEFT_CENTER,
            &view.title,
            size,
            bold,
            ink,
        );
        top += height;
    }
    for text in &lines_of(view, plan.shrunk) {
        let line = line_of(text, LINE * plan.shrunk, look);
        let room = Rect::from_min_max(pos2(place.left(), top), place.max);
        if !room.is_positive() {
            break;
        }
        top += line.paint(ui, room) + 2.0;
    }
}

fn field_place(fields: Rect, plan: Plan, at: usize) -> Rect {
    let (column, row) = (at % plan.columns.max(1), at / plan.columns.max(1));
    let across = |count: usize| f32::from(u16::try_from(count).unwrap_or(u16::MAX));
    let width = (fields.width() - GAP * (number(plan.columns) - 1.0)) / number(plan.columns);
    let corner = fields.min
        + vec2(
            across(column) * (width + GAP),
            across(row) * (plan.field + GAP),
        );
    Rect::from_min_size(corner, vec2(width, plan.field)).intersect(fields)
}

/// The field of an answer, with a text of that size; a click is the press of its key.
pub(super) fn answer_field_ui(
    ui: &mut Ui,
    place: Rect,
    (at, answer): (usize, &AnswerView),
    size: f32,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if !place.is_positive() {
        return;
    }
    // Without a text the key is its name: something pressable must have one.
    let name = match answer.text.is_empty() {
        true => key_text(answer.key),
        false => cleaned(&answer.text),
    };
    let response = spoken(ui, place, &format!("answer {at}"), &name, true);
    let is_down = response.is_pointer_button_down_on();
    // The second click of two was meant for the question that was there.
    if response.clicked() && !response.double_clicked() {
        presses.push(character_press(answer.key));
    }
    answer_fill_ui(&ui.painter_at(place), place, (answer, is_down), size, look);
    if response.has_focus() {
        let frame = Stroke::new(2.0, look.tokens.doubt);
        let edge = place.shrink(2.0);
        ui.painter_at(place)
            .rect_stroke(edge, 0.0, frame, StrokeKind::Inside);
    }
}

/// The field: its key in a box, and its text.
fn answer_fill_ui(
    painter: &Painter,
    place: Rect,
    (answer, is_down): (&AnswerView, bool),
    size: f32,
    look: &Look,
) {
    let tokens = &look.tokens;
    let (ground, ink) = if is_down {
        (tokens.chosen, tokens.ground)
    } else {
        (tokens.ground, tokens.text)
    };
    painter.rect_filled(place, 0.0, ink);
    painter.rect_filled(place.shrink(1.5), 0.0, ground);
    let (key, rest) = field_parts(place);
    painter.rect_filled(key, 0.0, ink);
    let (bold, text) = (bold(), key_text(answer.key));
    fitted_text(
        painter,
        key.shrink(2.0),
        Align2::CENTER_CENTER,
        &text,
        key.height() * 0.62,
        bold,
        ground,
    );
    if rest.is_positive() {
        let lines = lines_in(rest, size);
        wrapped_text(
            painter,
            (rest, lines),
            Align2::LEFT_CENTER,
            &answer.text,
            size,
            REGULAR,
            ink,
        );
    }
}

fn waiting_ui(ui: &mut Ui, fields: Rect, view: &QuestionView, plan: Plan, look: &Look) {
    let height = waiting_height(view, plan.shrunk);
    let place = Rect::from_min_max(pos2(fields.left(), fields.bottom() - height), fields.max);
    if height <= 0.0 || !place.is_positive() || fields.height() < height {
        return;
    }
    spoken(ui, place, "waiting", &view.waiting, false);
    let painter = ui.painter_at(place);
    let (size, ink) = (LINE * plan.shrunk, look.tokens.text);
    fitted_text(
        &painter,
        place,
        Align2::RIGHT_CENTER,
        &view.waiting,
        size,
        REGULAR,
        ink,
    );
}

/// A key as it stands on its box: a minus as long as the plus.
fn key_text(key: char) -> String {
    match key {
        '-' => "\u{2212}".to_owned(),
        key => key.to_string(),
    }
}
