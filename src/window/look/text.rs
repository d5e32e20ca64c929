//! Text that always fits its place: shrunk to a least size, then cut with an ellipsis; control
//! characters made visible. And the names by which those who do not see find things.

use std::borrow::Cow;
use std::sync::Arc;

use eframe::egui::text::{LayoutJob, TextFormat, TextWrapping};
use eframe::egui::{
    Align2, Color32, FontFamily, FontId, Galley, Painter, Rect, Response, Role, Sense, Ui,
    WidgetInfo, vec2,
};

use crate::window::named::note_named;
use crate::window::view::is_invisible;

/// What became of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fitted {
    /// Where it stands.
    pub rect: Rect,
    /// Its font size in points.
    pub size: f32,
    /// It had to be cut.
    pub is_cut: bool,
}

impl Fitted {
    /// Nothing was painted, for want of room or of text.
    pub(super) fn nothing(rect: Rect, size: f32, text: &str) -> Self {
        Self {
            rect: Rect::from_min_size(rect.min, eframe::egui::Vec2::ZERO),
            size,
            is_cut: !text.is_empty(),
        }
    }
}

/// Text is not made smaller than this share of its size: then it is cut ...
const LEAST_SHARE: f32 = 0.6;
/// ... but never smaller than the first of these, in points, and always down to the second.
const LEAST_POINTS: (f32, f32) = (10.0, 14.0);
/// So much of a row, in font sizes, is free above its capitals: it may stand out of the place.
const FREE_ABOVE: f32 = 0.16;
/// Stands for a character that must not or cannot be drawn.
const REPLACED: char = '\u{FFFD}';

/// Paints one line of text inside `rect`, as large as `size` if it fits, never beyond the
/// rectangle; `anchor` says where in it.
pub fn fitted_text(
    painter: &Painter,
    rect: Rect,
    anchor: Align2,
    text: &str,
    size: f32,
    family: FontFamily,
    color: Color32,
) -> Fitted {
    wrapped_text(painter, (rect, 1), anchor, text, size, family, color)
}

/// Paints a sentence inside `rect`, on at most so many lines (`place` is the rectangle and the
/// number): as large as `size` if it fits, then smaller, then cut with an ellipsis.
pub fn wrapped_text(
    painter: &Painter,
    place: (Rect, usize),
    anchor: Align2,
    text: &str,
    size: f32,
    family: FontFamily,
    color: Color32,
) -> Fitted {
    let (rect, lines) = place;
    if text.is_empty() || !has_room(rect) || size < 1.0 {
        return Fitted::nothing(rect, size, text);
    }
    let shown = drawable(painter, text, &family);
    let least = (size * LEAST_SHARE)
        .clamp(LEAST_POINTS.0, LEAST_POINTS.1)
        .min(size);
    let lay = |points: f32, lines: usize| {
        let place = (rect, lines);
        layout(painter, place, &shown, points, &family, color)
    };
    let mut points = size;
    let mut galley = lay(points, lines);
    while points > least && !fits(&galley, rect, points) {
        points = next_smaller(&galley, rect, points).max(least);
        galley = lay(points, lines);
    }
    if !fits(&galley, rect, points) && galley.rows.len() > 1 {
        galley = lay(points, 1);
    }
    if galley.size().y > rect.height() + 0.75 * points {
        return Fitted::nothing(rect, points, text);
    }
    let is_cut = galley.elided;
    let mut stands = anchor.align_size_within_rect(galley.size(), rect);
    if stands.bottom() > rect.bottom() {
        stands = stands.translate(vec2(0.0, rect.bottom() - stands.bottom()));
    }
    painter.galley(stands.min, galley, color);
    Fitted {
        rect: stands,
        size: points,
        is_cut,
    }
}

/// Width of one line of text as it would be painted without a limit.
pub fn text_width(painter: &Painter, text: &str, size: f32, family: FontFamily) -> f32 {
    let shown = drawable(painter, text, &family);
    let font = FontId::new(size, family);
    painter
        .layout_no_wrap(shown.into_owned(), font, Color32::BLACK)
        .size()
        .x
}

pub(super) fn has_room(rect: Rect) -> bool {
    rect.width() >= 1.0 && rect.height() >= 1.0 && rect.is_finite()
}

fn layout(
    painter: &Painter,
    place: (Rect, usize),
    text: &str,
    points: f32,
    family: &FontFamily,
    color: Color32,
) -> Arc<Galley> {
    let (rect, lines) = place;
    let format = TextFormat {
        font_id: FontId::new(points, family.clone()),
        color,
        ..TextFormat::default()
    };
    let mut job = LayoutJob::single_section(text.to_owned(), format);
    job.wrap = TextWrapping {
        max_width: rect.width(),
        max_rows: lines.max(1),
        break_anywhere: lines <= 1,
        overflow_character: Some('…'),
    };
    job.break_on_newline = false;
    painter.layout_job(job)
}

fn fits(galley: &Galley, rect: Rect, points: f32) -> bool {
    let size = galley.size();
    !galley.elided && size.y <= rect.height() + FREE_ABOVE * points && size.x <= rect.width()
}

fn next_smaller(galley: &Galley, rect: Rect, points: f32) -> f32 {
    let by_height = rect.height() / galley.size().y.max(1.0);
    let step = if galley.elided { 0.94 } else { by_height };
    (points * step.clamp(0.5, 0.96) * 2.0).floor() / 2.0
}

/// The text as it can be drawn: what steers instead of being seen, and what no face has, replaced.
pub(super) fn drawable<'text>(
    painter: &Painter,
    text: &'text str,
    family: &FontFamily,
) -> Cow<'text, str> {
    if text.bytes().all(|byte| (0x20..0x7F).contains(&byte)) {
        return Cow::Borrowed(text);
    }
    let font = FontId::new(12.0, family.clone());
    painter.fonts_mut(|fonts| {
        let replaced = if fonts.has_glyph(&font, REPLACED) {
            REPLACED
        } else {
            '?'
        };
        let mut seen = |character: char| {
            let steers = character.is_control() || is_invisible(character);
            let is_seen = !steers && fonts.has_glyph(&font, character);
            if is_seen { character } else { replaced }
        };
        Cow::Owned(text.chars().map(&mut seen).collect())
    })
}

/// Gives a painted place its name: a label of that text, or a button when it can be pressed.
pub fn spoken(ui: &mut Ui, rect: Rect, id: &str, text: &str, can_press: bool) -> Response {
    let (sense, role) = if can_press {
        (Sense::click(), Role::Button)
    } else {
        (Sense::hover(), Role::Label)
    };
    note_named(ui.ctx(), rect.intersect(ui.clip_rect()), id, text);
    let response = ui.interact(rect, ui.scope_id().with(id), sense);
    response.widget_info(|| WidgetInfo::labeled(role, true, text));
    response
}
