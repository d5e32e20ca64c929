//! The verdict block: value and word on a plate of the state's lit colour, framed by its colour
//! and its pattern. What is being typed takes the value's place, and claims nothing.

use eframe::egui::{Align2, FontFamily, Rect, Stroke, StrokeKind, Ui, pos2, vec2};

use super::line_ui::{Line, cut_bottom, cut_left, cut_right, cut_top, has_area, inset, name_ui};
use super::look::{
    DIGIT_OVER_SIZE, Fitted, Look, Pattern, REGULAR, bold, figures, figures_size, paint_mark_on,
    paint_pattern, pattern_of, text_width,
};
use super::press::Press;
use super::view::{EntryView, Mark, SubjectView, VerdictView};
use super::word_form_ui::{WORD_HIGH, word_form};

/// The value's cells are at least those of this number, so that the last digit stays in place.
const LEAST_CELLS: &str = "00.000";
/// Size of the unit over that of the value; a degree sign's, which hangs from the digits' top.
const UNIT: f32 = 0.28;
const DEGREE: f32 = 0.62;
const DEGREE_SIGN: &str = "°";
/// Height of figures over their font size, with the air that they need.
const FIGURES_HIGH: f32 = 0.875;
/// The word's weight against words: they are longer than figures, and it must be seen first.
const WORDS_WEIGHT: f32 = 0.75;
/// Between value and word, in sizes of the value.
const BETWEEN: f32 = 0.2;
/// Width behind the value from which on the side stands there.
const SIDE: f32 = 110.0;
/// Shares of the room that are tried for the value.
const SHARES: [f32; 8] = [0.36, 0.42, 0.46, 0.5, 0.54, 0.6, 0.66, 0.72];

/// How value and word share the room, and whether something stands below them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Most {
    /// Below 1, the word gets larger at the value's cost; above 1, the value at the word's.
    pub(super) word_weight: f32,
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
        (margin * 1.2).min(plate.width() / 4.0),
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
pub(super) fn frame_ui(ui: &Ui, rect: Rect, mark: Mark, look: &Look) -> Rect {
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
        .clamp(frame, (0.16 * rect.height()).max(48.0))
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
    // The warning leads the notes: a line of its own would cost the word its size.
    let warns = !view.warning.is_empty();
    let said = warns.then_some(&view.warning).into_iter();
    let notes: Vec<&str> = said.chain(&view.notes).map(String::as_str).collect();
    let notes = notes.join(" ");
    let face = if warns { bold() } else { REGULAR };
    let room = top.height() * 0.52;
    let note_wide = text_width(ui.painter(), &notes, size, face);
    let note_lines = if note_wide > top.width() { 2 } else { 1 };
    // What the gauge must show is of no use while it moves, and the word needs the room.
    let nothing = String::new();
    // With a line of its own beside it, the word has no room to give to a third line below.
    let is_full = has_side(view) && !notes.is_empty();
    let shown = if warns || is_full {
        &nothing
    } else {
        &view.shown
    };
    let lines = [
        ("details", &first, 1_usize),
        ("gauge shows", shown, 1),
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
        let line = match id {
            "notes" if warns => Line::bold(size, ink.text),
            _ => Line::regular(size, ink.text),
        };
        line.on(lines).say(ui, place, id, text);
    }
}

/// Value and word, side by side or one above the other, whichever is larger.
fn big_ui(ui: &mut Ui, room: Rect, view: &VerdictView, ink: Ink, most: Most) -> Written {
    if view.value.is_empty() {
        let word = word_ui(ui, room, view, has_side(view), (ink, Align2::LEFT_CENTER));
        return Written {
            value: None,
            word: Some(word),
        };
    }
    let wide = value_ems(ui, view);
    let form = word_form(ui, &view.word);
    let for_word = if has_side(view) { 0.74 } else { 1.0 };
    let Shape {
        high,
        shares,
        weight,
        bias,
        least_side,
    } = shape_of(view, most);
    let beside = shares.map(|share| {
        let value = (room.height() / high).min(room.width() * share / wide);
        let rest = room.width() - value * (wide + BETWEEN);
        (value, form.size(rest, room.height() * for_word).0)
    });
    // One above the other, the side stands behind the value if there is room.
    let behind = |value: f32| room.width() - value * (wide + 2.0 * BETWEEN);
    let above = shares.map(|share| {
        let value = (room.height() * share / high).min(room.width() / wide);
        let rest = room.height() - value * high;
        let for_word = if behind(value) >= least_side {
            1.0
        } else {
            for_word
        };
        (value, form.size(room.width(), rest * for_word).0)
    });
    let worth = |(value, word): (f32, f32)| (value / weight).min(word * weight);
    let best = |all: [(f32, f32); 8]| {
        let mut all = all.into_iter();
        let first = all.next().unwrap_or_default();
        all.fold(
            first,
            |best, one| if worth(one) > worth(best) { one } else { best },
        )
    };
    let (beside, above) = (best(beside), best(above));
    let mut rest = room;
    if worth(above) <= worth(beside) * bias {
        let size = beside.0;
        let place = cut_left(&mut rest, size * wide);
        cut_left(&mut rest, BETWEEN * size);
        let value = Some(value_ui(ui, place, view, ink, size));
        let anchor = Align2::RIGHT_CENTER;
        let word = Some(word_ui(ui, rest, view, has_side(view), (ink, anchor)));
        return Written { value, word };
    }
    let size = above.0;
    let mut line = cut_top(&mut rest, size * high);
    let place = cut_left(&mut line, size * wide);
    let value = Some(value_ui(ui, place, view, ink, size));
    let is_behind = has_side(view) && behind(size) >= least_side;
    if is_behind {
        cut_left(&mut line, 2.0 * BETWEEN * size);
        let side = Line::regular((size * 0.34).clamp(11.0, 48.0), ink.text).on(2);
        side.at(Align2::LEFT_CENTER)
            .say(ui, line, "side", &view.side);
    }
    let (has_side, anchor) = (has_side(view) && !is_behind, Align2::LEFT_CENTER);
    let word = Some(word_ui(ui, rest, view, has_side, (ink, anchor)));
    Written { value, word }
}

/// Whether the value is what a limit gauge did, in words.
fn is_words(view: &VerdictView) -> bool {
    !view.value.contains(|letter: char| letter.is_ascii_digit())
}

/// How value and word may share the room.
struct Shape {
    /// Height that the value needs, over its size.
    high: f32,
    /// Shares of the room that are tried for the value.
    shares: [f32; 8],
    /// The word's weight; see [`Most`].
    weight: f32,
    /// So much larger both must become for standing one above the other.
    bias: f32,
    /// Width behind the value from which on the side stands there.
    least_side: f32,
}

fn shape_of(view: &VerdictView, most: Most) -> Shape {
    match is_words(view) {
        // Words go below the line, and are long: the verdict's word must be seen first.
        true => Shape {
            high: WORD_HIGH * 1.1,
            shares: SHARES.map(|share| share * 0.8),
            weight: WORDS_WEIGHT,
            bias: 1.0,
            least_side: SIDE / 2.0,
        },
        false => Shape {
            high: FIGURES_HIGH,
            shares: SHARES,
            weight: most.word_weight,
            bias: if most.has_details { 1.15 } else { 1.0 },
            least_side: SIDE,
        },
    }
}

/// Width of the value with its unit, over its size.
fn value_ems(ui: &Ui, view: &VerdictView) -> f32 {
    if is_words(view) {
        return text_width(ui.painter(), &view.value, 40.0, bold()) / 40.0 * 1.02;
    }
    let ems = |text: &str| {
        let room = vec2(1000.0, 100_000.0);
        1000.0 / figures_size(ui.painter(), room, text, 10_000.0).max(1.0)
    };
    let unit = text_width(ui.painter(), &view.unit, 20.0, REGULAR) / 20.0 * unit_share(view);
    ems(&view.value).max(ems(LEAST_CELLS)) + unit + 0.12
}

/// Size of the unit over that of the value.
fn unit_share(view: &VerdictView) -> f32 {
    if view.unit == DEGREE_SIGN {
        DEGREE
    } else {
        UNIT
    }
}

fn value_ui(ui: &mut Ui, place: Rect, view: &VerdictView, ink: Ink, size: f32) -> Fitted {
    if is_words(view) {
        let line = Line::bold(size, ink.text).at(Align2::LEFT_CENTER);
        return line.say(ui, place, "value", &view.value);
    }
    let unit_size = (size * unit_share(view)).max(8.0);
    let unit_wide = text_width(ui.painter(), &view.unit, unit_size, REGULAR);
    let mut rest = place;
    let unit = cut_right(&mut rest, unit_wide + 1.0);
    if view.unit != DEGREE_SIGN {
        cut_right(&mut rest, 0.1 * size);
    }
    let painter = ui.painter_at(place.expand(2.0));
    let anchor = Align2::RIGHT_CENTER;
    let fitted = figures(&painter, rest, anchor, &view.value, size, bold(), ink.text);
    name_ui(ui, rest, "value", &view.value, false);
    if view.unit == DEGREE_SIGN {
        let high = fitted.rect.top() + unit_size * DIGIT_OVER_SIZE;
        let hung = unit.with_min_y(fitted.rect.top()).with_max_y(high);
        let (anchor, ink) = (Align2::LEFT_TOP, ink.text);
        figures(&painter, hung, anchor, &view.unit, unit_size, REGULAR, ink);
        name_ui(ui, hung, "unit", &view.unit, false);
        return fitted;
    }
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

/// How many readings are not recorded stands in the line that cries; here the word has the room.
fn has_side(view: &VerdictView) -> bool {
    !view.side.is_empty() && view.mark != Mark::NotRecorded
}

fn word_ui(
    ui: &mut Ui,
    room: Rect,
    view: &VerdictView,
    has_side: bool,
    (ink, anchor): (Ink, Align2),
) -> Fitted {
    let mut place = room;
    if has_side && room.height() >= 40.0 {
        let high = (room.height() * 0.22).clamp(16.0, 48.0);
        let side = cut_bottom(&mut place, high);
        let line = Line::regular(high * 0.74, ink.text).at(anchor);
        line.say(ui, side, "side", &view.side);
    }
    let form = word_form(ui, &view.word);
    let (size, is_parted) = form.size(place.width(), place.height());
    let line = Line::bold(size, ink.text).at(anchor);
    let (true, Some((parts, _))) = (is_parted, form.parts) else {
        return line.say(ui, place, "word", &view.word);
    };
    name_ui(ui, place, "word", &view.word, false);
    let high = size * WORD_HIGH;
    let middle = place.center().y;
    let [upper, lower] = [(middle - high, parts[0]), (middle, parts[1])].map(|(top, part)| {
        let across = Rect::from_min_max(pos2(place.left(), top), pos2(place.right(), top + high));
        line.paint(ui, across, part)
    });
    Fitted {
        rect: upper.rect.union(lower.rect),
        size: upper.size.min(lower.size),
        is_cut: upper.is_cut || lower.is_cut,
    }
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
