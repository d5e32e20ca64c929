//! What the rooms behind the function keys share: the frame with its foot, a list beside what is
//! chosen in it, as many rows as have room, the tabs of pages, the keys that turn.

use eframe::egui::{Align2, Rect, Stroke, StrokeKind, Ui, vec2};

use super::line_ui::{Line, cut_bottom, cut_left, cut_right, cut_top, has_area, inset, name_ui};
use super::look::{Look, REGULAR, bold, text_width};
use super::press::Press;
use super::status_ui::{alarm_height, alarm_ui, foot_height, message_ui, status_ui};
use super::view::{KeyView, PageTabView, StatusView};

/// The rhythm.
pub(super) const STEP: f32 = 8.0;
const MESSAGE: f32 = 26.0;
/// A window below this height has no foot.
const FOOT_FROM: f32 = 240.0;
/// A window below this width has the list above what is chosen in it.
const SIDE_BY_SIDE_FROM: f32 = 600.0;
const TAB_TEXT: f32 = 12.0;
const TURN_TEXT: f32 = 13.0;

/// Where a room stands in its window, and what frames it.
pub(super) struct Frame {
    /// The room's own place, to the window's edges.
    pub(super) inside: Rect,
    alarm: Rect,
    foot: Rect,
}

impl Frame {
    /// Paints ground and message, and keeps the places of the foot; none where the window has no
    /// room at all.
    pub(super) fn begin(
        ui: &mut Ui,
        (status, keys): (&StatusView, &[KeyView]),
        look: &Look,
    ) -> Option<Self> {
        let window = ui.max_rect().intersect(ui.clip_rect());
        if !has_area(window) {
            return None;
        }
        ui.painter().rect_filled(window, 0.0, look.tokens.ground);
        let mut inside = window;
        let high = window.height();
        let alarm = alarm_height(&status.journal).min(high * 0.4);
        let alarm = cut_bottom(&mut inside, alarm);
        let foot = match high >= FOOT_FROM {
            true => foot_height(keys),
            false => 0.0,
        };
        let foot = cut_bottom(&mut inside, foot);
        if let Some(message) = &status.message {
            let place = cut_bottom(&mut inside, MESSAGE.min(high * 0.2));
            message_ui(ui, place, message, look);
        }
        Some(Self {
            inside,
            alarm,
            foot,
        })
    }

    /// The room's place with a margin that leaves something of a small window.
    pub(super) fn with_margin(&self) -> Rect {
        self.inside.shrink2(vec2(
            STEP.min(self.inside.width() / 8.0),
            (STEP / 2.0).min(self.inside.height() / 8.0),
        ))
    }

    /// Paints the foot.
    pub(super) fn end(
        &self,
        ui: &mut Ui,
        (status, keys): (&StatusView, &[KeyView]),
        look: &Look,
        presses: &mut Vec<Press>,
    ) {
        alarm_ui(ui, self.alarm, &status.journal, look);
        status_ui(ui, self.foot, status, keys, look, presses);
    }
}

/// How a list and what is chosen in it share a room.
pub(super) struct ListSizes {
    /// The list's share of a wide room, and its ends in points.
    pub(super) share: f32,
    pub(super) ends: (f32, f32),
    /// Between both.
    pub(super) gap: f32,
    /// The list's share of the height of a narrow one, and what is between both there.
    pub(super) share_above: f32,
    pub(super) gap_above: f32,
}

impl ListSizes {
    /// Cuts the list off the room, whose width it has a share of; the rest stays.
    pub(super) fn cut(&self, rest: &mut Rect, width: f32) -> Rect {
        if rest.width() + 2.0 * STEP >= SIDE_BY_SIDE_FROM {
            let wide = (width * self.share).clamp(self.ends.0, self.ends.1);
            let list = cut_left(rest, wide);
            cut_left(rest, self.gap);
            return list;
        }
        let high = rest.height() * self.share_above;
        let list = cut_top(rest, high);
        cut_top(rest, self.gap_above);
        list
    }
}

/// So many rows of a height have room, at most `most`.
pub(super) fn fitting(height: f32, row: f32, most: usize) -> usize {
    let mut count = 0;
    let mut left = height;
    while left >= row && count < most {
        left -= row;
        count += 1;
    }
    count
}

/// The first of so many rows that are seen, the chosen one among them.
pub(super) fn first_seen(chosen: usize, fit: usize) -> usize {
    chosen.saturating_sub(fit.saturating_sub(1))
}

/// Which rows of a list are seen.
pub(super) struct SeenRows {
    pub(super) first: usize,
    pub(super) fit: usize,
    /// Where it is said that there are more; none where all are seen.
    pub(super) sign: Option<Rect>,
}

impl SeenRows {
    /// As many as there is room for, the chosen one among them; where not all are seen, a strip
    /// for the sign is cut off below.
    pub(super) fn of(
        rest: &mut Rect,
        (count, chosen): (usize, usize),
        (row, sign): (f32, f32),
    ) -> Self {
        let mut fit = fitting(rest.height(), row, count);
        let mut place = None;
        if fit < count {
            place = Some(cut_bottom(rest, sign));
            fit = fitting(rest.height(), row, count);
        }
        Self {
            first: first_seen(chosen, fit),
            fit,
            sign: place,
        }
    }
}

/// Paints tabs of pages with their digits as far as they have room, `pad` beside each, `gap`
/// between two, `apart` the text from its digit; a click is the press of the digit.
pub(super) fn page_tabs_ui(
    ui: &mut Ui,
    place: Rect,
    (room, pages): (&str, &[PageTabView]),
    (pad, gap, apart): (f32, f32, f32),
    look: &Look,
    presses: &mut Vec<Press>,
) {
    let tokens = &look.tokens;
    let mut rest = place;
    for page in pages {
        let (key_wide, wide) = tab_width(ui, page);
        let whole = wide + 2.0 * pad;
        // What is left is a sum of floats.
        if whole > rest.width() + 0.5 || !has_area(rest) {
            return;
        }
        let tab = cut_left(&mut rest, whole);
        cut_left(&mut rest, gap);
        let key = page.key.to_string();
        let open = if page.is_open { ", open" } else { "" };
        let said = format!("{key} {}{open}", page.text);
        if name_ui(ui, tab, &format!("{room} {key}"), &said, true).clicked() {
            presses.push(Press::Digit(page.key));
        }
        let (ground, ink, faint) = tokens.row(page.is_open);
        if page.is_open {
            ui.painter().rect_filled(tab, 0.0, ground);
        }
        let mut inner = tab.shrink2(vec2(pad, 0.0));
        let digit = cut_left(&mut inner, key_wide + 1.0);
        Line::bold(TAB_TEXT, faint).paint(ui, digit, &key);
        // The width of a text is a sum of floats: it is given more than it needs.
        let text = inner
            .with_min_x(inner.left() + apart)
            .with_max_x(inner.right() + 2.0);
        Line::regular(TAB_TEXT, ink).paint(ui, text, &page.text);
    }
}

/// How wide a tab's digit is, and the whole tab without what is beside its text.
pub(super) fn tab_width(ui: &Ui, page: &PageTabView) -> (f32, f32) {
    let key = text_width(ui.painter(), &page.key.to_string(), TAB_TEXT, bold());
    let text = text_width(ui.painter(), &page.text, TAB_TEXT, REGULAR);
    (key, key + text + 5.0)
}

/// A key that turns to what is before or after.
pub(super) struct Turn {
    /// There is something on that side.
    pub(super) is_there: bool,
    /// What stands on it.
    pub(super) sign: &'static str,
    /// `page before`: its name, spoken too.
    pub(super) name: &'static str,
    /// What pointing at it presses.
    pub(super) press: Press,
}

impl Turn {
    /// Paints it at the right end of a line, which keeps what is left; its place stays empty where
    /// nothing is on that side.
    pub(super) fn paint(
        self,
        ui: &mut Ui,
        line: &mut Rect,
        (wide, margin): (f32, f32),
        look: &Look,
        presses: &mut Vec<Press>,
    ) {
        let key = cut_right(line, wide);
        if !self.is_there || !has_area(key) {
            return;
        }
        if name_ui(ui, key, self.name, self.name, true).clicked() {
            presses.push(self.press);
        }
        let edge = Stroke::new(look.tokens.hairline, look.tokens.line);
        ui.painter()
            .rect_stroke(inset(key, margin), 0.0, edge, StrokeKind::Inside);
        let line = Line::bold(TURN_TEXT, look.tokens.text).at(Align2::CENTER_CENTER);
        line.paint(ui, key, self.sign);
    }
}
