//! The bar that is matched to a steel rule, so that sizes on this screen are true.

use eframe::egui::{Align2, Rect, Ui, pos2, vec2};

use super::look::{Look, MATCH_BAR_MM, REGULAR, fitted_text, spoken, wrapped_text};
use super::press::Press;
use super::settings::{POINTS_PER_MM_MAX, POINTS_PER_MM_MIN};

/// One step of the bar, and one large step, in points.
const STEP: f32 = 1.0;
const LARGE_STEP: f32 = 10.0;

/// The bar being matched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Calibration {
    /// Its length in points.
    pub points: f32,
}

impl Calibration {
    /// The bar as it is set now.
    pub fn starting_at(points_per_mm: f32) -> Self {
        Self {
            points: points_per_mm * MATCH_BAR_MM,
        }
    }

    /// Takes a press. Something when the bar is left: points to a millimetre if it is to be kept.
    pub fn press(&mut self, press: &Press) -> Option<Option<f32>> {
        let by = match press {
            Press::Up | Press::Plus => STEP,
            Press::Down | Press::Minus => -STEP,
            Press::Right | Press::Star => LARGE_STEP,
            Press::Left | Press::Slash => -LARGE_STEP,
            Press::Enter => return Some(Some(self.points / MATCH_BAR_MM)),
            Press::Escape | Press::Backspace => return Some(None),
            _ => return None,
        };
        let range = POINTS_PER_MM_MIN * MATCH_BAR_MM..=POINTS_PER_MM_MAX * MATCH_BAR_MM;
        self.points = (self.points + by).clamp(*range.start(), *range.end());
        None
    }
}

/// Paints the bar and what to do with it.
pub fn calibrate_ui(ui: &mut Ui, calibration: &Calibration, look: &Look, presses: &mut Vec<Press>) {
    let window = ui.max_rect().intersect(ui.clip_rect());
    if !window.is_positive() || !window.is_finite() {
        return;
    }
    let inner = window.shrink(16.0);
    let painter = ui.painter_at(window);
    let text = "Hold a steel rule to the screen. Make the bar 50 mm long: + and − by a little, \
                * and / by more (or the arrows). Enter keeps it, Backspace leaves it as it was.";
    let top = Rect::from_min_max(inner.min, pos2(inner.right(), inner.top() + 80.0));
    let top = top.intersect(inner);
    if top.is_positive() {
        let place = (top, 4);
        let ink = look.tokens.text;
        wrapped_text(&painter, place, Align2::LEFT_TOP, text, 18.0, REGULAR, ink);
        spoken(ui, top, "calibrate", text, false);
    }
    let height = 40.0_f32.min(inner.height() / 4.0).max(1.0);
    let corner = pos2(inner.left(), inner.center().y);
    let bar = Rect::from_min_size(corner, vec2(calibration.points, height));
    painter.rect_filled(bar, 0.0, look.tokens.text);
    let below = Rect::from_min_max(
        pos2(inner.left(), bar.bottom() + 8.0),
        pos2(inner.right(), bar.bottom() + 40.0),
    );
    let (length, ink) = (
        format!("{:.2} points to 1 mm", calibration.points / MATCH_BAR_MM),
        look.tokens.text,
    );
    fitted_text(
        &painter,
        below,
        Align2::LEFT_TOP,
        &length,
        16.0,
        REGULAR,
        ink,
    );
    let keep = Rect::from_min_max(pos2(inner.left(), inner.bottom() - 48.0), inner.max);
    let keep = keep.intersect(inner);
    if keep.is_positive() {
        let response = spoken(ui, keep, "keep", "Enter: keep", true);
        painter.rect_filled(keep, 0.0, look.tokens.panel);
        fitted_text(
            &painter,
            keep,
            Align2::CENTER_CENTER,
            "Enter: keep",
            18.0,
            REGULAR,
            ink,
        );
        if response.clicked() {
            presses.push(Press::Enter);
        }
    }
}
