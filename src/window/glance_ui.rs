//! The glance layout: value, verdict and next action fill the window, as large as the set distance
//! asks. What waits for an answer, and that nothing is recorded, stays in sight.

use eframe::egui::{Align2, Rect, Ui};

use super::bench_ui::{action_ui, why_alone};
use super::line_ui::{
    Line, cut_bottom, cut_left, cut_right, cut_right_most, cut_top, has_area, inset,
};
use super::look::{
    ACTION_MINUTES, Fitted, LEAST_MINUTES, Look, REGULAR, VALUE_MINUTES, bold, text_width,
};
use super::press::Press;
use super::question_ui::question_ui;
use super::status_ui::{alarm_height, alarm_ui, attention_ui, message_ui};
use super::verdict_ui::{Most, verdict_ui};
use super::view::BenchView;
use super::why_ui::why_ui;

/// Paints the glance layout into the space that there is.
pub fn glance_ui(ui: &mut Ui, view: &BenchView, look: &Look, presses: &mut Vec<Press>) {
    let window = ui.max_rect().intersect(ui.clip_rect());
    if !has_area(window) {
        return;
    }
    ui.painter().rect_filled(window, 0.0, look.tokens.ground);
    let mut rest = window;
    let alarm = alarm_height(&view.status.journal).min(window.height() * 0.4);
    let alarm = cut_bottom(&mut rest, alarm);
    alarm_ui(ui, alarm, &view.status.journal, look);
    if let Some(message) = &view.status.message {
        let place = cut_bottom(&mut rest, 26.0_f32.min(window.height() * 0.1));
        message_ui(ui, place, message, look);
    }
    let high = troubles_height(window, &view.troubles, look);
    let troubles = cut_bottom(&mut rest, high);
    troubles_ui(ui, troubles, &view.troubles, look);
    let mut rest = inset(rest, (window.height() * 0.02).clamp(0.0, 12.0));
    let (line, line_high) = (window.height() >= 160.0, 22.0);
    let top = cut_top(&mut rest, if line { line_high } else { 0.0 });
    let foot = cut_bottom(&mut rest, if line { line_high } else { 0.0 });
    if let Some(why) = why_alone(view) {
        why_ui(ui, rest, why, look, presses);
        lines_ui(ui, top, foot, view, false, look);
        return;
    }
    let below = match &view.question {
        Some(_) => rest.height() * 0.5,
        None => action_height(ui, rest, &view.action, look),
    };
    let action = cut_bottom(&mut rest, below);
    cut_bottom(&mut rest, (window.height() * 0.015).min(12.0));
    let most = Most {
        word_weight: 1.0,
        has_details: false,
    };
    let block = (&view.verdict, &view.subject);
    let written = verdict_ui(ui, rest, block, look, most, presses);
    let acted = match &view.question {
        Some(question) if has_area(action) => {
            question_ui(ui, action, question, look, presses);
            None
        }
        _ => action_ui(ui, action, &view.action, look),
    };
    let falls_short = |fitted: Option<Fitted>, minutes: f32| {
        fitted.is_some_and(|one| one.size < look.sizes.asked_points(minutes))
    };
    let is_short = [
        falls_short(written.value, VALUE_MINUTES),
        falls_short(written.word, VALUE_MINUTES),
        falls_short(acted, ACTION_MINUTES),
    ];
    lines_ui(ui, top, foot, view, is_short.contains(&true), look);
}

/// The height of the line that names what must be known besides: to be read from the distance if
/// that takes no more than a small share of the window.
fn troubles_height(window: Rect, troubles: &[String], look: &Look) -> f32 {
    if troubles.is_empty() || window.height() < 160.0 {
        return 0.0;
    }
    let asked = look.sizes.asked_points(LEAST_MINUTES) * 1.3;
    asked.clamp(window.height() * 0.045, window.height() * 0.09)
}

/// As many of them as there is room for, and how many more there are.
fn troubles_ui(ui: &mut Ui, rect: Rect, troubles: &[String], look: &Look) {
    if !has_area(rect) || troubles.is_empty() {
        return;
    }
    let tokens = &look.tokens;
    ui.painter().rect_filled(rect, 0.0, tokens.chosen);
    let mut rest = inset(rect, 2.0);
    let side = rest.height();
    cut_left(&mut rest, side * 0.2);
    let sign = cut_left(&mut rest, side * 1.1).center();
    cut_left(&mut rest, side * 0.25);
    attention_ui(ui.painter(), sign, side * 0.84, tokens.ground, look);
    cut_right(&mut rest, side * 0.3);
    let size = side * 0.72;
    let text = |count: usize| {
        let said = troubles.get(..count).unwrap_or_default().join("  ·  ");
        match troubles.len() - count {
            0 => said,
            more => format!("{said}  ·  {more} more"),
        }
    };
    // The text may shrink to this before it is cut.
    let fits = |text: &String| text_width(ui.painter(), text, size * 0.7, bold()) <= rest.width();
    let fitting = (1..=troubles.len()).rev().map(text).find(fits);
    let said = fitting.unwrap_or_else(|| text(1));
    Line::bold(size, tokens.ground).say(ui, rest, "troubles", &said);
}

/// The room that the action needs at the size that the distance asks for, on one line or two; not
/// so much that value and word suffer.
fn action_height(ui: &Ui, rest: Rect, action: &str, look: &Look) -> f32 {
    let asked = look.sizes.asked_points(ACTION_MINUTES);
    let wide = text_width(ui.painter(), action, 20.0, bold()) / 20.0 * asked;
    let lines = if wide > rest.width() { 2.0 } else { 1.0 };
    let most = rest.height() * 0.36;
    (asked * 1.25 * lines).clamp(most.min(rest.height() * 0.24), most)
}

/// What it is about, above; the record and the caution, below.
fn lines_ui(ui: &mut Ui, top: Rect, foot: Rect, view: &BenchView, is_short: bool, look: &Look) {
    let tokens = &look.tokens;
    let mut rest = top;
    let part = cut_right(&mut rest, top.width() * 0.4);
    let subject = &view.subject;
    let about = [&subject.callout, &subject.element, &subject.point];
    let about: Vec<&str> = about
        .into_iter()
        .map(String::as_str)
        .filter(|text| !text.is_empty())
        .collect();
    Line::bold(15.0, tokens.text).say(ui, rest, "about", &about.join("  "));
    let line = Line::regular(13.0, tokens.muted).at(Align2::RIGHT_CENTER);
    line.say(ui, part, "part", &view.header.part);
    let mut rest = foot;
    let caution = &view.status.caution;
    let wide = text_width(ui.painter(), caution, 12.0, REGULAR);
    let place = cut_right_most(&mut rest, wide, 0.95);
    let line = Line::regular(12.0, tokens.text).at(Align2::RIGHT_CENTER);
    line.say(ui, place, "caution", caution);
    cut_right(&mut rest, 16.0);
    if is_short {
        let metres = look.sizes.distance.mm() / 1000.0;
        let text = format!("too small to read from {metres} m");
        let wide = text_width(ui.painter(), &text, 12.0, REGULAR);
        let place = cut_right_most(&mut rest, wide, 1.0);
        line.say(ui, place, "too small", &text);
        cut_right(&mut rest, 16.0);
    }
    if view.status.journal.is_recorded {
        let text = &view.status.journal.text;
        Line::regular(12.0, tokens.muted).say(ui, rest, "journal", text);
    }
}
