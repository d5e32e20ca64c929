//! Paints the bands of a pair: hole and shaft along one axis, the clearance below along its own.
//! The hole's band is hatched as metal in a section is, the shaft's is plain; the intended
//! clearance and what suits have the look of GO.

use eframe::egui::{Align2, Color32, Rangef, Rect, Shape, Stroke, StrokeKind, Ui, pos2};

use super::bar_ui::cased;
use super::line_ui::{Line, along, cut_bottom, cut_right_most, cut_top, has_area, name_ui};
use super::look::{Look, Pattern, REGULAR, paint_pattern, text_width};
use super::view::{BandView, BandsView, SizedView};

/// Height of all three, where there is room.
pub(super) const BANDS: f32 = 3.0 * ROW;
const ROW: f32 = 58.0;
const TEXT: f32 = 12.0;
const NUMBER: f32 = 11.0;
const LABEL_LINE: f32 = 16.0;
const NUMBER_LINE: f32 = 14.0;
/// Words at the ends of the clearance have at most this share of its width, where no limit is.
const END: f32 = 0.16;
/// What suits has this share of the height, below the class.
const SUITS: f32 = 0.4;

/// How a band is filled.
#[derive(Clone, Copy)]
struct Fill {
    colour: Color32,
    pattern: Pattern,
}

/// Paints all three.
pub(super) fn bands_ui(ui: &mut Ui, place: Rect, view: &BandsView, look: &Look) {
    if !has_area(place) {
        return;
    }
    let tokens = &look.tokens;
    let fill = |colour, pattern| Fill { colour, pattern };
    let row = place.height() / 3.0;
    let mut rest = place;
    let hole = fill(tokens.bars, Pattern::Hatch);
    band_ui(
        ui,
        cut_top(&mut rest, row),
        ("hole", &view.hole),
        hole,
        look,
    );
    let shaft = fill(tokens.bars, Pattern::Plain);
    band_ui(
        ui,
        cut_top(&mut rest, row),
        ("shaft", &view.shaft),
        shaft,
        look,
    );
    let gap = fill(tokens.go, Pattern::Plain);
    let axis = band_ui(ui, rest, ("clearance", &view.clearance), gap, look);
    if let Some(axis) = axis {
        zero_ui(ui, axis, view, look);
    }
}

/// Where the axis of a band is, and what place its numbers leave below it.
struct Laid {
    bar: Rect,
    below: Rect,
    /// From the left of the first number to the right of the last.
    numbers: Rangef,
}

/// One band: what it is and what is in it above, its limits below. Answers where its axis is.
fn band_ui(
    ui: &mut Ui,
    place: Rect,
    (id, view): (&str, &BandView),
    fill: Fill,
    look: &Look,
) -> Option<Laid> {
    if !has_area(place) {
        return None;
    }
    name_ui(ui, place, &format!("band {id}"), &view.spoken, false);
    let tokens = &look.tokens;
    let mut rest = place;
    let mut top = cut_top(&mut rest, LABEL_LINE.min(place.height() * 0.4));
    let wide = text_width(ui.painter(), &view.now, TEXT, REGULAR);
    let now = cut_right_most(&mut top, wide + 1.0, 0.72);
    let line = Line::regular(TEXT, tokens.text).at(Align2::RIGHT_CENTER);
    line.paint(ui, now, &view.now);
    Line::bold(TEXT, tokens.text).paint(ui, top, &view.label);
    let below = cut_bottom(&mut rest, NUMBER_LINE.min(place.height() * 0.3));
    let bar = Rect::from_x_y_ranges(rest.x_range(), rest.y_range().shrink(1.0));
    if !has_area(bar) {
        return None;
    }
    let painter = ui.painter_at(bar.expand(1.0));
    let edge = Stroke::new(tokens.hairline, tokens.line);
    painter.hline(bar.x_range(), bar.center().y, edge);
    let mut upper = bar;
    if let Some(suits) = view.suits {
        let lower = cut_bottom(&mut upper, bar.height() * SUITS);
        suits_ui(ui, lower, suits, look);
    }
    let band = across(upper, (view.from, view.to));
    painter.rect_filled(band, 0.0, fill.colour);
    paint_pattern(&ui.painter_at(band), band, fill.pattern, look);
    let outline = Stroke::new(1.0, tokens.text);
    painter.rect_stroke(band, 0.0, outline, StrokeKind::Inside);
    if let Some(sized) = &view.sized {
        sized_ui(ui, bar, sized, look);
    }
    let numbers = numbers_ui(ui, bar, below, view, look);
    Some(Laid {
        bar,
        below,
        numbers,
    })
}

fn x_of(bar: Rect, fraction: f32) -> f32 {
    along(bar.x_range(), fraction)
}

/// The part of a bar between two places, never thinner than can be seen.
fn across(bar: Rect, (from, to): (f32, f32)) -> Rect {
    let (left, right) = (x_of(bar, from), x_of(bar, to));
    Rect::from_x_y_ranges(Rangef::new(left, right.max(left + 2.0)), bar.y_range())
}

/// What the half must become: solid, with its word beside it.
fn suits_ui(ui: &Ui, lower: Rect, (from, to): (f32, f32), look: &Look) {
    let tokens = &look.tokens;
    let band = across(lower, (from, to));
    ui.painter_at(lower).rect_filled(band, 0.0, tokens.go);
    let word = "to suit";
    let size = (lower.height() - 1.0).min(NUMBER);
    let wide = text_width(ui.painter(), word, size, REGULAR) + 2.0;
    let left = band.left() - 4.0 - wide;
    let from = match left >= lower.left() {
        true => left,
        false => band.right() + 4.0,
    };
    let place = Rect::from_x_y_ranges(Rangef::new(from, from + wide), lower.y_range());
    if size >= 8.0 && place.right() <= lower.right() {
        Line::regular(size, tokens.text).paint(ui, place, word);
    }
}

/// The measured size: a line through the bar for each end of its points, and how far its
/// uncertainty reaches.
fn sized_ui(ui: &Ui, bar: Rect, view: &SizedView, look: &Look) {
    let painter = ui.painter_at(bar.expand(3.0));
    let middle = bar.center().y;
    if let Some((below, above)) = view.doubt {
        let (left, right) = (x_of(bar, below), x_of(bar, above));
        let cap = Rangef::new(middle - 4.0, middle + 4.0);
        for (wide, ink) in [(3.5, Color32::WHITE), (1.5, look.tokens.on_fill)] {
            let stroke = Stroke::new(wide, ink);
            painter.hline(Rangef::new(left, right), middle, stroke);
            painter.vline(left, cap, stroke);
            painter.vline(right, cap, stroke);
        }
    }
    for at in [view.least, view.most] {
        cased(&painter, x_of(bar, at), bar.y_range(), 2.5, look);
    }
    if view.is_compressed {
        let x = x_of(bar, view.most);
        let way = if view.most < 0.5 { -1.0 } else { 1.0 };
        let tip = pos2(x + way * 9.0, middle);
        let corners = vec![
            pos2(x + way * 3.0, middle - 4.0),
            tip,
            pos2(x + way * 3.0, middle + 4.0),
        ];
        painter.add(Shape::convex_polygon(
            corners,
            look.tokens.text,
            Stroke::NONE,
        ));
    }
}

/// The limits' numbers below their places, beside each other where they are close.
fn numbers_ui(ui: &Ui, bar: Rect, below: Rect, view: &BandView, look: &Look) -> Rangef {
    let wide = |text: &str| text_width(ui.painter(), text, NUMBER, REGULAR) + 2.0;
    let (lower, upper) = (&view.limits.0, &view.limits.1);
    let (lower_wide, upper_wide) = (wide(lower), wide(upper));
    let (from, to) = (x_of(bar, view.from), x_of(bar, view.to));
    let mut left = from - lower_wide / 2.0;
    let mut right = to - upper_wide / 2.0;
    let short = left + lower_wide + 6.0 - right;
    if short > 0.0 {
        left -= short / 2.0;
        right += short / 2.0;
    }
    let line = Line::regular(NUMBER, look.tokens.text).at(Align2::CENTER_CENTER);
    for (at, wide, text) in [(left, lower_wide, lower), (right, upper_wide, upper)] {
        let place = Rect::from_x_y_ranges(Rangef::new(at, at + wide), below.y_range());
        if place.left() >= below.left() - 1.0 && place.right() <= below.right() + 1.0 {
            line.paint(ui, place, text);
        }
    }
    Rangef::new(left, right + upper_wide)
}

/// Where there is neither clearance nor interference, and what lies on its sides.
fn zero_ui(ui: &Ui, axis: Laid, view: &BandsView, look: &Look) {
    let tokens = &look.tokens;
    let bar = axis.bar;
    let x = x_of(bar, view.zero);
    let painter = ui.painter_at(bar.expand(3.0));
    let stroke = Stroke::new(1.5, tokens.text);
    painter.vline(x, bar.y_range().expand(2.0), stroke);
    let under = Rangef::new(x - NUMBER / 2.0, x + NUMBER / 2.0);
    if under.max < axis.numbers.min - 2.0 || under.min > axis.numbers.max + 2.0 {
        let place = Rect::from_x_y_ranges(under, axis.below.y_range());
        let line = Line::regular(NUMBER, tokens.text).at(Align2::CENTER_CENTER);
        line.paint(ui, place, "0");
    }
    let sides = [
        ("← interference", Align2::LEFT_CENTER, (0.0, END)),
        ("clearance →", Align2::RIGHT_CENTER, (1.0 - END, 1.0)),
    ];
    let sized = view.clearance.sized;
    for (word, anchor, (from, to)) in sides {
        let is_there = |at: f32| (from..=to).contains(&at);
        let is_taken = sized.is_some_and(|sized| is_there(sized.least) || is_there(sized.most));
        let place = across(bar, (from, to));
        let wide = text_width(ui.painter(), word, NUMBER, REGULAR);
        if !is_taken && wide <= place.width() && bar.height() > NUMBER {
            let ground = Rect::from_center_size(place.center(), place.size());
            ui.painter_at(bar).rect_filled(ground, 0.0, tokens.panel);
            let line = Line::regular(NUMBER, tokens.muted).at(anchor);
            line.paint(ui, place, word);
        }
    }
}
