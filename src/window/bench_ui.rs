//! The Bench: everything in its place.

use eframe::egui::{Align2, Rect, Ui, vec2};

use super::bar_ui::bar_ui;
use super::bench_layout::{Places, Wants, places};
use super::chart_ui::chart_ui;
use super::header_ui::{header_ui, subject_ui};
use super::line_ui::{Line, has_area};
use super::list_ui::{list_ui, points_ui};
use super::look::{ACTION_MINUTES, DIGIT_OVER_SIZE, Fitted, Look, VALUE_MINUTES};
use super::outline_ui::outline_ui;
use super::press::Press;
use super::question_ui::question_ui;
use super::status_ui::{alarm_height, alarm_ui, foot_height, message_ui, status_ui};
use super::verdict_ui::{Most, verdict_ui};
use super::view::{BenchView, Mark, WhyView};
use super::why_ui::why_ui;
use super::wires_ui::wires_ui;

/// Paints the whole Bench into the space that there is; what a person presses goes to `presses`.
pub fn bench_ui(ui: &mut Ui, view: &BenchView, look: &Look, presses: &mut Vec<Press>) {
    let window = ui.max_rect().intersect(ui.clip_rect());
    if !has_area(window) {
        return;
    }
    ui.painter().rect_filled(window, 0.0, look.tokens.ground);
    let places = places(window, wants(window, view, look));
    header_ui(ui, places.header, &view.header, look);
    if let Some(outline) = view.outline.as_ref().filter(|_| has_area(places.outline)) {
        outline_ui(ui, places.outline, outline, look, presses);
    }
    list_ui(ui, places.list, &view.rows, look, presses);
    if let Some(why) = why_alone(view) {
        why_ui(ui, places.column, why, look, presses);
    } else {
        column_ui(ui, &places, view, look, presses);
    }
    if let Some(message) = message(view) {
        message_ui(ui, places.message, message, look);
    }
    alarm_ui(ui, places.alarm, &view.status.journal, look);
    status_ui(ui, places.foot, &view.status, &view.keys, look, presses);
}

/// The reasons, when they have all the room: their title is the verdict. What is typed, asked or
/// not recorded stays in sight.
pub(super) fn why_alone(view: &BenchView) -> Option<&WhyView> {
    let is_free = view.verdict.entry.is_none()
        && view.question.is_none()
        && view.verdict.mark != Mark::NotRecorded;
    view.why.as_ref().filter(|_| is_free)
}

/// What it is about, the verdict, and what stands below it.
fn column_ui(
    ui: &mut Ui,
    places: &Places,
    view: &BenchView,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    subject_ui(ui, places.subject, &view.subject, look);
    // That nothing is recorded is said large; the line that cries says the rest of it.
    let (word_weight, from) = match view.verdict.mark {
        Mark::NotRecorded => (0.8, 180.0),
        // In a high block the word must not stay behind the value.
        _ if places.block.height() > 160.0 => (1.1, 84.0),
        _ => (1.25, 84.0),
    };
    let most = Most {
        word_weight,
        has_details: places.block.height() >= from,
    };
    let block = (&view.verdict, &view.subject);
    verdict_ui(ui, places.block, block, look, most, presses);
    middle_ui(ui, places, view, look, presses);
}

/// The message, unless it is said where something is being typed.
fn message(view: &BenchView) -> Option<&str> {
    let message = view.status.message.as_deref()?;
    let fault = view
        .verdict
        .entry
        .as_ref()
        .map(|entry| entry.fault.as_str());
    (fault != Some(message)).then_some(message)
}

fn wants(window: Rect, view: &BenchView, look: &Look) -> Wants {
    let sizes = &look.sizes;
    let digit = sizes.asked_points(VALUE_MINUTES) * DIGIT_OVER_SIZE;
    Wants {
        has_outline: view.outline.is_some(),
        has_list: !view.rows.is_empty(),
        has_points: !view.points.is_empty(),
        has_bar: view.bar.is_some(),
        has_wires: view.wires.is_some(),
        has_chart: !view.chart.points.is_empty() || view.chart.upper.is_some(),
        has_message: message(view).is_some(),
        alarm: alarm_height(&view.status.journal),
        foot: foot_height(&view.keys),
        // The digits and, below them, about as much again of what belongs to them.
        block: (digit * 1.9).min(window.height() * 0.45),
        action: (sizes.asked_points(ACTION_MINUTES) * 1.5).min(window.height() * 0.16),
    }
}

/// Below the block: bar, points, action and chart, or what covers them.
fn middle_ui(
    ui: &mut Ui,
    places: &Places,
    view: &BenchView,
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if let Some(question) = &view.question {
        // What is asked says what to do. Only that nothing is recorded must be said besides; on a
        // small screen the block and the line at the foot say it.
        let has_room = places.below.height() >= 280.0;
        let is_failing = view.verdict.mark == Mark::NotRecorded && has_room;
        let place = if is_failing {
            places.cover
        } else {
            places.below
        };
        if has_area(place) {
            question_ui(ui, place, question, look, presses);
        }
        if is_failing {
            let mut action = places.action;
            let down = places.below.bottom() - action.bottom();
            action = action.translate(vec2(0.0, down));
            action_ui(ui, action, &view.action, look);
        }
        return;
    }
    if let Some(why) = view.why.as_ref().filter(|_| places.below.height() >= 60.0) {
        why_ui(ui, places.below, why, look, presses);
        return;
    }
    if let Some(bar) = &view.bar {
        bar_ui(ui, places.bar, bar, look);
    }
    points_ui(ui, places.points, &view.points, &view.form, look);
    if let Some(wires) = &view.wires {
        wires_ui(ui, places.wires, wires, look);
    }
    action_ui(ui, places.action, &view.action, look);
    if has_area(places.chart) {
        chart_ui(ui, places.chart, &view.chart, look);
    }
}

/// Paints what to do now, on one line or two.
pub(super) fn action_ui(ui: &mut Ui, rect: Rect, action: &str, look: &Look) -> Option<Fitted> {
    if !has_area(rect) || action.is_empty() {
        return None;
    }
    let size = look.sizes.action_points(rect).max(rect.height() * 0.72);
    let line = Line::bold(size, look.tokens.text).at(Align2::LEFT_CENTER);
    Some(line.on(2).say(ui, rect, "action", action))
}
