//! One frame: its key events, its clock, and when the next one is wanted.

use eframe::egui::{Context, Event};

/// The events of keys, taken out of the frame: a widget that has the focus must not take Enter or
/// the space bar a second time. Nothing keeps the focus: at the bench keys always mean the same.
pub(super) fn taken_keys(context: &Context) -> Vec<Event> {
    context.memory_mut(|memory| {
        if let Some(id) = memory.focused() {
            memory.surrender_focus(id);
        }
    });
    context.input_mut(|input| {
        let is_key = |event: &Event| {
            matches!(
                event,
                Event::Key { .. } | Event::Text(_) | Event::Paste(_) | Event::Ime(_)
            )
        };
        let (keys, others) = std::mem::take(&mut input.events)
            .into_iter()
            .partition(is_key);
        input.events = others;
        keys
    })
}

/// Asks for a frame after so many milliseconds.
pub(super) fn repaint_after(context: &Context, ms: u64) {
    context.request_repaint_after(std::time::Duration::from_millis(ms));
}

/// Seconds of the window's clock as whole milliseconds.
pub(super) fn milliseconds(seconds: f64) -> u64 {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a window is open for years at most, and the cast stops at the ends"
    )]
    let ms = (seconds * 1_000.0) as u64;
    ms
}
