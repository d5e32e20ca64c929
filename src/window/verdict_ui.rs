//! The verdict block: value and word on a plate of the state's lit colour, framed by its colour
//! and its pattern. What is being typed takes the value's place, and claims nothing.

use eframe::egui::{Align2, FontFamily, Rect, Stroke, StrokeKind, Ui, pos2, vec2};

use super::line_ui::{Line, cut_bottom, cut_left, cut_right, cut_top, has_area, inset, name_ui};
use super::look::{
    Fitted, Look, Pattern, REGULAR, bold, figures, figures_size, paint_mark_on, paint_pattern,
    pattern_of, text_width,
};
use super::press::Press;
use super::view::{EntryView, Mark, SubjectView, VerdictView};

/// The value's cells are at least those of this number, so that the last digit stays in place.
const LEAST_CELLS: &str = "00.000";
/// Size of the unit over that of the value.
const UNIT: f32 = 0.28;
/// Height of figures and of a word over their font sizes, with the air that they need.
const FIGURES_HIGH: f32 = 0.875;
const WORD_HIGH: f32 = 1.05;

/// Sizes that value and word may have at most, in points, and what stands below them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Most {
    pub(super) value: f32,
    /// Lines below value and word are shown.
    pub(super) has_details: bool,
}

/// How large value and word became.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Written {
    pub(super) value: Option<Fitted>,
    pub(super) word: Option<Fitted>,
}

/// Paints the block; pressing it asks why.
pub(super) fn verdict_ui(
    ui: &mut Ui,
    rect: Rect,
    (view, subject): (&VerdictView, &SubjectView),
    look: &Look,
    most: Most,
    presses: &mut Vec<Press>,
) -> Written {
    let nothing = Written {
        value: None,
        word: None,
    };
    if !has_area(rect) {
        return nothing;
    }
    let name = match &view.entry {
        Some(entry) => format!("{}: {}", entry.what, entry.text),
        None => view.spoken(),
    };
    if name_ui(ui, rect, "verdict", &name, true).clicked() {
        presses.push(Press::Verdict);
    }
    // What is typed is not judged yet: the last state's colour would claim that it is.
    let mark = match (&view.entry, view.mark) {
        (Some(_), mark) if mark != Mark::NotRecorded => Mark::Open,
        (_, mark) => mark,
    };
    let plate = frame_ui(ui, rect, mark, look);
    let margin = (plate.height() * 0.06).clamp(2.0, 16.0);
    let inner = plate.shrink2(vec2(
        (margin * 1.6).min(plate.width() / 4.0),
        margin.min(plate.height() / 4.0),
    ));
    if let Some(entry) = &view.entry {
        entry_ui(ui, inner, entry, (view, mark), look);
        return nothing;
    }
    if view.word.is_empty() && view.value.is_empty() {
        unmeasured_ui(ui, inner, subject, look);
        return nothing;
    }
    let ink = Ink {
        text: look.tokens.on_plate(mark),
    };
    let mut top = inner;
    if most.has_details {
        details_ui(ui, &mut top, view, ink);
    }
    big_ui(ui, top, view, ink, most)
}

/// Colour of texts on the plate.
#[derive(Clone, Copy)]
struct Ink {
    text: eframe::egui::Color32,
}

/// Paints frame and plate; gives the plate.
fn frame_ui(ui: &Ui, rect: Rect, mark: Mark, look: &Look) -> Rect {
    let painter = ui.painter_at(rect);
    let tokens = &look.tokens;
    let frame = (rect.height() * 0.07).clamp(2.0, 20.0);
    let Some(fill) = tokens.fill(mark) else {
        let edge = Stroke::new(tokens.hairline * 2.0, tokens.line);
        painter.rect_filled(rect, 0.0, tokens.panel);
        painter.rect_stroke(rect, 0.0, edge, StrokeKind::Inside);
        return inset(rect, 2.0);
    };
    painter.rect_filled(rect, 0.0, fill);
    let band = (rect.width() * 0.09)
        .clamp(frame, 96.0)
        .min(rect.width() / 5.0);
    let mut plate = inset(rect, frame);
    plate.set_left((rect.left() + band).min(plate.right()));
    let pattern = pattern_of(mark);
    if pattern == Pattern::Dots {
        // Whole dots, so each side has its own.
        for strip in around(rect, plate) {
            paint_pattern(&painter, strip, pattern, look);
        }
    } else {
        paint_pattern(&painter, rect, pattern, look);
    }
    painter.rect_filled(plate, 0.0, tokens.plate(mark));
    if !tokens.is_lit {
        let edge = Stroke::new(tokens.hairline, tokens.line);
        painter.rect_stroke(plate, 0.0, edge, StrokeKind::Outside);
        painter.rect_stroke(rect, 0.0, edge, StrokeKind::Inside);
    }
    plate
}

/// What is around a plate: left, above, below, right.
fn around(rect: Rect, plate: Rect) -> [Rect; 4] {
    let mut rest = rect;
    let left = cut_left(&mut rest, plate.left() - rect.left());
    let above = cut_top(&mut rest, plate.top() - rect.top());
    let below = cut_bottom(&mut rest, rect.bottom() - plate.bottom());
    let right = cut_right(&mut rest, rect.right() - plate.right());
    [left, above, below, right]
}

/// Everything small below value and word, from the bottom up; `top` keeps the rest.
fn details_ui(ui: &mut Ui, top: &mut Rect, view: &VerdictView, ink: Ink) {
    let size = (top.height() * 0.12).clamp(11.0, 22.0);
    let first = [&view.deviation, &view.uncertainty].map(String::as_str);
    let first: Vec<&str> = first.into_iter().filter(|text| !text.is_empty()).collect();
    let first = first.join("  ·  ");
    let notes = view.notes.join(" ");
    let room = top.height() * 0.52;
    let note_wide = text_width(ui.painter(), &notes, size, REGULAR);
    let note_lines = if note_wide > top.width() { 2 } else { 1 };
    let lines = [
        ("details", &first, 1_usize),
        ("gauge shows", &view.shown, 1),
        ("notes", &notes, note_lines),
    ];
    let mut used = 0.0;
    let high = |lines: usize| if lines > 1 { 2.5 * size } else { 1.32 * size };
    let shown: Vec<_> = lines
        .into_iter()
        .filter(|(_, text, _)| !text.is_empty())
        .rev()
        .take_while(|(_, _, lines)| {
            used += high(*lines);
            used <= room
        })
        .collect();
    for (id, text, lines) in shown {
        let place = cut_bottom(top, high(lines));
        let line = Line::regular(size, ink.text).on(lines);
        line.say(ui, place, id, text);
    }
}

/// Value and word, side by side or one above the other, whichever is larger.
fn big_ui(ui: &mut Ui, room: Rect, view: &VerdictView, ink: Ink, most: Most) -> Written {
    if view.value.is_empty() {
        let word = word_ui(ui, room, view, ink, Align2::LEFT_CENTER, most.value);
        return Written {
            value: None,
            word: Some(word),
        };
    }
    let wide = value_ems(ui, view);
    let word = word_form(ui, &view.word);
    let side = |share: f32| {
        let value = (room.height() / FIGURES_HIGH).min(room.width() * share / wide);
        let rest = room.width() - value * wide - 0.3 * value;
        let high = room.height() * if view.side.is_empty() { 1.0 } else { 0.74 };
        (value, (rest / word.wide).min(high / word.high))
    };
    let beside = [0.54, 0.6, 0.66].map(side);
    let worth = |(value, word): (f32, f32)| (value * 0.8).min(word * 1.25);
    let best = beside.into_iter().fold((0.0, 0.0), |best, one| {
        if worth(one) > worth(best) { one } else { best }
    });
    let above = (
        (room.height() * 0.5 / FIGURES_HIGH).min(room.width() / wide),
        (room.height() * 0.4 / WORD_HIGH).min(room.width() / word.whole),
    );
    if worth(above) > worth(best) * 1.15 {
        let mut rest = room;
        let mut line = cut_top(&mut rest, above.0 * FIGURES_HIGH);
        let place = cut_left(&mut line, above.0 * wide);
        let value = value_ui(ui, place, view, ink, above.0.min(most.value));
        let word = word_ui(ui, rest, view, ink, Align2::LEFT_CENTER, most.value);
        return Written {
            value: Some(value),
            word: Some(word),
        };
    }
    let mut rest = room;
    let size = best.0.min(most.value);
    let place = cut_left(&mut rest, size * wide);
    let value = value_ui(ui, place, view, ink, size);
    cut_left(&mut rest, 0.25 * size);
    let word = word_ui(ui, rest, view, ink, Align2::RIGHT_CENTER, most.value);
    Written {
        value: Some(value),
        word: Some(word),
    }
}

/// Width of the value with its unit, over its size.
fn value_ems(ui: &Ui, view: &VerdictView) -> f32 {
    let ems = |text: &str| {
        let room = vec2(1000.0, 100_000.0);
        1000.0 / figures_size(ui.painter(), room, text, 10_000.0).max(1.0)
    };
    let unit = text_width(ui.painter(), &view.unit, 20.0, REGULAR) / 20.0 * UNIT;
    ems(&view.value).max(ems(LEAST_CELLS)) + unit + 0.12
}

/// Width and height of a word over its font size, on one line or on two.
struct WordForm {
    wide: f32,
    high: f32,
    /// On one line.
    whole: f32,
    lines: usize,
}

fn word_form(ui: &Ui, word: &str) -> WordForm {
    let em = |text: &str| text_width(ui.painter(), text, 40.0, bold()) / 40.0 * 1.02;
    let whole = em(word).max(0.5);
    // Each line as long as its words allow.
    let halves = word.match_indices(' ').map(|(at, _)| {
        let (one, other) = word.split_at(at);
        em(one).max(em(other.trim_start()))
    });
    match halves.reduce(f32::min) {
        Some(wide) => WordForm {
            wide,
            high: 2.0 * 1.22,
            whole,
            lines: 2,
        },
        None => WordForm {
            wide: whole,
            high: WORD_HIGH,
            whole,
            lines: 1,
        },
    }
}

fn value_ui(ui: &mut Ui, place: Rect, view: &VerdictView, ink: Ink, size: f32) -> Fitted {
    let unit_size = (size * UNIT).max(8.0);
    let unit_wide = text_width(ui.painter(), &view.unit, unit_size, REGULAR);
    let mut rest = place;
    let unit = cut_right(&mut rest, unit_wide + 1.0);
    cut_right(&mut rest, 0.1 * size);
    let painter = ui.painter_at(place.expand(2.0));
    let anchor = Align2::RIGHT_CENTER;
    let fitted = figures(&painter, rest, anchor, &view.value, size, bold(), ink.text);
    name_ui(ui, rest, "value", &view.value, false);
    // The unit stands on the line of the figures.
    let line = fitted.rect.bottom();
    let unit = Rect::from_min_max(
        pos2(unit.left(), line - unit_size),
        pos2(unit.right(), line + 0.26 * unit_size),
    );
    Line::regular(unit_size, ink.text).say(
        ui,
        unit.intersect(place.expand(4.0)),
        "unit",
        &view.unit,
    );
    fitted
}

fn word_ui(
    ui: &mut Ui,
    room: Rect,
    view: &VerdictView,
    ink: Ink,
    anchor: Align2,
    most: f32,
) -> Fitted {
    let mut place = room;
    if !view.side.is_empty() && room.height() >= 40.0 {
        let high = (room.height() * 0.22).clamp(16.0, 48.0);
        let side = cut_bottom(&mut place, high);
        let line = Line::regular(high * 0.74, ink.text).at(anchor);
        line.say(ui, side, "side", &view.side);
    }
    let form = word_form(ui, &view.word);
    let one_line = (place.width() / form.whole).min(place.height() / WORD_HIGH);
    let more = (place.width() / form.wide).min(place.height() / form.high);
    let (size, lines) = if form.lines > 1 && more > one_line {
        (more, form.lines)
    } else {
        (one_line, 1)
    };
    let line = Line::bold(size.min(most), ink.text).at(anchor).on(lines);
    line.say(ui, place, "word", &view.word)
}

/// Before the first reading: what must be hit.
fn unmeasured_ui(ui: &mut Ui, inner: Rect, subject: &SubjectView, look: &Look) {
    let mut rest = inner;
    let high = (inner.height() * 0.3).clamp(10.0, 48.0);
    let note = cut_bottom(&mut rest, high);
    let line = Line::regular(high * 0.66, look.tokens.muted);
    line.say(ui, note, "no reading", "not measured yet");
    let size = (rest.height() * 0.62).clamp(8.0, 120.0);
    Line::regular(size, look.tokens.muted).paint(ui, rest, &subject.limits);
}

/// What is being typed, with its caret; what it is above it, what is wrong with it below.
fn entry_ui(
    ui: &mut Ui,
    inner: Rect,
    entry: &EntryView,
    (view, mark): (&VerdictView, Mark),
    look: &Look,
) {
    let ink = look.tokens.on_plate(mark);
    let mut rest = inner;
    let high = (inner.height() * 0.2).clamp(9.0, 40.0);
    let mut what = cut_top(&mut rest, high);
    if mark == Mark::NotRecorded {
        let word = cut_right(&mut what, inner.width() * 0.45);
        let line = Line::bold(high * 0.8, ink).at(Align2::RIGHT_CENTER);
        line.say(ui, word, "word", &view.word);
    }
    Line::regular(high * 0.76, ink).say(ui, what, "what is typed", &entry.what);
    let mut fault = cut_bottom(&mut rest, high * 1.1);
    if !entry.fault.is_empty() {
        let side = cut_left(&mut fault, high * 0.8);
        let side = Rect::from_center_size(side.center(), vec2(high, high) * 0.7);
        paint_mark_on(ui.painter(), side, Mark::NoGo, look, ink);
        cut_left(&mut fault, high * 0.3);
        Line::bold(high * 0.76, ink).say(ui, fault, "fault", &entry.fault);
    }
    let size = (rest.height() / FIGURES_HIGH).max(1.0);
    let family: FontFamily = bold();
    let painter = ui.painter_at(rest);
    let caret_wide = (size * 0.06).max(1.5);
    let mut place = rest;
    let caret = cut_right(&mut place, caret_wide * 3.0);
    let typed = figures(
        &painter,
        place,
        Align2::LEFT_CENTER,
        &entry.text,
        size,
        family,
        ink,
    );
    name_ui(ui, rest, "typed", &entry.text, false);
    let left = (typed.rect.right() + caret_wide).min(caret.right() - caret_wide);
    let caret = Rect::from_min_size(
        pos2(left, rest.center().y - 0.42 * size),
        vec2(caret_wide, 0.84 * size),
    );
    painter.rect_filled(caret.intersect(rest), 0.0, ink);
}
