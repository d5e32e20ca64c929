//! The page on which a gauge is studied, painted: what to do now, large; then the components as
//! bars.

use eframe::egui::{Align2, Rect, Ui};

use super::gauges_pages_ui::{FRAME, GAP, SMALL, TEXT, facts_ui, sentence_ui, share_ui, state_ui};
use super::gauges_zero_ui::entry_ui;
use super::line_ui::{Line, cut_top, name_ui};
use super::look::{Look, REGULAR, bold, figures, text_width};
use super::view::{Mark, StudyView};

pub(super) fn study_ui(
    ui: &mut Ui,
    place: Rect,
    view: &StudyView,
    skipped: usize,
    look: &Look,
) -> bool {
    let tokens = &look.tokens;
    let mut rest = place;
    if !view.step.is_empty() {
        let line = cut_top(&mut rest, FRAME);
        Line::regular(SMALL, tokens.muted).say(ui, line, "step", &view.step);
    }
    let size = match view.bars.is_empty() && view.total.is_empty() {
        true => TEXT + 9.0,
        false => TEXT + 2.0,
    };
    sentence_ui(ui, &mut rest, "prompt", &view.prompt, (size, true), look);
    if let Some(entry) = &view.entry {
        entry_ui(ui, &mut rest, entry, look);
    }
    if !view.value.is_empty() && view.entry.is_some() {
        let block = cut_top(&mut rest, (place.height() * 0.2).clamp(26.0, 84.0));
        let said = format!("last reading {}", view.value);
        name_ui(ui, block, "last reading", &said, false);
        let mut inner = block;
        let label = cut_top(&mut inner, FRAME);
        Line::regular(SMALL, tokens.muted).paint(ui, label, "last reading");
        let painter = ui.painter_at(inner);
        let high = inner.height() * 0.95;
        let at = Align2::LEFT_CENTER;
        figures(&painter, inner, at, &view.value, high, bold(), tokens.text);
        cut_top(&mut rest, GAP / 2.0);
    }
    state_ui(ui, &mut rest, "remark", &view.remark, Mark::Doubt, look);
    sentence_ui(
        ui,
        &mut rest,
        "study total",
        &view.total,
        (TEXT, true),
        look,
    );
    if !view.bars.is_empty() {
        let line = cut_top(&mut rest, FRAME);
        Line::regular(SMALL, tokens.muted).say(ui, line, "bars of", &view.bars_of);
    }
    let widths = view.bars.iter();
    let widths = widths.map(|bar| text_width(ui.painter(), &bar.what, TEXT, REGULAR));
    let names = widths.fold(0.0, f32::max).min(place.width() * 0.5);
    for (at, bar) in view.bars.iter().enumerate() {
        let row = 24.0;
        if rest.height() < row {
            break;
        }
        let line = cut_top(&mut rest, row);
        share_ui(ui, line, (at, names), bar, look);
    }
    if view.lines.is_empty() {
        return false;
    }
    cut_top(&mut rest, GAP / 2.0);
    facts_ui(ui, rest, &view.lines, skipped, look)
}
