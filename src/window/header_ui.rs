//! The top line: which part, who measures, how warm; and what the block below is about.

use eframe::egui::{Align2, Rect, Ui, vec2};

use super::line_ui::{Line, cut_left, cut_left_most, cut_right, cut_right_most, has_area, inset};
use super::look::{Look, REGULAR, bold, text_width};
use super::view::{HeaderView, SubjectView};

const NAME: f32 = 15.0;
const TEXT: f32 = 13.0;
const CALLOUT: f32 = 22.0;
const GAP: f32 = 16.0;

/// Paints the top line.
pub(super) fn header_ui(ui: &mut Ui, rect: Rect, view: &HeaderView, look: &Look) {
    if !has_area(rect) {
        return;
    }
    let tokens = &look.tokens;
    let edge = (tokens.hairline, tokens.line);
    ui.painter().hline(rect.x_range(), rect.bottom(), edge);
    let mut rest = rect.shrink2(vec2(12.0_f32.min(rect.width() / 4.0), 4.0));
    // From the right: what changes while measuring. It keeps its room before long names do.
    for (id, text, ink) in [
        ("temperature", &view.temperature, tokens.text),
        ("operator", &view.operator, tokens.muted),
        ("part", &view.part, tokens.text),
    ] {
        if text.is_empty() || rest.width() < 120.0 {
            continue;
        }
        let wide = text_width(ui.painter(), text, TEXT, REGULAR);
        let place = cut_right_most(&mut rest, wide, 0.36);
        cut_right(&mut rest, GAP);
        let line = Line::regular(TEXT, ink).at(Align2::RIGHT_CENTER);
        line.say(ui, place, id, text);
    }
    let wide = text_width(ui.painter(), &view.part_name, NAME, bold());
    let name = cut_left_most(&mut rest, wide, 0.7);
    Line::bold(NAME, tokens.text).say(ui, name, "part name", &view.part_name);
    cut_left(&mut rest, GAP * 0.75);
    Line::regular(TEXT, tokens.muted).say(ui, rest, "drawing", &view.drawing);
}

/// Paints what the block is about: callout, name and limits, point.
pub(super) fn subject_ui(ui: &mut Ui, rect: Rect, view: &SubjectView, look: &Look) {
    if !has_area(rect) {
        return;
    }
    let tokens = &look.tokens;
    let grown = (rect.height() / 30.0).clamp(0.5, 2.0);
    let mut rest = inset(rect, 1.0);
    let wide = text_width(ui.painter(), &view.callout, CALLOUT * grown, bold());
    let callout = cut_left_most(&mut rest, wide, 0.5);
    Line::bold(CALLOUT * grown, tokens.text).say(ui, callout, "callout", &view.callout);
    cut_left(&mut rest, GAP * 0.75);
    let size = TEXT * grown;
    let wide = text_width(ui.painter(), &view.point, size, REGULAR);
    let point = cut_right_most(&mut rest, wide, 0.4);
    let line = Line::regular(size, tokens.muted).at(Align2::RIGHT_CENTER);
    line.say(ui, point, "point", &view.point);
    cut_right(&mut rest, GAP / 2.0);
    let wide = text_width(ui.painter(), &view.limits, size * 1.15, REGULAR);
    let limits = cut_left_most(&mut rest, wide, 1.0);
    Line::regular(size * 1.15, tokens.text).say(ui, limits, "limits", &view.limits);
    cut_left(&mut rest, GAP * 0.75);
    Line::regular(size, tokens.muted).say(ui, rest, "feature name", &view.name);
}
