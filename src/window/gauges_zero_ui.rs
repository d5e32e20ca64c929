//! The pages of a gauge on which something is typed or told: its zero, what is in doubt, teaching.

use eframe::egui::{Align2, Rect, Ui, pos2, vec2};

use super::gauges_pages_ui::{FRAME, GAP, SMALL, TEXT, facts_ui, sentence_ui, state_ui};
use super::line_ui::{Line, cut_left, cut_top, has_area, inset, name_ui};
use super::look::{Look, bold, figures};
use super::view::{EntryView, FactView, InDoubtView, Mark, TeachView, ZeroView};

/// A field with what is typed into it.
pub(super) fn entry_ui(ui: &mut Ui, rest: &mut Rect, entry: &EntryView, look: &Look) {
    if !has_area(*rest) {
        return;
    }
    let tokens = &look.tokens;
    let label = cut_top(rest, FRAME);
    Line::regular(SMALL, tokens.muted).paint(ui, label, &entry.what);
    let field = cut_top(rest, 34.0);
    let said = format!("{}: {}", entry.what, entry.text);
    name_ui(ui, field, "entry", &said, false);
    let field = Rect::from_min_size(field.min, vec2(field.width().min(260.0), field.height()));
    ui.painter().rect_filled(field, 0.0, tokens.text);
    ui.painter()
        .rect_filled(inset(field, 2.0), 0.0, tokens.ground);
    let inner = field.shrink2(vec2(10.0_f32.min(field.width() / 4.0), 3.0));
    let line = Line::regular(20.0, tokens.text);
    let stands = line.paint(ui, inner, &entry.text);
    let x = if entry.text.is_empty() {
        inner.left()
    } else {
        stands.rect.right() + 2.0
    };
    let cursor = Rect::from_min_max(
        pos2(x, inner.top() + 3.0),
        pos2(x + 2.0, inner.bottom() - 3.0),
    );
    ui.painter().rect_filled(cursor, 0.0, tokens.text);
    cut_top(rest, GAP / 2.0);
    sentence_ui(ui, rest, "entry fault", &entry.fault, (SMALL, false), look);
}

pub(super) fn zero_ui(
    ui: &mut Ui,
    place: Rect,
    view: &ZeroView,
    skipped: usize,
    look: &Look,
) -> bool {
    let tokens = &look.tokens;
    let mut rest = place;
    let mark = view.mark.unwrap_or(Mark::Open);
    state_ui(ui, &mut rest, "zero state", &view.state, mark, look);
    sentence_ui(
        ui,
        &mut rest,
        "zero wanted",
        &view.wanted,
        (TEXT, false),
        look,
    );
    sentence_ui(
        ui,
        &mut rest,
        "zero asked",
        &view.asked,
        (TEXT + 3.0, true),
        look,
    );
    if !view.must_show.is_empty() {
        let block = cut_top(&mut rest, (place.height() * 0.24).clamp(28.0, 96.0));
        name_ui(
            ui,
            block,
            "must show",
            &format!("must show {}", view.must_show),
            false,
        );
        let mut inner = block;
        let label = cut_left(&mut inner, 84.0_f32.min(block.width() * 0.3));
        Line::regular(TEXT, tokens.muted).paint(ui, label, "must show");
        let size = inner.height() * 0.95;
        let painter = ui.painter_at(inner);
        let at = Align2::LEFT_CENTER;
        figures(
            &painter,
            inner,
            at,
            &view.must_show,
            size,
            bold(),
            tokens.text,
        );
    }
    if let Some(entry) = &view.entry {
        entry_ui(ui, &mut rest, entry, look);
    }
    if view.history.is_empty() {
        return false;
    }
    let head = cut_top(&mut rest, FRAME);
    Line::regular(SMALL, tokens.muted).say(ui, head, "history head", "checks, newest first");
    facts_ui(ui, rest, &view.history, skipped, look)
}

pub(super) fn in_doubt_ui(
    ui: &mut Ui,
    place: Rect,
    view: &InDoubtView,
    skipped: usize,
    look: &Look,
) -> bool {
    let mut rest = place;
    sentence_ui(
        ui,
        &mut rest,
        "doubt title",
        &view.title,
        (TEXT + 1.0, true),
        look,
    );
    sentence_ui(ui, &mut rest, "doubt note", &view.note, (TEXT, false), look);
    facts_ui(ui, rest, &view.lines, skipped, look)
}

pub(super) fn teach_ui(
    ui: &mut Ui,
    place: Rect,
    view: &TeachView,
    skipped: usize,
    look: &Look,
) -> bool {
    let tokens = &look.tokens;
    let mut rest = place;
    if !view.step.is_empty() {
        let line = cut_top(&mut rest, FRAME);
        Line::regular(SMALL, tokens.muted).say(ui, line, "step", &view.step);
    }
    sentence_ui(
        ui,
        &mut rest,
        "prompt",
        &view.prompt,
        (TEXT + 3.0, true),
        look,
    );
    if let Some(entry) = &view.entry {
        entry_ui(ui, &mut rest, entry, look);
    }
    let lines = view.adapter.iter().map(|line| FactView {
        what: String::new(),
        value: line.clone(),
        note: String::new(),
        mark: None,
    });
    let all: Vec<FactView> = view.found.iter().cloned().chain(lines).collect();
    match all.is_empty() {
        true => false,
        false => facts_ui(ui, rest, &all, skipped, look),
    }
}
