//! One text in its place, painted and named at once; cutting places into parts.

use eframe::egui::{Align2, Color32, FontFamily, Rangef, Rect, Response, Ui, pos2, vec2};

use super::look::{Fitted, REGULAR, bold, spoken, wrapped_text};

/// How a text is written.
#[derive(Clone)]
pub(super) struct Line {
    pub(super) size: f32,
    pub(super) family: FontFamily,
    pub(super) ink: Color32,
    pub(super) anchor: Align2,
    /// On at most so many lines.
    pub(super) lines: usize,
}

impl Line {
    /// One line of regular text, from the left.
    pub(super) fn regular(size: f32, ink: Color32) -> Self {
        Self {
            size,
            family: REGULAR,
            ink,
            anchor: Align2::LEFT_CENTER,
            lines: 1,
        }
    }

    /// One line of bold text, from the left.
    pub(super) fn bold(size: f32, ink: Color32) -> Self {
        Self {
            family: bold(),
            ..Self::regular(size, ink)
        }
    }

    pub(super) fn at(self, anchor: Align2) -> Self {
        Self { anchor, ..self }
    }

    pub(super) fn on(self, lines: usize) -> Self {
        Self { lines, ..self }
    }

    /// Paints it without a name, for what another name already says.
    pub(super) fn paint(&self, ui: &Ui, rect: Rect, text: &str) -> Fitted {
        let painter = ui.painter_at(rect.expand2(vec2(1.0, 0.2 * self.size)));
        let (family, ink) = (self.family.clone(), self.ink);
        let place = (rect, self.lines);
        wrapped_text(&painter, place, self.anchor, text, self.size, family, ink)
    }

    /// Paints it and gives it its text as name.
    pub(super) fn say(&self, ui: &mut Ui, rect: Rect, id: &str, text: &str) -> Fitted {
        let fitted = self.paint(ui, rect, text);
        if !text.is_empty() && has_area(rect) {
            name_ui(ui, rect, id, text, false);
        }
        fitted
    }
}

/// Names a painted place; the name has no characters that steer instead of being read.
pub(super) fn name_ui(ui: &mut Ui, rect: Rect, id: &str, text: &str, can_press: bool) -> Response {
    spoken(ui, rect, id, text, can_press)
}

pub(super) fn has_area(rect: Rect) -> bool {
    rect.is_finite() && rect.width() >= 1.0 && rect.height() >= 1.0
}

/// A rectangle made smaller on all sides, never turned inside out.
pub(super) fn inset(rect: Rect, by: f32) -> Rect {
    rect.shrink(by.min(rect.width() / 2.0).min(rect.height() / 2.0).max(0.0))
}

/// The square of a mark in the middle of a strip.
pub(super) fn square_in(strip: Rect, side: f32) -> Rect {
    Rect::from_center_size(strip.center(), vec2(side, side))
}

/// The place of a fraction of a range, inside it whatever the number.
pub(super) fn along(range: Rangef, fraction: f32) -> f32 {
    let fraction = match fraction.is_finite() {
        true => fraction.clamp(0.0, 1.0),
        false => 0.5,
    };
    range.min + fraction * range.span()
}

/// Cuts a strip off the top; the rest stays.
pub(super) fn cut_top(rest: &mut Rect, height: f32) -> Rect {
    let at = rest.top() + height.clamp(0.0, rest.height().max(0.0));
    let strip = Rect::from_min_max(rest.min, pos2(rest.right(), at));
    rest.set_top(at);
    strip
}

/// Cuts a strip off the bottom; the rest stays.
pub(super) fn cut_bottom(rest: &mut Rect, height: f32) -> Rect {
    let at = rest.bottom() - height.clamp(0.0, rest.height().max(0.0));
    let strip = Rect::from_min_max(pos2(rest.left(), at), rest.max);
    rest.set_bottom(at);
    strip
}

/// Cuts a strip off the left; the rest stays.
pub(super) fn cut_left(rest: &mut Rect, width: f32) -> Rect {
    let at = rest.left() + width.clamp(0.0, rest.width().max(0.0));
    let strip = Rect::from_min_max(rest.min, pos2(at, rest.bottom()));
    rest.set_left(at);
    strip
}

/// Cuts a strip off the right; the rest stays.
pub(super) fn cut_right(rest: &mut Rect, width: f32) -> Rect {
    let at = rest.right() - width.clamp(0.0, rest.width().max(0.0));
    let strip = Rect::from_min_max(pos2(at, rest.top()), rest.max);
    rest.set_right(at);
    strip
}

/// Cuts a strip as wide as a text off the left, but at most a share of the rest.
pub(super) fn cut_left_most(rest: &mut Rect, width: f32, share: f32) -> Rect {
    let most = rest.width() * share;
    cut_left(rest, width.min(most) + 1.0)
}

/// Cuts a strip as wide as a text off the right, but at most a share of the rest.
pub(super) fn cut_right_most(rest: &mut Rect, width: f32, share: f32) -> Rect {
    let most = rest.width() * share;
    cut_right(rest, width.min(most) + 1.0)
}
