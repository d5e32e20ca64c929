//! Figures of equal width with a narrow decimal marker, for the value that is read at a glance.

use eframe::egui::{Align2, Color32, FontFamily, FontId, Painter, Rect, Vec2};

use super::sizes::DIGIT_OVER_SIZE;
use super::text::{Fitted, drawable, has_room};

/// Width of a digit's cell over the font size: B612's own advance of every digit.
const DIGIT_CELL: f32 = 0.65;
/// Width of the marker's cell over the font size: its ink and a little air, less than the
/// face's own 0.3.
const MARKER_CELL: f32 = 0.26;
/// Figures are not made smaller than this share of their size: then the first ones are cut.
const LEAST_SHARE: f32 = 0.35;

/// Width of the cells of a text over the font size.
fn cells(painter: &Painter, text: &str, font: &FontId) -> f32 {
    text.chars().map(|c| cell(painter, c, font)).sum()
}

fn cell(painter: &Painter, character: char, font: &FontId) -> f32 {
    match character {
        '0'..='9' => DIGIT_CELL,
        '.' | ',' => MARKER_CELL,
        other => painter.fonts_mut(|fonts| fonts.glyph_width(font, other)) / font.size,
    }
}

/// Font size at which figures fit a place, at most `size`.
pub fn figures_size(painter: &Painter, room: Vec2, text: &str, size: f32) -> f32 {
    let font = FontId::new(size.max(1.0), super::bold());
    let wide = cells(painter, text, &font).max(0.1);
    size.min(room.x / wide).min(room.y / DIGIT_OVER_SIZE)
}

/// Paints figures in equal cells, the decimal marker in a narrow one, never beyond the rectangle.
///
/// Anchored at the right, the last digit stays in place while values change; anchored at the
/// left, the first does. The rectangle that comes back goes from the top of the digits to the
/// line they stand on.
pub fn figures(
    painter: &Painter,
    rect: Rect,
    anchor: Align2,
    text: &str,
    size: f32,
    family: FontFamily,
    color: Color32,
) -> Fitted {
    if text.is_empty() || !has_room(rect) || size < 1.0 {
        return Fitted::nothing(rect, size, text);
    }
    let mut shown = drawable(painter, text, &family).into_owned();
    let least = size * LEAST_SHARE;
    let high = rect.height() / DIGIT_OVER_SIZE;
    let measure = FontId::new(size, family.clone());
    let points = (rect.width() / cells(painter, &shown, &measure).max(0.1))
        .max(least)
        .min(size)
        .min(high);
    let font = FontId::new(points, family);
    let mut is_cut = false;
    while cells(painter, &shown, &font) * points > rect.width() + 0.5 && !shown.is_empty() {
        let kept: String = shown.chars().skip(if is_cut { 2 } else { 1 }).collect();
        is_cut = true;
        shown = if kept.is_empty() {
            kept
        } else {
            format!("…{kept}")
        };
    }
    let wide = cells(painter, &shown, &font) * points;
    let stands = anchor.align_size_within_rect(Vec2::new(wide, points * DIGIT_OVER_SIZE), rect);
    let mut left = stands.left();
    for character in shown.chars() {
        let width = cell(painter, character, &font) * points;
        let glyph = painter.layout_no_wrap(character.to_string(), font.clone(), color);
        let above = glyph.rows.first().map_or(points, |row| {
            row.pos.y + row.glyphs.first().map_or(points, |first| first.pos.y)
        });
        let inside = left + (width - glyph.size().x) / 2.0;
        let place = eframe::egui::pos2(inside, stands.bottom() - above);
        painter.galley(place, glyph, color);
        left += width;
    }
    Fitted {
        rect: stands,
        size: points,
        is_cut,
    }
}
