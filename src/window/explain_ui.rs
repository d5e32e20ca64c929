//! What a place is, beside it: a frame around the place, and a plate with term and sentences on
//! the side of the window where there is more room.

use eframe::egui::{Rect, Stroke, StrokeKind, Ui, Vec2, pos2, vec2};

use super::look::{Look, REGULAR, bold, spoken};
use super::paragraph_ui::{Paragraph, runs_height, runs_paint};
use super::view::ExplainView;

/// The widest plate, and its distance from the window's edge, in points.
const WIDE: f32 = 560.0;
const EDGE: f32 = 8.0;
const PAD: f32 = 12.0;
/// Between one text and the next.
const GAP: f32 = 4.0;
const TERM: f32 = 18.0;
const TEXT: f32 = 15.0;
const SMALL: f32 = 12.0;

/// Paints it; `foot` is a line below.
pub(super) fn explain_ui(ui: &mut Ui, place: Rect, view: &ExplainView, look: &Look, foot: &str) {
    let window = ui.max_rect();
    let tokens = &look.tokens;
    let wide = (window.width() - 2.0 * EDGE).min(WIDE);
    if wide < 120.0 || window.height() < 60.0 {
        return;
    }
    let says = format!("“{}”", view.says);
    let run = |text, size, family, ink| Paragraph {
        text,
        size,
        family,
        ink,
    };
    let mut runs = vec![run(&view.term, TERM, bold(), tokens.text)];
    if view.says != view.term {
        runs.push(run(&says, SMALL, REGULAR, tokens.muted));
    }
    runs.push(run(&view.text, TEXT, REGULAR, tokens.text));
    runs.push(run(&view.origin, SMALL, REGULAR, tokens.muted));
    if !foot.is_empty() {
        runs.push(run(foot, SMALL, REGULAR, tokens.muted));
    }
    let inner_wide = wide - 2.0 * PAD;
    let one_high = |one: &Paragraph<'_>| runs_height(ui, std::slice::from_ref(one), inner_wide);
    let high = runs.iter().map(|one| one_high(one) + GAP).sum::<f32>() - GAP + 2.0 * PAD;
    let plate = plate_beside(place, window, vec2(wide, high));
    let painter = ui.painter();
    let ring = place.expand(4.0).intersect(window);
    painter.rect_stroke(
        ring,
        0.0,
        Stroke::new(4.0, tokens.ground),
        StrokeKind::Inside,
    );
    painter.rect_stroke(ring, 0.0, Stroke::new(2.0, tokens.text), StrokeKind::Inside);
    painter.rect_filled(plate, 0.0, tokens.panel);
    let edge = Stroke::new(2.0 * tokens.hairline, tokens.text);
    painter.rect_stroke(plate, 0.0, edge, StrokeKind::Inside);
    let mut rest = plate.shrink(PAD);
    for one in &runs {
        let high = runs_paint(ui, std::slice::from_ref(one), rest);
        rest.set_top((rest.top() + high + GAP).min(rest.bottom()));
    }
    let said = format!("{}: {} {}. {foot}", view.term, view.text, view.origin);
    spoken(ui, plate, "explained", &said, false);
}

/// On the side of the place where there is more room, inside the window.
fn plate_beside(place: Rect, window: Rect, size: Vec2) -> Rect {
    let (above, below) = (
        place.top() - window.top() - 2.0 * EDGE,
        window.bottom() - place.bottom() - 2.0 * EDGE,
    );
    let is_below = below >= size.y || below >= above;
    let room = if is_below { below } else { above };
    // Where neither side has room it lies on the place: what is said counts more.
    let most = room.max(window.height() / 2.0);
    let high = size.y.min(most).max(TERM + 2.0 * PAD);
    let top = match is_below {
        true => (place.bottom() + EDGE).min(window.bottom() - high - EDGE),
        false => (place.top() - EDGE - high).max(window.top() + EDGE),
    };
    let right = (window.right() - size.x - EDGE).max(window.left() + EDGE);
    let left = place.center().x - size.x / 2.0;
    let left = left.clamp(window.left() + EDGE, right);
    Rect::from_min_size(pos2(left, top), vec2(size.x, high))
}
